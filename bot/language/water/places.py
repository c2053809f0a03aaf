"""The list of places of a watering, a dose or a feeding, and those left out of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from bot.language.clauses.group import Group
from bot.language.clauses.pointing import pointed_at
from bot.language.tags import Tag
from bot.language.telling import Teller

STRENGTHS = ("ppm", "mg/l")  # units of what is in the water
_TIMES = re.compile(r"^(?:chgs?|chngs?|changes|wcs|x|times)$")


@dataclass
class _Listed:
    """The places told of at once, as they are made out, and what a question of them would keep."""

    group: Group
    teller: Teller
    told: dict[str, object]  # its kind, and what else is known of it
    cut: int | None = None  # where "except" stands
    groups: list[Tag] = field(default_factory=list)  # "all", "the tubs" before it
    places: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)

    @property
    def kind(self) -> str:
        return str(self.told["kind"])

    def after_cut(self, tag: Tag) -> bool:
        return self.cut is not None and self.group._index(tag) > self.cut

    def asked(self, question: str = "", *, firm: bool = False) -> tuple[None, list[str]]:
        """Ask which place is meant, and leave the list open."""
        if question:
            self.teller.ask(self.group, question, "place", {**self.told}, firm=firm)
        else:
            self.teller.ask_place(self.group, {**self.told})
        return None, []


_Found = tuple[list[str] | None, list[str]]


def place_list(group: Group, teller: Teller, kind: str, **keys: object) -> _Found:
    """The places of a watering or feeding and those excepted; None after a question was asked."""
    listed = _Listed(group, teller, {"kind": kind, **keys})
    if group.unknown() is not None:
        return listed.asked()
    if kind in ("water_change", "top_off", "feed"):
        group.join_spans()
    seq = [s for s in group.sequence("place") if kind != "dose" or s[2].kind != "num" or at_place(group, s[2])]
    listed.cut = next((n for n, t in enumerate(group.tags) if t.says("except")), None)
    if (missing := _take_named(listed, seq)) is not None:
        return listed.asked(missing, firm=True)
    listed.groups = [t for t in group.sense("group") if not listed.after_cut(t)]
    if listed.groups and group.words() & {"odd", "even", "whose", "numbered"}:
        return listed.asked("Which ones?")
    _leave_out_lines(listed)
    if not listed.places and not listed.groups and (whole := _many_at_once(listed)) is not None:
        return whole
    _leave_out_groups(listed)
    if _take_groups(listed):
        return listed.asked("Who got what?")
    if not listed.places and not listed.left_out:
        listed.places = _by_lines(listed)
    if not group.kind("place") and _half_named(group):
        return listed.asked()
    places, left_out = listed.places, listed.left_out
    if left_out and not listed.groups and set(left_out) <= set(places):
        places, left_out = [p for p in places if p not in left_out], []
    return list(dict.fromkeys(places)), left_out


_NOT_THESE = frozenset(["nothing", "none", "skipped", "nothing's", "nobody", "nobody's", "without"])
_NOT_THIS = frozenset(["not", "didn't", "wasn't", "skipped", "hasn't", "weren't"])


def _take_named(listed: _Listed, seq: list[tuple[str, Any, Tag]]) -> str | None:
    """List the places called by name or figure; what is to be asked when there is no such tank."""
    names = listed.teller.names
    for sort, value, tag in seq:
        if _stands_apart(listed, tag):
            continue
        if sort == "?":
            if _no_such_tank(listed, tag, value):
                return f"There is no tank {value:g} here. Which one?"
            continue
        n = listed.group._index(tag)
        if listed.kind == "feed" and tag.kind == "num" and _so_many_of_it(listed.group, n):
            tag.claimed = "total"  # how much of it, which is not kept
            continue
        denied = n > 0 and listed.group.tags[n - 1].word == "not" and bool(listed.places)
        its = [names.batch_of[v].place if sort == "B" and v in names.batch_of else v for v in value]
        (listed.left_out if denied or listed.after_cut(tag) else listed.places).extend(its)
    return None


def _stands_apart(listed: _Listed, tag: Tag) -> bool:
    """Whether a name or figure is of nothing told here: "nothing in 4", "1-3 changed, 4 not"."""
    tags, n = listed.group.tags, listed.group._index(tag)
    if n > 1 and any(t.word in _NOT_THESE for t in tags[max(0, n - 3) : n]):
        return True
    behind = tags[n + 1].word if n + 1 < len(tags) else ""
    if not listed.places:
        return False
    if behind in _NOT_THIS:
        return True
    if listed.kind == "water_change" and tag.kind == "num" and _TIMES.match(behind):
        tag.claimed = "times"  # "tub E 2 changes": how often, not tank 2
        return True
    return False


def _no_such_tank(listed: _Listed, tag: Tag, value: float) -> bool:
    """Whether a number that no place has stands where one would: "changed 20 % in 77"."""
    if listed.kind == "feed" or tag.claimed or tag.low is not None:
        return False
    before = listed.group.before(tag)
    return before is not None and before.word in ("in", "on", "tank", "and", ",", "wc") and value < 200


def _leave_out_lines(listed: _Listed) -> None:
    """ "All but the gardneri", "all but the empty ones": where a line's breeders are, or nothing is."""
    for tag in listed.group.kind("line"):
        if listed.after_cut(tag):
            main = _breeders_of(listed, list(tag.value))
            if len(main) == 1:
                listed.left_out.extend(main)
    if listed.cut is not None and any(t.word == "empty" for t in listed.group.tags[listed.cut :]):
        listed.left_out += [p.name for p in listed.teller.names.places if p.role == "empty"]


