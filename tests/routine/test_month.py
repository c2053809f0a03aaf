"""A month of a keeper who is late, forgets, writes things down afterwards and changes his routine twice.

Three times a day the list is compared with one worked out by the plain code beside this: nothing missing, nothing
invented, nothing twice.
"""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter
from zoneinfo import ZoneInfo

import pytest

from shared.due.due_list import due
from shared.due.tasks import HatchWindow
from shared.ledger.standing import Standing
from tests.routine.plain import FED, WATERED, Happened, Plain
from tests.routine.room import Room

UTC = dt.UTC
DAYS = 33


class Keeper:
    """What happens in the month, told both to the ledger and to the plain list."""

    def __init__(self, zone: ZoneInfo, seed: int) -> None:
        self.zone, self.dice = zone, random.Random(seed)
        self.first = dt.date(2026, 2, 27)  # both zones change the clock within the month after
        self.begun = self.clock(0, 6)
        self.acts: list[tuple[dt.datetime, Happened]] = []
        self.history: list[Happened] = []
        self.room = Room(self.begun)

    def clock(self, day: int, hour: int, minute: int = 0) -> dt.datetime:
        return dt.datetime.combine(self.first + dt.timedelta(days=day), dt.time(hour, minute), self.zone)

    def act(self, at: dt.datetime, what: str, place: str = "", said: dt.datetime | None = None, **more: object) -> None:
        self.acts.append((said or at, {"said": said or at, "at": at, "what": what, "place": place, **more}))

    def plan(self) -> None:
        """The month: two tubs of eggs, one hatching bit by bit, fry that move on, breeders, young, cultures."""
        act, clock = self.act, self.clock
        for name, place, stage in (("gardneri", "tank 3", "adults"), ("B1", "tub A", "eggs"),
                                   ("B2", "tank 13", "juveniles")):  # fmt: skip
            act(self.begun, "stock", place, name=name, stage=stage)
        act(clock(6, 19, 20), "stock", "tub B", name="B3", stage="eggs")
        act(clock(12, 7, 10), "hatch", "tub A", batch="B1", to="tub E", all=False)
        act(clock(14, 6, 50), "hatch", "tub A", batch="B1", to="tub E", all=True)
        act(clock(24, 11), "move", "tub E", batch="B1", to="tank 11")
        act(clock(25, 18, 15), "hatch", "tub B", batch="B3", to="tub B", all=True)
        act(clock(8, 20), "rule", rule="mops", value=2)
        act(clock(18, 13, 5), "rule", rule="eggs", value=3)
        act(clock(21, 10), "rule", rule="fry feeds", value=3)
        act(clock(3, 12), "promise", date=self.first + dt.timedelta(days=10))
        act(clock(11, 15), "picked up")
        act(clock(2, 12), "remind", every=4)
        for day in range(1, DAYS):
            for task, place in (("pull_mop", "tank 3"), ("water_change", "tank 13"), ("service", "tank 13")):
                if self.dice.random() < 0.15:
                    until = self.first + dt.timedelta(days=day + self.dice.randrange(1, 4))
                    act(clock(day, 8, self.dice.randrange(60)), "put off", place, task=task, until=until)
            self.chores_of(day)
        self.acts.sort(key=lambda a: a[0].astimezone(UTC))

    def chores_of(self, day: int) -> None:
        dice = self.dice
        for place in ("tub A", "tub B", "tub E"):
            for hour in WATERED[3 if place == "tub E" else 2]:
                self.perhaps(day, hour, "water", place)
        for place in ("tub E", "tank 11", "tub B"):
            for hour in FED[4]:
                self.perhaps(day, hour, "fed", place)
        for place in ("tank 3", "tank 13"):
            for hour in FED[2]:
                self.perhaps(day, hour, "fed", place)
            if dice.random() < 0.2:
                self.perhaps(day, "12:30", "water", place)
        if dice.random() < 0.5:
            self.perhaps(day, "06:30", "water", "tank 11")
        if dice.random() < 0.35:
            self.perhaps(day, "17:30", "pull", "tank 3")
        if dice.random() < 0.1:
            self.perhaps(day, "17:30", "tested", "tub E")
        if dice.random() < 0.03:
            self.perhaps(day, "17:30", "filter", "tank 13")
        if dice.random() < 0.15:
            self.perhaps(day, "12:30", "feed", "microworm 1")
        if day == 23:
            self.perhaps(day, "12:30", "start", "microworm 1")
        if day > 8:
            self.perhaps(day, "18:00", "start", "brine shrimp")
            self.perhaps(day, "17:30", "harvest", "brine shrimp")
        self.perhaps(day, "18:30", "drawn", "")
        if dice.random() < 0.2:
            self.act(self.clock(day, 10, dice.randrange(60)), "wiped")

    def perhaps(self, day: int, hour: str, what: str, place: str) -> None:
        """On time, some hours late, or not at all; now and then only written down in the evening."""
        dice, luck = self.dice, self.dice.random()
        if luck > 0.8:
            return
        slot = self.clock(day, *map(int, hour.split(":")))
        minutes = dice.randrange(-25, 50) if luck < 0.6 else dice.randrange(60, 330)
        at = (slot.astimezone(UTC) + dt.timedelta(minutes=minutes)).astimezone(self.zone)
        evening = self.clock(day, 23, 40)
        self.act(at, what, place, said=evening if dice.random() < 0.15 and at < evening else None)

    def tell(self, h: Happened) -> None:
        """One happening, to the ledger."""
        room = self.room.at(h["said"])
        place, at = h["place"], h["at"]
        match h["what"]:
            case "water":
                room.water(place, at)
            case "fed":
                room.fed(place, at=at)
            case "pull":
                room.pulled(place, at)
            case "tested":
                room.tested(place)
            case "filter":
                room.serviced(place, at=at)
            case "feed" | "start" | "harvest":
                room.tended(place, h["what"], at)
            case "hatch":
                room.hatched(place, h["batch"], None if h["all"] else 6, to=h["to"])
            case "move":
                room.moved(h["batch"], place, h["to"], "fry")
            case "stock" if h["stage"] == "adults":
                pass  # they came with their tank
            case "stock":
                room.stood(h["name"], "gardneri", place, h["stage"], 20)
            case "rule":
                what = {"mops": "mop_every_days", "eggs": "egg_changes_per_day", "fry feeds": "fry_feeds_per_day"}
                room.setting(what[h["rule"]], h["value"])
            case "promise":
                room.promised(buyer="Okafor", line="gardneri", count=2, date=h["date"])
            case "picked up":
                room.done("Okafor picked up")
            case "remind":
                room.remind("wipe the lids", every_days=h["every"])
            case "put off":
                room.put_off(h["task"], place, date=h["until"])
            case "drawn":
                room.done("water drawn", at=at)
            case "wiped":
                room.done("wiped the lids")
        self.history.append(h)

    def set_up(self) -> None:
        room = self.room
        room.line("gardneri")
        room.tank("tank 3", line="gardneri", male=2, female=3)
        room.tank("tank 11", role="nursery")
        room.tank("tank 13", role="grow-out")
        for tub, role in (("tub A", "eggs"), ("tub B", "eggs"), ("tub E", "fry")):
            room.tub(tub, role, 1.0)
        room.culture("microworm 1")
        room.culture("brine shrimp")


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
@pytest.mark.parametrize("name", ["America/Chicago", "Europe/London"])
def test_a_month_agrees_with_the_plain_list_every_day(name: str, seed: int) -> None:
    zone = ZoneInfo(name)
    keeper = Keeper(zone, seed)
    keeper.plan()
    keeper.set_up()
    windows = {
        "B1": (keeper.clock(11, 5), keeper.clock(15, 20)),
        "B3": (keeper.clock(22, 5), keeper.clock(26, 20)),
    }
    standing, applied = Standing(), 0
    acts = list(keeper.acts)
    seen: Counter[str] = Counter()
    for day in range(DAYS):
        for hour, minute in ((5, keeper.dice.randrange(60)), (12, keeper.dice.randrange(60)), (20, 45)):
            now = keeper.clock(day, hour, minute)
            if now < keeper.begun:
                continue
            while acts and acts[0][0].astimezone(UTC) <= now.astimezone(UTC):
                keeper.tell(acts.pop(0)[1])
            for entry in keeper.room.entries[applied:]:
                standing.apply(entry)
            applied = len(keeper.room.entries)
            known = {b: HatchWindow(*w) for b, w in windows.items()}
            tasks = due(standing, now, zone, windows=known)
            found = sorted((t.task, t.place or "", t.batch or "", t.due.astimezone(UTC).isoformat()) for t in tasks)
            assert found == Plain(keeper.history, now, zone).due(windows), f"{now:%d %b %H:%M}"
            assert len(found) == len(set(found))
            seen.update(t.task for t in tasks)
    never = {"keep_apart", "thin_out", "wet_peat"}  # tables of their own in test_chores
    assert set(seen) == {
        "egg_water", "check_hatch", "pick_eggs", "pull_mop", "fry_water", "fry_feed", "feed", "water_change",
        "start_brine_shrimp", "harvest_brine_shrimp", "culture_restart", "culture_feed", "move_up", "promised",
        "test_water", "service", "reminder", "draw_water",
    } - never  # fmt: skip
