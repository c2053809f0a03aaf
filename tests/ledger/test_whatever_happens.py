"""Random days in the fish room: whatever is said, the books balance, nothing is negative, and undo undoes."""

from __future__ import annotations

import datetime as dt
import os
from typing import Any

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from shared.events import event_from
from shared.ledger.booking import book
from shared.ledger.standing import Entry, Standing, fold, out_of_balance
from tests.ledger.any_note import BATCHES, CARD, LINES, PLACES, notes
from tests.ledger.room import HOUR, NOON, Room

EXAMPLES = int(os.environ.get("ROOMHAND_TEST_EXAMPLES", "40"))
said = st.tuples(notes, st.integers(0, 3), st.sampled_from([0, 0, 0, -30, -100]))
SETTINGS = settings(max_examples=EXAMPLES, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))


def _room() -> Room:
    """The room of the card, its rainbowfish and a bought pair counted by sex."""
    room = Room(CARD)
    room.say(kind="headcount", place="tank 7", male=3, female=5)
    room.say(kind="headcount", batch="B14", male=20, female=30, count=84)
    return room


def _live(room: Room, told: list[tuple[dict[str, Any], int, int]]) -> None:
    """Say it all, an hour apart, some of it late, answering every question; each step must leave the books right."""
    for n, (raw, answer, late) in enumerate(told):
        at = NOON + (n + late) * HOUR
        booking = book(event_from(raw), at, room.standing)
        room.take(booking, said=NOON + n * HOUR)
        if booking.question and booking.question.options:
            options = booking.question.options
            for chosen in options[answer % len(options)].events:
                again = book(event_from(chosen), at, room.standing)
                if again.question is None:
                    room.take(again, said=NOON + n * HOUR)
        assert _faults(room.standing) == [], raw


def _faults(standing: Standing) -> list[str]:
    """Sums that do not add up, and holdings no fish room can have."""
    out = list(out_of_balance(standing))
    for held in standing.holdings.values():
        if held.male < 0 or held.female < 0:
            out.append(f"{held.account.key}: fewer than no males or females")
        if held.counted and held.male + held.female > held.count:
            out.append(f"{held.account.key}: {held.male} m and {held.female} f of {held.count}")
        if held.line != standing.line_of(held.group):
            out.append(f"{held.account.key}: stands as {held.line}")
    for batch in standing.batches.values():
        if batch.laid_from and batch.laid_to and batch.laid_from > batch.laid_to:
            out.append(f"{batch.name}: laid from {batch.laid_from} to {batch.laid_to}")
        if batch.clear_until and batch.fry_seen and batch.clear_until >= batch.fry_seen:
            out.append(f"{batch.name}: no fry at {batch.clear_until}, after the first")
        if not 0 <= batch.fish.found_dead <= batch.fish.died:
            out.append(f"{batch.name}: {batch.fish.found_dead} of {batch.fish.died} found dead")
    open_stays = {
        (stay.group, place, stay.stage) for place, stays in standing.stays.items() for stay in stays if not stay.until
    }
    grown = {
        (h.group, h.place, h.stage)
        for h in standing.holdings.values()
        if h.place and h.stage in ("juveniles", "adults")
    }
    return out + [f"{left}: stands there and does not" for left in open_stays ^ grown]


@SETTINGS
@given(told=st.lists(said, min_size=10, max_size=40))
def test_the_books_balance_and_nothing_goes_below_nothing(told: list[tuple[dict[str, Any], int, int]]) -> None:
    room = _room()
    _live(room, told)
    assert fold(room.entries) == room.standing


@SETTINGS
@given(told=st.lists(said, min_size=8, max_size=25), cut=st.integers(0, 25))
def test_what_stands_comes_back_from_json_and_goes_on_the_same(
    told: list[tuple[dict[str, Any], int, int]], cut: int
) -> None:
    room = _room()
    _live(room, told)
    cut = max(0, len(room.entries) - cut)
    kept = Standing.model_validate_json(fold(room.entries[:cut]).model_dump_json())
    on = fold(room.entries[cut:], kept)
    assert on == room.standing
    assert on.model_dump_json() == room.standing.model_dump_json()
    entries = [Entry.model_validate_json(entry.model_dump_json(by_alias=True)) for entry in room.entries]
    assert fold(entries) == room.standing


@SETTINGS
@given(told=st.lists(said, min_size=8, max_size=20), back=st.integers(1, 20))
def test_taking_back_the_last_entries_gives_the_state_before_them(
    told: list[tuple[dict[str, Any], int, int]], back: int
) -> None:
    room = _room()
    first = len(room.entries)
    _live(room, told)
    keep = max(first, len(room.entries) - back)
    after, before = room.undo(range(keep + 1, len(room.entries) + 1)), fold(room.entries[:keep])
    assert after.model_dump(exclude={"seq"}) == before.model_dump(exclude={"seq"})


@SETTINGS
@given(told=st.lists(said, min_size=8, max_size=20), picked=st.sets(st.integers(0, 200), max_size=6))
def test_sums_add_up_whichever_entries_are_taken_back(
    told: list[tuple[dict[str, Any], int, int]], picked: set[int]
) -> None:
    room = _room()
    first = len(room.entries)
    _live(room, told)
    logged = len(room.entries) - first
    gone = {first + 1 + n % logged for n in picked} if logged else set()
    after = room.undo(sorted(gone))
    assert [said for said in out_of_balance(after) if "fewer than none" not in said] == []
    assert all(h.male >= 0 and h.female >= 0 for h in after.holdings.values())


@SETTINGS
@given(told=st.lists(said, max_size=12), later=st.integers(1, 400))
def test_asking_how_it_stood_leaves_nothing_behind(told: list[tuple[dict[str, Any], int, int]], later: int) -> None:
    room = _room()
    _live(room, told)
    before = room.standing.model_dump_json()
    for place in PLACES:
        room.standing.hatched_between(place)
        room.standing.parents_at([place], NOON, NOON + dt.timedelta(hours=later))
        book(event_from({"kind": "death", "place": place, "count": 1}), NOON, room.standing)
    for group in (*BATCHES, *LINES):
        room.standing.tally(group, "fish")
        room.standing.generation_of(group)
    assert room.standing.model_dump_json() == before
