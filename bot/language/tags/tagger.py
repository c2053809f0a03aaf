"""Marks every stretch of a note with what it is: a place, a batch, a number with its unit, a day, a cue."""

from __future__ import annotations

import datetime as dt
import itertools
import re
from collections.abc import Sequence

from bot.language.tags.carried import carry_units, figures_behind, tanks_of_their_own
from bot.language.tags.clocks import hours_by_part_of_day, hours_listed, hours_of_rows, hours_spanned
from bot.language.tags.first_fit import tag_at
from bot.language.tags.idle import drop_bullets, idle_numbers, neither_of, not_one_egg, numbered_rows, ones_and_layers
from bot.language.tags.mishearings import numbers_by_sound, numbers_misheard
from bot.language.tags.tag import Marked, Tag
from bot.language.tags.tubs import tubs_by_fish
from bot.language.text.apart import slips
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import items_of
from bot.language.text.misspelt import mended
from bot.language.text.names import Names
from bot.language.text.thumbs import MENDABLE
from bot.language.text.vocabulary import LEXICON
from bot.language.text.words import STOPS, Token, tokens_of


class Tagger:
    """Tags one note against the names of a room; `unclaimed` are its tags as they were before any was read."""

    unclaimed: Sequence[Tag] = ()

    def __init__(self, names: Names, text: str, sent: dt.datetime) -> None:
        typed = tokens_of(text)
        apart = [part for n, token in enumerate(typed) for part in _unglued(names, token, typed[n + 1 : n + 2])]
        self.tokens = _lettered(names, _figures_for_words(apart, names))
        marked = Marked(names, sent, self.tokens, items_of(self.tokens, _words(self.tokens, names)))
        muted = _quoted(marked)
        at = 0
        while at < len(marked.items):
            tag = tag_at(marked, at)
            if at in muted:
                tag.note = "quoted"
            marked.tags.append(tag)
            at = max(tag.upto, at + 1)
        drop_bullets(marked)
        hours_listed(marked)
        hours_of_rows(marked)
        hours_spanned(marked)
        hours_by_part_of_day(marked)
        _bare_decimals(marked)
        _spoken_ph(marked)
        numbered_rows(marked)
        _strengths(marked)
        numbers_misheard(marked)
        numbers_by_sound(marked)
        tubs_by_fish(marked)
        carry_units(marked.tags, marked.items, names)
        figures_behind(marked.tags)
        tanks_of_their_own(marked.tags, names)
        idle_numbers(marked)
        _lots(marked)
        neither_of(marked)
        not_one_egg(marked)
        ones_and_layers(marked)
        _at_so_much(marked)
        _written_out(marked, text)
        _as_typed(marked)
        self.items = marked.items
        self.words = marked.words
        self.tags = marked.tags


_LISTS = frozenset(["and", "&", ",", "n", "+", "/"])


def _lettered(names: Names, tokens: list[Token]) -> list[Token]:
    """Write the letters of "f n g tubs" large, as letters that name places are."""
    for n, token in enumerate(tokens):
        if token.word not in names.head_words or not token.word.endswith("s") or len(token.word) < 4:
            continue
        m = n - 1
        while m > 0 and tokens[m].word in names.by_id and len(tokens[m].word) == 1 and tokens[m - 1].word in _LISTS:
            m -= 2
            m -= m > 0 and tokens[m].word in _LISTS  # ", and"
        if m < 0 or m == n - 1 or len(tokens[m].word) != 1 or tokens[m].word not in names.by_id:
            continue
        for k in range(m, n):
            if tokens[k].word in names.by_id and not tokens[k].is_number and tokens[k].word not in ("n",):
                old = tokens[k]
                tokens[k] = Token(old.word, old.raw.upper(), old.start, old.end, old.glued)
    return tokens


_TITLES = frozenset(["mr", "mrs", "ms", "dr"])


