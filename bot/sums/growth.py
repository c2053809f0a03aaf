"""Growth: how long fish are at an age, when they can move up or be sold, and how many will be ready by which week."""

from __future__ import annotations

import datetime as dt
import math
import re
from statistics import NormalDist

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure, rests_on
from bot.answers.hatch_dates import stranger
from bot.language.times.seasons import MONTHS
from shared.husbandry.growth import SALE_MM, When, length_at, move_up, sale_size, when_length
from shared.ledger.standing import Batch, Holding

MOST_LINES = 4
_Z90 = NormalDist().inv_cdf(0.9)


def _groups(s: Sum) -> list[str]:
    """The batches a question is about."""
    query, standing = s.ask.query, s.standing
    if query.batch:
        return [query.batch]
    held = standing.fish_at(query.place) if query.place else list(standing.holdings.values())
    wanted = [h for h in held if h.stage in ("fry", "juveniles") or query.place]
    return list(dict.fromkeys(h.group for h in wanted if not query.line or h.line == query.line))


def species_of(s: Sum, line: str | None) -> str | None:
    """Of which species a line is, where that was said."""
    kept = s.standing.lines.get(line or "")
    return kept.species if kept else None


def measured_of(s: Sum, name: str, hatched: dt.datetime) -> list[tuple[float, float]]:
    """A batch's own lengths, age in days and mm; those of a place count where it stands there alone."""
    standing = s.standing
    found = standing.readings_of(name, "length")
    for held in standing.of_group(name):
        if held.stage != "eggs" and len(standing.fish_at(held.place)) == 1:
            found += [r for r in standing.readings_of(held.place, "length") if r.at >= held.since]
    aged = sorted(((r.at - hatched).total_seconds() / 86400, r.value) for r in found)
    return [(age, mm) for age, mm in aged if age >= 0 and 1 <= mm <= 500]


def ready(s: Sum) -> Answer:
    """When fish will be big enough to move or sell, or reach a length that is named."""
    wanted = s.number("length")
    if wanted is not None and wanted < SALE_MM and s.says(r"\b(?:sale|sell|sold|saleable|sellable|market)\b"):
        return _from_length(s, wanted)
    lines: list[str] = []
    why: list[str] = []
    unborn = []
    for name in _groups(s):
        batch = s.standing.batches.get(name)
        if batch is None or batch.fry_seen is None:
            unborn.append(name)
            continue
        line, because_of = _ready_line(s, batch, wanted)
        lines.append(line)
        why += because_of
    if not lines:
        if wanted is not None:
            when_length(None, wanted, s.ask.now.date())  # refuses a length that is none
        known = f"{say.listed(unborn[:3])} have no hatch on record" if unborn else "No fry of that are on record"
        return Answer(f"{known}, so no date.")
    if len(lines) > MOST_LINES:
        lines = [*lines[:MOST_LINES], f"… and {len(lines) - MOST_LINES} more."]
    return Answer("\n".join(lines), why=tuple(dict.fromkeys(why)))


def reach(s: Sum) -> Answer:
    """At what age fish of a line reach a length, and when the batches on record do."""
    wanted = s.number("length") or (25.4 if s.says(r"\b(?:an|one) inch\b") else None)
    wanted = 12.7 if wanted is None and s.says(r"\bhalf an inch\b") else wanted
    query, today = s.ask.query, s.ask.now.date()
    line = query.line or (s.standing.line_of(query.batch) if query.batch else None)
    if wanted is None or (line is None and not query.place):
        return ready(s)
    lines, why = [], list[str]()
    if line is not None and not query.batch:
        found = when_length(species_of(s, line), wanted, today)  # of fish hatched today: its days are ages
        ages = [(day - today).days for day in (found.earliest, found.latest) if day is not None]
        age = f"{ages[0]} to {ages[1]} days old (80 %)" if len(ages) == 2 else "beyond the growth that is known"
        lines.append(f"{line}: {figure(wanted)} mm at {age}.")
        why += rests_on(found.basis, found.sources, found.cautions)
    for name in _groups(s)[:MOST_LINES]:
        batch = s.standing.batches.get(name)
        if batch is not None and batch.fry_seen is not None:
            text, because_of = _ready_line(s, batch, wanted)
            lines.append(text)
            why += because_of
    return Answer("\n".join(lines[:4]) or "No fry of that are on record, so no date.", why=tuple(dict.fromkeys(why)))


