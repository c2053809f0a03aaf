"""What the word or number at one spot of a note is: the first of the readings that fits."""

from __future__ import annotations

from bot.language.tags.amounts import fraction_at, number_at
from bot.language.tags.clocks import time_at
from bot.language.tags.mishearings import misheard_at
from bot.language.tags.people import person_at
from bot.language.tags.places import place_at, size_at
from bot.language.tags.stock import batch_at, culture_at, line_at, taught_at
from bot.language.tags.tag import Marked, Tag
from bot.language.tags.trade_words import lexed_at
from bot.language.text.figures import FRACTIONS
from bot.language.text.words import CURRENCY, STOPS

_SENTENCE_STARTS = frozenset(
    ["i", "my", "i'm", "i've", "he", "she", "they", "it's", "it", "we", "that", "this", "what", "how", "so", "anyway"]
)


_ROOM = (time_at, taught_at, batch_at, place_at, culture_at)
_BUILDS = ("big", "large", "small", "little", "tall", "long")  # "the big 40"
_SHARE_WORDS = ("half", "a", "an", "one", "two", "most", "three", "third", "quarter")


def tag_at(marked: Marked, at: int) -> Tag:
    """The tag that begins at an item; `marked.tags` holds those before it."""
    item = marked.items[at]
    word = item.word
    if word in STOPS:
        return _stop_at(marked, at)
    for find in _ROOM:
        if tag := find(marked, at):
            return tag
    lexed = lexed_at(marked, at)
    heard = None if lexed else misheard_at(marked, at)
    if found := heard or person_at(marked, at):
        return found
    exact = line_at(marked, at, exact=True)
    if exact and (lexed is None or exact.upto >= lexed.upto):
        longer = line_at(marked, at, exact=False, least=exact.upto - at + 1, among=set(exact.value))
        return longer or exact
    if found := _quantity_at(marked, at):
        return found
    if lexed and lexed.upto - at > 1:
        return lexed
    fuzzy = line_at(marked, at, exact=False)
    if fuzzy and (lexed is None or fuzzy.upto - at > 1):
        return fuzzy
    if lexed:
        return lexed
    if not item.raw[0].isalnum():
        return _mark_at(marked, at)
    if word == "e" and item.glued and at and marked.items[at - 1].num is not None and item.raw == "e":
        return Tag("lex", "eggs", at, at + 1, "eggs", {"noun": frozenset({"eggs"})})  # 14e
    if word == "top" and _tops_off(marked, at):
        return Tag("lex", word, at, at + 1, word, {"cue": frozenset({"topoff"})})
    return Tag("word", word, at, at + 1, word)


def _quantity_at(marked: Marked, at: int) -> Tag | None:
    """A number, an arrow, money, a share or a tank's size."""
    item = marked.items[at]
    word = item.word
    if item.num is not None and (found := number_at(marked, at)):
        return found
    if word == ">" and marked.tags and (arrow := _arrow_at(marked, at)):
        return arrow
    if money := _money_at(marked, at):
        return money
    if word in ("third", "quarter") and marked.w(at + 1) == "of" and marked.w(at - 1) not in ("the", "a", "one", "1"):
        return Tag("frac", FRACTIONS[word], at, at + 1, word)
    if word in _SHARE_WORDS and (part := fraction_at(marked, at)):
        return part
    after = marked.items[at + 1] if at + 1 < len(marked.items) else None
    if word == "~" and after is not None and after.num is not None and (found := number_at(marked, at + 1)):
        found.at, found.approx = at, True
        return found
    if word == "the" and (size := size_at(marked, at + 1, article=True)):
        size.at = at
        return size
    if word == "the" and marked.w(at + 1) in _BUILDS and (size := size_at(marked, at + 2, article=True)):
        size.at = at
        return size
    return None


def _tops_off(marked: Marked, at: int) -> bool:
    """Whether "top" stands beside a place: "13 top", "top tub C"; "top of tank 3" is where."""
    if marked.w(at + 1) in ("of", "shelf", "rack"):
        return False
    after_place = bool(marked.tags) and marked.tags[-1].kind == "place"
    return after_place or (at + 1 < len(marked.items) and place_at(marked, at + 1) is not None)


