"""Lists written short and words cut short: each place, number, line and food is found, and told again."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language.learnt.second_reading import tags_of
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")


def pull(tank: int, count: int, **more: object) -> Raw:
    return {"kind": "pull", "place": f"tank {tank}", "count": count, **more}


def water(*places: str, **more: object) -> Raw:
    return {"kind": "water_change", "places": list(places), **more}


def fed(*places: str, **more: object) -> Raw:
    return {"kind": "feed", "places": list(places), **more}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("got 21 t3 13 t2, B", [pull(3, 21, to="tub B"), pull(2, 13, to="tub B")]),
        ("mops am: 1-7 2-11 3-24 5-5", [pull(1, 7), pull(2, 11), pull(3, 24), pull(5, 5)]),
        ("mops 1-3: 4, 11, 15", [pull(1, 4), pull(2, 11), pull(3, 15)]),
        ("5:9e 8:1e > C/F", [pull(5, 9, to="tub C"), pull(8, 1, to="tub F")]),
        ("8/9/10 wc 25%", [water("tank 8", "tank 9", "tank 10", percent=25)]),
        ("wc abc", [water("tub A", "tub B", "tub C")]),
        ("29g 35% out", [water("tank 7", percent=35)]),
        ("10 gal wc t14, t13 6", [water("tank 14", litres=37.9), water("tank 13", litres=22.7)]),
        ("ivo did all wc 20", [water("all", percent=20)]),
        ("wc 30 in 3, tubs flake", [water("tank 3", percent=30), fed("all tubs", food="flake")]),
        ("pwd E, bbs 11", [fed("tub E", food="powder"), fed("tank 11", food="brine shrimp")]),
        ("6 gul $60 Wes", [{"kind": "sale", "count": 6, "line": "blue gularis", "price": 60, "buyer": "Wes"}]),
        ("sold tom b 1 pr clown 18",
         [{"kind": "sale", "count": 2, "line": "clown killi", "price": 18, "buyer": "Tom B"}]),
        ("dead 2 E, 1 F", [{"kind": "death", "place": "tub E", "count": 2},
                           {"kind": "death", "place": "tub F", "count": 1}]),
        ("Nora 6 lamp $24", [{"kind": "sale", "count": 6, "line": "lampeye", "buyer": "Nora", "price": 24}]),
        ("3 medaka Nils $9, 2 fork Mona $10",
         [{"kind": "sale", "count": 3, "line": "medaka", "buyer": "Nils", "price": 9},
          {"kind": "sale", "count": 2, "line": "forktail", "buyer": "Mona", "price": 10}]),
        ("hold 3 lmp for Kim", [{"kind": "reserve", "count": 3, "line": "lampeye", "buyer": "Kim"}]),
        ("sun & mon, 9, 25% each day",
         [water("tank 9", percent=25, date="2026-03-08"), water("tank 9", percent=25)]),
        ("sun 30% on 13 and 14, mon same on 1 and 5",
         [water("tank 13", "tank 14", percent=30, date="2026-03-08"), water("tank 1", "tank 5", percent=30)]),
        ("sun 31 gardneri fry to 12 from E, mon 2 found dead there",
         [{"kind": "move", "from": "tub E", "to": "tank 12", "count": 31, "line": "gardneri", "date": "2026-03-08"},
          {"kind": "death", "place": "tank 12", "count": 2}]),
    ],
)  # fmt: skip
def test_what_is_written_short_is_told_again(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("wc 1-3 8-10", ["lex", "num", "num"]),  # ranges of places stay what they are
        ("sold 3/9/26", ["lex", "day"]),  # a date of this year is no list
        ("tds 78 F", ["lex", "deg"]),  # warm enough for degrees
        ("wc A-D", ["lex", "place"]),
        ("flt cln 14", ["word", "word", "num"]),  # a deed without its vowels is no fish
        ("for pan", ["word", "word"]),  # an everyday word of three letters is short for nothing
    ],
)
def test_what_may_be_whole_is_left_so(text: str, kinds: list[str]) -> None:
    assert [tag.kind for tag in tags_of(NAMES, text, SENT)] == kinds
