"""Data into pictures: what is drawn must be read on a telephone in a bright room, and without telling red from green.

900 by 600 pixels, large type, white ground, no decoration; what differs by colour differs by mark or line as well.
matplotlib is imported when the first picture is drawn, never at start-up.
"""

from __future__ import annotations

import datetime as dt
import io
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from shared.events import STAGES, Stage

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

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
MOST_SERIES, MOST_ROWS, MOST_WINDOWS, MOST_PANELS = len(LOOKS), 5, 7, 3


@dataclass(frozen=True)
class Row:
    """Counts by day (or by the first day of a week); `unsaid` are days on which nobody counted."""

    name: str
    counts: Mapping[dt.date, int]
    unsaid: frozenset[dt.date] = frozenset()


@dataclass(frozen=True)
class Panel:
    """One quantity over time, in one or more places. `least`: the smallest height of its scale, in its unit."""

    name: str  # with its unit, as in "nitrate (mg/L)"
    series: Mapping[str, Sequence[tuple[dt.datetime, float]]]
    from_zero: bool = False
    least: float = 0.1
    shows_changes: bool = False  # whether it is a matter of how much water was changed


@dataclass(frozen=True)
class Mark:
    """Something that happened to a batch while so many were left."""

    what: str  # "hatched", "bad", "died", "sold"
    at: dt.datetime
    height: int


@dataclass(frozen=True)
class Story:
    """A batch over time: how many stood at each stage after each change, and what happened to it."""

    steps: Mapping[str, Sequence[tuple[dt.datetime, int]]]
    marks: Sequence[Mark] = field(default_factory=tuple)


@dataclass(frozen=True)
class WindowRow:
    """One batch's hatch: first fry between `first` and `first_end` (80 %), most likely `middle`, last by `last`."""

    name: str
    first: dt.datetime
    middle: dt.datetime
    first_end: dt.datetime
    last: dt.datetime
    past: bool = False


# ---- the sheet


def png(figure: Figure) -> bytes:
    """The picture as PNG bytes."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DPI)
    return out.getvalue()


def drawable(text: str) -> str:
    """`text` with characters the typeface lacks as "?", so that no name can spoil a picture."""
    from matplotlib.font_manager import findfont, get_font

    known = get_font(findfont(TYPEFACE))
    return "".join(c if known.get_char_index(ord(c)) else "?" for c in text if c.isprintable())


def width_of(text: str, points: float, *, bold: bool = False) -> float:
    """How wide a line of text is, in points."""
    from matplotlib.font_manager import FontProperties, findfont, get_font

    font = get_font(findfont(FontProperties(family=TYPEFACE, weight="bold" if bold else "normal")))
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


def _sheet(title: str, *, height: int = HEIGHT) -> Figure:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH / DPI, height / DPI), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    if title:
        room = (1 - 2 * EDGE) * WIDTH * 72 / DPI
        points = next((p for p in TITLES if width_of(drawable(title), p, bold=True) <= room), TITLES[-1])
        _say(figure, EDGE, 1 - 14 / height, title, points, top=True, bold=True)
    return figure


def _say(
    figure: Figure, x: float, y: float, text: str, points: float, *, top: bool = False, bold: bool = False
) -> None:
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


def _axes(figure: Figure, box: tuple[float, float, float, float]) -> Axes:
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


def _head(axes: Axes, text: str, pad: float = 5) -> None:
    room = axes.get_position().width * WIDTH * 72 / DPI
    axes.set_title(
        fitted(text, TEXT, room), loc="left", fontsize=TEXT, fontfamily=TYPEFACE, color=INK, parse_math=False, pad=pad
    )


def _stack(figure: Figure, heads: Sequence[str], *, bottom: int = 62) -> list[Axes]:
    """Frames one under the other, each below its heading; only the last has dates."""
    left, right, top, head = 78, WIDTH - SIDE, HEIGHT - 58, 36
    each = (top - bottom) / len(heads)
    made = []
    for number, text in enumerate(heads):
        ceiling = top - number * each
        floor = ceiling - each + (14 if number < len(heads) - 1 else 0)
        axes = _axes(figure, (left, floor, right, ceiling - head))
        _head(axes, text)
        if number < len(heads) - 1:
            axes.tick_params(axis="x", labelbottom=False)
        made.append(axes)
    return made


def _make_room(frames: Sequence[Axes], right: int = WIDTH - SIDE) -> None:
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


def _dates(axes: Axes, first: dt.date, last: dt.date, most: int = 6, step: int = 1) -> None:
    """Local days along the foot; with `step` 7 the first days of weeks, below the middle of the week."""
    shown = ticks(first, last - dt.timedelta(days=step - 1), most)
    words = [f"{d.day} {d:%b}" for d in shown]  # the years stand in the title
    axes.set_xticks([d.toordinal() + (step - 1) / 2 for d in shown], words)


def _days_of(axes: Axes, start: dt.datetime, end: dt.datetime, zone: ZoneInfo) -> None:
    """Whole local days from the one of `start` to the one of `end`."""
    first, last = start.astimezone(zone).date(), end.astimezone(zone).date()
    _dates(axes, first, last)
    axes.set_xlim(first.toordinal(), last.toordinal() + 1)


def _x(moment: dt.datetime, zone: ZoneInfo) -> float:
    """Where a moment stands on an axis of local days: whole numbers are midnights."""
    local = moment.astimezone(zone)
    return local.toordinal() + (local.hour * 60 + local.minute) / 1440


def _scale(axes: Axes, low: float, high: float, panels: int) -> None:
    from matplotlib.ticker import MaxNLocator

    axes.set_ylim(low, high)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=5 if panels == 1 else 2, steps=[1, 2, 2.5, 5, 10]))


# ---- counts by day


def days_figure(title: str, unit: str, rows: Sequence[Row], first: dt.date, last: dt.date, step: int = 1) -> Figure:
    """Bars by day, a row for each name, all to one scale; `step` 7 where a count is a week's."""
    rows = rows[:MOST_ROWS]
    figure = _sheet(title)
    heads = [f"{row.name}: {sum(row.counts.values())} {unit}" for row in rows]
    stack = _stack(figure, heads)
    for axes, row in zip(stack, rows, strict=True):
        _bars(axes, row, rows, first, last, step)
    _make_room(stack)
    return figure


