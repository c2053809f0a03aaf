"""Finds the words that say a time of day: "quarter past six", "at half seven", "0645"."""

from __future__ import annotations

import re

from bot.language.text.figures import Item
from bot.language.times.days import WEEKDAYS, Clock, word_at

_AFTER_CLOCK = frozenset(
    ["eggs", "egg", "fry", "fish", "%", "percent", "gallons", "gallon", "gal", "litres", "liters", "l", "drops",
     "ml", "degrees", "°", "f", "c", "days", "weeks", "males", "females", "pairs", "pair", "eyed", "dead", "white",
     "percent", "tanks", "tubs", "mm", "cm", "ppm", "each", "of", "inch", "inches", "more", "left", "hatched"]
)  # fmt: skip


_MINUTES = {"quarter": 15, "half": 30, "ten": 10, "10": 10, "five": 5, "5": 5, "twenty": 20, "20": 20}


_OPENS = frozenset(["noon", "midday", "midnight", *_MINUTES])  # or a number


def clock_at(items: list[Item], at: int) -> tuple[int, Clock] | None:
    """A clock time that begins here: how many items, and the time."""
    word = word_at(items, at)
    if items[at].num is None and word not in _OPENS:
        return None
    after, before = word_at(items, at + 1), word_at(items, at - 1)
    if word in ("noon", "midday"):
        return 1, Clock(12, 0, "24")
    if word == "midnight":
        return 1, Clock(0, 0, "24")
    if word in _MINUTES and after in ("past", "to", "after", "till", "until") and at + 2 < len(items):
        hour = items[at + 2].whole
        spelled_to = after == "to" and items[at].spelled and items[at + 2].spelled
        if (
            hour is not None
            and 1 <= hour <= 12
            and (after != "to" or word in ("quarter", "10", "5", "20") or spelled_to)
            and (
                after == "past"
                or word == "quarter"
                or before == "at"
                or (spelled_to and before in (",", "-", "(", "") and word_at(items, at + 3) in (",", ".", ")", "-", ""))
            )
        ):
            minute = _MINUTES[word]
            size, half = _half(items, at + 3)
            if after in ("to", "till", "until"):
                return 3 + size, Clock(hour - 1 or 12, 60 - minute, half)
            return 3 + size, Clock(hour, minute, half)
    if (
        word == "half"
        and before in ("at", "about", "around", "by")
        and at + 1 < len(items)
        and items[at + 1].whole in range(1, 13)
    ):
        size, half = _half(items, at + 2)
        if word_at(items, at + 2) not in _AFTER_CLOCK:
            return 2 + size, Clock(items[at + 1].whole or 0, 30, half)  # "at half seven"
    num = items[at].num
    if num is None:
        return None
    whole = items[at].whole
    if whole is not None and after == ":" and at + 2 < len(items) and items[at + 1].glued and items[at + 2].glued:
        past = items[at + 2].whole
        if whole < 24 and past is not None and past < 60 and len(items[at + 2].raw) == 2:
            size, half = _half(items, at + 3)
            if not half and (whole > 12 or (len(items[at].raw) == 2 and items[at].raw[0] == "0")):
                half = "24"
            return 3 + size, Clock(whole, past, half)
        return None
    if whole is not None and 1 <= whole <= 12 and items[at].spelled and before in ("at", "around", "about", "by"):
        past = items[at + 1].whole if at + 1 < len(items) and items[at + 1].spelled else None
        if past is not None and past in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55):  # "at two thirty"
            size, half = _half(items, at + 2)
            if word_at(items, at + 2) not in _AFTER_CLOCK:
                return 2 + size, Clock(whole, past, half)
    if whole is not None and 1 <= whole <= 12:
        size, half = _half(items, at + 1)
        if (
            half == "am"
            and not items[at + 1].glued
            and at + 1 + size < len(items)
            and items[at + 1 + size].num is not None
            and word_at(items, at + 2 + size) != ":"
        ):
            size = 0  # a row of readings: 11 am .25
        if size:
            return 1 + size, Clock(whole, 0, half)
        if after == "o'clock":
            return 2, Clock(whole)
        if after == "ish" and before in ("at", "around", "about", "@", "by"):
            return 2, Clock(whole, 0, ish=True)
    raw = items[at].raw
    opens_row = at == 0 or items[at - 1].word in ("\n", "·")
    if (
        re.fullmatch(r"\d{3,4}", raw)
        and 500 <= int(raw) < 2400
        and int(raw[-2:]) < 60
        and int(raw[-2:]) % 5 == 0
        and not 2000 <= int(raw) <= 2059
    ):
        alone = before in (",", "") and (after == "" or after in ("\n", "."))
        if (
            (opens_row and after.isalpha() and after not in _AFTER_CLOCK - {"fry", "egg", "tubs", "fish"})
            or (alone and len(raw) == 4 and at > 0)
            or (after == ":" and len(raw) == 4)
        ):
            return 1, Clock(
                int(raw[:-2]), int(raw[-2:]), "24" if len(raw) == 4 and (raw[0] == "0" or int(raw) >= 1300) else ""
            )
    if (
        re.fullmatch(r"\d{4}", raw)
        and int(raw[:2]) < 24
        and int(raw[2:]) < 60
        and not (2000 <= int(raw) <= 2059 and before not in ("at", "@"))
    ) and (raw[0] == "0" or before in ("at", "@", "until", "from", "by", "around", "since") or before in WEEKDAYS):
        return 1, Clock(int(raw[:2]), int(raw[2:]), "24")
    if re.fullmatch(r"\d{3,4}", raw) and int(raw[-2:]) < 60 and 1 <= int(raw[:-2]) <= 12:  # "615a", "1130pm"
        size, half = _half(items, at + 1)
        if size and items[at + 1].glued:
            return 1 + size, Clock(int(raw[:-2]), int(raw[-2:]), half)
    if re.fullmatch(r"\d{1,2}\.[0-5]\d", raw) and 1 <= num < 24:
        size, half = _half(items, at + 1)
        opens = (
            (at == 0 or items[at - 1].word in (".", "\n", "!", ";", "·"))
            and after.isalpha()
            and after not in (_AFTER_CLOCK - {"fry", "eggs", "egg", "fish", "tubs", "tanks"})
            and after not in ("ph", "temp", "in", "tank", "tub", "ammonia", "nitrite", "nitrate", "for", "on", "each")
        )
        if size or opens or before in ("at", "@", "around", "about"):
            said = raw.split(".")
            return 1 + size, Clock(int(said[0]), int(said[1]), half)
    return None


