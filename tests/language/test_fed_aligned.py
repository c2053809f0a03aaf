"""Foods, who had them, and the cultures they come from: each is found among the words, and told again."""

from __future__ import annotations

import pytest

from tests.language.examples import example_of
from tests.language.judging import Raw
from tests.language.test_aligned import NAMES, ROOM, note_of


def fed(*places: str, **more: object) -> Raw:
    return {"kind": "feed", "places": list(places), **more}


def culture(name: str, action: str) -> Raw:
    return {"kind": "culture", "culture": name, "action": action}


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("The microworms in box 2 went pink, chucked them.", [culture("microworm 2", "crash")]),
        ("skimmed the microworms (number 1) for E",
         [culture("microworm 1", "harvest"), fed("tub E", food="microworms")]),
        ("the microworms from number two went to F",
         [culture("microworm 2", "harvest"), fed("tub F", food="microworms")]),
        ("Fed the second microworm tub some oats.", [culture("microworm 2", "feed")]),
        ("cultures fed: 1 and 2", [culture("microworm 1", "feed"), culture("microworm 2", "feed")]),
        ("I began a new microworm box off number 1 and it is number 3 now", [culture("microworm 3", "start")]),
        ("The microworms are thriving. Number 2 was fed.", [culture("microworm 2", "feed")]),
        ("fed microworm 1 and scraped some of it for F",
         [culture("microworm 1", "feed"), fed("tub F", food="microworms")]),
        ("the microworms look thin, fed both jars", [culture("microworm 1", "feed"), culture("microworm 2", "feed")]),
        ("Culture number 1 had a slice of bread.", [culture("microworm 1", "feed")]),
        ("harvested the vinegar eels, apple for the jar",
         [culture("vinegar eel", "harvest"), culture("vinegar eel", "feed")]),
        ("the daphnia's crashed", [culture("daphnia", "crash")]),
        ("started a jar of infusoria", [culture("infusoria", "start")]),
    ],
)  # fmt: skip
def test_a_culture_is_known_by_its_number(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("bloodworms for 1, 14 and the furzeri", [fed("tank 1", "tank 14", "tank 6", food="bloodworms")]),
        ("gave the lampeyes and the medaka daphnia", [fed("tank 5", "tank 9", food="daphnia")]),
        ("daphnia for tank 2, the clowns got some too", [fed("tank 2", "tank 4", food="daphnia")]),
        ("frozen daphnia, t2 - t5", [fed("tank 2", "tank 3", "tank 4", "tank 5", food="frozen daphnia")]),
        ("7 had a cube of brine shrimp", [fed("tank 7", food="frozen brine shrimp")]),
        ("a sinking wafer for 10", [fed("tank 10", food="sinking wafer")]),
        ("flake for every single tank", [fed("all", food="flake")]),
        ("G was wormed", [fed("tub G", food="microworms")]),
        ("the rainbows and the forktails had flake", [fed("tank 7", "tank 8", food="flake")]),
        ("F and G were given powder and then vinegar eels for E",
         [fed("tub F", "tub G", food="powder"), fed("tub E", food="vinegar eels")]),
        ("moved 9 of the rainbows from 11 to 16, fed both tanks bbs",
         [{"kind": "move", "from": "tank 11", "to": "tank 16", "count": 9, "line": "boesemani"},
          fed("tank 11", "tank 16", food="brine shrimp")]),
        ("everybody's had flake but not 8", [{**fed("all", food="flake"), "except": ["tank 8"]}]),
        ("all the adult tanks had flake at noon", [fed("all adults", food="flake", time="12:00")]),
    ],
)  # fmt: skip
def test_all_who_had_a_food_are_told(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("powder for E, bbs for 11, flake for the rest",
         [fed("tub E", food="powder"), fed("tank 11", food="brine shrimp"),
          {**fed("all", food="flake"), "except": ["tub E", "tank 11"]}]),
        ("not fed: 8. The others had flake", [{**fed("all", food="flake"), "except": ["tank 8"]}]),
        ("11 got bbs and the rest of the fry had microworms",
         [fed("tank 11", food="brine shrimp"), {**fed("all fry", food="microworms"), "except": ["tank 11"]}]),
        ("sat flake for everyone, sun 2 had daphnia and the rest flake",
         [fed("all", food="flake", date="2026-03-07"), fed("tank 2", food="daphnia", date="2026-03-08"),
          {**fed("all", food="flake", date="2026-03-08"), "except": ["tank 2"]}]),
    ],
)  # fmt: skip
def test_the_rest_are_all_but_those_told_of(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("F: 8am bbs, noon powder, 5pm microworms",
         [fed("tub F", food="brine shrimp", time="08:00"), fed("tub F", food="powder", time="12:00"),
          fed("tub F", food="microworms", time="17:00")]),
        ("E + F fed 7am, noon, 6pm: bbs, powder, microworms",
         [fed("tub E", "tub F", food="brine shrimp", time="07:00"), fed("tub E", "tub F", food="powder", time="12:00"),
          fed("tub E", "tub F", food="microworms", time="18:00")]),
        ("everyone had flake, I did microworms for F and brine for 12",
         [fed("all", food="flake"), fed("tub F", food="microworms"), fed("tank 12", food="brine shrimp")]),
        ("all fed flake, fry bbs, tubs rinsed", [fed("all", food="flake"), fed("all fry", food="brine shrimp")]),
        ("flake to 1-4 at 7am, 6-8 at 9am",
         [fed("tank 1", "tank 2", "tank 3", "tank 4", food="flake", time="07:00"),
          fed("tank 6", "tank 7", "tank 8", food="flake", time="09:00")]),
        ("Bloodworms tonight! That was for 1, 7 and 14. The corys had pellets.",
         [fed("tank 1", "tank 7", "tank 14", food="bloodworms"), fed("tank 10", food="pellets")]),
        ("fed the grownups flake. then fed the fry tubs powder",
         [fed("all adults", food="flake"), fed("all fry tubs", food="powder")]),
        ("30% out of 2, 20% out of 5, the fish had flake after",
         [{"kind": "water_change", "places": ["tank 2"], "percent": 30},
          {"kind": "water_change", "places": ["tank 5"], "percent": 20}, fed("tank 2", "tank 5", food="flake")]),
        ("pelet for 10", [fed("tank 10", food="pellets")]),
        ("late with the fry feeding, 9:45pm", [fed("all fry", time="21:45")]),
        ("eel for G, micro for E", [fed("tub G", food="vinegar eels"), fed("tub E", food="microworms")]),
        ("brine jar 2 started", [culture("brine shrimp", "start")]),
    ],
)  # fmt: skip
def test_meals_of_a_day_are_told_one_by_one(text: str, events: list[Raw]) -> None:
    assert example_of(note_of(text, *events), NAMES, ROOM) is not None
