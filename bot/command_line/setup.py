"""Making or extending a room from a card: what the card adds becomes entries like any other."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from pathlib import Path

from pydantic import ValidationError

from shared.events import BatchOpened, CultureOpened, Event, LineOpened, PlaceOpened, WordTaught
from shared.ledger.booking import book
from shared.ledger.standing import Standing
from shared.room import RoomCard, litres_of
from storage.engine import Database
from storage.journal import Message, RoomBook
from storage.trouble import StorageTrouble


class CardTrouble(Exception):
    """A card that cannot be used, in a sentence that says where and why."""


def read_card(path: Path) -> RoomCard:
    """The card in a file. Raises CardTrouble when it is missing, not JSON, or says something impossible."""
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
    except OSError as trouble:
        raise CardTrouble(f"{path} cannot be read ({trouble.strerror}); nothing was changed") from None
    except (UnicodeDecodeError, json.JSONDecodeError) as trouble:
        raise CardTrouble(f"{path} is not a room card in JSON ({trouble}); nothing was changed") from None
    try:
        card = RoomCard.model_validate(raw)
        for place in card.places:
            if place.volume:
                litres_of(place.volume, card.gallon)
    except ValidationError as trouble:
        first = trouble.errors()[0]
        where = ".".join(str(p) for p in first["loc"]) or "card"
        raise CardTrouble(f"{path}, {where}: {first['msg']}; nothing was changed") from None
    except ValueError as trouble:
        raise CardTrouble(f"{path}: {trouble}; nothing was changed") from None
    return card


def as_of(card: RoomCard, today: dt.date) -> dt.date:
    """The day the card's counts hold for: as it says, else the newest date on it, else today."""
    dates = [d for b in card.batches for d in (b.laid, b.laid_to, b.laid_from, b.hatched) if d]
    return card.as_of or max(dates, default=today)


def events_of(card: RoomCard, standing: Standing) -> list[Event]:
    """What the card says that the room does not know yet."""
    out: list[Event] = []
    for line in card.lines:
        if line.name not in standing.lines:
            out.append(
                LineOpened(
                    line=line.name,
                    species=line.species,
                    eggs=line.eggs,
                    population=line.population,
                    generation=line.generation,
                    aka=line.aka,
                )
            )
    for place in card.places:
        if place.name not in standing.places:
            litres = litres_of(place.volume, card.gallon) if place.volume else None
            out.append(
                PlaceOpened(
                    place=place.name,
                    vessel=place.kind,
                    litres=litres,
                    line=place.line,
                    role=place.role,
                    collect=place.collect,
                )
            )
            out += [WordTaught(word=word, means=place.name) for word in place.aka]
    for batch in card.batches:
        if batch.name not in standing.batches:
            out.append(
                BatchOpened(
                    batch=batch.name,
                    line=batch.line,
                    place=batch.place,
                    stage=batch.stage,
                    count=batch.count,
                    laid_from=batch.laid_from or batch.laid,
                    laid_to=batch.laid_to or batch.laid,
                    hatched=batch.hatched,
                    medium=batch.medium,
                    generation=batch.generation,
                )
            )
    out += [CultureOpened(culture=c) for c in card.cultures if c not in standing.cultures]
    out += [WordTaught(word=w, means=m) for w, m in card.words.items() if standing.words.get(w) != m]
    return out


def set_up(database: Database, card: RoomCard, now: dt.datetime) -> tuple[RoomBook, int]:
    """Make the room, or extend the one of that name; the room and how many entries that took."""
    names = [room.name for room in database.rooms()]
    book_ = database.room(card.name) if card.name in names else database.create_room(card)
    for member in card.members:
        book_.person_named(member)
    at = dt.datetime.combine(as_of(card, now.date()), dt.time(0, 0), card.zone)
    events = events_of(card, book_.standing())
    if not events:
        return book_, 0
    mark = hashlib.sha256(card.model_dump_json().encode()).hexdigest()[:16]
    keeper = book_.person_named(card.members[0]) if card.members else book_.person_named("keeper")
    # A card says how things stood on its day, so that is when it counts as said, like a notebook typed up later.
    delivery = f"card:{mark}:{book_.standing().seq}"
    message = Message("setup", delivery, "setup", keeper.key, f"room card {card.name}", min(at, now))
    with book_.turn(message) as turn:
        for event in events:
            for draft in book(event, at, turn.standing).drafts:
                turn.enter(draft)
        turn.reply("set up", {"outcome": "log"}, "log")
    return book_, len(events)


__all__ = ["CardTrouble", "StorageTrouble", "as_of", "events_of", "read_card", "set_up"]
