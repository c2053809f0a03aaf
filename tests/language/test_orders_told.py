"""Orders to the hand itself: what of a note says them, and that these labels alone tell them again."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language import Names
from bot.language.doubts.heard_twice import OF_NET
from bot.language.learnt.bidden import NO_PART, ORDERS
from bot.language.learnt.enough import TELLABLE
from bot.language.learnt.parts import Telling
from bot.language.learnt.second_reading import tags_of
from tests.language.examples import Example, example_of
from tests.language.judging import Raw, Room, card_of
from tests.language.test_aligned import labels_of, note_of

CARD = card_of("millrace.json")
NAMES, ROOM = Names.of(CARD), Room.of(CARD)
SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001


def setting(what: str, value: float | str | None, **keys: object) -> Raw:
    return {"kind": "setting", "what": what, "value": value, **keys}


def told_by_labels(example: Example) -> tuple[list[Raw], bool]:
    """What the labels alone tell, without their text."""
    kinds, roles = [], []
    for label in example.labels:
        kind, _, role = (label or "O").partition("|")
        kinds.append(kind)
        roles.append(role or NO_PART)
    events, whole = Telling(NAMES, SENT, example.tags, kinds, roles).told()
    return [{k: v for k, v in e.outside().items() if k not in ("text", "task")} for e in events], whole


@pytest.mark.parametrize(
    ("note", "labels"),
    [
        (
            note_of("heater in 9 up to 75", setting("heater_c", 23.9, place="tank 9")),
            {"heater": "O", "9": "setting.heater_c|place", "75": "setting.heater_c|value"},
        ),
        (
            note_of("feed tank 3 twice a day", setting("feeds_per_day", 2, place="tank 3")),
            {"feed": "O", "tank": "setting.feeds_per_day|place", "twice": "setting.feeds_per_day|value"},
        ),
        (
            note_of("change the water weekly in 9", setting("water_change_days", 7, place="tank 9")),
            {
                "change": "O",
                "water": "O",
                "weekly": "setting.water_change_days|value",
                "9": "setting.water_change_days|place",
            },
        ),
        (
            note_of("mops every third day in 2", setting("mop_every_days", 3, place="tank 2")),
            {"mops": "O", "every": "setting.mop_every_days|value", "third": "O", "2": "setting.mop_every_days|place"},
        ),
        (
            note_of("nightly list at 9", setting("nightly_at", "21:00")),
            {"nightly": "O", "9": "setting.nightly_at|value"},
        ),
        (note_of("talk celsius please", setting("units", "metric")), {"celsius": "setting.units|value"}),
        (
            note_of(
                "new tub H, a quart, for fry", {"kind": "new_place", "place": "tub H", "litres": 0.9, "role": "fry"}
            ),
            {"h": "new_place|place", "quart": "new_place|litres", "fry": "new_place|role"},
        ),
        (
            note_of(
                "set up tank 17, 20g, for medaka",
                {"kind": "new_place", "place": "tank 17", "litres": 75.7, "line": "medaka"},
            ),
            {"set up": "O", "tank": "new_place|place", "20": "new_place|litres", "medaka": "new_place|line"},
        ),
        (note_of("tub G is out of use", {"kind": "close_place", "place": "tub G"}), {"tub": "close_place|place"}),
        (
            note_of(
                "remind me friday at 8 pm about 13",
                {"kind": "remind", "date": "2026-03-13", "time": "20:00", "place": "tank 13"},
            ),
            {"friday": "remind|when", "8": "remind|when", "13": "remind|place"},
        ),
        (
            note_of(
                "remind me friday about 13 and put the heater in 9 up to 75",
                {"kind": "remind", "date": "2026-03-13", "place": "tank 13"},
                setting("heater_c", 23.9, place="tank 9"),
            ),
            {
                "friday": "remind|when",
                "13": "remind|place",
                "heater": "O",
                "9": "setting.heater_c|place",
                "75": "setting.heater_c|value",
            },
        ),
        (
            note_of("remind me at six in the morning", {"kind": "remind", "date": "2026-03-10", "time": "06:00"}),
            {"6": "remind|when"},
        ),
        (
            note_of("every other week rinse the sponges", {"kind": "remind", "every_days": 14.0}),
            {"every": "remind|every_days", "rinse": "O", "sponges": "O"},
        ),
        (
            note_of("snooze 13 for 2 days", {"kind": "snooze", "place": "tank 13", "date": "2026-03-11"}),
            {"13": "snooze|place", "2": "snooze|when"},
        ),
        (
            note_of(
                "the filters in 13 and 14 can wait until sunday",
                {"kind": "snooze", "place": "tank 13", "date": "2026-03-15"},
                {"kind": "snooze", "place": "tank 14", "date": "2026-03-15"},
            ),
            {"filters": "O", "13": "snooze|place", "14": "snooze|place", "sunday": "snooze|when"},
        ),
        (note_of("no, 12 not 21", {"kind": "fix", "count": 12}), {"no": "O", "12": "fix|count", "21": "O"}),
        (
            note_of("change 20 to 30% on that last one", {"kind": "fix", "percent": 30.0}),
            {"change": "O", "20": "fix|percent", "one": "O"},
        ),
        (
            note_of(
                "moved 16 from 12 to 13, tank shut",
                {"kind": "move", "from": "tank 12", "to": "tank 13", "count": 16},
                {"kind": "close_place", "place": "tank 12"},
            ),
            {"16": "move|count", "12": "move|from", "13": "move|to", "tank": "close_place", "shut": "close_place"},
        ),
        (note_of("it was two pairs", {"kind": "fix", "count": 4}), {"two": "fix|count"}),
        (
            note_of("wrote 79 for the heater, was 77", {"kind": "fix", "value": 25.0}),
            {"79": "O", "heater": "O", "77": "fix|value"},
        ),
        (
            note_of(
                "set up a 20 on the landing. it's 18, for medaka",
                {"kind": "new_place", "place": "tank 18", "litres": 75.7, "line": "medaka"},
            ),
            {"set up": "O", "20": "new_place|litres", "18": "new_place|place", "medaka": "new_place|line"},
        ),
        (note_of("that was a female", {"kind": "fix", "sex": "female"}), {"female": "fix|sex"}),
        (note_of("undo that", {"kind": "undo"}), {"undo that": "undo"}),
        (note_of("all done", {"kind": "done"}), {"all done": "done"}),
        (
            note_of(
                "pulled 12 from 3. egg tubs done", {"kind": "pull", "place": "tank 3", "count": 12}, {"kind": "done"}
            ),
            {"12": "pull|count", "3": "pull|place", "egg tubs": "done", "done": "done"},
        ),
        (
            note_of("the male in tank 2 looks thin", {"kind": "remark", "place": "tank 2"}),
            {"male": "remark", "tank": "remark|place"},
        ),
    ],
)
def test_an_order_is_told_again_by_what_says_it(note: Raw, labels: dict[str, str]) -> None:
    example = example_of(note, NAMES, ROOM)
    assert example is not None
    assert labels_of(example) == labels
    events, whole = told_by_labels(example)
    assert whole
    assert events == note["want"][0]["events"]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("heater in 9 up", "setting.heater_c"),
        ("snooze 9", "snooze"),
        ("put that right", "fix"),
        ("new tub for fry", "new_place"),
        ("closed it", "close_place"),
    ],
)
def test_an_order_that_lacks_what_it_needs_is_not_whole(text: str, kind: str) -> None:
    tags = tags_of(NAMES, text, SENT)
    roles = ["place" if tag.kind == "num" else NO_PART for tag in tags]
    assert not Telling(NAMES, SENT, tags, [kind] * len(tags), roles).told()[1]


def test_the_net_alone_takes_nothing_away() -> None:
    assert ORDERS <= TELLABLE
    assert not {"undo", "close_place"} & OF_NET
