"""Where a clause opens without a comma, as dictation leaves it: a subject, a question, "38 left"."""

from __future__ import annotations

from bot.language.kept_out.small_talk import opens_talk
from bot.language.scene import COUNTED
from bot.language.tags import Tag

_OPENERS = frozenset(
    ["i", "i'll", "i'm", "i've", "i'd", "we", "we've", "we'll", "they", "they're", "they've", "she", "he", "he's",
     "she's", "she'd", "it's", "there's"]
)  # fmt: skip


_HANGS_ON = frozenset(
    ["which", "that", "what", "when", "if", "because", "how", "where", "who", "as", "since", "than", "while",
     "after", "before", "until", "like", "say", "says", "said", "think", "hope", "know", "and", "but", "so",
     "guess", "reckon", "till"]
)  # fmt: skip


# Words before which "what is", "how many" hang on what was said.
_ASKS_WITHIN = frozenset(
    ["that's", "is", "see", "on", "out", "remember", "tell", "about", "at", "not", "or", "sure", "of"]
)
# A helping verb before its subject, run on without a comma: "… in eleven do i need to change it".
_ANYONE = frozenset(["i", "we", "they", "it", "you", "anyone", "anybody"])
_HELPING_TO_ASK = {
    **dict.fromkeys(("do", "should", "can", "shall", "must", "could", "does", "did", "will"), _ANYONE),
    "is": frozenset(["there", "it", "this"]),
    "are": frozenset(["they", "those", "there"]),
    "have": frozenset(["we", "you"]),
}


def _subject(tag: Tag) -> bool:
    """Whether a word before a helping verb is what it is said of: "eggs are they", "so do i"."""
    return tag.word in ("so", "neither", "nor", "as", "than", "all", "both", "what", "how", "when", "where", "which")


_HELPING = frozenset(["i", "we", "i've", "we've", "had", "have", "has", "was", "were", "been", "got", "just", "and"])


def opens(tag: Tag, tags: list[Tag], n: int) -> bool:
    """Whether a new clause opens without a comma, as dictation leaves it: a subject, or "38 left"."""
    before = tags[n - 1]
    if opens_talk(tags, n):
        return True
    if tag.says("cue", "wet") and n > 2 and n + 1 < len(tags) and tags[n + 1].word == "it":
        return True  # "bagged it tank six wet it in twelve weeks"
    if tag.word in _OPENERS and tag.kind in ("word", "lex"):
        return (
            before.word not in _HANGS_ON
            and before.word
            not in (
                "do",
                "did",
                "does",
                "should",
                "can",
                "could",
                "will",
                "would",
                "shall",
                "must",
                "have",
                "am",
                "was",
                "were",
                "are",
            )
            and not before.says("guard")
            and before.word not in ("here", "morning", "one", "last", "time", "way", "thing", "only")
        )
    if (
        tag.word in ("when", "what", "how", "which", "where", "who")
        and n + 1 < len(tags)
        and tags[n + 1].word
        in ("was", "is", "did", "do", "does", "should", "many", "much", "long", "are", "will", "would", "can", "often")
        and before.word not in _HANGS_ON
        and n >= 4
    ):
        return before.kind != "word" or before.word not in _ASKS_WITHIN
    if tag.word in _HELPING_TO_ASK and n >= 4 and n + 2 < len(tags) and tags[n + 1].word in _HELPING_TO_ASK[tag.word]:
        return before.word not in _HANGS_ON and before.word not in _ASKS_WITHIN and not _subject(before)
    if (
        tag.word in ("is", "isn't")
        and n + 2 < len(tags)
        and tags[n + 1].word in ("that", "this", "it")
        and tags[n + 2].word
        in ("bad", "ok", "okay", "normal", "too", "safe", "enough", "dangerous", "high", "low", "good", "fine", "right")
    ):
        return True
    if (
        n > 2
        and (
            tag.word in ("put them in", "put those in", "put it in", "popped them in", "popped them into")
            or (tag.says("cue", "move", "put") and n + 1 < len(tags) and tags[n + 1].word in ("them", "those"))
        )
        and any(t.kind == "num" for t in tags[:n])
        and before.word not in ("i", "we", "and", "then", "to", "he", "she", "they", "just", "have", "i've", "also")
        and before.kind not in ("person", "punct")
    ):
        return True
    if (
        tag.kind == "place"
        and before.kind in ("amount", "num", "pct", "frac", "vol")
        and n + 2 < len(tags)
        and (
            tags[n + 1].word in ("got", "gets") or (tags[n + 1].word in ("just", "only") and tags[n + 2].word == "got")
        )
    ):
        return True  # "… and three drops tub D just got the water"
    if tag.kind == "amount" and before.kind == "clock" and n >= 2:
        return True  # "A B water 0645 4 drops in A"
    if (
        tag.word in ("fed", "pulled", "changed", "topped off", "moved")
        and before.word not in _HELPING
        and any(t.says("cue", "done", "wc") for t in tags[:n])
    ):
        return True
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "bad", "bad_weak", "dead", "eyed", "hatch")
        and tags[n + 1].word not in ("clear", "hatch")
    ):
        return (
            any(t.kind == "num" and tags[i + 1].says("noun", *COUNTED) for i, t in enumerate(tags[:n]))
            and before.kind not in ("num", "place", "sep")
            and before.word not in ("in", "on", "at", "about", "say", "maybe", "with", "of")
        )
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "left")
        and tags[n + 1].word not in ("present",)
    ):
        return (
            any(t.kind == "num" for t in tags[:n])
            and before.kind not in ("num", "place", "punct", "sep")
            and before.word not in ("in", "on", "at", "is", "are", "about", "say", "maybe", "with", "has", "have")
        )
    return False
