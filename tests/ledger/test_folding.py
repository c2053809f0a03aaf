"""That the same entries always come to stand the same, or that `FOLDING` says they do not.

`folded_room.jsonl` holds two years of a room, entries of every kind, numbered so that all is looked over now and then;
`folding.txt` the ways of adding them up there have been, each with the digest of all the standings it leads to.
"""

from __future__ import annotations

import hashlib
import typing
from pathlib import Path

import pytest

from shared.events import Event
from shared.ledger.standing import FOLDING, Entry, Standing

ROOM, DIGESTS = Path(__file__).with_name("folded_room.jsonl"), Path(__file__).with_name("folding.txt")
LOOKED_AT_EVERY = 25  # entries
CHANGED = """\
The same entries come to stand otherwise than before. If that is meant, raise FOLDING in shared/ledger/standing.py, so
that the snapshots of rooms in use are made anew, and write the new digest down: `pytest --rewrite
tests/ledger/test_folding.py`.
"""


def _entries() -> list[Entry]:
    return [Entry.model_validate_json(line) for line in ROOM.read_text(encoding="utf-8").splitlines()]


def _digest(entries: list[Entry]) -> str:
    standing, made = Standing(), hashlib.sha256()
    for number, entry in enumerate(entries, 1):
        standing.apply(entry)
        if number % LOOKED_AT_EVERY == 0 or number == len(entries):
            made.update(standing.model_dump_json(by_alias=True, exclude_defaults=True).encode())
    return made.hexdigest()


def test_the_same_entries_stand_as_they_always_did(request: pytest.FixtureRequest) -> None:
    known = dict(line.split() for line in DIGESTS.read_text(encoding="utf-8").splitlines())
    found = _digest(_entries())
    if request.config.getoption("--rewrite") and str(FOLDING) not in known:
        with DIGESTS.open("a", encoding="utf-8") as written:
            written.write(f"{FOLDING} {found}\n")
        known[str(FOLDING)] = found
    assert known.get(str(FOLDING)) == found, CHANGED
    assert max(map(int, known)) == FOLDING


def test_the_room_that_is_folded_has_all_kinds_and_is_looked_over() -> None:
    entries = _entries()
    kinds = {kind.model_fields["kind"].default for kind in typing.get_args(Event)}
    assert {entry.event.kind for entry in entries} == kinds - {"undo", "fix"}
    assert sum(entry.seq % 4096 == 0 for entry in entries) > 3


def test_what_is_left_out_in_folding_changes_the_digest() -> None:
    entries = _entries()
    assert _digest(entries) != _digest(entries[:-2] + entries[-1:])
