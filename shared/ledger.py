"""The fish ledger: entries move fish between accounts, and what stands is the sum of the entries that stand.

An account is a group (a batch, or a line's unbatched fish) in a place at a stage. Every posting takes a number
from one account and puts it into another, or names how it came from or left the room; so a batch adds up:
start + pulled (or hatched) + moved in = bad (or died) + hatched + sold + moved out + alive + unaccounted.
Sums do not depend on the order of entries, so a late entry only takes its place in time.
"""

from __future__ import annotations

import datetime as dt
import re
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
from shared.lineage import STRAY, UNKNOWN, Stay, generation_label, parents_among, young_of

Side: TypeAlias = Literal["eggs", "fish"]
# How fish come into or leave a group otherwise than from place to place.
Outside: TypeAlias = Literal["start", "pulled", "moved_in", "moved_out", "bad", "died", "sold", "unaccounted"]

KEPT_TIMES = 16  # how many times of a chore are remembered per place; a day has at most a handful
KEPT_READINGS = 120
KEPT_PAST = 60  # finished hatches remembered per line
KEPT_STAYS = 24  # groups that have left remembered per place, for whose eggs were laid there
ARCHIVED_AFTER = dt.timedelta(days=60)

Cause: TypeAlias = Literal["found", "jumped", "culled", "eaten", "missing"]
_CAUSES: tuple[tuple[Cause, frozenset[str]], ...] = (
    ("culled", frozenset(["cull", "culled", "culling", "culls", "euthanized", "euthanised"])),
    ("jumped", frozenset(["jump", "jumped", "jumper", "jumpers", "jumping", "floor", "carpet"])),
    ("eaten", frozenset(["eat", "eaten", "ate", "eating", "cannibal", "cannibalism", "cannibalized", "cannibalised"])),
    ("missing", frozenset(["missing", "gone", "vanished", "disappeared", "lost"])),
)


def cause_of(words: str | None) -> Cause:
    """How a fish was lost, out of the words said of it; found dead where they name nothing else."""
    said = set(re.findall(r"[a-z]+", (words or "").casefold()))
    return next((cause for cause, names in _CAUSES if said & names), "found")


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
    recount: bool = False  # a head count: what stands there afterwards is as exact as that count
    sexes: tuple[int, int] | None = None  # afterwards so many males and females are known there


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
    culled: int = 0  # of those that died, as the next three; the rest were found dead
    jumped: int = 0
    eaten: int = 0
    missing: int = 0
    hatched: int = 0  # eggs: left as fry; fish: came as fry
    sold: int = 0
    moved_out: int = 0
    unaccounted: int = 0
    unknown: list[str] = []

    def alive(self, side: Side) -> int:
        came = self.start + self.moved_in + (self.pulled if side == "eggs" else self.hatched)
        left = (self.bad + self.hatched) if side == "eggs" else self.died
        return came - left - self.sold - self.moved_out - self.unaccounted

    @property
    def found_dead(self) -> int:
        """Of those that died, the ones without another cause."""
        return self.died - self.culled - self.jumped - self.eaten - self.missing

    def survival(self, culls: bool) -> float | None:
        """The share, 0–1, of fish that came which did not die; None where numbers are missing.

        With `culls` a culled fish counts as lost; without, it counts as never come. Fish sold or moved out count as
        living; fish missing in a head count (unaccounted for) count as lost, fish found in one as come.
        """
        came = self.start + self.moved_in + self.hatched + max(0, -self.unaccounted)
        lost = self.died + max(0, self.unaccounted)
        if not culls:
            came, lost = came - self.culled, lost - self.culled
        return None if self.unknown or came <= 0 else (came - lost) / came


class Holding(BaseModel):
    """What stands in one account. `counted` false: only changes are known, never how many there were.

    `male` and `female` are how many are known for certain to be of that sex; the rest are unsexed.
    """

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
    def unsexed(self) -> int:
        """How many may be of either sex; only of use where they are counted."""
        return max(0, self.count - self.male - self.female)

    @property
    def account(self) -> Account:
        return Account(group=self.group, place=self.place, stage=self.stage)


