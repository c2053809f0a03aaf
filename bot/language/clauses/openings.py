"""Where a clause opens without a comma, as dictation leaves it: a subject, a question, "38 left"."""

from __future__ import annotations

from itertools import pairwise

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


_AFTER_A_SUBJECT = frozenset(["here", "morning", "one", "last", "time", "way", "thing", "only"])
_HELPING_VERBS = frozenset(
    ["do", "did", "does", "should", "can", "could", "will", "would", "shall", "must", "have", "am", "was", "were",
     "are"]
)  # fmt: skip
_QUESTION_WORDS = ("when", "what", "how", "which", "where", "who")
_ASKS_ON = frozenset(
    ["was", "is", "did", "do", "does", "should", "many", "much", "long", "are", "will", "would", "can", "often"]
)
_JUDGED = frozenset(
    ["bad", "ok", "okay", "normal", "too", "safe", "enough", "dangerous", "high", "low", "good", "fine", "right"]
)
_PUT_THEM = ("put them in", "put those in", "put it in", "popped them in", "popped them into")
_BEFORE_PUT = frozenset(["i", "we", "and", "then", "to", "he", "she", "they", "just", "have", "i've", "also"])


def opens(tag: Tag, tags: list[Tag], n: int) -> bool:
    """Whether a new clause opens without a comma, as dictation leaves it: a subject, or "38 left"."""
    if opens_talk(tags, n):
        return True
    if tag.says("cue", "wet") and n > 2 and _word(tags, n + 1) == "it":
        return True  # "bagged it tank six wet it in twelve weeks"
    if tag.word in _OPENERS and tag.kind in ("word", "lex"):
        return _opens_with_a_subject(tags[n - 1])
    asks = _asks_on(tags, n)
    if asks is not None:
        return asks
    if _asks_whether_it_is_well(tags, n) or _puts_them(tags, n) or _place_got(tags, n):
        return True
    if tag.kind == "amount" and tags[n - 1].kind == "clock" and n >= 2:
        return True  # "A B water 0645 4 drops in A"
    if tag.word in ("fed", "pulled", "changed", "topped off", "moved") and tags[n - 1].word not in _HELPING:
        return any(t.says("cue", "done", "wc") for t in tags[:n])
    return tag.kind == "num" and (_so_many_became(tags, n) or _so_many_left(tags, n))


def _word(tags: list[Tag], n: int) -> str:
    return tags[n].word if n < len(tags) else ""


def _opens_with_a_subject(before: Tag) -> bool:
    """Whether "i", "they're" begin anew, and do not hang on the word before."""
    hangs = before.word in _HANGS_ON or before.word in _HELPING_VERBS or before.word in _AFTER_A_SUBJECT
    return not hangs and not before.says("guard")


def _asks_on(tags: list[Tag], n: int) -> bool | None:
    """Whether a question begins that is run on without a comma; None where no word of asking stands here."""
    tag, before, after = tags[n], tags[n - 1], _word(tags, n + 1)
    if n < 4:
        return None
    if tag.word in _QUESTION_WORDS and after in _ASKS_ON and before.word not in _HANGS_ON:
        return before.kind != "word" or before.word not in _ASKS_WITHIN
    if tag.word in _HELPING_TO_ASK and n + 2 < len(tags) and after in _HELPING_TO_ASK[tag.word]:
        return before.word not in _HANGS_ON and before.word not in _ASKS_WITHIN and not _subject(before)
    return None


def _asks_whether_it_is_well(tags: list[Tag], n: int) -> bool:
    """ "… ammonia 0.25 is that bad"."""
    return (
        tags[n].word in ("is", "isn't")
        and _word(tags, n + 1) in ("that", "this", "it")
        and _word(tags, n + 2) in _JUDGED
    )


def _puts_them(tags: list[Tag], n: int) -> bool:
    """ "Pulled 12 from 3 put them in C"."""
    tag, before = tags[n], tags[n - 1]
    puts = tag.word in _PUT_THEM or (tag.says("cue", "move", "put") and _word(tags, n + 1) in ("them", "those"))
    if not puts or n <= 2 or before.word in _BEFORE_PUT or before.kind in ("person", "punct"):
        return False
    return any(t.kind == "num" for t in tags[:n])


def _place_got(tags: list[Tag], n: int) -> bool:
    """ "… and three drops tub D just got the water"."""
    if tags[n].kind != "place" or tags[n - 1].kind not in ("amount", "num", "pct", "frac", "vol") or n + 2 >= len(tags):
        return False
    one, two = tags[n + 1].word, tags[n + 2].word
    return one in ("got", "gets") or (one in ("just", "only") and two == "got")


def _so_many_became(tags: list[Tag], n: int) -> bool:
    """ "12 eggs in C 3 bad": a number of its own behind what was counted."""
    before, after = tags[n - 1], tags[n + 1] if n + 1 < len(tags) else None
    if after is None or after.word in ("clear", "hatch") or not after.says("cue", *_BECAME):
        return False
    if before.kind in ("num", "place", "sep"):
        return False
    if before.word in ("in", "on", "at", "about", "say", "maybe", "with", "of"):
        return False
    return any(a.kind == "num" and b.says("noun", *COUNTED) for a, b in pairwise(tags[: n + 1]))


_BECAME = ("bad", "bad_weak", "dead", "eyed", "hatch")
_OF_WHAT_WAS = frozenset(["in", "on", "at", "is", "are", "about", "say", "maybe", "with", "has", "have"])


def _so_many_left(tags: list[Tag], n: int) -> bool:
    """ "Sold 6 of the B14s 38 left"."""
    before, after = tags[n - 1], tags[n + 1] if n + 1 < len(tags) else None
    if after is None or after.word == "present" or not after.says("cue", "left") or before.word in _OF_WHAT_WAS:
        return False
    return before.kind not in ("num", "place", "punct", "sep") and any(t.kind == "num" for t in tags[:n])
