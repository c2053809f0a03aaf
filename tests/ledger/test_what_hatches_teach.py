"""What past hatches teach is the same as from scratch, to the bit, whatever was said, mended or taken back before."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.command_line.setup import set_up
from bot.hear import hear
from shared.events import event_from
from shared.hatching import forecast
from shared.hatching.experience import Experience
from shared.hatching.forecast import experience
from shared.ledger.accounts import KEPT_MEASURES, KEPT_PAST, Batch, Line, PastHatch
from shared.ledger.booking import book
from shared.ledger.past_hatches import known_better, remember
from shared.ledger.standing import Standing
from shared.room import RoomCard
from storage.engine import Database
from storage.journal import Message
from tests.ledger.room import DAY, HOUR, NOON, Room

SPECIES = ["Fundulopanchax gardneri", "Oryzias latipes", "Nothobranchius furzeri", None]
LINES = ["a", "b", "c", "d"]


def from_scratch(standing: Standing, monkeypatch: pytest.MonkeyPatch) -> Experience:
    """By a process that has just read the room from the disk."""
    with monkeypatch.context() as just_started:
        just_started.setattr(forecast, "_SHOWN", {})
        return experience(Standing.model_validate_json(standing.model_dump_json(by_alias=True)))


# ---- any change of the hatches remembered

numbers, changes = st.integers(0, 30), st.sampled_from(["hatch", "undo", "warmth", "seen", "looked", "laid", "species"])
steps = st.lists(
    st.tuples(changes | st.sampled_from(["rename", "shuffle", "hatch", "hatch"]), numbers, st.floats(0, 1)), max_size=25
)


def change(standing: Standing, what: str, number: int, size: float) -> None:
    line = LINES[number % len(LINES)]
    kept = standing.past.setdefault(line, [])
    one = kept[number % len(kept)] if kept else None
    if what == "hatch":
        laid = NOON - (100 + number) * DAY
        seen = laid + (5 + 20 * size) * DAY
        kept.append(
            PastHatch(
                batch=f"B{len(kept)}",
                line=line,
                laid_from=laid,
                laid_to=laid + HOUR,
                clear_until=seen - DAY if size < 0.8 else None,
                fry_seen=seen,
                temp_c=None if size < 0.2 else 20 + 10 * size,
            )
        )
    elif what == "species":
        standing.lines[line] = Line(name=line, species=SPECIES[int(3.9 * size)])
    elif what == "rename":
        standing.past[f"{line}2"] = standing.past.pop(line)
    elif what == "shuffle":
        random.Random(number).shuffle(kept)
        standing.past = dict(reversed(standing.past.items()))
    elif one is None:
        return
    elif what == "undo":
        kept.remove(one)
    elif what == "warmth":
        one.temp_c = 20 + 10 * size
    elif what == "seen":
        one.fry_seen = one.laid_to + (5 + 20 * size) * DAY
    elif what == "looked":
        one.clear_until = one.fry_seen - 2 * size * DAY
    else:
        one.laid_from = one.laid_to - 3 * size * DAY


@given(steps)
@settings(max_examples=150, deadline=None)
def test_whatever_changed_what_is_taught_is_as_from_scratch(steps: list[tuple[str, int, float]]) -> None:
    standing = Standing(lines={line: Line(name=line, species=SPECIES[n]) for n, line in enumerate(LINES)})
    with pytest.MonkeyPatch.context() as monkeypatch:
        for what, number, size in steps:
            change(standing, what, number, size)
            assert experience(standing) == from_scratch(standing, monkeypatch), what
            assert experience(standing, like="a") == _like(experience(standing), standing, "a")


def _like(taught: Experience, standing: Standing, line: str) -> Experience:
    """Only what bears on a line."""
    _, key = forecast._species_and_key(standing, line)
    return Experience({key: taught._tallies[key]} if key in taught._tallies else {})


@given(st.permutations([(n, size / 12) for n, size in enumerate(range(12))]))
@settings(max_examples=50, deadline=None)
def test_the_order_of_hatches_makes_no_difference_to_the_bit(order: list[tuple[int, float]]) -> None:
    def taught(told: list[tuple[int, float]]) -> Experience:
        standing = Standing(lines={line: Line(name=line, species=SPECIES[0]) for line in LINES})
        for number, size in told:
            change(standing, "hatch", number, size)
        return experience(standing)

    assert taught(order) == taught(sorted(order))


def test_only_the_line_that_changed_is_summed_up_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    standing = Standing(lines={line: Line(name=line, species=SPECIES[0]) for line in LINES})
    for number in range(20):
        change(standing, "hatch", number, number / 20)
    experience(standing)
    summed: list[str] = []
    real = forecast._summed_up

    def noted(line: str, *rest: Any) -> Experience:
        summed.append(line)
        return real(line, *rest)

    monkeypatch.setattr(forecast, "_summed_up", noted)
    experience(standing)
    assert summed == []
    change(standing, "hatch", 1, 0.5)
    experience(standing)
    assert summed == ["b"]


# ---- said in the chat

SAID = [  # days after the start, and what is said
    (0, "temp tub B 76"),
    (1, "pulled mop tank 3, 30 eggs, tub D"),
    (9, "5 hatched in tub B"),
    (9.1, "no, 6 not 5"),
    (9.2, "undo"),
    (10, "7 hatched in tub B"),
    (10.1, "temp tub B was 80 on Monday"),
    (12, "4 hatched in tub A yesterday"),
    (12.1, "no, that was tub C"),
    (13, "gardneri is now called steelblue"),
    (16, "6 hatched in tub D"),
    (16.1, "undo"),
    (17, "6 hatched in tub D"),
]


def test_after_every_note_a_process_that_stays_knows_what_one_just_started_does(
    database: Database, card: RoomCard, monkeypatch: pytest.MonkeyPatch
) -> None:
    said_to, _ = set_up(database, card, NOON)
    taught = []
    for number, (days, text) in enumerate(SAID):
        at = NOON + dt.timedelta(days=days)
        hear(said_to, Message("telegram", f"d{number}", "kitchen", "p1", text, at))
        standing = said_to.standing()
        taught.append(experience(standing))
        assert taught[-1] == from_scratch(standing, monkeypatch), text
    assert sum(before != after for before, after in itertools.pairwise(taught)) >= 8


# ---- a hatch is remembered as it is known now


@pytest.fixture
def room(card: RoomCard) -> Room:
    return Room(card)


def _remembered(room: Room, line: str = "gardneri") -> PastHatch | None:
    kept = [past for past in room.standing.past.get(line, []) if past.batch == "B22"]
    assert len(kept) < 2
    return kept[0] if kept else None


def test_a_temperature_told_or_put_right_after_the_hatch_counts(room: Room) -> None:
    room.say(kind="measure", place="tub B", quantity="temperature", value=24.0, hours=1)
    room.say(kind="hatch", place="tub B", count=3, hours=100)
    assert (known := _remembered(room)) and known.temp_c == 24.0
    for hours, warm, mean in ((50, 26.0, 25.0), (-500, 10.0, 25.0), (120, 30.0, 25.0), (80, 28.0, 26.0)):
        late = event_from({"kind": "measure", "place": "tub B", "quantity": "temperature", "value": warm})
        room.take(book(late, NOON + hours * HOUR, room.standing), said=NOON + 130 * HOUR)
        assert (known := _remembered(room)) and known.temp_c == pytest.approx(mean), (hours, warm)


def test_readings_after_a_hatch_that_is_told_late_do_not_count(room: Room) -> None:
    room.say(kind="measure", place="tub B", quantity="temperature", value=24.0, hours=1)
    room.say(kind="measure", place="tub B", quantity="temperature", value=29.0, hours=90)
    hatch = event_from({"kind": "hatch", "place": "tub B", "count": 3})
    room.take(book(hatch, NOON + 60 * HOUR, room.standing), said=NOON + 100 * HOUR)
    assert (known := _remembered(room)) and known.temp_c == 24.0


def test_where_readings_are_let_go_of_the_mean_stays(room: Room) -> None:
    room.say(kind="measure", place="tub B", quantity="temperature", value=24.0, hours=1)
    room.say(kind="hatch", place="tub B", count=3, hours=50)
    for hours in range(60, 60 + KEPT_MEASURES):
        room.say(kind="measure", place="tub B", quantity="temperature", value=20.0, hours=hours)
    late = event_from({"kind": "measure", "place": "tub B", "quantity": "temperature", "value": 26.0})
    room.take(book(late, NOON + 40 * HOUR, room.standing), said=NOON + 130 * HOUR)
    assert (known := _remembered(room)) and known.temp_c == 24.0


def test_a_batch_whose_line_laying_or_medium_is_put_right_teaches_so(room: Room) -> None:
    room.say(kind="hatch", place="tub B", count=3, hours=100)
    room.say(kind="setting", batch="B22", what="laid", value="2026-02-25/2026-02-27", hours=101)
    laid = room.standing.batches["B22"].laid_from
    assert laid and laid.date() == dt.date(2026, 2, 25)
    assert (known := _remembered(room)) and known.laid_from == laid
    room.say(kind="setting", batch="B22", what="line", value="lampeye", hours=102)
    assert _remembered(room) is None and (known := _remembered(room, "lampeye")) and known.line == "lampeye"
    room.say(kind="setting", batch="B22", what="medium", value="peat", hours=103)
    assert _remembered(room, "lampeye") is None


def test_only_the_newest_hatches_are_remembered_and_one_put_right_keeps_its_turn() -> None:
    standing = Standing()
    for number in range(KEPT_PAST + 2):
        laid = NOON + number * DAY
        batch = Batch(
            name=f"B{number}",
            line="a",
            opened=laid,
            touched=laid,
            laid_from=laid,
            laid_to=laid,
            fry_seen=laid + 12 * DAY,
        )
        standing.batches[batch.name] = batch
        remember(standing, batch)
    names = [past.batch for past in standing.past["a"]]
    assert names == [f"B{number}" for number in range(2, KEPT_PAST + 2)]
    again = standing.batches["B7"]
    again.laid_from = NOON
    known_better(standing, again)
    known_better(standing, standing.batches["B1"])  # long let go of
    assert [past.batch for past in standing.past["a"]] == names
    assert standing.past["a"][5].laid_from == NOON
