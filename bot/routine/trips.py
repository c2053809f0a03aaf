"""A trip: what is to be done before it, and what somebody else does each day, cut to what cannot be left.

The cuts are common practice, no source: grown fish want little, eggs and fry want somebody daily.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from bot import sentences as say
from bot.routine.chore_list import CHORES, eggs_named
from bot.routine.chores import windows, zone_of
from shared.due.due_list import due
from shared.due.tasks import NEVER, DueTask
from shared.ledger.standing import Standing
from storage.journal import RoomBook

LONGEST = 60  # days: a list for more is no list
BEFORE = (
    "water_change",
    "service",
    "test_water",
    "culture_restart",
    "culture_feed",
    "wet_peat",
    "promised",
    "reminder",
)
ADULT_FEEDS_EVERY = 2  # days between grown fish's meals while the keeper is away; common practice, no source


def trip_list(
    standing: Standing,
    book: RoomBook,
    first: dt.date,
    last: dt.date,
    *,
    person: str | None = None,
    ring: str | None = None,
) -> str:
    """What to do before the days from `first` to `last`, and each day of them, as text.

    `person`: who does it; `ring`: whom to ring, by default the room's owners. Raises ValueError when the days are
    turned round or more than LONGEST.
    """
    days = (last - first).days + 1
    if days < 1:
        raise ValueError(f"a trip cannot end on {last} before it begins on {first}")
    if days > LONGEST:
        raise ValueError(f"{days} days are too many for one list; make it {LONGEST} at most")
    zone = zone_of(standing, book)
    morning = dt.datetime.combine(first, dt.time(0), zone)
    expected = windows(standing, morning)
    tasks = due(standing, morning, zone, days=days, windows=expected)
    span = f"{say.day(first)} to {say.day(last)}" if days > 1 else say.day(first)
    who = f", {person} does it" if person else ""
    lines = [f"Away {span} ({say.count(days, 'day')}){who}.", "Before:"]
    lines += [f"- {line}" for line in _before(tasks, days)]
    lines += [f"Each day{f', {person}' if person else ''}:"]
    lines += [f"- {line}" for line in _each_day(tasks, days)]
    doses: dict[str, list[str]] = {}
    for t in tasks:
        if t.task == "treat" and t.due.date() >= first:
            doses.setdefault(f"{t.text} in {t.place}", []).append(f"{t.due:%a} {t.due.day} {t.due:%b}")
    if doses:
        told = "; ".join(f"{dose} {say.listed(on)}" for dose, on in doses.items())
        lines.append(f"On their days, by the label: {told}.")
    hatching = sorted(n for n, w in expected.items() if w.earliest.date() <= last and w.latest >= morning)
    if hatching:
        lines.append(
            f"Fry may come: {eggs_named(standing, hatching)}. Leave them in their tub; no drops where fry swim."
        )
    lines.append(
        "Left alone: mops, picking and counting eggs, filters, tests, moving fish. Nothing to count or write down."
    )
    lines.append(
        f"Ring {ring or _owners(book, person)}: power out, a leak, a hot or cold tank, many dead. Dry hands at plugs."
    )
    return "\n".join(lines)


def _before(tasks: Sequence[DueTask], days: int) -> list[str]:
    """What is done beforehand: water and filters brought forward, no new eggs, food in portions."""
    lines = []
    mops = _spots(t for t in tasks if t.task in ("pull_mop", "collect_peat"))
    if mops:
        lines.append(f"Mops and peat boxes out, a last time emptied: {say.places(mops)}. No new eggs.")
    for task in BEFORE:
        mine = [t for t in tasks if t.task == task and t.grace != NEVER]
        own = list(dict.fromkeys(f"{t.text} ({say.day(t.due)})" for t in mine if t.text))
        spots = _spots(mine)
        what = "; ".join(own) if own else say.places(spots)
        if mine:
            lines.append(f"{CHORES[task]}: {what}.")
    packets = portions(tasks, days)
    if packets:
        lines.append(f"Food in marked portions: {'; '.join(packets)}. The rest put away.")
    lines.append("Aged water drawn and standing by; drops and cups laid out.")
    return lines


def portions(tasks: Sequence[DueTask], days: int) -> list[str]:
    """How many portions of food are measured out, by place: fry twice a day, grown fish every second day."""
    fry = _spots(t for t in tasks if t.task == "fry_feed")
    grown = _spots(t for t in tasks if t.task == "feed")
    said = [f"{2 * days} for each of {say.places(fry)}" if len(fry) > 1 else f"{2 * days} for {fry[0]}"] if fry else []
    meals = -(-days // ADULT_FEEDS_EVERY)
    said += (
        [f"{meals} for each of {say.places(grown)}" if len(grown) > 1 else f"{meals} for {grown[0]}"] if grown else []
    )
    return said


def _each_day(tasks: Sequence[DueTask], days: int) -> list[str]:
    lines = []
    eggs = _spots(t for t in tasks if t.task == "egg_water")
    if eggs:
        how = next((t.how for t in tasks if t.task == "egg_water" and t.how), None)
        lines.append(f"Egg tubs {say.places(eggs).removeprefix('tubs ')}, once: {how}. Drops off skin and eyes.")
    looks = [s for s in _spots(t for t in tasks if t.task == "check_hatch") if s not in eggs]
    if looks:
        lines.append(f"Look in {say.places(looks)}: fry are left where they are.")
    water = _spots(t for t in tasks if t.task == "fry_water")
    if water:
        lines.append(f"Fry water, once: a third out of {say.places(water)}, fresh as warm as theirs.")
    fry = _spots(t for t in tasks if t.task == "fry_feed")
    if fry:
        lines.append(f"Fry, morning and evening, one portion: {say.places(fry)}.")
    grown = _spots(t for t in tasks if t.task == "feed")
    if grown:
        often = "every second day" if days > 1 else "once"
        lines.append(f"Grown fish, {often}, one portion: {say.places(grown)}. Never more, also when they beg.")
    lines.append("Once round: lights, pumps running, the thermometers, water on the floor.")
    return lines


def _spots(tasks: Iterable[DueTask]) -> list[str]:
    return list(dict.fromkeys(t.place or t.batch or "" for t in tasks if t.place or t.batch))


def _owners(book: RoomBook, person: str | None) -> str:
    away = [p.name for p in book.people() if p.role == "owner" and p.name and p.name != person]
    return say.listed(away) or "the keeper"