def _breeders_of(listed: _Listed, lines: list[str]) -> list[str]:
    found = listed.teller.spots_by_line(listed.kind, lines)
    return [p for p in found if listed.teller.names.place_of[p].role == "breeders"]


def _many_at_once(listed: _Listed) -> _Found | None:
    """The places meant by a role, by a word for tanks, or by "all", where none is named."""
    group = listed.group
    if listed.cut is None and (several := _of_a_role(group)):
        return several, []
    sorts = [t for t in group.tags if t.says("noun", "tank") and t.word.endswith("s") and listed.cut is None]
    if sorts and not group.kind("place"):
        every = _every_of(group, sorts[0]) or list(pointed_at(group, listed.teller, listed.kind))
        return (every, []) if every else listed.asked()
    if listed.kind in ("feed", "water_change") and _all_of_them(group) and not _all_of_something(group):
        earlier = [t for t in _groups_before(group) if "all" not in t.senses["group"]]
        return [min(earlier[0].senses["group"]) if len(earlier) == 1 else "all"], listed.left_out
    return None


def _every_of(group: Group, sort: Tag) -> list[str]:
    """All the places a word calls: "all the tubs"."""
    before = group.before(sort)
    if before is not None and before.word in ("the", "of", "my", "our"):
        before = group.before(before)
    if before is None or before.word not in ("all", "every"):
        return []
    names = group.names
    return [names.heads[h][i] for h in names.head_words.get(sort.word, ()) for i in names.heads.get(h, {})]


def _all_of_something(group: Group) -> bool:
    """ "All of them", "all the fry", "all gardneri": not every place."""
    return "all of" in group.text() or bool(group.kind("line") or group.noun("fry", "adults", "eggs"))


def _groups_before(group: Group) -> list[Tag]:
    return [t for p in group.parts[0].before_all()[:-1] for t in p.sense("group")]


def _leave_out_groups(listed: _Listed) -> None:
    """ "All but the tubs", "all except the fry"."""
    behind = [t for t in listed.group.sense("group") if listed.after_cut(t)]
    listed.left_out = [*(min(t.senses["group"]) for t in behind), *listed.left_out]
    if not listed.left_out and any(listed.after_cut(t) for t in listed.group.noun("fry")):
        listed.left_out = ["all fry"]


def _take_groups(listed: _Listed) -> bool:
    """List the groups said where no place is; whether "all" and another were said at once."""
    if listed.places or not listed.groups:
        return False
    named = list(dict.fromkeys(min(t.senses["group"]) for t in listed.groups))
    if len(named) > 1:
        listed.places = named
        return "all" in named
    listed.places = named
    if named[0] in ("all", "all tubs") and len(listed.groups) == 1:
        # "did the egg tubs, clean water all round", "egg water done, 3 drops each tub": all of those
        earlier = _groups_before(listed.group)
        listed.places = [min(t.senses["group"]) for t in earlier[-1:]] or named
    return False


def _by_lines(listed: _Listed) -> list[str]:
    """The place the fish named are in, when it can be only one: "wc gardneri"."""
    group, teller, context = listed.group, listed.teller, listed.teller.context
    lines = [x for t in group.kind("line") for x in t.value]
    if not lines:
        return []
    found = teller.spots_by_line(listed.kind, lines)
    stage = group.stage()
    if stage:
        found = tuple(p for p in found if _holds_stage(teller, p, stage, lines))
    if len(found) == 1:
        return list(found)
    if len(context.places) == 1 and set(teller.names.lines_in(context.places[0])) & set(lines):
        return list(context.places)
    of_eggs = listed.told.get("substance") in ("peroxide", "methylene blue")
    if stage or not (listed.kind == "feed" or (listed.kind == "dose" and not of_eggs)):
        return []
    main = [p for p in found if teller.names.place_of[p].role == "breeders"]
    return main if len(main) == 1 else []


