"""Whether a clause tells of eggs pulled: by the verb, by the eggs, or by the mop."""

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.eggs.where import breeders, egg_places, eggs_or_mop, left_in, plain_numbers
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller

_PICKED = ("picked", "picking", "collected")
_RESTS = frozenset(["rest", "rests", "resting", "break", "dry", "drying", "wash", "boil", "bin", "breather"])
_NO_EGGS = frozenset(
    ["plug", "plant", "plants", "weeds", "hose", "gravel", "rocks", "wood", "rack", "blind", "blinds", "curtain"]
) | {"curtains"}
_LOOKS = frozenset("looks look looking needs need getting falling manky ratty tatty filthy fraying shedding".split())  # noqa: SIM905
_MENDED = frozenset("tied retied trimmed knotted untangled weighted combed sank".split())  # noqa: SIM905
_GAVE = frozenset(
    "laid layed dropped produced yielded gave gives got loads lots tons few some bunch handful".split()  # noqa: SIM905
) | {"gave me", "gave us"}
_SAVED_BY_EGGS = ("left", "move", "changed", "clean")  # such words beside counted eggs are no other event
_OTHER_WORK = (*_SAVED_BY_EGGS, "count", "start", "wc", "lost", "bad_weak", "feed")


def sees_pull(part: Part, teller: Teller) -> Sight | None:
    if _of_something_else(part) or _of_somebody_else(part, teller) or _no_pull(part, teller):
        return None
    if part.cues("pull"):
        return _by_verb(part, teller)
    if _other_work(part, teller) or _lie_in_a_tub(part, teller):
        return None
    return _by_eggs(part) or _by_place(part, teller) or _by_mop(part)


def _of_something_else(part: Part) -> bool:
    """Whether gear, peat, bad eggs or fish are spoken of."""
    if not eggs_or_mop(part) and (part.sense("item") or part.words() & _NO_EGGS):
        return True
    if part.has("laid") and part.noun("male", "female") and not part.noun("eggs"):
        return True
    if part.noun("fry") and not part.noun("eggs") and not part.cues("pull"):
        return True  # fry found in the mop
    return bool(part.noun("peat") or part.has("bad", "sold", "hold", "eyed", "hatch", "dead") or part.sense("unit"))


def _of_somebody_else(part: Part, teller: Teller) -> bool:
    """Whether the eggs came from somebody or went to somebody."""
    given = [t for t in part.cues("bought") if t.word in ("gave me", "gave us")]
    own = given and part.noun("eggs", "mop") and part.kind("line", "place") and not part.kind("money", "person")
    if part.has("bought") and not own:
        return True
    for one, two in pairwise(part.tags):
        stranger = two.kind == "person" and two.value not in teller.names.people
        if stranger and one.word in ("gave", "from", "off"):
            return True
    if part.cues("pull"):
        return False
    if "brought" in part.words() and part.kind("person"):
        return True  # from their own tank or from elsewhere?
    sent_here = teller.context.values.get("eggs_from")
    return isinstance(sent_here, int) and sent_here in (part.sentence, part.sentence - 1)  # "the post brought eggs …"


_FULL_OF_EGGS = re.compile(
    r"\b(?:full of|fat with|heavy with|round with|bulging with|stuffed with|ripe with) (?:\w+ )?eggs\b"
)


_ABOUT_THE_MOP = re.compile(
    r"\bmops? (?:\w+ )?(?:\w+ )?(?:is|are|was|were) (?:for|from|of|made|old|new|dirty|dry|too|still|meant)\b"
    r"|\bmops? goe?s? (?:in|into|to)\b"
)


