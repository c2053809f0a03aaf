"""Days and times of day, and which bare numbers are hours."""

from __future__ import annotations

import itertools
from dataclasses import replace

from bot.language.tags.counts import is_counted
from bot.language.tags.plain_words import CURRENCY_WORDS
from bot.language.tags.tag import Marked, Tag
from bot.language.times.clock_phrases import clock_at, may_be_clock
from bot.language.times.day_phrases import day_at
from bot.language.times.days import Clock, Day

_GATHERINGS = frozenset(["auction", "meeting", "club", "market", "show", "sale", "swap", "delivery", "class", "shift"])


def _lists(marked: Marked, at: int) -> bool:
    """Whether a number and a stroke open a list: of tanks after "mop", or of what those tanks gave: "mop 4/8: 6/11"."""
    if marked.tags and marked.tags[-1].says("noun", "mop"):
        return marked.is_id(marked.items[at]) and marked.is_id(marked.items[at + 2])
    return marked.w(at - 1) == ":" and marked.w(at - 3) == "/" and marked.tags[-2].kind == "num"


def _in_slashed_row(marked: Marked, at: int) -> bool:
    """Whether a number goes on with a row of them: "13/14/11 ct 80/21/55", "A/B bad 2/1"."""
    if marked.w(at - 1) == "/" and at > 1 and marked.items[at - 1].glued and marked.items[at].glued:
        return True
    if marked.w(at + 1) == "/" and at + 2 < len(marked.items) and _lists(marked, at):
        return True
    if marked.w(at + 1) != "/" or len(marked.tags) < 2 or not marked.tags[-1].says("cue"):
        return False
    before = marked.tags[-2]
    return before.kind == "place" and len(before.value) == 2 and "/" in marked.words[before.at : before.upto]


def _hour_and_minutes(marked: Marked, at: int) -> Tag | None:
    """ "6 30 pm": the hour and the minutes apart, with the half of the day."""
    its = marked.items[at : at + 3]
    if len(its) < 3 or its[2].word not in ("am", "pm") or its[0].whole is None or its[1].whole is None:
        return None
    hour, minute = its[0].whole, its[1].whole
    if not 1 <= hour <= 12 or not its[1].raw.isdigit() or len(its[1].raw) != 2 or minute > 59:
        return None
    return Tag("clock", Clock(hour, minute, its[2].word), at, at + 3, its[0].word)


_PRICED = frozenset(["pair", "trio", "fish", "piece", "head"])


def time_at(marked: Marked, at: int) -> Tag | None:
    word = marked.words[at]
    if word == "tank" and marked.w(at + 1) == "you":
        return Tag("word", "thank", at, at + 1, "thank")
    size = 0
    value: Day | Clock | None = None
    day = None if _in_slashed_row(marked, at) else day_at(marked.items, at, marked.sent, marked.names.day_first)
    if day:
        size, value = day
        if size == 1 and at and marked.w(at + 1) in _GATHERINGS:
            return Tag("word", word, at, at + 1, word)  # "from the Wednesday auction"
        return Tag("day", value, at, at + size, " ".join(marked.words[at : at + size]))
    if (parted := _hour_and_minutes(marked, at)) is not None:
        return parted
    clock = None if in_pairs(marked, at) else clock_at(marked.items, at)
    if clock:
        size, value = clock
        return Tag("clock", value, at, at + size, word)
    if marked.items[at].num is not None and may_be_clock(marked.items, at):
        before = marked.tags[-2] if len(marked.tags) > 1 else None
        was = marked.w(at - 2)
        if (before is not None and before.kind == "lex" and before.says("quantity")) or was in (
            "was",
            "is",
            "reads",
            "it's",
        ):
            return None
        read_at = was in ("tested", "measured", "read") and marked.w(at - 1) == "at"
        if read_at and any(t.says("quantity") for t in marked.tags[-6:]):
            return None  # "gh in 4 tested at 3"
        after = marked.w(at + 1)
        if after in CURRENCY_WORDS or (after in ("a", "per") and marked.w(at + 2) in _PRICED):
            return None  # "at 5 dollars each", "at 12 a pair"
        if (
            after in ("and", ",")
            and marked.items[at + 2 : at + 3]
            and marked.items[at + 2].num is not None
            and marked.w(at - 1) != "at"
        ):
            return None
        return Tag("clock", Clock(int(marked.items[at].num or 0)), at, at + 1, word, note="weak")
    return None


def in_pairs(marked: Marked, at: int) -> bool:
    """Whether "1:18" stands in a row of pairs of which one cannot be a time: "eggs 1:18 2:0 3:24"."""

    def pair(n: int) -> bool:
        its = marked.items[n : n + 3]
        return (
            n >= 0
            and len(its) == 3
            and its[1].word == ":"
            and its[1].glued
            and its[2].glued
            and its[0].num is not None
            and its[2].num is not None
        )

    if marked.w(at + 1) != ":" or not pair(at):
        return False
    row = [at]
    for step in (-1, 1):
        n = at
        while True:
            n += 3 * step
            if marked.w(n if step > 0 else n + 2) == ",":
                n += step
            if not pair(n):
                break
            row.append(n)
    return len(row) > 1 and any(len(marked.items[n + 2].raw) != 2 or (marked.items[n + 2].num or 0) > 59 for n in row)


