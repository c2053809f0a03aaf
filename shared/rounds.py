"""The round through the room: which chores each place and batch calls for, by what stands there, and when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from shared.events import TaskPutOff
from shared.house_rules import PER_DAY, Routine, Spot, clock_time
from shared.ledger import Batch, Holding, Place, Standing
from shared.tasks import TASKS, TWO_HOURS, DueTask, HatchWindow, tasks_meant
from shared.timetable import Clock, Rhythm, Slot

# What in the record ticks a task off. Whoever changes an egg tub's water has looked in and picked the white ones out.
TICKED_BY: Mapping[str, tuple[str, ...]] = {
    "egg_water": ("water",),
    "check_hatch": ("look",),
    "pick_eggs": ("pick", "water"),
    "pull_mop": ("pull", "mop", "peat:collect", "peat:bag"),
    "fry_water": ("water",),
    "water_change": ("water",),
    "fry_feed": ("feed",),
    "feed": ("feed",),
    "test_water": ("test:ammonia",),
    "service": ("service:filter",),
}
_DONE_TOO = {"check_hatch": ("egg_water",), "pick_eggs": ("egg_water",)}
_STARTS_FRESH = frozenset({"egg_water", "check_hatch", "pick_eggs", "fry_water"})
CUP = 0.2365882365  # litres in a US cup, NIST Handbook 44, Appendix C
SMALL_LITRES = 8  # up to here a place is kept like a tub; common practice, no source
LOOKED_AHEAD_DAYS = 60  # a chore switched off for longer is found again when its day comes


@dataclass(frozen=True)
class PutOff:
    """A task put off at `said` until `until` (both UTC)."""

    tasks: tuple[str, ...]
    words: str
    place: str | None
    batch: str | None
    said: dt.datetime
    until: dt.datetime


@dataclass
class Round:
    """Everything a round needs: how the room stands, its routine, the clock, and what was done or put off."""

    standing: Standing
    routine: Routine
    clock: Clock
    windows: Mapping[str, HatchWindow] = field(default_factory=dict)
    found: list[DueTask] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.done: dict[str, dict[str, dt.datetime]] = {}
        for name, chore in self.standing.chores.items():
            if chore.last:
                place, _, what = name.partition("|")
                if what.startswith("service:"):
                    what = "service:filter" if any(w in what for w in ("filter", "sponge", "floss")) else what
                self._tick(place, what, chore.last.astimezone(dt.UTC))
        self.said_done: dict[str, dict[str, dt.datetime]] = {}
        for name, at in self.standing.done.items():
            words, _, where = name.rpartition("|")
            for task in tasks_meant(words):
                for spot in self._meant_places(words, where):
                    kept = self.said_done.setdefault(task, {})
                    kept[spot] = max(kept.get(spot, at), at).astimezone(dt.UTC)
        self.put_off = [
            self._put_off(k.event, k.said) for k in self.standing.put_off if isinstance(k.event, TaskPutOff)
        ]
        self.put_off_tasks = {t for p in self.put_off for t in p.tasks}
        self.at_place: dict[str, list[Holding]] = {}
        for holding in self.standing.holdings.values():
            if not holding.counted or holding.count > 0:
                self.at_place.setdefault(holding.place, []).append(holding)
        self._slots: dict[tuple[dt.date, tuple[dt.time, ...]], list[Slot]] = {}

    def _tick(self, place: str, what: str, at: dt.datetime) -> None:
        kept = self.done.setdefault(place, {})
        if what not in kept or kept[what] < at:
            kept[what] = at

    def _meant_places(self, words: str, where: str) -> list[str]:
        """Where a done task's words put it: the place or batch said, or the cultures it names."""
        if where:
            return [where]
        return [c for c in self.standing.cultures if c.casefold() in words.casefold()] or [""]

    def _put_off(self, event: TaskPutOff, said: dt.datetime) -> PutOff:
        """Until when: the day and hour said; without an hour the morning, without a day the next that fits."""
        said = said.astimezone(dt.UTC)
        day = event.date or self.clock.local(said).date()
        time = clock_time(event.time) if event.time else None
        until = self.clock.moment(day, time or self.routine.time("morning_at"))
        if event.date is None and until <= said:
            until = self.clock.moment(day + dt.timedelta(days=1), time or self.routine.time("morning_at"))
        return PutOff(tasks_meant(event.task), event.task, event.place, event.batch, said, until)

    # ---- what was done, what was put off

    def last_done(self, task: str, place: str, batches: Sequence[str] = ()) -> dt.datetime | None:
        """When a task was last done there, by whatever ticks it off (UTC)."""
        chores = self.done.get(place, {})
        times = [chores[w] for w in TICKED_BY.get(task, ()) if w in chores]
        if self.said_done:
            for named in (task, *_DONE_TOO.get(task, ())):
                said = self.said_done.get(named)
                if said:
                    times += [said[w] for w in ("", place, *batches) if w in said]
        return max(times, default=None)

    def put_off_until(
        self, task: str, place: str | None, batches: Sequence[str], done: dt.datetime | None
    ) -> PutOff | None:
        """The last putting off of a task there that nothing done since has answered."""
        if task not in self.put_off_tasks:
            return None
        fits = [
            p
            for p in self.put_off
            if task in p.tasks
            and p.said <= self.clock.now
            and (done is None or done < p.said)
            and (not p.place or p.place == place)
            and (not p.batch or p.batch in batches)
            and (not (named := [c for c in self.standing.cultures if c in p.words.casefold()]) or place in named)
        ]
        return max(fits, key=lambda p: p.said) if fits else None

    # ---- when

    def daily(
        self,
        task: str,
        spot: Spot,
        since: dt.datetime,
        done: dt.datetime | None,
        extra: tuple[tuple[dt.time, ...], HatchWindow] | None = None,
    ) -> tuple[list[dt.datetime], Rhythm]:
        """When a chore with hours of the day is due there, and its rhythm; `extra` hours count within a window."""
        clock, routine, now = self.clock, self.routine, self.clock.now
        since = since.astimezone(dt.UTC)
        if task in _STARTS_FRESH:
            done = max(done, since) if done else since
        rhythm = routine.rhythm(task, spot, clock.today, now)
        if rhythm.every > 1:
            return self.interval(task, spot, since, done)
        touched = routine.touched(task)

        def slots_on(day: dt.date) -> list[Slot]:
            times = routine.rhythm(task, spot, day, now).times if touched else rhythm.times
            if touched and routine.is_off(task, spot, day, now):
                return []
            if extra and times:
                more = [t for t in extra[0] if not (touched and routine.is_off(task, spot, day, now, t))]
                times = tuple(sorted({*times, *more}))
            slots = self._slots.get((day, times))
            if slots is None:
                slots = self._slots[day, times] = clock.slots(day, times)
            if extra:
                usual = rhythm.times if not touched else routine.rhythm(task, spot, day, now).times
                slots = [s for s in slots if s.time in usual or extra[1].open_at(s.at)]
            if touched:
                slots = [s for s in slots if s.at > now or self._stood_then(task, spot, s, extra)]
            return slots

        times = [s.at for s in clock.unmet(slots_on, since, done)]
        return self._moved(task, spot, times, done, daily=True), rhythm

    def _stood_then(
        self, task: str, spot: Spot, slot: Slot, extra: tuple[tuple[dt.time, ...], HatchWindow] | None
    ) -> bool:
        """Whether a slot gone by was one by what had been said then: nothing is late under a later rule."""
        then = self.routine.rhythm(task, spot, slot.day, slot.at)
        if self.routine.is_off(task, spot, slot.day, slot.at):
            return False
        return slot.time in then.times or bool(extra and slot.time in extra[0])

    def interval(
        self, task: str, spot: Spot, since: dt.datetime, done: dt.datetime | None, key: str = ""
    ) -> tuple[list[dt.datetime], Rhythm]:
        """When a chore of every so many days is next due there (at most one moment), and its rhythm."""
        clock, routine, now = self.clock, self.routine, self.clock.now
        base = max(since.astimezone(dt.UTC), done or since).astimezone(dt.UTC)
        rhythm = routine.rhythm(task, spot, clock.today, now, key)
        due = self._due_by(task, spot, base, rhythm, now)
        if due is not None and routine.touched(task):
            changed = routine.changed(task, spot, now)
            if changed and changed > base and due < changed:
                before = changed - dt.timedelta(seconds=1)
                old = routine.rhythm(task, spot, clock.local(changed).date(), before, key)
                was_due = self._due_by(task, spot, base, old, before)
                due = min(was_due, changed) if was_due else changed
        times = [due] if due else []
        return self._moved(task, spot, times, done, daily=False), rhythm

    def _due_by(
        self, task: str, spot: Spot, base: dt.datetime, rhythm: Rhythm, asof: dt.datetime
    ) -> dt.datetime | None:
        """The moment an interval is up, put to the next day on which the task is not switched off."""
        if not rhythm.times:
            return None
        day = self.clock.next_day(base, rhythm)
        if not self.routine.touched(task):
            return self.clock.moment(day, rhythm.times[0])
        today = self.clock.local(asof).date()
        if day < today and self.routine.is_off(task, spot, today, asof):
            day = today
        for _ in range(LOOKED_AHEAD_DAYS):
            if not self.routine.is_off(task, spot, day, asof):
                return self.clock.moment(day, rhythm.times[0])
            day += dt.timedelta(days=1)
        return None

    def _moved(
        self, task: str, spot: Spot, times: list[dt.datetime], done: dt.datetime | None, *, daily: bool
    ) -> list[dt.datetime]:
        """The moments with a putting off applied, those beyond the days asked about left out."""
        put_off = self.put_off_until(task, spot.place, tuple(spot.batches), done)
        if put_off and times:
            until = put_off.until
            if not daily:
                times = [until]
            elif any(t < until for t in times):
                times = sorted({until, *(t for t in times if t >= until)})
                gone = [t for t in times if t <= self.clock.now]
                times = [*gone[-1:], *(t for t in times if t > self.clock.now)]
        return [t for t in times if t < self.clock.horizon]

    # ---- noting

    def add(
        self,
        task: str,
        spot: Spot,
        times: Sequence[dt.datetime],
        why: str,
        how: str | None = None,
        *,
        window: HatchWindow | None = None,
        first: bool = False,
        text: str | None = None,
        whole_day: bool = False,
    ) -> None:
        """Note a task for each moment it is due."""
        clock = self.clock
        batch = next(iter(spot.batches)) if len(spot.batches) == 1 else None
        line = next(iter(spot.lines)) if len(spot.lines) == 1 else None
        told = self.routine.touched(task)
        for at in times:
            local = clock.local(at)
            person = None
            if told:
                person = self.routine.person(task, spot, local.date(), local.time(), clock.now)
                asked = self.routine.for_person
                if person and asked and person.casefold() != asked.casefold():
                    continue
            self.found.append(
                DueTask(
                    task=task,
                    place=spot.place,
                    batch=batch,
                    line=line,
                    due=local,
                    why=why,
                    how=how,
                    first=first or (window is not None and window.open_at(max(at, clock.now))),
                    text=text,
                    person=person,
                    grace=clock.end_of(at) - at if whole_day else TWO_HOURS,
                )
            )

    def since_words(self, done: dt.datetime | None, since: dt.datetime, verb: str) -> str:
        """When it was last done, in few words."""
        if done is not None:
            return f"last {verb} {self.clock.day_name(done)}"
        return f"not {verb} since {self.clock.day_name(since)}"


