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
_LETTERS_HEARD = frozenset(["be", "bee", "sea", "see", "dee", "gee", "jee", "eff", "ee", "ay"])
_THROUGH = frozenset({"through", "-", "to", "thru"})


def ident_at(marked: Marked, at: int, ids: dict[str, str], strong: bool) -> tuple[int, str] | None:
    """The number or letter of a place at an item, as figures, words, letters or what a phone made of them."""
    if at >= len(marked.items):
        return None
    item = marked.items[at]
    word = item.word
    nxt = marked.items[at + 1] if at + 1 < len(marked.items) else None
    if nxt is not None:  # A1, B-2, 2b
        for joined, size in ((f"{word}{nxt.word}", 2), (f"{word}{marked.w(at + 2)}" if nxt.word == "-" else "", 3)):
            if joined and joined in ids and (item.num is not None) != (marked.items[at + size - 1].num is not None):
                return size, joined
        letter = SOUND_LETTERS.get(word, "")
        if strong and letter and nxt.whole is not None and f"{letter}{nxt.whole}" in ids:
            return 2, f"{letter}{nxt.whole}"
    if word.endswith("'s") and word[:-2] in ids and strong:
        return 1, word[:-2]
    if item.num is not None:
        if item.whole is not None and str(item.whole) in ids and "." not in item.raw:
            return 1, str(item.whole)
        return None
    if word in ids:
        return 1, word
    if strong and word.rstrip("s").rstrip("'") in UNITS and str(UNITS[word.rstrip("s").rstrip("'")]) in ids:
        return 1, str(UNITS[word.rstrip("s").rstrip("'")])  # tank ten's
    if strong:
        letter = SOUND_LETTERS.get(word, "")
        if (
            letter
            and letter in ids
            and not (word in ("are", "you", "he", "oh", "why", "hey") and nxt is not None and nxt.num is None)
        ):
            return 1, letter
        number = SOUNDS.get(word)
        if number is None and word not in STOPWORDS and not phrase_at(marked.words, marked.glued, at)[0]:
            number = number_heard(word)
        if number is not None and str(number) in ids:
            follows = nxt.word if nxt is not None else ""
            if word in ("to", "for") and marked.w(at - 2) in _PICKED:
                return None  # "the worst tank for losses"
            if word in ("to", "for", "too") and (
                (
                    word != "too"
                    and follows in ARTICLES
                    and not (
                        follows == "this" and marked.w(at + 2) in ("morning", "evening", "afternoon", "am", "week")
                    )
                )
                or follows in marked.names.head_words
                or follows in ("be", "see", "get", "do", "make", "them", "it", "me")
                or (
                    nxt is not None
                    and nxt.num is not None
                    and word != "too"
                    and not (marked.w(at - 1).endswith("s") and not is_counted(marked, at + 1))
                    and (
                        marked.w(at - 2) in (*ARTICLES, "new", "spare", "empty", "other")
                        or not is_counted(marked, at + 1)
                    )
                )
            ):
                return None
            return 1, str(number)
    return None


def more_places(
    marked: Marked, end: int, ids: dict[str, str], found: list[str], plural: bool, ranges: bool | None = None
) -> int:
    """The rest of a list or range of places after its first: "5, 7 and 8", "A B C", "1 thru 6"."""
    length: int | None = None
    closed = False  # the last one came after "and"
    while True:
        at = end
        if marked.w(at) in _THROUGH and (plural or marked.w(at) != "to"):
            nxt = ident_at(marked, at + 1, ids, strong=False)
            if (
                nxt
                and not is_counted(marked, at + 1 + nxt[0] - 1)
                and (marked.w(at) != "-" or marked.items[at].glued or plural or ranges)
            ):
                span = _range(found[-1], nxt[1], ids)
                if span:
                    found.extend(span)
                    end = at + 1 + nxt[0]
                    continue
            return end
        skip = at
        joined = False
        while marked.w(skip) in JOIN and skip - at < 2:
            skip += 1
            joined = True
        if not joined and not (plural or (found[-1].isalpha() and marked.w(skip) in ids)):
            return end
        if marked.w(skip) in ("tank", "tub") or skip >= len(marked.items):
            return end
        nxt = ident_at(marked, skip, ids, strong=False)
        if nxt is None and plural and marked.w(skip - 1) == "and":
            nxt = _heard_last(marked, skip, ids)
        if nxt is None and plural and found[-1].isalpha() and marked.w(skip) in _LETTERS_HEARD:
            letter = SOUND_LETTERS[marked.w(skip)]
            nxt = (1, letter) if letter in ids else None  # "tubs a and be"
        if nxt is None or is_counted(marked, skip + nxt[0] - 1):
            return end
        if closed and _shared_count(marked, skip + nxt[0]):
            return end
        if marked.w(skip + nxt[0]) in FRACTIONS and not marked.items[skip].raw.isupper():
            return end  # "tanks 7 and 8, one third each", "tubs E and F a half change"
        if nxt[1].isalpha() and len(nxt[1]) == 1:
            raw = marked.items[skip].raw
            if not raw.isupper() and nxt[1] in LETTERS_AS_WORDS and not plural and nxt[1] in "aiurnx":
                return end
            if (
                nxt[1] in ("a", "i")
                and marked.w(skip + 1)
                and marked.w(skip + 1).isalpha()
                and not plural
                and not raw.isupper()
            ):
                return end
        elif not plural and found[-1].isdigit():
            # one tank, then a figure: more tanks only in a chain closed by "and" or of three and more
            chain = _chain(marked, at, ids) if length is None else length
            length = chain
            if chain == 0 or (
                chain == 1
                and marked.w(at) != "and"
                and marked.w(skip - 1) != "and"
                and marked.w(skip - 1) != "&"
                and marked.w(skip - 1) != "/"
            ):
                return end
            if marked.w(skip) in SOUNDS:
                return end
        found.append(nxt[1])
        closed = marked.w(skip - 1) in ("and", "&")
        end = skip + nxt[0]


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
