"""Tank and tub labels to print: the name to be read across the room, what is in it, and a code that opens it in chat.

Drawn through matplotlib's PDF writer: the pictures need matplotlib anyhow, it embeds a typeface with every European
alphabet, and the code stays sharp lines instead of a blurred image, so no second PDF library is wanted.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.pictures.sheet import INK, TYPEFACE, drawable, fitted, width_of, write_whole
from shared.ledger.standing import Batch, Standing

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MM = 72 / 25.4  # points
A4, LETTER = (210.0, 297.0), (215.9, 279.4)  # mm: ISO 216; 8.5 by 11 in
QUIET = 4  # modules kept white around a code (ISO/IEC 18004)
BORDER = 3.0  # mm kept free inside a label: sheets are never cut or fed quite straight
SMALLEST, SPACING = 6.5, 1.25  # points; line height by type size
OPENS = "at_"  # begins the code of a place, so that a start code of this kind is never an invitation's
NO_DRAWING = "Labels need matplotlib and segno: pip install 'roomhand[pictures]'."


class Info(Protocol):
    """What is wanted to be known of the room."""

    @property
    def name(self) -> str: ...
    @property
    def units(self) -> str: ...
    @property
    def zone(self) -> ZoneInfo: ...


@dataclass(frozen=True)
class Grid:
    """How labels lie on a sheet; all in mm, margins to the first label, pitch from one label to the next."""

    paper: tuple[float, float]
    label: tuple[float, float]
    columns: int
    rows: int
    left: float
    top: float
    pitch: tuple[float, float]

    @property
    def each(self) -> int:
        return self.columns * self.rows

    def corner(self, number: int) -> tuple[float, float]:
        """Left and top edge of a label, mm from the sheet's upper left corner; they run along the rows."""
        row, column = divmod(number % self.each, self.columns)
        return self.left + column * self.pitch[0], self.top + row * self.pitch[1]


# Common blank sheets, named by the size of a label in mm; measures from memory, common practice, no source.
SIZES: dict[str, Grid] = {
    "a4-70x37": Grid(A4, (70, 37), 3, 8, 0, 0.5, (70, 37)),
    "a4-64x38": Grid(A4, (63.5, 38.1), 3, 7, 7.2, 15.15, (66.05, 38.1)),
    "a4-99x68": Grid(A4, (99.1, 67.7), 2, 4, 4.65, 13.1, (101.6, 67.7)),
    "letter-67x25": Grid(LETTER, (66.7, 25.4), 3, 10, 4.75, 12.7, (69.85, 25.4)),
    "letter-102x51": Grid(LETTER, (101.6, 50.8), 2, 5, 3.95, 12.7, (106.4, 50.8)),
    "letter-102x85": Grid(LETTER, (101.6, 84.7), 2, 3, 3.95, 12.7, (106.4, 84.7)),
}


@dataclass(frozen=True)
class Label:
    """What stands on one label: the place, lines of words below it, and what its code says."""

    name: str
    words: tuple[str, ...]
    code: str


def place_code(name: str) -> str:
    """A place's name as it may stand in a link that opens a chat: letters, digits, _ and -, at most 64.

    Names that would come out alike, or are no plain letters, get a few figures of their hash.
    """
    plain = re.sub(r"[^A-Za-z0-9]+", "_", name.strip())
    if plain.replace("_", " ") == name and len(plain) <= 40:
        return OPENS + plain
    return f"{OPENS}{plain.strip('_')[:40]}-{hashlib.sha256(name.encode()).hexdigest()[:8]}"


def place_meant(code: str, standing: Standing) -> str | None:
    """The place a link's start code names, or None: for the door at which somebody comes in through a label."""
    if not code.startswith(OPENS):
        return None
    known = _names(standing)
    once = [(old, name) for name in known if name in standing.places for old in standing.places[name].aka]
    return next((name for said, name in [*zip(known, known, strict=True), *once] if place_code(said) == code), None)


def _names(standing: Standing) -> list[str]:
    """Every place in use, and what else holds something, as a peat bag does."""
    held = [h.place for h in standing.holdings.values() if h.place]
    return [
        n for n in dict.fromkeys([*standing.places, *held]) if n not in standing.places or not standing.places[n].closed
    ]


