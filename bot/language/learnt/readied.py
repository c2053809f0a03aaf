"""The tags of a note as the net is shown them: lists taken apart, and short words for what they may be short for.

It weighs whatever a stretch may mean, so here a note may be read more freely than by the rules. The tags given are
left as they are.
"""

from __future__ import annotations

import datetime as dt
import difflib
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from bot.language.learnt.moments import moments
from bot.language.learnt.values import stands_for_the_rest
from bot.language.tags import Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.names import SOUND_LETTERS, Names
from bot.language.text.vocabulary import LEXICON
from bot.language.times.days import Day

_BETWEEN = frozenset([",", "/", ":", ";", "=", "&", "\n", "-", ">"])
_MOST_IN_A_ROW = 12
_COLDEST_F = 33  # no water is ice
_COLDEST_C = 13  # nor is a fish room so cold
_NO_DAY = 3
_LONGEST_MONTH = 31


def readied(tags: Sequence[Tag], names: Names, sent: dt.datetime) -> list[Tag]:
    """The tags, each that is several at once taken apart, each short word with what it may stand for."""
    out: list[Tag] = []
    warm = any(map(_tells_of_warmth, tags))
    lit = any(tag.says("item", "light") or tag.word in ("timer", "timers") for tag in tags)
    for tag in moments(tags, sent):
        out += (
            _dated(tag, sent)
            or _day_of_month(tag)
            or _apart(tag)
            or _not_degrees(tag, names)
            or ([] if warm else _too_cold(tag, names))
            or _run_together(tag, names)
            or (_lit_for(tag) if lit else [])
            or _heated_to(tag)
            or [tag]
        )
    out = _no_tanks(out)
    out = [_halved(out, n) for n in range(len(out))]
    out = [_behind_a_time(out, n) for n in range(len(out))]
    out = [_spelt_out(tag, names) for tag in _rows(_pairs(_numbered(out), names), names)]
    return [_grouped(out, n) for n in range(len(out))]


def _halved(tags: Sequence[Tag], n: int) -> Tag:
    """Six of "half dozen"."""
    tag = tags[n]
    half = n and tag.word == "dozen" and tag.kind == "num" and tags[n - 1].word == "half"
    return _number(tag, tag.value / 2) if half else tag


def _behind_a_time(tags: Sequence[Tag], n: int) -> Tag:
    """The figure right behind a time of day: "8am 3, 12pm 5"."""
    tag, before = tags[n], tags[n - 1] if n else None
    timed = before is not None and before.kind == "clock" and before.value.half
    bare = tag.kind == "clock" and not tag.value.half and not tag.value.minute and tag.word.isdigit()
    return _number(tag, float(tag.value.hour)) if timed and bare else tag


def _place(tag: Tag, name: str) -> Tag:
    return replace(tag, kind="place", value=(name,), word=name.split()[-1].lower(), senses={}, low=None, unit="")


def _number(tag: Tag, value: float) -> Tag:
    return replace(tag, kind="num", value=float(value), word=f"{value:g}", senses={}, low=None, unit="")


def _numbered(tags: Sequence[Tag]) -> list[Tag]:
    """The tags, the figure of "number 12" a number again: in this room it may be the tank's."""
    before = ["", *(tag.word for tag in tags)]
    idle = [tag.note == "idle" and isinstance(tag.value, float) and before[n] == "number" for n, tag in enumerate(tags)]
    return [replace(_number(tag, tag.value), note="") if its else tag for tag, its in zip(tags, idle, strict=True)]


def _apart(tag: Tag) -> list[Tag]:
    """The places of a list: "A, B and D", "t2, B"; one that spans them, "A-D", says them all at once."""
    if tag.kind != "place" or not tag.value or not 1 < len(tag.value) <= tag.upto - tag.at:
        return []
    return [_place(tag, name) for name in tag.value]


def _dated(tag: Tag, sent: dt.datetime) -> list[Tag]:
    """The numbers of "8/9/10", which is a list unless its last is the year."""
    figures = tag.word.split(" / ")
    if tag.kind != "day" or len(figures) != 3 or not all(map(str.isdigit, figures)):
        return []
    if int(figures[2]) % 100 in range(sent.year % 100 - 1, sent.year % 100 + 2):
        return []
    return [_number(tag, int(figure)) for figure in figures]


def _day_of_month(tag: Tag) -> list[Tag]:
    """The day of "the 28th", in figures; what is the first or the second of something is seldom a day."""
    if tag.kind != "ordinal" or not tag.word.isdigit() or not _NO_DAY < tag.value <= _LONGEST_MONTH:
        return []
    return [replace(tag, kind="day", value=Day(monthday=int(tag.value)))]


