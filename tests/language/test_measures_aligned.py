"""Notes of readings, additives and gear whose labels tell the same again."""

from __future__ import annotations

import pytest

from bot.language import Names
from tests.language.examples import example_of
from tests.language.judging import Raw, Room, card_of
from tests.language.test_aligned import note_of

CARD = card_of("millrace.json")
NAMES, ROOM = Names.of(CARD), Room.of(CARD)


def read(place: str, value: float, quantity: str = "temperature") -> Raw:
    return {"kind": "measure", "place": place, "quantity": quantity, "value": value}


def dosed(place: str, amount: float, unit: str, substance: str = "salt") -> Raw:
    return {"kind": "dose", "place": place, "substance": substance, "amount": amount, "unit": unit}


def settled(what: str, value: float | str, place: str | None = None) -> Raw:
    return {"kind": "setting", "what": what, "value": value, **({"place": place} if place else {})}


def mended(item: str, *places: str) -> Raw:
    return {"kind": "service", "places": list(places), "item": item}


@pytest.mark.parametrize(
    "note",
    [
        note_of("Number 9's heater clicked off, it's 70 in there", mended("heater", "tank 9"), read("tank 9", 21.1)),
        note_of(
            "Bought in 2 f medaka, 15, salt 1 tbsp for them",
            {"kind": "stock_in", "place": "tank 15", "line": "medaka", "count": 2, "female": 2},
            dosed("tank 15", 1, "tbsp"),
        ),
        note_of("6.6 on the strip in 4", read("tank 4", 6.6, "ph")),
        note_of("t9 dkh 5 dgh 11", read("tank 9", 5, "kh"), read("tank 9", 11, "gh")),
        note_of("na 20 in 13", read("tank 13", 20, "nitrate")),
        note_of(
            "kh 3 4, 5 6. temps 3 75, 5 78",
            read("tank 3", 4, "kh"),
            read("tank 5", 6, "kh"),
            read("tank 3", 23.9),
            read("tank 5", 25.6),
        ),
        note_of("15 salt 2tb", dosed("tank 15", 2, "tbsp")),
        note_of("three table spoons of salt into 15", dosed("tank 15", 3, "tbsp")),
        note_of("quarter of a cup of salt for 15", dosed("tank 15", 0.25, "cup")),
        note_of(
            "nitrite/nitrate\n13 0/30\n14 .1/40",
            read("tank 13", 0, "nitrite"),
            read("tank 13", 30, "nitrate"),
            read("tank 14", 0.1, "nitrite"),
            read("tank 14", 40, "nitrate"),
        ),
        note_of("8: 7.6 and 6, that's ph and gh", read("tank 8", 7.6, "ph"), read("tank 8", 6, "gh")),
        note_of(
            "13 and 14: nitrate 20, 30. ammonia 0 both",
            read("tank 13", 20, "nitrate"),
            read("tank 14", 30, "nitrate"),
            read("tank 13", 0, "ammonia"),
            read("tank 14", 0, "ammonia"),
        ),
        note_of(
            "temps, low ones 13, 14: 71 72. high ones 1, 2: 76 77",
            read("tank 13", 21.7),
            read("tank 14", 22.2),
            read("tank 1", 24.4),
            read("tank 2", 25.0),
        ),
        note_of(
            "temps before and after: 1 75/72, 5 77/74",
            read("tank 1", 23.9),
            read("tank 1", 22.2),
            read("tank 5", 25.0),
            read("tank 5", 23.3),
        ),
        note_of("sq 5 7, gl 9", mended("sponge filter", "tank 5", "tank 7"), mended("glass", "tank 9")),
        note_of(
            "Gave the box filter in 10 a rinse and wiped down the front of 3",
            mended("box filter", "tank 10"),
            mended("glass", "tank 3"),
        ),
        note_of(
            "wiped: 1 and 2. squeezed: 5 and 6",
            mended("glass", "tank 1", "tank 2"),
            mended("sponge filter", "tank 5", "tank 6"),
        ),
        note_of("did the glass in every tank", mended("glass", "all")),
        note_of(
            "One of the corys is spotty: heater's fine, a teaspoon of salt in 15",
            dosed("tank 15", 1, "tsp"),
        ),
        note_of(
            "salt in 15, a tablespoon. tannin, a cup", dosed("tank 15", 1, "tbsp"), dosed("tank 15", 1, "cup", "tannin")
        ),
        note_of(
            "tannin 2 leaves in 4, salt 1 tsp in 5", dosed("tank 4", 2, "leaf", "tannin"), dosed("tank 5", 1, "tsp")
        ),
        note_of(
            "3 white in A, 1 in B, 2 drops meth blue in each",
            {"kind": "bad_eggs", "place": "tub A", "count": 3},
            {"kind": "bad_eggs", "place": "tub B", "count": 1},
            dosed("tub A", 2, "drop", "methylene blue"),
            dosed("tub B", 2, "drop", "methylene blue"),
        ),
        note_of("peroxide for all egg tubs, 3 drops", dosed("all egg tubs", 3, "drop", "peroxide")),
        note_of("1 lf in 4", dosed("tank 4", 1, "leaf", "tannin")),
        note_of("Our clock is on mountain time from now on", settled("time_zone", "America/Denver")),
        note_of("nightly message at six forty five from now on", settled("nightly_at", "18:45")),
        note_of("nightly message at nine oh five from now on", settled("nightly_at", "21:05")),
        note_of(
            "timers from now on: 5 to 9 hours, 8 to 10 hours",
            settled("light_hours", 9, "tank 5"),
            settled("light_hours", 10, "tank 8"),
        ),
        note_of("nitrate 1 5, 5 5, 9 10", *(read(f"tank {n}", v, "nitrate") for n, v in ((1, 5), (5, 5), (9, 10)))),
        note_of(
            "13: ammonia 0, nitrate 60. So 13 had half changed",
            read("tank 13", 0, "ammonia"),
            read("tank 13", 60, "nitrate"),
            {"kind": "water_change", "places": ["tank 13"], "percent": 50},
        ),
        note_of(
            "From now on Marta does the Sunday morning egg tubs",
            {"kind": "setting", "what": "egg_changes", "weekday": "Sunday", "slot": "morning", "person": "Marta"},
        ),
        note_of("15 slt 2T", dosed("tank 15", 2, "tbsp")),
        note_of("nitrate in 1 is 20 and 2 is the same", read("tank 1", 20, "nitrate"), read("tank 2", 20, "nitrate")),
        note_of("tds in tank nine three twenty", read("tank 9", 320, "tds")),
        note_of("the young fish in 13 are an inch and a half", read("tank 13", 38.1, "length")),
        note_of("clown tank 73", read("tank 4", 22.8)),
        note_of("medaka tank P H seven point six", read("tank 9", 7.6, "ph")),
        note_of("from now on the heater in 5 to 24.5 °C", settled("heater_c", 24.5, "tank 5")),
        note_of(
            "did the filters: sponges in 1 and 5, box in 10",
            mended("sponge filter", "tank 1", "tank 5"),
            mended("box filter", "tank 10"),
        ),
        note_of(
            "1: ammonia 0, nitrite 0, nitrate 50. 3: nitrate 10. So 1 had half changed",
            read("tank 1", 0, "ammonia"),
            read("tank 1", 0, "nitrite"),
            read("tank 1", 50, "nitrate"),
            read("tank 3", 10, "nitrate"),
            {"kind": "water_change", "places": ["tank 1"], "percent": 50},
        ),
        note_of(
            "3 = 75F, 8 = 71F, gh in 3 = 5, gh in 8 = 11",
            read("tank 3", 23.9),
            read("tank 8", 21.7),
            read("tank 3", 5, "gh"),
            read("tank 8", 11, "gh"),
        ),
        note_of("nitrate in 13 was only at 10", read("tank 13", 10, "nitrate")),
        note_of("a cup of peat tea for 4", dosed("tank 4", 1, "cup", "tannin")),
        note_of("squeezed the sponges in the two nursery tanks", mended("sponge filter", "tank 11", "tank 12")),
        note_of(
            "a drop of dechlorinator for each, A and B changed",
            {"kind": "water_change", "places": ["tub A", "tub B"]},
            dosed("tub A", 1, "drop", "dechlorinator"),
            dosed("tub B", 1, "drop", "dechlorinator"),
        ),
        note_of(
            "8 tds 200, put in 2 qt of rain: 170. 9 tds 310",
            read("tank 8", 200, "tds"),
            {"kind": "water_change", "places": ["tank 8"], "litres": 1.9},
            read("tank 8", 170, "tds"),
            read("tank 9", 310, "tds"),
        ),
        note_of("15 salt 2,5 tps", dosed("tank 15", 2.5, "tsp")),
    ],
    ids=lambda note: note["text"],
)
def test_the_labels_tell_the_same_again(note: Raw) -> None:
    assert example_of(note, NAMES, ROOM) is not None
