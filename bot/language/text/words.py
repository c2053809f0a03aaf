"""Cuts a note into words that remember where they stood, whatever the phone did to its letters."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

# Letters of other alphabets that look like Latin ones (Unicode confusables, the common part).
_LOOKALIKES = str.maketrans(
    "АВЕЅІЈКМНОРСТУХаеѕіјкорсухΑΒΕΖΗΙΚΜΝΟΡΤΥΧοѵԁһ",
    "ABESIJKMHOPCTYXaesijkopcyxABEZHIKMNOPTYXovdh",
)
_SIGNS = {
    "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "‘": "'", "’": "'", "‚": "'", "`": "'", "´": "'",
    "–": "-", "—": "-", "‒": "-", "−": "-", "‐": "-", "‑": "-", "→": ">", "➡": ">", "⇒": ">", "•": "\n", "⁄": "/",
    "❌": "☐", "✗": "☐", "✘": "☐", "♂": " male ", "♀": " female ",
    "☐": "☐", "⬜": "☐", "🔲": "☐", "✅": "✓", "✔": "✓", "☑": "✓", "✓": "✓", "×": "x", "≈": "~", "º": "°", "˚": "°",
}  # fmt: skip
_TOKEN = re.compile(
    r"\n|ev(?:e|)ry1\b|2(?:nite|night|day|moro|morrow)\b|[wW]/[cC]\b|l8(?:e?r)?\b|[gm][r]?8\b|\d+(?:\.\d+)?|\.\d+|[^\W\d_]+(?:'[^\W\d_]+)*|[^\w\s]|_",
)
STOPS = frozenset({".", "!", "?", ";", "\n", "·", "✓", "…"})


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or sign: `word` in lower case, `raw` as written, `start`/`end` in the note itself."""

    word: str
    raw: str
    start: int
    end: int
    glued: bool  # no space before it

    @property
    def is_number(self) -> bool:
        return self.word[-1].isdecimal() and not self.word[0].isalpha()

    @property
    def is_word(self) -> bool:
        return self.word[-1].isalpha() or self.word[0].isalpha()


def normal(text: str) -> tuple[str, list[int]]:
    """The note in plain letters, and for every letter of it the place in the note it came from."""
    out: list[str] = []
    at: list[int] = []
    if text.isascii():
        return text.replace("\r", "\n").replace("\t", " "), list(range(len(text) + 1))
    for n, char in enumerate(text):
        if char in _SIGNS:
            piece = _SIGNS[char]
        elif char.isascii():
            piece = char
        elif char == "\u2028" or char == "\u2029":
            piece = "\n"
        else:
            kind = unicodedata.category(char)
            if kind in ("Cf", "Mn", "Cc", "Cs", "Co", "Cn", "Me"):
                piece = ""
            elif char == "°":
                piece = char
            elif kind == "So" or (kind == "Sk" and ord(char) > 0x1F000):
                piece = "·"
            else:
                piece = unicodedata.normalize("NFKC", char)
                piece = "".join(_SIGNS.get(c, c) for c in piece).translate(_LOOKALIKES)
                if piece[:1].isdigit() and "/" in piece and out and out[-1].isdigit():
                    piece = " " + piece
                if piece[:1].isalpha():
                    bare = unicodedata.normalize("NFD", piece)
                    piece = "".join(c for c in bare if not unicodedata.combining(c))
        piece = piece.replace("\r", "\n").replace("\t", " ")
        out.append(piece)
        at.extend([n] * len(piece))
    at.append(len(text))
    return "".join(out), at


def tokens_of(text: str) -> list[Token]:
    """The words, numbers and signs of a note, in order."""
    plain, at = normal(text)
    found: list[Token] = []
    last = -1
    for hit in _TOKEN.finditer(plain):
        raw = hit[0]
        start, end = hit.start(), hit.end()
        found.append(Token(raw.lower(), raw, at[start], at[end - 1] + 1, start == last))
        last = end
    return found


CURRENCY = {"$": "USD", "£": "GBP", "€": "EUR"}


def code_of(currency: str) -> str:
    """A currency said by its sign or in letters, as ISO 4217 has it."""
    return CURRENCY.get(currency.strip(), currency.strip().upper())
