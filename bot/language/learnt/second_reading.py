"""A second reading of a note: what the net, shown the words and the first reading, says each stretch is told of.

It logs nothing. Where it differs from the first reading the keeper is asked, with both to tap.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from bot.language.kept_out.sayings import unsay
from bot.language.learnt.aligned import parts_of
from bot.language.learnt.alone import may_be_labelled
from bot.language.learnt.bidden import KEPT, NO_PART, ORDERS
from bot.language.learnt.parts import Telling
from bot.language.learnt.question import about_what_was_told, asked
from bot.language.learnt.readied import readied
from bot.language.learnt.room_signs import room_signs
from bot.language.learnt.taking import AS_WRITTEN
from bot.language.learnt.values import base
from bot.language.reading import Query
from bot.language.tags import Tag, Tagger
from bot.language.text.names import Names
from bot.language.text.slips import mend_slips
from shared.events import Event

if TYPE_CHECKING:
    from bot.language.learnt.net import Told

Raw = dict[str, Any]
LIKELY = 0.5
OTHERS_TRIED, MOST_OTHERS = 8, 2
UNSHOWN = ("R=", "RO=off")  # what the net is shown of a first reading that it is not shown


@dataclass(frozen=True)
class FirstReading:
    """What the rules made of a note: the outcome, what was told before it was doubted, and whether it was."""

    outcome: str
    told: tuple[Raw, ...] = ()
    whole: bool = False
    doubted: bool = False
    about: str = ""

    def signs(self, tags: Sequence[Tag], names: Names) -> list[list[str]]:
        """What the net is shown of it, tag by tag."""
        of_note = [f"RO={self.outcome}", f"RW={int(self.whole)}", f"RD={int(self.doubted)}", f"RQ={self.about}"]
        return [
            [*([f"R={p.kind}|{p.role}", f"RK={p.kind}"] if p else ["R="]), *of_note]
            for p in parts_of(tags, self.told, names)
        ]


@dataclass(frozen=True)
class SecondReading:
    """What the net makes of a note: its events and its question.

    `complete` when the events lack nothing, `whole` when besides nothing is left over, `sure` the chance of its least
    certain label, `all_sure` that of all together; `chances` and `abouts` those of kinds and outcomes, and of what may
    be asked about; `played` how many stretches play each role. `otherwise` tells what else it may be, with another
    label for one stretch, likeliest first.
    """

    events: tuple[Event, ...]
    query: Query | None
    complete: bool
    whole: bool
    sure: float
    all_sure: float
    chances: Mapping[str, float]
    abouts: Mapping[str, float]
    played: Mapping[str, int]
    otherwise: Callable[[], list[tuple[Event, ...]]] = list

    @property
    def unclear(self) -> bool:
        """Whether it can only be asked about."""
        return self.chances.get("ask", 0.0) > LIKELY and not self.events

    @property
    def kept(self) -> bool:
        """Whether it tells nothing, but is worth keeping."""
        return not self.events and self.query is None and self.chances.get(KEPT, 0.0) > LIKELY


def read_again(names: Names, tags: Sequence[Tag], sent: dt.datetime, first: FirstReading) -> SecondReading:
    """The second reading of a note sent at a local time, from its tags as they were before the first claimed them."""
    from bot.language.learnt.net import Net

    tags = readied(tags, names, sent)
    shown = zip(room_signs(tags, names), first.signs(tags, names), strict=True)
    said = Net.load().labels(tags, [[*of_room, *of_rules] for of_room, of_rules in shown])
    kinds, roles, sure, all_sure, mine = ["O"] * len(tags), [NO_PART] * len(tags), 1.0, 1.0, list[int]()
    for at, guess in enumerate(said.best):
        kind, _, role = guess.label.partition("|")
        if may_be_labelled(tags, at, names):
            kinds[at], roles[at] = kind, role or NO_PART
            mine.append(at)
            sure, all_sure = min(sure, guess.chance), all_sure * guess.chance
        elif not role and base(kind) in ORDERS and said.chances.get(base(kind), 0.0) > LIKELY:
            kinds[at] = kind  # the words of an order that names nothing
    events, complete = Telling(names, sent, tags, kinds, roles).told()
    about = max(said.abouts, key=lambda about: said.abouts[about], default="")
    query = about_what_was_told(asked(names, sent, tags, kinds, roles, about), events, tags) if about else None
    whole = complete and not _left_over(tags, kinds, roles) and not _miscounted(tags, roles)

    def otherwise() -> list[tuple[Event, ...]]:
        found, heard = list[tuple[Event, ...]](), [(len(events), facts_of(events, names))]
        for at, label in _other_labels(said, mine)[:OTHERS_TRIED]:
            if sum(map(bool, found)) == MOST_OTHERS:
                break
            kind, _, role = label.partition("|")
            other_kinds = [*kinds[:at], kind, *kinds[at + 1 :]]
            other_roles = [*roles[:at], role or NO_PART, *roles[at + 1 :]]
            told, lacks_nothing = Telling(names, sent, tags, other_kinds, other_roles).told()
            facts = facts_of(told, names)
            only_less = any(len(told) == many and _within(facts, more) for many, more in heard)
            if lacks_nothing and not only_less:
                found.append(tuple(event for event in told if event.kind != KEPT))
                heard.append((len(found[-1]), facts))
        return [events for events in found if events]

    played = Counter(role for role in roles if role != NO_PART)
    return SecondReading(
        events, query, complete, whole, sure, all_sure, said.chances, said.abouts, played, cache(otherwise)
    )


def _other_labels(said: Told, labelled: Sequence[int]) -> list[tuple[int, str]]:
    """The stretches that may well have another label, and which, those first that lose least by it."""
    lost = [
        (other.chance / said.guesses[at][0].chance, at, other.label)
        for at in labelled
        for other in said.guesses[at][1:]
    ]
    return [(at, label) for _, at, label in sorted(lost, key=lambda one: -one[0])]


def tags_of(names: Names, text: str, sent: dt.datetime) -> list[Tag]:
    """The tags of a note before any are claimed."""
    tags = Tagger(names, text, sent).tags
    unsay(tags)
    mend_slips(tags)
    return readied(tags, names, sent)


_HOURS = 24
_FACTS = frozenset(["num", "pct", "frac", "money", "deg", "amount", "vol", "len", "place", "batch", "culture", "times"])


def _left_over(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str]) -> bool:
    """Whether a number or a place plays no part in what is told: it may say something that was not heard."""
    return any(
        ((tag.kind in _FACTS or any(map(str.isdigit, tag.word))) and role == NO_PART and kind == "O")
        or (role == "when" and tag.kind == "num" and not 0 <= tag.value <= _HOURS)
        for tag, kind, role in zip(tags, kinds, roles, strict=True)
    )


_NO_COUNT = frozenset(["value", "when", "percent", "amount", "price"])


def _miscounted(tags: Sequence[Tag], roles: Sequence[str]) -> bool:
    """Whether a number before "eggs" or "fry" is told as something else than how many: "78 fungused eggs"."""
    return any(
        role in _NO_COUNT and tag.kind == "num" and any(t.says("noun", "eggs", "fry") for t in tags[at + 1 : at + 3])
        for at, (tag, role) in enumerate(zip(tags, roles, strict=True))
    )


_LISTED = frozenset(["water_change", "top_off", "feed", "dose", "measure", "service"])  # of several places as of each
_FOLLOWS = ("line", "batch", "from", "stage", "sex", "male", "female", "cause", "currency", "unit", "text", "role")


def same(some: Sequence[Event], others: Sequence[Event], names: Names) -> bool:
    """Whether two readings would log the same, apart from what follows from the rest, repetitions and remarks."""
    one, other = facts_of(some, names), facts_of(others, names)
    return all(facts in other for facts in one) and all(facts in one for facts in other)


def within(some: Sequence[Event], others: Sequence[Event], names: Names) -> bool:
    """Whether one reading says nothing that another does not, only less."""
    return _within(facts_of(some, names), facts_of(others, names))


def _within(some: Sequence[Mapping[str, str]], others: Sequence[Mapping[str, str]]) -> bool:
    return all(any(facts.items() <= more.items() for more in others) for facts in some)


def facts_of(events: Sequence[Event], names: Names) -> list[dict[str, str]]:
    """What events say that does not follow from the rest, apart from remarks."""
    return [_bare(raw, names) for raw in _each(events)]


def _each(events: Sequence[Event]) -> list[Raw]:
    out: list[Raw] = []
    for event in events:
        raw = event.outside()
        if raw["kind"] == "remark":
            continue
        places = raw.pop("places", None) or []
        if places and (raw["kind"] in _LISTED or not raw.get("count")):
            out += [{**raw, "place": place} for place in places]
        else:
            out.append({**raw, "place": " ".join(sorted(places)) or raw.get("place")})
    return out


def _bare(raw: Raw, names: Names) -> dict[str, str]:
    """The facts of an event that do not follow from one another, as text."""
    kept = {k: v for k, v in raw.items() if k not in _FOLLOWS and v is not None}
    batch = names.batch_of.get(str(raw.get("batch")))
    if "place" not in kept and batch is not None and raw["kind"] not in ("move", "sale", "reserve", "release"):
        kept["place"] = batch.place
    if kept.get("substance") == "peroxide":
        del kept["substance"]  # what drops into an egg tub are
    if str(kept.get("food", "")).rstrip("s").endswith(AS_WRITTEN):
        kept["food"] = str(kept["food"]).rstrip("s").split()[-1]  # "sinking wafers", "a wafer"
    if str(kept.get("item", "")).endswith("filter"):
        kept["item"] = "filter"
    return {k: f"{v:g}" if isinstance(v, int | float) else str(v).casefold() for k, v in kept.items()}