def _no_pull(part: Part, teller: Teller) -> bool:
    """Whether eggs or a mop are spoken of and nothing was pulled."""
    eggs, mop, cue, words = part.noun("eggs"), part.noun("mop"), part.cues("pull"), part.words()
    if not eggs and any(one.word == "no" and two.says("noun", "mop") for one, two in pairwise(part.tags)):
        return True  # "no mop in 3 today": none hangs there, or none was looked at
    near = [*part.tags, *(part.before.tags if part.before is not None else [])]
    over = any((t.kind == "day" and t.value.vague) or t.word.startswith(("week", "month")) for t in near)
    if not cue and over and any(t.word.startswith("total") for t in near):
        return True  # a sum over a week is no pull
    if not cue and eggs and words & {"good", "fertile", "viable"} and words & {"are", "were", "look"}:
        return True  # how good they are, not how many were found
    if left_in(part) or _FULL_OF_EGGS.search(part.text()):
        return True
    if mop and part.has("move") and not eggs and not cue:
        return True  # a mop carried elsewhere
    if mop and not cue and not eggs and _ABOUT_THE_MOP.search(part.text()):
        return True  # "mops are for tank 3"
    if mop and "out" in words and words & _RESTS and not eggs:
        return True  # "took the mop out of 8 to rest them"
    points = words & {"those", "them", "it"} and not part.kind("num")
    return bool(cue and not eggs and not mop and points and teller.context.kind == "bad_eggs")


def _by_verb(part: Part, teller: Teller) -> Sight | None:
    """ "pulled 3, 40": by the verb, unless it is said of food, of people, or of nothing named."""
    cue, eggs, mop = part.cues("pull"), part.noun("eggs"), part.noun("mop")
    word, named = cue[0].word, bool(eggs or mop)
    if part.sense("food") or part.kind("culture"):
        return None
    if word in _PICKED and not (named or part.kind("place", "num")):
        return None
    others = part.words() & {"them", "her", "him", "up"} or part.kind("person")
    if word in (*_PICKED, "gathered") and not named and (teller.context.kind not in ("pull", "") or others):
        return None
    if word in ("picked", "picking", "pulling", "pull") and not (named or plain_numbers(part) or part.kind("place")):
        return None
    return Sight(5 if named else 3, (*cue, *eggs, *mop))


def _other_work(part: Part, teller: Teller) -> bool:
    """Whether a clause tells of other work, and its eggs or mop are only mentioned."""
    if not part.has(*_OTHER_WORK) or (part.noun("mop") and part.kind("num")):
        return False
    counted = part.noun("eggs") and plain_numbers(part) and not egg_places(part, teller)
    return not (part.has(*_SAVED_BY_EGGS) and counted)


def _counted_eggs(part: Part) -> list[Tag]:
    """The eggs of a clause that says how many, or that there are none."""
    return part.noun("eggs") if plain_numbers(part) or any(t.word in ("no", "nil") for t in part.tags) else []


def _lie_in_a_tub(part: Part, teller: Teller) -> bool:
    """Whether counted eggs are said to be in a tub, and no tank they came from: "40 eggs in tub D"."""
    spots = [t for t in part.kind("place") if t.value]
    pulled = any(breeders(teller, p) for t in spots for p in t.value) or any(_goes_in(part, t) for t in spots)
    return bool(_counted_eggs(part) and spots and egg_places(part, teller) and not pulled)


def _by_eggs(part: Part) -> Sight | None:
    """ "40 eggs in 3", "no eggs in 5", "12 gardneri, into B", "8 laid 14"."""
    if eggs := _counted_eggs(part):
        return Sight(4, (*eggs, *part.noun("mop")))
    after = part.after
    put = after is not None and any(t.word == "into" for t in after.tags) and bool(after.kind("place"))
    if part.kind("line") and len(part.tags) <= 3 and part.kind("num") and put:
        return Sight(3)
    named = part.kind("place", "line", "size") or len(part.kind("num")) > 1
    if part.has("laid") and part.kind("num") and not part.asks and named:
        return Sight(4, tuple(part.cues("laid")))
    return None


