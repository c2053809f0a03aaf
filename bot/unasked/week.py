"""The week's figures, as the nightly message tells them on Sundays."""

from __future__ import annotations

import datetime as dt

from bot import sentences as say
from bot.answers.found import Found
from bot.routine.chore_list import MOST_NAMED, in_a_row
from bot.routine.chores import zone_of
from bot.unasked.night import MISSED_LATELY, Line, Night, late_by
from shared.due.tasks import NEVER
from shared.ledger.standing import Standing


def week(night: Night) -> list[Line]:
    """Seven days up to now, the seven before in brackets; what stands, and what has waited long."""
    start = night.midnight - dt.timedelta(days=6)
    this = Found.of(night.book.entries(since=start, until=night.now))
    earlier = start - dt.timedelta(days=7)
    last = Found.of(night.book.entries(since=earlier, until=start - dt.timedelta(seconds=1)))
    lines = [_figures(night, start, this, last)]
    laying = [f"{line} {n}" for line, n in this.eggs.by.most_common(MOST_NAMED)]
    if len(laying) > 1:
        lines.append(Line(f"Eggs by line: {', '.join(laying)}.", f"Eggs: {', '.join(laying[:3])}.", 9))
    if alive := _alive(night.standing):
        lines.append(Line(f"Standing: {', '.join(alive)}.", f"{', '.join(alive)}.", 9))
    low = list(dict.fromkeys(t.text or "" for t in night.tasks if t.task == "few_left"))
    if low:
        lines.append(Line(f"Running low: {'; '.join(low[:MOST_NAMED])}.", f"Low: {'; '.join(low[:2])}.", 8))
    waiting = [t for t in night.tasks if t.grace != NEVER and late_by(t, night.now) > MISSED_LATELY]
    if waiting:
        oldest = min(t.due for t in waiting)
        since = f"{oldest.day} {oldest:%b}"
        lines.append(Line(f"Waiting long, some since {since}: {in_a_row(waiting, 4)}.", "", 10))
    return lines


def _figures(night: Night, start: dt.datetime, this: Found, last: Found) -> Line:
    pairs = (
        (this.eggs, last.eggs, "eggs"),
        (this.hatched, last.hatched, "hatched"),
        (this.bad, last.bad, "bad eggs"),
        (this.dead, last.dead, "dead"),
        (this.sold, last.sold, "sold"),
    )
    comparable = any(before for _, before, _ in pairs)
    told, brief = [], []
    for one, other, words in pairs:
        if not one and not other:
            continue
        about = "about " if one.about else ""
        earned = this.earned(night.book.info) if words == "sold" else ""
        compared = f" ({say.number(other.number)})" if comparable else ""
        count = say.number(one.number) if one.number else "some"  # told, and not counted
        told.append(f"{about}{count} {words}{earned}{compared}")
        brief.append(f"{count} {words}{earned}")
    span = say.span(start, night.now, zone_of(night.standing, night.book))
    brackets = "; in brackets the week before" if comparable else ""
    figures = f"{', '.join(told)}{brackets}." if told else "nothing was logged."
    return Line(f"Week {span}: {figures}", f"Week: {', '.join(brief) or 'nothing logged'}.", 6)


def _alive(standing: Standing) -> list[str]:
    """How many eggs and fish of each age stand in the room, by what was counted."""
    alive = []
    for stage in ("eggs", "fry", "juveniles", "adults"):
        held = [h for h in standing.holdings.values() if h.stage == stage]
        number = sum(h.count for h in held if h.counted)
        if held:
            blank = "" if all(h.counted for h in held) else " counted" if number else " (not counted)"
            alive.append(f"{say.fish(number, stage) if number else stage}{blank}")
    return alive