def walk(round_: Round) -> None:
    """Every place in the room and what stands in it."""
    for place, held in round_.at_place.items():
        kept = round_.standing.places.get(place)
        if kept and kept.closed:
            continue
        here = Here(round_, place, kept, held)
        here.eggs_in_water()
        here.eggs_in_peat()
        if place:
            here.keep_apart()
            here.breeders()
            here.water()
            here.feeding()
            here.growth()
            here.upkeep()


@dataclass
class Here:
    """One place on the round and what stands in it."""

    round: Round
    place: str
    kept: Place | None
    held: list[Holding]

    def __post_init__(self) -> None:
        standing = self.round.standing
        self.kind = self.kept.kind if self.kept else (self.place.split() or [""])[0].casefold()
        self.role = self.kept.role if self.kept else None
        self.litres = self.kept.litres if self.kept else None
        self.eggs = [h for h in self.held if h.stage == "eggs"]
        self.wet = [h for h in self.eggs if not in_peat(standing, h)]
        self.fish = [h for h in self.held if h.stage != "eggs"]
        self.fry = [h for h in self.fish if h.stage == "fry"]
        self.young = [h for h in self.fish if h.stage == "juveniles"]
        self.adults = [h for h in self.fish if h.stage == "adults"]
        self.small = self.kind == "tub" or (self.litres is not None and self.litres <= SMALL_LITRES
                                            and self.role in (None, "fry", "eggs"))  # fmt: skip

    def spot(self, held: Sequence[Holding] = ()) -> Spot:
        return Spot(
            self.place or None,
            self.kind,
            frozenset(h.group for h in held if h.group in self.round.standing.batches),
            frozenset(h.line for h in held),
        )

    def _since(self, held: Sequence[Holding]) -> dt.datetime:
        return min(h.since for h in held).astimezone(dt.UTC)

    def _done(self, task: str, held: Sequence[Holding]) -> dt.datetime | None:
        return self.round.last_done(task, self.place, [h.group for h in held])

    def _seen(self, holding: Holding) -> bool:
        batch = self.round.standing.batches.get(holding.group)
        return batch is not None and batch.fry_seen is not None

    @property
    def hatching(self) -> bool:
        """Fry have been seen from every batch of eggs here, or swim here: no peroxide any more."""
        return bool(self.fish) or all(self._seen(h) for h in self.wet)

    def eggs_in_water(self) -> None:
        """Fresh water and a look for every tub of eggs; the eggs of a spawning tank are left to it."""
        if not self.wet or self.adults:
            return
        round_ = self.round
        tended = [h for h in self.wet if not _wetted(round_.standing, h)]
        if self.place and tended and not self.hatching:
            self._slots("egg_water", tended, "changed", self._egg_water_how())
        for holding in self.wet:
            self._look(holding)
        if self.place and tended:
            self._slots("pick_eggs", tended, "picked", "take white and fuzzy eggs out with a pipette")

    def _slots(self, task: str, held: Sequence[Holding], verb: str, how: str | None) -> None:
        done, since, spot = self._done(task, held), self._since(held), self.spot(held)
        times, rhythm = self.round.daily(task, spot, since, done)
        if times:
            why = f"{self.round.since_words(done, since, verb)}, {_often(rhythm)}"
            self.round.add(task, spot, times, why, how)

    def _look(self, holding: Holding) -> None:
        round_, spot = self.round, self.spot([holding])
        window = round_.windows.get(holding.group)
        if not self.place and not (window and window.open_at(round_.clock.now)):
            return  # eggs in hand: nobody has said where they are
        done, since = self._done("check_hatch", [holding]), holding.since
        evening = (round_.routine.time("evening_at", round_.clock.now),)
        extra = (evening, window) if window else None
        times, rhythm = round_.daily("check_hatch", spot, since, done, extra)
        if not times:
            return
        often = _often(rhythm)
        if window and window.open_at(round_.clock.now):
            often = f"fry expected {round_.clock.local(window.earliest):%a} to {round_.clock.local(window.latest):%a}"
        why = f"{round_.since_words(done, since.astimezone(dt.UTC), 'looked')}, {often}"
        round_.add("check_hatch", spot, times, why, "look against the light; move fry out the same day", window=window)

    def _egg_water_how(self) -> str:
        if self.litres is None:
            return "all fresh water of the same temperature, 3–5 drops of 3 % peroxide for each 2 cups"
        return f"all fresh water of the same temperature, {peroxide_words(self.litres)}"

    def eggs_in_peat(self) -> None:
        """Peat is looked at every few weeks; wetting it has its own day."""
        for holding in self.eggs:
            if holding in self.wet:
                continue
            round_, spot = self.round, self.spot([holding])
            every = round_.routine.number("peat_look_days", spot, round_.clock.today, round_.clock.now)
            if every <= 0:
                continue
            done = round_.said_done.get("check_hatch", {}).get(holding.group)
            batch = round_.standing.batches.get(holding.group)
            looks = [t.astimezone(dt.UTC) for t in (done, batch.eyed if batch else None) if t]
            base = max([holding.since.astimezone(dt.UTC), *looks])
            day = round_.clock.next_day(base, Rhythm((), every))
            at = round_.clock.moment(day, round_.routine.time("morning_at"))
            if round_.routine.is_off("check_hatch", spot, round_.clock.today, round_.clock.now):
                continue
            times = round_._moved("check_hatch", spot, [at], max(looks, default=None), daily=False)
            why = f"in peat, looked at {round_.clock.day_name(base)}, every {_number(every)} days"
            how = "look at some eggs: a gold ring round the eye means ready; keep the peat damp, do not wet it yet"
            round_.add("check_hatch", spot, times, why, how, whole_day=True)

    def keep_apart(self) -> None:
        """Groups in one place that will not be told apart later, or of which one eats the other."""
        groups = [h for h in self.held if h.stage != "adults"]
        if len(groups) < 2:
            return
        round_, spot = self.round, self.spot([])
        days = round_.routine.number("apart_days", spot, round_.clock.today, round_.clock.now)
        pair = self._mixed(sorted(groups, key=lambda h: (h.since.astimezone(dt.UTC), h.group)), days)
        if not pair:
            return
        older, newer, reason = pair
        spot = self.spot([newer])
        now = round_.clock.now
        since = newer.since.astimezone(dt.UTC)
        done = round_.last_done("keep_apart", self.place, [newer.group, older.group])
        if (done and done >= since) or round_.routine.is_off("keep_apart", spot, round_.clock.today, now):
            return
        times = round_._moved("keep_apart", spot, [since], done, daily=False)
        how = f"move {newer.group} to a place of its own, or say that they are one batch"
        round_.add("keep_apart", spot, times, f"with {older.group}: {reason}", how)

    def _mixed(self, groups: Sequence[Holding], days: float) -> tuple[Holding, Holding, str] | None:
        for i, newer in reversed(list(enumerate(groups))):
            for older in groups[:i]:
                if older.group == newer.group:
                    continue
                if older.line != newer.line:
                    return older, newer, f"{older.line} and {newer.line} together"
                ages = [born(self.round.standing, h) for h in (older, newer)]
                if ages[0] and ages[1]:
                    apart = abs((ages[0] - ages[1]).total_seconds()) / 86400
                    if days > 0 and apart > days:
                        return older, newer, f"{round(apart)} days apart in age"
        return None

    def breeders(self) -> None:
        """Mops and peat boxes, only where eggs are collected that way; not at rest, not with one sex alone."""
        if not self.adults:
            return
        round_ = self.round
        collect = (self.kept.collect if self.kept else None) or ""
        used = round_.done.get(self.place, {})
        peat_line = any(
            (line := round_.standing.lines.get(h.line)) is not None and line.eggs == "peat" for h in self.adults
        )
        if collect not in ("", "mop", "peat box"):
            return
        if self.role != "breeders" and not (self.role is None and (collect or "pull" in used or "mop" in used)):
            return
        spot, clock = self.spot(self.adults), round_.clock
        if one_sex(self.adults) or round_.routine.at_rest(spot, clock.today, clock.now):
            return
        peat = collect == "peat box" or (peat_line and collect != "mop")
        since, done = self._since(self.adults), self._done("pull_mop", self.adults)
        times, rhythm = round_.interval("pull_mop", spot, since, done, "peat_every_days" if peat else "")
        if not times:
            return
        if peat:
            verb, how = "taken out", "take the peat out, squeeze it, let it dry to damp, bag it with line and date"
        else:
            verb, how = "pulled", "pull the mop, pick the eggs off, count them into a tub, hang it back"
        why = f"{round_.since_words(done, since, verb)}, {_often(rhythm)}"
        round_.add("pull_mop", spot, times, why, how, whole_day=True)

    def water(self) -> None:
        """Water changes: fry tubs by the hour, tanks by the day."""
        routine, clock = self.round.routine, self.round.clock
        if self.small and not self.adults and (self.fry or self.young or (self.wet and self.hatching)):
            held = [*self.fry, *self.young] or self.wet
            how = "take a third to a half out from the bottom; the new water at the same temperature, slowly"
            self._slots("fry_water", held, "changed", how)
            return
        if not self.fish:
            return
        key, percent = self._water_rule()
        since, spot, done = self._since(self.fish), self.spot(self.fish), self._done("water_change", self.fish)
        times, rhythm = self.round.interval("water_change", spot, since, done, key)
        if not times:
            return
        share = routine.number(percent, spot, clock.today, clock.now)
        how = f"about {_number(share)} %" + (
            f", {_number(round(self.litres * share / 100, 1))} l" if self.litres else ""
        )
        why = f"{self.round.since_words(done, since, 'changed')}, {_often(rhythm)}"
        self.round.add("water_change", spot, times, why, how, whole_day=True)

    def _water_rule(self) -> tuple[str, str]:
        if not self.adults and self.role != "grow-out" and (self.role == "nursery" or self.fry):
            return "nursery_change_days", "nursery_change_percent"
        if not self.adults and (self.role == "grow-out" or self.young):
            return "grow_out_change_days", "grow_out_change_percent"
        return "", "adult_change_percent"

    def feeding(self) -> None:
        if self.fry:
            self._slots("fry_feed", self.fry, "fed", "a little at a time; take out what is left")
        elif self.fish:
            self._slots("feed", self.fish, "fed", "what is eaten in a few minutes")

    def growth(self) -> None:
        """Suggestions: young fish that have outgrown their place, and places with too many."""
        if self.adults:
            return
        nursery = not self.small and self.role != "grow-out" and self.role != "quarantine"
        for holding in (*self.fry, *self.young):
            if self.small:
                self._move_up(holding, "move_up_days", "a nursery tank")
            elif nursery:
                self._move_up(holding, "grow_out_days", "a grow-out tank")
        self._thin_out()

    def _move_up(self, holding: Holding, key: str, where: str) -> None:
        round_, spot = self.round, self.spot([holding])
        clock, routine = round_.clock, round_.routine
        days = routine.number(key, spot, clock.today, clock.now)
        if days <= 0 or routine.is_off("move_up", spot, clock.today, clock.now):
            return
        hatched = born(round_.standing, holding, laid=False) or holding.since.astimezone(dt.UTC)
        at = clock.moment(clock.next_day(hatched, Rhythm((), days)), routine.time("morning_at"))
        at = max(at, holding.since.astimezone(dt.UTC))
        done = round_.last_done("move_up", self.place, [holding.group])
        if done and done >= at:
            return
        times = round_._moved("move_up", spot, [at], done, daily=False)
        age = (clock.today - clock.local(hatched).date()).days
        why = f"{age} days old, from about {_number(days)} days {where} suits them better"
        round_.add("move_up", spot, times, why, "only if they are big enough; never with bigger fish", whole_day=True)

    def _thin_out(self) -> None:
        young = [*self.fry, *self.young]
        if not young or not self.litres:
            return
        round_, spot = self.round, self.spot(young)
        clock, routine = round_.clock, round_.routine
        rules = [
            ("fry_per_litre_tub" if self.small else "fry_per_litre", self.fry),
            ("juveniles_per_litre", self.young),
        ]
        share = 0.0
        for key, held in rules:
            limit = routine.number(key, spot, clock.today, clock.now)
            if limit > 0:
                share += sum(h.count for h in held) / (limit * self.litres)
        every = routine.rhythm("thin_out", spot, clock.today, clock.now)
        if share <= 1 or not every.times or routine.is_off("thin_out", spot, clock.today, clock.now):
            return
        done, since = self._done("thin_out", young), max(h.since for h in young).astimezone(dt.UTC)
        at = clock.moment(clock.next_day(done, every), every.times[0]) if done and done >= since else since
        times = round_._moved("thin_out", spot, [at], done, daily=False)
        number = sum(h.count for h in young)
        why = f"{number} in {_number(round(self.litres, 1))} l, about {round(number / share)} is plenty"
        round_.add("thin_out", spot, times, why, "share them between two places", whole_day=True)

    def upkeep(self) -> None:
        """Tests of small fed tubs, filters of tanks, and the end of a quarantine."""
        round_ = self.round
        if self.small and self.fry:
            done, since, spot = self._done("test_water", self.fry), self._since(self.fry), self.spot(self.fry)
            times, rhythm = round_.interval("test_water", spot, since, done)
            if times:
                why = f"{round_.since_words(done, since, 'tested')}, {_often(rhythm)}: a small fed tub fouls fast"
                round_.add(
                    "test_water", spot, times, why, "ammonia; with pH and temperature it says more", whole_day=True
                )
        if not self.fish or self.small:
            return
        if self.kind == "tank":
            done, since, spot = self._done("service", self.fish), self._since(self.fish), self.spot(self.fish)
            times, rhythm = round_.interval("service", spot, since, done)
            if times:
                why = f"filter {round_.since_words(done, since, 'cleaned')}, {_often(rhythm)}"
                round_.add("service", spot, times, why, "squeeze the sponge out in old tank water", whole_day=True)
        if self.role == "quarantine":
            self._quarantine()

    def _quarantine(self) -> None:
        round_, clock, spot = self.round, self.round.clock, self.spot(self.fish)
        days = round_.routine.number("quarantine_days", spot, clock.today, clock.now)
        arrived = round_.done.get(self.place, {}).get("arrival") or max(h.since for h in self.fish).astimezone(dt.UTC)
        at = clock.moment(clock.next_day(arrived, Rhythm((), days)), round_.routine.time("morning_at"))
        told = [
            t for key, t in round_.standing.done.items()
            if "quarantine" in key.casefold() and key.rpartition("|")[2] in ("", self.place) and t >= at
        ]  # fmt: skip
        if days <= 0 or told or at >= clock.horizon:
            return
        why = f"last arrival {clock.day_name(arrived)}, {_number(days)} days"
        how = "only if all have stayed well; nets and hoses stay with this tank"
        round_.add("reminder", spot, [at], why, how, text=f"quarantine in {self.place} is over", whole_day=True)


