"""The second reading: what the parts of a note make, when it speaks against the first, and what is asked then."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter

import pytest

from bot.language import Names, Reader
from bot.language.learnt.parts import Telling
from bot.language.learnt.second_reading import same, tags_of, within
from shared.events import Event, event_from
from tests.language.examples import TAUGHT, is_for_trust, is_held_back
from tests.language.judging import DATA, Raw, Room, best, card_of, notes_of

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
NAMES = Names.of(card_of("millrace.json"))


def told(text: str, parts: str) -> tuple[list[Raw], bool]:
    """What a note tells when its words play the parts said: "40=pull|count 3=pull|place", each the first so called."""
    tags = tags_of(NAMES, text, SENT)
    kinds, roles = ["O"] * len(tags), ["_"] * len(tags)
    for part in parts.split():
        word, label = part.split("=")
        at = next(n for n, t in enumerate(tags) if word in (t.word.split() or [t.kind]) and roles[n] == "_")
        kinds[at], roles[at] = label.split("|")
    events, whole = Telling(NAMES, SENT, tags, kinds, roles).told()
    return [e.outside() for e in events], whole


def listed(events: str) -> list[Raw]:
    return [json.loads(event) for event in events.splitlines() if event.strip()]


@pytest.mark.parametrize(
    ("text", "parts", "events"),
    [
        (
            "40 eggs out of 3",
            "40=pull|count 3=pull|place",
            '{"kind": "pull", "place": "tank 3", "count": 40}',
        ),
        (
            "topped up one to four",
            "one=top_off|place four=top_off|place",
            '{"kind": "top_off", "places": ["tank 1", "tank 2", "tank 3", "tank 4"]}',
        ),
        (
            "25% in 2 and 3, 40% in 13",
            "25=water_change|percent 2=water_change|place 3=water_change|place "
            "40=water_change|percent 13=water_change|place",
            '{"kind": "water_change", "places": ["tank 2", "tank 3"], "percent": 25.0}\n'
            '{"kind": "water_change", "places": ["tank 13"], "percent": 40.0}',
        ),
        (
            "nitrite and ammonia are zero in 15",
            "nitrite=measure|quantity ammonia=measure|quantity zero=measure|value 15=measure|place",
            '{"kind": "measure", "place": "tank 15", "quantity": "nitrite", "value": 0.0}\n'
            '{"kind": "measure", "place": "tank 15", "quantity": "ammonia", "value": 0.0}',
        ),
        (
            "temp 78 in 9",
            "temp=measure|quantity 78=measure|value 9=measure|place",
            '{"kind": "measure", "place": "tank 9", "quantity": "temperature", "value": 25.6}',
        ),
        (
            "two pairs of medaka to Lena for 24",
            "two=sale|count medaka=sale|line lena=sale|buyer 24=sale|price",
            '{"kind": "sale", "count": 4, "line": "medaka", "buyer": "Lena", "price": 24.0}',
        ),
        (
            "another stiff one in E",
            "another=death|count e=death|place",
            '{"kind": "death", "place": "tub E", "count": 1}',
        ),
        (
            "6 out in B, off to F",
            "6=hatch|count b=hatch|place f=move|to",
            '{"kind": "hatch", "place": "tub B", "count": 6}\n'
            '{"kind": "move", "from": "tub B", "to": "tub F", "count": 6}',
        ),
        (
            "fed 3 at 7 and again at 9",
            "3=feed|place 7=feed|when 9=feed|when",
            '{"kind": "feed", "places": ["tank 3"], "time": "07:00"}\n'
            '{"kind": "feed", "places": ["tank 3"], "time": "09:00"}',
        ),
        (
            "7am flake 9, noon powder 11",
            "7=feed|when flake=feed|food 9=feed|place noon=feed|when powder=feed|food 11=feed|place",
            '{"kind": "feed", "places": ["tank 9"], "food": "flake", "time": "07:00"}\n'
            '{"kind": "feed", "places": ["tank 11"], "food": "powder", "time": "12:00"}',
        ),
        (
            "powder and flake to 3, 4 and 9",
            "powder=feed|food flake=feed|food 3=feed|place 4=feed|place 9=feed|place",
            '{"kind": "feed", "places": ["tank 3", "tank 4", "tank 9"], "food": "powder"}\n'
            '{"kind": "feed", "places": ["tank 3", "tank 4", "tank 9"], "food": "flake"}',
        ),
        (
            "ph 7.1 in 2, 7.3 in 3",
            "ph=measure|quantity 7.1=measure|value 2=measure|place 7.3=measure|value 3=measure|place",
            '{"kind": "measure", "place": "tank 2", "quantity": "ph", "value": 7.1}\n'
            '{"kind": "measure", "place": "tank 3", "quantity": "ph", "value": 7.3}',
        ),
        (
            "temps 76 and 75, 7 and 8",
            "temps=measure|quantity 76=measure|value 75=measure|value 7=measure|place 8=measure|place",
            '{"kind": "measure", "place": "tank 7", "quantity": "temperature", "value": 24.4}\n'
            '{"kind": "measure", "place": "tank 8", "quantity": "temperature", "value": 23.9}',
        ),
        (
            "wc 13, powder to E, 9pm",
            "13=water_change|place powder=feed|food e=feed|place 9=water_change|when",
            '{"kind": "water_change", "places": ["tank 13"], "time": "21:00"}\n'
            '{"kind": "feed", "places": ["tub E"], "food": "powder"}',
        ),
        (
            "21.5 c in 9",
            "21.5=measure|value 9=measure|place",
            '{"kind": "measure", "place": "tank 9", "quantity": "temperature", "value": 21.5}',
        ),
        (
            "20% on both growouts",
            "20=water_change|percent growouts=water_change|place",
            '{"kind": "water_change", "places": ["tank 13", "tank 14"], "percent": 20.0}',
        ),
        (
            "both microworms fed",
            "microworms=culture.feed|culture",
            '{"kind": "culture", "culture": "microworm 1", "action": "feed"}\n'
            '{"kind": "culture", "culture": "microworm 2", "action": "feed"}',
        ),
    ],
)
def test_parts_make_events(text: str, parts: str, events: str) -> None:
    made, whole = told(text, parts)
    assert made == listed(events)
    assert whole


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("40 eggs", "40=pull|count"),  # from nowhere
        ("temp 780 in 9", "temp=measure|quantity 780=measure|value 9=measure|place"),
        ("140% in 9", "140=water_change|percent 9=water_change|place"),
        ("6 to F", "6=move|count f=move|to"),  # from nowhere
        ("bred 3 at 7 and again at 9", "3=pull|place 7=pull|when 9=pull|when"),  # one of the times would be lost
        ("1 sun 7 mon 8 9", "1=feed|place sun=feed|when 7=feed|when mon=feed|when 8=feed|when 9=feed|when"),
    ],
)
def test_what_lacks_something_is_not_whole(text: str, parts: str) -> None:
    assert not told(text, parts)[1]


def events_of(*raw: Raw) -> list[Event]:
    return [event_from(r) for r in raw]


PULL: Raw = {"kind": "pull", "place": "tank 3", "count": 40}


@pytest.mark.parametrize(
    ("one", "other", "alike", "inside"),
    [
        ([PULL], [PULL], True, True),
        ([PULL], [{**PULL, "line": "gardneri"}], True, True),  # follows from the place
        ([PULL], [{**PULL, "count": 14}], False, False),
        ([PULL], [{**PULL, "to": "tub D"}], False, True),
        ([{**PULL, "to": "tub D"}], [PULL], False, False),
        ([], [PULL], False, True),
        ([{"kind": "feed", "places": ["tank 3", "tank 5"]}], [{"kind": "feed", "places": ["tank 5"]}], False, False),
        (
            [{"kind": "feed", "places": ["tank 3", "tank 5"]}],
            [{"kind": "feed", "places": ["tank 5"]}, {"kind": "feed", "places": ["tank 3"]}],
            True,
            True,
        ),
        ([{"kind": "eyed", "batch": "B22", "count": 9}], [{"kind": "eyed", "place": "tub B", "count": 9}], True, True),
    ],
)
def test_readings_are_compared_by_what_they_would_log(
    one: list[Raw], other: list[Raw], alike: bool, inside: bool
) -> None:
    assert same(events_of(*one), events_of(*other), NAMES) is alike
    assert within(events_of(*one), events_of(*other), NAMES) is inside


def test_read_twice_more_is_right_and_far_less_is_wrong() -> None:
    """On a twelfth of the notes held back from all learning."""
    once, twice, room = Reader(NAMES, twice=False), Reader(NAMES), Room.of(card_of("millrace.json"))
    files = [TAUGHT + f.name for f in sorted((DATA / TAUGHT).glob("*.jsonl"))]
    held = [n for file in files for n in notes_of(file) if is_held_back(file, n) and not is_for_trust(file, n)]
    assert len(held) > 3000
    before, after = Counter[str](), Counter[str]()
    for note in held[::12]:
        sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
        for reader, heard in ((once, before), (twice, after)):
            heard[best(note["want"], reader.read(note["text"], sent).outside(), note["text"], room)] += 1
    assert after["exact"] > before["exact"]
    assert 1.7 * after["misread"] < before["misread"]
