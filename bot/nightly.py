"""The nightly message: what was found today, what was missed, what tomorrow holds, what is unlike this room."""

from __future__ import annotations

import datetime as dt
from collections import Counter

from bot import sentences as say
from bot.chores import CHORES, due_list, windows
from bot.readback import money
from shared.ledger import Entry, Standing
from storage.journal import RoomBook

MOST_LINES = 14
FORESEEN = ("promised", "move_up", "thin_out", "keep_apart", "pull_mop", "culture_restart", "wet_peat", "reminder")
LONG_WITHOUT_EGGS = dt.timedelta(days=7)


def nightly(book: RoomBook, now: dt.datetime) -> str:
    """The whole message as it would be sent at `now` (room's zone); short when little happened."""
    standing = book.standing(at=now)
    start = dt.datetime.combine(now.date(), dt.time(0), now.tzinfo)
    today = book.entries(since=start, until=now)
    lines = [f"{book.info.name}, {say.day(now)}"]
    lines += _found(today, standing, book)
    lines += _missed(standing, book, now)
    lines += _tomorrow(standing, book, now)
    lines += _unlike(standing, book, today, now)
    lines += _open(book, now)
    if len(lines) == 1:
        return f"{lines[0]}: a quiet day, nothing to say."
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES - 1], f"… and {len(lines) - MOST_LINES + 1} more; ask “what's due”."]
    return "\n".join(lines)


def nightly_picture(book: RoomBook, now: dt.datetime) -> bytes | None:
    """The small chart that goes with it, or None where there is too little to draw."""
    from bot.charts import nightly_chart

    return nightly_chart(book, book.standing(at=now), now)


def _sum(entries: list[Entry], kind: str) -> int:
    return sum(getattr(e.event, "count", 0) or 0 for e in entries if e.event.kind == kind)


def _found(today: list[Entry], standing: Standing, book: RoomBook) -> list[str]:
    parts = []
    by_line: Counter[str] = Counter()
    for e in today:
        if e.event.kind == "pull":
            by_line[e.line or "unknown"] += getattr(e.event, "count", 0) or 0
    eggs = {line: n for line, n in by_line.items() if n}
    if eggs:
        parts.append(f"{say.count(sum(eggs.values()), 'egg')} ({', '.join(f'{line} {n}' for line, n in eggs.items())})")
    hatched, died, sold, bad = (_sum(today, kind) for kind in ("hatch", "death", "sale", "bad_eggs"))
    if hatched:
        parts.append(f"{hatched} fry hatched")
    if bad:
        parts.append(f"{say.count(bad, 'bad egg')} out")
    if died:
        parts.append(f"{died} dead")
    if sold:
        income = sum(getattr(e.event, "price", 0) or 0 for e in today if e.event.kind == "sale")
        parts.append(f"{sold} sold{f' for {money(income, book.info)}' if income else ''}")
    return [f"Today: {say.listed(parts)}."] if parts else []


def _missed(standing: Standing, book: RoomBook, now: dt.datetime) -> list[str]:
    late = [t for t in due_list(standing, book, now) if t.overdue(now)]
    groups: dict[str, list[str]] = {}
    for task in late:
        groups.setdefault(task.text or CHORES[task.task].lower(), []).append(task.place or task.batch or "")
    said = [
        f"{chore}{f' ({say.places(list(dict.fromkeys(p for p in spots if p)))})' if any(spots) else ''}"
        for chore, spots in groups.items()
    ]
    if not said:
        return []
    more = f" and {len(said) - 5} more" if len(said) > 5 else ""
    return [f"Not logged today: {'; '.join(said[:5])}{more}."]


def _tomorrow(standing: Standing, book: RoomBook, now: dt.datetime) -> list[str]:
    day = now.date() + dt.timedelta(days=1)
    out = []
    end = dt.datetime.combine(day, dt.time(23, 59), now.tzinfo)
    opening = [
        f"{name} in {spot}" if (spot := next((h.place for h in standing.of_group(name) if h.place), "")) else name
        for name, window in sorted(windows(standing, now).items())
        if window.earliest <= end and now <= window.latest
    ]
    if opening:
        out.append(f"Fry may come: {say.listed(opening)}.")
    tasks = [t for t in due_list(standing, book, now, days=2) if t.due.date() == day]
    for chore in FORESEEN:
        mine = [t for t in tasks if t.task == chore]
        if not mine:
            continue
        own = [t.text for t in mine if t.text]
        spots = list(dict.fromkeys(t.place or t.batch or "" for t in mine))
        what = "; ".join(own) if own else say.places([s for s in spots if s])
        out.append(f"Tomorrow, {CHORES[chore].lower()}: {what}.")
    return out


def _unlike(standing: Standing, book: RoomBook, today: list[Entry], now: dt.datetime) -> list[str]:
    out = []
    died = _sum(today, "death")
    month = book.entries(kinds=("death",), since=now - dt.timedelta(days=30), until=now)
    usual = (_sum(month, "death") - died) / 29
    if died >= 3 and died > 3 * usual:
        out.append(f"More deaths than usual: {died}, against {say.number(round(usual, 1))} a day in the last month.")
    for place in standing.places.values():
        last = standing.last(place.name, "pull")
        if last is None or place.closed:
            continue
        pulls = [e for e in book.entries(name=place.name, kinds=("pull",), limit=8, newest_first=True) if e.at <= now]
        counts = [getattr(e.event, "count", None) for e in pulls]
        if len(counts) >= 4 and counts[0] == 0 and counts[1] == 0 and any(c for c in counts[2:]):
            out.append(f"{place.name} has stopped laying: nothing the last two times.")
    for key, kept in standing.readings.items():
        where, quantity = key.split("|", 1)
        latest = kept[-1]
        if now - latest.at > dt.timedelta(hours=24):
            continue
        if quantity in ("ammonia", "nitrite") and latest.value >= 0.25:
            out.append(f"{where}: {quantity} {say.number(latest.value)} mg/L at the last test.")
        if quantity == "temperature" and not 16 <= latest.value <= 30:
            out.append(f"{where}: {say.temperature(latest.value, book.info.units)}.")
    for name, window in windows(standing, now).items():
        if now > window.latest:
            out.append(f"{name} is past its window: look for white or clear eggs.")
    return out


def _open(book: RoomBook, now: dt.datetime) -> list[str]:
    asked = book.questions_open(since=now - dt.timedelta(days=2))
    if not asked:
        return []
    first = str(asked[0].body.get("text", "")).split("\n")[0]
    more = f" (and {len(asked) - 1} more)" if len(asked) > 1 else ""
    return [f"Still to settle: {first}{more}"]