def in_peat(standing: Standing, holding: Holding) -> bool:
    """Whether these eggs lie in damp peat: not yet wetted."""
    batch = standing.batches.get(holding.group)
    if batch:
        return (batch.medium == "peat" or holding.place.startswith("peat")) and batch.wetted is None
    line = standing.lines.get(holding.line)
    return holding.place.startswith("peat") or (line is not None and line.eggs == "peat")


def _wetted(standing: Standing, holding: Holding) -> bool:
    batch = standing.batches.get(holding.group)
    return batch is not None and batch.wetted is not None


def born(standing: Standing, holding: Holding, *, laid: bool = True) -> dt.datetime | None:
    """When a group hatched, as far as known; with `laid` eggs count from when they were laid (UTC)."""
    batch: Batch | None = standing.batches.get(holding.group)
    if batch is None:
        return None
    moment = batch.fry_seen if holding.stage != "eggs" else (batch.laid_to if laid else None)
    return moment.astimezone(dt.UTC) if moment else None


def one_sex(adults: Sequence[Holding]) -> bool:
    """Whether all of them are counted and of one sex."""
    number = sum(h.count for h in adults)
    if number <= 0 or not all(h.counted for h in adults):
        return False
    return number in (sum(h.male for h in adults), sum(h.female for h in adults))


