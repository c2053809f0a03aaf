"""Events from the part each word of a note plays, and whether they are complete enough to be believed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from bot.language.learnt.beside import add_beside, closed_clauses, one_each, owners
from bot.language.learnt.bidden import ORDERS
from bot.language.learnt.carried import carried_over, hatched_before, may_hold
from bot.language.learnt.day_after_day import days_dealt, each_time, says_each_time, times_said
from bot.language.learnt.enough import MANY, is_complete, is_possible
from bot.language.learnt.grouping import events_in, stretches
from bot.language.learnt.implied import add_implied, add_unit, counted_out
from bot.language.learnt.joining import (
    dealt_out,
    dealt_to_those_before,
    gone_too,
    joined,
    none_gone,
    settled,
    shared_end,
)
from bot.language.learnt.orders import ORDER_TAKES, day_by_day, remarks, settle
from bot.language.learnt.sorted_out import fish_beside, sorted_by_fish
from bot.language.learnt.sounding import UPTO
from bot.language.learnt.taking import TAKES, only_worms
from bot.language.learnt.timing import day_and_clock
from bot.language.learnt.unfolded import FOLDED, unfolded
from bot.language.learnt.unplaced import (
    ROUTINE,
    SHARED,
    also_of_fish,
    leave_there,
    left_for_the_rest,
    likely_spot,
    spot_told_before,
)
from bot.language.learnt.values import (
    MOST_IN_A_ROW,
    Spot,
    base,
    clock_of,
    degrees_of,
    food_of,
    spot_of,
)
from bot.language.tags import Tag
from bot.language.telling import LIMITS, Teller
from bot.language.text.names import Names
from bot.language.times.dating import finished
from bot.language.times.days import Day
from shared.events import Event

Raw = dict[str, Any]

_NAMES_LINE = frozenset(["pull", "move", "death", "stock_in", "sale", "reserve", "release", "peat", "new_place", "fix"])
# What a bare number may be degrees of; common practice, no source.
_COLDEST_C, _HOTTEST_C = 16, 32
_COLDEST_F, _HOTTEST_F = 60, 90
# What a bare number with a fraction may be the pH of; common practice, no source.
_LOWEST_PH, _HIGHEST_PH = 5, 9
_PLACELESS = frozenset(["sale", "reserve", "release", "move", "stock_in", "culture"])
_DEALS = frozenset(["sale", "reserve", "release"])
_SENSE_OF = {"dose": "substance", "service": "item", "feed": "food"}


@dataclass
class Telling:
    """A note being put together: its tags, what each is told of (`kinds`), and as what (`roles`)."""

    names: Names
    sent: dt.datetime
    tags: Sequence[Tag]
    kinds: Sequence[str]
    roles: Sequence[str]
    events: list[Raw] = field(default_factory=list)
    whole: bool = True  # nothing told is uncertain
    dealt: dict[int, Day] = field(default_factory=dict)  # for a tag its own of the days listed elsewhere

    def __post_init__(self) -> None:
        self.tags, self.kinds, self.roles = unfolded(self.tags, self.kinds, self.roles, self.names)
        self.whole = self.whole and not FOLDED & set(self.roles)
        self.teller = Teller(self.names, self.sent, all_tags=list(self.tags))

    def told(self) -> tuple[tuple[Event, ...], bool]:
        """The events, and whether each has all it needs."""
        try:
            return self._told()
        except ValueError:  # a number that no measure takes, or a key that has no place in its kind
            return (), False

    def _told(self) -> tuple[tuple[Event, ...], bool]:
        ends = frozenset(at for at, tag in enumerate(self.tags) if tag.kind in ("stop", "sep"))
        ends |= closed_clauses(self.tags, self.kinds, self.roles)
        parts = [(k, s, facts) for k, s in stretches(self.kinds) for facts in events_in(k, s, self.roles, ends)]
        parts = [part for each in self._timed(parts) for part in day_by_day(self, *each)]
        self.dealt = days_dealt(self, parts)
        own = owners(self.tags, [facts for _, _, facts in parts])
        for (kind, stretch, facts), its in zip(parts, own, strict=True):
            self._tell(kind, stretch, facts, its)
        clocks = [at for at, tag in enumerate(self.tags) if clock_of(tag) and self.roles[at] == "when"]
        self.events = each_time(self.events)
        dealt_out(self.events)
        dealt_to_those_before(self.events)
        self.events = sorted_by_fish(self.events, self.names)
        self.events = carried_over(joined(self.events))
        settled(self.events)
        one_each(self.events)
        self.events += remarks(self)
        if len(clocks) > sum(event.get("_clock") is not None for event in self.events):
            self.whole = False  # "a quarter at 8, a quarter at 12"
        whole = self.whole and all(is_complete(e) and is_possible(e) and not e.get("_unsure") for e in self.events)
        self.teller.events = [{k: v for k, v in e.items() if v not in (None, [], ())} for e in self.events]
        events = finished(self.teller)
        return events, whole and not self.teller.doubts and len(events) == len(self.events)

    def _timed(self, parts: list[tuple[str, list[int], list[int]]]) -> list[tuple[str, list[int], list[int]]]:
        """A time that stands alone is that of what was told of its kind before: "wc 13, powder for E, at 9"."""
        out: list[tuple[str, list[int], list[int]]] = []
        for kind, stretch, facts in parts:
            alone = facts and all(self.roles[at] == "when" for at in facts)
            n = next((n for n in reversed(range(len(out))) if alone and out[n][0] == kind), None)
            if n is None:
                out.append((kind, stretch, facts))
            else:
                out[n] = (kind, [*out[n][1], *stretch], [*out[n][2], *facts])
        return out

    # ---- one event

    def _tell(self, kind: str, stretch: list[int], facts: list[int], own: list[int]) -> None:
        event: Raw = {"kind": base(kind)}
        if "." in kind:
            event["what" if base(kind) == "setting" else "action"] = kind.split(".")[1]
        spots: list[Spot] = []
        for at in facts:
            role = self.roles[at]
            if (ordered := ORDER_TAKES.get(f"{base(kind)}|{role}")) is not None:
                ordered(self, event, at, kind)
            elif role in ("place", "places"):
                spot = spot_of(self.tags, at, kind, self.teller)
                self.whole = self.whole and spot is not None
                spots += self._upto(at, spots, spot) or ([spot] if spot else [])
            elif role == "there":
                leave_there(self, event, at, kind)
            elif kind == "pull" and role in ("to", "to_all") and (lines := fish_beside(self.tags, at)):
                self._gone_by_fish(event, at, lines)
            elif role == "to_all":
                TAKES["to"](self, event, at, kind)
                event["_ahead_of_all"] = not any(e["kind"] == "pull" for e in self.events)
                shared_end(self.events, event["to"])
            elif (take := TAKES.get(role)) is not None:
                take(self, event, at, kind)
        named = event.get("culture") or any(self.roles[at] == "culture" for at in facts)
        self.whole = none_gone(self.events, event) and self.whole
        gone_too(self.events, event)
        if base(kind) == "culture" and not named:  # "mw 2 dead, started again"
            before = (e["culture"] for e in reversed(self.events) if e["kind"] == "culture")
            event["culture"] = next(before, None)
        if base(kind) in MANY:
            spots += also_of_fish(self, kind, facts, spots)
        self._named_beside(event, stretch, own)
        add_implied(self, event, own, facts)
        self._measured(event, stretch)
        self._reads_the_same(event, own)
        self._same(event, own)
        add_beside(event, self.tags, own, facts)
        places = counted_out(self, [p for s in spots for p in s.places], own)
        batch = next((s.batch for s in spots if s.batch), None)
        if not places and not batch and base(kind) not in _PLACELESS:
            places, batch = spot_told_before(self, event, kind, facts, own)
            if (likely := likely_spot(self, kind, facts, places, batch)) is not None:
                (places, batch), self.whole = (list(likely.places), likely.batch), False
        add_unit(self, event, [*places, *([batch] if batch else [])])
        self._put(event, places, batch)
        only_worms(self, event, facts)
        when = day_and_clock(self.tags, self.kinds, self.roles, stretch, facts, own, self.sent)
        dealt = next((self.dealt[at] for at in facts if at in self.dealt), None)
        event["_day"], event["_clock"] = dealt or when[0], when[1]
        event["_each_time"] = base(kind) in ROUTINE and says_each_time(self.tags, own)
        left_for_the_rest(self, event, facts)
        event["_sentence"] = sum(tag.kind in ("stop", "sep") for tag in self.tags[: min(facts or stretch)])
        if base(kind) == "reserve":
            event["_ahead"] = True
        if base(kind) in ORDERS:
            settle(self, event, stretch, facts, own)
        said = [at for at in facts if self.roles[at] == "quantity"]
        if base(kind) == "measure" and len(said) > 1:  # "nitrite and ammonia are both zero"
            quantities = dict.fromkeys(self.tags[at].one("quantity") for at in said)
            self.events += [{**event, "quantity": quantity} for quantity in quantities]
            return
        if cultures := event.pop("_cultures", None):
            self.events += [{**event, "culture": culture} for culture in cultures]
            return
        each = event["kind"] not in MANY | SHARED or (event["kind"] == "pull" and event.get("count") == 0)
        several = event.get("places") and each
        if event["kind"] == "pull" and event.get("count") and event.get("places"):
            several = _gave_each(self.tags, own)  # "2 and 3 both gave 7", likely each
            self.whole = self.whole and not (several and not any(self.tags[at].says("each") for at in own))
        if (
            several
            and event.get("count")
            and not any(self.tags[at].says("each") or self.tags[at].word in _EACH for at in own)
        ):
            self.whole = False  # "3 white in A and B": in each?
        together = event.get("places") or []
        told = [{**event, "place": p, "places": None, "_with": together} for p in together] if several else [event]
        times = times_said(self, facts) if base(kind) in ROUTINE and dealt is None else []
        timed = [{**e, "_day": d or e["_day"], "_clock": c, "_timed": True} for d, c in times for e in told]
        self.events += timed or told
        if event.get("_bad"):
            its = {key: event.get(key) for key in ("place", "places", "batch")}
            self.events.append({**its, "kind": "bad_eggs", "count": event["_bad"], "_of": self.events[-1]})

    def _gone_by_fish(self, event: Raw, at: int, lines: tuple[str, ...]) -> None:
        """Where the eggs of some fish went, to be sorted out once all is told."""
        end: Raw = {}
        TAKES["to"](self, end, at, "pull")
        event.setdefault("_ends", []).append((end["to"], lines))
        if event.get("count"):
            event.setdefault("to", end["to"])

    def _upto(self, at: int, spots: list[Spot], last: Spot | None) -> list[Spot]:
        """The places of "one to nine", once both ends are known."""
        if at < 2 or self.tags[at - 1].word not in UPTO or self.roles[at - 2] != "place" or not spots:
            return []
        ends = [tag.value for tag in (self.tags[at - 2], self.tags[at]) if tag.kind == "num"]
        if len(ends) < 2:
            return self._lettered_upto(spots[-1], last)
        if not ends[0] < ends[1]:
            self.whole = False
            return []
        found = [self.names.by_id.get(str(n), ()) for n in range(int(ends[0]) + 1, int(ends[1]) + 1)]
        self.whole = self.whole and all(len(x) == 1 for x in found)
        return [Spot(x) for x in found if len(x) == 1]

    def _lettered_upto(self, first: Spot, last: Spot | None) -> list[Spot]:
        """The tubs of "hey through dee", as a phone writes A to D, or the tanks of "tank 1 to tank 6"."""
        head, _, start = (first.places or ("",))[0].rpartition(" ")
        own, _, end = ((last.places if last else ()) or ("",))[0].rpartition(" ")
        lettered = len(start) == len(end) == 1 and start.isalpha() and end.isalpha() and start < end
        numbered = start.isdigit() and end.isdigit() and 0 < int(end) - int(start) < MOST_IN_A_ROW
        if head != own or not (lettered or numbered):
            self.whole = False
            return []
        if numbered:  # "t1-t6"
            found = [f"{head} {n}" for n in range(int(start) + 1, int(end) + 1)]
        else:
            found = [f"{head} {chr(n)}" for n in range(ord(start) + 1, ord(end) + 1)]
        return [Spot((place,)) for place in found if place in self.names.place_of]

    def _named_beside(self, event: Raw, stretch: list[int], own: list[int]) -> None:
        """The food, the additive or the gear that a stretch names just once; what was harvested is what is fed."""
        sort = _SENSE_OF.get(event["kind"])
        if sort and sort not in event:
            found = {self.tags[at].one(sort) for at in stretch if self.tags[at].says(sort)}
            if len(found) == 1:
                event[sort] = found.pop()
        if event["kind"] == "feed" and "food" not in event:
            self._off_the_culture(event, own)
            cups = (e for e in reversed(self.events) if e["kind"] == "culture" and e.get("action") == "harvest")
            if "food" not in event and (cup := next(cups, None)) is not None and cup.get("culture"):
                event["food"] = food_of(str(cup["culture"]))
                last = next(e for e in reversed(self.events) if e["kind"] == "culture")
                self.whole = self.whole and last.get("culture") == cup["culture"]

    def _off_the_culture(self, event: Raw, own: list[int]) -> None:
        """What was taken of the culture just told of: "started the brine, fed 11 off it"."""
        last = self.events[-1] if self.events else {}
        some = any(self.tags[at].word in _SOME for at in own)
        if some and last.get("kind") == "culture" and last.get("action") in ("start", "feed") and last.get("culture"):
            event["food"], self.whole = food_of(str(last["culture"])), False

    def _same(self, event: Raw, own: list[int]) -> None:
        """As much or of the same as before: "30 % in 13, tue same in 1"."""
        before = next((e for e in reversed(self.events) if e["kind"] == event["kind"]), None)
        same = event["kind"] in MANY | {"dose"} and before and any(self.tags[at].word == "same" for at in own)
        if same and (event.get("food") or event.get("percent")):
            self.whole = False  # "E brine and powder, 11 same"
        if same and before:
            for key in ("percent", "litres", "food", "substance", "amount", "unit"):
                if before.get(key) is not None:
                    event.setdefault(key, before[key])
        deals = [e for e in self.events if e["kind"] in _DEALS and e.get("line")]
        if event["kind"] in _DEALS and deals and any(self.tags[at].word == "same" for at in own):
            event.setdefault("_lines", (deals[-1]["line"],))  # "Mia, pr gardneri, then Ted, pr same"

    def _reads_the_same(self, event: Raw, own: list[int]) -> None:
        """As much as was measured just before: "7.4 in 13, 14 the same", "and so does G"."""
        words = [self.tags[at].word for at in own]
        before = self.events[-1] if self.events else {}
        if event["kind"] != "measure" or event.get("value") is not None or before.get("kind") != "measure":
            return
        if "same" in words or "so does" in " ".join(words):
            event["quantity"], event["value"] = before.get("quantity"), before.get("value")

    def _measured(self, event: Raw, stretch: list[int]) -> None:
        if event["kind"] != "measure":
            return
        if "quantity" not in event:
            named = self._named_quantities(event, stretch)
            before = next((e.get("quantity") for e in reversed(self.events) if e["kind"] == "measure"), None)
            event["quantity"] = self._quantity(event.get("value") or 0.0, event.get("_value"), named, before)
        tag = event.pop("_value", None)
        if event["quantity"] == "temperature" and tag is not None and event.get("value") is not None:
            event["value"] = degrees_of(tag, event["value"])

    def _named_quantities(self, event: Raw, stretch: list[int]) -> list[str | None]:
        """What is measured as named in a stretch, the last before the value first: "ph 9 7.8, 10 7.0, temps 9 71"."""
        said = [at for at in stretch if self.tags[at].says("quantity")]
        value = next((at for at in stretch if self.tags[at] is event.get("_value")), 0)
        before = [at for at in said if at < value]
        return [self.tags[at].one("quantity") for at in (*before[-1:], *said)]

    def _quantity(self, value: float, tag: Tag | None, named: list[str | None], before: str | None) -> str | None:
        """What was measured, where only a number is told: what was named, if it can be so much, else a temperature."""
        after = [self.tags[at + 1].word for at, t in enumerate(self.tags[:-1]) if t is tag]
        if (after and after[0] in ("c", "f")) or (tag is not None and tag.kind == "deg" and tag.unit in ("c", "f")):
            return "temperature"
        degrees = _COLDEST_F <= value <= _HOTTEST_F or _COLDEST_C <= value <= _HOTTEST_C
        quantity = named[0] if named else before
        low, high = LIMITS.get(str(quantity), (value, value))
        if not named and not degrees and quantity in (None, "temperature") and tag is not None and _may_be_ph(tag):
            self.whole = False
            return "ph"  # "7.2 in seven"
        return quantity if quantity and low <= value <= high else "temperature" if degrees else None

    def _put(self, event: Raw, places: list[str], batch: str | None) -> None:
        kind = event["kind"]
        self._settle_line(event, places)
        if kind == "move":
            self._put_move(event, places, batch)
            return
        if kind in MANY:
            home = self.names.batch_of[batch].place if batch in self.names.batch_of else None
            event["places"] = list(dict.fromkeys([*places, *([home] if home else [])]))
            return
        event["batch"] = batch
        event["place"] = places[0] if len(set(places)) == 1 else None
        event["places"] = list(dict.fromkeys(places)) if len(set(places)) > 1 else None
        if kind in ("sale", "reserve") and not (event.get("line") or batch or places):
            before = next((e for e in reversed(self.events) if e.get("place") or e.get("places")), None)
            place = before and (before.get("place") or before["places"][0])
            lines = set(self.names.lines_in(place)) if place else set()
            event["line"] = lines.pop() if len(lines) == 1 else None

    def _settle_line(self, event: Raw, places: list[str]) -> None:
        """Of several lines a word may mean, the one that is kept in the place named."""
        lines = event.pop("_lines", ())
        held = [x for p in places for x in self.names.lines_in(p)] if len(lines) > 1 else lines
        fit = [x for x in lines if x in held]
        if len(lines) > 1 and not fit:
            fit, self.whole = list(lines[:1]), False  # the first is likeliest meant
        event["_line"] = fit[0] if len(fit) == 1 else None
        if len(fit) == 1 and event["kind"] in _NAMES_LINE:
            event["line"] = fit[0]

    def _put_move(self, event: Raw, places: list[str], batch: str | None) -> None:
        event.setdefault("batch", batch)
        event.setdefault("from", places[0] if places else None)
        hatched = hatched_before(self.events, event)
        if hatched is not None:
            if event["from"] is None:
                event["from"], event["batch"] = hatched.get("place"), hatched.get("batch")
            event["_hatched"] = hatched
            event["line"] = event.get("line") or hatched.get("_line")
        if event["from"] is None and event.get("line"):
            found = [x for x in self.teller.spots_by_line("move", [str(event["line"])]) if x != event.get("to")]
            found = [x for x in found if may_hold(self.names, x, event)] if len(found) > 1 else found
            event["from"] = found[0] if len(found) == 1 else None


def _gave_each(tags: Sequence[Tag], own: Sequence[int]) -> bool:
    """Whether each of two mops gave as many as are told: "both had 7", "7 each"."""
    both = (at for at in own if tags[at].word in ("both", "each"))
    return any(tags[at].word == "each" or (tags[at + 1 : at + 2] and tags[at + 1].word in _GAVE) for at in both)


_GAVE = frozenset(["gave", "had", "held", "have", "got", "made", "yielded"])


def _may_be_ph(tag: Tag) -> bool:
    """Whether a bare number may be a pH: so much, and with a fraction, "7.0", "seven point two"."""
    said = {".", "point", "oh"} & set(tag.word.replace(".", " . ").split())
    return bool(said) and isinstance(tag.value, float) and _LOWEST_PH <= tag.value <= _HIGHEST_PH


_EACH = frozenset(["each", "ea", "apiece", "both", "every", "per"])
_SOME = frozenset(["it", "some", "them"])
