"""Ten weeks with a quarantine, courses of treatment, peat, and a routine by season, by weekday and by person.

As in `test_month` the list is compared with one worked out by plain code, here for everybody and for each of the two.
"""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter
from zoneinfo import ZoneInfo

import pytest

from shared.due.due_list import due
from shared.ledger.standing import Standing
from tests.routine.plain import FED, UTC, Happened
from tests.routine.plain_ten_weeks import PlainTenWeeks
from tests.routine.room import Room

DAYS = 70
ASKED_ABOUT = {"feed", "pull_mop", "treat", "reminder", "look_at_peat"}  # the rest is the month's


class TenWeeks:
    """What happens in the ten weeks, told both to the ledger and to the plain list."""

    def __init__(self, zone: ZoneInfo, seed: int, first: dt.date) -> None:
        self.zone, self.dice = zone, random.Random(seed)
        self.first = first
        self.begun = self.clock(0, 6)
        self.acts: list[Happened] = []
        self.history: list[Happened] = []
        self.room = Room(self.begun)

    def day(self, day: int) -> dt.date:
        return self.first + dt.timedelta(days=day)

    def clock(self, day: int, hour: int, minute: int = 0) -> dt.datetime:
        return dt.datetime.combine(self.day(day), dt.time(hour, minute), self.zone)

    def act(self, at: dt.datetime, what: str, place: str = "", said: dt.datetime | None = None, **more: object) -> None:
        self.acts.append({"said": said or at, "at": at, "what": what, "place": place, **more})

    def plan(self) -> None:
        act, clock, dice = self.act, self.clock, self.dice
        act(self.begun, "stood", "tank 3")
        act(self.begun, "bagged", "peat bag")
        act(clock(1, 16), "arrived", "tank 15", line="lampeye")
        again = dice.randrange(10, 28)  # before the four weeks are over; told the evening after
        act(clock(again, 17), "arrived", "tank 15", said=clock(again + 1, 20), line="medaka")
        act(clock(again + 32, 9), "let out", "tank 15")
        first, last = self.day(19), self.day(50)
        act(clock(6, 13), "season", first=(first.month, first.day), last=(last.month, last.day), meals=3)
        act(clock(20, 15), "no Sunday noon")
        self.mops("", 5, range(10, 25), 4)  # of every year
        self.mops("", 7, range(25, 47), 2)
        self.mops("tank 3", 15, range(33, 41), 1)
        self.mops("tank 3", 55, range(52, 62), 5)  # said when it had begun
        act(clock(43, 10), "rest", "tank 3", days=[self.day(d) for d in range(47)], value=self.day(47).isoformat())
        act(clock(48, 9), "rest", "tank 3", days=[self.day(d) for d in range(400)], value=True)
        act(clock(51, 11), "together", "tank 3")
        act(clock(9, 14), "Ivo feeds")
        act(clock(12, 11), "Ivo mops")
        act(clock(30, 11), "Ivo spared the peat")
        self.course(3, "tank 15", "1 tbsp salt", "salt", last=8, every=1)
        self.course(30, "tank 15", "2 ppm levamisole", "levamisole", last=45, every=7)
        self.course(40, "tank 3", "2 tsp salt", "salt", last=60, every=1)
        act(clock(48, 10), "stopped", "tank 3", substance="salt")
        look = 22 + dice.randrange(4)
        act(clock(look, 12), "looked", "peat bag")
        act(clock(look + 15, 12), "eyed", "peat bag")
        off = look + 15 + 21
        act(clock(off, 8), "put off", "peat bag", task="look_at_peat", until=self.day(off + 3))
        for day in range(1, DAYS):
            for place in ("tank 3", "tank 15"):
                for hour in FED[3]:
                    self.perhaps(day, hour, "fed", place)
                for substance in ("salt", "levamisole"):
                    if dice.random() < 0.6:
                        self.perhaps(day, "12:30", "dosed", place, substance=substance)
            if dice.random() < 0.35:
                self.perhaps(day, "17:30", "pull", "tank 3")
        self.acts.sort(key=lambda a: a["said"].astimezone(UTC))

    def mops(self, place: str, said: int, days: range, value: int) -> None:
        """So often in those days: for the room a part of every year, for a tank this once."""
        self.act(self.clock(said, 9), "mops", place, days=[self.day(d) for d in days], value=value)

    def course(self, day: int, place: str, dose: str, substance: str, last: int, every: int) -> None:
        days = {"first": self.day(day), "last": self.day(last)}
        at = self.clock(day, 12)
        self.act(at, "course", place, None, dose=dose, substance=substance, every=every, **days)

    def perhaps(self, day: int, hour: str, what: str, place: str, **more: object) -> None:
        """On time, some hours late, or not at all; now and then only written down in the evening."""
        dice, luck = self.dice, self.dice.random()
        if luck > 0.8:
            return
        slot = self.clock(day, *map(int, hour.split(":"))).astimezone(UTC)
        minutes = dice.randrange(-150, 50) if luck < 0.6 else dice.randrange(60, 330)
        at = (slot + dt.timedelta(minutes=minutes)).astimezone(self.zone)
        evening = self.clock(day, 23, 40)
        self.act(at, what, place, said=evening if dice.random() < 0.15 and at < evening else None, **more)

    def set_up(self) -> None:
        room = self.room
        for line in ("gardneri", "lampeye", "medaka"):
            room.line(line)
        room.line("furzeri", eggs="peat")
        room.tank("tank 3", line="gardneri", male=2, female=3)
        room.tank("tank 15", role="quarantine")
        room.batch("furzeri", "peat bag", count=None, medium="peat")

    def tell(self, h: Happened) -> None:
        """One happening, to the ledger."""
        room, place, at = self.room.at(h["said"]), h["place"], h["at"]
        match h["what"]:
            case "arrived":
                room.arrived(place, h["line"], 4, at=at)
            case "let out":
                room.done(f"quarantine in {place} is over", place)
            case "season":
                first, last = (f"--{month:02}-{day:02}" for month, day in (h["first"], h["last"]))
                room.setting("feeds_per_day", h["meals"], **{"from": first, "to": last})
            case "mops":
                first, last = h["days"][0], h["days"][-1]
                form = "%Y-%m-%d" if place else "--%m-%d"
                days = {"from": first.strftime(form), "to": last.strftime(form), **({"place": place} if place else {})}
                room.setting("mop_every_days", h["value"], **days)
            case "rest":
                room.setting("rest", h["value"], place=place)
            case "together":
                room.setting("rest", "default", place=place)
            case "no Sunday noon":
                room.setting("off", "feeding", weekday="sunday", slot="noon")
            case "Ivo feeds":
                room.setting("who", "feeding", person="Ivo", weekday="sat,sun", slot="morning")
            case "Ivo mops":
                room.setting("who", "mops", person="Ivo", weekday="saturday")
            case "Ivo spared the peat":
                room.setting("off", "look_at_peat", person="Ivo")
            case "course":
                value = h["dose"] if h["every"] == 1 else f"{h['dose']} every {h['every']} days"
                days = {"from": h["first"].isoformat(), "to": h["last"].isoformat()}
                room.setting("course", value, place=place, **days)
            case "stopped":
                room.setting("course", f"stopped: {h['substance']}", place=place)
            case "dosed":
                room.dosed(place, h["substance"], at)
            case "looked":
                room.done("look_at_peat", batch="B1", at=at)
            case "eyed":
                room.eyed(place, "B1")
            case "put off":
                room.put_off(h["task"], batch="B1", date=h["until"])
            case "fed":
                room.fed(place, at=at)
            case "pull":
                room.pulled(place, at)
        self.history.append(h)


