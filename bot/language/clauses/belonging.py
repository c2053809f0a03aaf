"""Whether a clause belongs to the one before it: goes on with its list, or carries what it lacks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
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


_NONE = ("nothing", "none", "nada", "zip")
_DONE_TO_PLACES = ("water_change", "top_off", "service", "feed", "mop")
_GOES_BADLY = ("death", "bad_eggs", "hatch")
# Words of how things look and go, beside which a clause no longer goes on with what was told of such kinds.
_SAYS_HOW_IT_GOES = (
    (
        (*_DONE_TO_PLACES, "dose"),
        frozenset(
            ["think", "looks", "look", "seems", "chasing", "finally", "worried", "colouring", "coloring"],
        ),
    ),
    (_GOES_BADLY, frozenset(["looking", "looks", "look", "swimming", "wobbly", "poorly", "not right"])),
    ((*_GOES_BADLY, "move"), frozenset(["fine", "ok", "okay", "alright", "happy", "good"])),
)
# Words a list is made with; of others a clause that goes on with one holds few.
_LISTING = frozenset(
    [
        *("in", "into", "from", "to", "of", "with", "for", "on", "at", "out", "off", "about", "there"),
        *("the", "a", "and", "both", "each", "all", "only", "then", "too", "just", "also", "not", "one", "no"),
        *("it", "they", "i", "had", "gave", "was", "are", "is", "got", "were", "has", "tank", "clean"),
    ]
)


@dataclass(frozen=True)
class _Next:
    """A clause without a sign, and the telling it may go on with."""

    part: Part
    kind: str
    teller: Teller
    current: list[Part]

    def says(self, *words: str) -> bool:
        return any(t.word in words for t in self.part.tags)


def fits_on(part: Part, kind: str, teller: Teller, current: list[Part]) -> bool:
    """Whether a clause without a sign goes on telling of a kind: what the first that holds says."""
    clause = _Next(part, kind, teller, current)
    return next((fits for fits, holds in _IN_TURN if holds(clause)), _lists(part))


def _water_received(c: _Next) -> bool:
    """ "Dosed tub C 3 drops, tub D just got the water"."""
    return c.kind == "dose" and c.part.tags[0].kind == "place" and c.part.has("gave")


def _talk(c: _Next) -> bool:
    """ "…, I got 4 right"."""
    return sounds_like_talk(c.part, c.teller.names)


def _again_on_a_day(c: _Next) -> bool:
    return c.part.tags[0].word == "again" and bool(c.part.kind("day")) and c.kind != "feed"


def _only_when(c: _Next) -> bool:
    """A day or an hour with no place, number or person beside it."""
    return bool(c.part.kind("day", "clock")) and not c.part.kind("num", "place", "batch", "person")


def _gear_and_when(c: _Next) -> bool:
    return _only_when(c) and bool(c.part.sense("item")) and c.kind != "service"


def _gear_of_a_place(c: _Next) -> bool:
    """ "…, glass in 14"."""
    return (
        c.kind in ("water_change", "top_off", "feed", "mop")
        and bool(c.part.sense("item"))
        and bool(c.part.kind("num", "place"))
    )


def _food(c: _Next) -> bool:
    """ "…, mw E" after no feeding."""
    return c.kind in ("water_change", "top_off", "mop", "service") and bool(c.part.sense("food"))


def _where_it_was_put(c: _Next) -> bool:
    """ "Bought 6 medaka, now in 15"."""
    return c.kind == "stock_in" and len(c.part.tags) <= 4 and _stands_in(c.part, c.teller)


def _what_a_new_place_is_for(c: _Next) -> bool:
    return c.kind == "new_place" and bool(c.part.noun("fry", "eggs", "adults") or c.part.sense("role"))


def _no_eggs(c: _Next) -> bool:
    return c.kind in ("pull", "bad_eggs") and c.says(*_NONE)


def _only_some_fed(c: _Next) -> bool:
    """ "Fed x3, fry only"."""
    part = c.part
    return (
        c.kind == "feed" and bool(part.noun("fry", "adults")) and len(part.tags) <= 3 and not part.kind("num", "place")
    )


def _holds_nothing_wanted(c: _Next) -> bool:
    return not c.part.kind(*_WANTS.get(c.kind, ()))


def _whole_groups(c: _Next) -> bool:
    """ "…, all but the nursery"."""
    return (
        _holds_nothing_wanted(c)
        and bool(c.part.sense("except") or c.part.sense("group"))
        and c.kind in ("feed", "water_change", "top_off")
    )


def _some_more(c: _Next) -> bool:
    return c.says("more") and bool(c.part.kind("num"))


def _what_is_left(c: _Next) -> bool:
    """ "…, 14 left": what remains is another matter, but for a count or a move that names no number."""
    if not c.part.cues("left") or c.kind == "headcount":
        return False
    return c.kind != "move" or bool(c.part.kind("num"))


def _counted_already(c: _Next) -> bool:
    """A second number after a count, of no other place and no sex."""
    return (
        c.kind == "headcount"
        and bool(c.part.kind("num"))
        and any(p.kind("num") for p in c.current)
        and not c.part.kind("place", "batch")
        and not any(t.says("noun", "male", "female") for t in c.part.tags)
    )


def _no_tanks(c: _Next) -> bool:
    """Numbers that no place has, where only places would be listed."""
    nums = [t for t in c.part.tags if t.kind == "num"]
    return (
        c.kind in _DONE_TO_PLACES
        and not c.part.kind("place", "pct", "frac", "vol")
        and not all(t.value == int(t.value) and str(int(t.value)) in c.teller.names.by_id for t in nums)
    )


def _lone_number(c: _Next) -> bool:
    """ "…, 12": one number and nothing that says where."""
    return (
        c.kind in ("death", "bad_eggs", "sale", "hatch")
        and len(c.part.tags) <= 3
        and sum(t.kind == "num" for t in c.part.tags) == 1
        and not c.part.kind("place", "batch", "money", "line")
        and not c.says("in", "from", "out")
    )


def _how_many_hatched(c: _Next) -> bool:
    return _lone_number(c) and c.kind == "hatch" and c.teller.context.kind != "hatch"


def _says_how_it_goes(c: _Next) -> bool:
    """ "Fed 13, 14 looks thin"."""
    words = c.part.words()
    return any(c.kind in kinds and words & signs for kinds, signs in _SAYS_HOW_IT_GOES)


# Whether a clause goes on when it is such a one; the first that holds is believed.
_IN_TURN: tuple[tuple[bool, Callable[[_Next], bool]], ...] = (
    (False, _water_received),
    (False, _talk),
    (False, _again_on_a_day),
    (False, _gear_and_when),
    (True, _only_when),
    (False, _gear_of_a_place),
    (False, _food),
    (True, _where_it_was_put),
    (True, _what_a_new_place_is_for),
    (True, _no_eggs),
    (True, _only_some_fed),
    (True, _whole_groups),
    (False, _holds_nothing_wanted),
    (False, _some_more),
    (False, _what_is_left),
    (False, _counted_already),
    (False, _no_tanks),
    (True, _how_many_hatched),
    (False, _lone_number),
    (False, _says_how_it_goes),
)


def _lists(part: Part) -> bool:
    """Whether a clause holds few words but those a list is made with."""
    return sum(t.kind in ("word", "lex") and t.word not in _LISTING for t in part.tags) <= 5


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
