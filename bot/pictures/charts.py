"""Which picture answers a question, from the record: eggs, a batch, tests of the water, hatches to come, losses.

Where there is too little to draw the answer is a sentence, and every picture comes with its numbers in words.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.pictures import drawing
from bot.pictures.drawing import Panel, Row
from bot.pictures.hatch_windows import windows_figure
from bot.pictures.sheet import png
from bot.pictures.tallies import (
    add_to,
    count_of,
    entries_since,
    is_meant,
    line_of,
    mark_of,
    moved,
    row_is_meant,
    rows_by_day,
    story_of,
    window_rows,
)
from shared.events import STAGES, BadEggsRemoved, EggsPulled, Measured
from shared.ledger.standing import Entry, Standing
from storage.journal import RoomBook

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bot.answers.answer import Answer, Asking
    from bot.language.reading import Query

NO_DRAWING = "Pictures need matplotlib: pip install 'roomhand[pictures]'. The numbers can be asked for in words."
DAYS, TEST_DAYS, AHEAD = 30, 60, 14  # shown when nobody says how long
LONG = 62  # more days than this are drawn week by week
ENOUGH = 3  # pulls, readings or losses that make a picture worth looking at

# quantity: unit, whether its scale begins at nothing, least height of the scale
QUANTITIES: dict[str, tuple[str, bool, float]] = {
    "temperature": ("°C", False, 2),
    "ammonia": ("mg/L", True, 0.5),
    "nitrite": ("mg/L", True, 0.5),
    "nitrate": ("mg/L", True, 10),
    "ph": ("", False, 1),
    "gh": ("°d", True, 4),
    "kh": ("°d", True, 4),
    "tds": ("mg/L", False, 40),
    "conductivity": ("µS/cm", False, 80),
    "length": ("mm", True, 10),
}
# what may be said in the question: the picture it means
TOPICS = {
    "eggs": ("eggs", "egg", "pull", "pulls", "laying"),
    "losses": ("losses", "loss", "death", "deaths", "died", "dead", "bad_eggs"),
    "hatch": ("hatch", "hatches", "hatching", "windows", "due"),
    "batch": ("fry", "fish", "survival", "batch", "growth"),
    "tests": ("tests", "water", "readings"),
}

Drawn = tuple[str, "Figure | None"]


def chart(ask: Asking) -> Answer:
    """The picture a question asks for, as PNG, with its numbers in words; or a sentence why there is none."""
    from bot.answers.answer import Answer

    try:
        text, figure = picture(ask.query, ask.standing, ask.book, ask.now)
        return Answer(text, png(figure) if figure else None)
    except ModuleNotFoundError as missing:
        if missing.name and missing.name.partition(".")[0] in ("matplotlib", "numpy"):
            return Answer(NO_DRAWING)
        raise


def nightly_chart(book: RoomBook, standing: Standing, now: dt.datetime) -> bytes | None:
    """A small picture for the evening: eggs of two weeks and the hatches of the next; None where there is neither.

    None also where matplotlib is not installed: the message goes out without it.
    """
    zone = book.info.zone
    today = now.astimezone(zone).date()
    first, ahead = today - dt.timedelta(days=13), today + dt.timedelta(days=6)
    pulls = [e for e in entries_since(book, ("pull",), first, zone) if e.at <= now]
    counts: dict[dt.date, int] = {}
    unsaid: set[dt.date] = set()
    for entry in pulls:
        add_to(entry, count_of(entry), counts, unsaid, zone)
    eggs = Row("", counts, frozenset(unsaid)) if len([n for n in counts.values() if n]) >= ENOUGH else None
    rows = [r for r in window_rows(standing, now) if not r.past and r.first.astimezone(zone).date() <= ahead]
    if eggs is None and not rows:
        return None
    try:
        return png(drawing.nightly_figure(eggs, rows, now, first, today, ahead, zone))
    except ModuleNotFoundError:
        return None


def picture(query: Query, standing: Standing, book: RoomBook, now: dt.datetime) -> Drawn:
    """The words and, where there is enough to draw, the picture. `now` is aware."""
    quantity = query.quantity if query.quantity in QUANTITIES else None
    if quantity:
        return _tests(query, standing, book, now, [quantity])
    match _topic(query):
        case "eggs" if not query.batch:
            return _eggs(query, standing, book, now)
        case "losses":
            return _losses(query, standing, book, now)
        case "hatch":
            return _windows(query, standing, book, now)
        case "tests":
            return _tests(query, standing, book, now, list(QUANTITIES))
        case "batch" if query.batch or query.place or query.line:
            return _batch(query, standing, book, now)
    if query.batch:
        return _batch(query, standing, book, now)
    if not query.place:
        return _eggs(query, standing, book, now)
    # A place and no word of what: what it is kept for comes first, then what is known of it.
    choices: list[Callable[[], Drawn]] = [
        lambda: _tests(query, standing, book, now, list(QUANTITIES)),
        lambda: _batch(query, standing, book, now),
    ]
    if book.entries(name=query.place, kinds=("pull",), limit=1):
        choices.insert(0, lambda: _eggs(query, standing, book, now))
    said = []
    for choice in choices:
        text, figure = choice()
        if figure:
            return text, figure
        said.append(text)
    return said[0], None


def _topic(query: Query) -> str | None:
    words = {str(v).casefold() for v in (query.quantity, *query.given.values()) if isinstance(v, str)}
    return next((topic for topic, names in TOPICS.items() if words & set(names)), None)


# ---- the days asked about


def _period(
    query: Query, now: dt.datetime, zone: ZoneInfo, usual: int, begun: dt.datetime | None
) -> tuple[dt.date, dt.date]:
    """First and last local day, at least a week; a date in the question is the first, none is before the record."""
    last = now.astimezone(zone).date()
    first = last - dt.timedelta(days=max(query.days or usual, 7) - 1)
    if query.date and query.date < last:
        first = query.date
    if begun:
        first = max(first, min(begun.astimezone(zone).date(), last - dt.timedelta(days=6)))
    return first, last


def _weeks(first: dt.date, last: dt.date) -> tuple[dt.date, int]:
    """Where long stretches are drawn by the week: the first day, so that the last week is whole, and the step."""
    days = (last - first).days + 1
    if days <= LONG:
        return first, 1
    return last - dt.timedelta(days=-(-days // 7) * 7 - 1), 7


def _said(rows: Iterable[Row]) -> str:
    rows = list(rows)
    sums = ", ".join(f"{r.name} {say.number(sum(r.counts.values()))}" for r in rows)
    missing = sum(len(r.unsaid) for r in rows)
    return sums + (f"; {say.count(missing, 'time')} not counted" if missing else "")


def _of(query: Query) -> str:
    name = query.place or query.batch or query.line
    return f", {name}" if name else ""


def _for(query: Query) -> str:
    return _of(query).replace(",", " for")


def _span(first: dt.date, last: dt.date) -> str:
    year = "" if first.year == last.year else f" {first.year}"
    return f"{first.day} {first:%b}{year} – {last.day} {last:%b} {last.year}"


# ---- eggs and losses


def _eggs(query: Query, standing: Standing, book: RoomBook, now: dt.datetime) -> Drawn:
    zone = book.info.zone
    first, last = _period(query, now, zone, DAYS, standing.begun)
    first, step = _weeks(first, last)
    pulls = [e for e in entries_since(book, ("pull",), first, zone) if e.at <= now and is_meant(e, query, standing)]

    def name(entry: Entry) -> str:
        spots = entry.event.spots if isinstance(entry.event, EggsPulled) else ()
        if query.place or query.line:
            return say.places(spots) or "place not said"
        return line_of(entry, standing)

    rows = rows_by_day(pulls, name, zone, first, step)
    if not pulls:
        return f"No eggs are logged{_for(query)} since {say.day(first, last)}.", None
    text = f"Eggs collected {_span(first, last)}: {_said(rows)}."
    if sum(1 for e in pulls if count_of(e)) < ENOUGH:
        return f"{text} Too few for a picture yet.", None
    title = f"Eggs by {'week' if step == 7 else 'day'}{_of(query)}, {_span(first, last)}"
    return text, drawing.days_figure(title, "eggs", rows, first, last, step)


def _losses(query: Query, standing: Standing, book: RoomBook, now: dt.datetime) -> Drawn:
    zone = book.info.zone
    first, last = _period(query, now, zone, DAYS, standing.begun)
    first, step = _weeks(first, last)
    gone = [
        e
        for e in entries_since(book, ("death", "bad_eggs"), first, zone)
        if e.at <= now and is_meant(e, query, standing)
    ]
    if not gone:
        return f"No losses are logged{_for(query)} since {say.day(first, last)}.", None

    def name(entry: Entry) -> str:
        if isinstance(entry.event, BadEggsRemoved):
            return "bad eggs"
        stages = [p.source.stage for p in entry.postings if p.source]
        stage = stages[0] if stages else getattr(entry.event, "stage", None)
        return str(stage or "fish")

    order = ("bad eggs", "fry", "juveniles", "adults", "fish")
    rows = sorted(
        rows_by_day(gone, name, zone, first, step), key=lambda r: order.index(r.name) if r.name in order else 9
    )
    text = f"Lost {_span(first, last)}: {_said(rows)}."
    if len(gone) < ENOUGH:
        return f"{text} Too few for a picture.", None
    title = f"Losses by {'week' if step == 7 else 'day'}{_of(query)}, {_span(first, last)}"
    return text, drawing.days_figure(title, "lost", rows, first, last, step)


# ---- tests of the water


def _tests(query: Query, standing: Standing, book: RoomBook, now: dt.datetime, quantities: list[str]) -> Drawn:
    zone, us = book.info.zone, book.info.units == "us"
    first, last = _period(query, now, zone, TEST_DAYS, standing.begun)
    found: dict[str, dict[str, list[tuple[dt.datetime, float]]]] = {}
    places = _places_meant(query, standing, quantities)
    for entry in entries_since(book, ("measure",), first, zone):
        event = entry.event
        if not isinstance(event, Measured) or event.value is None or entry.at > now:
            continue
        name = entry.place or entry.batch or event.batch or ""
        if query.batch and query.batch in entry.names:
            name = query.batch
        if event.quantity not in quantities or (places is not None and name not in places):
            continue
        value = say.fahrenheit(event.value) if us and event.quantity == "temperature" else event.value
        found.setdefault(event.quantity, {}).setdefault(name, []).append((entry.at, value))
    what = quantities[0].replace("ph", "pH") if len(quantities) == 1 else "test"
    if not found:
        return f"No {what} reading is logged{_for(query)} since {say.day(first, last)}.", None
    panels, words = [], []
    for quantity in (q for q in QUANTITIES if q in found):
        series = dict(sorted(found[quantity].items(), key=lambda kv: -len(kv[1]))[: drawing.MOST_SERIES])
        for name, known in series.items():
            values = [v for _, v in known]
            spread = say.number(round(min(values), 2))
            if len(values) > 1:
                spread += f" to {say.number(round(max(values), 2))}, last {say.number(round(known[-1][1], 2))}"
            words.append(f"{name} {_quantity(quantity, us)}: {spread}")
        series = {n: s for n, s in series.items() if len(s) > 1}
        if sum(map(len, series.values())) >= ENOUGH:
            _, zero, least = QUANTITIES[quantity]
            least *= 1.8 if us and quantity == "temperature" else 1
            changed = quantity not in ("temperature", "length")
            panels.append(Panel(_quantity(quantity, us), series, zero, least, changed))
    text = f"Since {say.day(first, last)}: {'; '.join(words[:6])}."
    if not panels:
        return f"{text} Too few for a picture yet.", None
    panels = panels[: drawing.MOST_PANELS]
    names = list(dict.fromkeys(n for p in panels for n in p.series))
    changes = []
    if len(names) == 1:
        changes = [e.at for e in book.entries(name=names[0], kinds=("water_change",))]
    who = names[0] if len(names) == 1 else "Readings" + _of(query)
    return text, drawing.readings_figure(f"{who}, {_span(first, last)}", panels, changes, zone)


def _places_meant(query: Query, standing: Standing, quantities: list[str]) -> set[str] | None:
    """The names readings may stand under; None: any."""
    if query.place:
        return {query.place}
    if query.batch:
        if quantities == ["length"]:
            return {query.batch}
        return {query.batch, *(h.place for h in standing.of_group(query.batch))}
    if query.line:
        return {p.name for p in standing.places.values() if p.line == query.line}
    return None


def _quantity(quantity: str, us: bool) -> str:
    if quantity == "ph":
        return "pH"
    unit = "°F" if us and quantity == "temperature" else QUANTITIES[quantity][0]
    name = quantity.upper() if quantity in ("gh", "kh", "tds") else quantity
    return f"{name} ({unit})"


# ---- a batch from eggs to sale


def _batch(query: Query, standing: Standing, book: RoomBook, now: dt.datetime) -> Drawn:
    zone = book.info.zone
    name = query.batch
    if name is None:
        there = [
            h.group
            for h in standing.holdings.values()
            if h.group in standing.batches
            and (not query.place or h.place == query.place)
            and (not query.line or h.line == query.line)
        ]
        found = list(dict.fromkeys(there))
        if len(found) != 1:
            where = query.place or query.line
            which = f" {where} has {say.listed(found)}." if found else ""
            return f"A picture of which batch?{which}", None
        name = found[0]
    entries = [e for e in book.entries(name=name) if e.at <= now]
    story = story_of(name, entries)
    if not entries:
        return f"There is no batch {name} in the record.", None
    if not story.steps:
        return f"{name} was never counted, so there is nothing to draw.", None
    line = line_of(entries[0], standing)
    begun = entries[0].at.astimezone(zone).date()
    sums = {w: sum(moved(e, name) for e in entries if mark_of(e) == w) for w in ("bad", "hatched", "died", "sold")}
    told = ", ".join(f"{n} {w}" for w, n in sums.items() if n)
    left = []
    for stage in STAGES:
        held = [h.number for h in standing.of_group(name) if h.stage == stage]
        if held:
            left.append(say.fish(None if None in held else sum(n or 0 for n in held), stage))
    since = say.day(begun, now.astimezone(zone).date())
    text = f"{name}, {line}, since {since}: {told + '; ' if told else ''}left: {say.listed(left) or 'none'}."
    if sum(len(s) for s in story.steps.values()) < ENOUGH:
        return f"{text} Too little has changed for a picture yet.", None
    # a batch with nothing left ends with its last entry
    until = now if left else max(entries[-1].at, entries[0].at + dt.timedelta(days=1))
    end = until.astimezone(zone).date()
    return text, drawing.batch_figure(f"{name}, {line}, {_span(begun, end)}", story, zone, until)


# ---- hatches to come


def _windows(query: Query, standing: Standing, book: RoomBook, now: dt.datetime) -> Drawn:
    zone = book.info.zone
    today = now.astimezone(zone).date()
    end = today + dt.timedelta(days=min(query.days or AHEAD, 42) - 1)
    rows = [r for r in window_rows(standing, now) if row_is_meant(r, query, standing)]
    if not rows:
        return f"No eggs with a hatch date are on record{_for(query)}.", None
    late, rows = [r for r in rows if r.past], [r for r in rows if not r.past]
    words = [f"{r.name.partition(',')[0]} {say.span(r.first, r.first_end, zone)}" for r in rows[:8]]
    text = f"First fry (80 % windows): {'; '.join(words)}." if words else ""
    if late:
        more = f" and {len(late) - 6} more" if len(late) > 6 else ""
        names = [r.name.partition(" ")[0] for r in late[:6]]
        text += f" Past the window, look at them: {', '.join(names)}{more}."
    near = [r for r in rows if r.first.astimezone(zone).date() <= end]
    if not near:
        ahead = say.count((end - today).days + 1, "day")
        return f"{text} No fry are expected in the next {ahead}.".strip(), None
    start = min(today, max(today - dt.timedelta(days=4), min(r.first for r in near).astimezone(zone).date()))
    title = f"Fry expected{_of(query)}, {_span(start, end)}"
    return text, windows_figure(title, near, now, start, end, zone)
