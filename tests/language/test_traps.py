"""Notes that easily are read wrongly. A reading found wrong starts here, as one more line of the table."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from bot.language import Names, Reader
from tests.language.judging import DATA, Room, card_of, each, flat, pairing

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
TRAPS = [json.loads(line) for line in (DATA / "traps.jsonl").read_text(encoding="utf-8").splitlines() if line]
CARD = card_of("millrace.json")
READER = Reader(Names.of(CARD))


@pytest.mark.parametrize("trap", TRAPS, ids=[t["text"] for t in TRAPS])
def test_trap(trap: dict[str, Any]) -> None:
    got = READER.read(trap["text"], SENT).outside()
    kinds = [event["kind"] for event in got["events"]]
    assert not set(kinds) & set(trap.get("never", [])), (trap["why"], got)
    if "outcome" in trap:
        assert got["outcome"] == trap["outcome"], (trap["why"], got)
    if "want" in trap:
        room = Room.of(CARD)
        wanted = [flat(e, room) for e in each(trap["want"])]
        logged = [flat(e, room) for e in each(got["events"]) if e["kind"] != "remark"]
        assert len(pairing(wanted, logged, trap["text"], room)) == len(wanted) == len(logged), (trap["why"], got)
