"""What words between pieces of short hand weigh: plain talk, or what asks, promises and takes back."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from bot.language.tags.tag import Tag
from bot.language.text.everyday import is_everyday

_WEIGHTY = frozenset(
    ["needed", "due", "soon", "maybe", "want", "wants", "wanted", "please", "later", "if", "except", "than", "per", "every", "instead", "minus", "half", "quarter", "double", "twice", "same", "clean", "fresh", "new", "empty", "sick", "remind", "yet", "left", "not", "other", "others", "skip", "wait", "tomorrow", "next", "wrong", "correction", "actually", "should", "meant", "half", "split", "up", "thin", "thinned", "fine", "ok", "okay", "good", "well", "alive", "healthy", "swimming", "looks", "look", "looking"]
)  # fmt: skip


_SAYING = frozenset(
    ["log", "logging", "send", "sent", "say", "write", "writing", "tell", "mention", "note", "enter", "text", "report"]
)


def plain(tag: Tag) -> bool:
    """Whether a word is ordinary talk that asks, promises and takes back nothing."""
    if tag.kind in ("day", "clock"):
        return True  # a day to come: retest monday
    known = (
        is_everyday(tag.word) or len(tag.word) < 2 or tag.kind == "punct" or (len(tag.word) > 4 and tag.word[-1] == "y")
    )
    return known and tag.word not in _WEIGHTY


def weighty(tag: Tag) -> bool:
    """Whether a word asks, promises or takes something back."""
    return tag.word in _WEIGHTY


def saying(tag: Tag) -> bool:
    """Whether a word is of telling and writing down, so that what was forgotten is the note and not the work."""
    return tag.word in _SAYING
