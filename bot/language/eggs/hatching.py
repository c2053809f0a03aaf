"""What becomes of eggs: bad ones picked out, eyed up, hatched."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.eggs.where import breeders, egg_places, left_in, plain_numbers
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller

_BAD_OF_OTHERS = frozenset(["fuzzy", "white", "fungus", "furry"])  # of fish, water and mops as well
_NO_EGGS = frozenset(
    ["spots", "spot", "stringy", "poo", "mouth", "string", "worms", "patch", "board", "gravel", "sand", "cloudy"]
)


def sees_bad(part: Part, teller: Teller) -> Sight | None:
    strong, weak = _bad_signs(part), part.cues("bad_weak")
    if left_in(part):
        return None
    if (strong or weak) and _all_of_a_tub(part, teller):
        return Sight(6, (*strong, *weak, *part.noun("eggs")))
    if _thrown_out(part) and _eggs_alone(part, teller):
        return Sight(5, (*part.cues("crash", "collect", "pull"), *part.noun("eggs")))
    if strong and (plain_numbers(part) or _of_eggs(part, teller)):
        if part.noun("fry") and not part.noun("eggs"):
            return None
        return Sight(6, (*strong, *weak, *part.noun("eggs"), *part.cues("pull", "dead", "lost", "count")))
    if weak and plain_numbers(part) and _of_eggs_for_certain(part, teller):
        return Sight(5, (*weak, *part.noun("eggs", "fish"), *part.cues("pull", "dead", "lost", "count")))
    if part.noun("eggs") and part.cues("dead", "lost") and plain_numbers(part) and not part.kind("line"):
        return Sight(5, (*part.noun("eggs"), *part.cues("dead", "lost", "pull")))
    return None


def _bad_signs(part: Part) -> list[Tag]:
    """The signs of bad eggs that are said of eggs: "tub A looked a bit fuzzy" is not, nor are white spots."""
    if part.words() & _NO_EGGS:
        return []
    if part.words() & _APPEARS and not plain_numbers(part) and not part.noun("eggs"):
        return []
    others = part.noun("male", "female", "adults", "water", "mop")
    return [t for t in part.cues("bad") if not (others and t.word in _BAD_OF_OTHERS)]


def _all_of_a_tub(part: Part, teller: Teller) -> bool:
    """ "Tub C bad eggs all of them"."""
    words = part.words()
    alone = "all" in words and not words & {"not", "nearly", "almost", "if", "but"}
    return alone and bool(egg_places(part, teller)) and not plain_numbers(part)


def _thrown_out(part: Part) -> bool:
    return bool(part.words() & _THROWN or _THROWN_OUT.search(part.text()))


def _of_eggs(part: Part, teller: Teller) -> bool:
    """Whether eggs may well be what is bad: named here or just before, or of a tub that holds them."""
    ctx, before = teller.context, part.before
    if part.noun("eggs", "fish") or egg_places(part, teller) or ctx.kind in ("bad_eggs", "eyed", "pull"):
        return True
    if any(b in teller.names.place_of and teller.names.place_of[b].role == "eggs" for b in ctx.places):
        return True
    if before is None or not plain_numbers(before):
        return False
    return "out" in before.words() or (part.joiner == "because" and bool(before.noun("eggs")))  # "3 out, fungus"


def _of_eggs_for_certain(part: Part, teller: Teller) -> bool:
    """Whether a word like "clear" is said of eggs: they are named, or were just pulled."""
    if part.noun("eggs") or egg_places(part, teller):
        return True
    if teller.context.kind != "pull":
        return False
    of_which = part.before is not None and part.tags[0].word in ("which", "of")
    return of_which or len(part.tags) <= 3 or any(t.word == "of them" for t in part.tags)


_THROWN_OUT = re.compile(r"\b(?:threw|thrown|chucked|tossed) (?:out|away)\b|\bin the bin\b")


_APPEARS = frozenset(["look", "looks", "looked", "looking", "seems", "seemed", "bit", "slightly"])
_THROWN = frozenset(["binned", "tossed", "chucked", "discarded", "ditched", "trashed"])


def _eggs_alone(part: Part, teller: Teller) -> bool:
    """Whether a clause gives a number and a place or batch of eggs, and names no fish."""
    return bool(
        plain_numbers(part)
        and egg_places(part, teller)
        and not part.noun("fry", "fish", "male", "female", "juveniles", "adults")
        and not part.kind("culture", "money", "person")
        and not part.sense("food")
    )


_A_BAD_ONE = re.compile(
    r"\b(?:a|another) (?:\w+ )?(?:white|fuzzy|furry|bad|cloudy|clear|fungused|mouldy|moldy)(?: \w+)? (?:one|egg)\b"
)


def tell_bad(group: Group, teller: Teller) -> None:
    if not any(t.kind == "num" for t in group.tags) and _A_BAD_ONE.search(group.text()):
        article = next((t for t in group.tags if t.word in ("a", "another") and t.kind == "word"), None)
        if article is not None:  # "a white one": a count
            article.kind, article.value, article.note, article.approx = "num", 1.0, "spelled", True
    if not any(t.kind == "num" for t in group.tags):
        for n, tag in enumerate(group.tags[:-1]):
            if (
                tag.word == "one"
                and tag.note == "idle"
                and group.tags[n + 1].word in ("was", "is", "had", "looked", "looks")
            ):
                tag.kind, tag.value, tag.note, tag.approx = "num", 1.0, "spelled", True  # a count, no place
    last = teller.context.event
    here = [t for t in group.kind("place") if len(t.value) == 1]
    if (
        last is not None
        and last["kind"] == "pull"
        and not last.get("to")
        and len(here) == 1
        and teller.context.sentence == group.sentence
    ):
        before = group.before(here[0])
        cut = before is not None and before.word == "in" and group._index(before) > 0
        apart = cut and group.tags[group._index(here[0]) - 2].kind == "sep"  # "13 eggs 2 white,, in C"
        if not breeders(teller, here[0].value[0]) and (
            before is None or apart or before.word not in ("of", "from", "in")
        ):
            last["to"] = here[0].value[0]
    teller.counted(group, "bad_eggs")


def sees_eyed(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("eyed")
    if not cue or part.noun("male", "female"):
        return None
    if part.words() & {"hugging", "swimming", "darting", "wriggling", "wiggling", "zooming"}:
        return None  # what swims has hatched
    if re.search(r"\b(keep\w*|kept|all|my|our|half an|one) eyes? on\b|^eyes on (?!\d)", part.text()):
        return None  # "eyes on B all week": watched
    if all(t.word in ("eyes", "eyes in") for t in cue) and not (
        part.noun("eggs") or egg_places(part, teller) or (part.before is not None and part.before.noun("eggs"))
    ):
        return None
    if (
        part.noun("eggs")
        or (part.before is not None and part.before.noun("eggs"))
        or egg_places(part, teller)
        or plain_numbers(part)
        or any("eyed" in t.word for t in cue)
    ):
        return Sight(6, (*cue, *part.noun("eggs"), *part.noun("fish")))
    return None


def tell_eyed(group: Group, teller: Teller) -> None:
    teller.counted(group, "eyed")


_TO_HATCH = re.compile(r"\b(left|still|yet|due|waiting|more) to hatch\b|\b(yet|due|about) to (hatch|pop)\b")
_NO_NEWS_OF_FRY = ("dead", "lost", "move", "put", "feed", "wc", "count", "left", "sold", "hold", "bought")


def sees_hatch(part: Part, teller: Teller) -> Sight | None:
    cue = [t for t in part.cues("hatch") if t.word not in _HATCH_OF_SOME or _hatched_of_some(part)]
    if part.sense("food") and not part.kind("place", "batch"):
        return None
    if part.words() & {"rate", "rates", "%", "date", "day", "cone"} and not plain_numbers(part):
        return None
    if not cue and _out(part, teller):
        return Sight(4 if part.kind("ordinal") and "out" in part.words() else 3)
    if cue and (_hatched_nothing(part, cue, teller)):
        return None
    if _TO_HATCH.search(part.text()):
        return None  # those that have not
    if cue:
        return Sight(6, (*cue, *part.noun("fry", "eggs"), *part.cues("count", "lost")))
    if _started(part, teller):
        return Sight(3, tuple(part.cues("start")))
    if _more_out(part, teller):
        return Sight(3)
    fry = part.noun("fry")
    if fry and not part.has(*_NO_NEWS_OF_FRY):
        if _fry_where_eggs_were(part, teller):
            return Sight(4, tuple(fry))
        if _fry_of_a_line(part, teller):
            return Sight(3, tuple(fry))
    return None


_HATCH_OF_SOME = ("hatch", "popped", "popping")  # signs only beside a number or a name


def _hatched_of_some(part: Part) -> bool:
    return bool(plain_numbers(part) or part.kind("place", "batch", "line"))


def _hatched_nothing(part: Part, cue: list[Tag], teller: Teller) -> bool:
    """Whether none hatched, or something popped that was no egg."""
    if all(t.word == "popped" for t in cue) and not egg_places(part, teller):
        return True
    return bool(part.words() & {"none", "nothing", "nobody", "no"}) and not part.kind("num")


def _started(part: Part, teller: Teller) -> bool:
    """ "Tub C has started"."""
    told = part.has("start") and part.words() & {"started", "has"} and egg_places(part, teller)
    return bool(told) and not part.sense("food") and not part.noun("mop")


def _more_out(part: Part, teller: Teller) -> bool:
    """ "4 hatched in A, 3 out in B"."""
    told = plain_numbers(part) and "out" in part.words() and part.kind("place", "line")
    return teller.context.kind == "hatch" and bool(told) and not part.noun("eggs")


def _fry_where_eggs_were(part: Part, teller: Teller) -> bool:
    """ "Found fry in tub C", "3 fry in C"."""
    seen = {"found", "see", "saw", "first", "there's", "swimming", "new", "there", "out", "free", "got"}
    return bool(egg_places(part, teller) and (plain_numbers(part) or part.words() & seen))


def _fry_of_a_line(part: Part, teller: Teller) -> bool:
    """ "There's tiny gardneri fry in 3"."""
    where = part.kind("place") or teller.context.places or (part.after is not None and part.after.kind("place"))
    seen = part.words() & {"there", "found", "spotted", "saw", "there's", "teeny", "tiny", "new"}
    return bool(part.kind("line") and where and seen and not part.has("changed"))


_OUT = re.compile(r"\b(more out|out and (about|swimming)|(is|are) out|out (now|this morning|today))\b")


def _out(part: Part, teller: Teller) -> bool:
    """ "First out in C", "3 out now in C", where eggs are and nothing else was done with them."""
    if not egg_places(part, teller):
        return False
    if part.kind("ordinal") and "out" in part.words():
        return True
    told = plain_numbers(part) and _OUT.search(part.text())
    return bool(told) and not part.cues("bad", "bad_weak", "dead", "pull", "wc", "changed")


def _each_of_its_own(group: Group, teller: Teller) -> bool:
    """Tell "A has first fry, B nothing yet" a clause at a time: the nothing is not said of both."""
    nil = [p for p in group.parts if p.words() & {"nothing", "none"}]
    some = [p for p in group.parts if p not in nil and p.kind("place") and (p.noun("fry") or p.cues("hatch"))]
    if len(group.parts) != 2 or len(nil) != 1 or len(some) != 1 or not nil[0].kind("place"):
        return False
    for part in group.parts:
        teller.counted(Group([part], teller.names, teller.context), "hatch")
    return True


def tell_hatch(group: Group, teller: Teller) -> None:
    if len(group.kind("clock")) > 1 and "by" in group.words():
        teller.ask(group, "How many hatched in all?", "count", {"kind": "hatch"})
        return
    for tag in group.kind("ordinal"):
        if tag.value == 1:
            tag.kind = "num"
    one = [t for t in group.tags if t.kind == "word" and t.word in ("a", "another", "single")]
    if _each_of_its_own(group, teller):
        return
    seq = group.sequence("count")
    if not any(s[0] == "N" for s in seq) and group.noun("fry") and one and not group.cues("hatch"):
        n = group._index(group.noun("fry")[0])
        if any(t in one for t in group.tags[max(0, n - 3) : n]):
            teller.counted(
                group,
                "hatch",
            )
            return
    to: str | None = None
    into: Tag | None = None
    for n, here in enumerate(group.tags):
        if here.kind == "place" and len(here.value) == 1 and n and group.tags[n - 1].word in ("to", "into"):
            to, into = here.value[0], here
    if into is not None:
        into.claimed = "to"
    out = teller.counted(group, "hatch")
    lines = group.lines()
    if len(lines) == 1 and len(out) == 1 and out[0].get("place") and not teller.names.lines_in(str(out[0]["place"])):
        teller.context.values["hatched_line"] = (group.sentence, lines[0])
    if to is not None and len(out) == 1 and out[0] in teller.events:
        place = out[0].get("place")
        batch = out[0].get("batch")
        source = place or (teller.names.batch_of[str(batch)].place if batch in teller.names.batch_of else None)
        if source and source != to:
            teller.tell("move", group, from_=source, to=to, count=out[0].get("count"), batch=batch)
