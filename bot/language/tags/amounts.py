"""Numbers with what belongs to them: ranges, fractions, percents, money, volumes, doses."""

from __future__ import annotations

from bot.language.tags.counts import is_counted, litres_of, unit_at
from bot.language.tags.places import place_at, size_at
from bot.language.tags.plain_words import CURRENCY_WORDS
from bot.language.tags.stock import batch_at, line_at
from bot.language.tags.tag import Marked, Tag
from bot.language.text.figures import FRACTIONS
from bot.language.text.words import CURRENCY
from bot.language.times.days import Clock

# What may stand between a number and its spoon or drop: "two extra drops", "one level tablespoon".
_SIZED = frozenset(
    ["level", "heaped", "heaping", "rounded", "full", "scant", "big", "small", "extra", "more", "good", "generous",
     "fat", "tiny", "little", "large", "whole", "single", "additional"]
)  # fmt: skip
_OUT = frozenset(["out", "drained", "swap", "swapped"])
_CHANGES = frozenset(["change", "changed", "wc", "water change", "pwc"])


def number_at(marked: Marked, at: int) -> Tag | None:
    item = marked.items[at]
    value = float(item.num or 0)
    after = marked.w(at + 1)
    before = marked.w(at - 1)
    end = at + 1
    if item.spelled and value == 1 and after in ("third", "quarter", "half", "fifth"):
        return Tag("frac", FRACTIONS[after], at, at + 2, after)
    nxt = marked.items[end] if end < len(marked.items) else None
    approx = before in (
        "about",
        "~",
        "roughly",
        "maybe",
        "around",
        "approximately",
        "nearly",
        "almost",
        "circa",
        "say",
    )
    if (
        after == ","
        and nxt is not None
        and nxt.glued
        and at + 2 < len(marked.items)
        and marked.items[at + 2].glued
        and marked.items[at + 2].raw.isdigit()
        and len(marked.items[at + 2].raw) <= 2
        and (
            marked.names.metric
            or item.raw == "0"
            or (
                4 <= value < 10
                and len(marked.items[at + 2].raw) == 1
                and any(t.says("quantity", "ph") for t in marked.tags)
            )
            or (len(marked.items[at + 2].raw) == 1 and bool(marked.tags) and marked.tags[-1].says("quantity"))
            or (value >= 10 and len(marked.items[at + 2].raw) == 1 and any(t.says("quantity") for t in marked.tags))
            or (marked.w(at + 3) in ("cm", "inch", "inches") and not marked.is_id(item))
            or (
                marked.w(at + 3) == "cm"
                and bool(marked.tags)
                and (marked.tags[-1].word in ("about", "average") or marked.tags[-1].kind in ("place", "batch"))
            )
        )
        and not (marked.w(at + 3) == "," and marked.items[at + 3].glued and marked.w(at + 4) != ",")
        and not (before == "," and item.glued)
        and "." not in item.raw
    ):
        value = float(f"{item.raw}.{marked.items[at + 2].raw}")
        end = at + 3
        after = marked.w(end)
        nxt = marked.items[end] if end < len(marked.items) else None
    word = item.raw.lower()
    low: float | None = None
    listed = bool(marked.tags) and marked.tags[-1].says("noun", "mop")
    row = listed or "/" in (before, marked.w(at + 3))  # "mops 2/3/5"
    if (
        after == "/"
        and at + 2 < len(marked.items)
        and marked.items[at + 2].num
        and nxt is not None
        and nxt.glued
        and not row
    ):
        bottom = float(marked.items[at + 2].num or 1)
        if 0 < value < bottom <= 8:
            return Tag("frac", 100 * value / bottom, at, at + 3, "/")
    if marked.tags and marked.tags[-1].says("role") and item.whole is not None:
        its = marked.names.by_id.get(str(item.whole), ())
        role = marked.tags[-1].one("role")
        if len(its) == 1 and role is not None and marked.names.place_of[its[0]].role == role:
            return Tag("place", its, at, at + 1, word)
    if after in FRACTIONS and value <= 3 and item.spelled:
        return Tag("frac", value * FRACTIONS[after], at, end + 1, after)
    if (
        before == "between"
        and after == "and"
        and end + 1 < len(marked.items)
        and marked.items[end + 1].num is not None
        and not (marked.is_id(item) and marked.is_id(marked.items[end + 1]))
    ):
        low, value, end = value, float(marked.items[end + 1].num or 0), end + 2
        after = marked.w(end)
        nxt = marked.items[end] if end < len(marked.items) else None
    if after in ("-", "to", "or", "through") and end + 1 < len(marked.items) and marked.items[end + 1].num is not None:
        top = float(marked.items[end + 1].num or 0)
        if (
            (
                (after == "-" and marked.items[end].glued)
                or after == "through"
                or (after in ("to", "or") and (is_counted(marked, end + 1) or unit_at(marked, end + 2)))
                or (
                    after == "to"
                    and before == "from"
                    and len(marked.tags) > 1
                    and (marked.tags[-2].says("group") or marked.tags[-2].says("noun", "tank"))
                )
            )
            and top > value
        ) or (
            after == "or"
            and top > value
            and not (
                before in ("in", "from", "on") and marked.is_id(item) and marked.is_id(marked.items[end + 1])
            )  # "no eggs in 5 or 7"
            and not (
                before == ","
                and at > 1
                and marked.is_id(marked.items[at - 2])
                and marked.is_id(item)
                and marked.is_id(marked.items[end + 1])
            )
        ):
            low, value, end = value, top, end + 2
            after = marked.w(end)
            nxt = marked.items[end] if end < len(marked.items) else None
    if after == "and" and marked.w(end + 1) in ("a", "1") and marked.w(end + 2) == "half":
        value, end = value + 0.5, end + 3
        after = marked.w(end)
    elif (
        nxt is not None
        and nxt.num is not None
        and marked.w(end + 1) == "/"
        and marked.w(end + 2)
        and item.whole is not None
        and marked.items[end + 2].num
        and float(nxt.num or 0) < float(marked.items[end + 2].num or 0) <= 8
        and marked.items[end + 1].glued
    ):
        value, end = value + float(nxt.num or 0) / float(marked.items[end + 2].num or 1), end + 3
        after = marked.w(end)
    nxt = marked.items[end] if end < len(marked.items) else None
    if after == "-" and marked.w(end + 1) in ("something", "ish", "odd") and nxt is not None and nxt.glued:
        return Tag("num", value, at, end + 2, word, low=value, approx=True, note="vague")
    if after in ("ish", "something", "odd"):
        return Tag("num", value, at, end + 1, word, approx=True, low=None if after == "ish" else value)
    if after in ("%", "percent", "pct", "per") and not (
        after == "per" and marked.w(end + 1) not in ("cent", "scent", "sent")
    ):
        return Tag("pct", value, at, end + (2 if after == "per" else 1), word, low=low, approx=approx)
    if after in CURRENCY_WORDS or (
        after in CURRENCY and not (marked.items[end + 1 : end + 2] and marked.items[end + 1].num is not None)
    ):
        return Tag("money", value, at, end + 1, word, unit=CURRENCY_WORDS.get(after, CURRENCY.get(after, "")))
    if (
        after in ("rd", "th")
        and nxt is not None
        and nxt.glued
        and value in (3, 4)
        and marked.w(end + 1) == "of"
        and end + 2 < len(marked.items)
        and (place_at(marked, end + 2) is not None or marked.w(end + 2) == "the")
    ):
        return Tag("frac", 100 / value, at, end + 1, word)  # "3rd of t1 changed"
    if after in ("st", "nd", "rd", "th") and nxt is not None and nxt.glued:
        return Tag("ordinal", value, at, end + 1, word)
    if after == "x" and nxt is not None and nxt.glued:
        if end + 1 < len(marked.items) and (batch_at(marked, end + 1) or line_at(marked, end + 1, exact=True)):
            return Tag("num", value, at, end + 1, word)  # "10x b14"
        return Tag("times", value, at, end + 1, word)
    if after in ("times",):
        return Tag("times", value, at, end + 1, word)
    if (
        before == "x"
        and item.glued
        and value <= 6
        and any(t.says("cue", "wc", "feed", "changed") or t.says("food") for t in marked.tags[-3:])
    ):
        marked.tags[-1].claimed = "x"
        return Tag("times", value, at, end, word)
    if before == "x" and item.glued and marked.tags:
        marked.tags[-1].claimed = "x"
    if _is_time(marked, at):
        return Tag(
            "clock",
            Clock(int(item.raw[:-2]), int(item.raw[-2:]), "24" if len(item.raw) == 4 else ""),
            at,
            end,
            word,
        )
    sized = size_at(marked, at, article=False) if low is None else None
    if sized:
        return sized
    unit = unit_at(marked, end)
    if unit is None and marked.w(end) in _SIZED and (unit := unit_at(marked, end + 1)):
        end += 1  # one level tablespoon
    if unit:
        size, sort, name = unit
        if sort == "volume":
            litres = litres_of(marked, value, name)
            low_l = litres_of(marked, low, name) if low is not None else None
            return Tag("vol", litres, at, end + size, word, low=low_l, approx=approx, unit=name)
        if sort == "length":
            scale = {"mm": 1.0, "cm": 10.0, "in": 25.4}[name]
            return Tag("len", value * scale, at, end + size, word, low=low, unit=name)
        if sort == "degree":
            return Tag("deg", value, at, end + size, word, low=low, unit=name)
        if sort == "unit":
            return Tag("amount", value, at, end + size, word, low=low, unit=name)
        return Tag("dur", value, at, end + size, word, low=low, unit=name)
    return Tag("num", value, at, end, word, low=low, approx=approx, note="spelled" if item.spelled else "")