def _bars(
    axes: Axes, row: Row, rows: Sequence[Row], first: dt.date, last: dt.date, step: int = 1, most: int = 6
) -> None:
    from matplotlib.ticker import MaxNLocator

    _dates(axes, first, last, most, step)
    highest = max((n for r in rows for n in r.counts.values()), default=0) or 1
    axes.bar([d.toordinal() + (step - 1) / 2 for d in row.counts], list(row.counts.values()), 0.8 * step, color=BLUE)
    axes.set_xlim(first.toordinal() - 0.6, last.toordinal() + 0.6)
    axes.set_ylim(0, highest * (1.3 if len(rows) < 3 else 1.5))
    if len(rows) == 1:
        axes.yaxis.set_major_locator(MaxNLocator(nbins=4, integer=True, steps=[1, 2, 5, 10]))
    else:
        # five rows leave no room for a nought under the other number, and a bar's foot says it anyhow
        axes.set_yticks([_round_below(highest)] if len(rows) > 3 else [0, _round_below(highest)])
    said = sorted({*row.counts, *row.unsaid})
    pixels = axes.get_position().width * WIDTH / ((last - first).days + 1)
    gap = min(((b - a).days for a, b in pairwise(said)), default=99)
    widest = max((len(str(n)) for n in row.counts.values()), default=1) + (step > 1 and bool(row.unsaid))
    for day in said:
        count = row.counts.get(day)
        tight = gap * pixels < 12 * widest + 8  # the numbers would run into one another
        if count and tight and day not in row.unsaid:
            continue
        if count is None:
            words = "?"
        else:
            words = str(count) if not (count and tight) else ""
            words += "+" if day in row.unsaid else ""  # and some that nobody counted
        axes.text(
            day.toordinal() + (step - 1) / 2,
            (count or 0) + highest * 0.03,
            words,
            fontsize=SMALL,
            fontfamily=TYPEFACE,
            ha="center",
            va="bottom",
            color=INK,
        )


def _round_below(number: int) -> int:
    """The largest of 1, 2, 5, 10, 20, 50 … that is not above `number` (at least 1)."""
    ten = int(10 ** (len(str(number)) - 1))
    return max(n * ten for n in (1, 2, 5) if n * ten <= number)


# ---- readings over time


