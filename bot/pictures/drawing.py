"""Data into pictures: what is drawn must be read on a telephone in a bright room, and without telling red from green.

What differs by colour differs by mark, line or place as well.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot.pictures.hatch_windows import WindowRow, spans
from bot.pictures.sheet import (
    BLUE,
    DPI,
    HEIGHT,
    INK,
    LOOKS,
    ORANGE,
    SIDE,
    SMALL,
    TYPEFACE,
    WIDTH,
    dates,
    drawable,
    frame,
    heading,
    legend,
    make_room,
    place_of,
    scale,
    sheet,
    stacked,
    whole_days,
)
from shared.events import STAGES, Stage

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MOST_SERIES, MOST_ROWS, MOST_PANELS = len(LOOKS), 5, 3


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
    """A batch over time: how many stood at each stage after each change (None: not known), and what happened."""

    steps: Mapping[str, Sequence[tuple[dt.datetime, int | None]]]
    marks: Sequence[Mark] = field(default_factory=tuple)


# ---- counts by day


def days_figure(title: str, unit: str, rows: Sequence[Row], first: dt.date, last: dt.date, step: int = 1) -> Figure:
    """Bars by day, a row for each name, all to one scale; `step` 7 where a count is a week's."""
    rows = rows[:MOST_ROWS]
    figure = sheet(title)
    heads = [f"{row.name}: {sum(row.counts.values())} {unit}" for row in rows]
    stack = stacked(figure, heads)
    for axes, row in zip(stack, rows, strict=True):
        _bars(axes, row, rows, first, last, step)
    make_room(stack)
    return figure


def _bars(
    axes: Axes, row: Row, rows: Sequence[Row], first: dt.date, last: dt.date, step: int = 1, most: int = 6
) -> None:
    from matplotlib.ticker import MaxNLocator

    dates(axes, first, last, most, step)
    highest = max((n for r in rows for n in r.counts.values()), default=0) or 1
    axes.bar([d.toordinal() + (step - 1) / 2 for d in row.counts], list(row.counts.values()), 0.8 * step, color=BLUE)
    axes.set_xlim(first.toordinal() - 0.6, last.toordinal() + 0.6)
    # over the highest bar its number must fit, below the heading: what is left of the frame is the bar's
    tall = axes.get_position().height * axes.get_figure(root=True).get_figheight() * DPI  # type: ignore[union-attr]
    axes.set_ylim(0, highest * 1.03 / max(1 - 1.25 * SMALL * DPI / 72 / tall, 0.3))
    if len(rows) == 1:
        axes.yaxis.set_major_locator(MaxNLocator(nbins=4, integer=True, steps=[1, 2, 5, 10]))
    else:
        # five rows leave no room for a nought under the other number, and a bar's foot says it anyhow
        axes.set_yticks([_round_below(highest)] if len(rows) > 3 else [0, _round_below(highest)])
    said = sorted({*row.counts, *row.unsaid})
    pixels = axes.get_position().width * WIDTH / ((last - first).days + 1)
    gaps = [99, *((b - a).days for a, b in pairwise(said)), 99]
    widest = max((len(str(n)) for n in row.counts.values()), default=1) + (step > 1 and bool(row.unsaid))
    for day, before, after in zip(said, gaps, gaps[1:], strict=False):
        count = row.counts.get(day)
        tight = min(before, after) * pixels < 12 * widest + 8  # the numbers would run into one another
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
    figure = sheet(title)
    moments = [at for p in panels for s in p.series.values() for at, _ in s]
    start, end = min(moments), max(moments)
    changes = [at for at in changes if start <= at <= end and any(p.shows_changes for p in panels)]
    names = list(dict.fromkeys(n for p in panels for n in p.series))[:MOST_SERIES]
    foot = bool(changes) or len(names) > 1
    stack = stacked(figure, [p.name for p in panels], bottom=62 + (34 if foot else 0))
    for axes, panel in zip(stack, panels, strict=True):
        _lines(axes, panel, names, len(panels), zone)
        whole_days(axes, start, end, zone)
        if changes and panel.shows_changes:
            axes.plot(
                [place_of(at, zone) for at in changes],
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
    make_room(stack)
    if foot:
        legend(figure, stack, alone=len(names) == 1)
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
    scale(axes, bottom, top, panels)
    for name, (colour, mark, line) in zip(names, LOOKS, strict=False):
        known = sorted(panel.series.get(name, ()))
        axes.plot(
            [place_of(at, zone) for at, _ in known],
            [v for _, v in known],
            color=colour,
            marker=mark,
            linestyle=line,
            linewidth=3,
            markersize=9,
            label=drawable(name),
            clip_on=False,
        )


# ---- a batch


STAGE_LOOKS = dict(zip(STAGES, (LOOKS[0], LOOKS[1], LOOKS[2], LOOKS[3]), strict=True))
MARK_LOOKS = {"hatched": ("*", 18), "bad": ("x", 11), "died": ("v", 12), "sold": ("s", 11)}


def batch_figure(title: str, story: Story, zone: ZoneInfo, until: dt.datetime) -> Figure:
    """How many of a batch there were at each stage, from eggs to sale, and what happened to them."""
    figure = sheet(title)
    legend_rows = 2 if len(story.steps) + len({m.what for m in story.marks}) > 4 else 1
    axes = frame(figure, (78, 62 + 34 * legend_rows, WIDTH - SIDE, HEIGHT - 96))
    heading(axes, "number alive")
    start = min(at for s in story.steps.values() for at, _ in s)
    highest = max(n or 0 for s in story.steps.values() for _, n in s) or 1
    for stage in STAGES:
        known = story.steps.get(stage)
        if known:
            _stage_line(axes, stage, known, until, zone)
    for what, (mark, size) in MARK_LOOKS.items():
        mine = [m for m in story.marks if m.what == what]
        if mine:
            axes.plot(
                [place_of(m.at, zone) for m in mine],
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
    scale(axes, 0, highest * 1.12, 1)
    whole_days(axes, start, until, zone)
    make_room([axes])
    legend(figure, [axes], columns=4)
    return figure


def _stage_line(
    axes: Axes, stage: Stage, known: Sequence[tuple[dt.datetime, int | None]], until: dt.datetime, zone: ZoneInfo
) -> None:
    colour, _, line = STAGE_LOOKS[stage]
    ends = [*known, (until, known[-1][1])] if known[-1][1] else known
    axes.plot(
        [place_of(at, zone) for at, _ in ends],
        [math.nan if n is None else n for _, n in ends],
        drawstyle="steps-post",
        color=colour,
        linestyle=line,
        linewidth=4,
        label=stage,
    )


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
    figure = sheet("", height=height)
    both = eggs is not None and bool(windows)
    middle = WIDTH // 2
    if eggs is not None:
        axes = frame(figure, (70, 62, middle - 40 if both else WIDTH - SIDE, height - 72))
        heading(axes, "Eggs collected", pad=27)
        _bars(axes, eggs, [eggs], first, last, most=3 if both else 6)
        make_room([axes], middle - 40 if both else WIDTH - SIDE)
    if windows:
        axes = frame(figure, (middle + 14 if both else 28, 62, WIDTH - 28, height - 72))
        spans(axes, windows[:4], now, last, ahead, zone, height - 134)
        heading(axes, "Fry expected", pad=27)  # with room for "now" below it
    return figure
