"""What was not done: "not fed", "tank 8 did not lay", "no ammonia"."""

from __future__ import annotations

from bot.language.scene import Part
from bot.language.tags import Tag

_DID_NOT = frozenset(
    ["don't", "doesn't", "didn't", "did not", "does not", "dont", "doesnt", "didnt", "hasn't", "haven't"]
)


_DID = frozenset(["did", "does", "do", "has", "have", "had", "was", "were"])


_NO_MATTER = frozenset(["worry", "ask", "know", "care", "mind", "think", "panic"])


# Words after which nothing of the clause was done.
_UNDONE = frozenset(
    ["didn't", "didnt", "haven't", "havent", "hasn't", "never", "didn't get to", "never got", "hadn't", "not yet",
     "forgot", "forgot to", "gave up", "couldn't", "couldnt", "no time", "skipped", "hadnt", "hasnt", "isn't", "wasn't",
     "weren't", "don't", "dont", "doesn't", "aren't", "won't", "can't", "cannot", "cant", "wont"]
)  # fmt: skip


def deny(part: Part, n: int) -> None:
    tags, tag = part.tags, part.tags[n]
    after = tags[n + 1] if n + 1 < len(tags) else None
    if after is None and n and (tag.word in _DID_NOT or (tag.word == "not" and tags[n - 1].word in _DID)):
        mute_part(part, "not")  # "…, the 30 did not"
        return
    if tag.word == "not" and n == 0 and not part.joiner:
        mute_part(part, "not")
    if after is not None and n and tag.word == "not" and tags[n - 1].word in _DID and after.kind in ("word", "lex"):
        mute_part(part, "not")  # "I did not promise Tom any", "do not add salt to 10", "does not work"
    if n and tag.word in ("nobody", "no one", "noone", "none") and tags[n - 1].says("cue", "feed", "gave", "sold"):
        mute([tags[n - 1]])  # "fed nobody there"
        mute_part(part, "not")
    if after is not None and tag.word in ("don't", "dont") and after.word in _NO_MATTER:
        mute(tags[n + 1 : n + 4])
        return  # "… don't worry about it"
    if after is not None:
        if (
            tag.word in _DID_NOT
            and after.word in ("have", "lay", "laid", "give", "got", "get", "had", "show")
            and any(t.says("noun", "eggs") for t in tags[n + 2 : n + 4])
            and part.kind("place")
            and not part.kind("num")
        ):
            tag.word, tag.senses, after.word, after.senses = "no", {}, "", {}  # "tank 8 didn't have eggs"
            return
        if tag.word in ("no", "not") and after.kind in ("num", "place", "pct", "frac", "money"):
            others = [*tags[:n], *tags[n + 2 :]]
            if after.kind != "place" and not any(t.kind == after.kind and t is not after for t in others):
                mute_part(part, "not")
            return
        if tag.word == "no" and after.says("noun", "eggs", "fry", "fish"):
            return
        if tag.word == "no" and after.says("quantity", *_TESTED) and _none_of(tags[n + 2 :]):
            tag.kind, tag.word, tag.senses = after.kind, after.word, after.senses
            after.kind, after.word, after.value, after.senses = "num", "zero", 0.0, {}  # "no ammonia in 12"
            return
        if tag.word == "not" and n and tags[n - 1].says("quantity") and after.word in ("tested", "measured", "done"):
            tags[n - 1].note = "muted"
            return
        done = ("pull", "wc", "move", "feed", "dead", "hatch", "count", "bad", "changed", "topoff", "sold", "bought")
        if (tag.word == "not" and after.says("cue", *done) and n <= 2) or (
            tag.word == "no" and after.senses.get("food")
        ):
            mute_part(part, "not")
    if tag.word == "not" and after is not None and after is tags[-1] and after.word.endswith("ed"):
        mute_part(part, "not")  # "vinegar eels not touched"
    if tag.word == "without":
        mute(tags[n + 1 : n + 3])
        return
    mute(tags[n + 1 : n + 6])
    if tag.says("guard", "forgot") or tag.word in _UNDONE:
        mute_part(part, "not")


_TESTED = ("ammonia", "nitrite", "nitrate")


def _none_of(rest: list[Tag]) -> bool:
    """Whether "no ammonia" says that there is none: no value, test or reading follows."""
    upto = next((n for n, t in enumerate(rest) if t.says("quantity")), len(rest))
    return not any(
        t.word in ("test", "tests", "kit", "reading", "readings", "yet", "spike", "or", "problem", "problems", "number")
        or (t.kind == "num" and n and rest[n - 1].word not in ("in", "on", "for", "and", "of", ","))
        or (t.kind == "num" and not n)
        for n, t in enumerate(rest[:upto])
    )


def mute_part(part: Part, why: str) -> None:
    part.muted = part.muted or why


def mute(tags: list[Tag]) -> None:
    for tag in tags:
        if tag.senses.get("cue") and not tag.says("cue", "remind", "snooze", "hold", "release", "undo", "fix", "rule"):
            tag.note = "muted"
