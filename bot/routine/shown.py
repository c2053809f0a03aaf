"""The routine in a keeper's words: one change in a line, and what is in force for the room, a tank or a person."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

from bot import sentences as say
from bot.language.times.seasons import told_season
from bot.routine.chore_list import CHORES, IN_A_ROW
from bot.routine.chores import zone_of
from bot.routine.courses_shown import told_of_course
from shared.due.courses import COURSE
from shared.due.due_list import due
from shared.due.house_rules import Routine
from shared.due.rules import ROOM, Spot, plain, settings_of, spot_of
from shared.due.tasks import TASKS, TWO_HOURS
from shared.due.timetable import EVERY_DAY
from shared.due.usual import EVERY_DAYS, PER_DAY
from shared.events import RoutineSet
from shared.ledger.standing import Standing
from storage.journal import RoomBook

MOST_LINES = 14
_DAY_NAMES = {"mon": "Mondays", "tue": "Tuesdays", "wed": "Wednesdays", "thu": "Thursdays", "fri": "Fridays"}
_DAY_NAMES |= {"sat": "Saturdays", "sun": "Sundays"}
_SHORT = tuple(_DAY_NAMES)
_PART = {
    ("00:00", "12:00"): "mornings",
    ("11:00", "14:00"): "noons",
    ("12:00", "18:00"): "afternoons",
    ("17:00", "00:00"): "evenings",
    ("20:00", "00:00"): "nights",
}
_WORDS = {
    "egg_changes_per_day": "egg water",
    "fry_changes_per_day": "fry water",
    "fry_feeds_per_day": "fry fed",
    "feeds_per_day": "fed",
    "hatch_looks_per_day": "looks for fry",
    "picks_per_day": "bad eggs out",
    "brine_shrimp_per_day": "brine shrimp started",
    "mop_every_days": "mops",
    "peat_every_days": "peat boxes",
    "water_change_days": "water change",
    "grow_out_change_days": "grow-out water change",
    "nursery_change_days": "nursery water change",
    "culture_restart_days": "cultures restarted",
    "culture_feed_days": "cultures fed",
    "ammonia_test_days": "water tests",
    "filter_days": "filters",
    "thin_out_days": "thinning out",
    "water_drawn_per_day": "water drawn",
    "quarantine_days": "quarantine",
    "few_left_days": "lines running low",
    "peat_look_days": "a look at the peat",
}
_SPANS = ("quarantine_days", "move_up_days", "grow_out_days", "apart_days", "old_adults_days", "old_annuals_days")
_PLACE_KEYS = {"grow-out": "grow_out_change_days", "nursery": "nursery_change_days"}


_NOUNS = {
    "check_hatch": "looks for fry",
    "look_at_peat": "looks at the peat",
    "fry_feed": "fry feeds",
    "feed": "grown fish's feeds",
    "culture_restart": "restarting cultures",
    "culture_feed": "feeding cultures",
    "harvest_brine_shrimp": "harvesting brine shrimp",
    "draw_water": "drawing water",
    "few_left": "word of lines running low",
    "move_up": "moves up",
    "thin_out": "thinning out",
    "test_water": "water tests",
    "keep_apart": "keeping apart",
    "wet_peat": "wetting peat",
    "promised": "promises",
    "reminder": "reminders",
}


def chores(tasks: Iterable[str]) -> str:
    """Tasks in few words: `mops, water changes and filters`; `everything` for all."""
    named = [t for t in TASKS if t in set(tasks)]
    if len(named) == len(TASKS):
        return "everything"
    if "feed" in named and "fry_feed" in named:
        named.remove("fry_feed")
        said = {**_NOUNS, "feed": "feeds"}
    else:
        said = _NOUNS
    return say.listed(IN_A_ROW.get(t) or said.get(t) or CHORES[t][:1].lower() + CHORES[t][1:] for t in named)


def changes(events: Sequence[RoutineSet], now: dt.datetime) -> list[str]:
    """What these changes come to, in as few lines as say it; a change for everywhere says so."""
    raws = [plain(s) for n, event in enumerate(events) for s in settings_of(event, n, now.astimezone(dt.UTC))]
    treated = [told_of_course(event, now.date()) for event in events if event.what == COURSE]
    return [say.first_up(line) for line in (*_described(raws, now.date(), scoped=True), *treated)]


def _described(raws: Iterable[dict[str, Any]], today: dt.date, *, scoped: bool = False) -> list[str]:
    """Settings in the form of `Routine.shown`, those that differ by place or chore alone drawn together."""
    by_rest: dict[str, tuple[dict[str, Any], list[str], list[str]]] = {}
    for raw in raws:
        rest = {k: v for k, v in raw.items() if k not in ("said", "place", "tasks")}
        _, spots, tasks = by_rest.setdefault(str(sorted(rest.items(), key=str)), (rest, [], []))
        spots += [p for p in [raw.get("place")] if p and p not in spots]
        tasks += [t for t in raw.get("tasks", ()) if t not in tasks]
    return [_line(raw, spots, tasks, today, scoped=scoped) for raw, spots, tasks in by_rest.values()]


def _line(raw: dict[str, Any], spots: list[str], tasks: list[str], today: dt.date, *, scoped: bool = False) -> str:
    where = say.places(spots) or raw.get("batch") or raw.get("line") or ""
    key, value = raw["what"], raw["value"]
    if scoped and not where and _of_chores(key, tasks) and not raw.get("last_day"):
        where = "whole room"
    lead = ", ".join(w for w in (where, _when(raw, today)) if w)
    if key in ("rest", "sexes_apart"):
        return _apart_or_at_rest(raw, where, len(spots) > 1, today)
    if value in ("default", "usual"):
        return f"{where or 'the room'}: {name_of(key)} as usual"
    if key in ("off", "on"):
        text = _off_or_on(raw, tasks)
    elif key == "who":
        text = f"{raw.get('person')}" if len(tasks) == len(TASKS) and lead else f"{chores(tasks)}: {raw.get('person')}"
    elif key == "away":
        text = "away" + (f", {raw['person']} does it" if raw.get("person") else "")
    elif key.endswith("_at") and key[:-3] in TASKS:
        text = f"{chores([key[:-3]])} at {str(value).replace(',', ', ')}"
    elif key.endswith("_at") and f"{key[:-3]}s" in _PART.values():
        text = f"{key[:-3]}s at {value}"
    elif isinstance(value, (int, float)):
        text = _number_set(key, value, of_room=where in ("", "whole room"))
    else:
        text = name_of(key) if value is None else f"{_name(key)} {value}"
    return f"{lead}{'' if text.startswith('left for later') else ':'} {text}" if lead else text


def _apart_or_at_rest(raw: dict[str, Any], where: str, plural: bool, today: dt.date) -> str:
    resting = raw["what"] == "rest"
    if raw["value"] in ("default", False):
        return f"{where}: back together"
    last = dt.date.fromisoformat(raw["last_day"]) if raw.get("last_day") else None
    together = f" until {say.day(last + dt.timedelta(days=1), today)}, then back together" if last else ""
    return f"{where} {'rest' if plural else 'rests'}{together}" if resting else f"{where}: sexes apart{together}"


def _off_or_on(raw: dict[str, Any], tasks: list[str]) -> str:
    if raw["what"] == "off" and 3 < len(tasks) < len(TASKS):
        return f"left for later: {chores(tasks)}"
    slot = f"{raw['slot']} " if raw.get("slot") else ""
    return f"no {slot}{chores(tasks)}" if raw["what"] == "off" else f"{slot}{chores(tasks)} again"


def _number_set(key: str, value: float, *, of_room: bool) -> str:
    if key in PER_DAY.values():
        return f"{_of_room(key) if of_room else _name(key)} {_times_a_day(value)}"
    if key == "heater_c":
        return f"heater set to {value:g} °C ({say.temperature(value, 'us')})"
    if key == "light_hours":
        return f"light {say.number(value)} hours a day"
    if key in _SPANS:
        return f"{_name(key)} {say.count(round(value), 'day')}"
    if key in EVERY_DAYS.values() or key.endswith("_days"):
        return f"{_name(key)} {_every(value)}"
    return f"{_name(key)} {value}"


def _of_chores(key: str, tasks: Sequence[str]) -> bool:
    """Whether a change is to how chores come round, so that it matters for which tanks."""
    if key in ("on", "off"):
        return len(tasks) < len(TASKS)
    return (
        key in TASKS or key in PER_DAY.values() or key.endswith("_days") or (key.endswith("_at") and key[:-3] in TASKS)
    )


def listed_days(weekdays: Iterable[int]) -> str:
    """Weekdays (Monday 0) as each of them: `Mondays and Thursdays`, `weekends`."""
    days = sorted(weekdays)
    return "weekends" if days == [5, 6] else say.listed(_DAY_NAMES[_SHORT[d]] for d in days)


def _when(raw: dict[str, Any], today: dt.date) -> str:
    parts = []
    if raw.get("weekdays"):
        parts.append(listed_days(_SHORT.index(d) for d in raw["weekdays"]))
    hours = (str(raw.get("from_time", ""))[:5], str(raw.get("to_time", ""))[:5])
    if hours in _PART:
        parts.append(_PART[hours])
    elif any(hours):
        parts.append(f"{hours[0] or '00:00'}–{hours[1] or '24:00'}")
    if raw.get("slot") and raw["what"] == "who":
        parts.append(f"{raw['slot']}")
    first, last = (dt.date.fromisoformat(raw[k]) if raw.get(k) else None for k in ("first_day", "last_day"))
    if raw.get("season"):
        parts.append(told_season(*raw["season"]))
    if first and first == last:
        parts.append(say.day(first, today))
    elif first and last:
        parts.append(f"{say.day(first, today)} to {say.day(last, today)}")
    elif first or last:
        parts.append(f"from {say.day(first, today)}" if first else f"to {say.day(last or today, today)}")
    return ", ".join(parts)


def _name(key: str) -> str:
    return _WORDS.get(key) or key.removesuffix("_at").removesuffix("_days").replace("_", " ")


def _of_room(key: str) -> str:
    return f"{'grown fish ' if key == 'feeds_per_day' else ''}{_name(key)}"


def name_of(what: str) -> str:
    """What a setting is about, in words: a chore by its name, a number by what it counts."""
    task = what.removesuffix("_at")
    return chores([task]) if task in TASKS else _name(what)


def _times_a_day(number: float) -> str:
    if 0 < number < 1:
        return _every(round(1 / number))
    spoken = {0: "never", 1: "once a day", 2: "twice a day"}
    return spoken.get(int(number)) or f"{say.number(number)} times a day"


def _every(days: float) -> str:
    if days <= 0:
        return "never"
    return "daily" if days == 1 else "weekly" if days == 7 else f"every {say.number(days)} days"


# ---- shown


def in_force(standing: Standing, today: dt.date) -> list[dict[str, Any]]:
    """What was said beyond the room's plain figures and still counts, without what is over."""
    told: list[dict[str, Any]] = Routine.of(standing).shown()["exceptions"]
    newest: dict[str, dict[str, Any]] = {}
    for raw in told:
        if not raw.get("last_day") or dt.date.fromisoformat(raw["last_day"]) >= today:
            said = {k: v for k, v in raw.items() if k not in ("said", "value")}
            if raw["what"] in ("on", "off"):
                said["what"] = "on or off"
            if raw["what"] in ("rest", "sexes_apart"):
                said.pop("last_day", None)
            if raw["what"] in EVERY_DAYS and raw["value"] is None:
                said.pop("weekdays", None)  # put on other days
            newest.pop(str(said), None)
            newest[str(said)] = raw
    return list(newest.values())