def readings_figure(title: str, panels: Sequence[Panel], changes: Sequence[dt.datetime], zone: ZoneInfo) -> Figure:
    """Readings over time, one frame a quantity; `changes`: when water was changed, marked at the foot."""
    panels = panels[:MOST_PANELS]
    figure = _sheet(title)
    moments = [at for p in panels for s in p.series.values() for at, _ in s]
    start, end = min(moments), max(moments)
    changes = [at for at in changes if start <= at <= end and any(p.shows_changes for p in panels)]
    names = list(dict.fromkeys(n for p in panels for n in p.series))[:MOST_SERIES]
    foot = bool(changes) or len(names) > 1
    stack = _stack(figure, [p.name for p in panels], bottom=62 + (34 if foot else 0))
    for axes, panel in zip(stack, panels, strict=True):
        _lines(axes, panel, names, len(panels), zone)
        _days_of(axes, start, end, zone)
        if changes and panel.shows_changes:
            axes.plot(
                [_x(at, zone) for at in changes],
                [0.06 * len(panels)] * len(changes),
                transform=axes.get_xaxis_transform(),
                linestyle="",
                marker="^",
                markersize=12,
                color=ORANGE,
                markeredgecolor=INK,
                clip_on=False,
                label="water changed",
                zorder=4,
            )
    _make_room(stack)
    if foot:
        _legend(figure, stack, alone=len(names) == 1)
    return figure


def _lines(axes: Axes, panel: Panel, names: Sequence[str], panels: int, zone: ZoneInfo) -> None:
    values = [v for n in names for _, v in panel.series.get(n, ())]
    low, high = min(values), max(values)
    spread = max(high - low, panel.least)
    middle = (low + high) / 2
    if panel.from_zero:
        bottom, top = 0.0, max(high, panel.least) * 1.15
    else:
        bottom, top = middle - spread * 0.65, middle + spread * 0.65
    _scale(axes, bottom, top, panels)
    for name, (colour, mark, line) in zip(names, LOOKS, strict=False):
        known = sorted(panel.series.get(name, ()))
        axes.plot(
            [_x(at, zone) for at, _ in known],
            [v for _, v in known],
            color=colour,
            marker=mark,
            linestyle=line,
            linewidth=3,
            markersize=9,
            label=drawable(name),
            clip_on=False,
        )


def _legend(figure: Figure, frames: Sequence[Axes], *, alone: bool = False, columns: int = 5) -> None:
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


# ---- a batch


STAGE_LOOKS = dict(zip(STAGES, (LOOKS[0], LOOKS[1], LOOKS[2], LOOKS[3]), strict=True))
MARK_LOOKS = {"hatched": ("*", 18), "bad": ("x", 11), "died": ("v", 12), "sold": ("s", 11)}


def batch_figure(title: str, story: Story, zone: ZoneInfo, until: dt.datetime) -> Figure:
    """How many of a batch there were at each stage, from eggs to sale, and what happened to them."""
    figure = _sheet(title)
    legend_rows = 2 if len(story.steps) + len({m.what for m in story.marks}) > 4 else 1
    axes = _axes(figure, (78, 62 + 34 * legend_rows, WIDTH - SIDE, HEIGHT - 96))
    _head(axes, "number alive")
    start = min(at for s in story.steps.values() for at, _ in s)
    highest = max(n for s in story.steps.values() for _, n in s) or 1
    for stage in STAGES:
        known = story.steps.get(stage)
        if known:
            _stage_line(axes, stage, sorted(known), until, zone)
    for what, (mark, size) in MARK_LOOKS.items():
        mine = [m for m in story.marks if m.what == what]
        if mine:
            axes.plot(
                [_x(m.at, zone) for m in mine],
                [m.height for m in mine],
                linestyle="",
                marker=mark,
                markersize=size,
                color=INK,
                markeredgecolor="white" if mark != "x" else INK,
                markeredgewidth=1 if mark != "x" else 3,
                label=what,
                clip_on=False,
                zorder=5,
            )
    _scale(axes, 0, highest * 1.12, 1)
    _days_of(axes, start, until, zone)
    _make_room([axes])
    _legend(figure, [axes], columns=4)
    return figure


def _stage_line(
    axes: Axes, stage: Stage, known: Sequence[tuple[dt.datetime, int]], until: dt.datetime, zone: ZoneInfo
) -> None:
    colour, _, line = STAGE_LOOKS[stage]
    ends = [*known, (until, known[-1][1])] if known[-1][1] else known
    axes.plot(
        [_x(at, zone) for at, _ in ends],
        [n for _, n in ends],
        drawstyle="steps-post",
        color=colour,
        linestyle=line,
        linewidth=4,
        label=stage,
    )


