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
    return (person.word.endswith("'s") and after.word.split()[0] not in _DONE_BY) or after.word == "'s"


def of_others(sentence: Sentence, names: Names) -> bool:
    """Whether a sentence tells of somebody else's fish."""
    if any(t.word in ("movie", "film", "tv", "telly", "novel", "documentary", "podcast") for t in sentence.tags):
        return not any(t.kind == "place" for t in sentence.tags)
    tags = sentence.tags
    kitchen = any(t.word in _KITCHEN for t in tags) and any(t.says("noun", "eggs") for t in tags)
    placed = any(a.word in ("in", "from", "off") and b.kind == "num" for a, b in pairwise(tags))
    if kitchen and not placed and not any(t.kind in ("place", "batch", "line") or t.says("noun", "mop") for t in tags):
        return True  # hens' eggs

    if any(
        a.word == "at" and b.kind == "person" and b.value not in names.people and c.word in _HOMES
        for a, b, c in zip(tags, tags[1:], tags[2:], strict=False)
    ):
        return True  # "one of mine died at Lena's place"
    said = sentence.text()
    picked_up = _FETCHED.search(said) is not None
    to_whom = any(a.word == "to" and b.word in ("my", "a") for a, b in pairwise(tags))
    if to_whom and tags[0].word in ("gave", "sold", "i"):
        return False  # "gave three to my neighbor": ours until then
    for n, tag in enumerate(tags[:-1]):
        if tag.kind == "person" and tag.value not in names.people:
            word = tags[n + 1]
            if any(t.word in ("i", "i've", "we", "we've") for t in tags[:n]):
                continue  # "I swapped the sponge for one of Okafor's"
            plain = n == 0 and tag.note == "guess" and word.kind in ("word", "punct")  # "Evaporation's shocking"
            if owns(tag, word) and not (
                plain or picked_up or any(t.says("cue", "hold", "release", "sold") for t in tags)
            ):
                return True
            if (
                n == 0
                and word.kind == "lex"
                and word.says("cue", "lost", "dead", "hatch", "pull", "eyed", "crash")
                and not word.says("cue", "release")
            ):
                return True
    if re.search(r"\b(holding|keeping|saving|got|has) .*\b(for (me|us)|of (hers|his|theirs))\b", said) and any(
        t.kind == "person" and t.value not in names.people for t in tags[:2]
    ):
        return True  # hers, kept for us
    words = {t.word.removesuffix("'s") for t in tags[:6]}
    if (
        tags
        and tags[0].word in _OTHERS
        and len(tags) > 1
        and tags[1].word
        in (
            "at",
            "in",
            "from",
            "on",
            "down",
            "next",
            "over",
            "across",
            "i",
            "who",
            "lost",
            "had",
            "got",
            "kid",
            "counted",
        )
    ):
        return not any(t.says("cue", "sold", "hold", "release", "bought") for t in tags)
    if words & _OTHERS and words & {"my", "a", "the", "his", "her", "some", "neighbor's", "their"}:
        joined = sentence.text().replace("'s", "")
        if any(f"{own} {who}" in joined for own in ("my", "a", "some") for who in _OTHERS):
            return not any(t.says("cue", "sold", "hold", "release", "bought") for t in tags)
    return False
