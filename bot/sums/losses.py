"""Deaths week by week, as a share of the fish that were there."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from bot import sentences as say
from bot.answers.asking import Answer, Sum, rests_on
from shared.husbandry.survival import weekly_losses
from shared.ledger.standing import Account

_ALIVE = ("fry", "juveniles", "adults")


def losses(s: Sum) -> Answer:
    """Deaths week by week, as a share of the fish there where they are counted; unusual weeks said to be so."""
    name = s.ask.query.place or s.ask.query.batch or s.ask.query.line
    of = f" of {name}" if name else ""
    until = s.ask.now.astimezone(s.info.zone).date()
    weeks = 4
    held = [h for h in s.standing.holdings.values() if _among(s, h.account, name)]
    blank = {h.account.key for h in held if not h.counted}
    log = _Log.of(s, name, blank, until - dt.timedelta(days=7 * weeks))
    if all(h.account.key in blank for h in held):
        starts = [until - dt.timedelta(days=7 * n + 6) for n in range(weeks)][::-1]
        deaths = log.unseen + log.deaths
        counts = [sum(c for d, c in deaths if a <= d <= a + dt.timedelta(days=6)) for a in starts]
        text = f"Deaths{of}, weeks from {say.day(starts[0])} on: {', '.join(map(str, counts))}."
        return Answer(f"{text}\nNo share can be given: the fish there are not counted.", why=("Deaths as logged.",))
    found = weekly_losses(log.deaths, sum(h.count for h in held if h.counted), until, weeks, log.moves)
    shown = ", ".join(f"{w.died} of {w.at_risk} ({100 * w.value:.1f} %)" for w in found)
    odd = [w for w in found if w.unusual]
    text = f"Losses{of}, weeks from {say.day(found[0].starts)} on: {shown}."
    text += "\n" + (
        f"The week from {say.day(odd[-1].starts)} is out of the common: look at water, food and who bullies whom."
        if odd
        else "No week stands out against those before it."
    )
    if blank:
        beside = sum(c for _, c in log.unseen)
        text += f" Uncounted fish are left out{f', {beside} of them dead' if beside else ''}."
    return Answer(text, why=rests_on(found[-1].basis, found[-1].sources, found[-1].cautions))


def _among(s: Sum, account: Account | None, name: str | None) -> bool:
    """Whether that is living fish of the group, place or line asked about; all of them where none is named."""
    if account is None or account.stage not in _ALIVE:
        return False
    return not name or name in (account.group, account.place, s.standing.line_of(account.group))


@dataclass
class _Log:
    """What became of the fish asked about, by day: deaths, and how many came (or, below zero, went)."""

    deaths: list[tuple[dt.date, int]] = field(default_factory=list)
    unseen: list[tuple[dt.date, int]] = field(default_factory=list)  # deaths where nobody knows how many there were
    moves: list[tuple[dt.date, int]] = field(default_factory=list)

    @classmethod
    def of(cls, s: Sum, name: str | None, blank: set[str], first: dt.date) -> _Log:
        """From the record since that day; `blank` are the accounts nobody counted."""
        log = cls()
        for entry in s.ask.book.entries(since=dt.datetime.combine(first, dt.time(0), s.info.zone)):
            day = entry.at.astimezone(s.info.zone).date()
            for posting in entry.postings:
                out, into = (
                    a if a and _among(s, a, name) and a.key not in blank else None
                    for a in (posting.source, posting.target)
                )
                count = posting.count or 0
                if posting.outside == "died" and count and _among(s, posting.source, name):
                    (log.deaths if out else log.unseen).append((day, count))
                elif bool(out) != bool(into) and count:
                    log.moves.append((day, -count if out else count))
        return log
