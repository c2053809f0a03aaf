"""Days and hours that several stretches say together, or that only what was said before makes out: "at ten past"."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import replace

from bot.language.tags import Tag
from bot.language.times.dates import numeric_date
from bot.language.times.days import Clock, Day

Found = tuple[int, Clock | Day]  # how many stretches, and what they say
_AT = frozenset(["at", "around", "about"])
_PAST = {"five": 5, "ten": 10, "quarter": 15, "twenty": 20, "half": 30, "5": 5, "10": 10, "20": 20, "25": 25}
_ENDS = frozenset(["stop", "sep", "punct"])
_SAID_AT = frozenset(["at", "it's", "its"])
_JOINS = frozenset(["and", "&", "+", "-", "/"])


def moments(tags: Sequence[Tag], sent: dt.datetime) -> list[Tag]:
    """The tags, those that together say a day or an hour made one."""
    tags = _alike(tags, sent)
    out: list[Tag] = []
    at = 0
    while at < len(tags):
        found = next((said for look in _LOOKS if (said := look(tags, at, out))), None)
        if found is None:
            out.append(tags[at])
            at += 1
            continue
        size, value = found
        its = tags[at : at + size]
        kind = "clock" if isinstance(value, Clock) else "day"
        words = " ".join(tag.word for tag in its)
        out.append(replace(its[0], kind=kind, value=value, low=None, word=words, upto=its[-1].upto, note="", senses={}))
        at += size
    return out


def _alike(tags: Sequence[Tag], sent: dt.datetime) -> Sequence[Tag]:
    """Dates in figures read all in the order that one of them must have: "10/3, 12/3, 14/3"."""
    figures = {at: found for at, tag in enumerate(tags) if (found := _figures(tag))}
    orders = {first > _MONTHS for first, second in figures.values() if (first > _MONTHS) != (second > _MONTHS)}
    if len(orders) != 1:
        return tags
    day_first, out = orders.pop(), list(tags)
    for at, (first, second) in figures.items():
        date = numeric_date(first, second, None, day_first, sent.date())
        out[at] = replace(out[at], value=Day(date=date)) if date else out[at]
    return out


def _figures(tag: Tag) -> tuple[int, int] | None:
    parts = tag.word.split(" / ")
    if tag.kind != "day" or len(parts) != 2 or not all(map(str.isdigit, parts)):
        return None
    return int(parts[0]), int(parts[1])


_MONTHS = 12


def _word(tags: Sequence[Tag], at: int) -> str:
    return tags[at].word if 0 <= at < len(tags) else ""


def _kind(tags: Sequence[Tag], at: int) -> str:
    return tags[at].kind if 0 <= at < len(tags) else "stop"


def _hour(tags: Sequence[Tag], at: int, *, spelled: bool = False) -> int:
    """The hour a bare number may say, 0 for none."""
    if _kind(tags, at) != "num" or tags[at].low is not None or (spelled and not _spelled(tags[at])):
        return 0
    value = tags[at].value
    return int(value) if value == int(value) and 1 <= value <= 12 else 0


def _spelled(tag: Tag) -> bool:
    return tag.note == "spelled" or tag.word.isalpha()


# ---- hours


def _past_it(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "At seven …, at ten past": past the hour said last."""
    if _word(tags, at - 1) not in _AT or _word(tags, at + 1) != "past" or _kind(tags, at + 2) in ("num", "clock"):
        return None
    minutes = _PAST.get(tags[at].word, 0) or _minutes(tags, at)
    last = next((tag.value for tag in reversed(before) if tag.kind == "clock"), None)
    return (2, replace(last, minute=minutes, ish=False)) if minutes and last is not None else None


def _minutes(tags: Sequence[Tag], at: int) -> int:
    """The minutes a bare number may say, fives as they are told; 0 for none."""
    value = tags[at].value if _kind(tags, at) == "num" and tags[at].low is None else 0
    return int(value) if value == int(value) and 0 < value < 60 and value % 5 == 0 else 0


