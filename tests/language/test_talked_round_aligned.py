"""Notes that talk round what they tell: fish for their tank, pet names, what was done in all places spoken of."""

from __future__ import annotations

import pytest

from bot.language.learnt.second_reading import tags_of
from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, labels_of, note_of
from tests.language.test_told_there_aligned import SENT, bad, water
from tests.language.test_water_aligned import fed, read


def dose(*places: str, **more: object) -> Raw:
    return {"kind": "dose", "places": list(places), **more}


def pulled(place: str, count: int, **more: object) -> Raw:
    return {"kind": "pull", "place": place, "count": count, **more}


@pytest.mark.parametrize(
    ("text", "events", "label"),
    [
        ("topped up 8 and 9 and gave the medaka flake",
         [{"kind": "top_off", "places": ["tank 8", "tank 9"]}, fed("tank 9", food="flake")], ("medaka", "feed|line")),
        ("clowns gave me ten, into D, and I topped 4 up",
         [pulled("tank 4", 10, to="tub D"), {"kind": "top_off", "places": ["tank 4"]}], ("clowns", "pull|line")),
        ("the forkies got a fifth", [water("tank 8", percent=20)], ("forkies", "water_change|line")),
        ("brine for the nursery", [fed("tank 11", food="brine shrimp")], ("nursery", "feed|place")),
        ("B: two white, A: one white, and a fifth each",
         [bad("tub B", 2), bad("tub A", 1), water("tub A", "tub B", percent=20)], ("fifth", "water_change|percent")),
        ("One bad egg in each of A, B and C. Changed the water.",
         [bad("tub A", 1), bad("tub B", 1), bad("tub C", 1), water("tub A", "tub B", "tub C")],
         ("changed the water", "water_change|there")),
        ("13: no ammonia, no nitrite, nitrate 30",
         [read("tank 13", 0, "ammonia"), read("tank 13", 0, "nitrite"), read("tank 13", 30, "nitrate")],
         ("30", "measure|value")),
        ("10 is gh 7 and kh 4, 4 is gh 3",
         [read("tank 10", 7, "gh"), read("tank 10", 4, "kh"), read("tank 4", 3, "gh")], ("10", "measure|place")),
        ("15: nitrite nought", [read("tank 15", 0, "nitrite")], ("nought", "measure|value")),
        ("seven from the pair in 3", [pulled("tank 3", 7)], ("seven", "pull|count")),
        ("12 from 3 into B and a few drops",
         [pulled("tank 3", 12, to="tub B"), {"kind": "dose", "place": "tub B"}], ("drops", "dose|there")),
        ("12 from 3 into B and a splash of blue",
         [pulled("tank 3", 12, to="tub B"), {"kind": "dose", "place": "tub B", "substance": "methylene blue"}],
         ("blue", "dose|substance")),
        ("popped a catappa leaf in with the forktails",
         [{"kind": "dose", "place": "tank 8", "substance": "tannin", "amount": 1, "unit": "leaf"}],
         ("catappa leaf", "dose|substance")),
        ("8 had half changed, wiped it too",
         [water("tank 8", percent=50), {"kind": "service", "place": "tank 8", "item": "glass"}],
         ("wiped", "service|there")),
        ("35% in both gardneri tanks", [water("tank 2", "tank 3", percent=35)], ("gardneri", "water_change|line")),
        ("the furzeri had worms", [fed("tank 6", food="worms")], ("worms", "feed|food")),
        ("worms for E", [fed("tub E", food="microworms")], ("worms", "feed|food")),
        ("two brown and two furry ones out of B", [bad("tub B", 4)], ("two", "bad_eggs|more")),
        ("Walt won't be wanting the lampeye pairs", [{"kind": "release", "buyer": "Walt", "line": "lampeye"}],
         ("lampeye", "release|line")),
        ("Half an almond leaf for tank 4.",
         [{"kind": "dose", "place": "tank 4", "substance": "tannin", "amount": 0.5, "unit": "leaf"}],
         ("almond leaf", "dose|substance")),
        ("C has none eyed. B has 6 eyed.",
         [{"kind": "eyed", "place": "tub C", "count": 0}, {"kind": "eyed", "place": "tub B", "count": 6}],
         ("none", "eyed|count")),
        ("7: glass, 30%. 8: just 20%",
         [{"kind": "service", "place": "tank 7", "item": "glass"}, water("tank 7", percent=30),
          water("tank 8", percent=20)], ("8", "water_change|place")),
        ("one of the pair in 15 died", [{"kind": "death", "place": "tank 15", "count": 1}], ("one", "death|count")),
        ("fed the microworm cultures, both of them",
         [{"kind": "culture", "culture": f"microworm {n}", "action": "feed"} for n in (1, 2)],
         ("microworm", "culture.feed|culture")),
        ("mop in 2 came up bare", [pulled("tank 2", 0)], ("bare", "pull|count")),
    ],
)  # fmt: skip
def test_what_is_said_round_about_is_found(text: str, events: list[Raw], label: tuple[str, str]) -> None:
    example = example_of(note_of(text, *events), NAMES, ROOM)
    assert example is not None
    assert label in labels_of(example).items()


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("no 2 pulled, no 3 left", [2, 3]),
        ("16 from 9, and I mean 16", [16, 9, 16]),
        ("16 from 8, I mean 9", [16, 9]),
    ],
)
def test_a_number_stands_unless_it_is_taken_back(text: str, figures: list[int]) -> None:
    assert [t.value for t in tags_of(NAMES, text, SENT) if t.kind == "num"] == figures


BRINE_STARTED: Raw = {"kind": "culture", "culture": "brine shrimp", "action": "start"}


@pytest.mark.parametrize(
    ("text", "told", "query"),
    [
        ("12 from 3 into B. when do they hatch?", pulled("tank 3", 12, to="tub B"),
         {"about": "hatch", "place": "tub B"}),
        ("started the brine. harvest when?", BRINE_STARTED, {"about": "culture", "culture": "brine shrimp"}),
        ("ph 6.8 in 4. has it dropped?", read("tank 4", 6.8, "ph"),
         {"about": "history", "place": "tank 4", "quantity": "ph"}),
        ("sold Lena 5 gularis. has she had more?",
         {"kind": "sale", "count": 5, "line": "blue gularis", "buyer": "Lena"}, {"about": "history", "buyer": "Lena"}),
    ],
)  # fmt: skip
def test_what_is_asked_is_of_what_was_told(text: str, told: Raw, query: Raw) -> None:
    note = note_of(text, told, outcome="both")
    note["want"][0]["query"] = query
    assert example_of(note, NAMES, ROOM) is not None
