"""Places, batches and numbers of a group in the order said, and which bare numbers are places."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from bot.language.tags import Tag

if TYPE_CHECKING:
    from bot.language.clauses.group import Group

_STATES = frozenset(
    {
        "had",
        "gave",
        "was",
        "is",
        "has",
        "got",
        "at",
        ":",
        "both",
        "reading",
        "looks",
        "were",
        "reads",
        "now",
        "=",
        "are",
        "came",
        "read",
        "and",
        "still",
        "laid",
        "went",
        "is down to",
        "down to",
        "rose",
        "fell",
        "dropped",
        "climbed",
        "shows",
        "showed",
        "tested",
        "hit",
        "stands",
        "sits",
        "crept",
        "jumped",
    }
)
_NONE = frozenset({"nothing", "none", "nada", "zip", "zilch", "nil", "nowt", "clean", "zero", "bare", "blank"})
AT = frozenset(
    {
        "in",
        "on",
        "from",
        "into",
        "to",
        "under",
        "between",
        "off",
        "of",
        "for",
        "with",
        "tank",
        "inside",
        "out",
        "at",
        "mop",
        "mops",
    }
)


def in_order(group: Group, mode: str) -> list[tuple[str, Any, Tag]]:
    """Places ("P"), batches ("B") and numbers ("N") in the order said.

    `mode` is what a bare number is taken for: place (water, feeding, service), count, or value (readings).
    """
    out: list[tuple[str, Any, Tag]] = []
    tags = group.tags
    nums = [t for t in tags if t.kind == "num" and t.note != "quoted" and not t.claimed]
    colon, after_colon = _colons(group, mode)
    alternate = _alternates(group, nums) if mode != "place" else []
    if mode == "count" and not alternate:
        alternate = _before_colon(group, nums)
    if mode != "place":
        firsts, seconds = _list_after_list(group)
        colon, after_colon = [*colon, *firsts], [*after_colon, *seconds]
    named = any(t.kind in ("place", "batch", "size") for t in tags)
    for n, tag in enumerate(tags):
        if tag.note == "quoted" or tag.claimed:
            continue
        if found := _by_name(group, n):
            out.append((*found, tag))
            continue
        if tag.word in _NONE and _idle_none(tags, n):
            continue
        if tag.word in _NONE and mode == "count":
            out.append(("N", 0, tag))
            continue
        if tag.kind != "num":
            continue
        if tag in colon:
            out.append(("P", group.ids(tag), tag))
            continue
        if (
            mode != "place"
            and n + 2 < len(tags)
            and tags[n + 1].word in ("in", "from")
            and _placed(group, tags[n + 2])
            and not (n > 0 and tags[n - 1].word in ("in", "from", "mop", "mops"))
        ):
            out.append(("N", _said(tag), tag))  # "2 in 13"
            continue
        if tag in after_colon:
            out.append(("N", _said(tag), tag))
            continue
        if tag in alternate:
            out.append(("P", group.ids(tag), tag))
            continue
        if mode == "value" and (_heads_a_reading(tags, n) or _has_what_follows(tags, n)) and (ids := group.ids(tag)):
            out.append(("P", ids, tag))
            continue
        if mode == "value" and any(s[0] == "P" for s in out) and _after_a_change(group, tag):
            out.append(("N", _said(tag), tag))
            continue
        if mode == "value" and _is_ph(tags, n):
            out.append(("N", _said(tag), tag))
            continue
        if mode != "place" and group.counts(tag):
            out.append(("N", _said(tag), tag))
            continue
        ids = group.ids(tag)
        prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
        if prev in ("other", "others", "another", "remaining", "further", "extra", "which"):
            ids = ()
        if mode == "place" and n + 1 < len(tags) and tags[n + 1].word in ("fewer", "less", "extra"):
            ids = ()
        first = tag is nums[0] and len(nums) > 1 and not named
        if ids and (
            _stands_for_place(group, n) if mode == "place" else _reads_as_place(group, n, mode, out, nums, first)
        ):
            out.append(("P", ids, tag))
        elif mode != "place":
            out.append(("N", _said(tag), tag))
        else:
            out.append(("?", tag.value, tag))
    return out


_TWO_LISTS = re.compile(r"(?<!N)(NaN),NaN(?!,?N)|(?<!N)(N,N,?aN),N,N,?aN(?!,?N)")


def _list_after_list(group: Group) -> tuple[list[Tag], list[Tag]]:
    """The places and the counts of "1 and 3, 10 and 14": two lists of one length."""
    tags = group.tags
    shape = "".join(
        "N" if t.kind == "num" and t.low is None and not t.claimed
        else "a" if t.word in ("and", "&")
        else "," if t.kind == "sep"
        else "x"
        for t in tags
    )  # fmt: skip
    found = _TWO_LISTS.search(shape)
    if found is None:
        return [], []
    nums = [t for t in tags[found.start() : found.end()] if t.kind == "num"]
    firsts, seconds = nums[: len(nums) // 2], nums[len(nums) // 2 :]
    return (firsts, seconds) if all(group.place_id(t) for t in firsts) else ([], [])


def _heads_a_reading(tags: list[Tag], n: int) -> bool:
    """Whether a number heads a list's item and what was read there: "…, 14 nitrate 40"."""
    if n and tags[n - 1].kind not in ("sep", "day", "clock", "punct") and tags[n - 1].word not in ("and", "&"):
        return False
    said = tags[n + 1 : n + 3]
    return len(said) == 2 and said[0].says("quantity") and said[1].kind in ("num", "deg") and tags[n].low is None


