"""What the ledger is kept in: accounts, postings and entries, and the tallies, batches and places they add up to."""

from __future__ import annotations

import bisect
import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, RootModel

from shared.events import Event, FishPromised, ReminderAsked, RoutineSet, Stage, TaskPutOff

Side: TypeAlias = Literal["eggs", "fish"]
# How fish come into or leave a group otherwise than from place to place.
Outside: TypeAlias = Literal["start", "pulled", "moved_in", "moved_out", "bad", "died", "sold", "unaccounted"]

KEPT_TIMES = 16  # how many times are remembered per place of what eggs are dated by; a day has at most a handful
DATED_BY = ("look", "pull", "mop", "peat")  # of all other chores only the last time counts
KEPT_READINGS = 8  # per place and quantity, enough for what is usual there
KEPT_MEASURES = 20  # of what is reckoned with over weeks
RECKONED_WITH = ("temperature", "length")
KEPT_PAST = 60  # finished hatches remembered per line
KEPT_STAYS = 24  # groups that have left remembered per place, for whose eggs were laid there
STAYS_MATTER = dt.timedelta(days=120)  # and so long, unless what they laid is still here; nobody tells of eggs later
ARCHIVED_AFTER = dt.timedelta(days=60)
LONG_AGO = dt.timedelta(days=400)  # no chore looks back further than a year and a month

Cause: TypeAlias = Literal["found", "jumped", "culled", "eaten", "missing"]
_CAUSES: tuple[tuple[Cause, frozenset[str]], ...] = (
    ("culled", frozenset(["cull", "culled", "culling", "culls", "euthanized", "euthanised"])),
    ("jumped", frozenset(["jump", "jumped", "jumper", "jumpers", "jumping", "floor", "carpet"])),
    ("eaten", frozenset(["eat", "eaten", "ate", "eating", "cannibal", "cannibalism", "cannibalized", "cannibalised"])),
    ("missing", frozenset(["missing", "gone", "vanished", "disappeared", "lost"])),
)


def cause_of(words: str | None) -> Cause:
    """How a fish was lost, out of the words said of it; found dead where they name nothing else."""
    text = (words or "").casefold().replace("put down", "culled")
    said = set(re.findall(r"[a-z]+", text))
    return next((cause for cause, names in _CAUSES if said & names), "found")


def side_of(stage: Stage) -> Side:
    """Whether a stage is booked as eggs or as fish."""
    return "eggs" if stage == "eggs" else "fish"


class Account(BaseModel):
    """Where fish stand: a group in a place at a stage. A place of "" is eggs in hand, not yet set."""

    model_config = ConfigDict(frozen=True, defer_build=True)
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

    model_config = ConfigDict(frozen=True, defer_build=True)
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

    model_config = ConfigDict(frozen=True, defer_build=True)
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
        said = vars(self.event)  # asking a model for what it has not got is slow
        for key in ("place", "to", "source", "batch", "line", "culture", "new"):
            value = said.get(key)
            if isinstance(value, str):
                found.add(value)
        found.update(said.get("places", ()))
        found.update(n for n in (self.batch, self.place, self.line) if n)
        for posting in self.postings:
            for account in (posting.source, posting.target):
                if account:
                    found.update(n for n in (account.group, account.place) if n)
        return frozenset(found)


class Tally(BaseModel):
    """How a group came to what it is, on one side (eggs or fish); `unknown` names what nobody counted."""

    model_config = ConfigDict(defer_build=True)
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

    model_config = ConfigDict(defer_build=True)
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

    model_config = ConfigDict(defer_build=True)
    places: list[str] = []
    begin: dt.datetime
    end: dt.datetime


class Batch(BaseModel):
    """Eggs collected together and the fish from them."""

    model_config = ConfigDict(defer_build=True)
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
    bagged: dt.datetime | None = None  # put up damp last
    peat_weeks: float | None = None  # for how long, as said then
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

    model_config = ConfigDict(defer_build=True)
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
    """A line kept here: what it is, and what else it is called."""

    model_config = ConfigDict(defer_build=True)
    name: str
    species: str | None = None
    eggs: str | None = None
    population: str | None = None
    generation: str | None = None
    aka: list[str] = []


class Culture(BaseModel):
    """A live food and when it was last seen to."""

    model_config = ConfigDict(defer_build=True)
    name: str
    started: dt.datetime | None = None
    fed: dt.datetime | None = None
    harvested: dt.datetime | None = None
    crashed: dt.datetime | None = None


class Chore(RootModel[list[dt.datetime]]):
    """When one thing was last done in one place: the latest times, newest last."""

    model_config = ConfigDict(defer_build=True)

    @property
    def times(self) -> list[dt.datetime]:
        return self.root

    def add(self, at: dt.datetime, kept: int) -> None:
        """One more time; the newest `kept` of them stay."""
        self.times.append(at)
        if len(self.times) > 1 and self.times[-2] > at:
            self.times.sort()
        del self.times[:-kept]

    @property
    def last(self) -> dt.datetime | None:
        return self.times[-1] if self.times else None


@dataclass(frozen=True)
class Reading:
    """One reading of a quantity."""

    at: dt.datetime
    value: float


class Readings(BaseModel):
    """Readings of one quantity in one place, oldest first; kept by columns, which are read in several times as fast."""

    model_config = ConfigDict(defer_build=True)
    at: list[dt.datetime] = []
    value: list[float] = []

    def add(self, at: dt.datetime, value: float, kept: int) -> None:
        """One more reading; the newest `kept` of them stay."""
        place = bisect.bisect_right(self.at, at)
        self.at.insert(place, at)
        self.value.insert(place, value)
        del self.at[:-kept], self.value[:-kept]

    def __len__(self) -> int:
        return len(self.at)

    def __getitem__(self, index: int) -> Reading:
        return Reading(self.at[index], self.value[index])

    def __iter__(self) -> Iterator[Reading]:  # type: ignore[override]
        return map(Reading, self.at, self.value)


class Kept(BaseModel):
    """An entry that stays open: a promise, a reminder, a putting off, a routine setting."""

    model_config = ConfigDict(defer_build=True)
    seq: int
    said: dt.datetime
    event: FishPromised | ReminderAsked | TaskPutOff | RoutineSet = Field(discriminator="kind")


class PastHatch(BaseModel):
    """A hatch seen here, as experience for the next: laid between, fry first seen between."""

    model_config = ConfigDict(defer_build=True)
    batch: str
    line: str
    laid_from: dt.datetime
    laid_to: dt.datetime
    clear_until: dt.datetime | None
    fry_seen: dt.datetime
    temp_c: float | None = None


def number_in(name: str) -> int:
    """The number in a batch name like B24, or 0."""
    digits = name[1:]
    return int(digits) if name[:1] in "Bb" and digits.isdigit() else 0


# What is said of fish or eggs, not of the routine: it comes in the same form as a setting.
OF_THE_FISH = ("generation", "medium", "population", "species", "laid", "line")
MEDIA = ("water", "peat", "moss", "mop")


def medium_of(words: str | None) -> str | None:
    """What eggs are kept in: water, damp peat, damp moss or a damp mop; other words stay as they are."""
    plain = (words or "").casefold()
    return next((medium for medium in MEDIA if medium in plain), plain.strip() or None)