def fraction_at(marked: Marked, at: int) -> Tag | None:
    word, after, third = marked.w(at), marked.w(at + 1), marked.w(at + 2)
    if word in ("a", "one") and after in FRACTIONS and third != "dozen" and not (word == "one" and third == "of them"):
        return Tag("frac", FRACTIONS[after], at, at + 2, after)
    if inches := _inch_at(marked, at):
        return inches
    if word == "half" and after in ("a", "an") and (unit := unit_at(marked, at + 2)) and unit[1] == "unit":
        return Tag("amount", 0.5, at, at + 2 + unit[0], word, unit=unit[2])
    if (
        word == "half"
        and after in ("a", "an")
        and (unit := unit_at(marked, at + 2))
        and unit[1] == "volume"
        and unit[2] != "bucket"
    ):
        return Tag("vol", litres_of(marked, 0.5, unit[2]), at, at + 2 + unit[0], word, unit=unit[2])
    if (word == "third" and after in _OUT) or (word == "quarter" and after in _OUT | _CHANGES):
        return Tag("frac", FRACTIONS[word], at, at + 1, word)  # "8 third out"
    if word == "half":
        if after in ("an", "a", "hour", "dozen", "past", "way"):
            return None
        return Tag("frac", 50.0, at, at + 1, word)
    return None


