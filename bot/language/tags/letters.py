"""A place's own letter or code standing alone: "A", "in F", "A1"."""

from __future__ import annotations

from bot.language.tags.idents import more_places
from bot.language.tags.plain_words import INTO, LETTERS_AS_WORDS
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.vocabulary import phrase_at
from bot.language.text.words import STOPS


def bare_place_at(marked: Marked, at: int) -> Tag | None:
    """A place's own letter or code standing alone: "A", "in F", "A1"."""
    names = marked.names
    item = marked.items[at]
    word = item.word
    nxt = marked.items[at + 1] if at + 1 < len(marked.items) else None
    if (
        item.num is None
        and len(word) <= 2
        and nxt is not None
        and nxt.num is not None
        and (nxt.glued or item.raw.isupper())
    ):
        key = f"{word}{nxt.word}"
        if key in names.by_id and len(names.by_id[key]) == 1:
            ids = {i: n[0] for i, n in names.by_id.items()}
            found = [key]
            end = more_places(marked, at + 2, ids, found, plural=True)
            return Tag("place", tuple(ids[i] for i in found), at, end, key, note="many" if len(found) > 1 else "")
    if (
        item.num is not None
        and nxt is not None
        and nxt.glued
        and nxt.num is None
        and f"{word}{nxt.word}" in names.by_id
    ):
        return Tag("place", names.by_id[f"{word}{nxt.word}"][:1], at, at + 2, f"{word}{nxt.word}")
    letter = {"gee": "g", "dee": "d", "bee": "b", "eff": "f", "jee": "g", "cee": "c"}.get(word)
    if letter in names.by_id and marked.w(at - 1) in ("in", "into", "from", "to") and len(names.by_id[letter]) == 1:
        return Tag("place", names.by_id[letter], at, at + 1, word, note="bare")
    if item.num is not None or word not in names.by_id or len(word) > 1:
        return None
    if at > 0 and marked.items[at - 1].num is not None and item.glued:
        return None
    slashed = nxt is not None and nxt.word == "/" and item.raw.isupper() and _letter_next(marked, at + 1)
    if nxt is not None and nxt.glued and nxt.word in ("'", "/") and not slashed:
        return None
    before, after = marked.w(at - 1), marked.w(at + 1)
    upper = item.raw.isupper()
    place_before = bool(marked.tags) and marked.tags[-1].kind == "place"
    if word in ("a", "i"):
        if (
            upper
            and word == "a"
            and at + 1 < len(marked.items)
            and marked.items[at + 1].num is not None
            and before in ("", "\n", ".", ",", ":", "-")
        ):
            return (
                Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
                if len(names.by_id["a"]) == 1
                else None
            )
        if (
            upper
            and word == "a"
            and after == ","
            and (at == 0 or before in STOPS)
            and marked.items[at + 2 : at + 3]
            and marked.items[at + 2].num is not None
            and len(names.by_id["a"]) == 1
        ):
            return Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
        if upper and word == "a" and len(names.by_id["a"]) == 1 and (after == ">" or _found_in(marked, at)):
            return Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
        listed = (
            (after in (",", "and", "&", "+", "/") or after in names.by_id) and upper and _letter_next(marked, at + 1)
        )
        near = (
            upper and before in INTO and ((not marked.shouting and at > 1) or before in ("tub", "tank", "into", "from"))
        ) or (
            upper
            and before in INTO
            and not (
                after.isalpha()
                and not phrase_at(marked.words, marked.glued, at + 1)[1]
                and after
                not in (
                    "and",
                    "into",
                    "to",
                    "too",
                    "with",
                    "is",
                    "was",
                    "has",
                    "had",
                    "this",
                    "today",
                    "now",
                    "are",
                    "at",
                    "yesterday",
                )
            )
        )
        alone = upper and (
            after in (":", "", "-", "\n")
            or (
                before in ("", "\n", ".", ",")
                and word == "a"
                and after
                in (
                    *("hatched", "got", "had", "has", "changed", "wc", "is", "was", "now", "fed", "gets", "eyed"),
                    *("hatching", "popping", "popped", "eyeing"),
                )
            )
        )
        small = word == "a" and not upper and (_small_list(marked, at + 1) or _closes_after_from(marked, at))
        closes = upper and word == "a" and not marked.shouting and after in (",", ";", ".", ")", "\n", "") and at > 0
        if not (listed or near or alone or small or closes) or (word == "i" and not listed):
            return None
    elif not upper and (_closes_a_finding(marked, at) or _opens_a_note(marked, at)):
        pass
    elif not upper:
        if (
            before not in INTO
            and not place_before
            and not (word not in LETTERS_AS_WORDS and (after in names.by_id or before in names.by_id))
        ):
            return None
        if word in ("m", "f", "c", "x", "n", "u", "r", "s", "t") and before not in (
            "in",
            "into",
            "from",
            "tub",
            "tank",
            "to",
            "on",
            "of",
        ):
            return None
        if before == "to" and marked.items[at - 2 : at - 1] and marked.items[at - 2].num is not None and word in "fc":
            return None
    elif (
        (word in ("c", "f") and at > 0 and marked.items[at - 1].num is not None)
        or (upper and nxt is not None and nxt.glued and nxt.num is None and nxt.word.isalpha())
        or (word in LETTERS_AS_WORDS and word in ("m", "x") and before not in INTO)
    ):
        return None
    elif (
        upper
        and before
        and marked.items[at - 1].raw[:1].isupper()
        and before not in INTO
        and not is_everyday(before)
        and not phrase_at(marked.words, marked.glued, at - 1)[1]
    ):
        return None  # Tom B
    options = names.by_id[word]
    if len(options) > 1:
        return Tag("place", (), at, at + 1, word, note="|".join(options))
    ids = {i: n[0] for i, n in names.by_id.items() if i.isalpha() and len(n) == 1}
    found = [word]
    end = more_places(marked, at + 1, ids, found, plural=False)
    return Tag(
        "place",
        tuple(dict.fromkeys(ids[i] for i in found)),
        at,
        end,
        word,
        note="many" if len(found) > 1 else "bare",
    )