def hours_listed(marked: Marked) -> None:
    """In a list of clock times the bare hours are times too: "7, 9:30, 11:45", "at eight noon four and six"."""
    for n in range(1, len(marked.tags)):
        run = _hours_from(marked, n)
        for tag in run:
            if tag.kind == "num":
                tag.kind, tag.value = "clock", Clock(int(tag.value))
    real = list(itertools.pairwise([t for t in marked.tags if t.word not in (",", "and", "&")]))
    for one, two in real:
        if (
            one.kind == "clock"
            and two.kind == "num"
            and _hour(marked, two)
            and marked.w(two.upto) not in ("at", "@")
            and (two.at - one.upto >= 1 or (one.value.half == "24" and not one.note))
        ):
            two.kind, two.value = "clock", Clock(int(two.value))
    for one, two in reversed(real):
        if (
            one.kind == "num"
            and two.kind == "clock"
            and two.at - one.upto == 1
            and marked.w(one.upto) in (",", "and")
            and _hour(marked, one)
        ):
            one.kind, one.value = "clock", Clock(int(one.value))


def _hours_from(marked: Marked, n: int) -> list[Tag]:
    """The hours of a list that begins behind "at": "at eight noon four and six"; none where they are no hours."""
    at, before = marked.tags[n - 1], marked.tags[n - 2] if n > 1 else None
    if at.word not in ("at", "@") or (before is not None and before.word in _READ_AT):
        return []
    run, joined = [marked.tags[n]], False
    for tag in marked.tags[n + 1 :]:
        if tag.word in (",", "and", "&"):
            joined = joined or tag.word != ","
            continue
        if tag.kind not in ("num", "clock"):
            break
        run.append(tag)
    if len(run) < 2 or any(marked.w(t.upto) in ("at", "@") for t in run[1:]):
        return []  # "fed 5 at 5 and 6 at 6": the second 6 is a tank
    if not all(t.kind == "clock" or (t.kind == "num" and _on_the_dial(t)) for t in run):
        return []
    sure = joined or any(t.kind == "clock" and not t.note for t in run)
    return run if sure and not _ends_in_a_count(marked, run[-1]) else []


_READ_AT = ("look", "looked", "looking", "temps", "is", "was")


def _on_the_dial(tag: Tag) -> bool:
    return tag.value == int(tag.value) and 1 <= tag.value <= 12 and tag.low is None and not tag.approx


def _ends_in_a_count(marked: Marked, last: Tag) -> bool:
    """Whether the last number of a list counts something or is a place, and no hour."""
    if last.kind == "clock":
        return False
    after = marked.w(last.upto)
    if after in ("of", "in", "on", "from", "was", "had") or (after == "to" and marked.w(last.upto + 1).isdigit()):
        return True
    return is_counted(marked, last.upto - 1)


def hours_spanned(marked: Marked) -> None:
    """ "2 to 5pm": hours from and to, and no tanks."""
    for one, two in itertools.pairwise(marked.tags):
        if one.kind == "num" and one.low is not None and two.word in ("am", "pm", "o'clock") and one.value <= 12:
            one.kind, one.note, one.low = "word", "idle", None
    for n, tag in enumerate(marked.tags[:-1]):  # "between 9 last night and 6 this morning"
        if tag.word != "between":
            continue
        its = [t for t in marked.tags[n + 1 : n + 6] if t.word not in ("about", "around")]
        if [t.kind for t in its[:2]] == ["num", "day"] and its[2:4] and its[2].word == "and" and its[3].kind == "num":
            for hour in (its[0], its[3]):
                hour.kind, hour.note = "word", "idle"
            its[1].kind = "word"


def hours_by_part_of_day(marked: Marked) -> None:
    """ "At 7 this morning and (at) 5 this evening": each hour is of the part of the day behind it."""
    for n in range(len(marked.tags) - 4):
        hour, day, joined, number, then = marked.tags[n : n + 5]
        if [t.kind for t in (hour, day, number, then)] != ["clock", "day", "num", "day"]:
            continue
        if joined.word in ("and", ",") and day.value.part and then.value.part and _on_the_dial(number):
            number.kind, number.value = "clock", Clock(int(number.value))
    its = [
        (one, two.value.part)
        for one, two in itertools.pairwise(marked.tags)
        if one.kind == "clock" and not one.value.half and two.kind == "day" and two.value.part in ("am", "pm")
    ]
    if len({part for _, part in its}) > 1:
        for tag, part in its:
            tag.value = replace(tag.value, half=part)


def hours_of_rows(marked: Marked) -> None:
    """Rows that begin with an hour: once one does for certain, bare hours at the head of the others are times too."""
    heads = [t for n, t in enumerate(marked.tags) if n == 0 or marked.tags[n - 1].word == "\n"]
    sure = [t for t in heads if t.kind == "clock"]
    bare = [t for t in heads if t.kind == "num" and t.value == int(t.value) and 1 <= t.value <= 23 and t.low is None]
    if sure and bare and len(sure) + len(bare) >= 3:
        for tag in bare:
            tag.kind, tag.value = "clock", Clock(int(tag.value))


def _hour(marked: Marked, tag: Tag) -> bool:
    if tag.value != int(tag.value) or not 1 <= tag.value <= 23 or tag.low is not None or tag.approx:
        return False
    return not is_counted(marked, tag.upto - 1) and marked.w(tag.upto) in (
        ",",
        "and",
        "",
        ".",
        "\n",
        "all",
        "today",
        "yesterday",
        "!",
        "&",
        "while",
        "when",
        "then",
    )