def _words(tokens: list[Token], names: Names) -> list[str]:
    """The words of a note with slips of the finger mended."""
    known = names.known
    words = [mended(t.word, known) if t.is_word else t.word for t in tokens]
    for n, token in enumerate(tokens[1:], 1):
        named = token.raw.istitle() and tokens[n - 1].word not in STOPS
        if n == 1 and words[0] in ("want", "wants") and tokens[0].word != words[0] and words[1] in _BUYERS_DO:
            words[0] = tokens[0].word  # walt is no slip of "want" before "took"
        if named and words[n] in MENDABLE and (words[n],) not in LEXICON:
            words[n] = token.word  # Walt is no slip of "want"
        if tokens[n - 1].word in _TITLES or (n > 1 and tokens[n - 1].word == "." and tokens[n - 2].word in _TITLES):
            words[n] = token.word  # Mr Pell is no "pull"
        food = words[n] != token.word and any(sort in ("food", "unit") for sort, _ in LEXICON.get((words[n],), []))
        if food and (token.raw.istitle() or words[n - 1] in ("for", "from", "off", "promised", "gave", "sold")):
            words[n] = token.word  # Mina is a person, and no water flea
    for n in range(1, len(tokens)):
        letter = tokens[n].word
        if len(letter) == 1 and letter in names.by_id and len(words[n - 1]) > 2 and words[n - 1] in names.head_words:
            words[n] = letter  # tub W is no tub with
    for n, word in enumerate(words[:-1]):
        after = tokens[n + 1]
        if word in ("pear", "pears") and after.word == "of":
            words[n] = {"pear": "pair", "pears": "pairs"}[word]  # "sold a pear of lamp eyes"
        elif word == "lots" and after.is_number:
            words[n] = "lost"
        elif word == "nd" and not tokens[n].glued:
            words[n] = "and"
        elif word == "fr" and n and (after.is_number or words[n + 1] in names.head_words):
            words[n] = "from"
    for n, word in enumerate(words[:-1]):  # "tabk 3"
        if (
            len(word) >= 4
            and word.isalpha()
            and (tokens[n + 1].is_number or _is_letter_of_a_place(tokens[n + 1], names))
            and word not in names.head_words
            and not is_everyday(word)
            and (word,) not in LEXICON
            and (word,) not in names.line_words
        ):
            near = [h for h in names.heads if len(h) >= 3 and slips(word, h) <= 1]
            if len(near) == 1:
                words[n] = near[0]
    return words


def _is_letter_of_a_place(token: Token, names: Names) -> bool:
    return len(token.raw) == 1 and token.raw.isupper() and token.word in names.by_id


_BUYERS_DO = frozenset(["took", "bought", "paid", "has", "had", "came", "wants", "picked", "collected", "owes"])
_BARGAINS = frozenset("reserve reserved resrve hold keep sold sell promised promise save set put sale".split())  # noqa: SIM905
_GOING = frozenset("ready redy need needs want wants going got have has due able".split())  # noqa: SIM905
_MUSING = frozenset("do wc change feed have need be go get as try pull clean just move sell".split())  # noqa: SIM905


def _figures_for_words(tokens: list[Token], names: Names) -> list[Token]:
    """Words that thumbs write with figures, or as others they sound like: "3 killis 4 lena", "1s", "mite do wc"."""
    out: list[Token] = []
    bargain, counted = not _BARGAINS.isdisjoint([t.word for t in tokens]), False
    for n, token in enumerate(tokens):
        before, after = (tokens[m] if 0 <= m < len(tokens) else None for m in (n - 1, n + 1))
        if token.word == "s" and token.glued and before is not None and before.word == "1" and not before.glued:
            out[-1] = Token("ones", "1s", before.start, token.end, False)
            continue
        word = token.word
        if word == "mite" and after is not None and after.word in _MUSING:
            word = "might"
        elif word == "2" and not token.glued and before is not None and before.word in _GOING and after is not None:
            word = "to" if after.word in _MUSING | {"2", "u", "me"} else word
        elif (
            word == "4"
            and bargain
            and counted
            and before is not None
            and before.is_word
            and before.word not in names.head_words
            and before.word not in _BARGAINS
            and after is not None
            and after.is_word
            and not after.glued
            and (after.word in ("me", "him", "her", "them") or _may_be_a_name(after, names))
        ):
            word = "for"
        counted = counted or token.is_number or word in ("a", "an", "one", "two", "three", "pair", "trio")
        out.append(token if word == token.word else Token(word, word, token.start, token.end, token.glued))
    return out


def _may_be_a_name(token: Token, names: Names) -> bool:
    word = token.word
    return (
        len(word) > 2
        and not any(name.startswith(word) for name in names.known)
        and not is_everyday(word)
        and (word,) not in LEXICON
        and mended(word, names.known) == word
    )


def _bare_decimals(marked: Marked) -> None:
    """ "no2 ,5": a comma that hangs on the figure after a reading's name is its decimal comma."""
    for n, tag in enumerate(marked.tags[:-2]):
        comma, figure = marked.tags[n + 1], marked.tags[n + 2]
        if not tag.says("quantity") or comma.word != "," or figure.kind != "num" or figure.low is not None:
            continue
        hangs = marked.items[figure.at].glued and not marked.items[comma.at].glued
        if hangs and marked.items[figure.at].raw.isdigit():
            figure.value = float(f"0.{marked.items[figure.at].raw}")
            marked.tags.remove(comma)
            return


