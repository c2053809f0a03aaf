"""Chores said to stop, parts of a group, and counts that cannot be: “-40 eggs” is asked, “-3 b17” is three fewer."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bot.language.reading import Doubt
from shared.events import Event

_BELOW = re.compile(r"(?:^|(?<=[\s,]))[-−](\d+(?:\.\d+)?)(?![\d.]*\s*[-–−])(?!\w)")
_MINUS = re.compile(
    r"\b(?:pulled|collected|got|counted|hatched|found|sold|moved|lost|bought) minus (\d{1,8})\b", re.IGNORECASE
)
_STOP = re.compile(
    r"\b(?:stop|stopped|stopping|quit|no more|cease|ceased|hold off(?: on)?)\s+(?:the\s+|all\s+)?(?:\w+\s+)?"
    r"(?:feed|feeding|feeds|pulling|pulls|changing|changes|dosing|drops|peroxide|salt|meds)\b",
    re.IGNORECASE,
)
_PART = re.compile(
    r"\b(?:half|some|a few|few|most|third|quarter|several|part|bunch|handful)\s+(?:of\s+)?"
    r"(?:the|them|these|those|[A-Z]?\d+|my|our)",
    re.IGNORECASE,
)
_ROUTINE = re.compile(
    r"\b(?:weekly|daily|nightly|monthly|every\s+(?:other\s+)?(?:day|week|month|night|morning|evening)"
    r"|(?:once|twice|\w+ times)\s+an?\s+(?:day|week|month)|"
    r"(?:till|til|until)\s+(?:january|february|march|april|may|june|july|"
    r"august|september|october|november|december|spring|summer|autumn|fall|winter|further notice))\b",
    re.IGNORECASE,
)
_DONE = re.compile(
    r"\b(?:did|done|changed|fed|got|gave|just|today|tonight|this (?:morning|evening|afternoon)|yesterday|pulled|now)\b",
    re.IGNORECASE,
)
_LONG_AGO = re.compile(r"\b(?:used to|back when|years ago|in the old days)\b", re.IGNORECASE)
MOST_DROPS = 500  # a syringe full; nobody counts more (common practice, no source)
_CHORES = frozenset(("feed", "pull", "water_change", "dose"))
_COUNTED = frozenset(("pull", "hatch", "headcount", "stock_in", "reserve", "move", "eyed"))


def below_nothing(text: str, events: Sequence[Event]) -> tuple[tuple[Event, ...], tuple[Doubt, ...]]:
    """The events without those whose count was written below nothing, and a question for each of these."""
    if not events:
        return (), ()
    lines = text.strip().splitlines()
    signed = {
        float(found[1])
        for line in lines
        for found in _BELOW.finditer(line)
        if len(found[1]) < 9 and (line[: found.start()].strip() or len(lines) == 1)  # of several it may head a list
    }
    signed |= {float(found[1]) for found in _MINUS.finditer(text)}
    kept: list[Event] = []
    asked: list[Doubt] = []
    stop = _STOP.search(text) or (None if _DONE.search(text) else _ROUTINE.search(text))
    if stop and _LONG_AGO.search(text):
        return tuple(e for e in events if e.kind not in _CHORES), ()  # "we used to change it every week"
    for event in events:
        if stop and event.kind in _CHORES:
            if not asked:
                asked.append(
                    Doubt(stop[0], f"“{stop[0]}”: a change of routine, or only this once?", (), "kind", firm=True)
                )
            continue
        count = getattr(event, "count", None)
        if event.kind == "move" and count is None and (part := _PART.search(text)):
            asked.append(Doubt(part[0], "How many of them moved?", (), "count", event.outside()))
            continue
        if event.kind in _COUNTED and count is not None and count in signed:
            partial = {k: v for k, v in event.outside().items() if k != "count"}
            asked.append(Doubt(f"-{count}", f"−{count} cannot be. How many?", (), "count", partial, firm=True))
        elif (wrong := _figure_below(event, signed)) is not None:
            partial = {k: v for k, v in event.outside().items() if k != wrong[0]}
            asked.append(
                Doubt(f"-{wrong[1]:g}", f"−{wrong[1]:g} cannot be. What was it?", (), "value", partial, firm=True)
            )
        elif event.kind == "dose" and event.unit == "drop" and (event.amount or 0) > MOST_DROPS:
            partial = {k: v for k, v in event.outside().items() if k != "amount"}
            asked.append(
                Doubt(
                    f"{event.amount:g}", f"{event.amount:g} drops cannot be. How many?", (), "value", partial, firm=True
                )
            )
        else:
            kept.append(event)
    return tuple(kept), tuple(asked)


def _figure_below(event: Event, signed: set[float]) -> tuple[str, float] | None:
    """The reading, percentage, volume or amount of an event that was written below nothing, and its key."""
    keys = {"measure": ("value",), "water_change": ("percent", "litres"), "dose": ("amount",)}.get(event.kind, ())
    if event.kind == "measure" and getattr(event, "quantity", None) == "temperature":
        return None  # its own range is asked about, in its own words
    found = ((key, getattr(event, key, None)) for key in keys)
    return next(((key, value) for key, value in found if value is not None and value in signed), None)