def routine_of_room(standing: Standing, now: dt.datetime) -> str:
    """The room's routine in short lines: the hours, the days, what is off, what is more particular."""
    routine, today, asof = Routine.of(standing), now.date(), now.astimezone(dt.UTC)
    shown = routine.shown()
    room: dict[str, Any] = shown["room"]

    def hours(task: str) -> str:
        times = routine.rhythm(task, ROOM, today, asof).times
        return ", ".join(f"{t:%H:%M}" for t in times) or "off"

    def often(task: str) -> str:
        return how_often(task, ROOM, standing, now)

    lines = [
        f"Egg water {hours('egg_water')}.",
        f"Fry fed {hours('fry_feed')}; their tubs' water {hours('fry_water')}.",
        f"Grown fish fed {hours('feed')}.",
        f"Mops {often('pull_mop')}, peat boxes {often('collect_peat')}.",
        f"Water changes {water_changes(standing, now)}.",
        f"Brine shrimp {hours('start_brine_shrimp')}; cultures restarted {often('culture_restart')}; "
        f"filters {often('service')}.",
        f"Nightly {routine.nightly_at:%H:%M}, quiet {routine.quiet[0]:%H:%M}–{routine.quiet[1]:%H:%M}.",
    ]
    if room["time_zone"]:
        lines[-1] += f" Clock of {room['time_zone']}."
    if shown["off"]:
        lines.append(f"Off: {chores(shown['off'])}.")
    more = [f"{say.first_up(line)}." for line in _described(in_force(standing, today), today, scoped=True)]
    changed = [key for key in shown["changed"] if key in _WORDS]
    if not (more or shown["changed"] or shown["off"]):
        lines.insert(0, "As usual, nothing changed:")
    elif changed:
        more.insert(0, f"Changed from the usual: {say.listed(_of_room(k) for k in changed)}.")
    room_for = MOST_LINES - len(lines)
    if len(more) > room_for:
        more = [*more[: room_for - 1], f"… and {len(more) - room_for + 1} more."]
    return "\n".join([*lines, *more])


