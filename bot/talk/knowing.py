"""What the reader knows of the room as it lives: a card made from how it stands, and a reader kept while names stay."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.language import Names, Reader
from bot.language.text.names import BatchName
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
        batches=tuple(_batches(standing)),
        cultures=tuple(standing.cultures),
        words=dict(standing.words),
    )


def _batches(standing: Standing) -> Iterator[BatchCard]:
    """Each batch that stands here; one in several places is in none a note could mean without naming it."""
    for batch in standing.batches.values():
        held = standing.of_group(batch.name)
        held = [h for h in held if h.stage != "eggs"] or held
        if held:
            place = held[-1].place if len({h.place for h in held}) == 1 else ""
            number = held[-1].number if len(held) == 1 else None
            yield BatchCard(name=batch.name, line=batch.line, stage=held[-1].stage, place=place, count=number)


def _names(standing: Standing, book: RoomBook) -> Names:
    """The names of the room; a batch in several places is found in each of them, and by its name in none."""
    names = Names.of(card_of(standing, book))
    spread = {b.name for b in names.batches if not b.place}
    everywhere = [
        BatchName(h.group, h.line, h.stage, h.place, h.number)
        for h in standing.holdings.values()
        if h.group in spread and h.place
    ]
    return replace(names, batches=(*everywhere, *names.batches))


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
        found = _READERS[names] = Reader(_names(standing, book))
        while len(_READERS) > 8:
            _READERS.popitem(last=False)
    _READERS.move_to_end(names)
    return found
