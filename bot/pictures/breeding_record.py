"""A breeding record to hand on: one page about a batch or a line for another breeder, as text and as PDF.

Only what was written down stands in it; what nobody wrote down is said to be missing, never filled in.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from bot import sentences as say
from bot.pictures.labels import A4, LETTER
from bot.pictures.sheet import FAINT, INK, TYPEFACE, drawable, fitted, width_of, write_whole
from shared.ledger.standing import Batch, Standing
from storage.journal import RoomBook

MISSING = "not on record"
WATER = ("temperature", "ph", "gh", "kh", "conductivity", "tds")
MOST_BATCHES, MOST_PLACES = 8, 6  # so that it stays one page
RESTS_ON = "Counts and dates as the keeper wrote them down; nothing here is estimated unless it says so."
ASKED = re.compile(
    r"^(?:(?:show|send|make|write|print)(?: me)? )?(?:a |the )?(?P<first>pdf (?:of|with) (?:the |a )?)?breeding record"
    r"(?P<file> (?:pdf|page|as (?:a )?(?:pdf|file|page)))? (?:for|of|from) (?P<of>.+?)"
    r"(?P<last>,? (?:as|in) (?:a )?(?:pdf|file|page)|,? pdf)?$"
)
NO_PDF_HERE = "A page as PDF needs matplotlib on the machine: pip install 'roomhand[pictures]'."
NO_PDF = "A PDF needs matplotlib: pip install 'roomhand[pictures]'. Without --out the record is printed as text."


@dataclass(frozen=True)
class Record:
    """The page: what it is of, and its rows by section, each row a name and what is said."""

    title: str
    under: str
    sections: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]

    def text(self) -> str:
        lines = [self.title, self.under]
        for heading, rows in self.sections:
            lines += [heading + ":", *(f"  {name}: {said}" for name, said in rows)]
        return "\n".join([*lines, RESTS_ON])


def breeding_record(standing: Standing, book: RoomBook, name: str, now: datetime) -> Record | None:
    """The record of a batch or a line by its name; None when there is none of that name."""
    batch = next((b for b in standing.batches.values() if b.name.casefold() == name.casefold()), None)
    line = batch.line if batch else next((n for n in standing.lines if n.casefold() == name.casefold()), None)
    if line is None:
        return None
    kept = standing.lines.get(line)
    generation = standing.generation_of(batch.name if batch else line)
    fish = [
        ("species", (kept.species if kept else None) or MISSING),
        ("line", line),
        ("population", (kept.population if kept else None) or MISSING),
        ("generation", generation or MISSING),
    ]
    under = f"{book.info.name}, {say.day(now)} {now.year}"
    if batch:
        title = f"Breeding record: {line}, {batch.name}"
        sections = [("Fish", fish), ("Parents", _parents(standing, batch)), *_story(standing, batch, now)]
        spots = [*batch.parents, *(h.place for h in standing.of_group(batch.name) if h.place)]
    else:
        title = f"Breeding record: {line}"
        mine = [b for b in standing.batches.values() if b.line == line]
        sections = [("Fish", fish), ("Breeders", _breeders(standing, line)), ("Batches", _batches(mine, standing, now))]
        spots = [h.place for h in standing.holdings.values() if h.line == line and h.place and h.stage != "eggs"]
    sections.append(("Water", _water(standing, book, spots, now)))
    return Record(title, under, tuple((heading, tuple(rows)) for heading, rows in sections))


def _day(at: datetime, now: datetime) -> str:
    local = at.astimezone(now.tzinfo)
    return f"{local.day} {local:%b %Y}"


def _heads(standing: Standing, place: str, line: str) -> str:
    held = [h for h in standing.at_place(place) if h.line == line and h.stage == "adults"]
    told = [
        f"{h.count} adults" + (f" ({h.male} male, {h.female} female)" if h.male or h.female else "")
        if h.counted
        else "adults, not counted"
        for h in held
    ]
    return say.listed(told) or "none there now"


def _parents(standing: Standing, batch: Batch) -> list[tuple[str, str]]:
    if not batch.parents:
        return [("parents", MISSING)]
    rows = [(place, _heads(standing, place, batch.line)) for place in batch.parents[:MOST_PLACES]]
    of = [g for g in batch.parent_groups if g in standing.batches]
    if of:
        rows.append(("they came from", say.listed(of)))
    others = [line for line in batch.parent_lines if line != batch.line]
    if others:
        rows.append(("also there then", say.listed(others)))
    return rows


def _breeders(standing: Standing, line: str) -> list[tuple[str, str]]:
    spots = [p.name for p in standing.places.values() if p.role == "breeders" and not p.closed]
    rows = [(p, _heads(standing, p, line)) for p in spots if any(h.line == line for h in standing.at_place(p))]
    rows = rows[:MOST_PLACES]
    return rows or [("breeders", MISSING)]


def _laid(batch: Batch, now: datetime) -> str:
    if not batch.laid_from or not batch.laid_to:
        return MISSING
    first, last = _day(batch.laid_from, now), _day(batch.laid_to, now)
    return first if first == last else f"{first} to {last}"


def _story(standing: Standing, batch: Batch, now: datetime) -> list[tuple[str, list[tuple[str, str]]]]:
    """Eggs, then fish: dates and counts."""
    eggs = [
        ("laid", _laid(batch, now)),
        ("kept in", batch.medium),
        ("collected", _n(batch.eggs.pulled or batch.eggs.start, "egg")),
        ("went bad", _n(batch.eggs.bad, "egg")),
        ("first fry", _day(batch.fry_seen, now) if batch.fry_seen else "none seen yet"),
        ("hatched", f"{batch.fish.hatched} counted" if batch.fish.hatched else MISSING),
    ]
    alive = [
        f"{'about ' if h.estimated and h.counted else ''}{say.fish(h.number, h.stage)} in {h.place or 'hand'}"
        for h in standing.of_group(batch.name)
    ]
    age = f"{say.count((now - batch.fry_seen).days, 'day')}" if batch.fry_seen else MISSING
    fish = [
        ("age", age),
        *([("on hand at first", str(batch.fish.start))] if batch.fish.start else []),
        ("died", _n(batch.fish.died, "fish", "fish")),
        ("sold or given on", _n(batch.fish.sold, "fish", "fish")),
        ("now", say.listed(alive) or "nothing left"),
    ]
    return [("Eggs", eggs), ("Young", fish)]


def _n(number: int | None, one: str, many: str | None = None) -> str:
    return say.count(number, one, many) if number else "none on record"


def _batches(batches: list[Batch], standing: Standing, now: datetime) -> list[tuple[str, str]]:
    newest = sorted(batches, key=lambda b: b.opened, reverse=True)
    rows = []
    for b in newest[:MOST_BATCHES]:
        fry = f"first fry {_day(b.fry_seen, now)}" if b.fry_seen else "no fry yet"
        alive = [say.fish(h.number, h.stage) for h in standing.of_group(b.name)]
        generation = f"{b.generation}, " if b.generation else ""
        rows.append((b.name, f"{generation}laid {_laid(b, now)}; {fry}; {say.listed(alive) or 'nothing left'}"))
    if len(newest) > MOST_BATCHES:
        rows.append(("and", f"{len(newest) - MOST_BATCHES} older"))
    return rows or [("batches", MISSING)]


def _water(standing: Standing, book: RoomBook, spots: Iterable[str], now: datetime) -> list[tuple[str, str]]:
    rows = []
    for place in list(dict.fromkeys(spots))[:MOST_PLACES]:
        told = []
        for quantity in WATER:
            found = standing.latest(place, quantity)
            if found:
                told.append(f"{say.reading(quantity, found.value, book.info.units)} ({_day(found.at, now)})")
        if told:
            rows.append((place, ", ".join(told)))
    return rows or [("water", "no reading on record")]


# ---- the page


def record_pdf(record: Record, units: str) -> bytes:
    """One page, letter paper for US rooms and A4 elsewhere. Raises ImportError without matplotlib."""
    from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
    from matplotlib.figure import Figure

    width, height = LETTER if units == "us" else A4
    figure = Figure(figsize=(width / 25.4, height / 25.4))
    FigureCanvasPdf(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.set_axis_off()
    edge, column, mm = 20.0, 62.0, 72 / 25.4

    def put(x: float, y: float, text: str, points: float, *, bold: bool = False, color: str = INK) -> None:
        weight = "bold" if bold else "normal"
        axes.text(
            x, y, drawable(text), fontsize=points, fontfamily=TYPEFACE, fontweight=weight, va="top", color=color,
            parse_math=False,
        )  # fmt: skip

    def wrapped(text: str, points: float, room: float) -> list[str]:
        lines: list[str] = [""]
        for word in drawable(text).split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and width_of(longer, points) > room * mm:
                lines.append(word)
            else:
                lines[-1] = longer
        return lines

    y = edge
    put(edge, y, fitted(record.title, 20, (width - 2 * edge) * mm, bold=True), 20, bold=True)
    put(edge, y + 10, record.under, 11, color=FAINT)
    y += 20
    points = 10.5
    for heading, rows in record.sections:
        axes.plot((edge, width - edge), (y, y), color=FAINT, linewidth=0.6)
        y += 3
        put(edge, y, heading, 12, bold=True)
        for number, (name, said) in enumerate(rows):
            top = y if number == 0 else y + 1
            lines = wrapped(said, points, width - edge - column - 32)
            put(column, top, fitted(name, points, 31 * mm), points, color=FAINT)
            for one in lines:
                put(column + 32, top, one, points)
                top += 5
            y = top
        y += 5
    axes.plot((edge, width - edge), (y, y), color=FAINT, linewidth=0.6)
    put(edge, y + 3, RESTS_ON, 9, color=FAINT)
    written = io.BytesIO()
    with PdfPages(written, metadata={"Title": record.title, "Creator": None, "CreationDate": None}) as pages:
        pages.savefig(figure)
    return written.getvalue()


def write_pdf(record: Record, units: str, out: Path) -> None:
    """The page as a file, whole or not at all."""
    write_whole(out, record_pdf(record, units))
