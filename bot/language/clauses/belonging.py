"""Whether a clause belongs to the one before it: goes on with its list, or carries what it lacks."""

from __future__ import annotations

from itertools import pairwise

from bot.language.kept_out.chatter import sounds_like_talk
from bot.language.scene import Part
from bot.language.telling import Teller
from bot.language.text.everyday import is_everyday

_WANTS = {
    "pull": ("num", "place", "line", "size", "batch"),
    "bad_eggs": ("num", "place"),
    "hatch": ("num", "place"),
    "eyed": ("num", "place"),
    "death": ("num", "place", "line", "size"),
    "headcount": ("num", "place"),
    "move": ("num", "place", "line", "batch", "size"),
    "water_change": ("num", "place", "pct", "frac", "vol", "size"),
    "top_off": ("num", "place", "vol"),
    "dose": ("num", "place", "amount"),
    "feed": ("num", "place", "clock", "line", "batch"),
    "measure": ("num", "place", "deg", "batch", "len"),
    "sale": ("num", "place", "money", "line", "batch", "person"),
    "stock_in": ("num", "place", "money", "line", "person"),
    "reserve": ("num", "place", "money", "line", "batch", "person", "day"),
    "release": ("num", "line", "batch", "person"),
    "service": ("num", "place", "size"),
    "peat": ("place", "line", "batch", "dur"),
    "new_place": ("vol", "line"),
    "culture": ("place", "num"),
    "mop": ("place", "num"),
}


def _stands_in(part: Part, teller: Teller) -> bool:
    """Whether a clause only says where something is: "now in 15", "they're in tub D"."""
    return any(
        one.word in ("in", "into")
        and (two.kind == "place" or (two.kind == "num" and len(teller.names.by_id.get(f"{two.value:g}", ())) == 1))
        for one, two in pairwise(part.tags)
    )


def fits_on(part: Part, kind: str, teller: Teller, current: list[Part]) -> bool:
    """Whether a clause without a sign goes on telling of a kind."""
    if kind == "dose" and part.tags[0].kind == "place" and part.has("gave"):
        return False  # "…, tub D just got the water"
    if sounds_like_talk(part, teller.names):
        return False  # "…, I got 4 right"
    if part.tags[0].word == "again" and part.kind("day") and kind != "feed":
        return False
    if part.kind("day", "clock") and not part.kind("num", "place", "batch") and not part.kind("person"):
        return not part.sense("item") or kind == "service"
    if kind in ("water_change", "top_off", "feed", "mop") and part.sense("item") and part.kind("num", "place"):
        return False  # "…, glass in 14"
    if kind in ("water_change", "top_off", "mop", "service") and part.sense("food"):
        return False  # "…, mw E"
    if kind == "stock_in" and len(part.tags) <= 4 and _stands_in(part, teller):
        return True
    if (kind == "new_place" and part.noun("fry", "eggs", "adults")) or (kind == "new_place" and part.sense("role")):
        return True
    if any(t.word in ("nothing", "none", "nada", "zip") for t in part.tags) and kind in ("pull", "bad_eggs"):
        return True
    if kind == "feed" and part.noun("fry", "adults") and len(part.tags) <= 3 and not part.kind("num", "place"):
        return True  # "fed x3, fry only"
    if not part.kind(*_WANTS.get(kind, ())):
        return bool(part.sense("except") or part.sense("group")) and kind in ("feed", "water_change", "top_off")
    if any(t.word == "more" for t in part.tags) and part.kind("num"):
        return False
    if part.cues("left") and kind not in ("headcount",) and not (kind == "move" and not part.kind("num")):
        return False
    if (
        kind == "headcount"
        and part.kind("num")
        and any(p.kind("num") for p in current)
        and not part.kind("place", "batch")
        and not any(t.says("noun", "male", "female") for t in part.tags)
    ):
        return False
    nums = [t for t in part.tags if t.kind == "num"]
    if (
        kind in ("water_change", "top_off", "service", "feed", "mop")
        and nums
        and not part.kind("place", "pct", "frac", "vol")
    ) and not all(t.value == int(t.value) and str(int(t.value)) in teller.names.by_id for t in nums):
        return False
    if (
        kind in ("death", "bad_eggs", "sale", "hatch")
        and len(part.tags) <= 3
        and len(nums) == 1
        and not part.kind("place", "batch", "money", "line")
        and not any(t.word in ("in", "from", "out") for t in part.tags)
    ):
        return kind == "hatch" and teller.context.kind != "hatch"
    if kind in ("water_change", "top_off", "service", "feed", "dose", "mop") and part.words() & {
        "think",
        "looks",
        "look",
        "seems",
        "chasing",
        "finally",
        "worried",
        "colouring",
        "coloring",
    }:
        return False
    if part.words() & {"looking", "looks", "look", "swimming", "wobbly", "poorly", "not right"} and kind in (
        "death",
        "bad_eggs",
        "hatch",
    ):
        return False
    if part.words() & {"fine", "ok", "okay", "alright", "happy", "good"} and kind in (
        "death",
        "bad_eggs",
        "hatch",
        "move",
    ):
        return False
    words = [t for t in part.tags if t.kind in ("word", "lex")]
    plain = [
        t
        for t in words
        if t.word
        not in (
            "in",
            "into",
            "from",
            "to",
            "the",
            "a",
            "of",
            "tank",
            "and",
            "with",
            "for",
            "it",
            "on",
            "had",
            "gave",
            "was",
            "at",
            "both",
            "out",
            "clean",
            "each",
            "all",
            "they",
            "are",
            "is",
            "i",
            "got",
            "only",
            "about",
            "then",
            "too",
            "about",
            "there",
            "were",
            "has",
            "just",
            "off",
            "also",
            "not",
            "one",
            "no",
        )
    ]
    return len(plain) <= 5


