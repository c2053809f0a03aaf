"""Self-correction within a note: of "twelve no wait fifteen" only fifteen stands."""

from __future__ import annotations

import re

from bot.language.tags import Tag
from bot.language.times.days import Clock

_CORRECTS = re.compile(
    r"(^|[,.-] )no( [,.]|$)|(?<!but )\bno$"
    r"|(^|\s)(sorry|wait|scratch that|i mean|make that|or rather|correction|oops|call it)(\s|$)"
)  # "4 for no reason" puts nothing right


_KINDS = ("num", "pct", "frac", "place", "money", "vol", "batch", "amount", "clock", "deg")
_FARTHEST = 8  # words between what was wrong and what is right
_NO_SLIP = re.compile(r"\b(no (eggs|fry|dead|more|food|feed)|not|(and|which|if|when) i mean)\b")
_LONG_ONE = re.compile(r"\b(no wait|wait no|no make|sorry|make that)\b")
_SAYS_INSTEAD = re.compile(r"\b(so let's say|so say|let's say|call it)$")
_SLIP_WORDS = frozenset(
    ["no", "sorry", "wait", "make", "scratch", "mean", "call", "let's", "correction", "actually", "rather", "oops",
     ",", "-", ".", "that", "i", "it", "say", "so", "then", "legs"]
)  # fmt: skip


def mend_slips(tags: list[Tag]) -> None:
    """Self-correction within a note: of "twelve no wait fifteen" only fifteen stands."""
    for n, tag in enumerate(tags):
        if tag.kind not in _KINDS or tag.claimed:
            continue
        m = _said_instead(tags, n)
        if m is None or any(t.says("quantity") for t in tags[n + 1 : m]):
            continue
        words = [w for t in tags[n + 1 : m] for w in t.word.split()]
        if words and not _both_numbered(tags, n, m) and _corrects(words, tag, tags[m]):
            _let_go(tags, n, m)


def _said_instead(tags: list[Tag], n: int) -> int | None:
    """Where what may stand for a tag follows it, within a few words of the same line."""
    tag = tags[n]
    for m in range(n + 1, min(len(tags), n + _FARTHEST + 1)):
        here = tags[m]
        same = here.kind == tag.kind or {here.kind, tag.kind} <= {"pct", "frac", "num"}
        if here.kind in _KINDS and (same or (tag.kind == "clock" and here.kind == "num")):
            return m
        if here.kind == "stop" and here.word in ("\n", "?", ";"):
            return None
    return None


def _both_numbered(tags: list[Tag], n: int, m: int) -> bool:
    """Whether both are numbers of places: "no 2 pulled, no 3 left"."""
    return n > 0 and m > n + 2 and tags[n - 1].word == tags[m - 1].word == "no"


def _corrects(words: list[str], wrong: Tag, right: Tag) -> bool:
    """Whether the words between two tags take the first one back."""
    joined = " ".join(words)
    if joined in ("no", ", no", "- no", "no ,", ", no ,") and wrong.kind == right.kind == "num":
        return True
    if _SAYS_INSTEAD.search(joined):
        return True
    if not _CORRECTS.search(joined) or _NO_SLIP.search(joined):
        return False
    return len([w for w in words if w.isalpha()]) <= (8 if _LONG_ONE.search(joined) else 5)


def _let_go(tags: list[Tag], n: int, m: int) -> None:
    """Take back a tag for the one that stands instead, and the words that said so."""
    wrong, right = tags[n], tags[m]
    if wrong.kind == "clock" and right.kind == "num" and right.value == int(right.value) and 1 <= right.value <= 12:
        right.kind, right.value = "clock", Clock(int(right.value), 0, wrong.value.half)
    wrong.claimed, wrong.kind, wrong.word = "corrected", "word", ""
    for slip in tags[n + 1 : m]:
        its = slip.kind in ("lex", "word", "punct", "stop") and slip.word != "then"
        if its and not _SLIP_WORDS.isdisjoint(slip.word.split()):
            slip.kind, slip.word, slip.senses = "word", "", {}
