"""Which half of a contrast is wrong: "3 not 2", "I said 12 and it was 21"."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.tags import Tag

VALUED = ("num", "place", "pct", "money", "batch", "clock", "day", "vol", "line", "person", "deg", "amount", "frac")


_SAID = re.compile(
    r"\b(told you|i said|i wrote|i put|i typed|i sent|i logged|it says|you have|you put|(?:log|list|note|entry|record|book|screen) says)\b"
)


def said_but_was(tags: list[Tag], text: str) -> bool:
    """ "I told you 12 and it was 21": marks what was said; True when a note says so."""
    hit = _SAID.search(text)
    if not hit or not re.search(r"\b(was|is|should|meant|it's|actually|be)\b", text[hit.end() :]):
        return False
    said = len(text[: hit.end()].split())
    count = 0
    its: list[Tag] = []
    for tag in tags:
        count += max(1, len(tag.word.split()))
        if (
            count > said
            and (tag.kind in ("num", "pct", "money", "place", "batch", "vol", "clock", "day") or tag.says("food"))
            and tag.claimed != "wrong"
        ):
            its.append(tag)
    if len(its) < 2:
        return False
    its[0].claimed = "wrong"
    if its[0].kind == "pct" and its[1].kind == "num":
        its[1].kind = "pct"
    return True


_SHOULD_BE = ("should be", "should have been", "should've been", "shoulda been", "was supposed to be")
_INSTEAD = ("instead of", "rather than")
_HALVES = (
    "num", "place", "pct", "money", "batch", "clock", "day", "vol", "line", "person", "deg", "amount"
)  # fmt: skip


def contrast_in(tags: list[Tag]) -> bool:
    """ "3 not 2", "15 should be 14": marks the wrong half; True when there is such a contrast."""
    found = False
    for n in range(len(tags)):
        wrong = _before_should_be(tags, n) or _after_not(tags, n) or _after_instead(tags, n)
        if wrong is not None:
            wrong.claimed, found = "wrong", True
    return found


def _before_should_be(tags: list[Tag], n: int) -> Tag | None:
    """ "15 should be 14"; of what a heater should show nothing is wrong."""
    if not n or tags[n].word not in _SHOULD_BE or tags[n - 1].kind not in VALUED:
        return None
    shown = any(t.says("item") or t.word in ("reading", "reads", "showing") for t in tags[:n])
    right = any(t.kind == tags[n - 1].kind for t in tags[n + 1 : n + 3])
    return tags[n - 1] if right and not shown else None


def _is_half(tag: Tag) -> bool:
    return tag.kind in _HALVES or tag.says("substance") or tag.says("food") or tag.says("noun", "male", "female")


def _after_not(tags: list[Tag], n: int) -> Tag | None:
    """ "3 not 2", "not 2, 3"; "not one" contrasts nothing."""
    tag, after = tags[n], tags[n + 1] if n + 1 < len(tags) else None
    if tag.word not in ("not", *_INSTEAD):
        return None
    if tag.word == "not" and after is not None and after.kind == "num" and after.note == "spelled" and after.value == 1:
        return None
    rest = [t for t in tags[n + 1 : n + 4] if _is_half(t)]
    before = [t for t in tags[:n] if _is_half(t)]
    if not rest:
        return None
    wrong = rest[0]
    if not before:
        return wrong if n <= 2 and any(t.kind == wrong.kind and t is not wrong for t in tags[n + 1 :]) else None
    near = wrong.at - tag.at <= 3
    return wrong if near and (wrong.kind == "num" or any(t.kind == wrong.kind for t in before)) else None


def _after_instead(tags: list[Tag], n: int) -> Tag | None:
    """ "14 instead of 15", where the two words stand apart."""
    if [t.word for t in tags[n : n + 2]] not in (["instead", "of"], ["rather", "than"]):
        return None
    rest = [t for t in tags[n + 2 : n + 5] if t.kind in ("num", "place", "pct", "money", "batch", "day")]
    return rest[0] if rest else None