def _after_a_change(group: Group, tag: Tag) -> bool:
    """Whether a number alone is the second reading of one place: "20 before the change and 10 after"."""
    part = next((p for p in group.parts if any(t is tag for t in p.tags)), None)
    if part is None or part.before is None or any(t is not tag for t in part.tags):
        return False
    return "before" in (part.joiner, part.before.joiner)


def _has_what_follows(tags: list[Tag], n: int) -> bool:
    """Whether a number owns what follows: "13's at 20"."""
    return [t.word for t in tags[n + 1 : n + 3]] == ["'", "s"] and len(tags) > n + 3


def _is_ph(tags: list[Tag], n: int) -> bool:
    """Whether a number is the pH itself: "ph 8 at 78F"; "ph 8 is 7.2" is of tank 8."""
    return (
        n > 0
        and tags[n - 1].says("quantity", "ph")
        and tags[n].low is None
        and 3 <= tags[n].value <= 11
        and not any(t.kind == "num" for t in tags[n + 1 : n + 4])
    )


def _by_name(group: Group, n: int) -> tuple[str, Any] | None:
    """A place or batch called by its name, its size, its role or its fish."""
    tag = group.tags[n]
    if tag.kind == "place":
        return ("P", tag.value) if tag.value else None
    if tag.kind == "batch" and tag.value:
        return "B", (tag.value,)
    if tag.kind == "size":
        sized = group.sized(tag)
        return ("P", sized) if sized else None
    if tag.kind != "lex":
        return None
    if (tag.says("role") and not tag.says("noun")) or (
        tag.says("role", "grow-out", "nursery", "quarantine") and not tag.says("volume")
    ):
        its = _with_role(group, n)
        return ("P", its) if len(its) == 1 and not group.kind("place") else None
    if tag.says("noun", "tank") and n > 0 and group.tags[n - 1].kind == "line":
        places = _line_tank(group, group.tags[n - 1], tag)
        return ("P", places) if len(places) == 1 else None
    return None


def _with_role(group: Group, n: int) -> tuple[str, ...]:
    """The places of the role said, by the lines named beside it; () when a number tells which."""
    its = group.names.with_role(group.tags[n].one("role") or "")
    after = group.tags[n + 1] if n + 1 < len(group.tags) else None
    if after is not None and after.kind == "num" and group.place_id(after) in its:
        return ()
    held = group.lines()
    if held:
        its = tuple(p for p in its if set(group.names.lines_in(p)) & set(held))
    return its


