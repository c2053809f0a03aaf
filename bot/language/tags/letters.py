"""A place's own letter or code standing alone: "A", "in F", "A1"."""

from __future__ import annotations

from dataclasses import dataclass

from bot.language.tags.idents import more_places
from bot.language.tags.plain_words import INTO, LETTERS_AS_WORDS
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import Item
from bot.language.text.vocabulary import phrase_at
from bot.language.text.words import STOPS

_SPOKEN = {"gee": "g", "dee": "d", "bee": "b", "eff": "f", "jee": "g", "cee": "c"}
_LEADS = ("in", "into", "from", "tub", "tank", "to", "on", "of")
# What may follow "in A" of the tub, where after any other word "a" is no letter.
_AFTER_A_TUB = frozenset(
    ["and", "into", "to", "too", "with", "is", "was", "has", "had", "this", "today", "now", "are", "at", "yesterday"]
)
_OF_A_TUB = frozenset(
    ["hatched", "got", "had", "has", "changed", "wc", "is", "was", "now", "fed", "gets", "eyed", "hatching", "popping",
     "popped", "eyeing"]
)  # fmt: skip


@dataclass(slots=True)
class _Letter:
    """A letter of a note that is a place's, with what stands around it."""

    marked: Marked
    at: int

    @property
    def item(self) -> Item:
        return self.marked.items[self.at]

    @property
    def word(self) -> str:
        return self.item.word

    @property
    def upper(self) -> bool:
        return self.item.raw.isupper()

    @property
    def before(self) -> str:
        return self.marked.w(self.at - 1)

    @property
    def after(self) -> str:
        return self.marked.w(self.at + 1)

    @property
    def follows(self) -> Item | None:
        return self.marked.items[self.at + 1] if self.at + 1 < len(self.marked.items) else None

    @property
    def counted(self) -> bool:
        """Whether a number stands before it."""
        return self.at > 0 and self.marked.items[self.at - 1].num is not None

    def alone(self) -> Tag:
        return Tag("place", self.marked.names.by_id[self.word][:1], self.at, self.at + 1, self.word, note="bare")


def bare_place_at(marked: Marked, at: int) -> Tag | None:
    """A place's own letter or code standing alone: "A", "in F", "A1"; or letters listed: "A and B tubs"."""
    if (listed := _before_their_head(marked, at)) is not None:
        return listed
    letter = _Letter(marked, at)
    by_id, word = marked.names.by_id, letter.word
    if (code := _code(letter)) is not None:
        return code
    if letter.item.num is not None or len(word) > 1 or _glued_to_another(letter):
        return None
    if word not in by_id:
        return _not_here(letter)
    if word == "a" and letter.upper and len(by_id["a"]) == 1 and _heads(letter):
        return letter.alone()
    if not _stands_for_a_place(letter):
        return None
    options = by_id[word]
    if len(options) > 1:
        return Tag("place", (), at, at + 1, word, note="|".join(options))
    ids = {i: n[0] for i, n in by_id.items() if i.isalpha() and len(n) == 1}
    found = [word]
    end = more_places(marked, at + 1, ids, found, plural=False)
    spots = tuple(dict.fromkeys(ids[i] for i in found))
    return Tag("place", spots, at, end, word, note="many" if len(found) > 1 else "bare")


def _not_here(letter: _Letter) -> Tag | None:
    """A capital said with a tub's own that none here has, "fed E, F and K"; not one that stands for something else."""
    marked, at = letter.marked, letter.at
    places = [tag for tag in marked.tags[-3:] if tag.kind == "place" and tag.value and tag.upto >= at - 2]
    listed = letter.upper and letter.before in _LISTED and letter.after not in (":", "'")
    if not listed or not places or letter.word in _NO_PLACES:
        return None
    last = marked.items[places[-1].upto - 1].raw
    if len(last) != 1 or not last.isupper() or (letter.follows is not None and letter.follows.glued):
        return None
    return Tag("place", (), at, at + 1, letter.word, note=f"?{places[-1].value[-1].split()[0]} {letter.item.raw}")


_LISTED = frozenset(["and", "&", "+", ",", "/"])
_NO_PLACES = frozenset("fimnx")  # the sexes, I, a thumb's "and", times


def _before_their_head(marked: Marked, at: int) -> Tag | None:
    """Letters with what they are said after them: "f and g tubs"."""
    found, end = [marked.w(at)], at + 1
    while marked.w(end) in ("and", "&", "+", ",", "/") and len(marked.w(end + 1)) == 1:
        found.append(marked.w(end + 1))
        end += 2
    heads = marked.names.head_words.get(marked.w(end), ()) if len(found) > 1 and marked.w(end).endswith("s") else ()
    ids = {i: name for head in heads for i, name in marked.names.heads.get(head, {}).items()}
    if not ids or not all(f.isalpha() and f in ids for f in found):
        return None
    return Tag("place", tuple(dict.fromkeys(ids[f] for f in found)), at, end + 1, marked.w(end), note="many")