def _to_the_hour(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "Ten to nine, rainwater", where nothing was moved or counted from one to the other."""
    hour, minutes = _hour(tags, at + 2, spelled=True), _minutes(tags, at)
    if not hour or not minutes or not _spelled(tags[at]) or _word(tags, at + 1) != "to":
        return None
    opens = _kind(tags, at - 1) in ("stop", "sep") or _word(tags, at - 1) in _AT | {"was", "since"}
    moved = any(tag.says("cue", "move", "pull", "sold") or tag.says("noun", "eggs", "fry") for tag in before)
    ends = _kind(tags, at + 3) in _ENDS
    return (3, Clock(hour - 1 or 12, 60 - minutes)) if opens and ends and not moved else None


def _half_past(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "Half six: everyone flake": at the head of a sentence."""
    hour = _hour(tags, at + 1, spelled=True)
    heads = _kind(tags, at - 1) in ("stop", "sep") and _word(tags, at + 2) == ":"
    return (2, Clock(hour, 30)) if tags[at].word == "half" and hour and heads else None


def _hour_and_minutes(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "At 12 15", "it's nine forty", "eleven thirty I did …"."""
    clock = tags[at].value if tags[at].kind == "clock" and tags[at].note == "weak" else None
    hour = clock.hour if clock is not None and not clock.minute else _hour(tags, at)
    minutes = _minutes(tags, at + 1) if at + 1 < len(tags) else 0
    asked = [tag.word for tag in before[-2:]] == ["time", "was"]
    if not hour or not minutes or (_counts(tags, at + 1) and not asked):
        return None
    if not _spelled(tags[at + 1]):
        said = _word(tags, at - 1) in _AT and len(_word(tags, at + 1)) == 2
    else:
        told = asked or _word(tags, at - 1) in _SAID_AT or _word(tags, at + 2) == "i"
        said = told and _spelled(tags[at]) and minutes >= 10
    return (2, Clock(hour, minutes)) if said else None


def _counts(tags: Sequence[Tag], at: int) -> bool:
    """Whether a number counts what stands behind it, or is one of a list."""
    after = tags[at + 1] if at + 1 < len(tags) else None
    if after is None or after.kind in ("stop", "sep") or after.word in ("i", "and then"):
        return False
    row = not _spelled(tags[at]) and (after.kind in ("num", "clock") or after.word in _JOINS)
    return row or after.says("noun") or after.kind in _COUNTED or after.word in ("of", "in", "from", "left")


_COUNTED = frozenset(["line", "deg", "vol"])


def _with_an_h(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "18h30"."""
    tag = tags[at]
    minutes = tags[at + 1].value if _kind(tags, at + 1) == "num" and tags[at + 1].at == tag.upto else None
    if tag.kind != "dur" or tag.unit != "hour" or tag.value != int(tag.value) or not 0 < tag.value < 24:
        return None
    if minutes is None or not _word(tags, at + 1).isdigit() or len(tags[at + 1].word) != 2 or minutes > 59:
        return None
    return 2, Clock(int(tag.value), int(minutes), "24")


# ---- days


def _weekday_on(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "Saturday week", "fri next week", and "a week from Monday"."""
    words = [_word(tags, at + n) for n in range(3)]
    from_today = words == ["a", "week", "from today"] or [*words, _word(tags, at + 3)] == ["a", "week", "from", "today"]
    if from_today:
        return (3 if words[2] == "from today" else 4), Day(offset=7, future=True)
    from_it = words == ["a", "week", "from"] and _is_weekday(tags, at + 3)
    day = tags[at + 3] if from_it else tags[at] if _is_weekday(tags, at) else None
    if day is None or day.value.which:
        return None
    if from_it or words[1] == "week":
        return (4 if from_it else 2), replace(day.value, which="week on", future=True)
    return (2, replace(day.value, which="next week", future=True)) if words[1] == "next week" else None


def _is_weekday(tags: Sequence[Tag], at: int) -> bool:
    return _kind(tags, at) == "day" and tags[at].value.weekday is not None and tags[at].value.monthday is None


def _day_before(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "Yesterday and the day before", "prev day"."""
    words = [_word(tags, at + n) for n in range(3)]
    if words[0] in ("prev", "previous") and words[1] == "day":
        return 2, Day(offset=-1)
    last = before[-2] if len(before) > 1 and before[-1].word in ("and", "&", ",") else None
    told = last is not None and last.kind == "day" and last.value.offset is not None
    if words != ["the", "day", "before"] or last is None or not told:
        return None
    return 3, Day(offset=last.value.offset - 1)


def _until_the(tags: Sequence[Tag], at: int, before: list[Tag]) -> Found | None:
    """ "Hold til 21": a day of the month, where fish are kept for somebody."""
    value = tags[at].value if tags[at].kind == "num" and tags[at].low is None else 0
    held = any(tag.says("cue", "reserve") or tag.word in _HELD for tag in before)
    ends = _kind(tags, at + 1) in _ENDS
    if _word(tags, at - 1) != "until" or not held or not ends or value != int(value) or not _LAST_HOUR < value <= 31:
        return None
    return 1, Day(monthday=int(value), future=True)


_HELD = frozenset(["hold", "held", "keep", "kept", "reserved", "save", "saved"])
_LAST_HOUR = 12
_LOOKS: tuple[Callable[[Sequence[Tag], int, list[Tag]], Found | None], ...] = (
    _past_it, _to_the_hour, _half_past, _hour_and_minutes, _with_an_h, _weekday_on, _day_before, _until_the,
)  # fmt: skip
