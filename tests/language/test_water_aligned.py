"""Notes of water, food and readings: lists of places with numbers, several times, groups, cultures by number."""

from __future__ import annotations

import pytest

from bot.language import Names
from tests.language.examples import example_of
from tests.language.judging import Raw, Room, card_of
from tests.language.test_aligned import labels_of, note_of

CARD = card_of("millrace.json")
NAMES, ROOM = Names.of(CARD), Room.of(CARD)


def changed(*places: str, **more: object) -> Raw:
    return {"kind": "water_change", "places": list(places), **more}


def fed(*places: str, **more: object) -> Raw:
    return {"kind": "feed", "places": list(places), **more}


def bad(place: str, count: int) -> Raw:
    return {"kind": "bad_eggs", "place": place, "count": count}


def read(place: str, value: float, quantity: str = "temperature") -> Raw:
    return {"kind": "measure", "place": place, "quantity": quantity, "value": value}


def culture(name: str, action: str) -> Raw:
    return {"kind": "culture", "culture": name, "action": action}


@pytest.mark.parametrize(
    ("note", "labels"),
    [
        (
            note_of("1 30%, 5 30%, 10 20%", changed("tank 1", "tank 5", percent=30), changed("tank 10", percent=20)),
            "1=water_change|place 30=water_change|percent 5=water_change|place 10=water_change|place "
            "20=water_change|percent",
        ),
        (
            note_of("20% on both growouts", changed("tank 13", "tank 14", percent=20)),
            "20=water_change|percent growouts=water_change|place",
        ),
        (note_of("wc t14 10g", changed("tank 14", litres=37.9)), "wc=O t=water_change|place 10=water_change|litres"),
        (
            note_of("ammonia ½ in 15", read("tank 15", 0.5, "ammonia")),
            "ammonia=measure|quantity /=measure|value 15=measure|place",
        ),
        (
            note_of("76 75 74 (that's 7, 8, 9)", read("tank 7", 24.4), read("tank 8", 23.9), read("tank 9", 23.3)),
            "76=measure|value 75=measure|value 74=measure|value 7=measure|place 8=measure|place 9=measure|place",
        ),
        (
            note_of(
                "powder all fry 8am, noon",
                fed("all fry", food="powder", time="08:00"),
                fed("all fry", food="powder", time="12:00"),
            ),
            "powder=feed|food all fry=feed|place 8=feed|when noon=feed|when",
        ),
        (
            note_of(
                "6 bbs, all fry\n11 powder, all fry",
                fed("all fry", food="brine shrimp", time="06:00"),
                fed("all fry", food="powder", time="11:00"),
            ),
            "6=feed|when bbs=feed|food all fry=feed|place 11=feed|when powder=feed|food",
        ),
        (
            note_of("microworm 1 and 2 fed", culture("microworm 1", "feed"), culture("microworm 2", "feed")),
            "microworm=culture.feed|culture 2=culture.feed|culture fed=O",
        ),
        (
            note_of(
                "wc 7 (third), 2 and 3 got halves",
                changed("tank 7", percent=33.3),
                changed("tank 2", "tank 3", percent=50),
            ),
            "wc=O 7=water_change|place third=water_change|percent 2=water_change|place 3=water_change|place "
            "halves=water_change|percent",
        ),
        (
            note_of("7 78f ph 7.4", read("tank 7", 25.6), read("tank 7", 7.4, "ph")),
            "7=measure|place 78=measure|value ph=measure|quantity 7.4=measure|value",
        ),
        (
            note_of("tank 4: 140 tds, temperature 77", read("tank 4", 140, "tds"), read("tank 4", 25.0)),
            "tank=measure|place 140=measure|value tds=measure|quantity temperature=measure|quantity 77=measure|value",
        ),
        (
            note_of("mw1 to E, bbs to F", fed("tub E", food="microworms"), fed("tub F", food="brine shrimp")),
            "mw=feed|food e=feed|place bbs=feed|food f=feed|place",
        ),
        (
            note_of(
                "everyone flake except 4, which had powder",
                {**fed("all", food="flake"), "except": ["tank 4"]},
                fed("tank 4", food="powder"),
            ),
            "everyone=feed|place flake=feed|food 4=feed|except powder=feed|food",
        ),
        (
            note_of(
                "everyone flake but 10 (wafers) and 6 (bloodworm)",
                {**fed("all", food="flake"), "except": ["tank 10", "tank 6"]},
                fed("tank 10", food="wafers"),
                fed("tank 6", food="bloodworms"),
            ),
            "everyone=feed|place flake=feed|food 10=feed|except wafers=feed|food 6=feed|except bloodworm=feed|food",
        ),
        (
            note_of(
                "20% on 1, 5 and 9, and 7 got 40%",
                changed("tank 1", "tank 5", "tank 9", percent=20),
                changed("tank 7", percent=40),
            ),
            "20=water_change|percent 1=water_change|place 5=water_change|place 9=water_change|place "
            "7=water_change|place 40=water_change|percent",
        ),
        (
            note_of("no ammonia in 12, nitrate 10", read("tank 12", 0, "ammonia"), read("tank 12", 10, "nitrate")),
            "no=measure|value ammonia=measure|quantity 12=measure|place nitrate=measure|quantity 10=measure|value",
        ),
        (
            note_of("30% on 9. Also 40", changed("tank 9", percent=30), outcome="ask"),
            "30=water_change|percent 9=water_change|place 40=A",
        ),
        (
            note_of("wc 13 10l, 14 20l", changed("tank 13", litres=10), changed("tank 14", litres=20)),
            "wc=O 13=water_change|place 10=water_change|litres 14=water_change|place 20=water_change|litres",
        ),
        (
            note_of("wc ½ 5 ⅓ 9", changed("tank 5", percent=50), changed("tank 9", percent=33.3)),
            "wc=O /=water_change|percent 5=water_change|place_and 9=water_change|place",
        ),
        (
            note_of("2 3 8 ¼", changed("tank 2", "tank 3", "tank 8", percent=25)),
            "2=water_change|place 3=water_change|place 8=water_change|place_and",
        ),
        (
            note_of("t5 8 litres, t9 8, t8 30", changed("tank 5", "tank 9", litres=8), changed("tank 8", litres=30)),
            "t=water_change|place 8=water_change|litres 30=water_change|litres",
        ),
        (
            note_of(
                "yesterday 7, 25%; 8, 25%. today 5, 25%",
                changed("tank 7", "tank 8", percent=25, date="2026-03-08"),
                changed("tank 5", percent=25),
            ),
            "yesterday=water_change|when 7=water_change|place 25=water_change|percent 8=water_change|place "
            "today=water_change|when 5=water_change|place",
        ),
        (
            note_of(
                "medaka 25, lampeye 25, corys 20",
                changed("tank 9", "tank 5", percent=25),
                changed("tank 10", percent=20),
            ),
            "medaka=water_change|line 25=water_change|percent lampeye=water_change|line corys=water_change|line "
            "20=water_change|percent",
        ),
        (
            note_of(
                "8 15 / 10 20 / 15 10", *(changed(f"tank {n}", percent=p) for n, p in ((8, 15), (10, 20), (15, 10)))
            ),
            "8=water_change|place 15=water_change|place 10=water_change|percent 20=water_change|percent",
        ),
        (
            note_of("all of E, half of F", changed("tub E", percent=100), changed("tub F", percent=50)),
            "all=water_change|percent e=water_change|place half=water_change|percent f=water_change|place",
        ),
        (
            note_of("13 a sixth, 14 qtr", changed("tank 13", percent=16.7), changed("tank 14", percent=25)),
            "13=water_change|place sixth=water_change|percent 14=water_change|place qtr=water_change|percent",
        ),
        (
            note_of("took a gallon out of 5, the one in 3 waits", changed("tank 5", litres=3.8)),
            "gallon=water_change|litres 5=water_change|place one=O 3=O",
        ),
        (
            note_of("C and D done. 9: half", changed("tub C", "tub D"), changed("tank 9", percent=50)),
            "c=water_change|place d=water_change|place 9=water_change|place half=water_change|percent",
        ),
        (
            note_of(
                "7 and 8 (third). Then egg tubs", changed("tank 7", "tank 8", percent=33.3), changed("all egg tubs")
            ),
            "7=water_change|place 8=water_change|place third=water_change|percent egg tubs=water_change|place",
        ),
        (
            note_of("Did 1. Did 5 too. 20% each", changed("tank 1", "tank 5", percent=20)),
            "1=water_change|place 5=water_change|place 20=water_change|percent each=O",
        ),
        (
            note_of(
                "12 fry from F to G and changed the water in both",
                {"kind": "move", "from": "tub F", "to": "tub G", "count": 12, "stage": "fry"},
                changed("tub F", "tub G"),
            ),
            "12=move|count fry=O f=move|from g=move|to changed the water=water_change|there",
        ),
        (
            note_of(
                "9 from 7 to B, then 20%, flake",
                {"kind": "pull", "place": "tank 7", "count": 9, "to": "tub B"},
                changed("tank 7", percent=20),
                fed("tank 7", food="flake"),
            ),
            "9=pull|count 7=pull|place b=pull|to 20=water_change|percent flake=feed|food",
        ),
        (
            note_of("changed b-d tubs, 3 white in C", changed("tub B", "tub C", "tub D"), bad("tub C", 3)),
            "changed=O b=water_change|place d=water_change|place tubs=O 3=bad_eggs|count c=bad_eggs|place",
        ),
        (
            note_of("water in bee and see", changed("tub B", "tub C")),
            "water=O bee=water_change|place see=water_change|place",
        ),
        (
            note_of("topped up 12 and the medaka", {"kind": "top_off", "places": ["tank 12", "tank 9"]}),
            "topped up=O 12=top_off|place medaka=top_off|line",
        ),
        (
            note_of("a third out of the gardneri grow-out", changed("tank 13", percent=33.3)),
            "third=water_change|percent gardneri=O grow - out=water_change|place",
        ),
        (
            note_of("25% from the two gardneri tanks", changed("tank 2", "tank 3", percent=25)),
            "25=water_change|percent two=O gardneri=water_change|line tanks=O",
        ),
        (
            note_of("topped up the big 40", {"kind": "top_off", "places": ["tank 14"]}),
            "topped up=O 40 =top_off|place",
        ),
        (
            note_of("wc 5 8 yday, 9 tdy", changed("tank 5", "tank 8", date="2026-03-08"), changed("tank 9")),
            "wc=O 5=water_change|place 8=water_change|place yesterday=water_change|when 9=water_change|place "
            "today=water_change|when",
        ),
        (
            note_of("a litre from 7, 200 ml from F", changed("tank 7", litres=1), changed("tub F", litres=0.2)),
            "litre=water_change|litres 7=water_change|place 200=water_change|litres f=water_change|place",
        ),
        (
            note_of(
                "F: water. G: water, powder",
                changed("tub F"),
                changed("tub G"),
                fed("tub G", food="powder"),
            ),
            "f=water_change|place water=O g=water_change|place powder=feed|food",
        ),
        (
            note_of("9 got 20%, 15% for 8", changed("tank 9", percent=20), changed("tank 8", percent=15)),
            "9=water_change|place 20=water_change|percent 15=water_change|percent 8=water_change|place",
        ),
        (
            note_of("2 white in B. gave all three tubs water", bad("tub B", 2), changed("tub A", "tub B", "tub C")),
            "2=bad_eggs|count b=bad_eggs|place gave=O all=O tubs=O water=water_change|there",
        ),
        (
            note_of("7 and 8 30%, C D all done", changed("tank 7", "tank 8", percent=30), changed("tub C", "tub D")),
            "7=water_change|place 8=water_change|place 30=water_change|percent c=water_change|place "
            "d=water_change|place",
        ),
        (
            note_of("1, 5, 9 half", changed("tank 1", "tank 5", "tank 9", percent=50)),
            "1=water_change|place 5=water_change|place 9=water_change|place half=water_change|percent",
        ),
        (
            note_of(
                "25% in 2 sat, 3 sun",
                changed("tank 2", percent=25, date="2026-03-07"),
                changed("tank 3", percent=25, date="2026-03-08"),
            ),
            "25=water_change|percent 2=water_change|place sat=water_change|when 3=water_change|place "
            "sun=water_change|when",
        ),
        (
            note_of(
                "E 20 fry, F 8 fry. Powder to both. F glass wiped",
                {"kind": "headcount", "place": "tub E", "count": 20, "stage": "fry"},
                {"kind": "headcount", "place": "tub F", "count": 8, "stage": "fry"},
                fed("tub E", "tub F", food="powder"),
                {"kind": "service", "place": "tub F", "item": "glass"},
            ),
            "e=headcount|place 20=headcount|count fry=O f=service|place 8=headcount|count powder=feed|food "
            "glass=service|item wiped=O",
        ),
        (note_of("bs set", culture("brine shrimp", "start")), "bs=culture.start|culture"),
    ],
)
def test_each_part_is_found_where_it_is_said(note: Raw, labels: str) -> None:
    example = example_of(note, NAMES, ROOM)
    assert example is not None
    found = " ".join(f"{word}={label}" for word, label in labels_of(example).items())
    assert found == labels
