"""Rates from the record: hatch rates and whether they really differ, and survival to sale."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, places_named
from bot.language.times.seasons import MONTHS
from shared.husbandry.rates import Comparison, Rate, Spawn, compare, compare_each, hatch_rate, wilson
from shared.husbandry.survival import Life, survival_at
from shared.ledger.standing import Account, Batch, Entry, cause_of

MOST_LINES = 4
_ALIVE = ("fry", "juveniles", "adults")


# ---- hatch rates


@dataclass(frozen=True)
class _Spawned:
    """A batch whose eggs are decided: hatched, gone bad, or missing; none of them still waited for."""

    batch: Batch
    spawn: Spawn


def _spawned(s: Sum, *, of_place: bool = True) -> tuple[list[_Spawned], list[str], list[str]]:
    """Batches that are decided, those still waited for, and those nobody counted; as the question bounds them."""
    query, standing = s.ask.query, s.standing
    waiting = {h.group for h in standing.holdings.values() if h.stage == "eggs"}
    first, last = _month(s)
    done: list[_Spawned] = []
    open_: list[str] = []
    blank: list[str] = []
    for batch in standing.batches.values():
        eggs = batch.eggs
        if batch.joined or (query.line and batch.line != query.line) or (query.batch and batch.name != query.batch):
            continue
        if of_place and query.place and query.place not in batch.parents:
            continue
        laid = batch.laid_to or batch.opened
        if first and not first <= laid.astimezone(s.info.zone).date() <= (last or dt.date.max):
            continue
        if not (eggs.pulled or eggs.start or eggs.moved_in or eggs.unknown):
            continue
        decided = eggs.hatched + eggs.bad + eggs.died + max(0, eggs.unaccounted)
        if eggs.unknown:
            blank.append(batch.name)
        elif batch.name in waiting:
            open_.append(batch.name)
        elif decided:
            done.append(_Spawned(batch, (eggs.hatched, decided)))
    return done, open_, blank


def _month(s: Sum) -> tuple[dt.date | None, dt.date | None]:
    """The days a rate is asked for: this or last month, a named one, or so many days back."""
    today = s.ask.now.date()
    if s.says(r"\bthis month\b"):
        return today.replace(day=1), today
    if s.says(r"\blast month\b"):
        end = today.replace(day=1) - dt.timedelta(days=1)
        return end.replace(day=1), end
    found = re.search(rf"\bin ({'|'.join(MONTHS)})[a-z]*\b", s.said)
    if found:
        month = MONTHS.index(found[1]) + 1
        year = today.year if month <= today.month else today.year - 1
        start = dt.date(year, month, 1)
        return start, (start + dt.timedelta(days=32)).replace(day=1) - dt.timedelta(days=1)
    if s.ask.query.days:
        return today - dt.timedelta(days=s.ask.query.days), today
    return None, None


def _percent(rate: Rate) -> str:
    return f"{100 * rate.value:.0f} % ({100 * (rate.low or 0):.0f}–{100 * (rate.high or 0):.0f} %, 95 %)"


def _rate_line(name: str, spawns: Sequence[Spawn]) -> tuple[str, Rate]:
    found = hatch_rate(spawns)
    many = say.count(len(spawns), "batch", "batches")
    return f"{name}: {found.successes} of {found.total} eggs hatched, {_percent(found)}, {many}.", found


def rate(s: Sum) -> Answer:
    """Hatch rates by line, by tank or by month, as asked; batches still waited for are left out and named."""
    if s.says(r"\bfertil"):
        return _fertility(s)
    done, waiting, blank = _spawned(s)
    groups: dict[str, list[Spawn]] = {}
    by_tank = s.says(r"\b(?:each|every|by|per|which) (?:tank|group|pair)\b")
    by_month = s.says(r"\b(?:by|per|each|every) month\b|\bmonthly\b")
    for one in done:
        laid = (one.batch.laid_to or one.batch.opened).astimezone(s.info.zone)
        name = one.batch.line
        if by_tank:
            name = say.places(one.batch.parents) or "tank not known"
        elif by_month:
            name = f"{one.batch.line}, {laid:%b %Y}"
        groups.setdefault(name, []).append(one.spawn)
    left = []
    if waiting:
        left.append(f"{say.listed(waiting[:4])}{' and others' if len(waiting) > 4 else ''} still waited for")
    if blank:
        left.append(f"{say.listed(blank[:4])}{' and others' if len(blank) > 4 else ''} not counted")
    out = f"Left out: {'; '.join(left)}." if left else ""
    if not groups:
        return Answer(
            " ".join(("No batch there has had all its eggs counted to the end yet, so no rate.", out)).strip()
        )
    told = [_rate_line(name, spawns) for name, spawns in groups.items()]
    lines = [line for line, _ in told[: MOST_LINES + 1]]
    if len(told) > MOST_LINES + 1:
        lines.append(f"… and {len(told) - MOST_LINES - 1} more.")
    few = next((r.cautions[0] for _, r in told if r.cautions), "")
    lines += [x for x in (few, out) if x]
    why = [w for _, r in told for w in because(r, said=(few,))]
    return Answer(
        "\n".join(lines), why=(*dict.fromkeys(why), "Batches with nothing left alive for two months are not in it.")
    )


def _fertility(s: Sum) -> Answer:
    """Of how many eggs an eye was seen: the nearest to fertility that a keeper's counts give."""
    query = s.ask.query
    groups: dict[str, list[Spawn]] = {}
    for batch in s.standing.batches.values():
        eggs = batch.eggs
        came = eggs.pulled + eggs.start
        if (query.line and batch.line != query.line) or (query.batch and batch.name != query.batch) or eggs.unknown:
            continue
        if (query.place and query.place not in batch.parents) or batch.eyed_count is None or not came:
            continue
        groups.setdefault(batch.line, []).append((min(batch.eyed_count, came), came))
    if not groups:
        return Answer("Fertility shows as eggs that eye up; no batch has its eyed eggs counted yet (“B22 40 eyed”).")
    return _shares(groups, "eyed up")


