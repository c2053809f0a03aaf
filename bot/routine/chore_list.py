"""Chores said for a walk through the room with wet hands: what cannot wait first, then chore by chore."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from bot import sentences as say
from bot.channels.gsm import folded, segments
from shared.due.tasks import NEVER, TWO_HOURS, DueTask
from shared.ledger.standing import Standing

MOST_LINES = 12
MOST_NAMED = 4  # batches
BRIEF_PARTS = 2  # of an answer by text message; the rest is told when “more” is sent
FEW_LINES = 6  # with no more than these on the screen there is room for why
MOST_NAMES = 14
SOON = TWO_HOURS  # a chore done so long before its hour counts for it
CHORES = {
    "egg_water": "Egg tubs, fresh water",
    "check_hatch": "Look for fry",
    "look_at_peat": "Look at the peat",
    "pick_eggs": "Pick out bad eggs",
    "keep_apart": "Keep apart",
    "pull_mop": "Pull mops",
    "collect_peat": "Peat boxes",
    "fry_water": "Fry water",
    "fry_feed": "Feed fry",
    "feed": "Feed",
    "water_change": "Water changes",
    "treat": "Doses",
    "draw_water": "Draw water to stand overnight",
    "start_brine_shrimp": "Start brine shrimp",
    "harvest_brine_shrimp": "Harvest brine shrimp",
    "culture_restart": "Restart culture",
    "culture_feed": "Feed culture",
    "move_up": "Move up",
    "thin_out": "Thin out",
    "wet_peat": "Wet peat",
    "promised": "Promised",
    "test_water": "Test water",
    "service": "Filters and gear",
    "few_left": "Running low",
    "reminder": "Remember",
}
IN_A_ROW = {  # the same in a sentence of many
    "egg_water": "egg water",
    "pick_eggs": "bad eggs out",
    "pull_mop": "mops",
    "water_change": "water changes",
    "draw_water": "water to draw",
    "start_brine_shrimp": "brine shrimp",
    "service": "filters",
}
EGG_TUBS = "Egg tubs, fresh water and a look"  # with the water changed, eggs are looked at and picked over as well
ALWAYS_WHY = ("draw_water", "keep_apart", "move_up", "thin_out", "wet_peat")
WITH_WATER = ("check_hatch", "pick_eggs")
_AMOUNT = re.compile(r", [\d.]+ (?:l|ml|gal|qt|cups?)\b")
_EXPECTED = re.compile(r", fry expected (.+)$")
_WITH_WATER_WORDS = ("look for fry", "bad eggs out")


def listed(tasks: Sequence[DueTask], now: dt.datetime, most: int = MOST_LINES) -> str:
    """Tasks as a list of at most `most` lines: today's round, one later day's, or several days day by day."""
    return in_short(tasks, now, most)[0]


def in_short(
    tasks: Sequence[DueTask], now: dt.datetime, most: int = MOST_LINES, *, brief: bool = False
) -> tuple[str, str]:
    """The list, and the lines it left out; `brief`: today's in two text messages, what cannot wait first of all."""
    if not tasks:
        return "Nothing is due.", ""
    now = now.astimezone(tasks[0].due.tzinfo)
    days = {t.due.date() for t in tasks}
    if max(days) <= now.date():
        return _today(tasks, now, most, brief=brief)
    if len(days) == 1:
        day = say.day(days.pop(), now.date())
        kept, left = _cut(_lines(tasks, now), most - 1)
        return "\n".join([f"{day[:1].upper()}{day[1:]}:", *kept]), "\n".join(left)
    kept, left = _cut(_days(tasks, now), most)
    return "\n".join(kept), "\n".join(left)


def _today(tasks: Sequence[DueTask], now: dt.datetime, most: int, *, brief: bool) -> tuple[str, str]:
    """What waits now in full, what comes later today in one line; and what was left out."""
    timed = [(_utc(t.due), t) for t in tasks]
    at_once, soon = _utc(now), _utc(now) + SOON
    ready = [t for at, t in timed if at <= (soon if t.grace != NEVER else at_once)]
    head = []
    if not ready:
        first, task = min(timed, key=lambda pair: pair[0])
        ready = [t for at, t in timed if at <= first + SOON]
        head = [f"Nothing until {task.due:%H:%M}, then:"]
    now_due = {id(task) for task in ready}
    tail = _later([(at, t) for at, t in timed if id(t) not in now_due])
    lines = _lines(ready, now, brief=brief)
    if brief:
        return _in_two_texts(head, lines, tail)
    kept, left = _cut(lines, most - len(head) - len(tail))
    return "\n".join([*head, *kept, *tail]), "\n".join(left)