class Laying(BaseModel):
    """When and where some of a batch's eggs were laid; `places` are the mops they were taken from."""

    places: list[str] = []
    begin: dt.datetime
    end: dt.datetime


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
    generation_said: bool = False  # the keeper's word, not what follows from the parents
    parent_groups: list[str] = []  # who stood in the parents' places while the eggs were laid
    parent_lines: list[str] = []
    layings: list[Laying] = []
    hatched_in: str | None = None  # where the first fry were seen
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
    stays: dict[str, list[Stay]] = {}  # by place: which growing and grown fish stood there, and when
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

    def generation_of(self, group: str) -> str | None:
        """What a batch, or the unbatched fish of a line, are called now."""
        batch, line = self.batches.get(group), self.lines.get(group)
        return batch.generation if batch else (line.generation if line else None)

    def parents_at(self, places: Iterable[str], begin: dt.datetime, end: dt.datetime) -> list[Stay]:
        """Whoever shared these places while eggs were laid there."""
        return [stay for place in places for stay in parents_among(self.stays.get(place, []), begin, end)]

    def hatched_between(self, place: str) -> tuple[dt.datetime, dt.datetime] | None:
        """The spread of ages in a place: when its oldest and its youngest batch had their first fry."""
        batches = [self.batches[h.group] for h in self.fish_at(place) if h.group in self.batches]
        seen = [b.fry_seen for b in batches if b.fry_seen]
        return (min(seen), max(seen)) if seen else None

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
    event = entry.event
    batch = standing.batches.get(entry.batch)
    joined = standing.batches.get(event.batch or "") if isinstance(event, FishMoved) and event.joins else None
    if batch is None:
        line = entry.line or getattr(event, "line", None) or STRAY
        kept = standing.lines.get(line)
        batch = Batch(
            name=entry.batch,
            line=line,
            opened=entry.at,
            touched=entry.said,
            medium=(kept.eggs if kept and kept.eggs else "water"),
        )
        if joined:  # split off: the same eggs or fish under a name of their own
            its = ("medium", "wetted", "eyed", "fry_seen", "clear_until", "hatched_in", "generation", "generation_said")
            batch = batch.model_copy(update={name: getattr(joined, name) for name in its})
        standing.batches[entry.batch] = batch
        standing.last_batch = max(standing.last_batch, number_in(entry.batch))
    batch.touched = max(batch.touched, entry.said)
    batch.opened = min(batch.opened, entry.at)
    if joined and joined is not batch:
        _join(standing, batch, joined)
        return
    collected = isinstance(event, EggsPulled) or (isinstance(event, PeatHandled) and event.action != "wet")
    spots = list(getattr(event, "spots", ())) if collected else []
    if isinstance(event, FryHatched) and entry.line:  # fry nobody had logged eggs of, skimmed where their parents are
        spots = [p for p in [entry.place] if p and standing.stays.get(p)]
    batch.parents += [p for p in spots if p not in batch.parents]
    if entry.laid_from:
        laying = Laying(places=spots, begin=entry.laid_from, end=max(entry.laid_to or entry.at, entry.laid_from))
        if isinstance(event, RoutineSet):  # the keeper says when: that is it
            batch.layings = [laying.model_copy(update={"places": list(batch.parents)})]
        else:
            batch.layings.append(laying)
    elif entry.laid_to:
        batch.laid_to = max(batch.laid_to, entry.laid_to) if batch.laid_to else entry.laid_to
    _descend(standing, batch)


def _join(standing: Standing, batch: Batch, joined: Batch) -> None:
    """What a batch takes over from one that becomes part of it, or that it was split off from."""
    batch.layings += [laying.model_copy(deep=True) for laying in joined.layings if laying not in batch.layings]
    batch.parents += [p for p in joined.parents if p not in batch.parents]
    if joined.fry_seen and (batch.fry_seen is None or joined.fry_seen < batch.fry_seen):
        batch.fry_seen, batch.clear_until, batch.hatched_in = joined.fry_seen, joined.clear_until, joined.hatched_in
    said = batch.generation_said or joined.generation_said
    if said and generation_label(batch.generation) != generation_label(joined.generation):
        batch.generation, batch.generation_said = UNKNOWN, True
    _descend(standing, batch)


