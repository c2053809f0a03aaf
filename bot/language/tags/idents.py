"""The number or letter of a place, and the rest of a list or range of places."""

from __future__ import annotations

from bot.language.tags.counts import is_counted
from bot.language.tags.plain_words import ARTICLES, JOIN, LETTERS_AS_WORDS, STOPWORDS
from bot.language.tags.tag import Marked
from bot.language.text.figures import FRACTIONS, SOUNDS, UNITS, number_heard
from bot.language.text.names import SOUND_LETTERS
from bot.language.text.vocabulary import phrase_at
from bot.language.text.words import STOPS

_PICKED = frozenset(
    ["worst", "best", "which", "what", "new", "spare", "empty", "other", "another", "good", "bad", "the"]
)
_LETTERS_HEARD = frozenset(["be", "bee", "sea", "see", "cee", "dee", "gee", "jee", "eff", "ee", "ay"])
_THROUGH = frozenset({"through", "-", "to", "thru"})


def ident_at(marked: Marked, at: int, ids: dict[str, str], strong: bool) -> tuple[int, str] | None:
    """The number or letter of a place at an item, as figures, words, letters or what a phone made of them."""
    if at >= len(marked.items):
        return None
    item = marked.items[at]
    word = item.word
    nxt = marked.items[at + 1] if at + 1 < len(marked.items) else None
    if nxt is not None and (joined := _letter_with_number(marked, at, ids, strong)) is not None:
        return joined
    if word.endswith("'s") and word[:-2] in ids and strong:
        return 1, word[:-2]
    if item.num is not None:
        known = item.whole is not None and str(item.whole) in ids and "." not in item.raw
        return (1, str(item.whole)) if known else None
    if word in ids:
        return 1, word
    return _heard(marked, at, ids) if strong else None


def _letter_with_number(marked: Marked, at: int, ids: dict[str, str], strong: bool) -> tuple[int, str] | None:
    """ "A1", "B-2", "2b", "bee four"."""
    item, nxt = marked.items[at], marked.items[at + 1]
    dashed = f"{item.word}{marked.w(at + 2)}" if nxt.word == "-" and at + 2 < len(marked.items) else ""
    for joined, size in ((f"{item.word}{nxt.word}", 2), (dashed, 3)):
        if joined and joined in ids and (item.num is not None) != (marked.items[at + size - 1].num is not None):
            return size, joined
    letter = SOUND_LETTERS.get(item.word, "")
    if strong and letter and nxt.whole is not None and f"{letter}{nxt.whole}" in ids:
        return 2, f"{letter}{nxt.whole}"
    return None


def _heard(marked: Marked, at: int, ids: dict[str, str]) -> tuple[int, str] | None:
    """The number or letter that a word sounds like."""
    word = marked.words[at]
    nxt = marked.items[at + 1] if at + 1 < len(marked.items) else None
    own = word.rstrip("s").rstrip("'")
    if own in UNITS and str(UNITS[own]) in ids:
        return 1, str(UNITS[own])  # tank ten's
    letter = SOUND_LETTERS.get(word, "")
    talk = word in ("are", "you", "he", "oh", "why", "hey") and nxt is not None and nxt.num is None
    if letter and letter in ids and not talk:
        return 1, letter
    number = SOUNDS.get(word)
    if number is None and word not in STOPWORDS and not phrase_at(marked.words, marked.glued, at)[0]:
        number = number_heard(word)
    if number is None or str(number) not in ids or (word in ("to", "for", "too") and _leads_on(marked, at)):
        return None
    return 1, str(number)


def _leads_on(marked: Marked, at: int) -> bool:
    """Whether "to", "for" or "too" is just that, and not the number it sounds like."""
    word, follows = marked.words[at], marked.w(at + 1)
    if follows in marked.names.head_words or follows in ("be", "see", "get", "do", "make", "them", "it", "me"):
        return True
    if word == "too":
        return False
    if marked.w(at - 2) in _PICKED:
        return True  # "the worst tank for losses"
    this_day = follows == "this" and marked.w(at + 2) in ("morning", "evening", "afternoon", "am", "week")
    if follows in ARTICLES and not this_day:
        return True
    if at + 1 >= len(marked.items) or marked.items[at + 1].num is None:
        return False
    counted = is_counted(marked, at + 1)
    one = marked.w(at - 2) in (*ARTICLES, "new", "spare", "empty", "other")
    return (counted or not marked.w(at - 1).endswith("s")) and (one or not counted)


def more_places(
    marked: Marked, end: int, ids: dict[str, str], found: list[str], plural: bool, ranges: bool | None = None
) -> int:
    """The rest of a list or range of places after its first: "5, 7 and 8", "A B C", "1 thru 6"."""
    chain: int | None = None
    closed = False  # the last one came after "and"
    while True:
        if marked.w(end) in _THROUGH and (plural or marked.w(end) != "to"):
            upto = _range_upto(marked, end, ids, found, bool(plural or ranges))
            if upto is None:
                return end
            end = upto
            continue
        skip = end
        while marked.w(skip) in JOIN and skip - end < 2:
            skip += 1
        nxt = _next_in_list(marked, skip, ids, found[-1], plural, joined=skip > end)
        if nxt is None or (closed and _shared_count(marked, skip + nxt[0])):
            return end
        if not plural and nxt[1].isalpha() and len(nxt[1]) == 1:
            if _letter_is_a_word(marked, skip, nxt[1]):
                return end
        elif not plural and found[-1].isdigit():
            chain = _chain(marked, end, ids) if chain is None else chain
            if _closes_no_chain(marked, end, skip, chain):
                return end
        found.append(nxt[1])
        closed = marked.w(skip - 1) in ("and", "&")
        end = skip + nxt[0]


