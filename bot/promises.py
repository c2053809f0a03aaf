"""What is promised to whom, and what stays free of it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from bot import sentences as say
from bot.asking import Asking
from shared.events import FishPromised, FishSold

MOST_PROMISES = 6
_DEALING = re.compile(
    r"\b(?:sold|sell|sales?|buy|bought|paid|pay|owes?|promised|took|take|get|got|had|who is|who's|for|to|coming|come"
    r"|collect\w*|pick\w*|aside|reserved)\b"
)


def promises_of(ask: Asking) -> list[FishPromised]:
    """The promises still kept, of the line or batch asked about."""
    query, standing = ask.query, ask.standing
    kept = [k.event for k in standing.promises if isinstance(k.event, FishPromised)]
    return [
        e
        for e in kept
        if (not query.batch or e.batch == query.batch)
        and (not query.line or (e.line or standing.line_of(e.batch or "")) == query.line)
    ]


def _what(event: FishPromised) -> str:
    number = say.number(event.count) if event.count is not None else "some"
    return f"{number} {event.line or event.batch or 'fish'}"


def _wanted(ask: Asking, event: FishPromised) -> str:
    return f", wanted {say.day(event.date, ask.now.date())}" if event.date else ""


def promised_to(ask: Asking, buyer: str) -> str | None:
    """`For Orrin: 6 gardneri, wanted Sat 21 Mar.`; None where nothing is kept for them."""
    kept = [
        k.event
        for k in ask.standing.promises
        if isinstance(k.event, FishPromised) and (k.event.buyer or "").casefold() == buyer.casefold()
    ]
    return f"For {buyer}: {'; '.join(f'{_what(e)}{_wanted(ask, e)}' for e in kept)}." if kept else None


def promised(ask: Asking) -> str:
    """All that is promised, to whom and for when."""
    kept = promises_of(ask)
    of = ask.query.batch or ask.query.line
    if not kept:
        return f"Nothing{f' of {of}' if of else ''} is promised to anybody."
    return f"Promised: {said(ask, kept)}."


def said(ask: Asking, kept: Iterable[FishPromised]) -> str:
    """`6 gardneri to Orrin, wanted Sat 21 Mar; 4 blue gularis to Delphine`."""
    each = [f"{_what(e)}{f' to {e.buyer}' if e.buyer else ''}{_wanted(ask, e)}" for e in kept]
    more = f"; and {len(each) - MOST_PROMISES} more" if len(each) > MOST_PROMISES else ""
    return "; ".join(each[:MOST_PROMISES]) + more


def buyer_named(ask: Asking) -> str | None:
    """Who bought or was promised fish and is named in the question."""
    words = ask.text.casefold()
    known = {k.event.buyer for k in ask.standing.promises if isinstance(k.event, FishPromised) and k.event.buyer}
    if not _DEALING.search(words):
        return None
    known |= {
        e.event.buyer for e in ask.book.entries(kinds=("sale",)) if isinstance(e.event, FishSold) and e.event.buyer
    }
    found = [b for b in known if re.search(rf"(?<!\w){re.escape(b.casefold())}(?!\w)", words)]
    if len(found) == 1:
        return found[0]
    said = ask.query.buyer
    named = said and re.search(rf"\b(?:for|to|did|has|does|is|by) {re.escape(said.casefold())}\b", words)
    return said if named else None