def _descend(standing: Standing, batch: Batch) -> None:
    """When a batch was laid, who its parents are and what that makes it, from all that is known by now."""
    if batch.layings:
        batch.laid_from = min(laying.begin for laying in batch.layings)
        batch.laid_to = max(laying.end for laying in batch.layings)
    found = [s for x in batch.layings if x.places for s in standing.parents_at(x.places, x.begin, x.end)]
    if not batch.layings and batch.parents:
        found = standing.parents_at(batch.parents, batch.opened, batch.opened)
    if not found:
        return
    batch.parent_groups = list(dict.fromkeys(s.group for s in found))
    batch.parent_lines = list(dict.fromkeys(s.line for s in found))
    if not batch.generation_said:
        young = young_of(s.generation for s in found)
        batch.generation = young.label or (UNKNOWN if len(young.options) > 1 else None)


def _descend_again(standing: Standing, place: str) -> None:
    """The stays in a place are known better now: so are the parents of what was laid there."""
    for batch in standing.batches.values():
        if place in batch.parents:
            _descend(standing, batch)


def _cut(standing: Standing, place: str, at: dt.datetime) -> None:
    """A mop seen to at a time before others already logged: what was taken from it later was laid since then."""
    if all(t <= at for chore in ("pull", "mop") for t in standing.times(place, chore)):
        return
    for batch in standing.batches.values():
        late = [x for x in batch.layings if x.places == [place] and x.begin < at < x.end]
        for laying in late:
            laying.begin = at
        if late:
            _descend(standing, batch)
            for past in standing.past.get(batch.line, []):
                if past.batch == batch.name and batch.laid_from:
                    past.laid_from = batch.laid_from


