"""What `show` and `stock` tell of the ledger, after notes said like any keeper's."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from bot.command_line.printed import show_json, stock_json
from bot.command_line.setup import set_up
from bot.hear import hear
from shared.room import BatchCard, RoomCard
from storage.engine import Database
from storage.journal import Message, RoomBook

NOW = dt.datetime(2026, 3, 9, 18, tzinfo=dt.UTC)


@pytest.fixture
def book(database: Database, card: RoomCard) -> RoomBook:
    lines = tuple(
        line.model_copy(update={"population": "Akure", "generation": "F2"}) if line.name == "gardneri" else line
        for line in card.lines
    )
    return set_up(database, card.model_copy(update={"lines": lines}), NOW)[0]


def tell(book: RoomBook, *notes: str) -> None:
    for n, text in enumerate(notes):
        person = book.person_named("Rosa")
        hear(book, Message("say", f"d{n}", "kitchen", person.key, text, NOW + dt.timedelta(minutes=n)))


def shown(book: RoomBook, name: str) -> dict[str, Any]:
    told = show_json(book.standing(), name, book)
    assert told
    return told


def test_a_batch_shows_its_parents_generation_and_population(book: RoomBook) -> None:
    tell(book, "pulled mop tank 3, 12 eggs into tub D")
    told = shown(book, "B24")
    assert (told["parents"], told["parent_groups"]) == (["tank 3"], ["gardneri"])
    assert (told["generation"], told["population"], told["species"]) == ("F3", "Akure", "Fundulopanchax gardneri")


def test_a_batch_shows_why_fish_are_unaccounted_for(book: RoomBook) -> None:
    tell(book, "30 hatched in tub C", "counted tub C, 25", "5 unaccounted for", "2 dead in tub C")
    told = shown(book, "B23")
    assert [(u["side"], u["count"], u["why"]) for u in told["unaccounted_by"]] == [
        ("eggs", -6, "more hatched than eggs on record"),
        ("fish", 5, "a count"),
    ]
    assert sum(u["count"] for u in told["unaccounted_by"]) == told["unaccounted"]
    assert told["causes"]["found"] == told["died"] == 2
    assert told["survival"] == {
        "with_culls": pytest.approx(23 / 30, abs=1e-4),
        "without_culls": pytest.approx(23 / 30, abs=1e-4),
    }


def test_a_place_shows_the_spread_of_ages(book: RoomBook) -> None:
    tell(book, "moved B19 to tank 13")
    assert [at[:10] for at in shown(book, "tank 13")["hatched_between"]] == ["2026-01-18", "2026-03-03"]
    assert shown(book, "tank 3")["hatched_between"] is None


def test_stock_shows_the_sexes_and_what_the_fish_are_called(book: RoomBook) -> None:
    tell(book, "headcount tank 3: 2 males 4 females")
    held = next(h for h in stock_json(book.standing(), book.info.zone) if h["place"] == "tank 3")
    assert (held["count"], held["male"], held["female"], held["generation"]) == (6, 2, 4, "F2")


def test_wild_with_f1_is_asked_in_the_chat_and_the_answer_kept(database: Database, card: RoomCard) -> None:
    lines = tuple(line.model_copy(update={"generation": "wild"}) for line in card.lines)
    grown = BatchCard(name="B16", line="gardneri", stage="adults", place="tank 3", count=4, generation="F1")
    card = card.model_copy(update={"lines": lines, "batches": (*card.batches, grown)})
    book = set_up(database, card, NOW)[0]
    person = book.person_named("Rosa").key
    asked = hear(book, Message("say", "1", "kitchen", person, "pulled mop tank 3, 12 eggs into tub D", NOW))
    assert "The parents of B24 are wild and F1. What are the young?" in asked.text
    assert asked.options == ("F1", "F2", "unknown")
    assert shown(book, "B24")["generation"] == "unknown"
    told = hear(book, Message("say", "2", "kitchen", person, "F2", NOW))
    assert told.text == "B24: generation F2."
    assert shown(book, "B24")["generation"] == "F2"
    assert book.check() == []