@pytest.mark.parametrize(
    ("name", "seed", "first"),
    [
        ("America/Chicago", 1, dt.date(2026, 2, 12)),  # the clock goes forward
        ("Europe/London", 2, dt.date(2026, 9, 24)),  # the clock goes back
        ("America/Chicago", 3, dt.date(2026, 11, 20)),  # the season goes over the turn of the year
    ],
)
def test_ten_weeks_agree_with_the_plain_list_for_everybody_and_for_each(name: str, seed: int, first: dt.date) -> None:
    zone = ZoneInfo(name)
    weeks = TenWeeks(zone, seed, first)
    weeks.plan()
    weeks.set_up()
    standing, applied, acts = Standing(), 0, list(weeks.acts)
    seen: Counter[tuple[str, str]] = Counter()
    for day in range(DAYS):
        for hour in (5, 12, 20):
            now = weeks.clock(day, hour, weeks.dice.randrange(60))
            if now < weeks.begun:
                continue
            while acts and acts[0]["said"].astimezone(UTC) <= now.astimezone(UTC):
                weeks.tell(acts.pop(0))
            for entry in weeks.room.entries[applied:]:
                standing.apply(entry)
            applied = len(weeks.room.entries)
            plain = PlainTenWeeks(weeks.history, now, zone)
            plain.work_out()
            for person in ("", "Ivo", "Rosa"):
                tasks = [t for t in due(standing, now, zone, for_person=person or None) if t.task in ASKED_ABOUT]
                found = sorted(
                    (t.task, t.place or "", t.text or "", t.due.astimezone(UTC).isoformat(), t.person or "")
                    for t in tasks
                )
                assert found == plain.due_for(person), f"{now:%a %d %b %H:%M} for {person or 'everybody'}"
                seen.update((t.task, t.person or "") for t in tasks)
    assert set(seen) == {*((task, "") for task in ASKED_ABOUT), ("feed", "Ivo"), ("pull_mop", "Ivo")}