def water_changes(standing: Standing, now: dt.datetime) -> str:
    """How often water is changed in the room's tanks, by what they are for."""
    kinds = {"grow-outs": "grow_out_change_days", "nurseries": "nursery_change_days"}
    said = [how_often("water_change", ROOM, standing, now)]
    said += [f"{kind} {how_often('water_change', ROOM, standing, now, key)}" for kind, key in kinds.items()]
    return ", ".join(said)


def how_often(task: str, spot: Spot, standing: Standing, now: dt.datetime, key: str = "") -> str:
    """How often a chore comes round there: its hours, its weekdays or every so many days."""
    kept = standing.places.get(spot.place or "")
    key = key or (_PLACE_KEYS.get((kept.role if kept else "") or "", "") if task == "water_change" else "")
    rhythm = Routine.of(standing).rhythm(task, spot, now.date(), now.astimezone(dt.UTC), key)
    if not rhythm.times:
        return "never"
    if task in PER_DAY and rhythm.every <= 1:
        return f"{_times_a_day(len(rhythm.times))} ({', '.join(f'{t:%H:%M}' for t in rhythm.times)})"
    return listed_days(rhythm.weekdays) if rhythm.weekdays != EVERY_DAY and rhythm.every <= 7 else _every(rhythm.every)


def routine_of_place(place: str, standing: Standing, book: RoomBook, now: dt.datetime) -> str:
    """What comes round in one place, when, and what was said of it."""
    routine, today, asof = Routine.of(standing), now.date(), now.astimezone(dt.UTC)
    spot, kept = spot_of(standing, place), standing.places.get(place)
    tasks = [t for t in due(standing, now, zone_of(standing, book), days=32) if t.place == place and not t.text]
    lines = []
    for task in dict.fromkeys(t.task for t in tasks if t.task in (*PER_DAY, *EVERY_DAYS)):
        key = _PLACE_KEYS.get((kept.role if kept else "") or "", "") if task == "water_change" else ""
        rhythm = routine.rhythm(task, spot, today, asof, key)
        hourly = any(t.task == task and t.grace == TWO_HOURS for t in tasks)
        days = listed_days(rhythm.weekdays) if rhythm.weekdays != EVERY_DAY and rhythm.every <= 7 else ""
        often = ", ".join(f"{t:%H:%M}" for t in rhythm.times) if hourly else days or _every(rhythm.every)
        lines.append(f"{CHORES[task]}: {often}.")
    here = [
        raw
        for raw in in_force(standing, today)
        if raw.get("place") == place or raw.get("batch") in spot.batches or raw.get("line") in spot.lines
    ]
    lines += [f"Said: {line}." for line in _described(here, today)]
    return "\n".join([f"{place}:", *lines]) if lines else f"{place}: nothing comes round there."


