"""Which stretch of time a question is about: “this week”, “since the 1st”, “in February”, “the last 10 days”."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from bot import sentences as say
from bot.language.times.days import MONTHS, WEEKDAYS

_MONTH = rf"(?:{'|'.join(sorted(MONTHS, key=len, reverse=True))})"
_WEEKDAY = rf"(?:{'|'.join(sorted(WEEKDAYS, key=len, reverse=True))})"
_DAY = (
    rf"(?:today|yesterday|(?:last )?{_WEEKDAY}\b(?! \d)|\d{{4}}-\d\d-\d\d|{_MONTH}\.? \d{{1,2}}(?:st|nd|rd|th)?\b"
    rf"|(?:the )?\d{{1,2}}(?:st|nd|rd|th)? (?:of )?{_MONTH}\b|(?:the )?\d{{1,2}}(?:st|nd|rd|th)\b"
    rf"|(?:the (?:start|beginning) of (?:the |this )?(?:week|month|year))|{_MONTH}\b)"
)
_STRETCH = re.compile(
    r"\b(?:last|past|previous) (\d+|few|couple of)? ?(hours?|days?|weeks?|fortnights?|months?|years?)\b"
)
_LENGTHS = {"hour": 1 / 24, "day": 1, "week": 7, "fortnight": 14, "month": 30, "year": 365}


@dataclass(frozen=True)
class Period:
    """From `since` until `until` (both aware; None: no bound), and how it is called."""

    since: dt.datetime | None
    until: dt.datetime | None
    words: str

    def days(self, now: dt.datetime, begun: dt.datetime | None) -> float:
        """How many days of it lie between the record's beginning and now; at least one."""
        first = max(filter(None, (self.since, begun)), default=now)
        last = min(self.until or now, now)
        return max(1.0, (last - first).total_seconds() / 86400)


def _at(day: dt.date, now: dt.datetime) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(0), now.tzinfo)


def _whole(first: dt.date, last: dt.date, now: dt.datetime, words: str) -> Period:
    """Whole days, the last one included."""
    end = _at(last + dt.timedelta(days=1), now) - dt.timedelta(microseconds=1)
    return Period(_at(first, now), end, words)


def _month(year: int, month: int) -> tuple[dt.date, dt.date]:
    first = dt.date(year, month, 1)
    return first, (first + dt.timedelta(days=32)).replace(day=1) - dt.timedelta(days=1)


def _past(month: int, day: int, today: dt.date) -> dt.date | None:
    """The latest such day that is not still to come."""
    for year in (today.year, today.year - 1):
        try:
            found = dt.date(year, month, day)
        except ValueError:
            return None
        if found <= today:
            return found
    return None


def day_said(words: str, today: dt.date) -> dt.date | None:
    """The past or present day a few words name; None where they name none."""
    words = re.sub(r"\bthe |\bof |\.", "", words).strip()
    if words in ("today", "yesterday"):
        return today - dt.timedelta(days=words == "yesterday")
    if found := re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", words):
        try:
            return dt.date(int(found[1]), int(found[2]), int(found[3]))
        except ValueError:
            return None
    if found := re.fullmatch(r"(?:start|beginning) (?:this )?(week|month|year)", words):
        firsts = {
            "week": today - dt.timedelta(days=today.weekday()),
            "month": today.replace(day=1),
            "year": today.replace(month=1, day=1),
        }
        return firsts[found[1]]
    if found := re.fullmatch(rf"(last )?({_WEEKDAY})", words):
        back = (today.weekday() - WEEKDAYS[found[2]]) % 7
        return today - dt.timedelta(days=back or (7 if found[1] else 0))
    if found := re.fullmatch(rf"({_MONTH}) (\d+)\D*", words) or re.fullmatch(rf"(\d+)\D* ({_MONTH})", words):
        month, day = (found[1], found[2]) if found[1] in MONTHS else (found[2], found[1])
        return _past(MONTHS[month], int(day), today)
    if words in MONTHS:
        return _past(MONTHS[words], 1, today)
    if found := re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)", words):
        first = today.replace(day=1)
        for month_end in (first + dt.timedelta(days=31), first, first - dt.timedelta(days=1)):
            try:
                day_found = month_end.replace(day=int(found[1]))
            except ValueError:
                continue
            if day_found <= today:
                return day_found
    return None


def period_said(text: str, now: dt.datetime) -> Period | None:
    """The stretch of past time a question's words name, in the zone of `now`; None where they name none."""
    words = " ".join(text.casefold().replace("’", "'").split())
    today = now.date()
    return _bounded(words, now) or _named(words, now, today) or _stretch(words, now) or _one_day(words, now, today)