# ---- hatch windows


def windows_figure(
    title: str, rows: Sequence[WindowRow], now: dt.datetime, start: dt.date, end: dt.date, zone: ZoneInfo
) -> Figure:
    """When fry are expected, a bar for each batch, from `start` to the end of the day `end`."""
    rows = rows[:MOST_WINDOWS]
    figure = _sheet(title)
    axes = _axes(figure, (28, 98, WIDTH - 28, HEIGHT - 96))
    _spans(axes, rows, now, start, end, zone, HEIGHT - 194)
    _say(figure, EDGE, 8 / HEIGHT, "dark: first fry (80 %)   ◆ likeliest   pale: until the last", SMALL)
    return figure


def _spans(
    axes: Axes, rows: Sequence[WindowRow], now: dt.datetime, start: dt.date, end: dt.date, zone: ZoneInfo, tall: float
) -> None:
    left, right, today = start.toordinal(), end.toordinal() + 1, _x(now, zone)
    lines = max(len(rows), 3)
    axes.set_xlim(left, right)
    axes.set_ylim(lines, 0)
    axes.set_yticks([])
    for day in range(left, right):
        axes.axvline(day, color="#d0d0d0", linewidth=1, zorder=0)
    axes.axvline(today, color=VERMILION, linewidth=3, linestyle="--", zorder=2)
    axes.annotate(
        "now",
        (today, 0),
        (0, 4),
        textcoords="offset points",
        fontsize=SMALL,
        fontfamily=TYPEFACE,
        fontweight="bold",
        color=VERMILION,
        ha="left" if today - left < (right - left) / 20 else "center",
        va="bottom",
        annotation_clip=False,
    )
    thick = 22 / tall * lines
    room = axes.get_position().width * WIDTH * 72 / DPI - 16
    for number, row in enumerate(rows):
        foot = number + 0.93
        for begin, until, colour in ((row.first, row.last, SKY), (row.first, row.first_end, BLUE)):
            a, b = max(_x(begin, zone), left), min(_x(until, zone), right)
            if a < b:
                axes.fill_between([a, b], foot - thick, foot, color=colour, linewidth=0, zorder=1)
        if left <= _x(row.middle, zone) <= right:
            axes.plot(
                _x(row.middle, zone),
                foot - thick / 2,
                marker="D",
                markersize=10,
                color="white",
                markeredgecolor=INK,
                zorder=3,
            )
        axes.text(
            0.008,
            foot - thick - 0.03,
            fitted(f"{row.name}: past its window, look" if row.past else row.name, TEXT, room),
            transform=axes.get_yaxis_transform(),
            fontsize=TEXT,
            fontfamily=TYPEFACE,
            color=INK,
            va="bottom",
            parse_math=False,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5, "alpha": 0.85},
            zorder=4,
        )
    width = axes.get_position().width * WIDTH / (right - left)
    every = next((n for n in (1, 2, 3, 4, 7) if width * n > 76), 14)
    shown = [start + dt.timedelta(days=n) for n in range(0, right - left, every)]
    axes.set_xticks([d.toordinal() + 0.5 for d in shown], [f"{d:%a}\n{d.day} {d:%b}" for d in shown])
    axes.tick_params(axis="x", labelsize=SMALL, length=0)


# ---- the evening's small one


def nightly_figure(
    eggs: Row | None,
    windows: Sequence[WindowRow],
    now: dt.datetime,
    first: dt.date,
    last: dt.date,
    ahead: dt.date,
    zone: ZoneInfo,
) -> Figure:
    """Eggs of the last days beside the hatches to come; one of them alone takes the whole width."""
    height = 400
    figure = _sheet("", height=height)
    both = eggs is not None and bool(windows)
    middle = WIDTH // 2
    if eggs is not None:
        axes = _axes(figure, (70, 62, middle - 40 if both else WIDTH - SIDE, height - 72))
        _head(axes, "Eggs collected", pad=27)
        _bars(axes, eggs, [eggs], first, last, most=3 if both else 6)
        _make_room([axes], middle - 40 if both else WIDTH - SIDE)
    if windows:
        axes = _axes(figure, (middle + 14 if both else 28, 62, WIDTH - 28, height - 72))
        _spans(axes, windows[:4], now, last, ahead, zone, height - 134)
        _head(axes, "Fry expected", pad=27)  # with room for "now" below it
    return figure