def _idle_none(tags: list[Tag], n: int) -> bool:
    """Whether "none" or "nothing" counts nothing: "nothing else", "none, the others 4"."""
    after = tags[n + 1].word if n + 1 < len(tags) else ""
    return any(t.word in ("others", "other", "rest") for t in tags[n + 1 : n + 4]) or (
        tags[n].word == "nothing" and after in ("to", "else", "new", "special", "much", "wrong", "unusual")
    )


def _stands_for_place(group: Group, n: int) -> bool:
    """Whether a bare number is a place where places are listed: what was fed, watered or serviced."""
    tags = group.tags
    prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
    nxt = tags[n + 1].word if n + 1 < len(tags) else ""
    return (
        not group.counts(tags[n])
        and not (prev == "at" or nxt in ("of", "back"))
        and nxt not in ("changes", "times", "feeds", "feedings")
        and not (n + 1 < len(tags) and _counted_thing(tags[n + 1]))
        and _stands(tags, n)
    )


def _counted_thing(tag: Tag) -> bool:
    """Whether a word after a number is a thing counted: "6 donuts"."""
    return tag.kind == "word" and len(tag.word) > 3 and tag.word.endswith("s") and not tag.word.endswith(("ss", "'s"))


def _reads_as_place(
    group: Group, n: int, mode: str, out: list[tuple[str, Any, Tag]], nums: list[Tag], first: bool
) -> bool:
    """Whether a bare number is the place of what was counted or read, by the words beside it.

    `out` is what was said before it; `first` says that it leads the numbers of a note that names no place.
    """
    tags = group.tags
    prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
    nxt = tags[n + 1].word if n + 1 < len(tags) else ""
    if prev in ("mop", "mops") and any(s[0] == "P" for s in out):
        return False
    if (
        prev in AT
        and not (prev in ("at", "of", "to", "for", "with") and mode == "value")
        and not (prev == "of" and n > 1 and tags[n - 2].word not in ("out", "outside"))
        and not (prev in ("at", "with", "for") and mode == "count")
    ):
        return True
    if nxt in _STATES and nxt not in ("and", "now") and n + 2 < len(tags) and tags[n + 2].kind not in ("clock", "day"):
        return True
    if (
        out
        and out[-1][0] == "P"
        and out[-1][2].kind == "num"
        and (prev in (",", "and", "&", "plus", "n") or tags[n - 1].kind == "sep")
        and not group.counts(tags[n])
        and _joined(tags, n)
    ):
        return True
    if (nxt in ("and", ",", "&", "plus") and _leads(tags, n)) or (
        nxt in ("mop", "mops") and mode == "count" and len(nums) > 1
    ):
        return True
    return (
        mode == "value"
        and first
        and (n == 0 or tags[n - 1].kind in ("sep", "day", "clock"))
        and not (n > 0 and tags[n - 1].says("quantity"))
    )


def _stands(tags: list[Tag], n: int) -> bool:
    """Whether a bare number stands where a place would: at the head, after "in", in a list, after what was done."""
    if n == 0:
        return True
    prev = tags[n - 1]
    if prev.kind in (
        "sep",
        "num",
        "place",
        "clock",
        "day",
        "pct",
        "frac",
        "vol",
        "amount",
        "line",
        "punct",
        "size",
        "dur",
        "person",
    ):
        return True
    if prev.word in AT or prev.word in (
        "and",
        "&",
        "did",
        "dosed",
        "treated",
        "salted",
        "medicated",
        "hit",
        "through",
        "all",
        "between",
        "round",
        "around",
        "each",
        "then",
        "plus",
        "too",
        "also",
        "but",
        "again",
        "same",
        "for",
    ):
        return True
    return any(prev.senses.get(s) for s in ("cue", "food", "item", "except", "group", "quantity", "substance", "noun"))


def _placed(group: Group, tag: Tag) -> bool:
    """Whether a tag names a place, be it by its figure alone."""
    return (tag.kind in ("place", "size") and bool(tag.value)) or (
        tag.kind == "num" and bool(group.place_id(tag)) and not group.counts(tag)
    )


