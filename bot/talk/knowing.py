"""What the reader knows of the room as it lives: a card made from how it stands, and a reader kept while names stay."""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

from bot import sentences as say
from bot.language import Names, Reader
from shared.ledger.standing import Standing
from shared.room import BatchCard, LineCard, PlaceCard, RoomCard
from storage.engine import RoomInfo
from storage.journal import RoomBook

_READERS: OrderedDict[tuple[Any, ...], Reader] = OrderedDict()


def card_of(standing: Standing, book: RoomBook) -> RoomCard:
    """The room as it stands now, in the form of a card."""
    info = book.info
    places = [
        PlaceCard(
            name=p.name,
            kind=p.kind,
            volume=_volume(p.litres, info),
            role=p.role,
            line=p.line or _only(p.name, standing),
            aka=tuple(p.aka),
        )
        for p in standing.places.values()
        if not p.closed
    ]
    spots: dict[str, str] = {}
    batches: list[BatchCard] = []
    for held in standing.holdings.values():
        batch = standing.batches.get(held.group)
        if batch and (batch.name not in spots or held.stage != "eggs"):
            spots[batch.name] = held.place
            batches = [b for b in batches if b.name != batch.name]
            batches.append(
                BatchCard(name=batch.name, line=batch.line, stage=held.stage, place=held.place or "", count=held.number)
            )
    return RoomCard(
        name=info.name,
        timezone=info.timezone,
        units="us" if info.units == "us" else "metric",
        gallon="imperial" if info.gallon == "imperial" else "us",
        date_order="dm" if info.date_order == "dm" else ("md" if info.date_order == "md" else None),
        currency=info.currency,
        members=tuple(p.name for p in book.people() if p.name),
        lines=tuple(
            LineCard(name=line.name, species=line.species, eggs=line.eggs, aka=tuple(line.aka))
            for line in standing.lines.values()
        ),
        places=tuple(places),
        batches=tuple(batches),
        cultures=tuple(standing.cultures),
        words=dict(standing.words),
    )


def _only(place: str, standing: Standing) -> str | None:
    """The line of fish of no batch that a place without a line of its own holds: bought ones in quarantine."""
    held = {h.line for h in standing.at_place(place) if h.group not in standing.batches and (h.count or not h.counted)}
    return held.pop() if len(held) == 1 else None


def _volume(litres: float | None, info: RoomInfo) -> str | None:
    """A volume as it would be written on a card, so that “the 5.5” finds its tank."""
    return say.volume(litres, info.units, info.gallon) if litres else None


def reader_for(book: RoomBook, standing: Standing) -> Reader:
    """A reader that knows the room's names; made anew only when a name changed."""
    names = (
        book.info,
        tuple((p.name, p.role, p.line, p.closed, *p.aka) for p in standing.places.values()),
        tuple((line.name, *line.aka) for line in standing.lines.values()),
        tuple(standing.cultures),
        tuple(standing.words.items()),
        tuple((h.group, h.place, h.stage) for h in standing.holdings.values()),
    )
    found = _READERS.get(names)
    if found is None:
        found = _READERS[names] = Reader(Names.of(card_of(standing, book)))
        while len(_READERS) > 8:
            _READERS.popitem(last=False)
    _READERS.move_to_end(names)
    return found