def _not_degrees(tag: Tag, names: Names) -> list[Tag]:
    """The tub of "1 F", too cold to be degrees."""
    tubs = names.by_id.get("f", ())
    if tag.kind != "deg" or tag.unit != "f" or tag.low is not None or tag.value >= _COLDEST_F or len(tubs) != 1:
        return []
    return [_number(tag, tag.value), _place(tag, tubs[0])]


def _too_cold(tag: Tag, names: Names) -> list[Tag]:
    """The tub of "1 C", too cold to be degrees where no warmth is told of."""
    tubs = names.by_id.get("c", ())
    if tag.kind != "deg" or tag.unit != "c" or tag.low is not None or tag.value >= _COLDEST_C or len(tubs) != 1:
        return []
    return [_number(tag, tag.value), _place(tag, tubs[0])] if tag.value == int(tag.value) >= 0 else []


def _tells_of_warmth(tag: Tag) -> bool:
    warm = tag.kind == "deg" and (tag.unit == "f" or tag.low is not None or tag.value >= _COLDEST_C)
    return warm or tag.says("quantity", "temperature") or tag.says("item", "heater")


def _run_together(tag: Tag, names: Names) -> list[Tag]:
    """The tubs of "abc", their letters written as one, in order."""
    letters = tag.word
    if tag.kind != "word" or not 2 < len(letters) < 6 or list(letters) != sorted(set(letters)) or is_everyday(letters):
        return []
    found = [names.by_id.get(letter, ()) if letter.isalpha() else () for letter in letters]
    return [_place(tag, places[0]) for places in found] if all(len(places) == 1 for places in found) else []


def _lit_for(tag: Tag) -> list[Tag]:
    """The tank and the hours of "lights: 4 to 9 hours", where it is lights that are told of."""
    if tag.kind != "dur" or tag.unit != "hour" or tag.low is None or tag.low != int(tag.low):
        return []
    low = replace(_number(tag, tag.low), note="")
    return [low, replace(low, kind="word", word="to", value="to"), replace(tag, low=None, word=f"{tag.value:g}")]


def _heated_to(tag: Tag) -> list[Tag]:
    """The tank and the degrees of "the heater in 4 to 25.5 °C": no water is heated from so cold."""
    cold = tag.kind == "deg" and tag.low is not None and 0 < tag.low < _COLDEST_HEATED and tag.low == int(tag.low)
    if not cold or tag.low is None:
        return []
    low = _number(tag, tag.low)
    return [low, replace(low, kind="word", word="to", value="to"), replace(tag, low=None, word=f"{tag.value:g}")]


_COLDEST_HEATED = 17


def _no_tanks(tags: Sequence[Tag]) -> list[Tag]:
    """The tags, a reading that was taken for a tank's name set free again: "the cory tank 74", "tank P H"."""
    out: list[Tag] = []
    for n, tag in enumerate(tags):
        name = tag.note.removeprefix("?").split() if tag.kind == "place" and tag.note.startswith("?") else []
        after = tags[n + 1].word if n + 1 < len(tags) else ""
        fish = bool(n) and tags[n - 1].kind == "line" and name[1:] and name[1].isdigit()
        if len(name) != 2 or not (fish or (name[1].lower() == "p" and after == "h")):
            out.append(tag)
            continue
        tank = replace(tag, kind="lex", word="tank", value=None, note="", senses={"noun": frozenset(["tank"])})
        letter = replace(tag, kind="word", word="p", value="p", note="")
        out += [tank, replace(_number(tag, float(name[1])), note="") if fish else letter]
    return out


def _pairs(tags: list[Tag], names: Names) -> list[Tag]:
    """Ranges that can be none, said in a row: each a place and its number, "1-7 2-11 3-24"."""
    for n, (one, other) in enumerate(itertools.pairwise(tags)):
        if not (_is_range(one) and _is_range(other)):
            continue
        spans = all(f"{end:g}" in names.by_id for tag in (one, other) for end in (tag.low or 0, tag.value))
        if not spans or (other.low or 0) <= one.value:
            row = list(itertools.takewhile(_is_range, tags[n:]))
            return [*tags[:n], *(each for tag in row for each in _cut(tag)), *tags[n + len(row) :]]
    return tags


def _cut(tag: Tag) -> list[Tag]:
    low = _number(tag, tag.low or 0)
    return [low, replace(low, kind="punct", word="-", value="-"), _number(tag, tag.value)]


def _is_range(tag: Tag) -> bool:
    return tag.kind == "num" and tag.low is not None and tag.low == int(tag.low) and tag.value == int(tag.value)


def _rows(tags: list[Tag], names: Names) -> Iterator[Tag]:
    """The places of "1-3: 4, 11, 15", with as many numbers behind."""
    for n, tag in enumerate(tags):
        spanned = _spanned(tags, n, names)
        behind = [t for t in _behind(tags, n + 1) if t.low is None] if spanned else []
        if not spanned or len(behind) != len(spanned):
            yield tag
        else:
            yield from (_place(tag, place) for place in spanned)