def _range_upto(marked: Marked, at: int, ids: dict[str, str], found: list[str], ranges: bool) -> int | None:
    """Where a range ends whose "through" or "-" stands at an item; its places are added to those found."""
    last = ident_at(marked, at + 1, ids, strong=False)
    if last is None or is_counted(marked, at + last[0]):
        return None
    if marked.w(at) == "-" and not marked.items[at].glued and not ranges:
        return None
    span = _range(found[-1], last[1], ids)
    found.extend(span)
    return at + 1 + last[0] if span else None


def _next_in_list(
    marked: Marked, at: int, ids: dict[str, str], last: str, plural: bool, joined: bool
) -> tuple[int, str] | None:
    """The next place of a list; None where the list has ended, or what follows is counted."""
    word = marked.w(at)
    if not joined and not plural and not (last.isalpha() and word in ids):
        return None
    if word in ("tank", "tub") or at >= len(marked.items) or _short_for_tank(marked, at):
        return None
    nxt = ident_at(marked, at, ids, strong=False)
    if nxt is None and plural and marked.w(at - 1) == "and":
        nxt = _heard_last(marked, at, ids)
    if nxt is None and plural and last.isalpha() and word in _LETTERS_HEARD:
        letter = SOUND_LETTERS[word]
        nxt = (1, letter) if letter in ids else None  # "tubs a and be"
    if nxt is None or is_counted(marked, at + nxt[0] - 1):
        return None
    if marked.w(at + nxt[0]) in FRACTIONS and not marked.items[at].raw.isupper():
        return None  # "tanks 7 and 8, one third each", "tubs E and F a half change"
    return nxt


def _short_for_tank(marked: Marked, at: int) -> bool:
    """Whether a letter is that of "tank" and no tub's own: "bbs A, t2"."""
    after = marked.items[at + 1] if at + 1 < len(marked.items) else None
    return marked.w(at) == "t" and after is not None and after.glued and after.whole is not None


def _letter_is_a_word(marked: Marked, at: int, letter: str) -> bool:
    """Whether a small letter after one tub is rather a word: "a", "i", "u"."""
    if letter == "i" and _tells_of_me(marked, at):
        return True
    if marked.items[at].raw.isupper():
        return False
    return (letter in LETTERS_AS_WORDS and letter in "aiurnx") or (letter in ("a", "i") and marked.w(at + 1).isalpha())


def _tells_of_me(marked: Marked, at: int) -> bool:
    """Whether an "I" after a tub does something itself: "2 out of B and I changed it", not "A, B and I changed"."""
    did, what = marked.w(at + 1), marked.w(at + 2)
    whole = at + 2 < len(marked.items) and (marked.items[at + 2].num is not None or what in marked.names.by_id)
    return did in _DONE_BY_ME or (did.isalpha() and did not in ("and", "or") and (whole or what in _DONE_TO))


_DONE_BY_ME = frozenset(
    ["just", "then", "also", "have", "had", "did", "gave", "put", "moved", "took", "pulled", "found", "counted"]
) | {"think", "thought", "am", "will", "didn't", "haven't", "saw", "lost", "picked", "set", "started", "sold", "only"}
_DONE_TO = frozenset(["it", "them", "the", "both", "all", "some", "its", "their", "that", "those", "these", "half"])


def _closes_no_chain(marked: Marked, end: int, at: int, chain: int) -> bool:
    """Whether a figure after one tank is none: they go on only closed by "and", or three and more of them."""
    closed = marked.w(end) == "and" or marked.w(at - 1) in ("and", "&", "/")
    return chain == 0 or (chain == 1 and not closed) or marked.w(at) in SOUNDS


def _shared_count(marked: Marked, at: int) -> bool:
    """Whether the number before is the first of what two places gave: "tanks 2 and 3, 12 and 30 eggs"."""
    its = marked.items[at + 1 : at + 2]
    return marked.w(at) in ("and", "&") and bool(its) and its[0].num is not None and is_counted(marked, at + 1)


def _heard_last(marked: Marked, at: int, ids: dict[str, str]) -> tuple[int, str] | None:
    """The last number of a list as a phone wrote it: "tanks two three and for"."""
    word, after = marked.w(at), marked.w(at + 1)
    if word not in ("for", "fore", "too", "ate", "won") or str(SOUNDS[word]) not in ids:
        return None
    return (1, str(SOUNDS[word])) if after in ("and", ",", "", "today", "with") or after in STOPS else None


def _chain(marked: Marked, at: int, ids: dict[str, str]) -> int:
    """How many further numbers of places follow one another; 0 when they turn out to count something."""
    count = 0
    while True:
        skip = at
        while marked.w(skip) in JOIN and skip - at < 2:
            skip += 1
        if (
            skip == at
            or skip >= len(marked.items)
            or marked.items[skip].whole is None
            or str(marked.items[skip].whole) not in ids
        ):
            return count
        if is_counted(marked, skip):
            return 0
        count += 1
        at = skip + 1


def _range(first: str, last: str, ids: dict[str, str]) -> list[str]:
    """The numbers or letters after `first` up to `last` that the room has."""
    if first.isdigit() and last.isdigit() and int(first) < int(last):
        return [str(n) for n in range(int(first) + 1, int(last) + 1) if str(n) in ids]
    if len(first) == len(last) == 1 and first < last:
        return [chr(n) for n in range(ord(first) + 1, ord(last) + 1) if chr(n) in ids]
    if first[:-1] == last[:-1] and first[-1:].isdigit() and last[-1:].isdigit():
        return [f"{first[:-1]}{n}" for n in range(int(first[-1]) + 1, int(last[-1]) + 1) if f"{first[:-1]}{n}" in ids]
    return []
