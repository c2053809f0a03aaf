"""What a short answer left out, for whoever says “more”; on text messages a long answer comes in pieces."""

from __future__ import annotations

from bot.channels.gsm import folded, segments

MORE = frozenset(("more", "show more", "the rest", "and the rest", "show the rest", "more please", "go on"))
MOST_PARTS = 4  # text messages of one answer; longer ones come a piece at a time
PIECE = 3
ASK = "Send: more"


def in_pieces(text: str) -> tuple[str, str]:
    """An answer for text messages: whole, or a first piece cut at a line with what follows it."""
    if segments(folded(text)) <= MOST_PARTS:
        return text, ""
    lines = text.split("\n")
    for most in range(len(lines) - 1, 0, -1):
        piece = "\n".join([*lines[:most], ASK])
        if segments(folded(piece)) <= PIECE:
            return piece, "\n".join(lines[most:])
    return text, ""
