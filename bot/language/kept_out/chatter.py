"""How likely words tell of other things than the room: weights learnt from labelled notes and from talk.

It knows no subjects. What it goes by is how a clause begins, what is done in it, and how many of its words no note of
the room ever needed. The weights stand in chatter.tsv; `python -m tests.language.learn` makes them anew.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from bot.language.kept_out.bystanders import FISHY, LEADS
from bot.language.kept_out.other_matters import bare_numbers, start_of
from bot.language.kept_out.ours import of_the_room
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.tags.tag import senses_of
from bot.language.text.everyday import is_everyday
from bot.language.text.names import Names

WEIGHTS = Path(__file__).with_suffix(".tsv")
SCALE = 100  # weights are kept in hundredths
KNOWN = "known "  # begins the row of a word that notes of the room use
LIKELY = 0.75  # from here on words that name nothing of the room are talk
SURELY = 0.92  # and from here on those with a number or a sign of something done
CERTAINLY = 0.98  # and from here on those with a reading or an amount
_FIGURES = ("num", "day", "deg", "pct", "amount", "dur", "vol", "frac", "line", "money", "len")
_MEASURES = ("pct", "deg", "amount", "vol", "frac")
_OF_THOSE = frozenset(["it", "it's", "they", "they're", "they've", "them", "those", "these", "all", "both", "there"])
_BY_WORD = frozenset(["word", "punct", "stop", "lex"])


def signs_of(tags: Sequence[Tag], known: frozenset[str]) -> set[str]:
    """What the weights are for: words and their neighbours; names and numbers only by what they are."""
    return _signs(tags, known)[0]


def _signs(tags: Sequence[Tag], known: frozenset[str]) -> tuple[set[str], int]:
    """The signs, and how many words no note of the room needs."""
    seen, signs, strange = ["<"], {"always"}, 0
    for tag in tags:
        senses = senses_of(tag)
        signs.update(senses)
        word = next((s for s in senses if s.startswith("cue=")), senses[0] if senses else "")
        if not word:
            word = tag.word.casefold() if tag.kind in _BY_WORD else tag.kind.upper()
            word = word.replace("\t", " ").replace("\n", "/")
            if _is_strange(tag, known):
                strange += 1
                word = "EVERYDAY" if is_everyday(word) else "STRANGE"
        seen.append(word)
    seen.append(">")
    start = 0
    while start < len(tags) - 1 and tags[start].word in LEADS:
        start += 1
    signs.update(seen)
    signs.update(f"{a} {b}" for a, b in pairwise(seen))
    signs.add(f"first {seen[start + 1]}")
    signs.add(f"first {seen[start + 1]} {seen[min(start + 2, len(seen) - 1)]}")
    signs.add(f"strange {min(4, strange)}")
    signs.add(f"share {4 * strange // max(1, len(tags))}")
    signs.add(f"of {min(6, len(tags) // 3)}")
    return signs, strange


@lru_cache(maxsize=1)
def weights() -> tuple[dict[str, int], frozenset[str]]:
    rows = [row.rsplit("\t", 1) for row in WEIGHTS.read_text(encoding="utf-8").splitlines()]
    known = frozenset(sign.removeprefix(KNOWN) for sign, _ in rows if sign.startswith(KNOWN))
    return {sign: int(weight) for sign, weight in rows if not sign.startswith(KNOWN)}, known


def chance(tags: Sequence[Tag]) -> tuple[float, int]:
    """The chance that a clause or sentence is talk, and how many of its words no note of the room needs."""
    weighing, known = weights()
    signs, strange = _signs(tags, known)
    total = sum([weighing.get(sign, 0) for sign in signs])
    return 1 / (1 + math.exp(-total / SCALE)), strange


def _is_strange(tag: Tag, known: frozenset[str]) -> bool:
    return tag.kind in _BY_WORD and not tag.senses and tag.word.isalpha() and tag.word.casefold() not in known


def at_stake(tags: list[Tag]) -> bool:
    """Whether words hold anything that a record might want: a number, a reading, a day, a sign of something done."""
    return bare_numbers(tags) or any(
        t.senses.get("cue") or t.says("group") or t.says("quantity") or t.kind in _FIGURES for t in tags
    )


def chats(tags: list[Tag]) -> bool:
    """Whether words that name nothing of the room are talk; the more is at stake, the surer it must be."""
    if len(tags) < 4 or (tags[start_of(tags)].word in _OF_THOSE and any(t.senses.get("cue") for t in tags)):
        return False  # a heading, or more of what was told: "it is bagged"
    if any(one.senses.get("cue") and {two.word, three.word} & FISHY for one, two, three in _threes(tags)):
        return False  # "I fed the ones by the window"
    if not any(_is_strange(tag, weights()[1]) for tag in tags):
        return False
    odds, _ = chance(tags)
    need = LIKELY if not at_stake(tags) else SURELY if not any(t.kind in _MEASURES for t in tags) else CERTAINLY
    return odds > need


def _threes(tags: list[Tag]) -> Iterator[tuple[Tag, Tag, Tag]]:
    return zip(tags, tags[1:], [*tags[2:], tags[-1]], strict=False)


def sounds_like_talk(part: Part, names: Names) -> bool:
    """Whether a clause of no place of ours is talk in all likelihood: nothing is carried over to it."""
    if len(part.tags) < 4 or of_the_room(part, names):
        return False
    odds, strange = chance(part.tags)
    return strange > 0 and odds > 0.7
