"""The words an order is made of: which chores, which tanks, which days, which hours; each known whole or not at all."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from bot.language import Names
from bot.language.text.figures import Item, items_of
from bot.language.text.names import spoken
from bot.language.text.words import tokens_of
from bot.language.times.day_phrases import day_at
from bot.language.times.days import Clock
from bot.language.times.seasons import season_in
from bot.routine.chore_words import CHORE, CHORE_WORDS, SAME_SLOT, SLOT

_CHORE_NAMED = re.compile(rf"^(?:(?:the|any) )?(?:(?P<slot>{SLOT}) )?(?P<chore>{CHORE})$")

_DAY_NAMES = {
    "mon": "mon",
    "tues?": "tue",
    "wed(?:nes)?": "wed",
    "thu(?:rs?)?": "thu",
    "fri": "fri",
    "sat(?:ur)?": "sat",
}
_DAY_NAMES |= {"sun": "sun"}
_ONE_DAY = rf"(?:{'|'.join(_DAY_NAMES)})(?:days?)?"
_SOME_DAYS = rf"(?:{_ONE_DAY}|weekends?|the weekends?|weekdays?|work ?days?)"
_AND = r"(?:\s*,\s*(?:and\s+)?|\s*&\s*|\s+and\s+)"
_WEEKDAYS = re.compile(rf"^(?:on |at )?(?P<each>every |each )?(?P<days>{_SOME_DAYS}(?:{_AND}(?:on )?{_SOME_DAYS})*)$")
NUMBERS = {"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
NUMBERS |= {"ten": 10, "eleven": 11, "twelve": 12, "fourteen": 14}
NUMBER = rf"(?:\d{{1,3}}|{'|'.join(NUMBERS)})"
_WEEKDAY = re.compile(rf"^{_ONE_DAY}$")
_BOTH_DAYS = re.compile(rf"^(?:on )?(?:both )?({_ONE_DAY}){_AND}({_ONE_DAY})$")
_NTH = re.compile(r"^\d{1,2}(?:st|nd|rd|th)\b")
_UNTIL = re.compile(r"^(?:until|till?|til|'til) (.+)$")
_SPAN = re.compile(
    r"^(?:from )?(?:the )?(.+?)\s*(?:\bto\b|-|–|\bthrough\b|\bthru\b|\buntil\b|\btill?\b)\s*(?:the )?(.+)$"
)
_ANDS = re.compile(_AND)
_IN = re.compile(r"^(?:in|for|of|on|with) (.+)$")
_NUMBERED = re.compile(
    r"^(?:(?P<head>[a-z]+)(?:\s+|(?=\d)))?(?P<from>\d+|[a-z])(?:\s*(?:-|–|\bto\b|\bthru\b)\s*(?P<to>\d+|[a-z]))?$"
)
_LINES_PLACE = re.compile(r"^(.+) (tank|tub)s?$")
_LENGTH = re.compile(
    rf"^(?:for )?(?:the next )?(?:(?P<n>{NUMBER}) (?P<unit>day|week|month)s?|(?P<fortnight>a fortnight))$"
)
_CLOCK = re.compile(r"^(?P<h>\d{1,2})(?:[:.](?P<m>[0-5]\d))?\s*(?P<half>am|pm|a|p|o'?clock|h)?$")
_WORD_CLOCKS = {"noon": 12 * 60, "midday": 12 * 60, "midnight": 0}
_GROUPS = {
    "all tanks": "all tanks", "the tanks": "all tanks", "every tank": "all tanks",
    "all tubs": "all tubs", "every tub": "all tubs", "the tubs": "all tubs",
}  # fmt: skip
# What stands around an order begins with one of these words and is no longer than so many.
_OPENS_TAIL = re.compile(
    rf"^(?:{_SOME_DAYS},?|on|at|every|each|all|during|over|the|for|from|in|of|with|until|till?|'til|today|tonight|tomorrow|this|next|\d.*"
    rf"|{NUMBER}|jan.*|feb.*|mar.*|apr.*|may|jun.*|jul.*|aug.*|sep.*|oct.*|nov.*|dec.*)$"
)
_LONGEST_TAIL = 9
EVERYWHERE = ("everywhere", "the room", "the whole room", "all", "everything")


@dataclass(frozen=True)
class Where:
    """What an order is for: places, a batch or a line; none of them for the room."""

    places: tuple[str, ...] = ()
    batch: str | None = None
    line: str | None = None

    @property
    def room(self) -> bool:
        return not (self.places or self.batch or self.line)

    def keys(self) -> dict[str, Any]:
        """The keys of an event."""
        if len(self.places) == 1:
            return {"place": self.places[0]}
        if self.places:
            return {"places": self.places}
        return {"batch": self.batch} if self.batch else {"line": self.line} if self.line else {}


ROOM_WIDE = Where()


@dataclass(frozen=True)
class Days:
    """Which days an order is for, both ends with it; `back` when "until" named the day all is as before."""

    first: dt.date
    last: dt.date

    @property
    def back(self) -> dt.date:
        return self.last + dt.timedelta(days=1)

    def keys(self) -> dict[str, str]:
        return {"from": self.first.isoformat(), "to": self.last.isoformat()}


@dataclass(frozen=True)
class Order:
    """The words of an order with what stood around its core: where, weekdays, days."""

    core: str
    where: Where = ROOM_WIDE
    weekday: str | None = None
    days: Days | None = None
    season: tuple[str, str] | None = None  # days without a year


@dataclass(frozen=True)
class Words:
    """What words mean in one room at one time; every question is answered whole or with None."""

    names: Names
    now: dt.datetime
    for_good: bool = field(default=False)  # "from now on" was said: a single weekday means each

    # ---- places

    def where(self, text: str) -> Where | None:
        """The places, batch or line a text names and nothing else."""
        text = " ".join(text.split())
        bare = text.removeprefix("the ")
        if text in EVERYWHERE:
            return ROOM_WIDE
        if text in _GROUPS:
            return Where((_GROUPS[text],))
        if name := self.names.whole.get(spoken(bare)):
            return Where((name,))
        if batch := self.names.batch_ids.get(re.sub(r"[\s-]", "", bare.removeprefix("batch "))):
            return Where(batch=batch)
        if found := self._numbered(bare):
            return Where(found)
        lines = self.names.line_words.get(spoken(bare), ())
        if len(lines) == 1 and len(bare) > 2:
            return Where(line=lines[0])
        if (hit := _LINES_PLACE.match(bare)) and len(self.names.line_words.get(spoken(hit[1]), ())) == 1:
            line = self.names.line_words[spoken(hit[1])][0]
            fits = [p.name for p in self.names.places if line in self.names.lines_in(p.name) and p.kind == hit[2]]
            return Where((fits[0],)) if len(fits) == 1 else None
        return None

    def _numbered(self, text: str) -> tuple[str, ...] | None:
        """`tank 3`, `3`, `tanks 2 and 3`, `tubs A-C`, `tank 2, tub E`."""
        found: list[str] = []
        head = ""
        for part in _ANDS.split(text):
            hit = _NUMBERED.match(part)
            if not hit or (hit["head"] and hit["head"] not in self.names.head_words):
                return None
            head = hit["head"] or head
            for ident in _between(hit["from"], hit["to"] or hit["from"]):
                if head:
                    fits = [
                        self.names.heads[h][ident] for h in self.names.head_words[head] if ident in self.names.heads[h]
                    ]
                else:
                    fits = list(self.names.by_id.get(ident, ())) if ident.isdigit() or len(text) == 1 else []
                if len(fits) != 1:
                    return None
                found += fits
        return tuple(dict.fromkeys(found)) or None

    def person(self, text: str) -> str | None:
        """Somebody of this room."""
        return self.names.person_words.get(spoken(text))

    # ---- days and hours

    def weekdays(self, text: str) -> str | None:
        """`on Sundays`, `weekends`, `every Tuesday and Friday` as `sun`, `sat,sun`, `tue,fri`; no single day."""
        hit = _WEEKDAYS.match(text)
        if not hit:
            return None
        found: list[str] = []
        for word in re.findall(r"[a-z]+", hit["days"]):
            if word in ("and", "on", "the", "work"):
                continue
            if word.startswith("weekend"):
                found += ["sat", "sun"]
            elif word.startswith("weekday") or word in ("days", "workday", "workdays"):
                found += ["mon", "tue", "wed", "thu", "fri"]
            else:
                if not (word.endswith("days") or hit["each"] or self.for_good):
                    return None
                found.append(next(d for said, d in _DAY_NAMES.items() if re.match(rf"{said}(?:days?)?$", word)))
        order = list(_DAY_NAMES.values())
        return ",".join(sorted(dict.fromkeys(found), key=order.index))

    def day(self, text: str) -> dt.date | None:
        """One day from today on."""
        text = text.strip().removeprefix("on ")
        if _NTH.match(text):
            text = f"the {text}"
        items = _items(text)
        if not items:
            return None
        found = day_at(items, 0, self.now, self.names.day_first)
        if found is None or found[0] != len(items):
            return None
        day = found[1].on(self.now, ahead=True)
        return day if day and day >= self.now.date() else None

    def days(self, text: str) -> Days | None:
        """`today`, `till Thursday`, `two weeks`, `12th to 15th`, `this weekend`."""
        today = self.now.date()
        text = text.strip()
        if text in ("tonight", "this morning", "this afternoon", "this evening"):
            return Days(today, today)
        if text == "this week":
            return Days(today, today + dt.timedelta(days=6 - today.weekday()))
        if text in ("next week", "until next week", "till next week"):
            monday = today + dt.timedelta(days=7 - today.weekday())  # weeks begin on Monday: ISO 8601
            until = text != "next week"
            return Days(today, monday - dt.timedelta(days=1)) if until else Days(monday, monday + dt.timedelta(days=6))
        if text in ("this weekend", "the weekend"):
            saturday = today + dt.timedelta(days=(5 - today.weekday()) % 7)
            return Days(saturday, saturday + dt.timedelta(days=1))
        if hit := _LENGTH.match(text):
            number = NUMBERS.get(hit["n"] or "") or int(hit["n"] or 2)
            length = number * {"day": 1, "week": 7, "month": 30}[hit["unit"] or "week"]
            return Days(today, today + dt.timedelta(days=length - 1)) if length else None
        if hit := _UNTIL.match(text):
            end = self.day(hit[1]) or self._month(hit[1])
            if end == today and _WEEKDAY.match(hit[1]):
                end += dt.timedelta(days=7)
            return Days(today, end - dt.timedelta(days=1)) if end and end > today else None
        if hit := _SPAN.match(text):
            return self._from_to(hit[1], hit[2])
        if hit := _BOTH_DAYS.match(text):
            both = self._from_to(hit[1], hit[2])  # two days in a row
            return both if both and (both.last - both.first).days == 1 else None
        one = self.day(text)
        return Days(one, one) if one else None

    def _month(self, text: str) -> dt.date | None:
        """The first day of a month to come."""
        season, today = season_in(f"in {text}"), self.now.date()
        if season is None or season[0][:4] != season[1][:4]:
            return None
        first = dt.date(today.year, int(season[0][2:4]), 1)
        return first if first > today else first.replace(year=today.year + 1)

    def _from_to(self, begin: str, end: str) -> Days | None:
        first = self.day(begin)
        month = re.search(r"[a-z]{3,}", end)
        if first is None and re.match(r"^\d{1,2}$", begin) and month:  # "12 to 15 March"
            first = self.day(f"{begin} {month[0]}")
        if first is None:
            return None
        later = Words(self.names, dt.datetime.combine(first, dt.time(12), self.now.tzinfo), self.for_good)
        last = later.day(end)
        if last is None and re.match(r"^\d{1,2}$", end):  # "March 12 to 15"
            last = later.day(f"the {end}th")
        if last == first and _WEEKDAY.match(end):
            last = first + dt.timedelta(days=7)
        return Days(first, last) if last and last >= first else None

    def clocks(self, text: str) -> tuple[str, ...] | None:
        """Clock times in the order of the day: `7, 12 and 6` is 07:00, 12:00 and 18:00."""
        found: list[int] = []
        written = bool(re.search(r"(?<![:.\d])(?:1[3-9]|2[0-3])\b", text))
        for part in _ANDS.split(text.strip()):
            minutes = _minutes(part.strip(), found[-1] if found else None, written)
            if minutes is None or (found and minutes <= found[-1]):
                return None
            found.append(minutes)
        return tuple(f"{m // 60:02}:{m % 60:02}" for m in found) or None

    # ---- an order taken apart

    def taken_apart(self, text: str) -> Iterator[Order]:
        """The text with more and more of its where and when taken off its end; the whole first."""
        yield from self._apart(Order(text), frozenset())

    def _apart(self, order: Order, seen: frozenset[str]) -> Iterator[Order]:
        yield order
        words = order.core.split(" ")
        for at in range(max(1, len(words) - _LONGEST_TAIL), len(words)):
            if not _OPENS_TAIL.match(words[at]):
                continue
            core, tail = " ".join(words[:at]).rstrip(" ,:"), " ".join(words[at:])
            if order.season is None and (season := season_in(tail)):
                yield from self._apart(replace(order, core=core, season=season), seen)
                return
            if order.weekday is None and "weekday" not in seen and (days := self.weekdays(tail)):
                yield from self._apart(replace(order, core=core, weekday=days), seen | {"weekday"})
                return
            if order.days is None and (span := self.days(tail)):
                yield from self._apart(replace(order, core=core, days=span), seen)
                return
            hit = _IN.match(tail)
            if hit and "where" not in seen and order.where == ROOM_WIDE and (where := self.where(hit[1])):
                yield from self._apart(replace(order, core=core, where=where), seen | {"where"})
                return

    def chore(self, text: str) -> tuple[tuple[str, ...], str | None] | None:
        """The tasks words mean and the part of the day said with them."""
        hit = _CHORE_NAMED.match(text)
        if not hit:
            return None
        slot = SAME_SLOT.get(hit["slot"] or "", hit["slot"])
        return CHORE_WORDS[hit["chore"]], slot


@lru_cache(maxsize=1024)
def _items(text: str) -> list[Item]:
    """The words and numbers of a text; read only, for the ends of a room's notes are much the same."""
    tokens = tokens_of(text)
    return items_of(tokens, [t.word for t in tokens])


