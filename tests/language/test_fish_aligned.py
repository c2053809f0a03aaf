"""Labelled notes of fish: what their labels leave to the words beside them is told again."""

from __future__ import annotations

import pytest

from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of


def sale(**keys: object) -> Raw:
    return {"kind": "sale", **keys}


def death(**keys: object) -> Raw:
    return {"kind": "death", **keys}


def move(**keys: object) -> Raw:
    return {"kind": "move", **keys}


def reserve(**keys: object) -> Raw:
    return {"kind": "reserve", **keys}


def headcount(**keys: object) -> Raw:
    return {"kind": "headcount", **keys}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("t6 male furzeri dead", [death(place="tank 6", count=1, line="furzeri", sex="male")]),
        ("lost a medaka in tank 9", [death(place="tank 9", count=1, line="medaka")]),
        ("4 boesemani fry dead in 11", [death(place="tank 11", count=4, line="boesemani", stage="fry")]),
        ("moved two males and three females from tank 13 to tank 2",
         [move(**{"from": "tank 13", "to": "tank 2", "count": 5, "male": 2, "female": 3})]),
        ("the male from 5 into 9", [move(**{"from": "tank 5", "to": "tank 9", "count": 1, "male": 1})]),
        ("Lena took a trio of lampeyes, $10",
         [sale(count=3, male=1, female=2, line="lampeye", price=10, buyer="Lena")]),
        ("gardneri pair to Priya 14$", [sale(count=2, line="gardneri", price=14, buyer="Priya")]),
        ("sold 30 gardneri eggs for $9", [sale(count=30, line="gardneri", price=9, stage="eggs")]),
        ("Priya took 4 gardneri from 13, $28",
         [sale(count=4, line="gardneri", price=28, place="tank 13", buyer="Priya")]),
        ("sold 2 lampeye pairs at 6 a pair", [sale(count=4, line="lampeye", price=12)]),
        ("Bram took 3 gardneri, 5 each", [sale(count=3, line="gardneri", price=15, buyer="Bram")]),
        ("gave the school 5 gardneri, no charge", [sale(count=5, line="gardneri", price=0)]),
        ("moved the two best males from 14 in with the ladies in 1",
         [move(**{"from": "tank 14", "to": "tank 1", "count": 2, "male": 2})]),
        ("found two dead in tank 13 on saturday and one today",
         [death(place="tank 13", count=2, date="2026-03-07"), death(place="tank 13", count=1)]),
        ("tub E: sat: 2 died. sun: 1 died",
         [death(place="tub E", count=2, date="2026-03-07"), death(place="tub E", count=1, date="2026-03-08")]),
        ("lost a male in 2 and a female in 3",
         [death(place="tank 2", count=1, sex="male"), death(place="tank 3", count=1, sex="female")]),
        ("on saturday Lena asked me to keep 2 pairs of gularis for the 20th",
         [{"kind": "reserve", "count": 4, "line": "blue gularis", "buyer": "Lena", "date": "2026-03-20"}]),
        ("sold: 3/2: pr gardneri $15. 3/6: pr lampeye $12",
         [sale(count=2, line="gardneri", price=15, date="2026-03-02"),
          sale(count=2, line="lampeye", price=12, date="2026-03-06")]),
        ("Bram took 2 pairs of gularis and 1 gardneri",
         [sale(count=4, line="blue gularis", buyer="Bram"), sale(count=1, line="gardneri", buyer="Bram")]),
        ("sold both of the spare furzeri males for $16", [sale(count=2, male=2, line="furzeri", price=16)]),
        ("14 males to tank 1, 3 females to tank 16, from 13",
         [move(**{"from": "tank 13", "to": "tank 1", "count": 14, "male": 14}),
          move(**{"from": "tank 13", "to": "tank 16", "count": 3, "female": 3})]),
        ("sat 20 fry from D up to G, sun 6 more",
         [move(**{"from": "tub D", "to": "tub G", "count": 20, "date": "2026-03-07"}),
          move(**{"from": "tub D", "to": "tub G", "count": 6, "date": "2026-03-08"})]),
        ("12 fry from tub E 10 fry from tub F they all went to tank 12",
         [move(**{"from": "tub E", "to": "tank 12", "count": 12, "stage": "fry"}),
          move(**{"from": "tub F", "to": "tank 12", "count": 10, "stage": "fry"})]),
        ("found him dead, the medaka in tank 9", [death(place="tank 9", count=1, line="medaka", sex="male")]),
        ("three dead in 15: two overnight, one at noon",
         [death(place="tank 15", count=2), death(place="tank 15", count=1, time="12:00")]),
        ("bought two gularis males from Sunil, 20 for both",
         [{"kind": "stock_in", "count": 2, "male": 2, "line": "blue gularis", "price": 20, "source": "Sunil"}]),
        ("Greta swapped me 3 pairs of her furzeri for 2 pairs of our gardneri",
         [{"kind": "stock_in", "count": 6, "line": "furzeri", "source": "Greta"},
          sale(count=4, line="gardneri", buyer="Greta")]),
        ("I shifted both young males from tank 16 to 14",
         [move(**{"from": "tank 16", "to": "tank 14", "count": 2, "male": 2})]),
        ("moved her to tank 15, one female boesemani",
         [move(**{"from": "tank 7", "to": "tank 15", "count": 1, "female": 1, "line": "boesemani"})]),
        ("7 gularis hatched in A, moved to F",
         [{"kind": "hatch", "place": "tub A", "count": 7},
          move(**{"from": "tub A", "to": "tub F", "count": 7, "line": "blue gularis"})]),
        ("tub E is bright as a button. fed 7. counted 27 in E",
         [{"kind": "feed", "places": ["tank 7"]}, {"kind": "headcount", "place": "tub E", "count": 27}]),
        ("evicted: a pair of lampeyes from 5 to 16. promoted: the dozen biggest from 11 to 12",
         [move(**{"from": "tank 5", "to": "tank 16", "count": 2, "line": "lampeye"}),
          move(**{"from": "tank 11", "to": "tank 12", "count": 12})]),
        ("moved male and female from 15 back to 4",
         [move(**{"from": "tank 15", "to": "tank 4", "count": 2, "male": 1, "female": 1})]),
        ("old m from 9 to 16", [move(**{"from": "tank 9", "to": "tank 16", "count": 1, "male": 1})]),
        ("Kofi's auntie paid 15 for a trio of medaka", [sale(count=3, line="medaka", price=15, buyer="Kofi's auntie")]),
        ("Lena took the two medaka females for $12. The male she will fetch on Thursday",
         [sale(count=2, line="medaka", price=12, buyer="Lena"),
          reserve(count=1, line="medaka", buyer="Lena", date="2026-03-12")]),
        ("Lena doesn't want the medaka. Ray takes 4 instead, on Thursday",
         [{"kind": "release", "buyer": "Lena", "line": "medaka"},
          reserve(count=4, line="medaka", buyer="Ray", date="2026-03-12")]),
        ("promised Lena two gularis from 14, no charge",
         [reserve(count=2, line="blue gularis", place="tank 14", buyer="Lena")]),
        ("gularis pair for $45 to Winnie, four gardneri at $7 each to Pete",
         [sale(count=2, line="blue gularis", price=45, buyer="Winnie"),
          sale(count=4, line="gardneri", price=28, buyer="Pete")]),
        ("male + 2 females moved from 13 to 2",
         [move(**{"from": "tank 13", "to": "tank 2", "count": 3, "male": 1, "female": 2})]),
        ("4 medaka from Joy's garden pond, free, now in 15",
         [{"kind": "stock_in", "count": 4, "line": "medaka", "price": 0, "source": "Joy", "place": "tank 15"}]),
        ("a pair of clown killies for Dot, $14", [sale(count=2, line="clown killi", price=14, buyer="Dot")]),
        ("Nora took a pair of medaka and a pair of forktails, $9 and $20",
         [sale(count=2, line="medaka", price=9, buyer="Nora"), sale(count=2, line="forktail", price=20, buyer="Nora")]),
        ("sold 3 medaka to dee, $9", [sale(count=3, line="medaka", price=9, buyer="Dee")]),
        ("a Mr Pell has 2 clowns, $14", [sale(count=2, line="clown killi", price=14, buyer="Mr Pell")]),
        ("1 pr gul Nora $24", [sale(count=2, line="blue gularis", price=24, buyer="Nora")]),
        ("Mona bought a pair of gardneri, $15, then Nils a pair of the same, $16",
         [sale(count=2, line="gardneri", price=15, buyer="Mona"),
          sale(count=2, line="gardneri", price=16, buyer="Nils")]),
        ("Nora had 4 medaka for $12. she brought 2 forktails, they're in 15",
         [sale(count=4, line="medaka", price=12, buyer="Nora"),
          {"kind": "stock_in", "place": "tank 15", "count": 2, "line": "forktail", "source": "Nora"}]),
        ("bought a bag of furzeri peat from Nils for $8",
         [{"kind": "stock_in", "line": "furzeri", "stage": "eggs", "price": 8, "source": "Nils"}]),
        ("put two of the gardneri pairs by for Mona", [reserve(count=4, line="gardneri", buyer="Mona")]),
        ("promised Nils half dozen gardneri", [reserve(count=6, line="gardneri", buyer="Nils")]),
        ("cancel noras 2 medaka", [{"kind": "release", "count": 2, "line": "medaka", "buyer": "Nora"}]),
        ("two sales. Mia, pr gardneri, $14. Ted, pr medaka, $9",
         [sale(count=2, line="gardneri", price=14, buyer="Mia"), sale(count=2, line="medaka", price=9, buyer="Ted")]),
        ("4 gardneri from thirteen went to a man with a van for twenty six",
         [sale(count=4, line="gardneri", place="tank 13", price=26)]),
        ("pr gardneri $14, pr medaka $9. Mia took 3 lampeyes, $12",
         [sale(count=2, line="gardneri", price=14), sale(count=2, line="medaka", price=9),
          sale(count=3, line="lampeye", price=12, buyer="Mia")]),
        ("gave a boy from the club a free medaka", [sale(count=1, line="medaka", price=0)]),
        ("my aunt took four medaka. I couldn't charge an aunt", [sale(count=4, line="medaka", price=0)]),
        ("1 jumper in 5", [death(place="tank 5", count=1, cause="jumped")]),
        ("t7 ♀ on the floor, stiff", [death(place="tank 7", count=1, sex="female")]),
        ("dead cory in 10", [death(place="tank 10", count=1, line="panda cory")]),
        ("tank 13, a runt this time", [death(place="tank 13", count=1)]),
        ("the juvenile with one eye, tank 11, is dead", [death(place="tank 11", count=1, stage="juveniles")]),
        ("medaka dead in 9", [death(place="tank 9", count=1, line="medaka")]),
        ("dead female in 8, the male looks well", [death(place="tank 8", count=1, sex="female")]),
        ("lost a medaka in 9, it had not eaten since monday. the others ate",
         [death(place="tank 9", count=1, line="medaka")]),
        ("culld 2 in 14, bent", [death(place="tank 14", count=2)]),
        ("2 males moved from 3 to 2 and 2 males from 2 to 3",
         [move(**{"from": "tank 3", "to": "tank 2", "count": 2, "male": 2}),
          move(**{"from": "tank 2", "to": "tank 3", "count": 2, "male": 2})]),
        ("D: 5 hatched by 8, 7 more by 6pm. all of them went to G",
         [{"kind": "hatch", "place": "tub D", "count": 5, "time": "08:00"},
          {"kind": "hatch", "place": "tub D", "count": 7, "time": "18:00"},
          move(**{"from": "tub D", "to": "tub G", "count": 12})]),
        ("C: 6 hatched, 2 white. moved to G, C's eggs look fine",
         [{"kind": "hatch", "place": "tub C", "count": 6}, {"kind": "bad_eggs", "place": "tub C", "count": 2},
          move(**{"from": "tub C", "to": "tub G", "count": 6})]),
        ("the boys in 14 are at it again. moved him to 16, the bully",
         [move(**{"from": "tank 14", "to": "tank 16", "count": 1, "male": 1})]),
        ("a female out of 1, into 16", [move(**{"from": "tank 1", "to": "tank 16", "count": 1, "female": 1})]),
        ("the male in 3 over to 15, 1 tsp salt",
         [move(**{"from": "tank 3", "to": "tank 15", "count": 1, "male": 1}),
          {"kind": "dose", "place": "tank 15", "substance": "salt", "amount": 1, "unit": "tsp"}]),
        ("5 from 13 to 16, 2 males from 14 to 12",
         [move(**{"from": "tank 13", "to": "tank 16", "count": 5}),
          move(**{"from": "tank 14", "to": "tank 12", "count": 2, "male": 2})]),
        ("the male in 1 swapped places with the male in 14",
         [move(**{"from": "tank 1", "to": "tank 14", "count": 1, "male": 1}),
          move(**{"from": "tank 14", "to": "tank 1", "count": 1, "male": 1})]),
        ("moved the three females in 2 into 3, a bit of a swap",
         [move(**{"from": "tank 2", "to": "tank 3", "count": 3, "female": 3})]),
        ("15 pandas in 10, 6 of them female", [headcount(place="tank 10", count=15, female=6)]),
        ("friday 12 from F to 12, one of them died on saturday",
         [move(**{"from": "tub F", "to": "tank 12", "count": 12, "date": "2026-03-06"}),
          death(place="tank 12", count=1, date="2026-03-07")]),
        ("9 pandas in 10, 4 males", [headcount(place="tank 10", count=9, male=4)]),
        ("one female left in 7, and too many males, five", [headcount(place="tank 7", count=6, male=5, female=1)]),
        ("8 fish in tank 4, three boys and five girls", [headcount(place="tank 4", count=8, male=3, female=5)]),
        ("10 lampeye came from Bram, 3 dead in the bag. the living are in 15",
         [{"kind": "stock_in", "place": "tank 15", "count": 10, "line": "lampeye", "source": "Bram"},
          death(place="tank 15", count=3, line="lampeye")]),
        ("two males locked jaws in 14, so the smaller one went over to 16",
         [move(**{"from": "tank 14", "to": "tank 16", "count": 1, "male": 1})]),
        ("a male from 2 to 13, he would not leave the girls alone",
         [move(**{"from": "tank 2", "to": "tank 13", "count": 1, "male": 1})]),
        ("Ray said 3 in 13 were dead, he had them out", [death(place="tank 13", count=3)]),
        ("three males from 13 into the 20 that's empty",
         [move(**{"from": "tank 13", "to": "tank 16", "count": 3, "male": 3})]),
        ("6♂ 5♀ in t8", [headcount(place="tank 8", count=11, male=6, female=5)]),
        ("E has 28 alive. F has 15 alive. yesterday 11 had 52",
         [headcount(place="tub E", count=28), headcount(place="tub F", count=15),
          headcount(place="tank 11", count=52, date="2026-03-08")]),
    ],
)  # fmt: skip
def test_what_follows_from_the_words_beside_the_parts_is_told_again(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "event"),
    [
        ("the males in tank 6 died", death(place="tank 6", count=1)),
        ("lost some of the rainbows in 11", death(place="tank 11", count=1)),
        ("all a fry to g", move(**{"from": "tub A", "to": "tub G", "count": 1})),
        ("sold gardneri at $8 a pair to Priya", sale(count=2, line="gardneri", price=8, buyer="Priya")),
    ],
)
def test_what_does_not_follow_is_not_told(text: str, event: Raw) -> None:
    assert example_of(note_of(text, event), NAMES, ROOM) is None
