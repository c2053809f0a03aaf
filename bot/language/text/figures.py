"""Numbers as people say them: figures, words, dozens, fractions, and the mishearings of a dictating phone."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from bot.language.text.apart import ratio
from bot.language.text.sounds import sound
from bot.language.text.words import Token

UNITS = {w: n for n, w in enumerate(["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"])}  # fmt: skip
TENS = {
    w: 10 * n for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)
}
TENS["fourty"] = 40
SOUNDS = {
    "to": 2,
    "too": 2,
    "for": 4,
    "fore": 4,
    "ate": 8,
    "won": 1,
    "tin": 10,
    "sicks": 6,
    "sex": 6,
    "fife": 5,
    "tree": 3,
    "free": 3,
    "nein": 9,
    "tenth": 10,
    "elven": 11,
    "forteen": 14,
}
FRACTIONS = {"half": 50.0, "third": 100 / 3, "quarter": 25.0, "fifth": 20.0, "thirds": 100 / 3, "quarters": 25.0}
ORDINALS = {w: n for n, w in enumerate(["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth", "twentieth"], 1)}  # fmt: skip


@lru_cache(maxsize=1024)
def number_heard(word: str) -> int | None:
    """The one number up to twenty that a word where a tank's number belongs sounds like ("tank tan"); None for none."""
    heard = sound(word)
    near = [n for w, n in UNITS.items() if n > 1 and sound(w) == heard and ratio(w, word) >= 60]
    return near[0] if len(near) == 1 and len(heard) > 1 else None


_COUNTED_NEXT = frozenset(
    ["", ".", ",", "eggs", "egg", "fry", "juveniles", "juvies", "fish", "percent", "degrees", "left", "now"]
)


@dataclass(frozen=True, slots=True)
class Item:
    """A word, or a number whatever it was written as, with the tokens it stands for."""

    word: str  # mended, lower case; for a number its figures
    raw: str
    num: float | None
    first: int
    last: int  # index of the last token, inclusive
    glued: bool
    spelled: bool = False  # a number written as a word

    @property
    def whole(self) -> int | None:
        return int(self.num) if self.num is not None and self.num == int(self.num) else None


def _small(words: list[str], at: int) -> tuple[int, float] | None:
    """A number below a hundred in words: how many words, and its value."""
    word = words[at]
    if word in TENS:
        value = float(TENS[word])
        nxt = at + 1
        if nxt < len(words) and words[nxt] == "-":
            nxt += 1
        if nxt < len(words) and 1 <= UNITS.get(words[nxt], 0) <= 9:
            return nxt + 1 - at, value + UNITS[words[nxt]]
        after = words[nxt + 1] if nxt + 1 < len(words) else ""
        if (
            nxt < len(words)
            and words[nxt] in ("to", "for", "fore", "ate")
            and (
                after in _COUNTED_NEXT
                or (words[nxt] == "ate" and after in ("in", "at", "on", "today", "this", "and", "from"))
            )
        ):
            return nxt + 1 - at, value + SOUNDS[words[nxt]]  # "seventy for", "eighty to juveniles"
        if nxt == at + 1 and nxt < len(words) and words[nxt] in ("too", "tree", "sicks", "fife", "nein", "won"):
            return 2, value + SOUNDS[words[nxt]]
        return 1, value
    if word in UNITS:
        return 1, float(UNITS[word])
    return None


def _digits_at(words: list[str], at: int) -> str:
    """The figures said one by one from a word on, the first as it may sound: "two five", "ate"."""
    digits = ""
    while at < len(words):
        heard = SOUNDS.get(words[at], 10) if not digits else 10
        digit = UNITS.get(words[at], heard)
        if digit > 9:
            break
        digits, at = digits + str(digit), at + 1
    return digits


def spelled_at(words: list[str], at: int) -> tuple[int, float] | None:
    """A number in words that begins here: "thirty seven", "a dozen", "two hundred and five", "seven point two"."""
    word = words[at]
    after = words[at + 1] if at + 1 < len(words) else ""
    third = words[at + 2] if at + 2 < len(words) else ""
    if word == "point" and after in UNITS and (digits := _digits_at(words, at + 1)):  # "point two five"
        return 1 + len(digits), float(f"0.{digits}")
    if word == "half" and after == "a" and third == "dozen":
        return 3, 6.0
    if word in ("a", "another") and after == "dozen" and list(words[at + 2 : at + 5]) == ["and", "a", "half"]:
        return 5, 18.0
    if word in ("a", "another") and after in ("dozen", "couple", "hundred"):
        size = {"dozen": 12.0, "couple": 2.0, "hundred": 100.0}[after]
        return (3 if third == "of" and after == "couple" else 2), size
    if word == "dozen":
        return 1, 12.0
    if word == "couple":
        return (2 if after == "of" else 1), 2.0
    if after == "teen" and (
        base := {"for": 4, "four": 4, "six": 6, "seven": 7, "eight": 8, "ate": 8, "nine": 9, "thir": 3, "fif": 5}.get(
            word
        )
    ):
        return 2, 10.0 + base
    got = _small(words, at)
    if got is None:
        return None
    size, value = got
    nxt = words[at + size] if at + size < len(words) else ""
    if nxt == "dozen":
        return size + 1, value * 12
    if nxt in ("hundred", "thousand"):
        value *= 100 if nxt == "hundred" else 1000
        size += 1
        more = at + size
        if more < len(words) and words[more] == "and":
            more += 1
        rest = _small(words, more) if more < len(words) else None
        if rest:
            return more + rest[0] - at, value + rest[1]
        return size, value
    if nxt == "point" and (digits := _digits_at(words, at + size + 1)):
        return size + 1 + len(digits), float(f"{int(value)}.{digits}")
    return size, value


def items_of(tokens: list[Token], words: list[str]) -> list[Item]:
    """Words with their numbers joined; `words` are the tokens' mended forms."""
    out: list[Item] = []
    at = 0
    while at < len(tokens):
        token = tokens[at]
        if token.is_number:
            value = float(token.word)
            last = at
            if (  # 1,200
                at + 2 < len(tokens)
                and tokens[at + 1].word == ","
                and tokens[at + 1].glued
                and tokens[at + 2].glued
                and tokens[at + 2].word.isdigit()
                and len(tokens[at + 2].word) == 3
                and len(token.word) <= 3
                and "." not in token.word
                and token.word != "0"
            ):
                value = float(token.word + tokens[at + 2].word)
                last = at + 2
            out.append(Item(token.word, token.raw, value, at, last, token.glued))
            at = last + 1
            continue
        got = spelled_at(words, at) if token.is_word else None
        if got:
            size, value = got
            text = str(int(value)) if value == int(value) else str(value)
            out.append(Item(text, " ".join(words[at : at + size]), value, at, at + size - 1, token.glued, True))
            at += size
            continue
        heard = 8.0 if words[at] == "ate" and _counts_up(out) else None
        out.append(Item("8" if heard else words[at], token.raw, heard, at, at, token.glued, heard is not None))
        at += 1
    return out


def _counts_up(before: list[Item]) -> bool:
    """Whether numbers in words lead up to an eight: "six, seven and ate"."""
    if len(before) < 2 or before[-1].word not in ("and", "&") or not before[-2].spelled:
        return False
    return before[-2].whole is not None and 0 < before[-2].whole < 8
