"""How words sound, for names a phone has misheard."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from functools import lru_cache


@lru_cache(maxsize=8192)
def sound(text: str) -> str:
    """How a word sounds, roughly: voiced and unvoiced consonants alike, vowels and repeats dropped."""
    word = re.sub(r"[^a-z]", "", text.lower())
    for old, new in (("ough", "f"), ("ph", "f"), ("gh", "g"), ("ck", "k"), ("sch", "s"), ("sh", "s"), ("ch", "s"), ("th", "t"), ("wr", "r"), ("kn", "n"), ("qu", "k"), ("x", "ks"), ("dg", "s"), ("wh", "w")):  # fmt: skip
        word = word.replace(old, new)
    word = re.sub(r"c(?=[eiy])", "s", word)
    word = word.translate(str.maketrans("bdgvzjcq", "ptkfsskk"))
    word = word[:1] + re.sub(r"[aeiouyhw]", "", word[1:])
    if word[:1] in "aeiouyhw":
        word = "a" + word[1:]
    return re.sub(r"(.)\1+", r"\1", word)


_SPELT = (("eigh", "a"), ("augh", "o"), ("ough", "o"), ("igh", "i"), ("eye", "i"), ("tch", "c"), ("sch", "sk"), ("ph", "f"), ("ck", "k"), ("qu", "kw"), ("x", "ks"), ("sh", "c"), ("ch", "c"), ("th", "t"), ("wr", "r"), ("kn", "n"), ("wh", "w"), ("gh", "g"), ("dg", "j"), ("dh", "d"))  # fmt: skip
_VOWELS = re.compile(r"[aeiouyw]*[iy][aeiouyw]*|[ea]+e?|[eo]+|[aou]w?|[aeiouyw]+")
_NEAR = frozenset(frozenset(pair) for pair in ("bp", "dt", "gk", "vf", "sj", "jc", "sc", "mn", "lr", "kc"))


@lru_cache(maxsize=8192)
def phones(text: str) -> str:
    """How words are spoken, roughly, vowels kept as one of three: an "r" or "e" that ends a word is not heard."""
    out = []
    for word in text.lower().split():
        for old, new in _SPELT:
            word = word.replace(old, new)
        word = re.sub(r"c(?=[eiy])", "s", word).replace("q", "k").replace("z", "s")
        word = re.sub(r"(?<=[aeiouy])r$", "", re.sub(r"^y", "j", word))
        out.append(re.sub(r"(?<=[bcdfgklmnprstvj])e$", "", word) if len(word) > 3 else word)

    def vowel(hit: re.Match[str]) -> str:
        run = hit[0]
        return "i" if "y" in run or run[-1] == "i" or run in ("ee", "ea", "ie") else "e" if "e" in run else "a"

    return re.sub(r"(.)\1+", r"\1", _VOWELS.sub(vowel, "".join(out)).replace("h", ""))


@lru_cache(maxsize=8192)
def alike(one: str, two: str) -> float:
    """How much two stretches of words sound alike, 1 for the same: vowels and kindred consonants count for less."""
    a, b = phones(one), phones(two)

    def cost(char: str) -> float:
        return 0.35 if char in "aei" else 0.45 if char == "r" else 0.9

    row = [0.0]
    for char in b:
        row.append(row[-1] + cost(char))
    for x in a:
        new = [row[0] + cost(x)]
        for n, y in enumerate(b):
            swap = 0.0 if x == y else 0.25 if x in "aei" and y in "aei" else 0.4 if frozenset((x, y)) in _NEAR else 1.2
            new.append(min(row[n] + swap, row[n + 1] + cost(x), new[n] + cost(y)))
        row = new
    return 1 - row[-1] / max(len(a), len(b), 1)
