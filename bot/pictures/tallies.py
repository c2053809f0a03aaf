"""What a picture is drawn from: the record's entries as counts by day, a batch's numbers over time, hatch windows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.pictures.drawing import MOST_ROWS, Mark, Row, Story
from bot.pictures.hatch_windows import WindowRow
from shared.events import STAGES, BadEggsRemoved, FishDied, FishSold, FryHatched
from shared.hatching.forecast import forecast, hatches, known
from shared.ledger.standing import Entry, Standing
from storage.journal import RoomBook

if TYPE_CHECKING:
    from bot.language.reading import Query


def entries_since(book: RoomBook, kinds: tuple[str, ...], first: dt.date, zone: ZoneInfo) -> list[Entry]:
    """Entries of those kinds from the beginning of a local day on."""
    return book.entries(kinds=kinds, since=dt.datetime.combine(first, dt.time(0), zone))


def count_of(entry: Entry) -> int | None:
    """How many eggs or fish an entry is about; None where nobody counted."""
    posted = [p.count for p in entry.postings if p.outside]
    if posted and all(n is not None for n in posted):
        return sum(n or 0 for n in posted)
    count = getattr(entry.event, "count", None)
    return count if isinstance(count, int) else None


def line_of(entry: Entry, standing: Standing) -> str:
    """The line an entry is about, as said or as the record knows it."""
    line = entry.line or getattr(entry.event, "line", None)
    if line:
        return str(line)
    for posting in entry.postings:
        account = posting.source or posting.target
        if account:
            return standing.line_of(account.group)
    if entry.batch in standing.batches:
        return standing.batches[entry.batch or ""].line
    place = standing.places.get(entry.place or "")
    return (place.line if place else None) or "line not said"


def is_meant(entry: Entry, query: Query, standing: Standing) -> bool:
    """Whether an entry is of the place, batch or line asked about."""
    names = entry.names
    return (
        (not query.place or query.place in names)
        and (not query.batch or query.batch in names)
        and (not query.line or line_of(entry, standing) == query.line)
    )


def add_to(entry: Entry, count: int | None, counts: dict[dt.date, int], unsaid: set[dt.date], zone: ZoneInfo) -> None:
    """Add a count to its local day; a day with an uncounted entry is remembered apart."""
    day = entry.at.astimezone(zone).date()
    if count is None:
        unsaid.add(day)
    else:
        counts[day] = counts.get(day, 0) + count


def rows_by_day(
    entries: Iterable[Entry], name: Callable[[Entry], str], zone: ZoneInfo, first: dt.date, step: int
) -> list[Row]:
    """Counts by name, most first; where there are too many names the rest are one row."""
    counts: dict[str, dict[dt.date, int]] = {}
    unsaid: dict[str, set[dt.date]] = {}
    for entry in entries:
        who = name(entry)
        add_to(entry, count_of(entry), counts.setdefault(who, {}), unsaid.setdefault(who, set()), zone)
    names = sorted(counts, key=lambda n: -sum(counts[n].values()))
    rows = [Row(n, counts[n], frozenset(unsaid[n])) for n in names]
    if len(rows) > MOST_ROWS:
        kept, rest = rows[: MOST_ROWS - 1], rows[MOST_ROWS - 1 :]
        others: dict[dt.date, int] = {}
        for row in rest:
            for day, n in row.counts.items():
                others[day] = others.get(day, 0) + n
        rows = [*kept, Row(f"{len(rest)} others", others, frozenset().union(*(r.unsaid for r in rest)))]
    if step == 1:
        return rows
    return [_by_week(row, first, step) for row in rows]


def _by_week(row: Row, first: dt.date, step: int) -> Row:
    def start(day: dt.date) -> dt.date:
        return first + dt.timedelta(days=(day - first).days // step * step)

    counts: dict[dt.date, int] = {}
    for day, n in row.counts.items():
        counts[start(day)] = counts.get(start(day), 0) + n
    return Row(row.name, counts, frozenset(start(d) for d in row.unsaid))


def mark_of(entry: Entry) -> str | None:
    """What happened to a batch, where it changes how many are alive."""
    match entry.event:
        case FryHatched():
            return "hatched"
        case BadEggsRemoved():
            return "bad"
        case FishDied():
            return "died"
        case FishSold():
            return "sold"
        case _:
            return None


def moved(entry: Entry, name: str) -> int:
    """How many of a batch an entry is about; 0 where nobody counted."""
    mine = [p for p in entry.postings if name in {a.group for a in (p.source, p.target) if a}]
    return sum(p.count or 0 for p in mine)


def story_of(name: str, entries: Iterable[Entry]) -> Story:
    """A batch's numbers after each of its entries; None from when on nobody knows how many there are."""
    steps: dict[str, list[tuple[dt.datetime, int | None]]] = {}
    marks: list[Mark] = []
    standing = Standing()
    for entry in entries:
        standing.apply(entry)
        held = standing.of_group(name)
        for stage in STAGES:
            mine = [h for h in held if h.stage == stage]
            number = max(0, sum(h.count for h in mine)) if all(h.counted for h in mine) else None
            known = steps.get(stage)
            if known is None and not number:
                continue
            if known is None or known[-1][1] != number:
                steps.setdefault(stage, []).append((entry.at, number))
        what = mark_of(entry)
        if what and moved(entry, name):
            stage = "fry" if what == "hatched" else next((p.source.stage for p in entry.postings if p.source), "fry")
            height = steps[stage][-1][1] if stage in steps else None
            if height is not None:
                marks.append(Mark(what, entry.at, height))
    return Story(steps, marks)


def window_rows(standing: Standing, now: dt.datetime) -> list[WindowRow]:
    """Every batch of eggs with a hatch window, the earliest first."""
    rows, so_far = [], known(standing, now)
    for name in dict.fromkeys(h.group for h in standing.holdings.values() if h.stage == "eggs"):
        batch = standing.batches.get(name)
        if batch is None or not hatches(batch):
            continue
        seen = forecast(standing, name, now, so_far)
        if seen is None or seen.first_fry is None or seen.last_fry is None:
            continue
        spots = [h.place for h in standing.of_group(name) if h.stage == "eggs" and h.place]
        label = " ".join((name, batch.line)) + (f", {say.places(spots)}" if spots else "")
        first = seen.first_fry
        rows.append(WindowRow(label, first.p10, first.p50, first.p90, seen.last_fry.p90, seen.past_window))
    return sorted(rows, key=lambda r: r.middle)


def row_is_meant(row: WindowRow, query: Query, standing: Standing) -> bool:
    """Whether a window is of the batch, line or place asked about."""
    name = row.name.partition(" ")[0]
    batch = standing.batches[name]
    return (
        (not query.batch or query.batch == name)
        and (not query.line or query.line == batch.line)
        and (not query.place or any(h.place == query.place for h in standing.of_group(name)))
    )