def _letter_next(marked: Marked, at: int) -> bool:
    while marked.w(at) in (",", "and", "&", "+", "/"):
        at += 1
    return marked.w(at) in marked.names.by_id and at < len(marked.items) and marked.items[at].raw.isupper()


def _small_list(marked: Marked, at: int) -> bool:
    """Whether letters of places go on after a small “a”, up to the end of the words: “4 drops a b c”."""
    letters = 0
    while at < len(marked.items) and marked.w(at) not in (".", "\n"):
        word = marked.w(at)
        if len(word) == 1 and word.isalpha() and word not in ("a", "i") and word in marked.names.by_id:
            letters += 1
        elif word not in (",", "and", "&", "+") or (word == "," and not letters):
            break
        at += 1
    return letters > 0 and (at >= len(marked.items) or marked.w(at) in (".", "\n", ",") or letters > 1)


def _found_in(marked: Marked, at: int) -> bool:
    """Whether a capital A is no article: "10 fry hatched A put in F", "first fry A!!", "A fry 7"."""
    before, after = marked.tags[-1] if marked.tags else None, marked.w(at + 1)
    found = before is not None and (
        before.says("cue", "bad", "bad_weak", "dead", "eyed", "hatch") or before.says("noun", "fry", "eggs")
    )
    if found and after in ("put", "moved", "into", "to", "!"):
        return True
    opens = before is None or before.kind == "stop"
    counted = after in ("fry", "eggs") and at + 2 < len(marked.items) and marked.items[at + 2].num is not None
    return opens and counted


def _closes_after_from(marked: Marked, at: int) -> bool:
    """ "threw 5 white eggs from a": a small "a" that ends the note names no thing."""
    return marked.w(at - 1) in ("from", "into") and marked.w(at + 1) in ("", "\n")


def _closes_a_finding(marked: Marked, at: int) -> bool:
    """ "3 duds b", "6 dead e": a small letter last in its line, after what was found and how many."""
    if marked.w(at) in ("m", "f") or marked.w(at + 1) not in ("", "\n") or marked.items[at].glued or at < 2:
        return False
    found = marked.tags[-1] if marked.tags else None
    return bool(
        found and found.says("cue", "bad", "bad_weak", "dead", "eyed", "hatch") and marked.items[at - 2].num is not None
    )


def _opens_a_note(marked: Marked, at: int) -> bool:
    """ "b got fresh water": a small letter first in its sentence, before what was done there."""
    done = ("fed", "got", "had", "water", "wc", "changed", "hatched", "gets", "eyed")
    return (marked.w(at - 1) in STOPS or at == 0) and marked.w(at) not in "aiurnxm" and marked.w(at + 1) in done
