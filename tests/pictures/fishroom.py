"""A made-up fish room in a real database, with two months of notes, to draw from."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from pathlib import Path
from typing import Any

from shared.events import Event, event_from
from shared.ledger.booking import book as booked
from shared.room import RoomCard
from storage.engine import open_database
from storage.journal import Message, RoomBook

NOW = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.timezone(dt.timedelta(hours=-5)))
DAY = dt.timedelta(days=1)
_deliveries = itertools.count(1)


def empty(folder: Path, units: str = "us", name: str = "Millrace room") -> RoomBook:
    """A room with nothing in it."""
    card = RoomCard.model_validate({"name": name, "timezone": "America/Chicago", "units": units})
    return open_database(str(folder / f"{units}.db")).create_room(card)


def saw(kind: str, **keys: Any) -> Event:
    """An event in its outside form."""
    return event_from({"kind": kind, **keys})


def log(book: RoomBook, at: dt.datetime, *events: Event) -> None:
    """One message with these events, booked as a note would be; one that would be asked about is a mistake here."""
    message = Message("say", f"d{next(_deliveries)}", "kitchen", "p1", "note", at)
    with book.turn(message) as turn:
        for event in events:
            booking = booked(event, at, turn.standing)
            assert booking.question is None, booking.question
            for d in booking.drafts:
                turn.enter(d)
        turn.reply("ok", {"outcome": "log"}, "log")


def note(book: RoomBook, at: dt.datetime, event: Event, **about: str) -> None:
    """An entry that moves nothing: eggs counted and given back to the tank, say."""
    with book.turn(Message("say", f"d{next(_deliveries)}", "kitchen", "p1", "note", at)) as turn:
        turn.append(event, at=at, **about)  # type: ignore[arg-type]  # only names are passed
        turn.reply("ok", {"outcome": "log"}, "log")


LINES = {
    "blue gularis": ("Fundulopanchax sjostedti", "tank 1"),
    "gardneri": ("Fundulopanchax gardneri", "tank 2"),
    "lampeye": ("Poropanchax normani", "tank 5"),
    "boesemani": ("Melanotaenia boesemani", "tank 7"),
    "forktail": ("Pseudomugil furcatus", "tank 8"),
    "medaka": ("Oryzias latipes", "tank 9"),
}
OTHERS = {"tank 14": "grow-out", "tub A": "eggs", "tub B": "eggs", "tub C": "eggs", "tub E": "fry"}


def furnish(book: RoomBook, at: dt.datetime) -> None:
    """Lines, tanks and tubs."""
    for line, (species, tank) in LINES.items():
        log(book, at, saw("new_line", line=line, species=species, generation="F3" if line == "gardneri" else None))
        log(book, at, saw("new_place", place=tank, line=line, role="breeders", litres=37.9))
    for place, role in OTHERS.items():
        log(book, at, saw("new_place", place=place, role=role))


def busy(folder: Path, units: str = "us") -> RoomBook:
    """The room after two months: eggs most days, a batch grown up and sold, tests, losses, eggs waiting."""
    book, dice = empty(folder, units), random.Random(7)
    begin = NOW - 60 * DAY
    furnish(book, begin)
    log(book, begin, saw("new_batch", batch="B11", line="blue gularis", place="tank 14", stage="juveniles", count=22))
    for n in range(60):
        at = begin + n * DAY
        for line, (_, tank) in LINES.items():
            if n % 3 == len(tank) % 3 or line == "medaka":
                eggs = None if n == 45 else max(0, round(dice.gauss({"medaka": 22, "gardneri": 18}.get(line, 6), 5)))
                note(book, at, saw("pull", place=tank, count=eggs), line=line, place=tank)
        if n % 2 == 0:
            log(book, at, saw("measure", place="tank 2", quantity="temperature", value=round(dice.gauss(24.2, 0.5), 1)))
        if n % 4 == 0:
            nitrate = 10 + 5 * (n % 12) / 4 + dice.gauss(0, 1)
            log(book, at, saw("measure", place="tank 14", quantity="nitrate", value=round(nitrate)))
            log(book, at, saw("measure", place="tank 14", quantity="ph", value=round(dice.gauss(7.2, 0.1), 1)))
            log(book, at, saw("measure", place="tank 14", quantity="temperature", value=round(dice.gauss(24, 0.4), 1)))
            log(book, at, saw("measure", place="tank 7", quantity="nitrate", value=round(5 + 4 * (n % 20) / 4)))
        if n % 12 == 11:
            log(book, at, saw("water_change", places=("tank 14",), percent=40))
        if n % 9 == 4:
            log(book, at, saw("death", place="tank 14", count=1, stage="juveniles"))
    story(book)
    # eggs waiting
    for tub, line, ago, count in (
        ("tub A", "blue gularis", 13, 38),
        ("tub B", "gardneri", 7, 52),
        ("tub C", "lampeye", 4, 24),
    ):
        day = (NOW - ago * DAY).date()
        log(
            book,
            NOW,
            saw(
                "new_batch",
                batch=book.standing().next_batch_name(),
                line=line,
                place=tub,
                stage="eggs",
                count=count,
                generation="F4" if line == "gardneri" else None,
                laid_from=day - DAY,
                laid_to=day,
            ),
        )
        log(book, NOW, saw("measure", place=tub, quantity="temperature", value=24.0))
    return book


def story(book: RoomBook) -> None:
    """60 gardneri eggs, 41 fry, some lost, the rest moved up and sold in part."""
    begin = NOW - 58 * DAY
    log(book, begin, saw("pull", place="tank 2", count=60, to="tub B"))
    name = book.standing().eggs_at("tub B")[0].group
    log(book, begin + 3 * DAY, saw("bad_eggs", batch=name, count=6))
    log(book, begin + 7 * DAY, saw("bad_eggs", batch=name, count=4))
    log(book, begin + 15 * DAY, saw("hatch", place="tub B", count=25, batch=name))
    log(book, begin + 17 * DAY, saw("hatch", place="tub B", count=16, batch=name))
    log(book, begin + 19 * DAY, saw("bad_eggs", batch=name, count=9))
    log(book, begin + 20 * DAY, saw("move", **{"from": "tub B"}, to="tub E", count=41, batch=name, stage="fry"))
    log(book, begin + 26 * DAY, saw("death", batch=name, count=3, stage="fry"))
    log(book, begin + 44 * DAY, saw("move", **{"from": "tub E"}, to="tank 14", count=38, batch=name, stage="juveniles"))
    log(book, begin + 49 * DAY, saw("sale", batch=name, count=12, price=36, buyer="Ivo"))
    log(book, begin + 54 * DAY, saw("sale", batch=name, count=8, price=24, buyer="Rosa"))
    log(book, NOW, saw("reserve", line="gardneri", count=6, buyer="Rosa", date=dt.date(2026, 3, 14)))
    log(book, NOW, saw("remind", text="order peat", date=dt.date(2026, 3, 12), time="09:00"))
    log(book, NOW, saw("headcount", batch=name, count=18))