def _from_length(s: Sum, mm: float) -> Answer:
    """When fish of a length now will be of sale size, by their line's growth from the age that has that length."""
    query, today = s.ask.query, s.ask.now.date()
    line = query.line or (s.standing.line_of(query.batch) if query.batch else None)
    if line is None and query.place:
        line = next((h.line for h in s.standing.fish_at(query.place)), None)
    species = species_of(s, line)
    reached = when_length(species, mm, today)  # of fish hatched today: its middle is the age at that length
    if reached.day is None:
        return Answer(f"{figure(mm)} mm is beyond the growth that is known, so no date.")
    age = (reached.day - today).days
    found = sale_size(species, today - dt.timedelta(days=age), [(age, mm)])
    whose = f"{line} of {figure(mm)} mm now" if line else f"{figure(mm)} mm now, of a line not said"
    when = f"{say.first_up(whose)}: sale size ({say.number(SALE_MM)} mm) {_when(found, s.ask.now)}"
    return Answer(
        f"{when} (80 % window; {species or 'any small egg-layer, so wide: say which fish'}).",
        why=rests_on(
            found.basis.replace("1 of the room's own measurements", "the length that was named"),
            found.sources,
            found.cautions,
        ),
    )


def _ready_line(s: Sum, batch: Batch, wanted: float | None) -> tuple[str, tuple[str, ...]]:
    assert batch.fry_seen is not None
    now, species = s.ask.now, species_of(s, batch.line)
    hatched = batch.fry_seen.astimezone(s.info.zone).date()
    measured = measured_of(s, batch.name, batch.fry_seen)
    spots = [s.standing.places[h.place] for h in s.standing.of_group(batch.name) if h.place in s.standing.places]
    parts = [f"{batch.name} ({batch.line}): {say.count((now - batch.fry_seen).days, 'day')} old"]
    if wanted is not None:
        last = when_length(species, wanted, hatched, measured)
        parts.append(f"{figure(wanted)} mm {_when(last, now)}")
    else:
        if not any(p.role == "grow-out" for p in spots):
            up = move_up(species, hatched, "tub" if any(p.kind == "tub" for p in spots) else "nursery", measured)
            parts.append(f"to move up {_when(up, now)}")
        last = sale_size(species, hatched, measured)
        parts.append(f"sale size ({say.number(SALE_MM)} mm) {_when(last, now)}")
    basis = f"{say.count(len(measured), 'length')} measured here" if measured else species or "species not known"
    text = f"{'; '.join(parts)} (80 % windows; {basis})."
    return text, rests_on(last.basis, last.sources, last.cautions)


def _when(when: When, now: dt.datetime) -> str:
    if when.earliest is None:
        return "cannot be said yet"
    if when.latest is None and when.earliest <= now.date():
        return "perhaps by now, the end is not known"
    if when.latest is None:
        return f"not before {say.day(when.earliest, now.date())}, the end is not known"
    if when.latest <= now.date():
        return "by now"
    return f"{say.day(max(when.earliest, now.date()), now.date())} to {say.day(when.latest, now.date())}"


def _share_grown(s: Sum, batch: Batch, mm: float, day: dt.date) -> float | None:
    """The chance that a batch's fish have reached a length by a day; None beyond what is known of growth."""
    assert batch.fry_seen is not None
    age = (day - batch.fry_seen.astimezone(s.info.zone).date()).days
    try:
        found = length_at(species_of(s, batch.line), max(age, 0), measured_of(s, batch.name, batch.fry_seen))
    except ValueError:
        return None
    if not found.low or not found.high:
        return None
    spread = math.log(found.high / found.low) / (2 * _Z90)
    return NormalDist().cdf(math.log(found.value / mm) / spread)


def weeks(s: Sum) -> Answer:
    """How many will be of sale size by the end of which week, from every counted group's age and growth."""
    today, mm = s.ask.now.date(), s.number("length") or SALE_MM
    held, blank = _growing(s)
    if not held:
        return Answer("No counted fry or young with a hatch date are on record there, so no numbers.")
    told = _numbers_by(s, held, mm)
    left = f" Not counted, so left out: {say.listed(list(dict.fromkeys(blank))[:4])}." if blank else ""
    groups = say.listed(dict.fromkeys(b.name for _, b in held))
    total = sum(h.count for h, _ in held)
    text = f"Of {total} ({groups}), at {figure(mm)} mm or more by: {'; '.join(told) or 'none for half a year'}."
    found = sale_size(species_of(s, held[0][1].line), today, mm=mm)
    why = rests_on(
        "expected numbers: each group's count times the chance that it has grown so far; later losses not taken off",
        found.sources,
        found.cautions,
    )
    return Answer(f"{text}\nExpected numbers, before any losses; one measured length narrows them.{left}", why=why)


