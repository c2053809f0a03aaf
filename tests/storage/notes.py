"""Short ways to write things into a book, as the tests need them."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

from shared.events import Event, Stage, event_from
from shared.ledger.standing import Account, Entry, Posting
from storage.journal import Message, RoomBook

NOON = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)
_deliveries = itertools.count(1)


def event(kind: str, **keys: Any) -> Event:
    """An event as the outside form has it."""
    return event_from({"kind": kind, **keys})


FED = event("feed", places=["tank 1"], food="flake")


def message(
    text: str = "note",
    *,
    sent: dt.datetime = NOON,
    person: str = "p1",
    chat: str = "kitchen",
    delivery: str | None = None,
    door: str = "say",
) -> Message:
    return Message(door, delivery or f"d{next(_deliveries)}", chat, person, text, sent)


def said(
    book: RoomBook, *events: Event, at: dt.datetime = NOON, sent: dt.datetime | None = None, **more: str
) -> list[Entry]:
    """One message (`more`: its text, person, chat, delivery, door), answered; its events without postings."""
    with book.turn(message(sent=sent or at, **more)) as turn:
        made = [turn.append(event, at=at) for event in events]
        turn.reply("ok", {"outcome": "log"}, "log")
    return made


def taken_back(book: RoomBook, *seqs: int, sent: dt.datetime = NOON) -> Entry:
    with book.turn(message("undo", sent=sent)) as turn:
        entry = turn.retract(seqs, event("undo"))
        turn.reply("undone", {"outcome": "log"}, "log")
    return entry


def account(group: str, place: str, stage: Stage = "eggs") -> Account:
    return Account(group=group, place=place, stage=stage)


def _booked(book: RoomBook, text: str, told: Event, posting: Posting, at: dt.datetime, **more: Any) -> Entry:
    with book.turn(message(text, sent=at)) as turn:
        entry = turn.append(told, at=at, postings=[posting], **more)
        turn.reply("ok", {"outcome": "log"}, "log")
    return entry


def pulled(book: RoomBook, batch: str, count: int, *, at: dt.datetime = NOON, place: str = "tub B") -> Entry:
    """Eggs from tank 3 set in a tub, as a batch of their own."""
    told = event("pull", place="tank 3", count=count)
    posting = Posting(target=account(batch, place), outside="pulled", count=count, counts=True)
    laid: dict[str, Any] = {"line": "gardneri", "laid_from": at - DAY, "laid_to": at}
    return _booked(book, f"pulled {count}", told, posting, at, batch=batch, place=place, **laid)


def hatched(book: RoomBook, batch: str, count: int, *, at: dt.datetime = NOON, place: str = "tub B") -> Entry:
    told = event("hatch", place=place, count=count)
    eggs, fry = account(batch, place), account(batch, place, "fry")
    posting = Posting(source=eggs, target=fry, count=count, counts=True)
    return _booked(book, f"{count} hatched", told, posting, at, batch=batch, place=place)


def died(book: RoomBook, batch: str, count: int, *, at: dt.datetime = NOON, place: str = "tub B") -> Entry:
    told = event("death", place=place, count=count)
    posting = Posting(source=account(batch, place, "fry"), outside="died", count=count)
    return _booked(book, f"{count} dead", told, posting, at, batch=batch, place=place)


def remarked(book: RoomBook, text: str, *, at: dt.datetime = NOON, sent: dt.datetime | None = None) -> Entry:
    return said(book, event("remark", place="tank 3", text=text), at=at, sent=sent)[0]