def _by_place(part: Part, teller: Teller) -> Sight | None:
    """ "t1 28 > A", "18 from the lampeyes" put in a tub, and in a note of eggs "thirty one off tank 2"."""
    if _off_the_layers(part, teller):
        return Sight(4)
    if _layers_to_egg_tub(part, teller):
        return Sight(5, tuple(part.cues("move", "gave")))
    off = [n for n, t in enumerate(part.tags) if t.word == "off" and n and n + 1 < len(part.tags)]
    if len(off) != 1 or part.kind("line", "batch", "person", "money", "pct"):
        return None
    counted = part.tags[off[0] - 1].kind == "num" and part.tags[off[0] + 1].kind in ("place", "num")
    of_eggs = any(t.says("noun", "eggs", "mop") and t.note != "muted" for t in teller.all_tags)
    return Sight(3) if counted and of_eggs else None


def _by_mop(part: Part) -> Sight | None:
    """ "mop 3 14", "mop in 5 done", "loads of eggs from 7"."""
    eggs, mop = part.noun("eggs"), part.noun("mop")
    if mop and part.words() & _LOOKS and not eggs and all(_names_tank(part, t) for t in part.kind("num")):
        return None  # "the mop in 4 looks ratty"
    if mop and part.words() & _MENDED:
        return None  # "tied up the mop in 3"
    if mop and not part.cues("mop_in") and (plain_numbers(part) or part.has("done") or part.kind("place")):
        return Sight(3, tuple(mop))
    if eggs and part.words() & _GAVE and part.kind("place", "line", "size", "num"):
        return Sight(3, tuple(eggs))
    return None


def _off_the_layers(part: Part, teller: Teller) -> bool:
    """Whether "18 from the lampeyes" counts eggs: a mop is named beside it, or a tub for eggs that they were put in."""
    tags = part.tags
    said = any(
        one.kind == "num" and off.word in ("from", "off") and (fish.kind == "line" or line.kind == "line")
        for one, off, fish, line in zip(tags, tags[1:], tags[2:], [*tags[3:], tags[-1]], strict=False)
    )
    if not said or part.kind("person", "money", "place") or part.noun("fry", "fish", "male", "female", "juveniles"):
        return False
    puts = [p for p in part.whole() if p is not part and p.cues("put", "move")]
    tubs = [x for p in puts for t in p.kind("place") for x in t.value]
    roles = {teller.names.place_of[x].role for x in tubs if x in teller.names.place_of}
    return any(p.noun("mop", "eggs") for p in part.whole()) or (bool(roles) and roles <= {"eggs", "fry", "empty"})


def _layers_to_egg_tub(part: Part, teller: Teller) -> bool:
    """Whether a bare number went from a tank that lays into a tub of eggs: "t1 28 > A", "got 7 from 4 into C"."""
    if part.kind("batch", "person", "money") or part.noun(
        "fry", "male", "female", "adults", "juveniles", "pair", "trio"
    ):
        return False
    tags = part.tags
    spots: list[tuple[int, str]] = []
    counts = 0
    for n, tag in enumerate(tags):
        back = tags[n - 1].word if n else ""
        if tag.kind == "place":
            if len(tag.value) != 1:
                return False
            spots.append((n, tag.value[0]))
        elif tag.kind == "num":
            its = teller.names.by_id.get(f"{tag.value:g}", ())
            if back in ("from", "off", "out of") and len(its) == 1:
                spots.append((n, its[0]))
            else:
                counts += 1
    if len(spots) != 2 or counts != 1 or not any(t.word in ("to", "into", "in") for t in tags[: spots[1][0]]):
        return False
    source, target = spots[0][1], spots[1][1]
    brief = len(tags) <= 6 or any(t.word in ("from", "off", "out of") for t in tags[: spots[0][0]])
    return brief and breeders(teller, source) and teller.names.place_of[target].role == "eggs"


def _names_tank(part: Part, tag: Tag) -> bool:
    """Whether a number stands where a tank's does: "in 4"."""
    n = part.tags.index(tag)
    return bool(n) and part.tags[n - 1].word in ("in", "from", "mop", "tank", "of")


def _goes_in(part: Part, tag: Tag) -> bool:
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    return any(t.word in ("into", "to") for t in part.tags[max(0, n - 2) : n])
