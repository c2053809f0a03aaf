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


def undoes(sentences: list[Sentence]) -> bool:
    """Whether a whole note only takes the last one back."""
    if not sentences:
        return False
    if _ASKS.match(sentences[0].text()):
        return False
    if _IN_A_STORY.match(sentences[0].text()) and len(sentences[0].parts) > 1:
        return False  # "I take it back, best fish room ever"
    if any(_JUST.search(sentence.text()) for sentence in sentences):
        return True
    for sentence in sentences:
        if (
            sentence.stop != "?"
            and _THE_LAST.match(sentence.text())
            and not any(t.kind in ("place", "batch", "money", "pct", "line") for t in sentence.tags)
        ):
            return True
        if any(t.word == "not" for t in sentence.tags) and len([t for t in sentence.tags if t.kind == "num"]) > 1:
            continue  # "scratch that, it was 5 not 3" puts right
        cues = [t for t in sentence.tags if t.says("cue", "undo")]
        if cues and not any(t.kind in ("place", "money", "pct") or t.says("item") for t in sentence.tags):
            strong = [
                t
                for t in cues
                if t.word.startswith(
                    (
                        "undo",
                        "oops undo",
                        "scratch",
                        "scrap",
                        "never",
                        "forget my",
                        "forget what",
                        "lose that",
                        "bin that",
                        "ignore my",
                        "disregard",
                        "strike",
                        "take",
                        "delete",
                        "remove",
                        "cancel",
                        "disregard",
                        "forget that",
                        "ignore",
                        "revert",
                        "back that",
                    )
                )
            ]
            first = next((n for n, t in enumerate(sentence.tags) if t is cues[0]), 9)
            words = [t.word for t in sentence.tags]
            if "everything" in words or "rules" in words or "your" in words:
                continue
            if strong and first <= 4:
                return True
    return False
