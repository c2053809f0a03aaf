"""Figures for whoever scrapes them, in the OpenMetrics text form (openmetrics.io, version 1.0.0).

Nothing in them names anybody: labels are words of the program, never a name, a number or a word somebody wrote.
"""

from __future__ import annotations

import os
import sys
import time
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

KIND = "application/openmetrics-text; version=1.0.0; charset=utf-8"
STARTED = time.time()


@dataclass
class Counts:
    """What the doors have done since they opened."""

    messages: Counter[tuple[str, str]] = field(default_factory=Counter)  # by door and what became of them
    hearing: float = 0.0  # seconds spent on them in the book


@dataclass(frozen=True)
class Figure:
    """One family of samples. The name of a counter is without the `_total` its samples end in."""

    name: str
    kind: str
    meaning: str
    samples: tuple[tuple[str, float], ...]  # what stands behind the name (`_total`, labels), and the value


def of_counts(counts: Counts) -> Iterable[Figure]:
    """What became of the messages, and how long hearing them took."""
    messages = sorted(counts.messages.items())
    yield Figure(
        "roomhand_messages",
        "counter",
        "Messages taken in, by door and what became of them.",
        tuple((f'_total{{door="{door}",became="{became}"}}', many) for (door, became), many in messages),
    )
    heard = sum(many for (_, became), many in messages if became == "heard")
    yield Figure(
        "roomhand_hearing_seconds",
        "summary",
        "Time from taking a message out of the queue to having its answer kept.",
        (("_count", heard), ("_sum", counts.hearing)),
    )


def of_process() -> Iterable[Figure]:
    """The usual three of any process, under their usual names."""
    used = os.times()
    yield Figure("process_cpu_seconds", "counter", "Processor time used.", (("_total", used.user + used.system),))
    yield Figure("process_start_time_seconds", "gauge", "When it started, since 1970.", (("", STARTED),))
    if sys.platform == "linux":
        with open("/proc/self/statm", encoding="ascii") as pages:
            held = int(pages.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
        yield Figure("process_resident_memory_bytes", "gauge", "Memory it holds.", (("", held),))


def written(figures: Iterable[Figure]) -> bytes:
    """The figures in the text form, as they are sent."""
    lines: list[str] = []
    for figure in figures:
        lines += [f"# TYPE {figure.name} {figure.kind}", f"# HELP {figure.name} {figure.meaning}"]
        lines += [f"{figure.name}{behind} {value:.10g}" for behind, value in figure.samples]
    return "\n".join((*lines, "# EOF", "")).encode()
