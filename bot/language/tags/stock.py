"""What is kept: batches, cultures, lines, and the names a keeper taught."""

from __future__ import annotations

from dataclasses import replace

from bot.language.tags.counts import is_counted
from bot.language.tags.plain_words import INTO, STOPWORDS
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import SOUNDS, UNITS
from bot.language.text.misspelt import misheard
from bot.language.text.names import SOUND_LETTERS
from bot.language.text.sounds import alike, sound
from bot.language.text.vocabulary import DOMAIN, LEXICON, phrase_at
from bot.language.text.words import STOPS


def taught_at(marked: Marked, at: int) -> Tag | None:
    for size in marked.names.taught_sizes:
        words = tuple(marked.words[at : at + size])
        if len(words) < size:
            continue
        if words in marked.names.whole and (size > 1 or (not words[0].isdigit() and len(words[0]) > 1)):
            return Tag("place", (marked.names.whole[words],), at, at + size, " ".join(words))
        for word, means in marked.names.words.items():
            if tuple(word.lower().split()) == words:
                if means in marked.names.batch_of:
                    return Tag("batch", means, at, at + size, word)
                if means in marked.names.cultures:
                    return Tag("culture", means, at, at + size, word)
    return None


_HELPING = frozenset(  # words after which "be 4" is a verb, or the letter of a tub
    ["will", "should", "could", "must", "to", "might", "would", "can", "may", "there'll", "it'll", "they'll", "'ll",
     "i'll", "tub", "tank", "not"]
)  # fmt: skip


def batch_at(marked: Marked, at: int) -> Tag | None:
    if at >= len(marked.items):
        return None
    word, ids = marked.words[at], marked.names.batch_ids
    nxt = marked.items[at + 1] if at + 1 < len(marked.items) else None
    if word in ("batch", "batches") and nxt is not None and (called := _called_batch(marked, at)) is not None:
        return called
    if nxt is not None and nxt.num is None and nxt.word.endswith("s") and nxt.word[:-1] in UNITS:
        nxt = replace(nxt, num=float(UNITS[nxt.word[:-1]]))  # "the bee nineteens"
    if nxt is None or nxt.whole is None:
        return None
    letter = word if word in marked.names.batch_prefixes else SOUND_LETTERS.get(word, "")
    if letter not in marked.names.batch_prefixes:
        return None
    heard = word != letter
    if heard and marked.w(at - 1) in _HELPING:
        return None
    if (
        not heard
        and not nxt.glued
        and (marked.w(at - 1) in marked.names.head_words or _letters_listed(marked, at, word))
    ):
        return None  # "A 12, B 20": tubs with their numbers
    key = f"{letter}{nxt.whole}"
    if key in ids:
        end = at + 2
        if marked.w(end) == "'" or (marked.w(end) == "s" and marked.items[end].glued):
            end += 1
        return Tag("batch", ids[key], at, end, word)
    if key == "b4" and nxt.glued and marked.w(at - 1) not in INTO and marked.w(at + 2).isalpha():
        return Tag("word", "before", at, at + 2, "before")
    if (not heard and nxt.glued and nxt.whole < 1000 and key not in marked.names.by_id) or marked.w(at - 1) == "batch":
        return Tag("batch", None, at, at + 2, word, note=key.upper())
    return None


def _called_batch(marked: Marked, at: int) -> Tag | None:
    """ "Batch B14", "batch 14"."""
    inner = batch_at(marked, at + 1)
    if inner is not None:
        inner.at = at
        return inner
    whole = marked.items[at + 1].whole
    for prefix in marked.names.batch_prefixes if whole is not None else ():
        if f"{prefix}{whole}" in marked.names.batch_ids:
            return Tag("batch", marked.names.batch_ids[f"{prefix}{whole}"], at, at + 2, marked.words[at])
    return None