def _shares(groups: dict[str, list[Spawn]], what: str) -> Answer:
    """The share of eggs by line with its width and basis."""
    told, why = [], list[str]()
    for name, spawns in groups.items():
        found = hatch_rate(spawns)
        told.append(f"{name}: {found.successes} of {found.total} eggs {what}, {_percent(found)}.")
        why += because(found)
    return Answer("\n".join(told[:MOST_LINES]), why=tuple(dict.fromkeys(why)))


def counted_share(s: Sum) -> Answer:
    """The rate of two counts the question names, each egg taken for itself."""
    found = re.search(r"\b(\d+) (?:of|out of|from) (\d+)\b", s.said)
    if found is None:
        return rate(s)
    share = wilson(int(found[1]), int(found[2]))
    text = f"{share.successes} of {share.total}: {_percent(share)}."
    more = "Eggs of one spawn fare alike, so the truth may lie further off."
    return Answer(f"{text}\n{more}", why=because(share))


def bad_share(s: Sum) -> Answer:
    """Of the eggs collected in batches that are decided or waited for, how many were taken out bad so far."""
    query = s.ask.query
    groups: dict[str, list[Spawn]] = {}
    for batch in s.standing.batches.values():
        eggs = batch.eggs
        came = eggs.pulled + eggs.start + eggs.moved_in
        if (query.line and batch.line != query.line) or (query.batch and batch.name != query.batch) or eggs.unknown:
            continue
        if (query.place and query.place not in batch.parents) or not came or batch.joined:
            continue
        groups.setdefault(batch.line, []).append((min(eggs.bad, came), came))
    if not groups:
        return Answer("No counted eggs of that are on record, so no share.")
    return _shares(groups, "went bad so far")


def comparison(s: Sum) -> Answer:
    """Whether one tank's hatch rate really is below another's, or below all the others'."""
    named = places_named(s.ask)
    done, _, _ = _spawned(s, of_place=False)
    tanks: dict[str, list[Spawn]] = {}
    for one in done:
        if len(one.batch.parents) == 1:
            tanks.setdefault(one.batch.parents[0], []).append(one.spawn)
    missing = [name for name in named if name not in tanks]
    if missing and len(named) > 1:
        return Answer(
            f"There is no finished, counted batch from {say.places(missing)} yet, so they cannot be compared."
        )
    if len(named) >= 2:
        found = compare(tanks[named[0]], tanks[named[1]])
        return _compared(named[0], named[1], found)
    if len(tanks) < 2:
        return Answer("It takes finished, counted batches from two tanks to compare them.")
    each = compare_each(tanks)
    if named and named[0] in each:
        return _compared(named[0], "the others", each[named[0]])
    best = s.says(r"\bbest\b|\bbetter\b|\bhigh")
    order = sorted(each, key=lambda n: each[n].one.value, reverse=best)
    return _compared(order[0], "the others", each[order[0]], f"{'Highest' if best else 'Lowest'}: ")


def _compared(one: str, other: str, found: Comparison, head: str = "") -> Answer:
    points = f"{abs(100 * found.value):.0f} points {'lower' if found.value < 0 else 'higher'}"
    width = f"{100 * (found.low or 0):+.0f} to {100 * (found.high or 0):+.0f}"
    verdict = {
        "lower": f"Yes, really lower, as far as counts can say: {points}",
        "higher": f"It is really higher, as far as counts can say: {points}",
        "no telling": f"There is no telling them apart: {points}, but it may be",
    }[found.verdict]
    rates = [
        f"{name} {r.successes} of {r.total} ({100 * r.value:.0f} %, {say.count(r.spawns, 'batch', 'batches')})"
        for name, r in ((one, found.one), (other, found.others))
    ]
    gap = f"{verdict} {width}." if found.verdict == "no telling" else f"{verdict} ({width})."
    text = f"{head}{rates[0]} against {rates[1]}.\n{gap}"
    return Answer(text, why=because(found))


