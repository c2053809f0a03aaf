"""The fish ledger: entries move fish between accounts, and what stands is the sum of the entries that stand.

An account is a group (a batch, or a line's unbatched fish) in a place at a stage. Every posting takes a number
from one account and puts it into another, or names how it came from or left the room; so a batch adds up:
start + pulled (or hatched) + moved in = bad (or died) + hatched + sold + moved out + alive + unaccounted.
Sums do not depend on the order of entries, so a late entry only takes its place in time.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field

from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    Corrected,
    CultureOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    Event,
    Fed,
    FishDied,
    FishMoved,
    FishPromised,
    FishSold,
    FryHatched,
    GearServiced,
    HeadsCounted,
    LineOpened,
    Measured,
    MopHung,
    PeatHandled,
    PlaceClosed,
    PlaceOpened,
    PromiseReleased,
    ReminderAsked,
    RoutineSet,
    Stage,
    StockArrived,
    TaskDone,
    TaskPutOff,
    ToppedOff,
    WaterChanged,
    WordTaught,
)

Side: TypeAlias = Literal["eggs", "fish"]
# How fish come into or leave a group otherwise than from place to place.
Outside: TypeAlias = Literal["start", "pulled", "moved_in", "moved_out", "bad", "died", "sold", "unaccounted"]

KEPT_TIMES = 16  # how many times of a chore are remembered per place; a day has at most a handful
KEPT_READINGS = 120
KEPT_PAST = 60  # finished hatches remembered per line
ARCHIVED_AFTER = dt.timedelta(days=60)


def side_of(stage: Stage) -> Side:
    return "eggs" if stage == "eggs" else "fish"


class Account(BaseModel):
    """Where fish stand: a group in a place at a stage. A place of "" is eggs in hand, not yet set."""

    model_config = ConfigDict(frozen=True)
    group: str
    place: str
    stage: Stage

    @property
    def key(self) -> str:
        return f"{self.group}|{self.place}|{self.stage}"


class Posting(BaseModel):
    """`count` fish or eggs from one account to another; one end may be outside.

    `count` None: some, nobody counted. `whole`: all that stood in the source, however many.
    """

    model_config = ConfigDict(frozen=True)
    source: Account | None = None
    target: Account | None = None
    outside: Outside | None = None
    count: int | None = None
    male: int = 0
    female: int = 0
    whole: bool = False
    estimated: bool = False
    counts: bool = False  # after this the account is counted (a first head count, a counted pull)


class Entry(BaseModel):
    """One line of the ledger: an event, when it happened, when it was said, by whom and in which message."""

    model_config = ConfigDict(frozen=True)
    seq: int
    event: Event = Field(discriminator="kind")
    at: dt.datetime
    said: dt.datetime
    person: str
    message: int
    postings: tuple[Posting, ...] = ()
    batch: str | None = None
    place: str | None = None
    laid_from: dt.datetime | None = None
    laid_to: dt.datetime | None = None
    line: str | None = None
    retracts: tuple[int, ...] = ()
    joins: str | None = None  # the batch this batch was merged into

    @property
    def names(self) -> frozenset[str]:
        """Every place, batch, line and culture this entry touches, for finding it again."""
        found: set[str] = set()
        for key in ("place", "to", "source", "batch", "line", "culture"):
            value = getattr(self.event, key, None)
            if isinstance(value, str):
                found.add(value)
        found.update(getattr(self.event, "places", ()))
        found.update(n for n in (self.batch, self.place, self.line) if n)
        for posting in self.postings:
            for account in (posting.source, posting.target):
                if account:
                    found.update(n for n in (account.group, account.place) if n)
        return frozenset(found)


class Tally(BaseModel):
    """How a group came to what it is, on one side (eggs or fish); `unknown` names what nobody counted."""

    start: int = 0
    pulled: int = 0
    moved_in: int = 0
    bad: int = 0
    died: int = 0
    culled: int = 0  # of those that died
    hatched: int = 0  # eggs: left as fry; fish: came as fry
    sold: int = 0
    moved_out: int = 0
    unaccounted: int = 0
    unknown: list[str] = []

    def alive(self, side: Side) -> int:
        came = self.start + self.moved_in + (self.pulled if side == "eggs" else self.hatched)
        left = (self.bad + self.hatched) if side == "eggs" else self.died
        return came - left - self.sold - self.moved_out - self.unaccounted


class Holding(BaseModel):
    """What stands in one account. `counted` false: only changes are known, never how many there were."""

    group: str
    line: str
    place: str
    stage: Stage
    count: int = 0
    counted: bool = False
    estimated: bool = False
    male: int = 0
    female: int = 0
    since: dt.datetime

    @property
    def number(self) -> int | None:
        return self.count if self.counted else None

    @property
    def account(self) -> Account:
        return Account(group=self.group, place=self.place, stage=self.stage)


class Batch(BaseModel):
    """Eggs collected together and the fish from them."""

    name: str
    line: str
    opened: dt.datetime
    touched: dt.datetime
    laid_from: dt.datetime | None = None
    laid_to: dt.datetime | None = None
    fry_seen: dt.datetime | None = None
    clear_until: dt.datetime | None = None  # last look without fry before the first fry
    eyed: dt.datetime | None = None
    eyed_count: int | None = None
    medium: str = "water"
    wetted: dt.datetime | None = None
    parents: list[str] = []
    generation: str | None = None
    joined: str | None = None
    eggs: Tally = Field(default_factory=Tally)
    fish: Tally = Field(default_factory=Tally)

    def tally(self, side: Side) -> Tally:
        return self.eggs if side == "eggs" else self.fish


class Place(BaseModel):
    """A tank, tub or bag. `role` is what it is for; what stands in it is in the holdings."""

    name: str
    kind: str = "tank"
    litres: float | None = None
    volume: str | None = None
    role: str | None = None
    line: str | None = None
    collect: str | None = None
    aka: list[str] = []
    closed: bool = False


class Line(BaseModel):
    name: str
    species: str | None = None
    eggs: str | None = None
    population: str | None = None
    generation: str | None = None
    aka: list[str] = []


class Culture(BaseModel):
    name: str
    started: dt.datetime | None = None
    fed: dt.datetime | None = None
    harvested: dt.datetime | None = None
    crashed: dt.datetime | None = None


class Chore(BaseModel):
    """When one thing was last done in one place: the latest times, newest last."""

    times: list[dt.datetime] = []

    def add(self, at: dt.datetime) -> None:
        self.times.append(at)
        if len(self.times) > 1 and self.times[-2] > at:
            self.times.sort()
        del self.times[:-KEPT_TIMES]

    @property
    def last(self) -> dt.datetime | None:
        return self.times[-1] if self.times else None


class Reading(BaseModel):
    at: dt.datetime
    value: float


class Kept(BaseModel):
    """An entry that stays open: a promise, a reminder, a putting off, a routine setting."""

    seq: int
    said: dt.datetime
    event: FishPromised | ReminderAsked | TaskPutOff | RoutineSet = Field(discriminator="kind")


class PastHatch(BaseModel):
    """A hatch seen here, as experience for the next: laid between, fry first seen between."""

    batch: str
    line: str
    laid_from: dt.datetime
    laid_to: dt.datetime
    clear_until: dt.datetime | None
    fry_seen: dt.datetime
    temp_c: float | None = None


class Standing(BaseModel):
    """How the room stands after the entries applied so far (all of them, or those up to some moment)."""

    seq: int = 0
    begun: dt.datetime | None = None
    places: dict[str, Place] = {}
    lines: dict[str, Line] = {}
    batches: dict[str, Batch] = {}
    cultures: dict[str, Culture] = {}
    words: dict[str, str] = {}
    holdings: dict[str, Holding] = {}
    group_tallies: dict[str, Tally] = {}  # unbatched fish, by line
    chores: dict[str, Chore] = {}
    readings: dict[str, list[Reading]] = {}
    promises: list[Kept] = []
    reminders: list[Kept] = []
    put_off: list[Kept] = []
    settings: list[Kept] = []
    done: dict[str, dt.datetime] = {}  # task words said to be done, by task|place
    past: dict[str, list[PastHatch]] = {}
    last_batch: int = 0
    dosed_by: dict[str, float] = {}  # the largest amount each person has put in, by person|substance

    # ---- what stands

    def at_place(self, place: str) -> list[Holding]:
        return [h for h in self.holdings.values() if h.place == place]

    def of_group(self, group: str) -> list[Holding]:
        return [h for h in self.holdings.values() if h.group == group]

    def eggs_at(self, place: str) -> list[Holding]:
        return [h for h in self.at_place(place) if h.stage == "eggs"]

    def fish_at(self, place: str) -> list[Holding]:
        return [h for h in self.at_place(place) if h.stage != "eggs"]

    def last(self, place: str, chore: str) -> dt.datetime | None:
        found = self.chores.get(f"{place}|{chore}")
        return found.last if found else None

    def times(self, place: str, chore: str) -> list[dt.datetime]:
        found = self.chores.get(f"{place}|{chore}")
        return list(found.times) if found else []

    def latest(self, place: str, quantity: str) -> Reading | None:
        found = self.readings.get(f"{place}|{quantity}")
        return found[-1] if found else None

    def line_of(self, group: str) -> str:
        batch = self.batches.get(group)
        return batch.line if batch else group

    def tally(self, group: str, side: Side) -> Tally:
        batch = self.batches.get(group)
        if batch:
            return batch.tally(side)
        return self.group_tallies.get(f"{group}|{side}") or Tally()

    def next_batch_name(self) -> str:
        return f"B{self.last_batch + 1}"

    # ---- folding entries in

    def apply(self, entry: Entry) -> None:
        """Add one entry. Entries that take others back are left to whoever folds: see `fold`."""
        self.seq = max(self.seq, entry.seq)
        self.begun = entry.at if self.begun is None else min(self.begun, entry.at)
        if entry.retracts and not entry.postings:
            return
        _open(self, entry)
        for posting in entry.postings:
            _post(self, entry, posting)
        _note(self, entry)
        if entry.seq % 256 == 0:
            self._archive(entry.said)

    def _archive(self, now: dt.datetime) -> None:
        """Let go of batches with nothing alive that nobody has touched for long; the journal still has them."""
        alive = {h.group for h in self.holdings.values()}
        for name, batch in list(self.batches.items()):
            if name not in alive and now - batch.touched > ARCHIVED_AFTER:
                del self.batches[name]


def fold(entries: Iterable[Entry], start: Standing | None = None) -> Standing:
    """What stands after `entries`, those taken back by a later one among them left out."""
    listed = list(entries)
    gone = {seq for entry in listed for seq in entry.retracts}
    standing = start.model_copy(deep=True) if start else Standing()
    for entry in listed:
        if entry.seq not in gone:
            standing.apply(entry)
        else:
            standing.seq = max(standing.seq, entry.seq)
    return standing


def _vessel(name: str) -> str:
    """The sort of place a name tells of, a tank where it tells nothing."""
    first = name.split()[0].lower() if name.split() else ""
    return first if first in ("tank", "tub", "jar", "bag", "bowl", "box", "bucket") else "tank"


def number_in(name: str) -> int:
    """The number in a batch name like B24, or 0."""
    digits = name[1:]
    return int(digits) if name[:1] in "Bb" and digits.isdigit() else 0


def _open(standing: Standing, entry: Entry) -> None:
    """Make the batch an entry speaks of, or widen when it was laid."""
    if not entry.batch or entry.batch in standing.lines:
        return
    batch = standing.batches.get(entry.batch)
    if batch is None:
        line = entry.line or getattr(entry.event, "line", None) or "unknown"
        kept = standing.lines.get(line)
        batch = Batch(
            name=entry.batch,
            line=line,
            opened=entry.at,
            touched=entry.said,
            medium=(kept.eggs if kept and kept.eggs else "water"),
        )
        standing.batches[entry.batch] = batch
        standing.last_batch = max(standing.last_batch, number_in(entry.batch))
    batch.touched = max(batch.touched, entry.said)
    if entry.laid_from:
        batch.laid_from = min(batch.laid_from, entry.laid_from) if batch.laid_from else entry.laid_from
    if entry.laid_to:
        batch.laid_to = max(batch.laid_to, entry.laid_to) if batch.laid_to else entry.laid_to
    if isinstance(entry.event, EggsPulled):
        for place in entry.event.spots:
            if place not in batch.parents:
                batch.parents.append(place)


def _post(standing: Standing, entry: Entry, posting: Posting) -> None:
    source = standing.holdings.get(posting.source.key) if posting.source else None
    count = posting.count
    was_counted = source is not None and source.counted
    if posting.whole:
        count = source.count if source else 0
    if posting.source:
        _take(standing, entry, posting, source, count)
    if posting.target:
        _put(standing, entry, posting, source, count)
    _tally(standing, entry, posting, count, known=count is not None and (not posting.whole or was_counted))


def _take(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.source is not None
    if source is None:
        source = Holding(
            group=posting.source.group,
            line=standing.line_of(posting.source.group),
            place=posting.source.place,
            stage=posting.source.stage,
            since=entry.at,
        )
        standing.holdings[posting.source.key] = source
    if posting.whole:
        standing.holdings.pop(posting.source.key, None)
        return
    if count is None:
        source.estimated = True
    else:
        source.count -= count
    source.male = max(0, source.male - posting.male)
    source.female = max(0, source.female - posting.female)
    if source.counted and source.count == 0:
        del standing.holdings[posting.source.key]


def _put(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.target is not None
    target = standing.holdings.get(posting.target.key)
    fresh = target is None
    if target is None:
        target = Holding(
            group=posting.target.group,
            line=standing.line_of(posting.target.group),
            place=posting.target.place,
            stage=posting.target.stage,
            since=entry.at,
        )
        standing.holdings[posting.target.key] = target
    was_counted = target.counted or fresh
    carried = source is None or source.counted or not posting.whole
    if count is None:
        target.counted = False
    else:
        target.count += count
        target.counted = posting.counts or (was_counted and carried)
    target.estimated = target.estimated or posting.estimated or bool(posting.whole and source and source.estimated)
    target.male += posting.male
    target.female += posting.female
    if posting.whole and source is not None:
        target.male += source.male
        target.female += source.female
    if target.counted and target.count == 0:
        del standing.holdings[posting.target.key]


def _tally(standing: Standing, entry: Entry, posting: Posting, count: int | None, known: bool) -> None:
    """Write a posting into the groups' sums."""
    source, target = posting.source, posting.target

    def own(group: str, side: Side) -> Tally:
        batch = standing.batches.get(group)
        return batch.tally(side) if batch else standing.group_tallies.setdefault(f"{group}|{side}", Tally())

    def add(group: str, side: Side, name: str) -> None:
        tally = own(group, side)
        if not known and name not in tally.unknown:
            tally.unknown.append(name)
        setattr(tally, name, getattr(tally, name) + (count or 0))

    if source and target:
        sides = side_of(source.stage), side_of(target.stage)
        if sides == ("eggs", "fish"):
            add(source.group, "eggs", "hatched")
            if source.group == target.group:
                add(target.group, "fish", "hatched")
            else:
                add(source.group, "fish", "hatched")
                add(source.group, "fish", "moved_out")
                add(target.group, "fish", "moved_in")
        elif source.group != target.group:
            add(source.group, sides[0], "moved_out")
            add(target.group, sides[1], "moved_in")
    elif target and posting.outside:
        if posting.outside == "unaccounted":
            tally = own(target.group, side_of(target.stage))
            tally.unaccounted -= count or 0
        else:
            add(target.group, side_of(target.stage), posting.outside)
    elif source and posting.outside:
        add(source.group, side_of(source.stage), posting.outside)
        if isinstance(entry.event, FishDied) and entry.event.cause == "culled" and count:
            own(source.group, "fish").culled += count