def routine_of_person(person: str, standing: Standing, now: dt.datetime) -> str:
    """What is somebody's."""
    mine = [raw for raw in in_force(standing, now.date()) if raw.get("person") == person]
    lines = [f"{say.first_up(line)}." for line in _described(mine, now.date())]
    return "\n".join(lines) if lines else f"Nothing is put down as {person}'s."


def whose_it_is(standing: Standing, now: dt.datetime) -> str:
    """What is put down as somebody's."""
    theirs = [raw for raw in in_force(standing, now.date()) if raw.get("person")]
    lines = [f"{say.first_up(line)}." for line in _described(theirs, now.date())]
    return "\n".join(lines) or "Nothing is put down as anybody's. Say “Ivo does the mornings”, for instance."


def scoped(standing: Standing, keys: dict[str, Any], today: dt.date) -> tuple[list[RoutineSet], list[str]]:
    """What sets back all that was said for that place, batch or line (none: for the room), and what that was."""
    spots = keys.get("places") or ((keys["place"],) if keys.get("place") else (None,))
    found: dict[tuple[str | None, str], RoutineSet] = {}
    gone: list[dict[str, Any]] = []
    for setting in Routine.of(standing).settings:
        place = f"all {setting.kind}s" if setting.kind else setting.place
        if place not in spots or setting.batch != keys.get("batch") or setting.line != keys.get("line"):
            continue
        what = sorted(setting.tasks)[0] if setting.tasks else setting.key
        if not place and what in _OF_THE_HOUSE:
            continue
        said: dict[str, Any] = {"place": place} if place else {k: v for k, v in keys.items() if k in ("batch", "line")}
        found.setdefault((place, what), RoutineSet(what=what, value="default", **said))
        if not setting.last_day or setting.last_day >= today:
            gone.append(plain(setting))
    return list(found.values()), _described(gone, today)


# Not of the fish but of the house: a routine set back leaves them.
_OF_THE_HOUSE = frozenset(("units", "time_zone", "nightly_at", "quiet_from", "quiet_to", "heater_c"))
