"""What a stretch of an order to the hand itself says: how often, how warm, until when, what a new place is called.

The same reading of a stretch serves to find which one says a value, and to tell the value from it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from bot.language.learnt.values import ONE, clock_of, count_of, degrees_of, number_of
from bot.language.tags import Tag
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day
from shared.quantities import LITRES, litres_of
from shared.zones import zone_said

Raw = dict[str, Any]
NO_PART = "_"
KEPT = "remark"
ORDERS = frozenset(["new_place", "close_place", "setting", "remind", "snooze", "done", "fix", "undo", KEPT])
AHEAD = frozenset(["remind", "snooze"])  # told of what is to come
OWN_DAY = AHEAD | {"fix", "undo", "done"}  # no day said before is theirs
# The words that alone say an order of which no other stretch says anything.
_CUES = {
    "new_place": "newplace", "close_place": "close", "setting": "rule", "remind": "remind", "snooze": "snooze",
    "done": "done", "fix": "fix", "undo": "undo",
}  # fmt: skip
_TIMES = {"once": 1.0, "twice": 2.0, "thrice": 3.0, "one": 1.0, "daily": 1.0, "nightly": 1.0, "every day": 1.0}
_EVERY = {"daily": 1.0, "nightly": 1.0, "weekly": 7.0, "fortnightly": 14.0, "monthly": 30.0, "every day": 1.0}
_EVERY |= {"every other day": 2.0, "every week": 7.0, "every month": 30.0, "every second day": 2.0}
_SPANS = {"day": 1.0, "d": 1.0, "days": 1.0, "morning": 1.0, "night": 1.0, "evening": 1.0, "week": 7.0, "wk": 7.0}
_SPANS |= {"w": 7.0, "weeks": 7.0, "month": 30.0, "fortnight": 14.0}
_EACH = frozenset(["every", "each", "evry", "q"])
_UNITS = {"metric": "metric", "celsius": "metric", "litres": "metric", "liters": "metric", "centigrade": "metric"}
_UNITS |= {"us": "us", "fahrenheit": "us", "gallons": "us", "us units": "us", "us gallons": "us"}
_ZONES = frozenset(["eastern", "central", "mountain", "pacific"])
_BIDDING = _TIMES.keys() | _EVERY.keys() | _EACH | _UNITS.keys() | {"fortnight"}


# ---- what a stretch says


def may_bid(tag: Tag) -> bool:
    """Whether a word may be a fact of an order alone: how often, which units, male or female."""
    return (
        tag.word in _TIMES
        or tag.word in _EVERY
        or tag.word in _EACH
        or tag.word in _UNITS
        or tag.word in _ZONES
        or tag.word == "fortnight"
        or sex_said(tag) is not None
    )


def bids(tag: Tag, kind: str) -> bool:
    """Whether a word by itself says an order: "undo", "done"."""
    return kind in _CUES and (tag.says("cue", _CUES[kind]) or (kind == "close_place" and tag.word in _CLOSING))


_CLOSING = frozenset(["close", "closed", "shut", "retire", "retired", "retiring"])


def right_number(tags: Sequence[Tag], at: int) -> float | None:
    """The number a correction says: of "from four to six" the last."""
    tag = tags[at]
    if tag.low is None or not isinstance(tag.value, int | float):
        return number_of(tag) if tag.kind == "pct" else count_of(tags, at)
    return float(tag.value)


def value_said(tags: Sequence[Tag], at: int, what: str) -> float | str | None:
    """The value of a routine that a stretch says; None when it says none."""
    tag = tags[at]
    if what == "units":
        return _UNITS.get(tag.word)
    if what.endswith("_at"):
        clock = clock_said(tags, at)
        return None if clock is None else "{:02d}:{:02d}".format(*clock.options("pm")[0])
    if what == "time_zone":
        return zone_named(tags, at)
    if what == "heater_c":
        return degrees_said(tag)
    if what == "light_hours":
        if tag.kind == "clock" and _after(tags, at) in ("h", "hr", "hrs", "hours"):
            return float(tag.value.hour)
        return number_of(tag) if tag.kind == "num" or (tag.kind == "dur" and tag.unit == "hour") else None
    if what.endswith("_per_day"):
        return _times_a_day(tags, at)
    if what.endswith("_days"):
        return days_between(tags, at)
    return number_of(tag) if tag.kind in ("num", "times", "amount", "pct") else None


def zone_named(tags: Sequence[Tag], at: int) -> str | None:
    """The time zone a word says, or two: "mountain", "Denver", "New York"."""
    zone = zone_said(tags[at].word) or zone_said(" ".join(t.word for t in tags[at : at + 2]))
    return zone.key if zone is not None else None


def degrees_said(tag: Tag) -> float | None:
    said = number_of(tag) if tag.kind in ("deg", "num") else None
    return degrees_of(tag, said) if said is not None and 0 < said <= _HOTTEST else None


_HOTTEST = 120.0  # °F; no room is warmer, and what is more than that was meant for something else


def clock_said(tags: Sequence[Tag], at: int) -> Clock | None:
    """The hour a stretch says: "at nine", "0730", "six in the morning"."""
    tag = tags[at]
    clock = tag.value if tag.kind == "clock" else None
    said = number_of(tag) if tag.kind == "num" else None
    if clock is None and said is not None and said != int(said):
        clock = clock_of(tag)  # "9.20"
    if said is not None and said == int(said):
        hour, minute = divmod(int(said), 100) if said >= 100 else (int(said), 0)
        clock = Clock(hour, minute) if 0 < hour < 24 and minute < 60 else None
    if not isinstance(clock, Clock) or clock.half:
        return clock
    if tag.note in ("spelled", "weak") and clock.minute == 0:
        clock = replace(clock, minute=_minutes_behind(tags, at))
    parts = (_HALVES.get(w) for w in _after(tags, at, 3).split())
    half = next(filter(None, parts), "") if _after(tags, at).startswith("in") else ""
    beside = (t.value.part for t in tags[max(0, at - 2) : at + 3] if t.kind == "day")
    return replace(clock, half=half or next((part for part in beside if part in ("am", "pm")), ""))


def _minutes_behind(tags: Sequence[Tag], at: int) -> int:
    """The minutes spelt out behind an hour: "seven thirty", "eight oh five"."""
    behind = tags[at + 1 : at + 3]
    oh = len(behind) > 1 and behind[0].word in ("oh", "o")
    said = behind[1] if oh else behind[0] if behind else None
    if said is None or said.note != "spelled" or said.kind != "num":
        return 0
    return int(said.value) if (1 <= said.value < 10 if oh else 10 <= said.value < 60) else 0


_HALVES = {"morning": "am", "afternoon": "pm", "evening": "pm"}


def _after(tags: Sequence[Tag], at: int, many: int = 1) -> str:
    return " ".join(t.word for t in tags[at + 1 : at + 1 + many])


def _times_a_day(tags: Sequence[Tag], at: int) -> float | None:
    tag = tags[at]
    if tag.word in _TIMES and tag.kind in ("word", "lex"):
        return None if _by_the_week(tags, at) else _TIMES[tag.word]
    if tag.word in _EACH:
        return 1.0 if _SPANS.get(_after(tags, at)) == 1.0 else None
    if tag.kind == "dur" and tag.unit == "hour" and at and tags[at - 1].word in _EACH and tag.value:
        return round(24 / tag.value, 1) if tag.low is None else None
    return number_of(tag) if tag.kind in ("times", "num") else None


def _by_the_week(tags: Sequence[Tag], at: int) -> bool:
    return any(t.word in ("week", "wk", "weekly") for t in tags[at + 1 : at + 5] if t.kind != "stop")


def days_between(tags: Sequence[Tag], at: int) -> float | None:
    """The days from one time to the next that a stretch says: "every 3 days", "weekly", "twice a week"."""
    tag = tags[at]
    if tag.kind == "dur":
        said = number_of(tag)
        return said * _SPANS[tag.unit] if said and tag.unit in _SPANS else None
    if tag.word in _EACH and tag.word != "q":
        return _each(tags, at)
    if tag.word in _EVERY:
        return _EVERY[tag.word]
    if tag.kind in ("times", "num"):
        said = number_of(tag)
        if said and _after(tags, at) in ("d", "days", "day", "wk", "w", "weeks") and tag.kind == "num":
            return said * _SPANS[_after(tags, at)]
        return _over(said, tags, at)
    return _over(_TIMES.get(tag.word), tags, at)


def _each(tags: Sequence[Tag], at: int) -> float | None:
    """The days between of what stands behind "every": "sunday", "other week", "morning"."""
    often = _ORDINALS.get(_after(tags, at), 1.0)
    then = at + 2 if often > 1 else at + 1
    if then >= len(tags):
        return None
    tag = tags[then]
    days = 7.0 if tag.kind == "day" and tag.value.weekday is not None else _SPANS.get(tag.word)
    days = days or (1.0 if tag.kind == "day" and tag.value.part else None)
    return days * often if days else None


_ORDINALS = {"other": 2.0, "second": 2.0, "2nd": 2.0, "third": 3.0, "3rd": 3.0, "fourth": 4.0, "4th": 4.0}


def _over(times: float | None, tags: Sequence[Tag], at: int) -> float | None:
    """Days between so many times a day or a week."""
    if not times:
        return None
    if _by_the_week(tags, at):
        return 7 / times
    return 1 / times if any(t.word in ("day", "daily") for t in tags[at + 1 : at + 4]) else None


def day_said(tags: Sequence[Tag], at: int) -> Day | None:
    """The day something is put off to or to be told of: a day, or so many days on."""
    tag = tags[at]
    if tag.kind == "day":
        return tag.value if isinstance(tag.value, Day) and not tag.value.vague else None
    if tag.kind == "dur" and tag.unit == "hour" and tag.low is None and tag.value and tag.value % 24 == 0:
        return Day(offset=int(tag.value // 24), future=True)  # "24h"
    days = 14.0 if tag.word == "fortnight" else days_between(tags, at) if tag.kind in ("dur", "num") else None
    return Day(offset=int(days), future=True) if days and days == int(days) else None


def new_name(tags: Sequence[Tag], at: int, names: Names) -> str | None:
    """The name of a place set up: one the room lacks ("tub H"), or one that is used again."""
    tag = tags[at]
    if tag.kind == "place":
        if tag.note.startswith("?"):
            return tag.note[1:]
        return tag.value[0] if tag.value and len(tag.value) == 1 else None
    whole = tag.kind == "num" and tag.low is None and tag.value == int(tag.value)
    name = str(int(tag.value)) if whole else tag.word.upper() if len(tag.word) == 1 and tag.word.isalpha() else ""
    heads = [w for t in tags[max(0, at - _HEAD_AWAY) : at] for w in t.word.split() if w in names.heads and w]
    head = heads[-1] if heads else _head_of_such(name, names)
    if not name or not head:
        return None
    return next((p.name for p in names.places if p.name == f"{head} {name}"), f"{head} {name}")


def _head_of_such(name: str, names: Names) -> str:
    """What places with numbers, or with letters, are called in the room, where all are alike: "it's 17"."""
    parts = [p.name.rpartition(" ") for p in names.places]
    alike = str.isdigit if name.isdigit() else _is_letter
    found = {head for head, _, own in parts if alike(own)}
    return found.pop() if len(found) == 1 else ""


_HEAD_AWAY = 8  # "that extra tank on the landing I called 18"


def _is_letter(own: str) -> bool:
    return len(own) == 1 and own.isalpha()


def litres_said(tags: Sequence[Tag], at: int, names: Names) -> float | None:
    """The water a place set up holds: "2 cups", "a quart", "the 10-gallon", "20g", "a forty", "5.5"."""
    tag, before = tags[at], tags[at - 1] if at else None
    gallons = LITRES[names.gallon]["gal"]
    said = number_of(tag)
    if tag.kind == "size":
        held = {p.volume for p in names.places if p.name in (tag.value or ()) and p.volume}
        return round(litres_of(held.pop()), 1) if len(held) == 1 else None
    if tag.kind == "vol":
        return round(said, 1) if said is not None else None
    if "volume" in tag.senses and before is not None and (before.word in ONE or before.kind == "frac"):
        many = number_of(before) or 0.0 if before.kind == "frac" else 100.0
        return round(many / 100 * LITRES[names.gallon].get(str(tag.one("volume")), 0.0), 1) or None
    if said is None or not (tag.kind == "num" or (tag.kind == "amount" and tag.unit == "g")):
        return None
    return round(said * gallons, 1)


def role_said(tag: Tag) -> str | None:
    """What a place is for: the quarantine, fry, eggs."""
    return tag.one("role") or next((noun for noun in ("fry", "eggs") if tag.says("noun", noun)), None)


def sex_said(tag: Tag) -> str | None:
    found = [sex for sex in ("male", "female") if tag.says("noun", sex)]
    return found[0] if len(found) == 1 else None


# ---- which stretch says it


def can_order(
    tags: Sequence[Tag], at: int, key: str, value: object, event: Raw, names: Names, sent: dt.datetime | None
) -> bool | None:
    """Whether a stretch says a key of an order; None where it says it as in any other event."""
    tag, kind = tags[at], event["kind"]
    if key == "value" and kind == "setting":
        return _like(value_said(tags, at, str(event.get("what") or "").replace(" ", "_")), value)
    if key == "value" and kind == "fix":
        return _like(number_of(tag), value) or _like(degrees_said(tag), value)
    if key == "every_days":
        return _like(days_between(tags, at), value)
    if key in ("date", "time") and sent is not None:
        return _dated(tags, at, key, str(value), kind, sent)
    if kind == "new_place" and key in ("place", "litres", "role"):
        said_of_it = {
            "place": new_name(tags, at, names),
            "litres": litres_said(tags, at, names),
            "role": role_said(tag),
        }
        return _like(said_of_it[key], value)
    if kind == "fix" and (key, tag.kind) in (("count", "num"), ("percent", "pct")):
        return right_number(tags, at) == value
    if key == "sex":
        return sex_said(tag) == value
    if key == "unit":
        return tag.unit == value or tag.says("unit", str(value))
    if key == "person":
        return tag.kind == "person" and str(tag.value).casefold() == str(value).casefold()
    return None


def likelier(tags: Sequence[Tag], able: Sequence[int]) -> list[int]:
    """Of the stretches that may say where an order is for, those that name a place most surely."""

    def unsure(at: int) -> int:
        return {"num": 1, "word": 1, "clock": 2}.get(tags[at].kind, 0)

    return [at for at in able if unsure(at) == min(map(unsure, able))]


def _like(said: float | str | None, value: object) -> bool:
    if isinstance(said, float) and isinstance(value, int | float):
        return abs(said - value) <= 0.06 + 0.005 * abs(value)
    return said is not None and str(said).casefold() == str(value).casefold()


def _dated(tags: Sequence[Tag], at: int, key: str, value: str, kind: str, sent: dt.datetime) -> bool:
    if key == "time":
        clock = clock_said(tags, at)
        return clock is not None and any(f"{h:02d}:{m:02d}" == value for h, m in clock.options())
    day = day_said(tags, at) if kind in AHEAD or tags[at].kind == "day" else None
    date = day.on(sent, kind in AHEAD) if day is not None else None
    return date is not None and date.isoformat() == value
