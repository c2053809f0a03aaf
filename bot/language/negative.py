"""Numbers below nothing: “-40 eggs” is asked about, while “-3 b17” is three fewer and a dash may open a list."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bot.language.reading import Doubt
from shared.events import Event

_BELOW = re.compile(r"(?<=[\s,])[-−](\d+)\b(?!\s*[-–−])")
_COUNTED = frozenset(("pull", "hatch", "headcount", "stock_in", "sale", "reserve", "move", "eyed", "bad_eggs"))


def below_nothing(text: str, events: Sequence[Event]) -> tuple[tuple[Event, ...], tuple[Doubt, ...]]:
    """The events without those whose count was written below nothing, and a question for each of these."""
    signed = {
        int(found[1])
        for line in text.splitlines()
        for found in _BELOW.finditer(line)
        if len(found[1]) < 9 and line[: found.start()].strip()
    }
    kept: list[Event] = []
    asked: list[Doubt] = []
    for event in events:
        count = getattr(event, "count", None)
        if event.kind in _COUNTED and count is not None and count in signed:
            partial = {k: v for k, v in event.outside().items() if k != "count"}
            asked.append(Doubt(f"-{count}", f"−{count} cannot be. How many?", (), "count", partial))
        else:
            kept.append(event)
    return tuple(kept), tuple(asked)
