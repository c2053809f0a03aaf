"""Golden conversations: each block of `conversations/*.md` is replayed against a fresh room, letter for letter.

`[Mon 09 Mar 2026, 08:10]` sets the clock; `> ` is the keeper (`ivo> ` when there are several); `+ ` is an entry added
to the ledger; `(nightly)`, `(nightly, short)` and `(weekly)` let the bot speak unasked; anything else is the bot.
`pytest --rewrite` rewrites the bot's lines for review in the diff.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bot.command_line.setup import set_up
from bot.hear import Reply, hear
from bot.unasked.nightly import nightly, weekly
from shared.ledger.standing import Entry
from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import Message, RoomBook

FILES = sorted((Path(__file__).parent / "conversations").glob("*.md"))
_CLOCK = re.compile(r"^\[(\w{3} \d\d \w{3} \d{4}, \d\d:\d\d)\]$")
_UNASKED = re.compile(r"^\((nightly|weekly)(, short)?\)$")
_SAID = re.compile(r"^(\w*)> (.*)$")


Ear = Callable[[RoomBook, Message], Reply]


def test_there_are_conversations() -> None:
    assert len(FILES) >= 10


@pytest.mark.parametrize("file", FILES, ids=[f.stem for f in FILES])
def test_conversation(file: Path, card: RoomCard, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    told = retold(file, card, tmp_path)
    if request.config.getoption("--rewrite"):
        file.write_text(told, encoding="utf-8")
        return
    assert told == file.read_text(encoding="utf-8")


def retold(file: Path, card: RoomCard, folder: Path, ear: Ear = hear) -> str:
    """The whole file as it comes out now."""
    lines = file.read_text(encoding="utf-8").splitlines()
    out: list[str] = []
    block: list[str] = []
    number = 0
    for line in [*lines, ""]:
        if line.startswith("    "):
            block.append(line[4:])
            continue
        if block:
            number += 1
            database = open_database(str(folder / f"{number}.db"))
            try:
                said = play(block, card, database, ear)
            finally:
                database.close()
            out += [f"    {s}".rstrip() for s in said]
            block = []
        out.append(line)
    return "\n".join(out).rstrip("\n") + "\n"


def play(block: list[str], card: RoomCard, database: Database, ear: Ear = hear) -> list[str]:
    """The block as it comes out now: the keeper's lines as written, the bot's and the ledger's as they are."""
    now = dt.datetime(2026, 3, 9, 8, 0, tzinfo=card.zone)
    if "(an empty room)" in block:
        book = database.create_room(RoomCard(name="my room", timezone="America/Chicago"))
    else:
        book, _ = set_up(database, card, now)
    out: list[str] = []
    door = "terminal"
    for n, line in enumerate(block):
        clock, said, unasked = _CLOCK.match(line), _SAID.match(line), _UNASKED.match(line)
        if line in ("(an empty room)", "(by text message)"):
            out.append(line)
            door = "sms" if line == "(by text message)" else door
        if clock:
            now = dt.datetime.strptime(clock[1], "%a %d %b %Y, %H:%M").replace(tzinfo=card.zone)
            out.append(line)
        elif unasked:
            speak = nightly if unasked[1] == "nightly" else weekly
            out += [line, *speak(book, now, short=bool(unasked[2])).splitlines()]
        elif said:
            out.append(line)
            person = book.person_named(said[1].capitalize() or "Rosa")
            before = book.standing().seq
            message = Message(door, str(n), f"t:{person.key}", person.key, said[2].replace(" ⏎ ", "\n"), now)
            reply = ear(book, message)
            out += (reply.text.replace(reply.secret, "(a code)") if reply.secret else reply.text).splitlines()
            if reply.options:
                out.append(f"[{' | '.join(reply.options)}]")
            out += [_entry(e) for e in book.entries(include_retracted=True) if e.seq > before]
    assert book.check() == []
    return out


def _entry(entry: Entry) -> str:
    raw = entry.event.outside()
    kind = raw.pop("kind")
    raw = {k: v for k, v in raw.items() if k not in ("text", "task")}
    if entry.batch and "batch" not in raw:
        raw["batch"] = entry.batch
    if entry.retracts:
        raw["retracts"] = len(entry.retracts)
    words = [f"{k}={','.join(map(str, v)) if isinstance(v, list) else v}".replace(" ", "_") for k, v in raw.items()]
    return " ".join(["+", kind, *words])
