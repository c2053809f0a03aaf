"""A small ear over the real book, so that what a door does is tested apart from what is said."""

from __future__ import annotations

import re
import time
from typing import Any

from bot.channels.doorstep import Line
from shared.events import EggsPulled, Remarked
from storage.journal import Message, RoomBook


def plain_ear(
    book: RoomBook,
    message: Message,
    *,
    about: str | None = None,
    edited: str | None = None,
    picture: bytes | None = None,
) -> Line:
    """Logs every note as a remark, answers “kept: …”; a few words make it do other things."""
    with book.turn(message) as turn:
        if turn.earlier is not None:
            return Line(turn.earlier.text, tuple(turn.earlier.payload.get("options", ())))
        text = message.text
        options: tuple[str, ...] = ()
        brought, picture = picture, None
        if text == "which":
            said, options = "Which tank?", ("tank 3", "tank 5")
        elif text == "slow":
            time.sleep(0.5)
            said = "that took a while"
        elif text == "page":
            said, picture = "a record", b"%PDF-1.4 not really"
        elif text == "picture":
            said, picture = "a chart", b"\x89PNG not really"
        elif text == "fault":
            raise RuntimeError(f"a fault that quotes {text}")
        elif found := re.fullmatch(r"long (\d+)", text):
            said = "\n".join(f"line {i} of a long answer" for i in range(int(found[1])))
        elif text == "help":
            said = "help is this"
        else:
            if number := re.search(r"(\d+) eggs", text):
                turn.append(EggsPulled(count=int(number[1])), at=message.sent)
            else:
                turn.append(Remarked(text=text), at=message.sent)
            said = f"kept: {text}"
            said += f" (about {about})" if about else ""
            said += f" (edit of {edited})" if edited else ""
            said += f" (a photo, {len(brought)} bytes)" if brought else ""
        payload: dict[str, Any] = {"options": list(options)}
        turn.reply(said, payload, "log")
        return Line(said, options, picture)
