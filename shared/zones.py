"""Where a room's clock stands when it was said to have moved."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, available_timezones

from shared.due.house_rules import Routine

if TYPE_CHECKING:
    from shared.ledger.standing import Standing

_SPOKEN_ZONES = {
    "eastern": "America/New_York",
    "central": "America/Chicago",
    "mountain": "America/Denver",
    "pacific": "America/Los_Angeles",
}


def zone_moved_to(standing: Standing) -> ZoneInfo | None:
    """The zone said last ("time zone Europe/London"); None where none was, or none that is known."""
    if not any(getattr(kept.event, "what", None) == "time_zone" for kept in standing.settings):
        return None
    said = Routine.of(standing).value("time_zone")
    return zone_said(said) if isinstance(said, str) else None


@functools.lru_cache(maxsize=64)
def zone_said(words: str) -> ZoneInfo | None:
    """A zone by its name, its town, or as it is spoken ("mountain time"); None where that is no one zone."""
    plain = "_".join(words.casefold().replace("time", " ").split())
    if plain in _SPOKEN_ZONES:
        return ZoneInfo(_SPOKEN_ZONES[plain])
    names = [n for n in available_timezones() if n.casefold() == words.strip().casefold()]
    names = names or [n for n in available_timezones() if "/" in n and n.rpartition("/")[2].casefold() == plain]
    return ZoneInfo(names[0]) if len(names) == 1 else None
