"""Taking back: whether a note only undoes the last one."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.scene import Sentence

_A_CERTAIN_ONE = re.compile(
    r"\b(?:take back|scratch|undo|delete|remove|scrap|bin|lose) (?:the|my|that) (?!last |latest |previous )(?:\w+ ){1,3}(?:one|note|entry|log)\b"
)


def takes_back_one(sentences: list[Sentence]) -> bool:
    """Whether one certain note of several is to be taken back ("the G one"): which it is must be asked."""
    return bool(sentences) and sentences[0].stop != "?" and _A_CERTAIN_ONE.search(sentences[0].text()) is not None


_ASKS = re.compile(r"(?:so |hey |um |ok )*(?:how|what|where|when|why|is there|are there|does|do you)\b")
_IN_A_STORY = re.compile(r"(i|we) take (it|that) back\b")
_JUST = re.compile(
    r"\b(take (away|back|out)|remove|delete|undo|scrap|cancel) (what|that thing|the thing|the one|whatever)( that)? (i|we) just (put|said|sent|wrote|logged|typed|told)"
)
_THE_LAST = re.compile(
    r"(please |pls |sorry |oops |no |ok |can you |could you |, )*(take out|take back|delete|remove|undo|cancel|scratch|scrap|bin|drop|lose|erase|kill|strike) (my|the|that|this|what i) (very )?(last |latest |previous |just )?(note|entry|message|log|record|line|thing|one|sent|said|wrote|logged|typed)\b"
)
_TAKES_BACK = (
    "undo", "oops undo", "scratch", "scrap", "never", "forget my", "forget what", "lose that", "bin that", "ignore my",
    "disregard", "strike", "take", "delete", "remove", "cancel", "forget that", "ignore", "revert", "back that",
)  # fmt: skip


def undoes(sentences: list[Sentence]) -> bool:
    """Whether a whole note only takes the last one back."""
    if not sentences or _ASKS.match(sentences[0].text()):
        return False
    if _IN_A_STORY.match(sentences[0].text()) and len(sentences[0].parts) > 1:
        return False  # "I take it back, best fish room ever"
    return any(_JUST.search(s.text()) for s in sentences) or any(map(_takes_back, sentences))


def _takes_back(sentence: Sentence) -> bool:
    """Whether a sentence takes back the last note, and names nothing that may be put right in it."""
    tags = sentence.tags
    named = any(t.kind in ("place", "money", "pct") for t in tags)
    bare = not named and not any(t.kind in ("batch", "line") for t in tags)
    if bare and sentence.stop != "?" and _THE_LAST.match(sentence.text()):
        return True
    if any(t.word == "not" for t in tags) and len([t for t in tags if t.kind == "num"]) > 1:
        return False  # "scratch that, it was 5 not 3" puts right
    if named or any(t.says("item") or t.word in ("everything", "rules", "your") for t in tags):
        return False
    cues = [(n, t) for n, t in enumerate(tags) if t.says("cue", "undo")]
    return bool(cues) and cues[0][0] <= 4 and any(t.word.startswith(_TAKES_BACK) for _, t in cues)