def _code(letter: _Letter) -> Tag | None:
    """A code of letter and number ("A1", "2B"), or a letter as it is spoken ("into dee")."""
    marked, at, word, nxt = letter.marked, letter.at, letter.word, letter.follows
    by_id = marked.names.by_id
    if nxt is not None and letter.item.num is None and len(word) <= 2 and nxt.num is not None:
        key = f"{word}{nxt.word}"
        if (nxt.glued or letter.upper) and len(by_id.get(key, ())) == 1:
            ids = {i: n[0] for i, n in by_id.items()}
            found = [key]
            end = more_places(marked, at + 2, ids, found, plural=True)
            return Tag("place", tuple(ids[i] for i in found), at, end, key, note="many" if len(found) > 1 else "")
    if nxt is not None and letter.item.num is not None and nxt.glued and nxt.num is None:
        key = f"{word}{nxt.word}"
        if key in by_id:
            return Tag("place", by_id[key][:1], at, at + 2, key)
    spoken = by_id.get(_SPOKEN.get(word, ""), ())
    if len(spoken) == 1 and letter.before in ("in", "into", "from", "to"):
        return Tag("place", spoken, at, at + 1, word, note="bare")
    return None


def _glued_to_another(letter: _Letter) -> bool:
    """Whether the letter is the tail of a number ("3f") or the head of a word ("d'you", "w/")."""
    if letter.counted and letter.item.glued:
        return True
    nxt = letter.follows
    slashed = nxt is not None and nxt.word == "/" and letter.upper and _letter_next(letter.marked, letter.at + 1)
    return nxt is not None and nxt.glued and nxt.word in ("'", "/") and not slashed


def _heads(letter: _Letter) -> bool:
    """Whether a capital A heads what follows: "A 3 bad", "A, 12", "A > 13"."""
    marked, at, before = letter.marked, letter.at, letter.before
    if letter.follows is not None and letter.follows.num is not None and before in ("", "\n", ".", ",", ":", "-"):
        return True
    second = marked.items[at + 2] if at + 2 < len(marked.items) else None
    if letter.after == "," and (at == 0 or before in STOPS) and second is not None and second.num is not None:
        return True
    return letter.after == ">" or _found_in(marked, at)


def _stands_for_a_place(letter: _Letter) -> bool:
    if letter.word in ("a", "i"):
        return _no_article(letter)
    if not letter.upper:
        return _small_letter(letter)
    return _capital(letter)


def _no_article(letter: _Letter) -> bool:
    """Whether "a" or "i" is a place and no word of its own."""
    marked, at, before, after, upper = letter.marked, letter.at, letter.before, letter.after, letter.upper
    listed = upper and (after in (",", "and", "&", "+", "/") or after in marked.names.by_id)
    if listed and _letter_next(marked, at + 1):
        return True
    if letter.word == "i":
        return False
    if not upper:
        return _small_list(marked, at + 1) or _closes_after_from(marked, at)
    if before in INTO and ((not marked.shouting and at > 1) or before in ("tub", "tank", "into", "from")):
        return True
    strange = after.isalpha() and not phrase_at(marked.words, marked.glued, at + 1)[1] and after not in _AFTER_A_TUB
    if before in INTO and not strange:
        return True
    if after in (":", "", "-", "\n") or (before in ("", "\n", ".", ",") and after in _OF_A_TUB):
        return True
    return not marked.shouting and after in (",", ";", ".", ")", "\n", "") and at > 0


def _small_letter(letter: _Letter) -> bool:
    """Whether a letter written small is a place: "from b", "b c and d", what closes a finding or opens a note."""
    marked, at, word, before = letter.marked, letter.at, letter.word, letter.before
    if _closes_a_finding(marked, at) or _opens_a_note(marked, at):
        return True
    by_id = marked.names.by_id
    place_before = bool(marked.tags) and marked.tags[-1].kind == "place"
    in_a_row = word not in LETTERS_AS_WORDS and (letter.after in by_id or before in by_id)
    if before not in INTO and not place_before and not in_a_row:
        return False
    if word in ("m", "f", "c", "x", "n", "u", "r", "s", "t") and before not in _LEADS:
        return False
    degrees = before == "to" and at > 1 and marked.items[at - 2].num is not None and word in "fc"
    return not degrees


def _capital(letter: _Letter) -> bool:
    """Whether a capital is a place: not the unit after a number, the head of a word or the letter of a name."""
    marked, at, word, before, nxt = letter.marked, letter.at, letter.word, letter.before, letter.follows
    if (word in ("c", "f") and letter.counted) or (nxt and nxt.glued and nxt.num is None and nxt.word.isalpha()):
        return False
    if word in LETTERS_AS_WORDS and word in ("m", "x") and before not in INTO:
        return False
    of_a_name = before and marked.items[at - 1].raw[:1].isupper() and before not in INTO and not is_everyday(before)
    return not of_a_name or bool(phrase_at(marked.words, marked.glued, at - 1)[1])  # Tom B


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