# ---- survival


def _lives(s: Sum, batch: Batch, entries: Iterable[Entry], culls: bool) -> tuple[list[Life], list[float]] | None:
    """The fish of a batch from first fry on, each until it died, left alive, or now; and the ages at sale.

    None where a number was never counted.
    """
    if batch.fry_seen is None or batch.fish.unknown or "hatched" in batch.eggs.unknown:
        return None
    lives: list[Life] = []
    sold: list[float] = []
    # fish that stood here when the record began are followed from then on
    entered = (batch.opened - batch.fry_seen).total_seconds() / 86400 if batch.fish.start else 0.0
    entered = max(0.0, entered)

    def age(at: dt.datetime) -> float:
        assert batch.fry_seen is not None
        return max(0.0, (at - batch.fry_seen).total_seconds() / 86400)

    def mine(account: Account | None) -> bool:
        return account is not None and account.group == batch.name and account.stage in _ALIVE

    for entry in entries:
        for posting in entry.postings:
            out, into, count = mine(posting.source), mine(posting.target), posting.count
            if not count or count < 1 or (out and into) or not (out or into) or not out:
                continue
            lost = posting.outside in ("died", "unaccounted")
            cull = posting.outside == "died" and cause_of(getattr(entry.event, "cause", None)) == "culled"
            days = age(entry.at)
            lives.append(Life(max(days, entered + 0.01), lost and (culls or not cull), count, entered))
            if posting.outside == "sold":
                sold += [days] * count
    for held in s.standing.of_group(batch.name):
        if held.stage in _ALIVE and held.counted and held.count > 0:
            lives.append(Life(max(age(s.ask.now), entered + 0.01), False, held.count, entered))
    return lives, sold


def survival(s: Sum) -> Answer:
    """The share of fry alive at sale age, with and without culls; fish sold or still here count until then."""
    query = s.ask.query
    groups: dict[str, list[Batch]] = {}
    for batch in s.standing.batches.values():
        if (not query.line or batch.line == query.line) and (not query.batch or batch.name == query.batch):
            if query.place and all(h.place != query.place for h in s.standing.of_group(batch.name)):
                continue
            groups.setdefault(batch.line, []).append(batch)
    lines: list[str] = []
    why: list[str] = []
    for name, batches in groups.items():
        told = _survival_of(s, name, batches)
        if told:
            lines.append(told[0])
            why += told[1]
    if not lines:
        what = query.batch or query.line or query.place or "any batch"
        return Answer(f"The record has no fry of {what} counted from hatching on, so no survival can be said.")
    return Answer("\n".join(lines[:MOST_LINES]), why=tuple(dict.fromkeys(why)))


def _survival_of(s: Sum, name: str, batches: Sequence[Batch]) -> tuple[str, tuple[str, ...]] | None:
    kept: dict[bool, list[Life]] = {True: [], False: []}
    sold: list[float] = []
    number = 0
    for batch in batches:
        entries = s.ask.book.entries(name=batch.name)
        for culls in (True, False):
            found = _lives(s, batch, entries, culls)
            if found is None:
                continue
            kept[culls] += found[0]
            if culls and found[0]:
                sold += found[1]
                number += 1
    if not kept[True]:
        return None
    day = median(sold) if sold else max(life.days for life in kept[True])
    with_, without = (survival_at(kept[culls], day) for culls in (True, False))
    when = f"at sale, about {day:.0f} days old" if sold else f"at {day:.0f} days, none sold yet"
    whose, fish = s.ask.query.batch or name, sum(life.count for life in kept[True])
    since = min(life.entered for life in kept[True])
    if not any(life.died for life in kept[True]):
        from_ = f" followed from {since:.0f} days old" if since >= 1 else ""
        text = f"{whose}: no losses on record among {say.count(fish, 'fish', 'fish')}{from_}, {when}."
        return text, because(with_, said=with_.cautions)
    width = (
        f" ({100 * with_.low:.0f}–{100 * with_.high:.0f} %, 95 %)"
        if with_.low is not None and with_.high is not None
        else ""
    )
    text = f"{whose}: {100 * with_.value:.0f} %{width} alive {when}"
    if abs(with_.value - without.value) >= 0.005:
        text += f"; {100 * without.value:.0f} % when culls are not counted as losses"
    if since >= 1:
        text += f", of those here at {since:.0f} days"
    text += f". {say.count(fish, 'fish', 'fish')} of {say.count(number, 'batch', 'batches')}."
    if with_.cautions:
        text += f" {with_.cautions[0]}"
    return text, because(with_, said=with_.cautions[:1])


# ---- losses by the week