def _bounded(words: str, now: dt.datetime) -> Period | None:
    """“since the 1st”, “between the 3rd and the 9th”."""
    today = now.date()
    both = re.search(rf"\b(?:between|from) ({_DAY}) (?:and|to|until|till|through) ({_DAY})", words)
    if both:
        first, last = day_said(both[1], today), day_said(both[2], today)
        if first and last and first <= last:
            return _whole(first, last, now, f"{say.day(first, today)} to {say.day(last, today)}")
    since = re.search(rf"\b(?:since|from|after|starting) ({_DAY})", words)
    if since and (first := day_said(since[1], today)):
        return Period(_at(first, now), None, f"since {say.day(first, today)}")
    return None


def _named(words: str, now: dt.datetime, today: dt.date) -> Period | None:
    """“this week”, “last month”, “in February”, “2025”, “ever”."""
    monday = today - dt.timedelta(days=today.weekday())
    if re.search(r"\b(?:this|the) week\b(?! ago)", words):
        return Period(_at(monday, now), None, f"this week, since {say.day(monday)}")
    if re.search(r"\blast week\b", words):
        first = monday - dt.timedelta(days=7)
        return _whole(first, monday - dt.timedelta(days=1), now, f"last week, {_days(first, 7)}")
    if re.search(r"\bthis month\b", words):
        first = today.replace(day=1)
        return Period(_at(first, now), None, f"this month, since {say.day(first)}")
    if re.search(r"\blast month\b", words):
        last = today.replace(day=1) - dt.timedelta(days=1)
        return _whole(last.replace(day=1), last, now, f"in {last:%B}")
    if re.search(r"\bthis year\b", words):
        return Period(_at(today.replace(month=1, day=1), now), None, "this year")
    if re.search(r"\blast year\b", words):
        return _whole(
            dt.date(today.year - 1, 1, 1), dt.date(today.year - 1, 12, 31), now, f"last year, {today.year - 1}"
        )
    if found := re.search(rf"\b(?:in|for|during|of) ({_MONTH})(?: (\d{{4}}))?\b(?! \d)", words):
        month = MONTHS[found[1]]
        year = int(found[2]) if found[2] else today.year if month <= today.month else today.year - 1
        return _whole(
            *_month(year, month), now, f"in {dt.date(year, month, 1):%B}{'' if year == today.year else f' {year}'}"
        )
    if found := re.search(r"\b(?:in|for|during|of) (20\d\d)\b", words):
        year = int(found[1])
        return _whole(dt.date(year, 1, 1), dt.date(year, 12, 31), now, f"in {year}")
    if re.search(
        r"\b(?:ever|all time|so far|to date|since (?:we|i) (?:started|began)|on record|from the start)\b", words
    ):
        return Period(None, None, "on record")
    return None


def _days(first: dt.date, many: int) -> str:
    last = first + dt.timedelta(days=many - 1)
    return f"{say.day(first)} to {say.day(last)}"


def _stretch(words: str, now: dt.datetime) -> Period | None:
    """“the last 10 days”, “in the past month”, “7 days”."""
    found = _STRETCH.search(words)
    if not found:
        found = re.search(
            r"\b(?:in the|over(?: the)?|within(?: the)?) (\d+) (hours?|days?|weeks?|months?|years?)\b", words
        )
    if not found:
        return None
    many = {"few": 3, "couple of": 2, None: 1}.get(found[1]) or int(found[1])
    unit = found[2].rstrip("s")
    return Period(
        now - dt.timedelta(days=many * _LENGTHS[unit]),
        None,
        f"in the last {unit if many == 1 else say.count(many, unit)}",
    )


def _one_day(words: str, now: dt.datetime, today: dt.date) -> Period | None:
    """“today”, “this morning”, “last night”, “on Tuesday”, “march 10”."""
    noon = dt.timedelta(hours=12)
    if re.search(r"\bthis morning\b", words):
        return Period(_at(today, now), min(now, _at(today, now) + noon), "this morning")
    if re.search(r"\bthis (?:afternoon|evening)\b|\btonight\b", words):
        return Period(_at(today, now) + noon, None, "since noon")
    if re.search(r"\blast night\b|\bovernight\b", words):
        start = _at(today, now) - dt.timedelta(hours=7)
        return Period(start, _at(today, now) + noon / 2, "last night")
    if re.search(r"\bday before yesterday\b", words):
        day = today - dt.timedelta(days=2)
        return _whole(day, day, now, f"on {say.day(day, today)}")
    found = re.search(rf"\b(?:on |from )?(?!(?:sat|sun|may)\b)({_DAY})|\bon (sat|sun)\b", words)
    if found and found[1] not in MONTHS and (told := day_said(found[1] or found[2], today)):
        near = say.day(told, today)
        return _whole(told, told, now, near if near in ("today", "yesterday") else f"on {near}")
    return None
