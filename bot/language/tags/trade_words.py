"""The trade's words and what they may be signs of."""

from __future__ import annotations

from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.vocabulary import LEXICON, phrase_at

_FIXTURES = frozenset(
    ["rack", "racks", "room", "shelf", "shelves", "food", "foods", "net", "nets", "trap", "side", "table", "stand",
     "corner", "end", "wall"]
)  # fmt: skip


_THEM = frozenset(["them", "those", "these", "it", "all", "her", "him", "both"])


def lexed_at(marked: Marked, at: int) -> Tag | None:
    size, entries = phrase_at(marked.words, marked.glued, at)
    if not size and marked.words[at].endswith("'s"):
        entries = [e for e in LEXICON.get((marked.words[at][:-2],), []) if e[0] in ("quantity", "item")]
        size = 1 if entries else 0  # "the temperature's 24"
    if not size:
        return None
    word = " ".join(marked.words[at : at + size])
    if word == "sold" and marked.w(at + 1) == "out":
        return None
    if (word == "lost" and marked.w(at + 1) in ("count", "track", "interest", "power")) or (
        word in ("count", "track") and marked.w(at - 1) == "lost"
    ):
        return None
    if word == "leaves" and marked.w(at - 1) in ("that", "which", "this", "so", "and") and at + 1 < len(marked.items):
        entries = [("cue", "left")]  # "that leaves nineteen"
    if word in ("popped", "popping") and marked.w(at + 1) in _THEM:
        entries = [("cue", "put")]  # "popped them straight in tub B"
    if word in ("gave me", "gave us") and marked.tags and marked.tags[-1].kind in ("place", "line"):
        entries = [("cue", "gave")]  # the tank gave them: nothing was bought
    if word in ("had", "got", "have") and marked.w(at + 1) == "to" and is_everyday(marked.w(at + 2)):
        return None  # "had to wait"
    if word == "leaving" and at + 1 < len(marked.items) and marked.items[at + 1].num is not None:
        entries = [("cue", "left")]
    if word in (
        "not an egg",
        "not a single egg",
        "not one egg",
        "not one single egg",
        "not 1 egg",
        "not 1 single egg",
    ):
        return Tag("lex", "none", at, at + size, "none", {"noun": frozenset({"eggs"})})
    senses: dict[str, set[str]] = {}
    for sort, value in entries:
        senses.setdefault(sort, set()).add(value)
    if marked.w(at + size) in _FIXTURES:
        senses.pop("group", None)  # "the fry rack" is no fish
    if word in ("am",) and not _tested(marked, at):
        return None
    if word == "lamp" and marked.w(at + 1) != "":
        senses.pop("item", None)
    after_fish = (
        word in ("m", "f")
        and bool(marked.tags)
        and (marked.tags[-1].kind == "line" or marked.tags[-1].says("cue", "dead"))
    )
    if word in ("m", "f", "g") and not (at > 0 and marked.items[at - 1].num is not None) and not after_fish:
        return None
    return Tag("lex", word, at, at + size, word, {k: frozenset(v) for k, v in senses.items()})


def _tested(marked: Marked, at: int) -> bool:
    """Whether "am" is the ammonia of a row of readings: a number follows, and no clock stands before it."""
    return at + 1 < len(marked.items) and marked.items[at + 1].num is not None and marked.w(at - 1) not in ("i", "this")
