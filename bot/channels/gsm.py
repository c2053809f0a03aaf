"""Text messages in the telephone's own alphabet, and how many of them a text costs.

Alphabet and lengths: 3GPP TS 23.038 (GSM 7-bit default alphabet and its extension table) and TS 23.040.
"""

from __future__ import annotations

import unicodedata

ALPHABET = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
EXTENSION = frozenset("\f^{}\\[~]|€")  # two septets each
SEPTETS, SEPTETS_OF_PART = 160, 153
UNITS, UNITS_OF_PART = 70, 67  # UCS-2

_PLAIN = str.maketrans(
    {
        "‘": "'", "’": "'", "‚": "'", "′": "'", "“": '"', "”": '"', "„": '"', "″": '"', "«": '"', "»": '"',
        "–": "-", "—": "-", "‐": "-", "‑": "-", "−": "-", "•": "-", "·": "-", "…": "...", "×": "x", "°": "",
        "≤": "<=", "≥": ">=", "≈": "about ", "±": "+/-", "→": "->", "←": "<-", "½": "1/2", "¼": "1/4", "¾": "3/4",
        "µ": "u", "μ": "u", "²": "2", "³": "3", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2007": " ",
        "\u200b": "", "\u2060": "", "\ufeff": "", "♂": "male", "♀": "female", "✓": "ok", "\t": " ",
    }
)  # fmt: skip


def folded(text: str) -> str:
    """The text with typographic letters written plainly; a letter of another script stays as it is."""
    out = []
    for letter in text.translate(_PLAIN):
        if letter in ALPHABET or letter in EXTENSION:
            out.append(letter)
            continue
        bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
        out.append(bare if bare and all(c in ALPHABET for c in bare) else letter)
    return "".join(out)


def is_gsm(text: str) -> bool:
    """Whether the telephone's own alphabet is enough."""
    return all(c in ALPHABET or c in EXTENSION for c in text)


def size(text: str) -> int:
    """Septets in GSM 7-bit, else UTF-16 units."""
    if is_gsm(text):
        return sum(2 if c in EXTENSION else 1 for c in text)
    return len(text.encode("utf-16-le")) // 2


def segments(text: str) -> int:
    """How many message parts the text is sent and billed as. A letter of two units is not split between parts."""
    if not text:
        return 0
    gsm = is_gsm(text)
    whole, part = (SEPTETS, SEPTETS_OF_PART) if gsm else (UNITS, UNITS_OF_PART)
    if size(text) <= whole:
        return 1
    parts, used = 1, 0
    for letter in text:
        width = (2 if letter in EXTENSION else 1) if gsm else (2 if ord(letter) > 0xFFFF else 1)
        if used + width > part:
            parts, used = parts + 1, 0
        used += width
    return parts


def shortened(text: str, most: int) -> str:
    """The text in at most `most` parts, cut at a line or word and saying so."""
    if segments(text) <= most:
        return text
    end = " (cut; ask for less)"
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if segments(text[:middle] + end) <= most:
            low = middle
        else:
            high = middle - 1
    piece = text[:low]
    at = max(piece.rfind("\n"), piece.rfind(" "))
    return (piece[:at] if at > low // 2 else piece).rstrip() + end
