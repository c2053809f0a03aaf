"""The words that say how a fish was lost."""

from __future__ import annotations

from collections.abc import Iterable

# "lost", "gone" and "killed" do not say how, and a fish found on the floor may have been dropped.
_HOW = {
    "culled": ("culled", "cull", "culling", "euthanized", "euthanised", "put down"),
    "jumped": ("jumped", "jumper", "jumpers"),
    "eaten": ("eaten", "ate", "ate her"),
    "missing": ("missing",),
}
_HOW_OF = {word: how for how, words in _HOW.items() for word in words}


def cause_said(words: Iterable[str], *, alone: bool = False) -> str | None:
    """The one word among these that says how; None where none does, or they tell of several ways.

    `alone`: also none where another word only says that fish died.
    """
    said = {word: _HOW_OF.get(word) for word in words}
    telling = [word for word, how in said.items() if how]
    if len({said[word] for word in telling}) != 1 or (alone and len(telling) < len(said)):
        return None
    return telling[0]


def how_lost(words: Iterable[str]) -> str | None:
    """How a fish was lost, by the plain word for it: a jumper jumped; None where the words tell of several ways."""
    found = {_HOW_OF[word] for word in words if word in _HOW_OF}
    return found.pop() if len(found) == 1 else None