def _between(first: str, last: str) -> list[str]:
    if first == last:
        return [first]
    if first.isdigit() and last.isdigit():
        return [str(n) for n in range(int(first), min(int(last), int(first) + 199) + 1)]
    if first.isalpha() and last.isalpha():
        return [chr(n) for n in range(ord(first), ord(last) + 1)]
    return []


def _minutes(text: str, after: int | None, written: bool) -> int | None:
    """Minutes of the day; without am or pm the next such after the one before, or as `written` on 24 hours."""
    if text in _WORD_CLOCKS:
        return _WORD_CLOCKS[text]
    hit = _CLOCK.match(text)
    if not hit:
        return None
    half = {"a": "am", "p": "pm"}.get(hit["half"] or "", hit["half"] or "")
    clock = Clock(int(hit["h"]), int(hit["m"] or 0), half if half in ("am", "pm") else "")
    if clock.hour > 23:
        return None
    options = [h * 60 + m for h, m in clock.options()]
    if not half and (written or (hit["m"] and len(hit["h"]) == 2)):
        options = [clock.hour * 60 + clock.minute]  # written on 24 hours
    if after is None:
        # by itself an hour below twelve is the morning's, twelve is noon
        return options[-1] if clock.hour == 12 and not half else options[0]
    return next((o for o in options if o > after), None)
