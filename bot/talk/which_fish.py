"""Which fish a note means where its words say more than its reading: the batch named, the stray, fry of breeders."""

from __future__ import annotations

import datetime as dt
import re

from bot.orders.fry_taken_out import skimmed_off
from shared.events import Event, FishDied, FishMoved, FishSold, HeadsCounted
from shared.kin.lineage import STRAY
from shared.ledger.standing import Standing

_BATCH_SAID = re.compile(r"\bB\d{1,4}\b", re.IGNORECASE)
_STRAY_SAID = re.compile(
    r"(?<!cause )(?<!reason )(?<!is )\b(?:(?P<sure>stray|mystery fish|unlabell?ed (?:fish|one))|unknown)(?P<many>s)?\b"
    r"(?! (?:cause|reason|why|generation))",
    re.IGNORECASE,
)


def fish_meant(event: Event, text: str, standing: Standing, now: dt.datetime) -> tuple[Event, ...]:
    """The one event of a note, of the fish its words name."""
    return skimmed_off(_of_the_stray(_of_its_batch(event, text, standing), text, standing), text, standing, now)


def _of_its_batch(event: Event, text: str, standing: Standing) -> Event:
    """A loss or count in a tank with the batch the note names, where it stands there: “1 dead in tank 14, B11”."""
    if not isinstance(event, FishDied | HeadsCounted) or event.batch or len(event.spots) != 1:
        return event
    named = {hit.upper() for hit in _BATCH_SAID.findall(text)}
    there = named & {h.group for h in standing.at_place(event.spots[0])}
    return event.model_copy(update={"batch": there.pop()}) if len(named) == len(there) == 1 else event


def _of_the_stray(event: Event, text: str, standing: Standing) -> Event:
    """Fish nobody has named yet: “moved the stray from tank 2 to tank 5” takes no other along."""
    said = _STRAY_SAID.search(text)
    if said is None or not isinstance(event, FishMoved | FishDied | FishSold | HeadsCounted) or event.batch:
        return event
    spot = event.source if isinstance(event, FishMoved) else event.place
    if event.line not in (None, STRAY) and event.line in _lines_named(text, standing):
        return event
    if not said["sure"] and not any(h.line == STRAY for h in standing.fish_at(spot or "")):
        return event
    count = 1 if event.count is None and not said["many"] and not isinstance(event, HeadsCounted) else event.count
    return event.model_copy(update={"line": STRAY, "count": count})


def _lines_named(text: str, standing: Standing) -> set[str]:
    return {name for name in standing.lines if name.casefold() in text.casefold()}