def _chore(standing: Standing, place: str, chore: str, at: dt.datetime) -> None:
    standing.chores.setdefault(f"{place}|{chore}", Chore()).add(at)


def _look(standing: Standing, places: Iterable[str], at: dt.datetime) -> None:
    """Whoever tends an egg tub looks into it: no fry mentioned means none seen."""
    for place in places:
        _chore(standing, place, "look", at)


def _note(standing: Standing, entry: Entry) -> None:
    """What an event changes beside the numbers."""
    event, at = entry.event, entry.at
    places = [entry.place] if entry.place else []
    match event:
        case LineOpened():
            standing.lines[event.line] = Line(
                name=event.line,
                species=event.species,
                eggs=event.eggs,
                population=event.population,
                generation=event.generation,
                aka=list(event.aka),
            )
        case PlaceOpened():
            known = standing.places.get(event.place)
            standing.places[event.place] = Place(
                name=event.place,
                kind=event.vessel or (known.kind if known else _vessel(event.place)),
                litres=event.litres or (known.litres if known else None),
                role=event.role or (known.role if known else None),
                line=event.line or (known.line if known else None),
                collect=event.collect or (known.collect if known else None),
                aka=known.aka if known else [],
            )
        case PlaceClosed():
            if event.place in standing.places:
                standing.places[event.place].closed = True
        case CultureOpened():
            standing.cultures.setdefault(event.culture, Culture(name=event.culture))
        case WordTaught():
            standing.words[event.word] = event.means
        case BatchOpened():
            batch = standing.batches[event.batch]
            batch.medium = event.medium or batch.medium
            batch.generation = event.generation
            if event.hatched:
                batch.fry_seen = dt.datetime.combine(event.hatched, dt.time(12), dt.UTC)
        case EggsPulled():
            for place in event.spots:
                _chore(standing, place, "pull", at)
        case MopHung():
            _chore(standing, event.place, "mop", at)
        case BadEggsRemoved():
            for place in places:
                _chore(standing, place, "pick", at)
            _look(standing, places, at)
        case EggsEyed():
            if entry.batch and entry.batch in standing.batches:
                standing.batches[entry.batch].eyed = at
                standing.batches[entry.batch].eyed_count = event.count
            _look(standing, places, at)
        case FryHatched():
            _hatched(standing, entry)
            _look(standing, places, at)
        case FishMoved():
            if any(p.source and p.target and p.source.stage == "eggs" != p.target.stage for p in entry.postings):
                _hatched(standing, entry)
            if event.to:
                _chore(standing, event.to, "arrival", at)
        case WaterChanged():
            for place in places:
                _chore(standing, place, "water", at)
            _look(standing, places, at)
        case ToppedOff():
            for place in places:
                _chore(standing, place, "top off", at)
        case Dosed():
            for place in places:
                _chore(standing, place, f"dose:{event.substance or 'peroxide'}", at)
            key = f"{entry.person}|{event.substance or 'peroxide'}"
            standing.dosed_by[key] = max(standing.dosed_by.get(key, 0), event.amount or 0)
        case Fed():
            for place in places:
                _chore(standing, place, "feed", at)
                if event.food:
                    _chore(standing, place, f"feed:{event.food}", at)
        case Measured():
            if event.value is not None:
                for name in {entry.place or entry.batch or ""}:
                    kept = standing.readings.setdefault(f"{name}|{event.quantity}", [])
                    kept.append(Reading(at=at, value=event.value))
                    kept.sort(key=lambda r: r.at)
                    del kept[:-KEPT_READINGS]
                    _chore(standing, name, f"test:{event.quantity}", at)
        case GearServiced():
            for place in places:
                _chore(standing, place, f"service:{event.item}", at)
        case CultureTended():
            culture = standing.cultures.setdefault(event.culture, Culture(name=event.culture))
            match event.action:
                case "start":
                    culture.started, culture.crashed = at, None
                case "feed":
                    culture.fed = at
                case "harvest":
                    culture.harvested = at
                case "crash":
                    culture.crashed = at
        case PeatHandled():
            batch_there = standing.batches.get(entry.batch or "")
            if batch_there:
                batch_there.medium = "peat"
                if event.action == "wet":
                    batch_there.wetted = at
            for place in places:
                _chore(standing, place, f"peat:{event.action}", at)
        case StockArrived():
            if entry.place:
                _chore(standing, entry.place, "arrival", at)
        case FishPromised():
            standing.promises.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case FishSold():
            if event.buyer:
                _keep_promises(standing, event.buyer, entry.line or event.line)
        case PromiseReleased():
            _keep_promises(standing, event.buyer, event.line)
        case ReminderAsked():
            standing.reminders.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskPutOff():
            standing.put_off.append(Kept(seq=entry.seq, said=entry.said, event=event))
            del standing.put_off[:-100]
        case RoutineSet():
            standing.settings.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskDone():
            standing.done[f"{event.task}|{entry.place or event.batch or ''}"] = at
        case HeadsCounted():
            for place in places:
                _chore(standing, place, "count", at)
        case Corrected() | _:
            pass
    if entry.joins and entry.batch and entry.batch in standing.batches:
        standing.batches[entry.batch].joined = entry.joins