def _inch_at(marked: Marked, at: int) -> Tag | None:
    """ "half an inch", "an inch and a half", "one inch": a length said in words."""
    words = [marked.w(at + n) for n in range(6)]
    if words[:3] == ["half", "an", "inch"]:
        return Tag("len", 12.7, at, at + 3, "half", unit="in")
    if words[:2] in (["an", "inch"], ["a", "inch"]):
        more = words[2:5] == ["and", "a", "half"]
        return Tag("len", 38.1 if more else 25.4, at, at + (5 if more else 2), "an inch", unit="in")
    return None


_AT_HOURS = ("wc", "feed", "done", "topoff", "wet", "start", "harvest", "gave")


def _is_time(marked: Marked, at: int) -> bool:
    """Whether three or four figures in a feeding, watering or round are a clock time: "powder 0700 mw 1230"."""
    raw = marked.items[at].raw
    if not (
        marked.tags
        and raw.isdigit()
        and len(raw) in (3, 4)
        and 500 <= int(raw) < 2400
        and int(raw[-2:]) < 60
        and int(raw[-2:]) % 5 == 0
    ):
        return False
    if marked.w(at + 1) in (
        "eggs",
        "egg",
        "ml",
        "l",
        "fry",
        "fish",
        "litres",
        "liters",
        "drops",
        "%",
        "ppm",
        "/",
        "-",
        "lumens",
    ):
        return False
    back = [t for t in marked.tags[-8:] if t.kind == "lex"]
    routine = any(t.says("food") or t.says("cue", *_AT_HOURS) or t.says("group") for t in back)
    routine = routine or (marked.tags[-1].kind == "clock" and len(raw) == 4)
    counted = any(t.says("cue", "pull", "count", "sold") or t.says("quantity") for t in back)
    before = marked.tags[-1].kind in ("lex", "clock") or marked.w(at - 1) in (",", "and", "at", "again", "then")
    return routine and not counted and before
