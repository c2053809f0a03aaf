"""Notes of hurried thumbs: what stands in two stretches, or two things in one, is found there and told again."""

from __future__ import annotations

import pytest

from bot.language.learnt.parts import Telling
from bot.language.learnt.second_reading import tags_of
from tests.language.aligned import aligned
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of
from tests.language.test_learnt import SENT


def warm(place: str, value: float, **more: object) -> Raw:
    return {"kind": "measure", "place": place, "quantity": "temperature", "value": value, **more}


def pulled(place: str, count: int, **more: object) -> Raw:
    return {"kind": "pull", "place": place, "count": count, **more}


def bad(place: str, count: int) -> Raw:
    return {"kind": "bad_eggs", "place": place, "count": count}


def fed(food: str, *places: str) -> Raw:
    return {"kind": "feed", "places": list(places), "food": food}


def dropped(place: str) -> Raw:
    return {"kind": "dose", "place": place, "substance": "peroxide", "amount": 1, "unit": "drop"}


def sold(count: int, buyer: str, line: str) -> Raw:
    return {"kind": "sale", "count": count, "buyer": buyer, "line": line}


def grown(action: str) -> Raw:
    return {"kind": "culture", "culture": "microworm 2", "action": action}


def watered(*places: str, **more: object) -> Raw:
    return {"kind": "water_change", "places": list(places), **more}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("14 at 24,2 13 at 24,8", [warm("tank 14", 24.2), warm("tank 13", 24.8)]),
        ("temp 15 26,,5", [warm("tank 15", 26.5)]),
        ("tmep t4 24,,8 t6 22,,2", [warm("tank 4", 24.8), warm("tank 6", 22.2)]),
        ("nitrite t12 ,25", [{**warm("tank 12", 0.25), "quantity": "nitrite"}]),
        ("20,5 litr from 13", [watered("tank 13", litres=20.5)]),
        ("gardenri mops 2:10 3:22", [pulled("tank 2", 10), pulled("tank 3", 22)]),
        ("egs 1-9,2-14,3-7", [pulled("tank 1", 9), pulled("tank 2", 14), pulled("tank 3", 7)]),
        ("mops: 2/11, 3/16, 7/30", [pulled("tank 2", 11), pulled("tank 3", 16), pulled("tank 7", 30)]),
        ("mop 7 = 40 on the 28th", [pulled("tank 7", 40, date="2026-02-28")]),
        ("1 bad in B, gave it a drop of peroxide", [bad("tub B", 1), dropped("tub B")]),
        (
            "9pm: A 2 bad, B 1 bad, water on both",
            [
                {**bad("tub A", 2), "time": "21:00"},
                {**bad("tub B", 1), "time": "21:00"},
                watered("tub A", "tub B", time="21:00"),
            ],
        ),
        ("da 7, fl 9", [fed("daphnia", "tank 7"), fed("flake", "tank 9")]),
        ("box in 10 rinsed", [{"kind": "service", "place": "tank 10", "item": "box filter"}]),
        ("4 ga Ada", [sold(4, "Ada", "gardneri")]),
        ("fed the babies in ee", [{"kind": "feed", "places": ["tub E"]}]),
        ("bady egs A1,B3", [bad("tub A", 1), bad("tub B", 3)]),
        ("eggs, tanks 1 to 3: 4, 5, 6", [pulled("tank 1", 4), pulled("tank 2", 5), pulled("tank 3", 6)]),
        ("white: 1, 2 and 3, in A, B and C", [bad("tub A", 1), bad("tub B", 2), bad("tub C", 3)]),
        ("gardnri mop tnk2 22 egs n 2 wite", [pulled("tank 2", 22), bad("tank 2", 2)]),
        ("mob on7 ful,,38 int oG", [pulled("tank 7", 38, to="tub G")]),
        ("1 fluffy egg tubb D,binned", [bad("tub D", 1)]),
        ("water A to D", [watered("tub A", "tub B", "tub C", "tub D")]),
        ("a gallon for each of 2, 3 and 4", [watered("tank 2", "tank 3", "tank 4", litres=3.8)]),
        ("the 5.5 with the clowns is at 76", [warm("tank 4", 24.4)]),
        ("Lena 4 gardneri, Gus 2", [sold(4, "Lena", "gardneri"), sold(2, "Gus", "gardneri")]),
        ("mw 2 harvesetd n re started", [grown("harvest"), grown("start")]),
        ("gularis pr walt 28quid", [{**sold(2, "Walt", "blue gularis"), "price": 28}]),
        (
            "hold 6 pandas for Priya til 2/4",
            [{"kind": "reserve", "count": 6, "line": "panda cory", "buyer": "Priya", "date": "2026-04-02"}],
        ),
    ],
)
def test_what_hurried_thumbs_wrote_is_found_and_told_again(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "event", "roles"),
    [
        ("14 at 24,2", warm("tank 14", 24.2), {"14": "place", "24": "value", "2": "tenths"}),
        ("nitrite t12 ,25", {**warm("tank 12", 0.25), "quantity": "nitrite"}, {"25": "tenths"}),
        ("eggs 2:10", pulled("tank 2", 10), {"2": "place_and"}),
        ("eggs 1-9, 3 in 2", pulled("tank 1", 9), {"1": "place_and"}),
    ],
)
def test_each_part_of_a_number_has_its_role(text: str, event: Raw, roles: dict[str, str]) -> None:
    note = note_of(text, event)
    found = aligned(note, note["want"][0], NAMES)
    said = {tag.word: role for tag, role in zip(found.tags, found.roles, strict=True)}
    assert {word: said[word] for word in roles} == roles


@pytest.mark.parametrize(("text", "role"), [("fed B, 5", "tenths"), ("fed B 5", "place_and")])
def test_what_cannot_be_unfolded_is_not_whole(text: str, role: str) -> None:
    tags = tags_of(NAMES, text, SENT)
    roles = [role if tag.word == "5" else "place" if tag.word == "b" else "_" for tag in tags]
    told, whole = Telling(NAMES, SENT, tags, ["feed" for _ in tags], roles).told()
    assert [event.outside() for event in told] == [{"kind": "feed", "places": ["tub B"]}]
    assert not whole
