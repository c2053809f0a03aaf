"""Lines that may be lost: down to one pair, to one sex, or to old adults with no young behind them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from shared.due.rounds import Round
from shared.due.rules import Spot
from shared.due.stops import one_sex
from shared.due.tasks import NEVER
from shared.ledger.standing import Holding

HOW = "raise the next eggs apart, or ask a breeder of the same population"


def few_left(round_: Round) -> None:
    """One task a line that is bred here and running low; done, it comes back after some weeks while it is so."""
    clock, routine = round_.clock, round_.routine
    told = dict(round_.all_done)
    for line, held in _bred(round_).items():
        adults = sorted((h for h in held if h.stage == "adults" and h.place), key=lambda h: h.place)
        if not adults or any(h.stage in ("fry", "juveniles") for h in held):
            continue
        eggs = any(h.stage == "eggs" for h in held)
        spot = Spot(adults[0].place, "", frozenset(), frozenset({line}))
        state = _state(adults) or ("" if eggs else _old(round_, adults, spot))
        rhythm = routine.rhythm("few_left", spot, clock.today, clock.now)
        if not state or not rhythm.times or routine.is_off("few_left", spot, clock.today, clock.now):
            continue
        text = f"{line} {state}"
        since, done = max(_utc(h.since) for h in adults), told.get(text)
        done = _utc(done) if done else None
        at = clock.moment(clock.next_day(done, rhythm), rhythm.times[0]) if done else since
        times = round_.moved("few_left", spot, [at], max(done, since) if done else since)
        behind = "only eggs behind them" if eggs else "no eggs and no young behind them"
        round_.add("few_left", spot, times, behind, HOW, text=text, grace=NEVER)


def _bred(round_: Round) -> dict[str, list[Holding]]:
    """What there is of each line that is bred here: a batch of it is on record, or its adults stand to breed."""
    standing = round_.standing
    bred = {b.line for b in standing.batches.values()}
    by_line: dict[str, list[Holding]] = {}
    for place, held in round_.at_place.items():
        kept = standing.places.get(place)
        if kept and kept.role == "breeders":
            bred.update(h.line for h in held)
        for holding in held:
            by_line.setdefault(holding.line, []).append(holding)
    return {line: held for line, held in by_line.items() if line and line in bred}


def _state(adults: Sequence[Holding]) -> str:
    """Down to a pair, a few or one sex, where they are counted."""
    if not all(h.counted for h in adults):
        return ""
    number, male, female = (sum(n) for n in zip(*((h.count, h.male, h.female) for h in adults), strict=True))
    if number == 1:
        return "down to one fish"
    if one_sex(adults):
        return f"down to one sex: {'males' if male else 'females'}"
    if number == 2:
        return "down to one pair" if male == female == 1 else "down to two fish"
    return ""


def _old(round_: Round, adults: Sequence[Holding], spot: Spot) -> str:
    """All of them older than such fish are bred from; of bought ones it counts from when they came."""
    standing, clock = round_.standing, round_.clock
    line = standing.lines.get(adults[0].line)
    annual = line is not None and line.eggs == "peat"
    days = round_.routine.number("old_annuals_days" if annual else "old_adults_days", spot, clock.today, clock.now)
    born = [(b.fry_seen if (b := standing.batches.get(h.group)) else None) or h.since for h in adults]
    youngest = clock.now - max(_utc(at) for at in born)
    return "growing old" if 0 < days <= youngest / dt.timedelta(days=1) else ""


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)
