"""What is due by dates, seasons, weekdays and persons, worked out a second time in plain loops, as in `plain`."""

from __future__ import annotations

import datetime as dt

from tests.routine.plain import FED, UTC, Happened, Plain

DueFor = tuple[str, str, str, str, str]  # task, place, text, when in UTC, whose
QUARANTINE_DAYS, PEAT_DAYS, SUNDAY, WEEKEND = 28, 21, 6, (5, 6)  # common practice, no source


class PlainTenWeeks(Plain):
    """A quarantine tank, breeders and a bag of peat, kept on paper."""

    def told(self, what: str, by: dt.datetime) -> list[Happened]:
        """Everything of that name that had been said by then."""
        return [h for h in self.heard if h["what"] == what and h["said"].astimezone(UTC) <= by]

    # ---- feeding: by season, by weekday

    def fed_at(self, said_by: dt.datetime, day: dt.date, clock: str) -> bool:
        meals = 2
        for rule, said, days in self.seasons:
            if said <= said_by and day in days:
                meals = rule["meals"]
        if day.weekday() == SUNDAY and clock == "12:30" and self.told("no Sunday noon", said_by):
            return False
        return clock in FED[meals]

    def seasons_said(self) -> list[tuple[Happened, dt.datetime, set[dt.date]]]:
        """Each season said, when, and its days, counted off from its first to its last."""
        found = []
        for rule in self.told("season", self.now):
            days: set[dt.date] = set()
            for year in (self.now.year - 1, self.now.year):
                day = dt.date(year, *rule["first"])
                while (day.month, day.day) != rule["last"]:
                    days.add(day)
                    day += dt.timedelta(days=1)
                days.add(day)
            found.append((rule, rule["said"].astimezone(UTC), days))
        return found

    # ---- mops: each day counted by what held on it

    def mops(self, place: str, begin: dt.datetime) -> None:
        base = max([begin, *self.times(place, "pull")])
        said = sorted(h["said"].astimezone(UTC) for h in self.heard if h["what"] in ("mops", "rest", "together"))
        changes = [moment for moment in said if moment > base]
        until = [*(moment - dt.timedelta(minutes=1) for moment in changes), self.now]
        at = self.mops_wanted(base, until[0])
        for moment, last in zip(changes, until[1:], strict=True):
            # what waited when the rule was made waits on, unless the new one lets it wait longer
            by_now = self.mops_wanted(base, last)
            at = by_now if by_now is None or by_now >= moment else min(at or moment, moment)
        at = self.put_off("pull_mop", place, base) or at
        if at is not None and at < self.midnight:
            self.out.append(("pull_mop", place, "", at.isoformat()))

    def mops_wanted(self, base: dt.datetime, by: dt.datetime) -> dt.datetime | None:
        """The first morning on which they have hung as long as that day asks for, by what had been said `by` then."""
        day, waited, resting = self.day(base), 0, self.days_of_rest(by)
        wanted = False
        for _ in range(200):
            day, waited = day + dt.timedelta(days=1), waited + 1
            wanted = wanted or waited >= self.days_between(day, by)
            if wanted and day not in resting:
                if self.day(by) in resting:
                    day = max(day, self.day(by))
                while day in resting:
                    day += dt.timedelta(days=1)
                return self.utc(day, "06:30")
        return None

    def days_between(self, day: dt.date, by: dt.datetime) -> int:
        """What that day asks for: the tank's own word, else the newest for the room that has this day, else three."""
        asked, own = 3, 0
        for rule in self.told("mops", by):
            if day in rule["days"] and rule["place"]:
                own = rule["value"]
            elif day in rule["days"]:
                asked = rule["value"]
        return own or asked

    def days_of_rest(self, by: dt.datetime) -> set[dt.date]:
        days: set[dt.date] = set()
        for h in sorted(self.heard, key=lambda h: h["said"]):
            if h["said"].astimezone(UTC) <= by and h["what"] == "rest":
                days = h["days"]
            elif h["said"].astimezone(UTC) <= by and h["what"] == "together":
                days = set()
        return days

    # ---- doses: each day of the course, the missed one not twice

    def doses(self) -> None:
        for course in self.told("course", self.now):
            place, dose, substance = course["place"], course["dose"], course["substance"]
            said = course["said"].astimezone(UTC)
            if [h for h in self.told("stopped", self.now) if (h["place"], h["substance"]) == (place, substance)]:
                continue
            given = [
                self.day(h["at"]) for h in self.heard if h["what"] == "dosed" and h["place"] == place
                and h["substance"] == substance
            ]  # fmt: skip
            wanted = None
            day = course["first"]
            while day <= course["last"] and day <= self.day(self.now):
                if (day - course["first"]).days % course["every"] == 0:
                    wanted = day
                day += dt.timedelta(days=1)
            if wanted and not [d for d in given if d >= wanted]:
                at = self.utc(wanted, "06:30")
                if wanted == course["first"] and said > at:
                    at = said
                self.out.append(("treat", place, f"dose of {dose}", at.isoformat()))

    # ---- what comes so many days after something

    def quarantine(self, place: str) -> None:
        arrivals = self.times(place, "arrived")
        if not arrivals:
            return
        at = self.first_morning(max(arrivals), QUARANTINE_DAYS)
        over = [t for t in self.times(place, "let out") if t >= at]
        if at < self.midnight and not over:
            self.out.append(("reminder", place, f"quarantine in {place} is over", at.isoformat()))

    def peat(self, place: str, batch: str) -> None:
        begin = [h["at"].astimezone(UTC) for h in self.heard if h["what"] == "bagged"]
        if begin:
            looks = self.times(place, "looked", "eyed")
            self.by_day("look_at_peat", place, f"look at the peat of {batch}", begin[0], looks, PEAT_DAYS)

    # ---- the whole list, and whose it is

    def whose(self, task: str, at: dt.datetime) -> str:
        """Ivo's are the feeds of weekend mornings and the mops of Saturdays; what is late is whose it is today."""
        day = max(self.day(at), self.day(self.now))
        morning = at.astimezone(self.zone).strftime("%H:%M") == "06:30"
        if task == "feed" and morning and day.weekday() in WEEKEND and self.told("Ivo feeds", self.now):
            return "Ivo"
        if task == "pull_mop" and day.weekday() == 5 and self.told("Ivo mops", self.now):
            return "Ivo"
        return ""

    def due_for(self, person: str) -> list[DueFor]:
        """Everything for nobody named; for somebody, what is not another's nor what he was spared."""
        spared = "look_at_peat" if person == "Ivo" and self.told("Ivo spared the peat", self.now) else ""
        rows = [(*row, self.whose(row[0], dt.datetime.fromisoformat(row[3]))) for row in self.out]
        return sorted(row for row in rows if row[0] != spared and (not person or row[4] in ("", person)))

    def work_out(self) -> None:
        self.seasons = self.seasons_said()
        for place in ("tank 3", "tank 15"):
            stood = self.times(place, "stood", "arrived")
            if stood:
                self.hourly("feed", place, "", min(stood), self.times(place, "fed"), self.fed_at)
        self.mops("tank 3", min(self.times("tank 3", "stood")))
        self.doses()
        self.quarantine("tank 15")
        self.peat("peat bag", "B1")