def _in_two_texts(head: list[str], lines: list[str], tail: list[str]) -> tuple[str, str]:
    """As many lines as two text messages hold, those that can wait least first; and the others."""

    def text(chosen: Sequence[int]) -> str:
        left = len(lines) - len(chosen)
        more = " and ".join([*([f"{left} more"] if left else []), *(["what comes later"] if tail else [])])
        asked = [f"{say.first_up(more)}: send “more”"] if more else []
        return "\n".join([*head, *(lines[n] for n in sorted(chosen)), *asked])

    kept: list[int] = []
    full_at = None  # what can wait longer takes no place of what did not fit
    for n in sorted(range(len(lines)), key=lambda n: (_rank(lines[n]), n)):
        if full_at is not None and _rank(lines[n]) > full_at:
            break
        if not kept or segments(folded(text([*kept, n]))) <= BRIEF_PARTS:
            kept.append(n)
        else:
            full_at = _rank(lines[n])
    return text(kept), "\n".join([*(line for n, line in enumerate(lines) if n not in kept), *tail])


def _later(timed: Sequence[tuple[dt.datetime, DueTask]]) -> list[str]:
    """What comes later today, each chore once an hour; at most one line."""
    once: dict[tuple[dt.datetime, bool, str], DueTask] = {}
    for at, task in timed:
        once.setdefault((at, task.first, task.text or task.task), task)
    by_hour: dict[str, list[str]] = {}
    for (_, first, own), task in sorted(once.items(), key=lambda kept: kept[0][0]):
        chore = ("! " if first else "") + (own if task.text else _plain(task.task))
        spoken = by_hour.setdefault(f"{task.due:%H:%M}", [])
        if chore not in spoken and not (chore in _WITH_WATER_WORDS and IN_A_ROW["egg_water"] in spoken):
            spoken.append(chore)
    return [f"Later: {'; '.join(f'{at} {say.listed(chores)}' for at, chores in by_hour.items())}."] if by_hour else []


def _days(tasks: Sequence[DueTask], now: dt.datetime) -> list[str]:
    """Several days: what is late, what comes every day, then the days with what is theirs."""
    by_chore: dict[str, set[dt.date]] = {}
    for task in tasks:
        if task.grace == TWO_HOURS and not task.text:
            by_chore.setdefault(task.task, set()).add(task.due.date())
    span = (max(t.due.date() for t in tasks) - now.date()).days
    daily = {c for c, days in by_chore.items() if len(days) > 2 and 3 * len(days) >= 2 * span}
    apart = [t for t in tasks if t.task not in daily or t.text]
    late = [t for t in apart if t.due.date() < now.date()]
    lines = [f"Late: {in_a_row(late)}."] if late else []
    if daily:
        lines.append(f"Every day: {say.listed(_plain(c) for c in by_chore if c in daily)}.")
    for day in sorted({t.due.date() for t in apart if t.due.date() >= now.date()}):
        mine = [t for t in apart if t.due.date() == day]
        if mine:
            name = say.day(day, now.date())
            lines.append(f"{name[:1].upper()}{name[1:]}: {in_a_row(mine)}.")
    return lines


def closely(tasks: Sequence[DueTask], now: dt.datetime) -> str:
    """The tasks of one place or batch, each with why and how."""
    now = now.astimezone(tasks[0].due.tzinfo) if tasks else now
    lines = []
    for key, mine in _grouped(tasks).items():
        when = _times(mine, now)
        how = f"; {mine[0].how}" if mine[0].how else ""
        lines.append(f"{_head(key)}{f' ({when})' if when else ''} — {mine[0].why}{how}.")
    return "\n".join(_cut(lines, MOST_LINES)[0])


