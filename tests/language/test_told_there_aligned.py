"""What was done in a place spoken of before: its word alone tells it, of that place or of all that were named."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language.learnt.parts import Telling
from bot.language.learnt.second_reading import tags_of
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, labels_of, note_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")


def bad(place: str, count: int) -> Raw:
    return {"kind": "bad_eggs", "place": place, "count": count}


def water(*places: str, **keys: object) -> Raw:
    return {"kind": "water_change", "places": list(places), **keys}


@pytest.mark.parametrize(
    ("text", "events", "label"),
    [
        ("Seven eggs in tub A were white. I removed them and changed the water.", [bad("tub A", 7), water("tub A")],
         ("changed the water", "water_change|there")),
        ("Tank 11 was fed and topped up.",
         [{"kind": "feed", "places": ["tank 11"]}, {"kind": "top_off", "places": ["tank 11"]}],
         ("topped up", "top_off|there")),
        ("two white in tub B and four in tub A and I gave them both fresh water",
         [bad("tub B", 2), bad("tub A", 4), water("tub A", "tub B")], ("fresh water", "water_change|there")),
        ("nitrate on 14 is 40, nitrate on 13 is 30, so half out of both",
         [{"kind": "measure", "place": "tank 14", "quantity": "nitrate", "value": 40},
          {"kind": "measure", "place": "tank 13", "quantity": "nitrate", "value": 30},
          water("tank 13", "tank 14", percent=50)], ("half", "water_change|percent")),
        ("took a gallon and a half out of 11", [water("tank 11", litres=5.7)], ("gallon", "water_change|litres")),
        ("a cup of crushed coral went in tank 13",
         [{"kind": "dose", "place": "tank 13", "substance": "crushed coral", "amount": 1, "unit": "cup"}],
         ("cup", "dose|amount")),
        ("Tanks 2 and 3 were pulled: ten and nineteen eggs, all in tub B.",
         [{"kind": "pull", "place": "tank 2", "count": 10, "to": "tub B"},
          {"kind": "pull", "place": "tank 3", "count": 19, "to": "tub B"}], ("2", "pull|place")),
        ("8 fry hatched in tub B. I moved them to tub G and removed one white egg.",
         [{"kind": "hatch", "place": "tub B", "count": 8},
          {"kind": "move", "from": "tub B", "to": "tub G", "count": 8}, bad("tub B", 1)], ("one", "bad_eggs|count")),
        ("fed and topped up E and F",
         [{"kind": "top_off", "places": ["tub E", "tub F"]}, {"kind": "feed", "places": ["tub E", "tub F"]}],
         ("fed", "feed|there")),
        ("An egg in tub A was white.", [bad("tub A", 1)], ("tub", "bad_eggs|place")),
    ],
)  # fmt: skip
def test_a_chore_is_told_of_what_was_spoken_of(text: str, events: list[Raw], label: tuple[str, str]) -> None:
    example = example_of(note_of(text, *events), NAMES, ROOM)
    assert example is not None
    assert label in labels_of(example).items()


@pytest.mark.parametrize(
    ("text", "event"),
    [
        ("the peat is dry, so i bagged it", {"kind": "peat", "action": "bag", "line": "furzeri"}),
        ("peat bagged for nine weeks", {"kind": "peat", "action": "bag", "line": "furzeri", "weeks": 9}),
        ("wetted the peat at noon", {"kind": "peat", "action": "wet", "batch": "B20", "time": "12:00"}),
    ],
)
def test_peat_is_of_the_only_line_that_lays_in_it(text: str, event: Raw) -> None:
    assert example_of(note_of(text, event), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("remind me on friday to wipe tank 9 and on saturday to ring the club",
         [{"kind": "remind", "date": "2026-03-13", "place": "tank 9"}, {"kind": "remind", "date": "2026-03-14"}]),
        ("two reminders. thursday, squeeze the sponge in 14. And next, friday: order salt",
         [{"kind": "remind", "date": "2026-03-12", "place": "tank 14"}, {"kind": "remind", "date": "2026-03-13"}]),
        ("remind me on wednesday, the 11th, about the talk", [{"kind": "remind", "date": "2026-03-11"}]),
    ],
)  # fmt: skip
def test_each_day_has_a_reminder_of_its_own(text: str, events: list[Raw]) -> None:
    example = example_of(note_of(text, *events), NAMES, ROOM)
    assert example is not None


@pytest.mark.parametrize(
    ("text", "many", "whole"),
    [
        ("remind me on friday to wipe 9 and on saturday to ring the club", 2, True),
        ("remind me on friday to wipe 9 and 8 and on saturday to ring the club", 2, False),
        ("remind me on friday, no and not today, on saturday to ring the club", 1, False),
    ],
)
def test_a_day_that_may_be_put_right_is_not_whole(text: str, many: int, whole: bool) -> None:
    tags = tags_of(NAMES, text, SENT)
    roles = ["when" if t.kind == "day" and t.word != "today" else "_" for t in tags]
    told, is_whole = Telling(NAMES, SENT, tags, ["remind"] * len(tags), roles).told()
    assert (len(told), is_whole) == (many, whole)


@pytest.mark.parametrize(
    ("text", "whole"),
    [
        ("3 white in A , changed the water", True),
        ("3 white in A , 4 white in B , changed the water", False),
        ("3 white in A , 4 white in B , changed the water in both", True),
        ("3 white in A , changed the water in both", False),
    ],
)
def test_where_several_places_may_be_meant_it_is_not_whole(text: str, whole: bool) -> None:
    tags = tags_of(NAMES, text, SENT)
    said = {"3": "bad_eggs|count", "4": "bad_eggs|count", "a": "bad_eggs|place", "b": "bad_eggs|place"}
    labels = [said.get(t.word, "water_change|there" if t.says("cue", "wc") else "O|_") for t in tags]
    kinds, roles = zip(*(label.split("|") for label in labels), strict=True)
    assert Telling(NAMES, SENT, tags, kinds, roles).told()[1] is whole


@pytest.mark.parametrize(
    ("text", "sex"), [("moved 6 males from 5 to 9", "male"), ("moved females 6 males later from 5 to 9", "female")]
)
def test_the_word_behind_a_count_says_which_sex_it_is(text: str, sex: str) -> None:
    tags = tags_of(NAMES, text, SENT)
    said = {"6": "move|female", "5": "move|from", "9": "move|to"}
    kinds, roles = zip(*(said.get(t.word, "O|_").split("|") for t in tags), strict=True)
    (event,), _ = Telling(NAMES, SENT, tags, kinds, roles).told()
    assert event.outside()[sex] == 6
