"""What notes say of eggs: where they went, how many there are, on which mop, told again from the parts found."""

from __future__ import annotations

import pytest

from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of


def pulled(place: str, count: int | None = None, **more: object) -> Raw:
    counted = {} if count is None else {"count": count}
    return {"kind": "pull", "place": place, **counted, **more}


def bad(place: str, count: int) -> Raw:
    return {"kind": "bad_eggs", "place": place, "count": count}


def told(kind: str, place: str, count: int | None = None, **more: object) -> Raw:
    return {**pulled(place, count, **more), "kind": kind}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("mop 9 gave 11, mop 8 none. eggs into D", [pulled("tank 9", 11, to="tub D"), pulled("tank 8", 0)]),
        (
            "2: 12, 3: 9, 8: nothing. all in B",
            [pulled("tank 2", 12, to="tub B"), pulled("tank 3", 9, to="tub B"), pulled("tank 8", 0)],
        ),
        ("a look at B22: 12 pairs of eyes", [{"kind": "eyed", "batch": "B22", "count": 12}]),
        ("C has eyes now. eleven pairs", [told("eyed", "tub C", 11)]),
        ("B 2 hatch", [told("hatch", "tub B", 2)]),
        ("five white in tub hay two in bee", [bad("tub A", 5), bad("tub B", 2)]),
        ("seven off tank two and dropped them in hey", [pulled("tank 2", 7, to="tub A")]),
        ("the mop in one has nine", [pulled("tank 1", 9)]),
        ("there's a medaka fry in tub D", [told("hatch", "tub D", 1)]),
        ("the last egg in tub B is white", [bad("tub B", 1)]),
        (
            "B moved to F (6). hatched 9 in all",
            [{"kind": "move", "from": "tub B", "to": "tub F", "count": 6}, told("hatch", "tub B", 9)],
        ),
        (
            "t2: 20%, mop 6; t9: 20%, mop 11",
            [
                {"kind": "water_change", "places": ["tank 2"], "percent": 20},
                pulled("tank 2", 6),
                {"kind": "water_change", "places": ["tank 9"], "percent": 20},
                pulled("tank 9", 11),
            ],
        ),
        ("nothing in 4, 9 had twelve", [pulled("tank 4", 0), pulled("tank 9", 12)]),
        (
            "6 under 8's filter, 3 on 7's glass, and the 1 mop's 15",
            [pulled("tank 8", 6), pulled("tank 7", 3), pulled("tank 1", 15)],
        ),
        ("combed the medaka, nine", [pulled("tank 9", 9)]),
        ("mops: gularis 9, forktails 8", [pulled("tank 1", 9), pulled("tank 8", 8)]),
        ("eggs: 3 (7), 5 (5), 8 (4)", [pulled("tank 3", 7), pulled("tank 5", 5), pulled("tank 8", 4)]),
        (
            "2 had 5, 3 had 2, 1 had 3. all into D",
            [pulled("tank 2", 5, to="tub D"), pulled("tank 3", 2, to="tub D"), pulled("tank 1", 3, to="tub D")],
        ),
        (
            "2: 11, 9: 8, mops back in",
            [pulled("tank 2", 11), pulled("tank 9", 8), told("mop", "tank 2"), told("mop", "tank 9")],
        ),
        ("9: 14. 2: a good lot", [pulled("tank 9", 14), pulled("tank 2")]),
        ("A got 7 (from 1), D got 12 (from 9)", [pulled("tank 1", 7, to="tub A"), pulled("tank 9", 12, to="tub D")]),
        (
            "fresh water for A to C, 3 drops of peroxide each, and one white egg in B",
            [
                {"kind": "water_change", "places": ["tub A", "tub B", "tub C"]},
                {
                    "kind": "dose",
                    "places": ["tub A", "tub B", "tub C"],
                    "substance": "peroxide",
                    "amount": 3,
                    "unit": "drop",
                },
                bad("tub B", 1),
            ],
        ),
        (
            "1: 6, 3: 14, 2: 9, 8: none. The gularis are in A and the gardneri in B",
            [
                pulled("tank 1", 6, to="tub A"),
                pulled("tank 3", 14, to="tub B"),
                pulled("tank 2", 9, to="tub B"),
                pulled("tank 8", 0),
            ],
        ),
        (
            "t5 8 t1 4, A for the gularis, C for the lampeyes",
            [pulled("tank 5", 8, to="tub C"), pulled("tank 1", 4, to="tub A")],
        ),
        (
            "18 medaka eggs into D, 2 white, 3 drops of peroxide",
            [
                pulled("tank 9", 18, to="tub D"),
                bad("tub D", 2),
                {"kind": "dose", "place": "tub D", "substance": "peroxide", "amount": 3, "unit": "drop"},
            ],
        ),
        (
            "12 from 1 into A, 2 bad; 18 gardneri eggs from 2 into B, 3 drops of peroxide",
            [
                pulled("tank 1", 12, to="tub A"),
                bad("tub A", 2),
                pulled("tank 2", 18, to="tub B"),
                {"kind": "dose", "place": "tub B", "substance": "peroxide", "amount": 3, "unit": "drop"},
            ],
        ),
        ("half a doz off 9", [pulled("tank 9", 6)]),
        ("3 doz eggs in 7, 2 dozen in 2", [pulled("tank 7", 36), pulled("tank 2", 24)]),
        (
            "a third out of 8 and out of 9, and neither had eggs",
            [
                {"kind": "water_change", "places": ["tank 8", "tank 9"], "percent": 33},
                pulled("tank 8", 0),
                pulled("tank 9", 0),
            ],
        ),
        ("9's mop: 12 good, 3 bad, into D", [pulled("tank 9", 15, to="tub D"), bad("tub D", 3)]),
        (
            "mop 9: sat 4 sun 11 mon 6, all in D",
            [
                pulled("tank 9", 4, to="tub D", date="2026-03-07"),
                pulled("tank 9", 11, to="tub D", date="2026-03-08"),
                pulled("tank 9", 6, to="tub D"),
            ],
        ),
        (
            "fresh mops in 8 and 9. 7 and 13 eggs",
            [told("mop", "tank 8"), told("mop", "tank 9"), pulled("tank 8", 7), pulled("tank 9", 13)],
        ),
        ("no eggs in 4 and 8, 9 had 15", [pulled("tank 4", 0), pulled("tank 8", 0), pulled("tank 9", 15)]),
        ("put a new mop in 7. 14 on the old one", [told("mop", "tank 7"), pulled("tank 7", 14)]),
        ("new yarn for 7, fourteen on the old", [pulled("tank 7", 14), told("mop", "tank 7")]),
        ("C eyed 9. B eyed, lost count", [told("eyed", "tub C", 9), told("eyed", "tub B")]),
        ("whites A 3, 2 C", [bad("tub A", 3), bad("tub C", 2)]),
        ("9 11 D, 5 8 C", [pulled("tank 9", 11, to="tub D"), pulled("tank 5", 8, to="tub C")]),
        ("A 4h B 7h", [told("hatch", "tub A", 4), told("hatch", "tub B", 7)]),
        ("into D: 12 from 9, 5 from 8", [pulled("tank 9", 12, to="tub D"), pulled("tank 8", 5, to="tub D")]),
        (
            "hatched in A: 7am 4, 9pm 6",
            [told("hatch", "tub A", 4, time="07:00"), told("hatch", "tub A", 6, time="21:00")],
        ),
        ("mops 8 and 9 both gave 5", [pulled("tank 8", 5), pulled("tank 9", 5)]),
        ("5 each from 8 and 9", [pulled("tank 8", 5), pulled("tank 9", 5)]),
        (
            "8 hatched in A and 1 in C. F has the 8, G the one",
            [
                told("hatch", "tub A", 8),
                told("hatch", "tub C", 1),
                {"kind": "move", "from": "tub A", "to": "tub F", "count": 8},
                {"kind": "move", "from": "tub C", "to": "tub G", "count": 1},
            ],
        ),
    ],
)
def test_what_is_said_of_eggs_is_found_and_told_again(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None