def _hatched(standing: Standing, entry: Entry) -> None:
    """The first fry of a batch: from here on there is experience for the next one."""
    batch = standing.batches.get(entry.batch or "")
    if batch is None or (batch.fry_seen and batch.fry_seen <= entry.at):
        return
    looked = [t for t in standing.times(entry.place or "", "look") if t < entry.at]
    batch.fry_seen, batch.clear_until = entry.at, looked[-1] if looked else None
    if batch.laid_from and batch.laid_to:
        temps = [r.value for r in standing.readings.get(f"{entry.place}|temperature", []) if r.at >= batch.laid_from]
        kept = [p for p in standing.past.get(batch.line, []) if p.batch != batch.name]
        kept.append(
            PastHatch(
                batch=batch.name,
                line=batch.line,
                laid_from=batch.laid_from,
                laid_to=batch.laid_to,
                clear_until=batch.clear_until,
                fry_seen=entry.at,
                temp_c=sum(temps) / len(temps) if temps else None,
            )
        )
        standing.past[batch.line] = kept[-KEPT_PAST:]


def _keep_promises(standing: Standing, buyer: str | None, line: str | None) -> None:
    """Close the promises a sale or a cancellation answers: that buyer's, of that line where it says one."""
    for kept in list(standing.promises):
        promise = kept.event
        if not isinstance(promise, FishPromised):
            continue
        if buyer and (promise.buyer or "").casefold() != buyer.casefold():
            continue
        if line and promise.line and promise.line != line:
            continue
        standing.promises.remove(kept)
        return


def out_of_balance(standing: Standing) -> Iterator[str]:
    """Sentences naming each group whose sums do not add up to what stands, or that holds less than nothing."""
    for holding in standing.holdings.values():
        if holding.counted and holding.count < 0:
            yield f"{holding.group} in {holding.place or 'hand'}: {holding.count} {holding.stage}, fewer than none"
    groups = {h.group for h in standing.holdings.values()} | set(standing.batches)
    for group in sorted(groups):
        for side in ("eggs", "fish"):
            held = [h for h in standing.of_group(group) if side_of(h.stage) == side]
            alive, booked = sum(h.count for h in held), standing.tally(group, side).alive(side)
            if alive != booked:
                yield f"{group}: {alive} {side} stand in the room, the sums say {booked}"