def _stop_at(marked: Marked, at: int) -> Tag:
    """The end of a sentence, unless its mark only shortens a word or stands in a list."""
    word = marked.words[at]
    if word == "✓":
        return Tag("lex", word, at, at + 1, word, {"cue": frozenset({"done"})})
    if (
        word == "·"
        and at + 1 < len(marked.items)
        and marked.items[at + 1].raw[0].islower()
        and at
        and marked.items[at - 1].raw[0].isalnum()
        and marked.items[at + 1].word not in _SENTENCE_STARTS
    ):
        return Tag("punct", ",", at, at + 1, ",")
    if (
        word == "."
        and (
            marked.w(at - 1) in ("mr", "mrs", "ms", "approx")
            or (marked.w(at - 1) == "dr" and marked.items[max(0, at - 2)].num is None)  # "3 dr." are drops
            or (marked.w(at - 1) == "gal" and marked.w(at + 1) in _AFTER_GALLONS)
            or (marked.w(at - 1) in ("a", "p") and marked.w(at + 1) == "m")
            or (
                marked.w(at - 1) == "no"
                and marked.w(at - 2) not in ("said", "say", "says", "but", "and")
                and marked.items[at + 1 : at + 2]
                and marked.items[at + 1].num is not None
            )
            or (
                marked.w(at + 1)
                and marked.items[at + 1].glued
                and marked.items[at + 1].num is None
                and len(marked.w(at - 1)) == 1
            )
        )
    ):
        return Tag("punct", word, at, at + 1, word)
    return Tag("stop", word, at, at + 1, word)


_AFTER_GALLONS = frozenset(
    ["of", "out", "from", "off", "in", "into", "to", "each", "tank", "jug", "bucket", "and", ","]
)


def _arrow_at(marked: Marked, at: int) -> Tag | None:
    """An arrow between two places, or behind what is moved."""
    item = marked.items[at]
    if (
        marked.tags[-1].kind == "num"
        and at + 1 < len(marked.items)
        and marked.is_id(marked.items[at - 1])
        and marked.is_id(marked.items[at + 1])
        and item.glued
        and marked.items[at + 1].glued
    ):
        before = marked.tags[-1]
        before.kind, before.value = "place", marked.names.by_id[str(marked.items[at - 1].whole)][:1]
        return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
    if marked.tags[-1].kind == "place" or (at + 1 < len(marked.items) and place_at(marked, at + 1) is not None):
        if marked.tags[-1].kind not in ("place", "stop"):
            return Tag("word", "to", at, at + 1, "to")
        return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
    if marked.tags[-1].kind == "num" and any(
        t.kind in ("batch", "line") or t.says("cue", "move") for t in marked.tags[-6:]
    ):
        return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
    return None


def _money_at(marked: Marked, at: int) -> Tag | None:
    word = marked.words[at]
    if word in ("tenner", "fiver"):
        return Tag("money", 10.0 if word == "tenner" else 5.0, at, at + 1, word, unit="GBP")
    if word in ("$", "£", "€") and marked.items[at + 1 : at + 2] and marked.items[at + 1].num is not None:
        return Tag("money", marked.items[at + 1].num, at, at + 2, word, unit=CURRENCY[word])
    return None


def _mark_at(marked: Marked, at: int) -> Tag:
    """A mark: one that joins two words, a minus, or one that says nothing."""
    item, word = marked.items[at], marked.words[at]
    inside = word == "-" and item.glued and at + 1 < len(marked.items) and marked.items[at + 1].glued
    letters = inside and marked.w(at - 1).isalpha() and marked.w(at + 1).isalpha()
    minus = (
        word == "-"
        and not item.glued
        and at + 1 < len(marked.items)
        and marked.items[at + 1].glued
        and marked.items[at + 1].num is not None
    )
    return Tag("punct", word, at, at + 1, word, note="inside" if letters else "minus" if minus else "")