def _spoken_ph(marked: Marked) -> None:
    """ "P H seven six": two figures in words after pH are its whole and its tenth."""
    for ph, one, two in zip(marked.tags, marked.tags[1:], marked.tags[2:], strict=False):
        if not ph.says("quantity", "ph"):
            continue
        spoken = one.kind == two.kind == "num" and one.note == two.note == "spelled" and two.at == one.upto
        whole = spoken and one.low is None and two.low is None and 4 <= one.value <= 9 and two.value <= 9
        if whole and two.value == int(two.value) and one.value == int(one.value):
            after = marked.w(two.upto)
            measured = any(tag.at == two.upto and tag.says("quantity") for tag in marked.tags)
            if not after or measured or after in (",", ".", "and", "in", "\n", "tank", "now", "on", "today"):
                one.value, one.upto = one.value + two.value / 10, two.upto
                marked.tags.remove(two)
                return


def _at_so_much(marked: Marked) -> None:
    """ "Two pairs at 12 a pair": a price."""
    for at, num, per, what in zip(marked.tags, marked.tags[1:], marked.tags[2:], marked.tags[3:], strict=False):
        if at.word in ("at", "for") and num.kind == "num" and num.low is None and per.word in ("a", "per"):
            num.kind = "money" if what.says("noun", "pair", "trio") else num.kind


def _lots(marked: Marked) -> None:
    """The number of "lot 12" is a name on a sale's list and no count."""
    for one, two in itertools.pairwise(marked.tags):
        if one.word == "lot" and two.kind == "num" and marked.w(one.at - 1) not in ("the", "a"):
            two.kind, two.note = "word", "idle"


def _strengths(marked: Marked) -> None:
    """The percent of "3% peroxide" is the bottle's strength and no share of the water."""
    for one, two in itertools.pairwise(marked.tags):
        if one.kind == "pct" and two.senses.get("substance"):
            one.kind = "word"


def _written_out(marked: Marked, text: str) -> None:
    """Who writes with commas and stops names tanks in figures: a number in words alone is a count, and no tank."""
    if re.search(r"[,.!?;]", text):
        for n, tag in enumerate(marked.tags):
            opens = n == 0 or marked.tags[n - 1].kind == "stop"
            had = n + 1 < len(marked.tags) and marked.tags[n + 1].word in ("had", "has", "gave", "got", "was", "is")
            if tag.kind == "num" and tag.note == "spelled" and not (opens and had):
                tag.approx = True


_BEFORE_A_TUB = frozenset("in inn to from frm on of off for fr fo into int inot out o and nad".split())  # noqa: SIM905


def _unglued(names: Names, token: Token, after: list[Token]) -> list[Token]:
    """A tub's word and letter written as one: "tubC", "inB"; not "tubb" of "tubb D"."""
    doubled = token.raw.islower() and token.word[-2:-1] == token.word[-1:]
    if doubled and any(_is_letter_of_a_place(other, names) for other in after):
        return [token]
    if token.raw[:-1] in _BEFORE_A_TUB and token.raw[-1].isupper() and token.word[-1] in names.by_id:
        cut = token.end - 1
        return [
            Token(token.word[:-1], token.raw[:-1], token.start, cut, token.glued),
            Token(token.word[-1], token.raw[-1], cut, token.end, True),
        ]
    if (
        not token.is_word
        or len(token.word) < 4
        or (is_everyday(token.word) and not (token.raw[-1].isupper() and token.raw[0].islower()))
    ):
        return [token]
    for head, ids in names.heads.items():
        size = len(head)
        if len(head) > 2 and token.word.startswith(head) and token.word[size:] in ids and len(token.word) == size + 1:
            if token.word[size:] == "s" and not token.raw[-1].isupper():
                continue
            cut = token.end - 1
            return [
                Token(head, token.raw[:size], token.start, cut, token.glued),
                Token(token.word[size:], token.raw[size:], cut, token.end, True),
            ]
    return [token]


def _as_typed(marked: Marked) -> None:
    """How a word was typed that was taken for a slip of another: it may be a name."""
    for tag in marked.tags:
        item = marked.items[tag.at]
        typed = item.raw.lower()
        if tag.upto == tag.at + 1 and tag.kind in ("word", "lex") and typed.isalpha() and typed != tag.word:
            tag.typed = typed
        elif item.raw == "T" and tag.word == "t":
            tag.typed = item.raw  # "1 T salt": a tablespoon


def _quoted(marked: Marked) -> set[int]:
    marks = [n for n, word in enumerate(marked.words) if word == '"']
    out: set[int] = set()
    for first, last in zip(marks[::2], marks[1::2], strict=False):
        measured = first and marked.items[first - 1].num is not None
        if last - first > 3 or (last - first == 3 and not measured):
            out.update(range(first, last + 1))
    return out
