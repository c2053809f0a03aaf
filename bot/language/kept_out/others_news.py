"""Keeps out of the record what is somebody else's news, or what a sentence itself asks not to write down."""

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.text.names import Names

_OTHERS = frozenset(
    {"chap", "bloke", "fellow", "fella", "dude", "woman", "colleague", "coworker", "breeder", "neighbor",
     "neighbour", "neighbors", "cousin", "guy", "guys", "lady", "man", "friend", "friends", "club", "forum",
     "someone", "somebody", "people", "kid", "niece", "nephew", "sister", "brother", "video", "article", "book",
     "shop"}
)  # fmt: skip


_KITCHEN = frozenset(
    {"fridge", "cake", "cakes", "omelette", "omelet", "chicken", "chickens", "hens", "recipe", "bake", "baking",
     "breakfast", "dinner", "supper", "scrambled", "boiled", "poached", "carton", "grocery", "groceries", "pancakes",
     "cookies"}
)  # fmt: skip


_HOMES = frozenset(["place", "house", "home", "flat", "room", "tank", "tanks", "basement", "garage", "shed", "shop"])
_FETCHED = re.compile(r"\b(?:was|were|got|have been|has been|are) (?:picked up|collected|fetched)\b")


_NOT_TO_BE_WRITTEN = re.compile(
    r"(?:don't|dont|do not|no need to) "
    r"(?:write (?:that|this|it)|log|record|mark|put that|put it down|count that|note that|save)"
)


def wants_no_record(sentence: Sentence) -> bool:
    """Whether a sentence itself asks not to be written down."""
    text = sentence.text()
    if any(
        words in text
        for words in ("i told you about", "told you about", "i mentioned", "you already have", "already logged")
    ):
        return True
    return _NOT_TO_BE_WRITTEN.search(text) is not None


_DONE_BY = frozenset(
    """
    been gone come here there back coming bringing taking collecting picking after just taken had bought paid
    picked popped asked booked cancelled canceled called rung phoned texted promised ordered collected driving
    """.split()  # noqa: SIM905
)


def owns(person: Tag, after: Tag) -> bool:
    """Whether "Tom's" says what is his, and not what he has done: "Tom's been"."""
    return (person.word.endswith("'s") and after.word.partition(" ")[0] not in _DONE_BY) or after.word == "'s"


_SHOWN = frozenset(["movie", "film", "tv", "telly", "novel", "documentary", "podcast"])
_AFTER_OTHERS = frozenset(
    ["at", "in", "from", "on", "down", "next", "over", "across", "i", "who", "lost", "had", "got", "kid", "counted"]
)
_KEPT_FOR_US = re.compile(r"\b(holding|keeping|saving|got|has) .*\b(for (me|us)|of (hers|his|theirs))\b")


def of_others(sentence: Sentence, names: Names) -> bool:
    """Whether a sentence tells of somebody else's fish."""
    tags = sentence.tags
    if any(t.word in _SHOWN for t in tags):
        return not any(t.kind == "place" for t in tags)
    if _hens_eggs(tags) or _at_their_home(tags, names):
        return True
    to_whom = any(a.word == "to" and b.word in ("my", "a") for a, b in pairwise(tags))
    if to_whom and tags[0].word in ("gave", "sold", "i"):
        return False  # "gave three to my neighbor": ours until then
    if any(_theirs(sentence, n, names) for n in range(len(tags) - 1)):
        return True
    if _KEPT_FOR_US.search(sentence.text()) and any(_stranger(t, names) for t in tags[:2]):
        return True  # hers, kept for us
    return _speaks_of_others(sentence) and not any(t.says("cue", "sold", "hold", "release", "bought") for t in tags)


def _stranger(tag: Tag, names: Names) -> bool:
    return tag.kind == "person" and tag.value not in names.people


def _hens_eggs(tags: list[Tag]) -> bool:
    """Whether eggs are of the kitchen, and no place or fish is named."""
    kitchen = any(t.word in _KITCHEN for t in tags) and any(t.says("noun", "eggs") for t in tags)
    placed = any(a.word in ("in", "from", "off") and b.kind == "num" for a, b in pairwise(tags))
    ours = any(t.kind in ("place", "batch", "line") or t.says("noun", "mop") for t in tags)
    return kitchen and not placed and not ours


def _at_their_home(tags: list[Tag], names: Names) -> bool:
    """ "One of mine died at Lena's place"."""
    threes = zip(tags, tags[1:], tags[2:], strict=False)
    return any(a.word == "at" and _stranger(b, names) and c.word in _HOMES for a, b, c in threes)


def _theirs(sentence: Sentence, n: int, names: Names) -> bool:
    """Whether a stranger is named as the owner of what is told, or as the one it happened to."""
    tags = sentence.tags
    tag, word = tags[n], tags[n + 1]
    if not _stranger(tag, names) or any(t.word in ("i", "i've", "we", "we've") for t in tags[:n]):
        return False  # "I swapped the sponge for one of Okafor's"
    if owns(tag, word):
        plain = n == 0 and tag.note == "guess" and word.kind in ("word", "punct")  # "Evaporation's shocking"
        bargain = _FETCHED.search(sentence.text()) or any(t.says("cue", "hold", "release", "sold") for t in tags)
        if not plain and not bargain:
            return True
    happened = word.kind == "lex" and word.says("cue", "lost", "dead", "hatch", "pull", "eyed", "crash")
    return n == 0 and happened and not word.says("cue", "release")


def _speaks_of_others(sentence: Sentence) -> bool:
    """ "My neighbor lost six", "a friend at the club had …"."""
    tags = sentence.tags
    if len(tags) > 1 and tags[0].word in _OTHERS and tags[1].word in _AFTER_OTHERS:
        return True
    words = {t.word.removesuffix("'s") for t in tags[:6]}
    if not words & _OTHERS or not words & {"my", "a", "the", "his", "her", "some", "neighbor's", "their"}:
        return False
    joined = sentence.text().replace("'s", "")
    return any(f"{own} {who}" in joined for own in ("my", "a", "some") for who in _OTHERS)
