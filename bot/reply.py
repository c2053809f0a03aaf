"""What goes back for a message: the words, the choices to tap, and what a program is told."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from storage.journal import KeptReply

SAID_ONCE = "(said once and not kept; ask again for another)"
NOTHING = "Nothing to log or answer in that."


@dataclass(frozen=True)
class Reply:
    """One answer, the same for every door."""

    text: str
    outcome: str = "none"
    events: tuple[dict[str, Any], ...] = ()
    options: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    picture: bytes | None = None  # or a page as PDF
    why: tuple[str, ...] = ()  # what the figures in it rest on, for whoever asks
    asking: int | None = None  # the question it ends with
    rest: str = ""  # lines it left out, for whoever says “more”
    secret: str = field(default="", repr=False)  # a part of the text that is said once and not kept

    def payload(self) -> dict[str, Any]:
        """The JSON form of `roomhand say --json`."""
        return {
            "reply": self.text,
            "outcome": self.outcome,
            "events": list(self.events),
            "options": list(self.options),
            "cautions": list(self.cautions),
        }

    @classmethod
    def again(cls, kept: KeptReply) -> Reply:
        """The answer as it was given before."""
        told = kept.payload
        return cls(
            kept.text,
            told.get("outcome", "none"),
            tuple(told.get("events", ())),
            tuple(told.get("options", ())),
            tuple(told.get("cautions", ())),
            why=tuple(told.get("why", ())),
            asking=told.get("asking"),
            rest=told.get("rest", ""),
        )

    def kept(self) -> tuple[str, dict[str, Any]]:
        """The form it is kept in: the text; the JSON form, and what a later “why?”, “more” or answer needs."""
        text = self.text.replace(self.secret, SAID_ONCE) if self.secret else self.text
        more = {"rest": self.rest} if self.rest else {}
        return text, {**self.payload(), "reply": text, "why": list(self.why), "asking": self.asking, **more}