def _holds_stage(teller: Teller, place: str, stage: str, lines: list[str]) -> bool:
    """Whether a place holds eggs, fry or adults of the lines named."""
    names = teller.names
    return any(b.stage == stage and b.line in lines for b in names.batches_in(place)) or (
        stage == "adults" and names.place_of[place].role == "breeders"
    )


# Short words that may follow "tank" and are no tank's name.
_AFTER_TANK = frozenset(
    [
        *("and", "at", "with", "too", "then", "for", "on", "by", "as", "so", "is", "was"),
        *("got", "had", "here", "that", "this", "near", "next"),
    ]
)


def _half_named(group: Group) -> bool:
    """Whether a tank is named by a word nobody knows: "in tub eat"."""
    return any(
        before.word in ("in", "into", "to", "from")
        and tag.kind == "lex"
        and tag.says("noun", "tank")
        and not tag.word.endswith("s")
        and after.kind == "word"
        and after.word.isalpha()
        and len(after.word) <= 4
        and after.word not in _AFTER_TANK
        for before, tag, after in zip(group.tags, group.tags[1:], group.tags[2:], strict=False)
    )


def _all_of_them(group: Group) -> bool:
    """Whether "all" stands for every place: "fed all", "all got flake", and not "gone all thin"."""
    for n, tag in enumerate(group.tags):
        if tag.word != "all":
            continue
        nxt = group.tags[n + 1] if n + 1 < len(group.tags) else None
        what = group.tags[n + 2] if n + 2 < len(group.tags) else None
        if nxt is not None and nxt.word in ("the", "of") and what is not None and what.says("noun", "water", "eggs"):
            continue  # "changed all the water": how much, not where
        if (
            nxt is None
            or nxt.kind != "word"
            or nxt.word in ("with", "the", "them", "at", "in", "on", "their", "this", "round", "ok", "again", "today")
        ):
            return True
    return False


def _so_many_of_it(group: Group, n: int) -> bool:
    """Whether a number counts the food after it, which went to somebody: "3 wafers for the pandas"."""
    tags = group.tags
    if n + 2 >= len(tags) or not tags[n + 1].says("food") or not tags[n + 1].word.endswith("s"):
        return False
    rest = [t for t in tags[n + 2 : n + 6] if t.word not in ("the", "in", "each", "some")]
    to = next((m for m, t in enumerate(rest) if t.word in ("for", "to", "into", "with")), None)
    return (
        to is not None
        and to + 1 < len(rest)
        and (rest[to + 1].kind in ("line", "place", "num") or rest[to + 1].says("group"))
    )


_DOSED = frozenset(["salted", "dosed", "treated", "medicated", "peroxided", "dechlorinated"])


def at_place(group: Group, tag: Tag) -> bool:
    """Whether a bare number stands where a place would: after "in", or in a list that does."""
    before, after = group.before(tag), group.after(tag)
    if after is not None and after.word in ("to", "into", "in", "for", "on", *STRENGTHS):
        return False  # an amount: "2 tsp to 15 and 1 to 16", "2 ppm"
    if before is not None and before.word == "gave" and after is not None and after.kind == "amount":
        return bool(group.place_id(tag))  # "gave 15 1 tbsp salt"
    while before is not None and (before.kind in ("sep", "num") or before.word in ("and", ",", "&")):
        before = group.before(before)
    if before is not None and before.word in _DOSED:
        return bool(group.place_id(tag))  # "salted 15"
    return (
        before is not None and before.word in ("in", "into", "to", "for", "on", "tank", "of") and not group.counts(tag)
    )


def _of_a_role(group: Group) -> list[str]:
    """All the places of a role: "the nursery tanks", "both grow-outs"."""
    for tag in group.sense("role"):
        n = group._index(tag)
        many = tag.word.endswith("s") or (n and group.tags[n - 1].word in ("both", "all", "every"))
        many = many or (n + 1 < len(group.tags) and group.tags[n + 1].word in ("tanks", "tubs", "boxes"))
        if many:
            return [p.name for p in group.names.places if p.role in tag.senses["role"]]
    return []
