"""“In 3 hours”, “in half an hour”: a moment counted from when a note was sent."""

from __future__ import annotations

import datetime as dt
import re

from bot.language.tags import Tag

_HOURS = re.compile(r"\bin (?:(half an hour)|(an hour and a half)|(?:an|one) (hour)|(a quarter of an hour))\b")
_MINUTES = (30, 90, 60, 15)


def from_now(tags: list[Tag], sent: dt.datetime) -> dt.datetime | None:
    """The moment, to the minute, or None where none is said."""
    for n, tag in enumerate(tags):
        if tag.kind == "dur" and n and tags[n - 1].word == "in" and tag.unit in ("hour", "minute") and tag.low is None:
            return sent + dt.timedelta(minutes=round(float(tag.value) * (60 if tag.unit == "hour" else 1)))
    hit = _HOURS.search(" ".join(t.word for t in tags))
    if not hit:
        return None
    return sent + dt.timedelta(minutes=next(m for m, found in zip(_MINUTES, hit.groups(), strict=True) if found))
