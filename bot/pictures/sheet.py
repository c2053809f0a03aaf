"""A sheet for a picture: type, colours, frames and dates, so that every picture is read alike.

900 by 600 pixels, large type, white ground, no decoration. matplotlib is imported when the first picture is drawn.
"""

from __future__ import annotations

import datetime as dt
import io
from bisect import bisect_right
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.ft2font import FT2Font

WIDTH, HEIGHT = 900, 600  # pixels
DPI = 100
TITLES, TEXT, SMALL = (22, 20, 18), 18, 16  # points; a long title takes a smaller one
SIDE = 44  # pixels to the right of a frame, for half a date
EDGE = 0.03  # of the width, kept free on either side
TYPEFACE = "DejaVu Sans"  # comes with matplotlib

# Okabe and Ito, "Color Universal Design" (2008): told apart with every common colour blindness. Their yellow is
# left out, being too pale on white.
BLUE, ORANGE, GREEN, VERMILION, PURPLE, SKY = "#0072B2", "#E69F00", "#009E73", "#D55E00", "#CC79A7", "#56B4E9"
INK, FAINT = "#000000", "#595959"
LOOKS: tuple[tuple[str, str, str], ...] = (  # colour, mark, line
    (BLUE, "o", "-"),
    (VERMILION, "s", "--"),
    (GREEN, "^", "-."),
    (PURPLE, "D", ":"),
    (INK, "v", "-"),
)


def write_whole(out: Path, page: bytes) -> None:
    """A page as a file, whole or not at all."""
    draft = out.with_name(f".{out.name}.part")
    try:
        draft.write_bytes(page)
        draft.replace(out)
    finally:
        draft.unlink(missing_ok=True)


def png(figure: Figure) -> bytes:
    """The picture as PNG bytes."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DPI)
    return out.getvalue()


def drawable(text: str) -> str:
    """`text` with characters the typeface lacks, plain or bold, as "?", so that no name can spoil a picture."""
    both = [_font(bold=False), _font(bold=True)]
    return "".join(c if all(font.get_char_index(ord(c)) for font in both) else "?" for c in text if c.isprintable())


def _font(*, bold: bool) -> FT2Font:
    from matplotlib.font_manager import FontProperties, findfont, get_font

    return get_font(findfont(FontProperties(family=TYPEFACE, weight="bold" if bold else "normal")))


def width_of(text: str, points: float, *, bold: bool = False) -> float:
    """How wide a line of text is, in points."""
    font = _font(bold=bold)
    font.set_size(points, 72)
    font.set_text(text)
    return font.get_width_height()[0] / 64


def fitted(text: str, points: float, room: float, *, bold: bool = False) -> str:
    """`text` made drawable and cut with "…" so that it is at most `room` points wide."""
    text = drawable(text)
    if width_of(text, points, bold=bold) <= room:
        return text
    # the longest beginning that fits: a longer one is never narrower by more than its kerning
    kept = bisect_right(range(len(text)), room, key=lambda n: width_of(f"{text[:n]}…", points, bold=bold)) - 1
    return f"{text[:kept].rstrip()}…" if kept >= 0 else ""


def sheet(title: str, *, height: int = HEIGHT) -> Figure:
    """An empty white sheet with its title, in the largest type that fits."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH / DPI, height / DPI), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    if title:
        room = (1 - 2 * EDGE) * WIDTH * 72 / DPI
        points = next((p for p in TITLES if width_of(drawable(title), p, bold=True) <= room), TITLES[-1])
        say_at(figure, EDGE, 1 - 14 / height, title, points, top=True, bold=True)
    return figure


def say_at(
    figure: Figure, x: float, y: float, text: str, points: float, *, top: bool = False, bold: bool = False
) -> None:
    """Words from `x`, `y` (shares of the sheet) on, cut at its edge."""
    room = (1 - EDGE - x) * WIDTH * 72 / DPI
    figure.text(
        x,
        y,
        fitted(text, points, room, bold=bold),
        fontsize=points,
        fontfamily=TYPEFACE,
        fontweight="bold" if bold else "normal",
        va="top" if top else "bottom",
        color=INK,
        parse_math=False,
    )


def frame(figure: Figure, box: tuple[float, float, float, float]) -> Axes:
    """An empty frame at `box`: left, bottom, right, top in pixels from the lower left corner."""
    left, bottom, right, top = box
    height = figure.get_figheight() * DPI
    axes = figure.add_axes((left / WIDTH, bottom / height, (right - left) / WIDTH, (top - bottom) / height))
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.tick_params(labelsize=TEXT, labelfontfamily=TYPEFACE, length=0, pad=6)
    axes.tick_params(axis="x", length=5)
    axes.grid(axis="y", color="#d0d0d0", linewidth=1)
    axes.set_axisbelow(True)
    return axes


