"""Hatches to come, drawn: a bar for each batch, from when fry may be seen to the last of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot.pictures.sheet import (
    BLUE,
    DPI,
    EDGE,
    HEIGHT,
    INK,
    SKY,
    SMALL,
    TEXT,
    TYPEFACE,
    VERMILION,
    WIDTH,
    fitted,
    frame,
    place_of,
    say_at,
    sheet,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MOST_WINDOWS = 7


@dataclass(frozen=True)
class WindowRow:
    """One batch's hatch: first fry between `first` and `first_end` (80 %), most likely `middle`, last by `last`."""

    name: str
    first: dt.datetime
    middle: dt.datetime
    first_end: dt.datetime
    last: dt.datetime
    past: bool = False


def windows_figure(
    title: str, rows: Sequence[WindowRow], now: dt.datetime, start: dt.date, end: dt.date, zone: ZoneInfo
) -> Figure:
    """When fry are expected, a bar for each batch, from `start` to the end of the day `end`."""
    rows = rows[:MOST_WINDOWS]
    figure = sheet(title)
    axes = frame(figure, (28, 98, WIDTH - 28, HEIGHT - 96))
    spans(axes, rows, now, start, end, zone, HEIGHT - 194)
    say_at(figure, EDGE, 8 / HEIGHT, "dark: first fry (80 %)   ◆ likeliest   pale: until the last", SMALL)
    return figure


def _mark_now(axes: Axes, today: float, *, at_left: bool) -> None:
    axes.annotate(
        "now",
        (today, 0),
        (0, 4),
        textcoords="offset points",
        fontsize=SMALL,
        fontfamily=TYPEFACE,
        fontweight="bold",
        color=VERMILION,
        ha="left" if at_left else "center",
        va="bottom",
        annotation_clip=False,
    )


def _window(
    axes: Axes, row: WindowRow, foot: float, thick: float, room: float, edges: tuple[int, int], zone: ZoneInfo
) -> None:
    """One batch: its window from first to last, the first fry darker, the middle marked, and its name above."""
    left, right = edges
    for begin, until, colour in ((row.first, row.last, SKY), (row.first, row.first_end, BLUE)):
        a, b = max(place_of(begin, zone), left), min(place_of(until, zone), right)
        if a < b:
            axes.fill_between([a, b], foot - thick, foot, color=colour, linewidth=0, zorder=1)
    if left <= place_of(row.middle, zone) <= right:
        axes.plot(
            place_of(row.middle, zone),
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


def spans(
    axes: Axes, rows: Sequence[WindowRow], now: dt.datetime, start: dt.date, end: dt.date, zone: ZoneInfo, tall: float
) -> None:
    """The bars on axes `tall` pixels high, with days below and the line of now."""
    left, right, today = start.toordinal(), end.toordinal() + 1, place_of(now, zone)
    lines = max(len(rows), 3)
    axes.set_xlim(left, right)
    axes.set_ylim(lines, 0)
    axes.set_yticks([])
    for day in range(left, right):
        axes.axvline(day, color="#d0d0d0", linewidth=1, zorder=0)
    axes.axvline(today, color=VERMILION, linewidth=3, linestyle="--", zorder=2)
    _mark_now(axes, today, at_left=today - left < (right - left) / 20)
    thick = 22 / tall * lines
    room = axes.get_position().width * WIDTH * 72 / DPI - 16
    for number, row in enumerate(rows):
        _window(axes, row, number + 0.93, thick, room, (left, right), zone)
    width = axes.get_position().width * WIDTH / (right - left)
    every = next((n for n in (1, 2, 3, 4, 7) if width * n > 76), 14)
    shown = [start + dt.timedelta(days=n) for n in range(0, right - left, every)]
    axes.set_xticks([d.toordinal() + 0.5 for d in shown], [f"{d:%a}\n{d.day} {d:%b}" for d in shown])
    axes.tick_params(axis="x", labelsize=SMALL, length=0)