def labels(standing: Standing, info: Info, *, bot_name: str | None = None, places: Sequence[str] = ()) -> list[Label]:
    """What the labels say, for the places named or else all in use, in the room's order."""
    known = _names(standing)
    missing = [name for name in places if name not in known]
    if missing:
        raise ValueError(f"There is no {say.listed(missing)} in this room.")
    made = []
    for name in places or known:
        code = f"https://t.me/{bot_name}?start={place_code(name)}" if bot_name else f"{name}?"
        made.append(Label(name, tuple(_words(standing, name, info.zone)), code))
    return made


def _words(standing: Standing, name: str, zone: ZoneInfo) -> list[str]:
    """Line, generation and batch, then its dates; numbers change and so are left out."""
    out: list[str] = []
    for holding in standing.at_place(name):
        batch = standing.batches.get(holding.group)
        if batch:
            # a line's generation is its breeders'; their young have their own or none that is known
            head = f"{holding.line} {batch.generation}" if batch.generation else holding.line
            said = [f"{head}, {batch.name}", _dates(batch, zone)]
        else:
            said = [_line(standing, holding.line) if holding.stage == "adults" else holding.line]
        if said[0] not in out:
            out += said
    place = standing.places.get(name)
    breeders = place.line if place and place.role == "breeders" else None
    return out or ([_line(standing, breeders)] if breeders else [place.line] if place and place.line else [])


def _line(standing: Standing, line: str) -> str:
    kept = standing.lines.get(line)
    return f"{line} {kept.generation}" if kept and kept.generation else line


def _dates(batch: Batch, zone: ZoneInfo) -> str:
    if batch.fry_seen:
        return f"hatched {_date(batch.fry_seen, zone)}"
    if batch.laid_from and batch.laid_to:
        return f"laid {say.span(batch.laid_from, batch.laid_to, zone)} {batch.laid_to.astimezone(zone).year}"
    return f"since {_date(batch.opened, zone)}"


def _date(moment: dt.datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local.day} {local:%b %Y}"


def label_sheet(standing: Standing, info: Info, out: Path, **more: Any) -> int:
    """Write labels as `label_pages` makes them to a file, whole or not at all, and give how many there are.

    Raises OSError where the file cannot be written, and what `label_pages` raises.
    """
    pdf, count = label_pages(standing, info, **more)
    write_whole(out, pdf)
    return count


def label_pages(
    standing: Standing,
    info: Info,
    *,
    bot_name: str | None = None,
    size: str | None = None,
    places: Sequence[str] = (),
    skip: int = 0,
) -> tuple[bytes, int]:
    """Labels as a PDF, to be printed at full size, and how many there are.

    `bot_name` is the bot's name in Telegram: the code on a label then opens the chat at that place, otherwise it
    holds the words to send ("tank 3?"). `size` is one of SIZES, by default one for the room's usual paper; `places`
    picks some; `skip` leaves that many labels of a begun sheet free.

    Raises ValueError for an unknown size, place or an impossible bot name; ModuleNotFoundError without matplotlib
    or segno (NO_DRAWING says what to install).
    """
    size = size or ("letter-102x51" if info.units == "us" else "a4-70x37")
    grid = SIZES.get(size)
    if grid is None:
        raise ValueError(f"“{size}” is no label size. There are {say.listed(SIZES)}.")
    if not 0 <= skip < grid.each:
        raise ValueError(f"A sheet of {size} has {grid.each} labels: skip 0 to {grid.each - 1}.")
    if bot_name is not None:
        bot_name = bot_name.strip().removeprefix("@")
        if not re.fullmatch(r"[A-Za-z]\w{3,31}", bot_name, re.ASCII):
            raise ValueError(f"“{bot_name}” is no bot's name in Telegram: letters, digits and _, 4 to 32 of them.")
    made = labels(standing, info, bot_name=bot_name, places=places)
    if not made:
        raise ValueError("The room has no tanks or tubs to label yet.")
    return _pdf(made, grid, skip, f"Labels, {info.name}"), len(made)