def _half(items: list[Item], at: int) -> tuple[int, str]:
    """am or pm after a number, however it is dotted."""
    word = word_at(items, at)
    if word in ("am", "pm"):
        return 1, word
    if word in ("a", "p") and word_at(items, at + 1) == "." and word_at(items, at + 2) == "m":
        return (4 if word_at(items, at + 3) == "." else 3), word + "m"
    if word in ("a", "p") and word_at(items, at + 1) == "m" and items[at].glued:
        return 2, word + "m"
    if word in ("a", "p") and 0 <= at < len(items) and items[at].glued and word_at(items, at + 1) != "'":
        return 1, word + "m"
    return 0, ""


_DAY_PARTS = frozenset(["morning", "evening", "night", "afternoon", "tonight", "am", "pm"])


def may_be_clock(items: list[Item], at: int) -> bool:
    """Whether "at 7" or "around 3" can only well be a clock time: nothing countable follows."""
    whole = items[at].whole
    if whole is None or not 1 <= whole <= 12 or word_at(items, at + 1) == "past":
        return False
    if word_at(items, at - 1) in ("about", "around", "like", "say") and at > 1 and word_at(items, at - 2) in _DAY_PARTS:
        return word_at(items, at + 1) not in _AFTER_CLOCK
    if word_at(items, at - 1) not in ("at", "@", "around") and not (
        word_at(items, at - 1) == "about" and word_at(items, at - 2) == "at"
    ):
        return False
    return word_at(items, at + 1) not in _AFTER_CLOCK and word_at(items, at + 1) != "/"