def _growing(s: Sum) -> tuple[list[tuple[Holding, Batch]], list[str]]:
    """The counted young with a hatch date, and the groups of which one or the other is not known."""
    held: list[tuple[Holding, Batch]] = []
    blank: list[str] = []
    for name in _groups(s):
        batch = s.standing.batches.get(name)
        for h in s.standing.of_group(name):
            if h.stage not in ("fry", "juveniles"):
                continue
            if batch is None or batch.fry_seen is None or not h.counted:
                blank.append(name)
            elif h.count > 0:
                held.append((h, batch))
    return held, blank


def _numbers_by(s: Sum, held: list[tuple[Holding, Batch]], mm: float) -> list[str]:
    """How many are that long by which day, as often as the number grows by much."""
    today, total = s.ask.now.date(), sum(h.count for h, _ in held)
    ends, named = _ends(s, today)
    told, seen = [], -1
    for end in ends:
        shares = [(h.count, _share_grown(s, batch, mm, end)) for h, batch in held]
        if any(share is None for _, share in shares):
            told.append(f"beyond {say.day(end)} growth is not known")
            break
        number = sum(count * (share or 0.0) for count, share in shares)
        if round(number) != seen and (named or round(number) - max(seen, 0) >= max(1, total // 12)):
            told.append(f"{say.day(end, today)} about {round(number)}")
            seen = round(number)
        if number > 0.95 * total or len(told) == 6:
            break
    return told


def _ends(s: Sum, today: dt.date) -> tuple[list[dt.date], bool]:
    """The days asked about, and whether a day or month is named; else the Sundays of half a year."""
    day = s.ask.query.date
    if day is not None and day > today and s.says(r"\b(?:by|before|until|on)\b"):
        return [day], True
    month = re.search(rf"\b(?:in|by|during|end of) ({'|'.join(MONTHS)})[a-z]*\b", s.said)
    if not month:
        return [today + dt.timedelta(days=7 * n + (6 - today.weekday())) for n in range(27)], False
    number = MONTHS.index(month[1]) + 1
    first = dt.date(today.year if number >= today.month else today.year + 1, number, 1)
    last = (first + dt.timedelta(days=32)).replace(day=1) - dt.timedelta(days=1)
    return [today if number == today.month else first - dt.timedelta(days=1), last], True


def length(s: Sum) -> Answer:
    """How long fish of a line should be at an age, or whether a length at an age is as published."""
    query, days, mm = s.ask.query, s.number("days"), s.number("length")
    line = query.line or (s.standing.line_of(query.batch) if query.batch else None)
    if line is None and query.place:
        line = next((h.line for h in s.standing.fish_at(query.place)), None)
    batch = s.standing.batches.get(query.batch or "")
    if days is None and batch and batch.fry_seen:  # that are there: now
        days = max(0.0, (s.ask.now - batch.fry_seen).total_seconds() / 86400)
    if line is None and (strange := stranger(s.ask.text)):
        return Answer(f"Nobody keeps “{strange}” here and there are no figures of how they grow.")
    if days is None or line is None:
        return Answer("Say of which fish and at what age, like “how big should gardneri be at 30 days”.")
    if mm is not None and not 1 <= mm <= 500:
        raise ValueError(f"{mm:g} mm is not a length for these fish; it runs from 1 to 500")
    found = length_at(species_of(s, line), days)
    width = f"{found.low:.0f}–{found.high:.0f}, 80 %"
    text = f"{line} at {say.count(round(days), 'day')}: about {found.value:.0f} mm ({width})."
    if mm is not None and found.low is not None and found.high is not None:
        verdict = "small for that" if mm < found.low else "big for that" if mm > found.high else "within what is usual"
        text += f" {figure(mm)} mm is {verdict}."
    return Answer("\n".join((text, *found.cautions[:1])), why=because(found, said=found.cautions[:1]))