def _pdf(made: Sequence[Label], grid: Grid, skip: int, title: str) -> bytes:
    from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
    from matplotlib.figure import Figure

    written = io.BytesIO()
    with PdfPages(written, metadata={"Title": title, "Creator": None, "CreationDate": None}) as pages:
        for start in range(0, len(made) + skip, grid.each):
            figure = Figure(figsize=(grid.paper[0] / 25.4, grid.paper[1] / 25.4))
            FigureCanvasPdf(figure)
            axes = figure.add_axes((0, 0, 1, 1))
            axes.set_xlim(0, grid.paper[0])
            axes.set_ylim(grid.paper[1], 0)
            axes.set_axis_off()
            for number in range(max(start, skip), min(start + grid.each, len(made) + skip)):
                _draw(axes, made[number - skip], grid, grid.corner(number))
            pages.savefig(figure)
    return written.getvalue()


def _draw(axes: Axes, label: Label, grid: Grid, corner: tuple[float, float]) -> None:
    """One label: words on the left, the code on the right."""
    wide, high = grid.label
    left, top = corner[0] + BORDER, corner[1] + BORDER
    inner = high - 2 * BORDER
    square = min(inner, wide * 0.32)
    used = _code(axes, label.code, left + wide - 2 * BORDER, top + inner / 2, square)
    room = (wide - 2 * BORDER - used) * MM
    # the name as large as fits, then the other lines, so large that the longest fits
    largest = inner * (0.36 if len(label.words) < 3 else 0.3) * MM
    points = next((p / 2 for p in range(int(min(40.0, largest) * 2), 20, -1) if _wide(label.name, p / 2) <= room), 10.0)
    _text(axes, left, top, label.name, points, room, bold=True)
    below = top + 1.25 * points / MM
    space = (corner[1] + high - BORDER - below) * MM
    lines = list(label.words)
    small = min(15.0, space / (SPACING * max(len(lines), 2)))
    while small > SMALLEST and any(width_of(drawable(text), small) > room for text in lines):
        small -= 0.5
    small = max(small, SMALLEST)
    most = int(space / (SPACING * small) + 0.01)
    if len(lines) > most:
        lines = [*lines[: max(most - 1, 0)], f"and {len(lines) - most + 1} more lines"]
    for number, text in enumerate(lines):
        _text(axes, left, below + number * SPACING * small / MM, text, small, room)


def _wide(name: str, points: float) -> float:
    return width_of(drawable(name), points, bold=True)


def _text(axes: Axes, x: float, y: float, text: str, points: float, room: float, *, bold: bool = False) -> None:
    axes.text(
        x,
        y,
        fitted(text, points, room, bold=bold),
        fontsize=points,
        fontfamily=TYPEFACE,
        fontweight="bold" if bold else "normal",
        color=INK,
        va="top",
        parse_math=False,
    )


def _code(axes: Axes, text: str, right: float, middle: float, most: float) -> float:
    """A QR code as one filled shape, at most `most` mm wide, ending at `right` and centred on `middle`.

    Gives the width it takes with the white on its left; the white around it is the label's own border.
    """
    import segno
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Shape

    matrix = segno.make(text, micro=False, error="m").matrix
    module = min(most / len(matrix), BORDER / QUIET)
    x, y = right - len(matrix) * module, middle - len(matrix) * module / 2
    corners: list[tuple[float, float]] = []
    for row, cells in enumerate(matrix):
        column = 0
        while column < len(cells):
            end = column
            while end < len(cells) and cells[end]:
                end += 1
            if end > column:
                # a hair taller than a module, so that no white seam shows between rows
                a, b, c, d = x + column * module, x + end * module, y + row * module, y + (row + 1.02) * module
                corners += [(a, c), (b, c), (b, d), (a, d), (a, c)]
            column = end + 1
    kinds = [Shape.MOVETO, Shape.LINETO, Shape.LINETO, Shape.LINETO, Shape.CLOSEPOLY] * (len(corners) // 5)
    axes.add_patch(PathPatch(Shape(corners, kinds), facecolor=INK, edgecolor="none", linewidth=0))
    return (len(matrix) + QUIET) * module
