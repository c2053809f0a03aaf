"""What was found and done in a span of time, as figures: eggs, hatches, deaths, sales, and the round itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from bot import sentences as say
from bot.readback.told import money
from shared.due.rounds import WATER
from shared.due.tasks import tasks_said
from shared.events import EggsPulled, FishDied, FishMoved, FishSold, FryHatched, TaskDone, WaterChanged
from shared.ledger.standing import Entry, Tally, cause_of
from storage.engine import RoomInfo

MOST_LINES_NAMED = 4
KINDS = ("pull", "hatch", "move", "death", "bad_eggs", "sale")


@dataclass
class Sum:
    """One number with what is known of it: where it came from, and whether some of it was never counted."""

    number: int = 0
    blank: int = 0  # entries without a number
    about: bool = False
    by: Counter[str] = field(default_factory=Counter)  # line or place

    def add(self, count: int | None, name: str | None, about: bool = False) -> None:
        if count is None:
            self.blank += 1
            return
        self.number += count
        self.about = self.about or about
        if name and count:
            self.by[name] += count

    def __bool__(self) -> bool:
        return bool(self.number or self.blank)

    def said(self, words: str, *, named: bool = True) -> str:
        """`40 eggs (gardneri 28, lampeye 12)`, `about 30 fry hatched`, `dead, not counted`."""
        if not self.number:
            return f"{words}, not counted"
        text = f"{'about ' if self.about else ''}{say.number(self.number)} {words}"
        names = [f"{name} {n}" for name, n in self.by.most_common(MOST_LINES_NAMED)]
        if len(self.by) == 1 and sum(self.by.values()) == self.number:
            names = list(self.by)
        if named and names:
            text += f" ({', '.join(names)}{' …' if len(self.by) > MOST_LINES_NAMED else ''})"
        return f"{text} and some not counted" if self.blank else text


@dataclass
class Found:
    """The figures of a day or a week."""

    eggs: Sum = field(default_factory=Sum)
    hatched: Sum = field(default_factory=Sum)
    bad: Sum = field(default_factory=Sum)
    dead: Sum = field(default_factory=Sum)
    culled: Sum = field(default_factory=Sum)
    sold: Sum = field(default_factory=Sum)
    income: Counter[str | None] = field(default_factory=Counter)  # by currency, None the room's own
    pulls: Counter[str] = field(default_factory=Counter)

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> Found:
        """The figures of these entries (of any kind)."""
        found = cls()
        for entry in entries:
            found.add(entry)
        return found

    def add(self, entry: Entry) -> None:
        event, line, place = entry.event, _line(entry), entry.place
        about = bool(getattr(event, "estimated", False))
        match event:
            case EggsPulled():
                self.eggs.add(event.count, line, about)
                for spot in event.spots:
                    self.pulls[spot] += 1
            case FryHatched():
                self.hatched.add(event.count, entry.batch or line, about)
            case FishMoved():
                for p in entry.postings:
                    if p.source and p.target and p.source.stage == "eggs" != p.target.stage:
                        self.hatched.add(p.count, p.source.group, about or p.estimated)
            case FishDied():
                lost = self.culled if cause_of(event.cause) == "culled" else self.dead
                lost.add(event.count, place or entry.batch or line)
            case FishSold():
                self.sold.add(event.count, None)
                if event.price:
                    self.income[event.currency] += event.price  # type: ignore[assignment]
            case _ if event.kind == "bad_eggs":
                self.bad.add(getattr(event, "count", None), None)

    def said(self, info: RoomInfo, *, named: bool = True) -> list[str]:
        """Each figure there is, in words; `named` with where it was found."""
        parts = []
        if self.eggs:
            parts.append(self.eggs.said("egg" if self.eggs.number == 1 else "eggs", named=named))
        if self.hatched:
            parts.append(self.hatched.said("fry hatched" if named else "hatched", named=named))
        if self.bad:
            parts.append(self.bad.said("bad egg" if self.bad.number == 1 else "bad eggs", named=False))
        if self.dead:
            parts.append(self.dead.said("dead", named=named))
        if self.culled:
            parts.append(self.culled.said("culled", named=named))
        if self.sold:
            parts.append(self.sold.said("sold", named=False) + self.earned(info))
        return parts

    def earned(self, info: RoomInfo) -> str:
        """` for $20`; other currencies each by itself."""
        own = [money(v, info) for c, v in self.income.items() if c in (None, info.currency)]
        other = [f"{say.number(v)} {c}" for c, v in self.income.items() if c not in (None, info.currency)]
        return f" for {say.listed([*own, *other])}" if own or other else ""


def _line(entry: Entry) -> str | None:
    line = entry.line or getattr(entry.event, "line", None)
    return line if line != "unknown" else entry.place


_NOUNS = {"pull_mop": "mop", "service": "filter or gear", "culture_feed": "culture", "culture_restart": "culture"}


def done(entries: Iterable[Entry]) -> list[str]:
    """What was done on the round, in few words: `water in 7 places`, `14 feeds`, `3 mops`."""
    water: set[str] = set()
    fed: set[str] = set()
    counts: Counter[str] = Counter()
    for entry in entries:
        event = entry.event
        match event.kind:
            case "water_change" if isinstance(event, WaterChanged) and entry.place:
                water.add(entry.place)
            case "feed" if entry.place:
                fed.add(entry.place)
            case "pull":
                counts["mop"] += len(getattr(event, "spots", ())) or 1
            case "done" if isinstance(event, TaskDone) and not event.ends:
                task = next(iter(tasks_said(event.task, bool(event.spots))), "")
                if task in WATER:
                    water.update(event.spots)
                elif task in ("feed", "fry_feed"):
                    fed.update(event.spots)
                elif task in _NOUNS:
                    counts[_NOUNS[task]] += len(event.spots)
            case "measure":
                counts["reading"] += 1
            case "service":
                counts["filter or gear"] += 1
            case "culture":
                counts["culture"] += 1
    said = [f"water in {say.count(len(water), 'place')}"] if water else []
    said += [f"fed {say.count(len(fed), 'place')}"] if fed else []
    words = (("mop", "mops"), ("reading", "readings"), ("culture", "cultures"), ("filter or gear", "filters or gear"))
    said += [say.count(counts[one], one, many) for one, many in words if counts[one]]
    return said


def causes(fish: Tally) -> str:
    """How those that died were lost: ` (3 culled, 1 jumped, 2 found dead)`; nothing where all were found dead."""
    ways = [(fish.culled, "culled"), (fish.jumped, "jumped"), (fish.eaten, "eaten"), (fish.missing, "missing")]
    told = [f"{count} {how}" for count, how in ways if count]
    if told and fish.found_dead:
        told.append(f"{fish.found_dead} found dead")
    return f" ({', '.join(told)})" if told else ""


def survived(fish: Tally) -> list[str]:
    """What share of the fish that came did not die, and what it is when culls are not counted; a line or none."""
    all_, others = fish.survival(culls=True), fish.survival(culls=False)
    if all_ is None or not fish.died:
        return []
    apart = f", {100 * others:.0f} % when culls are not counted" if fish.culled and others is not None else ""
    return [f"Alive or passed on: {100 * all_:.0f} % of the fish that came{apart}."]


def lose(tally: Tally, death: FishDied) -> None:
    """Count a loss under its cause."""
    number, how = death.count or 0, cause_of(death.cause)
    tally.died += number
    if how != "found":
        setattr(tally, how, getattr(tally, how) + number)
