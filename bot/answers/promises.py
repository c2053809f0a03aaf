"""What is promised to whom, and what stays free of it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from bot import sentences as say
from bot.answers.asking import Asking
from bot.talk.questions import Asked
from shared.events import FishPromised, FishSold, PromiseReleased
from shared.ledger.standing import Standing
from storage.journal import RoomBook

MOST_PROMISES = 6
PAST_DAYS = 183
WHO_WANTS = r"^(?:and |so )?who(?: all| else)? (?:wants?|wanted|asked for|needs|is after|'s after|gets|is getting)\b"
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


def cancelled(event: PromiseReleased, standing: Standing, now: dt.datetime) -> PromiseReleased | Asked | str:
    """The promise a cancellation is of, with its fish; a question where it can be several; or that there is none."""
    kept = [k.event for k in standing.promises if isinstance(k.event, FishPromised)]
    fits = [
        p
        for p in kept
        if (not event.buyer or (p.buyer or "").casefold() == event.buyer.casefold())
        and (not event.line or not p.line or p.line == event.line)
        and (not event.batch or not p.batch or p.batch == event.batch)
    ]
    if not fits:
        of = f"{event.line or event.batch or 'Nothing'}{' is' if not (event.line or event.batch) else ': nothing is'}"
        return f"{of} promised to {event.buyer or 'anybody'} on record, so nothing had to be freed."

    def of_one(promise: FishPromised) -> PromiseReleased:
        told = {"buyer": promise.buyer, "line": promise.line, "batch": promise.batch, "count": promise.count}
        return event.model_copy(update={k: getattr(event, k) or v for k, v in told.items()})

    if len(fits) == 1:
        return of_one(fits[0])
    each = [(_what(p) + (f" ({p.buyer})" if not event.buyer else ""), (of_one(p).outside(),)) for p in fits[:4]]
    every = ("all of them", tuple(raw for _, (raw,) in each))
    return Asked(f"Which of them is off{f' ({event.buyer})' if event.buyer else ''}?", now, (*each, every))


def became_of(book: RoomBook, now: dt.datetime) -> str:
    """What became of the promises of the last months, the newest first: kept, cancelled, or still open."""
    since = now - dt.timedelta(days=PAST_DAYS)
    entries = book.entries(kinds=("reserve", "release", "sale"), since=since)
    told, kept, off = [], 0, 0
    for at, entry in enumerate(entries):
        promise = entry.event
        if not isinstance(promise, FishPromised) or not promise.buyer:
            continue
        later = (e for e in entries[at + 1 :] if not isinstance(e.event, FishPromised))
        end = next((e for e in later if _answers(promise, e.event, e.line)), None)
        if end is None:
            fate = "open"
        else:
            gone = isinstance(end.event, FishSold)
            kept, off = kept + gone, off + (not gone)
            fate = f"{'kept' if gone else 'cancelled'} {say.day(end.at.astimezone(now.tzinfo), now.date())}"
        told.append(f"{promise.buyer}: {_what(promise)}, {fate}")
    if not told:
        return "No promises were made in the last months."
    more = [f"… and {len(told) - MOST_PROMISES} older"] if len(told) > MOST_PROMISES else []
    return "\n".join([f"{kept} kept, {off} cancelled.", *told[::-1][:MOST_PROMISES], *more])


def _answers(promise: FishPromised, event: object, line: str | None) -> bool:
    """Whether a sale or a cancellation ends that promise."""
    if not isinstance(event, FishSold | PromiseReleased):
        return False
    said = event.line or line
    return (event.buyer or "").casefold() == (promise.buyer or "").casefold() and (
        not said or not promise.line or said == promise.line
    )


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
