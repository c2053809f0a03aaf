"""What is due, worked out a second time: slowly, in plain loops over a plain list of what happened.

Nothing here comes from the code under test. A history is a list of dicts with `said` and `at` (aware) and `what`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

Happened = dict[str, Any]
Due = tuple[str, str, str, str]  # task, place, batch, when in UTC

UTC = dt.UTC
ALL_HOURS = ("06:30", "12:30", "17:30", "18:00", "18:30", "21:00")
FED = {1: ("06:30",), 2: ("06:30", "17:30"), 3: ("06:30", "12:30", "17:30"), 4: ("06:30", "12:30", "17:30", "21:00")}
WATERED = {1: ("06:30",), 2: ("06:30", "18:30"), 3: ("06:30", "12:30", "18:30")}
START = {"eggs": 2, "mops": 3, "fry feeds": 4}


class Plain:
    """The room as a careful clerk would keep it on paper."""

    def __init__(self, history: list[Happened], now: dt.datetime, zone: ZoneInfo) -> None:
        self.zone = zone
        self.now = now.astimezone(UTC)
        self.heard = sorted((h for h in history if h["said"].astimezone(UTC) <= self.now), key=lambda h: h["at"])
        self.midnight = self.utc(self.day(self.now) + dt.timedelta(days=1), "00:00")
        self.out: list[Due] = []
        self.water_tomorrow = False

    # ---- the calendar on the wall

    def utc(self, day: dt.date, clock: str) -> dt.datetime:
        hour, minute = clock.split(":")
        return dt.datetime(day.year, day.month, day.day, int(hour), int(minute), tzinfo=self.zone).astimezone(UTC)

    def day(self, moment: dt.datetime) -> dt.date:
        return moment.astimezone(self.zone).date()

    def rule(self, name: str, moment: dt.datetime) -> int:
        """The rule in force at a moment: the last one said by then."""
        value = START[name]
        for h in sorted(self.heard, key=lambda h: h["said"]):
            if h["what"] == "rule" and h["rule"] == name and h["said"].astimezone(UTC) <= moment:
                value = h["value"]
        return value

    # ---- what stands where

    def stands(self) -> list[dict[str, Any]]:
        groups: list[dict[str, Any]] = []
        for h in self.heard:
            at = h["at"].astimezone(UTC)
            if h["what"] == "stock":
                groups.append({"name": h["name"], "place": h["place"], "stage": h["stage"], "since": at})
            elif h["what"] == "hatch":
                there = [g for g in groups if g["name"] == h["batch"] and g["stage"] == "fry" and g["place"] == h["to"]]
                if not there:
                    groups.append({"name": h["batch"], "place": h["to"], "stage": "fry", "since": at})
                if h["all"]:
                    groups = [g for g in groups if not (g["name"] == h["batch"] and g["stage"] == "eggs")]
            elif h["what"] == "move":
                for g in groups:
                    if g["name"] == h["batch"] and g["stage"] == "fry" and g["place"] == h["place"]:
                        g["place"], g["since"] = h["to"], at
        return groups

    def hatched_on(self, batch: str) -> dt.datetime | None:
        times = [h["at"].astimezone(UTC) for h in self.heard if h["what"] == "hatch" and h["batch"] == batch]
        return min(times) if times else None

    def times(self, place: str, *what: str) -> list[dt.datetime]:
        """When any of these things was done at a place."""
        return [h["at"].astimezone(UTC) for h in self.heard if h["what"] in what and h["place"] == place]

    # ---- chores by the hour

    def hourly(
        self,
        task: str,
        place: str,
        batch: str,
        begin: dt.datetime,
        done: list[dt.datetime],
        hours: Callable[[dt.datetime, dt.date, str], bool],
    ) -> None:
        """`hours` says whether a clock time is a slot of that day, by what held at a moment."""
        self.water_tomorrow |= task in ("egg_water", "fry_water")
        slots: list[tuple[dt.datetime, dt.datetime]] = []
        day = self.day(begin) - dt.timedelta(days=1)
        last_day = self.day(self.now)
        before: dt.datetime | None = None
        while day <= last_day:
            for clock in ALL_HOURS:
                at = self.utc(day, clock)
                if not hours(self.now, day, clock):
                    continue
                early = dt.timedelta(hours=2)
                if before is not None and (at - before) / 3 < early:
                    early = (at - before) / 3
                before = at
                if at <= self.now and not hours(at, day, clock):
                    continue
                slots.append((at, at - early))
            day += dt.timedelta(days=1)
        gone = [s for s in slots if s[0] <= self.now]
        missed = False
        if gone:
            at, counts = gone[-1]
            if at >= begin and not any(t >= counts for t in done):
                missed = True
                self.out.append((task, place, batch, at.isoformat()))
        for at, counts in slots:
            if at > self.now and at < self.midnight and at >= begin and not any(t >= counts for t in done):
                if missed and counts <= self.now:
                    continue
                self.out.append((task, place, batch, at.isoformat()))

    # ---- chores by the day

    def first_morning(self, base: dt.datetime, days: int) -> dt.datetime:
        day = self.day(base)
        while (day - self.day(base)).days < days:
            day += dt.timedelta(days=1)
        return self.utc(day, "06:30")

    def by_day(self, task: str, place: str, batch: str, begin: dt.datetime, done: list[dt.datetime], days: int) -> None:
        base = max([begin, *done])
        at = self.put_off(task, place, base) or self.first_morning(base, days)
        if at < self.midnight:
            self.out.append((task, place, batch, at.isoformat()))
        elif task == "water_change" and self.day(at) == self.day(self.midnight):
            self.water_tomorrow = True

    def put_off(self, task: str, place: str, base: dt.datetime) -> dt.datetime | None:
        """Until when a chore there was put off last, if it was not done since."""
        said = [h for h in self.heard if h["what"] == "put off" and (h["task"], h["place"]) == (task, place)]
        later = [h for h in said if h["said"].astimezone(UTC) > base]
        return self.utc(max(later, key=lambda h: h["said"])["until"], "06:30") if later else None

    def draw(self) -> None:
        """The evening before a day with water to change, from the first evening on."""
        evening = self.utc(self.day(self.now), "18:30")
        begun = min(h["at"].astimezone(UTC) for h in self.heard)
        drawn = any(self.day(t) == self.day(self.now) for t in self.times("", "drawn"))
        if self.water_tomorrow and evening >= begun and not drawn:
            self.out.append(("draw_water", "", "", evening.isoformat()))

    def mops(self, place: str, begin: dt.datetime) -> None:
        base = max([begin, *self.times(place, "pull")])
        at = self.first_morning(base, self.rule("mops", self.now))
        changes = [h["said"].astimezone(UTC) for h in self.heard if h["what"] == "rule" and h["rule"] == "mops"]
        if changes and changes[-1] > base and at < changes[-1]:
            as_before = self.first_morning(base, self.rule("mops", changes[-1] - dt.timedelta(minutes=1)))
            at = min(as_before, changes[-1])
        at = self.put_off("pull_mop", place, base) or at
        if at < self.midnight:
            self.out.append(("pull_mop", place, "", at.isoformat()))

    # ---- the whole list

    def due(self, windows: dict[str, tuple[dt.datetime, dt.datetime]]) -> list[Due]:
        groups = self.stands()
        for place in sorted({g["place"] for g in groups}):
            here = [g for g in groups if g["place"] == place]
            eggs = [g for g in here if g["stage"] == "eggs"]
            fry = [g for g in here if g["stage"] == "fry"]
            young = [g for g in here if g["stage"] == "juveniles"]
            adults = [g for g in here if g["stage"] == "adults"]
            if eggs:
                self.egg_tub(place, eggs, fry, windows)
            if fry:
                self.fry_place(place, fry)
            for old, days in ((adults, 7), (young, 3)):
                if old:
                    begin = old[0]["since"]
                    batch = old[0]["name"] if old[0]["name"].startswith("B") else ""
                    self.hourly("feed", place, batch, begin, self.times(place, "fed"), lambda m, d, c: c in FED[2])
                    self.by_day("water_change", place, batch, begin, self.times(place, "water"), days)
                    self.by_day("service", place, batch, begin, self.times(place, "filter"), 30)
            if adults:
                self.mops(place, adults[0]["since"])
        self.foods(groups, windows)
        self.dates()
        self.draw()
        return sorted(self.out)

    def egg_tub(
        self,
        place: str,
        eggs: list[dict[str, Any]],
        fry: list[dict[str, Any]],
        windows: dict[str, tuple[dt.datetime, dt.datetime]],
    ) -> None:
        begin = min(g["since"] for g in eggs)
        one = eggs[0]["name"] if len(eggs) == 1 else ""
        water = self.times(place, "water")
        seen = bool(fry) or all(self.hatched_on(g["name"]) for g in eggs)
        if not seen:
            self.hourly(
                "egg_water", place, one, begin, [begin, *water], lambda m, d, c: c in WATERED[self.rule("eggs", m)]
            )
        elif not fry:
            self.hourly("fry_water", place, one, begin, [begin, *water], lambda m, d, c: c in WATERED[3])
        picks = [begin, *water, *self.times(place, "pick")]
        self.hourly("pick_eggs", place, one, begin, picks, lambda m, d, c: c == "06:30")
        looks = [*water, *self.times(place, "pick", "hatch")]
        for g in eggs:
            window = windows.get(g["name"])

            def hours(
                m: dt.datetime, d: dt.date, c: str, window: tuple[dt.datetime, dt.datetime] | None = window
            ) -> bool:
                if c == "06:30":
                    return True
                return c == "18:30" and window is not None and window[0] <= self.utc(d, c) <= window[1]

            self.hourly("check_hatch", place, g["name"], g["since"], [g["since"], *looks], hours)

    def fry_place(self, place: str, fry: list[dict[str, Any]]) -> None:
        begin = min(g["since"] for g in fry)
        one = fry[0]["name"] if len(fry) == 1 else ""
        fed, water = self.times(place, "fed"), self.times(place, "water")
        self.hourly("fry_feed", place, one, begin, fed, lambda m, d, c: c in FED[self.rule("fry feeds", m)])
        if place.startswith("tub"):
            self.hourly("fry_water", place, one, begin, [begin, *water], lambda m, d, c: c in WATERED[3])
            self.by_day("test_water", place, one, begin, self.times(place, "tested"), 7)
        else:
            self.by_day("water_change", place, one, begin, water, 1)
            self.by_day("service", place, one, begin, self.times(place, "filter"), 30)
        for g in fry:
            hatched = self.hatched_on(g["name"]) or g["since"]
            at = max(self.first_morning(hatched, 10 if place.startswith("tub") else 35), g["since"])
            if at < self.midnight:
                self.out.append(("move_up", place, g["name"], at.isoformat()))

    def foods(self, groups: list[dict[str, Any]], windows: dict[str, tuple[dt.datetime, dt.datetime]]) -> None:
        begin = min(h["at"].astimezone(UTC) for h in self.heard)
        tended = self.times("microworm 1", "start", "feed")
        starts = self.times("microworm 1", "start")
        self.by_day("culture_restart", "microworm 1", "", begin, starts, 21)
        self.by_day("culture_feed", "microworm 1", "", begin, tended, 7)
        wanted = [g["since"] for g in groups if g["stage"] == "fry"]
        for g in groups:
            if g["stage"] == "eggs" and g["name"] in windows and windows[g["name"]][1] >= self.now:
                eve = self.day(windows[g["name"]][0]) - dt.timedelta(days=1)
                wanted.append(max(g["since"], self.utc(eve, "00:00")))
        started = self.times("brine shrimp", "start")
        if wanted:
            self.hourly("start_brine_shrimp", "brine shrimp", "", min(wanted), started, lambda m, d, c: c == "18:00")
        if started:
            last = max(started)
            ready = last + dt.timedelta(hours=24)
            over = any(t >= last for t in self.times("brine shrimp", "harvest"))
            if not over and ready < self.midnight and self.now - ready <= dt.timedelta(days=3):
                self.out.append(("harvest_brine_shrimp", "brine shrimp", "", ready.isoformat()))

    def dates(self) -> None:
        for h in self.heard:
            if h["what"] == "promise" and self.utc(h["date"], "06:30") < self.midnight:
                sold = [x for x in self.heard if x["what"] == "picked up" and x["said"] >= h["said"]]
                if not sold:
                    self.out.append(("promised", "", "", self.utc(h["date"], "06:30").isoformat()))
            if h["what"] == "remind":
                said = self.day(h["said"].astimezone(UTC))
                times = []
                day = said
                while day <= self.day(self.now):
                    day += dt.timedelta(days=1)
                    if (day - said).days % h["every"] == 0 and self.utc(day, "09:00") < self.midnight:
                        times.append(self.utc(day, "09:00"))
                gone = [t for t in times if t <= self.now][-1:]
                done = [x["at"].astimezone(UTC) for x in self.heard if x["what"] == "wiped"]
                for at in gone + [t for t in times if t > self.now]:
                    if not any(t >= self.utc(self.day(at), "00:00") for t in done):
                        self.out.append(("reminder", "", "", at.isoformat()))
