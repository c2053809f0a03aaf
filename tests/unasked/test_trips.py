"""The list for a trip: what is done beforehand and what somebody does each day, cut to what cannot be left."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from bot.routine.trips import LONGEST, trip_list
from shared.room import RoomCard
from tests.unasked.conftest import House

MARCH = {day: dt.date(2026, 3, day) for day in range(1, 32)}


def asked(house: House, first: int, last: int, **more: Any) -> str:
    return trip_list(house.book.standing(), house.book, MARCH[first], MARCH[last], **more)


def test_four_days_away(house: House) -> None:
    house.say("put aside 4 gardneri for Okafor on saturday", "2026-03-09 08:00")
    assert asked(house, 12, 15, person="Ivo") == (
        "Away Thu 12 Mar to Sun 15 Mar (4 days), Ivo does it.\n"
        "Before:\n"
        "- Mops and peat boxes out, a last time emptied: tanks 1–10. No new eggs.\n"
        "- Water changes: tanks 1–11, 13 and 14.\n"
        "- Test water: tub E.\n"
        "- Feed culture: daphnia, microworms 1 and 2 and vinegar eel.\n"
        "- Promised: 4 gardneri for Okafor (Sat 14 Mar).\n"
        "- Food in marked portions: 8 for each of tank 11 and tub E; 2 for each of tanks 1–10, 13 and 14. "
        "The rest put away.\n"
        "- Aged water drawn and standing by; drops and cups laid out.\n"
        "Each day, Ivo:\n"
        "- Egg tubs A, B and C, once: all fresh water of the same temperature; 3–5 drops of 3 % peroxide. "
        "Drops off skin and eyes.\n"
        "- Fry water, once: a third out of tub E, fresh as warm as theirs.\n"
        "- Fry, morning and evening, one portion: tank 11 and tub E.\n"
        "- Grown fish, every second day, one portion: tanks 1–10, 13 and 14. Never more, also when they beg.\n"
        "- Once round: lights, pumps running, the thermometers, water on the floor.\n"
        "Fry may come: B21 in tub A, B22 in tub B and B23 in tub C. Leave them in their tub; no drops where fry swim.\n"
        "Left alone: mops, picking and counting eggs, filters, tests, moving fish. Nothing to count or write down.\n"
        "Ring Rosa: power out, a leak, a hot or cold tank, many dead. Dry hands at plugs."
    )


@pytest.mark.parametrize(
    ("first", "last", "fry", "grown"), [(12, 12, 2, 1), (12, 13, 4, 1), (12, 14, 6, 2), (12, 25, 28, 7)]
)
def test_food_is_measured_for_the_days(house: House, first: int, last: int, fry: int, grown: int) -> None:
    text = asked(house, first, last)
    assert f"portions: {fry} for each of tank 11 and tub E; {grown} for each of tanks 1–10, 13 and 14." in text


def test_what_was_done_beforehand_is_off_the_list(house: House) -> None:
    assert "Water changes: tanks 1–11, 13 and 14" in asked(house, 12, 13)
    house.say("30% water change all tanks", "2026-03-11 18:00")
    assert "- Water changes: tank 11.\n" in asked(house, 12, 13)  # a nursery's is daily


def test_whom_to_ring_is_an_owner_who_does_not_do_it(house: House) -> None:
    assert "Ring Rosa:" in asked(house, 12, 13, person="Ivo")
    assert "Ring the keeper:" in asked(house, 12, 13, person="Rosa")
    assert "Ring Lena:" in asked(house, 12, 13, ring="Lena")


def test_an_empty_room_still_has_its_round(house: House, tmp_path: Any) -> None:
    empty = House(tmp_path / "empty.db", RoomCard(name="my room"), "2026-03-01 08:00")
    text = trip_list(empty.book.standing(), empty.book, MARCH[12], MARCH[13])
    assert "Once round" in text
    assert "portions" not in text
    empty.close()


def test_days_turned_round_or_without_end_are_refused(house: House) -> None:
    with pytest.raises(ValueError, match="cannot end on 2026-03-11 before it begins"):
        asked(house, 12, 11)
    with pytest.raises(ValueError, match=f"{LONGEST} at most"):
        trip_list(house.book.standing(), house.book, MARCH[1], dt.date(2026, 12, 24))
