"""A number that does something is a tank: "9 has 3 males", "14 looks cloudy", "13 is down to 80"."""

from __future__ import annotations

from bot.language.scene import Sentence
from bot.language.text.names import Names

_DOES = frozenset(["has", "holds", "contains", "looks", "reads", "needs", "smells", "seems"])
_IS = frozenset(["down to", "is down to", "at", "back", "cloudy", "full", "clean", "ready", "done"])


def subjects_are_places(sentences: list[Sentence], names: Names) -> None:
    """Make places of the bare numbers that begin a clause and have a verb in the singular after them."""
    for sentence in sentences:
        for part in sentence.parts:
            first, rest = part.tags[0] if part.tags else None, part.tags[1:3]
            if first is None or first.kind != "num" or len(rest) < 2 or first.low is not None or first.claimed:
                continue
            does = (
                rest[0].word in _DOES or (rest[0].word == "is" and rest[1].word in _IS) or rest[0].word == "is down to"
            )
            its = names.by_id.get(f"{first.value:g}", ()) if does else ()
            if len(its) == 1:
                first.kind, first.value, first.note = "place", its, "bare"