def _colons(group: Group, mode: str) -> tuple[list[Tag], list[Tag]]:
    """The figures before and after a colon: in "3: 14" a place and what was counted or read there."""
    tags = group.tags
    firsts: list[Tag] = []
    seconds: list[Tag] = []
    for one, sep, two in zip(tags, tags[1:], tags[2:], strict=False):
        if (
            mode != "place"
            and one.kind == two.kind == "num"
            and sep.kind == "sep"
            and sep.word in (":", "=")
            and group.place_id(one)
            and not group.counts(one)
            and not any(one is t for t in seconds)
        ):
            firsts.append(one)
            seconds.append(two)
    nums = [t for t in tags if t.kind == "num"]
    if len(firsts) == 1 and nums[0] is not firsts[0]:
        return [], []  # "2 and 3: 8 and 22"
    if any(s.kind == "sep" and s.word == "+" for s in tags):
        seconds = [t for t in nums if t not in firsts] if firsts else seconds  # "3: 12 + 8"
    return firsts, seconds


def _joined(tags: list[Tag], n: int) -> bool:
    """Whether a number carries a list of places on (nothing in between but "and" or a comma)."""
    back = n - 1
    while back >= 0 and (tags[back].kind == "sep" or tags[back].word in ("and", ",", "&")):
        back -= 1
    if back < 0 or tags[back].kind != "num" or back >= n - 1:
        return False
    if any(t.word in (":", "=", "(") for t in tags[back + 1 : n]):
        return False  # "1-3: 12, 9": what follows the colon is no more of the list
    closed = back > 1 and tags[back - 1].word in ("and", "&") and tags[back - 2].kind == "num"
    return not (closed and any(t.word in (",", ":", "-") for t in tags[back + 1 : n]))


def _leads(tags: list[Tag], n: int) -> bool:
    """Whether "2 and 3" at the head of a clause leads on to what those places did."""
    m = n
    while m < len(tags) and (tags[m].kind in ("num", "sep") or tags[m].word in ("and", "&", "both")):
        m += 1
    return m < len(tags) and tags[m].word in _STATES and (n == 0 or tags[n - 1].kind in ("sep", "day", "punct"))


def _before_colon(group: Group, nums: list[Tag]) -> list[Tag]:
    """In "mops 2 & 3: 8 and 22" the numbers before the colon, when as many follow it."""
    cut = next((n for n, t in enumerate(group.tags) if t.kind == "sep" and t.word == ":"), None)
    if cut is None or any(t.kind in ("place", "batch") for t in group.tags):
        return []
    first = [t for t in nums if group._index(t) < cut]
    last = [t for t in nums if group._index(t) > cut]
    return first if len(first) == len(last) >= 2 and all(group.place_id(t) for t in first) else []


def _alternates(group: Group, nums: list[Tag]) -> list[Tag]:
    """In "1 12, 2 9, 3 0" the first of every pair: bare numbers that are places by their order alone."""
    if len(nums) < 4 or len(nums) % 2 or any(t.kind in ("place", "batch") for t in group.tags):
        return []
    firsts, seconds = nums[::2], nums[1::2]
    if any(group.counts(t) for t in firsts):
        return []
    if not all(group.place_id(t) for t in firsts) or any(t.low is not None for t in nums):
        return []
    for one, two in zip(firsts, seconds, strict=True):
        gap = group.tags[group._index(one) + 1 : group._index(two)]
        if any(t.kind == "sep" for t in gap) or len(gap) > 2:
            return []
    return firsts


def _line_tank(group: Group, tag: Tag, noun: Tag) -> tuple[str, ...]:
    """The tank called by its fish: "the medaka tank"; of a tub it is not known which."""
    if "tank" not in group.names.head_words.get(noun.word, ("tank",)):
        return ()
    held = [p.name for p in group.names.places if p.line in tag.value and p.role == "breeders"]
    if len(held) != 1:
        held = (
            [
                p.name
                for p in group.names.places
                if set(group.names.lines_in(p.name)) & set(tag.value) and p.kind == "tank"
            ]
            if len(held) == 0
            else held
        )
    return tuple(held) if len(held) == 1 else ()


def _said(tag: Tag) -> float | None:
    """The number said; None when it is a range or vague."""
    return None if tag.low is not None else tag.value