def continues(part: Part, current: list[Part], kind: str) -> bool:
    """Whether a second clause of the same kind only goes on with the first one's list."""
    strong = {
        "pull": ("pull",),
        "water_change": ("wc", "changed"),
        "death": ("dead", "lost"),
        "feed": ("feed",),
        "bad_eggs": ("bad",),
        "move": ("move", "put"),
        "headcount": ("count",),
        "dose": (),
        "measure": (),
    }.get(kind)
    if kind == "pull" and len(part.kind("place")) > 1 and part.words() & {"to", "into"}:
        return False  # "A1 12 > B, A2 7 > C"
    if kind in ("pull", "bad_eggs"):
        verbs = list(part.cues(*(strong or ()))) if strong else []
        if kind == "bad_eggs":
            return bool(part.kind("num"))
        if not verbs and any(p.cues("pull") or p.noun("mop") or p.noun("eggs") for p in current):
            has_count = any(t.kind == "num" for p in current for t in p.tags) and any(p.noun("eggs") for p in current)
            return not has_count or bool(part.kind("place", "num"))
        return False
    if kind == "dose":  # "3% peroxide, 3 drops": what and how much
        what = [t for p in current for t in p.sense("substance")]
        much = [t for p in current for t in p.kind("amount")]
        return (bool(what) != bool(much)) and bool(part.sense("substance")) == bool(much)
    if kind == "measure":
        first = any(t.kind in ("place", "batch") for p in current for t in p.tags)
        return not (part.kind("place", "batch", "size") and not part.sense("quantity")) or first
    if kind == "reserve":
        return True
    if kind == "sale" and part.has("gave") and part.noun("pair", "trio") and not part.kind("money"):
        return False  # "…, and gave one more pair to a boy"
    if kind in ("sale", "stock_in", "release"):
        return not (part.kind("num") and part.kind("line"))
    if kind == "water_change":
        return not (
            part.kind("place") and (part.kind("pct", "frac")) and any(p.kind("pct", "frac") for p in current)
        ) and not part.cues("wc", "changed")
    return False


def carries(part: Part) -> bool:
    """Whether a clause without a sign holds anything that may belong to its neighbours."""
    if part.words() & {"same", "ditto", "likewise"}:
        return True
    return (
        bool(
            part.kind(
                "num",
                "place",
                "batch",
                "pct",
                "vol",
                "line",
                "size",
                "money",
                "amount",
                "deg",
                "day",
                "clock",
                "frac",
                "len",
                "person",
                "dur",
            )
        )
        or any(t.word in ("nothing", "none", "nada", "zip") for t in part.tags)
        or (bool(part.noun("fry", "eggs")) and len(part.tags) <= 3)
        or bool(part.sense("group") or part.sense("except") or part.sense("role") or part.noun("mop"))
    )


def heads(part: Part) -> bool:
    """Whether a clause before the one with the sign only lists what that is told of."""
    strange = [
        t for t in part.tags if t.kind == "word" and t.word.isalpha() and len(t.word) > 2 and not is_everyday(t.word)
    ]
    return not (strange and len(part.tags) <= 4)


def names_only(part: Part) -> bool:
    """Whether a clause is nothing but places, by name or by figure."""
    return all(t.kind in ("place", "batch", "num", "sep", "punct") or t.word in ("and", "&", "the") for t in part.tags)