def whys(tasks: Sequence[DueTask]) -> tuple[str, ...]:
    """Each chore with why it is due and how it is done; how much water only where one place is asked after."""
    several = len({t.place for t in tasks}) > 1
    watered = {(t.place, t.due) for t in tasks if t.task == "egg_water"}
    groups: dict[tuple[str, str, str | None], list[DueTask]] = {}
    for task in tasks:
        if task.task in WITH_WATER and not task.first and not task.text and (task.place, task.due) in watered:
            continue  # done with the water, and said with it
        how = _without_amount(task.how) if task.how and several else task.how
        why = _EXPECTED.sub("", task.why) if several else task.why
        groups.setdefault((CHORES[task.task], why, how), []).append(task)
    told = []
    for (label, why, how), mine in groups.items():
        where = _where(mine)
        if why != mine[0].why:
            why += f", fry expected {_expected(mine)}"
        name = mine[0].text or (f"{label}, {where}" if where and where.casefold() not in label.casefold() else label)
        told.append(f"{name}: {why}{f'; {how}' if how else ''}.")
    return tuple(told)


def _expected(tasks: Sequence[DueTask]) -> str:
    """When fry are expected where: `tub A 7–31 Mar, tubs B and C 11–28 Mar`."""
    spans: dict[str, list[DueTask]] = {}
    for task in tasks:
        if hit := _EXPECTED.search(task.why):
            spans.setdefault(hit[1], []).append(task)
    return ", ".join(f"{_where(mine)} {span}" for span, mine in spans.items())


@lru_cache(maxsize=1024)
def _without_amount(how: str) -> str:
    return _AMOUNT.sub("", how)


_Key = tuple[bool, str, str]  # cannot wait, the chore's name, a reminder's own words


def _grouped(tasks: Sequence[DueTask]) -> dict[_Key, list[DueTask]]:
    """Tasks by chore in walking order, an egg tub's look and picking folded into its fresh water."""
    tubs = {(t.place, t.due) for t in tasks if t.task == "egg_water"}
    with_water = [t for t in tasks if t.task in WITH_WATER and not t.first and not t.text and (t.place, t.due) in tubs]
    looked_at, left_out = {t.place for t in with_water}, {id(t) for t in with_water}
    groups: dict[_Key, list[DueTask]] = {}
    for task in tasks:
        if id(task) not in left_out:
            label = EGG_TUBS if task.task == "egg_water" and task.place in looked_at else CHORES[task.task]
            own = "" if task.task == "look_at_peat" else task.text or ""  # one line for all bags
            groups.setdefault((task.first, label, own), []).append(task)
    return groups


class _Line(str):
    """A line of the list, and how soon it is left out of a long one: what has its hour stays longest."""

    rank = 0


def _rank(line: str) -> int:
    return line.rank if isinstance(line, _Line) else 0


def _lines(tasks: Sequence[DueTask], now: dt.datetime, *, brief: bool = False) -> list[str]:
    """One line a chore: its places by since when they wait, the longest first; `brief`: no line says why."""
    groups = _grouped(tasks)
    lines: list[str] = []
    for key, mine in groups.items():
        by_spot: dict[str, list[DueTask]] = {}
        for task in mine:
            by_spot.setdefault(_spot(task), []).append(task)
        parts: dict[str, list[DueTask]] = {}
        for group in sorted(by_spot.values(), key=lambda g: _utc(g[0].due)):
            parts.setdefault(_times(group, now), []).extend(group[:1])
        named = [(_where(group), when) for when, group in parts.items()]
        head = _head(key)
        told = [where for where, _ in named if where and where.casefold() not in head.casefold()]
        if len(named) == 1:
            where, when = named[0]
            text = f"{head}{f': {where}' if told else ''}{f' ({when})' if when else ''}"
        else:
            text = f"{head}: {'; '.join(f'{where} {when}'.strip() for where, when in named)}"
        alone = len({t.why for t in mine}) == 1 and len(by_spot) == 1 and not key[2]
        if alone and not brief and mine[0].why and (key[0] or len(groups) <= FEW_LINES or mine[0].task in ALWAYS_WHY):
            text += f" — {mine[0].why}"
        line = _Line(text)
        line.rank = 0 if key[0] or mine[0].task == "promised" else 1 if mine[0].grace == TWO_HOURS else 2
        line.rank += mine[0].grace == NEVER and not key[0]
        lines.append(line)
    return lines