def peroxide_words(litres: float) -> str:
    """Drops of 3 % peroxide for so many litres: 3 to 5 for each two cups; common practice, no source."""
    twice = litres / (2 * CUP)
    low, high = max(1, round(3 * twice)), max(1, round(5 * twice))
    return f"{low}–{high} drops of 3 % peroxide" if high > low else f"{low} drop of 3 % peroxide"


def _number(value: float) -> str:
    return f"{value:g}"


def _often(rhythm: Rhythm) -> str:
    if rhythm.every > 1:
        return f"every {_number(round(rhythm.every, 1))} days"
    count = len(rhythm.times)
    return {1: "daily", 2: "twice a day"}.get(count, f"{count} times a day")


@lru_cache(maxsize=4096)
def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """Names in the order a person walks: tank 2 before tank 10."""
    parts: list[tuple[int, int, str]] = []
    for word in name.casefold().split():
        parts.append((0, int(word), "") if word.isdecimal() else (1, 0, word))
    return tuple(parts)


def in_walking_order(found: Iterator[DueTask] | Sequence[DueTask], standing: Standing) -> list[DueTask]:
    """What cannot wait first, then by chore, by place; quarantine tanks last of all."""
    order = {task: i for i, task in enumerate(TASKS)}
    apart = {p.name for p in standing.places.values() if p.role == "quarantine"}
    return sorted(
        found,
        key=lambda d: (
            0 if d.first else 2 if d.place in apart else 1,
            order[d.task],
            natural(d.place or ""),
            d.batch or "",
            d.due.astimezone(dt.UTC),
            d.text or "",
        ),
    )


__all__ = ["PER_DAY", "Here", "PutOff", "Round", "in_walking_order", "walk"]
