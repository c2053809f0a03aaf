"""What a phone's word may be as it sounds: the letter of a tub, the number of a tank, a count."""

from __future__ import annotations

from collections.abc import Sequence

from bot.language.tags import Tag
from bot.language.text.figures import SOUNDS, UNITS
from bot.language.text.names import SOUND_LETTERS, Names

# Words that mostly are what they say; they sound like a letter or a number only where one is waited for.
_PLAIN = frozenset("to too for free be he she see you are oh why hey hay bea age am em so tree tin eye".split())  # noqa: SIM905
_LEADS = frozenset("in into from to on of and & number or with plus out at".split())  # noqa: SIM905
UPTO = frozenset(["to", "through", "thru", "threw", "till", "until", "-"])  # between the first and the last of a row
_ALSO = {"hay": "a", "bea": "b"}  # heard so too, but only where a letter is waited for
_NO_LETTER = frozenset(["she", "am", "so", "sex"])
_COUNTED = ("eggs", "fry", "juveniles", "adults", "fish", "male", "female", "pair", "trio")


def sounds_like(tag: Tag) -> str:
    """The letter or number a word sounds like: "b" of "bee", "8" of "ate", "13" of "thirteen's"; empty for none."""
    if tag.kind not in ("word", "lex", "person") or tag.word in _NO_LETTER:
        return ""
    word = tag.word.removesuffix("'s")
    if word != tag.word:
        if word in _PLAIN or word == "one":
            return ""
        if word in UNITS or len(word) == 1:
            return str(UNITS.get(word, word))
    letter = (_ALSO.get(word) or SOUND_LETTERS.get(word, "")) if len(word) > 1 else ""
    return letter or (str(SOUNDS[word]) if word in SOUNDS else "")


def may_be_heard(tags: Sequence[Tag], at: int, names: Names) -> bool:
    """Whether a word may be a place or a count by its sound alone."""
    return place_heard(tags, at, names) is not None or number_heard(tags, at) is not None


def place_heard(tags: Sequence[Tag], at: int, names: Names) -> str | None:
    """The one place whose letter or number a word sounds like: "from see", "tank for"."""
    tag = tags[at]
    found = names.by_id.get(sounds_like(tag), ())
    if len(found) != 1:
        return None
    return found[0] if tag.word not in _PLAIN or _waited_for(tags, at) else None


def batch_heard(tags: Sequence[Tag], at: int, names: Names) -> str | None:
    """The batch that a number behind a spoken letter names: "bee nineteen"; none where it may be a tank as well."""
    tag, before = tags[at], tags[at - 1] if at else None
    if before is None or tag.kind != "num" or tag.low is not None or tag.value != int(tag.value):
        return None
    number, letter = str(int(tag.value)), before.word if len(before.word) == 1 else sounds_like(before)
    unsure = number in names.by_id and (before.word in _PLAIN or letter == "a")
    name = f"{letter}{number}".upper()
    return name if letter.isalpha() and not unsure and name in names.batch_of else None


def _waited_for(tags: Sequence[Tag], at: int) -> bool:
    before = tags[at - 1] if at else None
    after = tags[at + 1] if at + 1 < len(tags) else None
    letter = sounds_like(tags[at]).isalpha()
    if letter and after is not None and after.kind == "num" and tags[at].word not in ("he", "you", "are"):
        return True  # "hey one bee four see zero"
    last = tags[at + 2] if at + 2 < len(tags) else None
    if letter and last is not None and tags[at + 1].word in UPTO and sounds_like(last).isalpha():
        return True  # "hey through dee"
    if before is None:
        return False
    led = (
        before.says("noun", "tank")
        or before.word.split(" ")[-1] in _LEADS
        or (letter and before.kind in ("place", "punct"))
    )
    return led and not (before.word in ("to", "and", "at", "with") and tags[at].word in ("to", "for", "he", "you"))


def number_heard(tags: Sequence[Tag], at: int) -> int | None:
    """How many a word sounds like, where something is counted behind it: "for eggs", "sicks from 5"."""
    tag = tags[at]
    said = sounds_like(tag)
    if not said.isdigit() or tag.word.endswith("'s"):
        return None
    if at and tags[at - 1].word == "," and tag.word in _PLAIN:
        return None  # "a quart, for fry"
    if at and tag.word == "free" and tags[at - 1].word in ("a", "for"):
        return None
    after = tags[at + 1] if at + 1 < len(tags) else None
    if after is None or after.kind == "stop":
        counts = tag.word not in _PLAIN
    else:
        counts = (
            (after.says("noun", *_COUNTED) and after.word not in ("them", "they"))
            or after.says("unit")
            or after.kind in ("line", "pct")
        )
        counts = counts or after.says("cue", "bad", "dead", "eyed", "bad_weak")
        counts = counts or (tag.word not in _PLAIN and after.word in ("from", "in", "of", "out"))
    return int(said) if counts else None


def value_heard(tags: Sequence[Tag], at: int) -> float | None:
    """A reading said in two: "one ninety" is 190, "an inch and a quarter" so many millimetres."""
    tag, behind = tags[at], [t for t in tags[at + 1 : at + 4] if t.word != "a"]
    if tag.kind == "num" and tag.note == "spelled" and behind and behind[0].kind == "num" and tag.low is None:
        tens = behind[0].value if behind[0].note == "spelled" else 0
        return float(tag.value * 100 + tens) if 1 <= tag.value <= 9 and 10 <= tens <= 99 else None
    if tag.kind == "len" and len(behind) > 1 and behind[0].word == "and" and behind[1].kind == "frac":
        return round(float(tag.value) + _INCH * float(behind[1].value) / 100, 1)
    return None


_INCH = 25.4  # mm


def can_be_heard(tags: Sequence[Tag], at: int, key: str, value: object, names: Names, *, sure: bool) -> bool:
    """Whether a word may say a value of an event by its sound; a plain word where nothing else surely says it."""
    if sure and tags[at].word in _PLAIN:
        return False
    if key in ("place", "places", "to", "from", "except"):
        return place_heard(tags, at, names) == value or (
            key != "except" and _place_of(batch_heard(tags, at, names), names) == value
        )
    if key == "value" and isinstance(value, int | float):
        said = value_heard(tags, at)
        return said is not None and abs(said - value) < 1
    if key == "batch":
        return batch_heard(tags, at, names) == value
    return key in ("count", "male", "female", "percent", "amount") and number_heard(tags, at) == value


def _place_of(batch: str | None, names: Names) -> str:
    return names.batch_of[batch].place if batch is not None else ""
