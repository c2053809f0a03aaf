"""Readings as JSON lines, in and out, for `roomhand read`."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import TextIO

from bot.language.reader import Reader
from bot.language.text.names import Names
from shared.room import RoomCard


def read_lines(card_path: str | Path, stdin: TextIO, stdout: TextIO) -> int:
    """Read notes (`id`, `sent`, `text`) and write their readings, one JSON object a line each.

    Returns 0, or 1 when some line was no note; such a line is answered with an `error`.
    """
    card = RoomCard.model_validate_json(Path(card_path).read_text(encoding="utf-8"))
    reader = Reader(Names.of(card))
    code = 0
    for line in stdin:
        if not line.strip():
            continue
        try:
            note = json.loads(line)
            sent = dt.datetime.fromisoformat(str(note["sent"]))
            if sent.tzinfo is not None:
                sent = sent.astimezone(card.zone).replace(tzinfo=None)
            text = str(note["text"])
        except (ValueError, KeyError, TypeError) as trouble:
            code = 1
            stdout.write(json.dumps({"error": f"this line is no note: {trouble}"}) + "\n")
            continue
        reading = reader.read(text, sent)
        told = reading.outside()
        for event in told["events"]:
            event.pop("currency", None)  # the outside form names a price alone
        stdout.write(json.dumps({"id": note.get("id"), **told, "reply": reading.reply}, ensure_ascii=False) + "\n")
    return code