def _spanned(tags: Sequence[Tag], n: int, names: Names) -> list[str]:
    """The places from one to another: "1-3", "A-C"."""
    tag = tags[n]
    if tag.kind == "place":
        return list(tag.value) if tag.value and len(tag.value) > 1 else []
    if not _is_range(tag) or not 1 <= tag.value - (tag.low or 0) < _MOST_IN_A_ROW:
        return []
    found = [names.by_id.get(str(number), ()) for number in range(int(tag.low or 0), int(tag.value) + 1)]
    return [places[0] for places in found] if all(len(places) == 1 for places in found) else []


def _behind(tags: Sequence[Tag], start: int) -> Iterator[Tag]:
    """The numbers in a row behind a stretch, but for a word or two."""
    said = 0
    for n in range(start, len(tags)):
        tag = tags[n]
        if tag.kind in ("num", "deg", "pct"):
            said += 1
            yield tag
        elif tag.kind == "stop" or (tag.word not in _BETWEEN and (said or n - start > 2)):
            return


# ---- short words


def _spelt_out(tag: Tag, names: Names) -> Tag:
    """A word that is nothing else with what it may be short for: "gul", "pwd", "all" of all there are."""
    if tag.word == "grownups":
        return replace(tag, kind="lex", value=None, senses={"group": frozenset(["all adults"])})
    heads = names.head_words.get(tag.word, ()) if tag.word.endswith("s") else ()
    if (
        len(heads) == 1
        and "group" not in tag.senses
        and (tag.kind in ("word", "lex") or (tag.kind == "place" and not tag.value))
    ):
        return replace(tag, kind="lex", value=None, senses={**tag.senses, "group": frozenset([f"all {heads[0]}s"])})
    if tag.says("noun", "fry") and tag.says("cue", "feed"):  # "the last fry feed"
        return replace(tag, senses={**tag.senses, "group": frozenset(["all fry"])})
    if tag.kind == "word" and not tag.senses and (sense := _owning(tag.word)):
        return replace(tag, senses={sense[0]: frozenset([sense[1]])})
    if tag.kind == "lex" and not tag.senses and len(lines := _lines_cut_short(tag.word, names)) == 1:
        return replace(tag, kind="line", value=lines.pop())  # "4 lamp", which is no light
    if tag.kind != "word" or tag.senses or not tag.word.isalpha():
        return tag
    if tag.word in _FED_TO_CULTURES:
        return replace(tag, senses={"noun": frozenset(["culture food"])})
    if tag.word == "all":
        return replace(tag, senses={"group": frozenset(["all"])})
    if tag.word == "box":
        return replace(tag, senses={"item": frozenset(["box filter"])})
    if len(tag.word) < 3 or (is_everyday(tag.word) and len(tag.word) < 4):
        return _short(tag, names)
    word = tag.word.removesuffix("s")
    if len(lines := _lines_cut_short(tag.word, names)) == 1:
        return replace(tag, kind="line", value=lines.pop())
    sense = (_short_for(word) or _misspelt(tag.word)) if not is_everyday(tag.word) else None
    return replace(tag, senses={sense[0]: frozenset([sense[1]])}) if sense else tag


def _lines_cut_short(word: str, names: Names) -> set[tuple[str, ...]]:
    """The lines that a word may be short for: "gul", "fork" of "forkies", "lmp" without its vowels."""
    stems = [word.removesuffix("s")]
    if (called := _called(word)) and not is_everyday(word):
        stems.append(called)
    stems = [stem for stem in stems if len(stem) > _FEW_LETTERS]
    found = {means for said, means in names.line_prefix.items() for stem in stems if said.startswith(stem)}
    if found or is_everyday(word) or set(word[1:]) & set("aeiouy"):
        return found
    others = [said for bare, said in _without_vowels() if bare.startswith(word)]
    return {
        means
        for said, means in names.line_prefix.items()
        for stem in stems
        if said[0] == stem[0] and _within(stem, said) and all(map(said.startswith, others))
    }  # "cln" is "cleaned" and "flt" a filter before it is any fish


_FEW_LETTERS = 2


@lru_cache(maxsize=1)
def _without_vowels() -> list[tuple[str, str]]:
    """The words for deeds and for things, each behind what is left of it without its vowels."""
    sorts = _SHORTENED | {"cue"}
    words = [said for (said, *more), entries in LEXICON.items() if not more and any(e[0] in sorts for e in entries)]
    return [("".join(letter for letter in said if letter not in "aeiou"), said) for said in words]