def heading(axes: Axes, text: str, pad: float = 5) -> None:
    """Words over a frame, cut to its width."""
    room = axes.get_position().width * WIDTH * 72 / DPI
    axes.set_title(
        fitted(text, TEXT, room), loc="left", fontsize=TEXT, fontfamily=TYPEFACE, color=INK, parse_math=False, pad=pad
    )


def stacked(figure: Figure, heads: Sequence[str], *, bottom: int = 62) -> list[Axes]:
    """Frames one under the other, each below its heading; only the last has dates."""
    left, right, top, head = 78, WIDTH - SIDE, HEIGHT - 58, 36 if len(heads) < 4 else 32
    each = (top - bottom) / len(heads)
    made = []
    for number, text in enumerate(heads):
        ceiling = top - number * each
        floor = ceiling - each + (14 if number < len(heads) - 1 else 0)
        axes = frame(figure, (left, floor, right, ceiling - head))
        heading(axes, text)
        if number < len(heads) - 1:
            axes.tick_params(axis="x", labelbottom=False)
        made.append(axes)
    return made


def make_room(frames: Sequence[Axes], right: int = WIDTH - SIDE) -> None:
    """Move the left edge of frames so that the widest number beside them has room."""
    widest = 0.0
    for axes in frames:
        low, high = axes.get_ylim()
        inside = [n for n in axes.get_yticks() if low <= n <= high]
        for text in axes.yaxis.get_major_formatter().format_ticks(inside):
            widest = max(widest, width_of(text, TEXT) * DPI / 72)
    left = max(70.0, widest + 24) / WIDTH
    for axes in frames:
        box = axes.get_position()
        axes.set_position((left, box.y0, right / WIDTH - left, box.height))


def ticks(first: dt.date, last: dt.date, most: int = 6) -> list[dt.date]:
    """At most `most` days from first to last, evenly apart, weeks apart where there are many."""
    days = (last - first).days
    steps = [1, 2, 3, 4, 7, 14, 28, 56, 91, 182, 365]
    step = next((s for s in steps if days // s < most), days // most + 1)
    return [last - dt.timedelta(days=n) for n in range(0, days + 1, step)][::-1]


def dates(axes: Axes, first: dt.date, last: dt.date, most: int = 6, step: int = 1) -> None:
    """Local days along the foot; with `step` 7 the first days of weeks, below the middle of the week."""
    shown = ticks(first, last - dt.timedelta(days=step - 1), most)
    words = [f"{d.day} {d:%b}" for d in shown]  # the years stand in the title
    axes.set_xticks([d.toordinal() + (step - 1) / 2 for d in shown], words)


def whole_days(axes: Axes, start: dt.datetime, end: dt.datetime, zone: ZoneInfo) -> None:
    """Whole local days from the one of `start` to the one of `end`."""
    first, last = start.astimezone(zone).date(), end.astimezone(zone).date()
    dates(axes, first, last)
    axes.set_xlim(first.toordinal(), last.toordinal() + 1)


def place_of(moment: dt.datetime, zone: ZoneInfo) -> float:
    """Where a moment stands on an axis of local days: whole numbers are midnights."""
    local = moment.astimezone(zone)
    return local.toordinal() + (local.hour * 60 + local.minute) / 1440


def scale(axes: Axes, low: float, high: float, panels: int) -> None:
    """The upright axis from `low` to `high`, with fewer marks where there are several panels."""
    from matplotlib.ticker import MaxNLocator

    axes.set_ylim(low, high)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=5 if panels == 1 else 2, steps=[1, 2, 2.5, 5, 10]))


def legend(figure: Figure, frames: Sequence[Axes], *, alone: bool = False, columns: int = 5) -> None:
    """Names of lines and marks along the foot, cut short where they would not fit."""
    known: dict[str, Artist] = {}
    for axes in frames:
        for handle, text in zip(*axes.get_legend_handles_labels(), strict=True):
            known.setdefault(text, handle)
    labels = list(known)[1:] if alone else list(known)
    handles = [known[text] for text in labels]
    columns = min(columns, len(labels))
    room = WIDTH * (1 - 2 * EDGE) * 72 / DPI / columns - 60
    legend = figure.legend(
        handles,
        [fitted(text, SMALL, room) for text in labels],
        loc="lower left",
        bbox_to_anchor=(EDGE - 0.01, 0.0),
        ncols=columns,
        frameon=False,
        prop={"family": TYPEFACE, "size": SMALL},
        handlelength=2.4,
        handletextpad=0.4,
        columnspacing=0.9,
        borderpad=0.3,
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