def _letters_listed(marked: Marked, at: int, word: str) -> bool:
    """Whether other places' letters stand with numbers of their own in the same note."""
    ids = marked.names.by_id
    return word in ids and any(
        n not in (at, at + 1)
        and len(item.raw) == 1
        and item.raw.isupper()
        and item.word != word
        and item.word in ids
        and n + 1 < len(marked.items)
        and marked.items[n + 1].num is not None
        for n, item in enumerate(marked.items)
    )


_BEGINS = frozenset(["started", "start", "new", "begun", "began", "seeded", "made", "set", "starting"])


def culture_at(marked: Marked, at: int) -> Tag | None:
    size, entries = phrase_at(marked.words, marked.glued, at)
    foods = [v for s, v in entries if s == "food"]
    if not entries and marked.words[at].isalpha() and not is_everyday(marked.words[at]):
        for wide in (3, 2):
            heard = (
                misheard("".join(marked.words[at : at + wide]))
                if all(w.isalpha() for w in marked.words[at : at + wide])
                else None
            )
            if heard and any(s == "food" for s, _ in LEXICON[(heard,)]):
                size, foods = wide, [v for s, v in LEXICON[(heard,)] if s == "food"]
                break
    word = " ".join(marked.words[at : at + size]) if size else marked.words[at]
    if not foods and word not in marked.names.culture_ids:
        return None
    for head, ids in marked.names.culture_ids.items():
        same = head == word or any(head.rstrip("s") == food.rstrip("s") for food in foods)
        if not same:
            continue
        cut = at + max(size, 1)
        if marked.w(cut) in ("culture", "number", "no", "#"):
            cut += 1
            if marked.w(cut) in ("number", "no", "#"):
                cut += 1
        nxt = marked.items[cut] if cut < len(marked.items) else None
        if (
            nxt is not None
            and nxt.word in ("too", "won")
            and str(SOUNDS[nxt.word]) in ids
            and not marked.w(cut - 1).endswith("s")
            and marked.w(cut + 1).isalpha()
        ):
            return Tag("culture", ids[str(SOUNDS[nxt.word])], at, cut + 1, word)  # "microbe worm too smells"
        if nxt is not None and nxt.whole is not None and (not marked.items[cut].spelled or not is_counted(marked, cut)):
            ident = str(nxt.whole)
            if (
                ident not in ids
                and nxt.whole < 20
                and (
                    marked.w(at - 1) in ("called", "named")
                    or (marked.w(at - 1) == "it" and marked.w(at - 2) in ("call", "name"))
                )
            ):
                return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
            if ident in ids:
                return Tag("culture", ids[ident], at, cut + 1, word)
            if (
                ids
                and "" not in ids
                and nxt.whole < 20
                and (nxt.glued or marked.w(cut - 1) in ("culture", "number", "#", "no"))
            ):
                return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
            begun = {marked.w(n) for n in range(max(0, at - 4), at)} & _BEGINS
            if begun and "" not in ids and ids and nxt.whole < 20 and not is_counted(marked, cut):
                return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")  # "started microworm 4"
            if "" not in ids and ids and nxt.whole <= len(ids) + 1 and not is_counted(marked, cut):
                return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
    return None


def _nameable(marked: Marked, at: int) -> int:
    """How many items from here on, four at most, may be words of a misspelt name."""
    for n, item in enumerate(marked.items[at : at + 4]):
        if (
            len(marked.tokens[item.first].word) < 2
            or (item.num is not None and (not item.spelled or item.last > item.first))
            or item.raw in STOPS
            or item.raw in ',-"'
        ):
            return n
    return min(4, len(marked.items) - at)


def _parted_by_an_a(marked: Marked, at: int) -> Tag | None:
    """A line that a phone heard as three words, the second of them "a": "boys a money"."""
    words = marked.words[at : at + 3]
    if len(words) < 3 or words[1] != "a" or min(len(words[0]), len(words[2])) < 3:
        return None
    said, heard = " ".join(words), sound("".join(words))
    meant = {line for name, its, line in marked.names.spoken_names if its == heard and alike(said, name) >= _ALIKE}
    return Tag("line", tuple(meant), at, at + 3, said) if len(meant) == 1 else None


