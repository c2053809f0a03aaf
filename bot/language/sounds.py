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