def _head(key: _Key) -> str:
    first, label, own = key
    if own:
        label = f"{label}: {own}" if label == CHORES["promised"] else own[:1].upper() + own[1:]
    return f"{'! ' if first else ''}{label}"


def _plain(chore: str) -> str:
    return IN_A_ROW.get(chore) or CHORES[chore][:1].lower() + CHORES[chore][1:]


def _spot(task: DueTask) -> str:
    """Where, or of which batch: peat by its batch, for bags all lie in one place."""
    if task.task == "look_at_peat":
        return task.batch or ""
    return task.place or task.batch or ""


def _where(tasks: Iterable[DueTask]) -> str:
    """The places of tasks in few words; very many with their number."""
    names = list(dict.fromkeys(_spot(t) for t in tasks if _spot(t)))
    text = say.places(names)
    if len(names) <= MOST_NAMES or len(text) < 60:
        return text
    return f"{say.places(names[: MOST_NAMES - 4])} and {len(names) - MOST_NAMES + 4} more"


def _times(tasks: Sequence[DueTask], now: dt.datetime) -> str:
    """When, as a walker wants it: `06:30, 18:30`, `since 06:30`, `since Sun`, `since 22 Oct`; and whose it is."""
    said = []
    for task in tasks:
        day = task.due.date()
        if task.grace == NEVER:
            word = f"{task.due:%H:%M}" if _utc(task.due) > _utc(now) else ""
        elif day < now.date():
            word = f"since {_day_gone(day, now.date())}"
        elif task.overdue(now):
            word = f"since {task.due:%H:%M}"
        else:
            word = f"{task.due:%H:%M}" if task.grace == TWO_HOURS else ""
        if word and word not in said:
            said.append(word)
    person = tasks[0].person
    return ", ".join([*said, *([person] if person else [])])


def _day_gone(day: dt.date, today: dt.date) -> str:
    if (today - day).days == 1:
        return "yesterday"
    if (today - day).days < 7:
        return f"{day:%a}"
    return f"{day.day} {day:%b}" + ("" if day.year == today.year else f" {day.year}")


def in_a_row(tasks: Sequence[DueTask], most: int = 0, *, bare: bool = False) -> str:
    """Chores and places in one sentence: `mops tanks 1–3; promised: 4 gardneri for Lena`.

    `most` chores with the number of the others (0: all); `bare`: without the places.
    """
    said = []
    for key, mine in _grouped(tasks).items():
        head, where = _head(key), _where(mine)
        lead = ("! " if key[0] else "") + (_plain(mine[0].task) if not key[2] else head.removeprefix("! "))
        lead = lead[:1].lower() + lead[1:]
        own = bare or (key[2] and mine[0].task != "treat") or not where or where.casefold() in lead.casefold()
        where = f"in {where}" if mine[0].task == "treat" else where
        of = "of " if mine[0].task == "look_at_peat" else ""
        said.append(lead if own else f"{lead} {of}{where}")
    said = list(dict.fromkeys(said))
    if bare:
        said = [words for words in said if f"! {words}" not in said]
    if most and len(said) > most:
        said = [*said[:most], f"{len(said) - most} more"]
    return "; ".join(said)


def _cut(lines: list[str], most: int) -> tuple[list[str], list[str]]:
    """At most so many lines, the last of them naming what is left out; and what that is."""
    if len(lines) <= most:
        return lines, []
    kept = sorted(range(len(lines)), key=lambda n: (_rank(lines[n]), n))[: most - 1]
    left = [line for n, line in enumerate(lines) if n not in kept]
    heads = [line.removeprefix("! ").partition(" (")[0].partition(":")[0] for line in left]
    named = ", ".join(h[:1].lower() + h[1:] for h in heads[:4])
    last = f"… and {len(left)} more: {named}{' …' if len(left) > 4 else ''}."
    return [*(lines[n] for n in sorted(kept)), last], left


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)


def eggs_named(standing: Standing, names: Sequence[str]) -> str:
    """`B21 in tub A, B24 in tub D`, very many with their number."""
    said = []
    for name in names[:MOST_NAMED]:
        spot = next((h.place for h in standing.of_group(name) if h.place and h.stage == "eggs"), "")
        said.append(f"{name} in {spot}" if spot else name)
    more = len(names) - MOST_NAMED
    return f"{', '.join(said)} and {more} more" if more > 0 else say.listed(said)