_ALIKE = 0.9


def _named_after(marked: Marked, at: int, last: int) -> bool:
    """Whether a word with a capital stands behind one that is cut short and has none: somebody's name."""
    said, raw = marked.words[last], marked.items[last].raw
    capital = raw[:1].isupper() and not raw.isupper() and not marked.items[at].raw[:1].isupper()
    if not capital or said in marked.names.known or is_everyday(said):
        return False
    heard = "".join(marked.words[at : last + 1])
    return all(alike(heard, letters) < _AS_HEARD for _, letters, _ in marked.names.line_sounds)  # not "fur Siri"


_AS_HEARD = 0.8


def line_at(marked: Marked, at: int, exact: bool, least: int = 1, among: set[str] | None = None) -> Tag | None:
    names = marked.names
    if marked.items[at].num is not None or not marked.words[at][0].isalpha():
        return None
    if exact and least == 1 and (parted := _parted_by_an_a(marked, at)) is not None:
        return parted
    if not exact and marked.words[at] in STOPWORDS:
        return None
    if exact:
        most = min(4 if marked.words[at] in names.line_starts else 2, len(marked.words) - at)
    else:
        most = _nameable(marked, at)
    for size in range(most, least - 1, -1):
        words = tuple(marked.words[at : at + size])
        if exact:
            if size > 1 and any(not w[0].isalpha() for w in words):
                continue
            meant = names.line_words.get(words, ())
            if not meant and size == 2 and len(words[1]) > 2 and words[1].isalpha():
                meant = names.line_words.get(("".join(words),), ())  # "lamp eye"
            if not meant and size == 2 and words[1] == "i" and marked.items[at + 1].raw == "I":
                meant = names.line_words.get((words[0] + "eye",), ())  # "lamp I", as a phone hears it
                meant = meant or names.line_like((words[0], "eye"))  # "gardener I"
            if not meant and size == 1 and len(words[0]) > 2 and words[0].endswith("'s"):
                meant = names.line_words.get((words[0][:-2],), ())
        else:
            if words[-1] in STOPWORDS or len(marked.tokens[marked.items[at + size - 1].first].word) < 3:
                continue
            if (
                size > 1
                and words[0] not in names.known
                and any(sort in ("noun", "cue", "unit") for sort, _ in LEXICON.get(words[:1], []))
            ):
                continue  # "pr furzeri" is a pair, no name
            if size > 1 and any("'" in w and is_everyday(w) for w in words):
                continue  # "haha no that's": talk, and no name
            if (
                size > 1
                and any(sort == "cue" for sort, _ in LEXICON.get(words[-1:], []))
                and words[-1] not in names.known
            ):
                continue  # "furzri died": what was done is no part of a name
            if size > 1 and least == 1 and len(names.line_words.get(words[-1:], ())) == 1:
                continue  # "says his gardneri": the last word is the whole name
            if least > 1 and any(w in DOMAIN or is_everyday(w) for w in words[least - 1 :]):
                continue  # "the boesemani died": a plain word after the whole name is no part of it
            if size > 1 and _named_after(marked, at, at + size - 1):
                continue  # "2 fork Ada": fish and who has them
            raw = tuple(marked.tokens[marked.items[n].first].word.replace("'", "") for n in range(at, at + size))
            meant = names.line_like(raw)
        if meant and among is not None and not set(meant) <= among:
            continue
        if meant and not (size == 1 and len(words[0]) < 3 and (marked.w(at + 1) == "." or not exact)):
            end = at + size
            if marked.w(end) == "s" and marked.items[end].glued:
                end += 1
            return Tag("line", meant, at, end, " ".join(words))
    return None
