"""Lines, populations and generations: the young follow their parents, and what only the keeper can say is asked."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from shared.kin.lineage import Stay, generation_label, parents_among, young_of
from shared.room import RoomCard
from tests.ledger.room import DAY, HOUR, NOON, Room, remarks

AKURE, MAKURDI, STRAIN = "gardneri Akure", "gardneri Makurdi", "gold gardneri"
CARD = RoomCard.model_validate(
    {
        "name": "an invented room",
        "lines": [
            {"name": AKURE, "species": "Fundulopanchax gardneri", "population": "Akure 21/3", "generation": "wild"},
            {"name": MAKURDI, "species": "Fundulopanchax gardneri", "population": "Makurdi", "generation": "F3"},
            {"name": STRAIN, "species": "Fundulopanchax gardneri", "generation": "aquarium strain"},
            {"name": "medaka", "species": "Oryzias latipes"},
        ],
        "places": [
            {"name": "tank 1", "role": "breeders", "line": AKURE},
            {"name": "tank 2", "role": "breeders", "line": MAKURDI},
            {"name": "tank 3", "role": "breeders", "line": STRAIN},
            {"name": "tank 4", "role": "breeders", "line": "medaka"},
            {"name": "tank 5", "role": "grow-out"},
            {"name": "tub A", "kind": "tub", "role": "eggs"},
        ],
        "batches": [
            {"name": "B1", "line": AKURE, "stage": "juveniles", "place": "tank 5", "count": 20, "generation": "f1"},
        ],
    }
)


@pytest.fixture
def room() -> Room:
    return Room(CARD)


# ---- labels


@pytest.mark.parametrize(
    ("words", "label"),
    [
        ("WC", "wild"),
        ("wild-caught", "wild"),
        ("f 2", "F2"),
        ("F-10", "F10"),
        ("Aquarium strain", "aquarium strain"),
        ("?", "unknown"),
        ("Lagos 7", "Lagos 7"),
        (None, None),
    ],
)
def test_a_generation_is_spelled_one_way(words: str | None, label: str | None) -> None:
    assert generation_label(words) == label


@pytest.mark.parametrize(
    ("parents", "label", "options"),
    [
        (["wild"], "F1", ("F1",)),
        (["wild", "wc"], "F1", ("F1",)),
        (["F1"], "F2", ("F2",)),
        (["f9"], "F10", ("F10",)),
        (["aquarium strain", "strain"], "aquarium strain", ("aquarium strain",)),
        (["wild", "F1"], None, ("F1", "F2")),
        (["aquarium strain", "F1"], None, ("aquarium strain", "F2")),
        (["F1", None], None, ()),
        (["unknown"], None, ()),
        (["Lagos 7"], None, ()),
        ([], None, ()),
    ],
)
def test_young_are_called_after_their_parents(
    parents: list[str | None], label: str | None, options: tuple[str, ...]
) -> None:
    young = young_of(parents)
    assert (young.label, young.options) == (label, options)


# ---- a batch's parents


@pytest.mark.parametrize(
    ("place", "line", "generation"),
    [
        ("tank 1", AKURE, "F1"),
        ("tank 2", MAKURDI, "F4"),
        ("tank 3", STRAIN, "aquarium strain"),
        ("tank 4", "medaka", None),
    ],
)
def test_a_batch_follows_from_those_in_the_tank(room: Room, place: str, line: str, generation: str | None) -> None:
    told = room.say(kind="pull", place=place, count=10)
    batch = room.standing.batches["B2"]
    assert told.question is None
    assert (batch.line, batch.parent_groups, batch.generation) == (line, [line], generation)


def test_wild_with_f1_is_asked_not_guessed(room: Room) -> None:
    room.say(kind="move", batch="B1", to="tank 1", count=4)
    told = room.say(kind="pull", place="tank 1", count=10, hours=48)
    assert told.question and told.question.trouble == "which_generation"
    assert [o.label for o in told.question.options] == ["F1", "F2", "unknown"]
    batch = room.standing.batches["B2"]
    assert batch.generation == "unknown"
    assert set(batch.parent_groups) == {AKURE, "B1"}
    room.choose(told, "F2", hours=48)
    assert (batch.generation, batch.generation_said) == ("F2", True)
    room.say(kind="pull", place="tank 1", count=3, batch="B2", hours=60)
    assert batch.generation == "F2"  # what the keeper said stays


@pytest.mark.parametrize(
    ("left_after", "came_after", "parents"),
    [
        (None, None, [AKURE]),
        (None, 10, [AKURE, "B1"]),
        (10, None, [AKURE]),  # they left while the mop hung
        (-1, 10, ["B1"]),  # they left before it was hung
        (30, 50, [AKURE]),  # the others came after the pull
    ],
)
def test_parents_are_whoever_shared_the_lay_window(
    room: Room, left_after: float | None, came_after: float | None, parents: list[str]
) -> None:
    """The mop hung from noon on and was pulled 48 hours later; the moves are logged late or in time."""
    if left_after is not None and left_after < 0:
        room.say(kind="move", line=AKURE, from_="tank 1", to="tank 5", hours=left_after)
    room.say(kind="mop", place="tank 1")
    room.say(kind="pull", place="tank 1", count=10, hours=48)
    if left_after is not None and left_after >= 0:
        room.say(kind="move", line=AKURE, from_="tank 1", to="tank 5", hours=left_after)
    if came_after is not None:
        room.say(kind="move", batch="B1", to="tank 1", count=4, hours=came_after)
    assert room.standing.batches["B2"].parent_groups == parents


def test_the_young_of_a_batch_are_one_further(room: Room) -> None:
    room.say(kind="move", line=AKURE, from_="tank 1", to="tank 5", hours=1)
    room.say(kind="move", batch="B1", to="tank 1", count=6, hours=2)
    room.say(kind="mop", place="tank 1", hours=3)
    room.say(kind="pull", place="tank 1", count=10, hours=60)
    assert room.standing.batches["B2"].generation == "F2"


def test_what_a_parent_batch_is_called_later_holds_for_all_its_young(room: Room) -> None:
    room.say(kind="move", line=AKURE, from_="tank 1", to="tank 5", hours=1)
    room.say(kind="move", batch="B1", to="tank 1", count=6, hours=2)
    room.say(kind="mop", place="tank 1", hours=3)
    room.say(kind="pull", place="tank 1", count=10, hours=60)
    room.say(kind="setting", batch="B1", what="generation", value="F5", hours=61)
    assert room.standing.batches["B2"].generation == "F6"


def test_a_line_that_moves_on_leaves_its_older_young_as_they_were(room: Room) -> None:
    room.say(kind="pull", place="tank 2", count=10, hours=1)
    room.say(kind="setting", line=MAKURDI, what="generation", value="F4", hours=2)
    room.say(kind="pull", place="tank 2", count=10, hours=100)
    batches = room.standing.batches
    assert batches["B2"].generation == "F4"
    assert room.standing.generation_of(MAKURDI) == "F4"
    assert batches["B3"].generation == "unknown"  # laid from both, as far as the record can tell
    room.say(kind="pull", place="tank 2", count=10, hours=200)
    assert batches["B4"].generation == "F5"


def test_fry_of_a_permanent_set_up_have_its_fish_for_parents(room: Room) -> None:
    room.say(kind="hatch", place="tank 2", count=7)
    batch = room.standing.batches["B2"]
    assert (batch.laid_from, batch.laid_to, batch.eggs.pulled) == (None, None, 0)
    assert (batch.parents, batch.parent_groups, batch.generation) == (["tank 2"], [MAKURDI], "F4")
    assert room.held("B2", "tank 2", "fry") == 7
    room.say(kind="hatch", place="tank 2", count=2, hours=48)
    assert room.held("B2", "tank 2", "fry") == 9
    room.say(kind="hatch", place="tank 2", count=5, hours=24 * 20)  # too long after for one batch
    assert room.held("B3", "tank 2", "fry") == 5
    assert room.balances()


# ---- guards


def test_two_populations_of_a_species_in_one_place_are_warned_of(room: Room) -> None:
    told = room.say(kind="move", batch="B1", to="tank 2", count=4)
    notice = next(n for n in told.notices if n.remark == "same_species")
    assert (notice.facts["line"], notice.facts["other"]) == (AKURE, MAKURDI)
    assert "different populations" in notice.facts["caution"]


@pytest.mark.parametrize(
    ("raw", "remark"),
    [
        ({"kind": "stock_in", "place": "tank 2", "line": AKURE, "count": 2}, "same_species"),
        ({"kind": "stock_in", "place": "tank 4", "line": AKURE, "count": 2}, "other_line"),
        ({"kind": "move", "from": "tank 4", "to": "tank 5"}, "other_line"),
        ({"kind": "stock_in", "place": "tank 5", "line": AKURE, "count": 2}, None),
        ({"kind": "stock_in", "place": "tank 2", "line": "unknown", "count": 1}, "not_identified"),
    ],
)
def test_company_of_another_line_is_warned_of(room: Room, raw: dict[str, Any], remark: str | None) -> None:
    told = remarks(room.say(**{"from_" if key == "from" else key: value for key, value in raw.items()}))
    assert remark in told if remark else not told


def test_eggs_that_may_be_of_two_lines_are_warned_of(room: Room) -> None:
    room.say(kind="move", batch="B1", to="tank 2", count=4)
    told = room.say(kind="pull", place="tank 2", count=10, hours=48)
    notice = next(n for n in told.notices if n.remark == "two_lines")
    assert notice.facts["lines"] == [MAKURDI, AKURE]
    assert set(room.standing.batches["B2"].parent_lines) == {MAKURDI, AKURE}


def test_another_species_in_the_tank_is_no_parent_to_warn_of(room: Room) -> None:
    room.say(kind="stock_in", place="tank 2", line="medaka", count=2)
    assert "two_lines" not in remarks(room.say(kind="pull", place="tank 2", count=10, line=MAKURDI, hours=48))


def test_unknown_fish_in_the_tank_make_the_eggs_doubtful(room: Room) -> None:
    room.say(kind="stock_in", place="tank 2", line="unknown", count=1)
    assert "two_lines" in remarks(room.say(kind="pull", place="tank 2", count=10, hours=48))


def test_batches_of_two_lines_put_together_are_warned_of(room: Room) -> None:
    room.say(kind="pull", place="tank 2", count=10, to="tub A")
    told = room.say(kind="move", batch="B2", joins="B1", to="tub A")
    assert "two_lines" in remarks(told)


def test_batches_of_two_generations_put_together_are_of_none(room: Room) -> None:
    room.say(kind="pull", place="tank 1", count=10, to="tub A")
    room.say(kind="setting", batch="B2", what="generation", value="F3", hours=1)
    room.say(kind="pull", place="tank 1", count=10, hours=60)
    room.say(kind="move", batch="B3", joins="B2", to="tub A", hours=61)
    assert room.standing.batches["B2"].generation == "unknown"


# ---- stays


@pytest.mark.parametrize(
    ("since", "until", "there"),
    [(-5, None, True), (0, 1, True), (2, None, True), (3, None, False), (-5, 0, False), (-5, 1, True), (-5, -1, False)],
)
def test_who_was_there_while_it_was_laid(since: float, until: float | None, there: bool) -> None:
    """Laid between noon and two hours later."""
    end = NOON + until * HOUR if until is not None else None
    stay = Stay(group="B1", line="x", stage="adults", since=NOON + since * HOUR, until=end)
    assert stay.during(NOON, NOON + 2 * HOUR) == there


def test_growing_fish_are_parents_only_where_no_adults_stand() -> None:
    young = Stay(group="B1", line="x", stage="juveniles", since=NOON - DAY)
    grown = Stay(group="x", line="x", stage="adults", since=NOON - DAY)
    window = NOON, NOON + dt.timedelta(hours=1)
    assert parents_among([young, grown], *window) == [grown]
    assert parents_among([young], *window) == [young]