def _stand(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """Growing or grown fish come to a place: from now on they may be parents there."""
    if holding.stage not in ("juveniles", "adults") or not holding.place:
        return
    stays = standing.stays.setdefault(holding.place, [])
    label = standing.generation_of(holding.group)
    stays.append(Stay(group=holding.group, line=holding.line, stage=holding.stage, since=at, generation=label))
    left = [stay for stay in stays if stay.until]
    for old in left[:-KEPT_STAYS]:
        stays.remove(old)
    _descend_again(standing, holding.place)


def _leave(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """The last of them are gone from a place."""
    for stay in standing.stays.get(holding.place, []):
        if stay.until is None and (stay.group, stay.stage) == (holding.group, holding.stage):
            stay.until = max(at, stay.since)
            if stay.until == stay.since:
                standing.stays[holding.place].remove(stay)
            _descend_again(standing, holding.place)
            return


def _earlier(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """A late entry says fish came before the record knew of it."""
    if at >= holding.since:
        return
    holding.since = at
    for stay in standing.stays.get(holding.place, []):
        if stay.until is None and (stay.group, stay.stage) == (holding.group, holding.stage):
            stay.since = min(stay.since, at)
            _descend_again(standing, holding.place)


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


def _held(standing: Standing, account: Account, at: dt.datetime) -> Holding:
    """What stands in an account, begun where nothing did."""
    holding = standing.holdings.get(account.key)
    if holding is None:
        holding = Holding(
            group=account.group,
            line=standing.line_of(account.group),
            place=account.place,
            stage=account.stage,
            since=at,
        )
        standing.holdings[account.key] = holding
        _stand(standing, holding, at)
    return holding


def _emptied(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    del standing.holdings[holding.account.key]
    _leave(standing, holding, at)


def _sexed(holding: Holding, posting: Posting) -> None:
    """Keep the sexes to what is certain: fish lost whose sex nobody said may have been any of them."""
    if posting.sexes:
        holding.male, holding.female = posting.sexes
    over = holding.male + holding.female - holding.count
    if holding.counted and over > 0:
        holding.male, holding.female = max(0, holding.male - over), max(0, holding.female - over)
    if posting.recount:
        holding.estimated = posting.estimated


def _take(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.source is not None
    if posting.whole:
        if source:
            _emptied(standing, source, entry.at)
        return
    source = source or _held(standing, posting.source, entry.at)
    if count is None:
        source.estimated = True
    else:
        source.count -= count
    source.male = max(0, source.male - posting.male)
    source.female = max(0, source.female - posting.female)
    if not source.counted and count is not None:  # any of the unsexed ones lost may be of those once sexed
        unsaid = max(0, count - posting.male - posting.female)
        source.male, source.female = max(0, source.male - unsaid), max(0, source.female - unsaid)
    _sexed(source, posting)
    if source.counted and source.count == 0:
        _emptied(standing, source, entry.at)


def _put(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.target is not None
    fresh = posting.target.key not in standing.holdings
    target = _held(standing, posting.target, entry.at)
    _earlier(standing, target, entry.at)
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
    _sexed(target, posting)
    if target.counted and target.count == 0:
        _emptied(standing, target, entry.at)


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
        if isinstance(entry.event, FishDied) and count:
            cause = cause_of(entry.event.cause)
            if cause != "found":
                tally = own(source.group, side_of(source.stage))
                setattr(tally, cause, getattr(tally, cause) + count)


def _chore(standing: Standing, place: str, chore: str, at: dt.datetime) -> None:
    standing.chores.setdefault(f"{place}|{chore}", Chore()).add(at)


def _look(standing: Standing, places: Iterable[str], at: dt.datetime) -> None:
    """Whoever tends an egg tub looks into it: no fry mentioned means none seen."""
    for place in places:
        last = standing.last(place, "look")
        _chore(standing, place, "look", at)
        if last and at < last:  # told late: it may lie between the last empty look and the first fry
            for batch in standing.batches.values():
                if batch.hatched_in == place and batch.fry_seen and at < batch.fry_seen:
                    _clear(standing, batch, at)


def _clear(standing: Standing, batch: Batch, looked: dt.datetime) -> None:
    """Somebody looked at the eggs and saw no fry yet."""
    if looked < (batch.clear_until or batch.laid_from or batch.opened):
        return
    batch.clear_until = looked
    for past in standing.past.get(batch.line, []):
        if past.batch == batch.name:
            past.clear_until = looked


def _note(standing: Standing, entry: Entry) -> None:
    """What an event changes beside the numbers."""
    event, at = entry.event, entry.at
    places = [entry.place] if entry.place else []
    match event:
        case LineOpened():
            had = standing.lines.get(event.line) or Line(name=event.line)
            standing.lines[event.line] = Line(
                name=event.line,
                species=event.species or had.species,
                eggs=event.eggs or had.eggs,
                population=event.population or had.population,
                generation=had.generation,
                aka=list(event.aka) or had.aka,
            )
            if event.generation:
                _call(standing, event.line, event.generation, at)
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
            batch.medium = medium_of(event.medium) or batch.medium
            if event.generation:
                _call(standing, event.batch, event.generation, at)
            if event.hatched:
                batch.fry_seen = dt.datetime.combine(event.hatched, dt.time(12), dt.UTC)
        case EggsPulled():
            for place in event.spots:
                _chore(standing, place, "pull", at)
                _cut(standing, place, at)
        case MopHung():
            _chore(standing, event.place, "mop", at)
            _cut(standing, event.place, at)
        case BadEggsRemoved():
            for place in places:
                _chore(standing, place, "pick", at)
            _look(standing, places, at)
        case EggsEyed():
            if entry.batch and entry.batch in standing.batches:
                seen = standing.batches[entry.batch]
                if event.count != 0:
                    seen.eyed = min(seen.eyed, at) if seen.eyed else at
                    seen.eyed_count = event.count
            _look(standing, places, at)
        case FryHatched():
            _hatched(standing, entry)
            _look(standing, places, at)
        case FishMoved():
            if any(p.source and p.target and p.source.stage == "eggs" != p.target.stage for p in entry.postings):
                _hatched(standing, entry)
            if event.to:
                _chore(standing, event.to, "arrival", at)
            merged = standing.batches.get(event.batch or "")
            if event.joins and merged and entry.batch != event.batch and not standing.of_group(merged.name):
                merged.joined = entry.batch
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
                    if culture.started is None or at >= culture.started:
                        culture.started = at
                        culture.crashed = culture.crashed if culture.crashed and culture.crashed > at else None
                case "feed":
                    culture.fed = max(culture.fed or at, at)
                case "harvest":
                    culture.harvested = max(culture.harvested or at, at)
                case "crash":
                    if culture.started is None or at >= culture.started:
                        culture.crashed = max(culture.crashed or at, at)
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
        case RoutineSet() if event.what in OF_THE_FISH:
            _say_of_fish(standing, entry, event)
        case RoutineSet():
            standing.settings.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskDone():
            key = f"{event.task}|{entry.place or event.batch or ''}"
            standing.done[key] = max(standing.done.get(key, at), at)
        case HeadsCounted():
            for place in places:
                _chore(standing, place, "count", at)
        case Corrected() | _:
            pass
    if entry.joins and entry.batch and entry.batch in standing.batches:
        standing.batches[entry.batch].joined = entry.joins


# What is said of fish or eggs, not of the routine: it comes in the same form as a setting.
OF_THE_FISH = ("generation", "medium", "population", "species", "laid", "line")
MEDIA = ("water", "peat", "moss", "mop")


def medium_of(words: str | None) -> str | None:
    """What eggs are kept in: water, damp peat, damp moss or a damp mop; other words stay as they are."""
    plain = (words or "").casefold()
    return next((medium for medium in MEDIA if medium in plain), plain.strip() or None)


def _call(standing: Standing, group: str, label: str, at: dt.datetime) -> None:
    """The keeper says which generation a batch or a line is.

    A batch never changes, so all it did was done as that. A line's label moves on: its fish are called so from now.
    """
    said = generation_label(label)
    batch, line = standing.batches.get(group), standing.lines.get(group)
    if batch:
        batch.generation, batch.generation_said = said, True
    elif line:
        line.generation = said
    touched = []
    for place, stays in standing.stays.items():
        for stay in [s for s in stays if s.group == group]:
            if batch or (stay.generation is None and stay.until is None):
                stay.generation = said
            elif stay.until is None and stay.generation != said and stay.since <= at:
                stay.until = at
                stays.append(stay.model_copy(update={"since": at, "until": None, "generation": said}))
            else:
                continue
            touched.append(place)
    for place in dict.fromkeys(touched):
        _descend_again(standing, place)


def _say_of_fish(standing: Standing, entry: Entry, event: RoutineSet) -> None:
    """What the keeper says a batch or a line is: its generation, medium, population, species, line, or laying date."""
    batch, line = standing.batches.get(entry.batch or ""), standing.lines.get(event.line or "")
    said = str(event.value or "").strip()
    if not said:
        return
    match event.what:
        case "generation":
            _call(standing, batch.name if batch else event.line or "", said, entry.at)
        case "medium" if batch:
            batch.medium = medium_of(said) or batch.medium
        case "medium" if line:
            line.eggs = medium_of(said) or line.eggs
        case "population" if line:
            line.population = said
        case "species" if line:
            line.species = said
        case "line" if batch:
            batch.line = said
            for holding in standing.of_group(batch.name):
                holding.line = said
            for stay in (s for stays in standing.stays.values() for s in stays if s.group == batch.name):
                stay.line = said
        case _:
            pass


def _hatched(standing: Standing, entry: Entry) -> None:
    """The first fry of a batch: from here on there is experience for the next one."""
    batch = standing.batches.get(entry.batch or "")
    if batch is None or (batch.fry_seen and batch.fry_seen <= entry.at):
        return
    since = batch.laid_from or batch.opened
    looked = [t for t in standing.times(entry.place or "", "look") if since <= t < entry.at]
    batch.fry_seen, batch.clear_until = entry.at, looked[-1] if looked else None
    batch.hatched_in = entry.place
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


def unexplained(entry: Entry, group: str) -> Iterator[tuple[Side, int, str]]:
    """What an entry left unaccounted for in a group: eggs or fish, how many (below zero: found), and how it came up."""
    for posting in entry.postings:
        account = posting.source or posting.target
        if posting.outside == "unaccounted" and posting.count and account and account.group == group:
            counted = isinstance(entry.event, HeadsCounted)
            why = "a count" if counted else "more hatched than eggs on record"
            yield side_of(account.stage), posting.count if posting.source else -posting.count, why


def out_of_balance(standing: Standing) -> Iterator[str]:
    """Sentences naming each group whose sums do not add up to what stands, or that holds less than nothing."""
    for holding in standing.holdings.values():
        if holding.counted and holding.count < 0:
            yield f"{holding.group} in {holding.place or 'hand'}: {holding.count} {holding.stage}, fewer than none"
        sexed = holding.male + holding.female
        if min(holding.male, holding.female) < 0 or (holding.counted and 0 <= holding.count < sexed):
            sexes = f"{holding.male} males and {holding.female} females"
            yield f"{holding.group} in {holding.place or 'hand'}: {sexes} of {holding.count} {holding.stage}"
    groups = {h.group for h in standing.holdings.values()} | set(standing.batches)
    for group in sorted(groups):
        for side in ("eggs", "fish"):
            held = [h for h in standing.of_group(group) if side_of(h.stage) == side]
            alive, booked = sum(h.count for h in held), standing.tally(group, side).alive(side)
            if alive != booked:
                yield f"{group}: {alive} {side} stand in the room, the sums say {booked}"