def _grouped(tags: Sequence[Tag], n: int) -> Tag:
    """A word that stands for all with the words around it: "every fish", "every single tank", "flake for the rest"."""
    tag, before = tags[n], [t.word for t in tags[max(0, n - 2) : n]]
    every = before[-1:] == ["every"] or before == ["every", "single"]
    rest = tag.kind == "word" and not tag.senses and stands_for_the_rest(tags, n)
    if rest or (every and tag.word in ("fish", "tank")):
        return replace(tag, senses={**tag.senses, "group": frozenset(["all"])})
    return tag


def _owning(word: str) -> tuple[str, str] | None:
    """The food or the group of "the daphnia's gone", "everybody's had flake"; worms of "E wormed", "a worm culture"."""
    if word in _WORMED:
        return "food", "microworms"
    one = not is_everyday(word) and len(word) > 2
    said = LEXICON.get((word.removesuffix("'s"),), []) if word.endswith("'s") else []
    said = said or (LEXICON.get((word + "s",), []) if one else [])  # "eel", "micro"
    return next((entry for entry in said if entry[0] in ("food", "group")), None)


_FED_TO_CULTURES = frozenset(["oat", "oats", "oatmeal", "yeast", "bread", "apple", "cornmeal"])
_WORMED = frozenset(["worm", "wormed", "worm'd"])


def _called(word: str) -> str:
    """What is left of a pet name: "fork" of "forkies", "gard" of "gardies"."""
    ending = next((end for end in _PET_ENDINGS if word.endswith(end)), "")
    return word.removesuffix(ending) if ending and len(word) - len(ending) > 2 else ""


_PET_ENDINGS = ("ies", "eys", "ys", "os", "ers", "ie", "ey", "y", "o")


def _short(tag: Tag, names: Names) -> Tag:
    """A trio of "tr", the one line or food that two letters may be short for: "ga", "ck", "fl", "pw"."""
    if tag.word == "tr":
        return replace(tag, senses={"noun": frozenset(["trio"])})
    if len(tag.word) != 2 or is_everyday(tag.word) or tag.word in SOUND_LETTERS:
        return tag
    lines = {means for said, means in names.line_prefix.items() if said.startswith(tag.word)}
    if len(lines) == 1:
        return replace(tag, kind="line", value=lines.pop())
    food = _food_of_two(tag.word)
    return replace(tag, senses={"food": frozenset([food])}) if food else tag


@lru_cache(maxsize=2048)
def _food_of_two(letters: str) -> str:
    """The only food whose name begins with two letters, or has them as its first consonants: "da", "pw"."""
    names = [(said[0], e[1]) for said, entries in LEXICON.items() if len(said) == 1 for e in entries if e[0] == "food"]
    names = [(name, food) for name, food in names if len(name) > 3 and name.isalpha()]
    found = {food for name, food in names if name.startswith(letters)}
    if not found and letters[1] not in "aeiou":
        found = {food for name, food in names if name[0] == letters[0] and name[1:].lstrip("aeiou")[:1] == letters[1]}
    return found.pop() if len(found) == 1 else ""


_SHORTENED = frozenset(["food", "substance", "item"])


@lru_cache(maxsize=2048)
def _short_for(word: str) -> tuple[str, str] | None:
    """What a word cut short or left without its vowels can only stand for: "pow", "pwd", "filt"."""
    bare = len(word) > 2 and not set(word[1:]) & set("aeiou")
    found = {
        entry
        for (said, *more), entries in LEXICON.items()
        if not more and len(said) > len(word) + 1 and said.isalpha() and said[0] == word[0]
        if (len(word) > 2 and said.startswith(word)) or (bare and _within(word, said))
        for entry in entries
        if entry[0] in _SHORTENED
    }
    if len({(sort, meant.rstrip("s")) for sort, meant in found}) != 1:
        return None
    return min(found)  # one of "wafer" and "wafers"


@lru_cache(maxsize=2048)
def _misspelt(word: str) -> tuple[str, str] | None:
    """The food that a word of some length is one slip or two away from: "pelet", "daphni"."""
    if len(word) < _LONG:
        return None
    foods = _foods(word[0])
    found = difflib.get_close_matches(word, foods, n=1, cutoff=_ALIKE)
    return foods[found[0]] if found else None


@lru_cache(maxsize=64)
def _foods(letter: str) -> dict[str, tuple[str, str]]:
    return {
        said: entry
        for (said, *more), entries in LEXICON.items()
        if not more and len(said) >= _LONG and said[0] == letter
        for entry in entries
        if entry[0] == "food"
    }


_LONG, _ALIKE = 5, 0.8


def _within(word: str, said: str) -> bool:
    """Whether the letters of a word stand in another in their order."""
    rest = iter(said)
    return all(letter in rest for letter in word)
