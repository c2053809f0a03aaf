"""A whole day of notes: replayed twice it logs once and agrees with a count by hand; killed, it loses nothing."""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from bot.command_line.replay import NotebookTrouble, notes_in
from bot.commands import main
from storage.engine import open_database

HERE = Path(__file__).parent
DAY, CARD = HERE / "a_day.txt", HERE.parent / "room.json"
UNTIL = dt.datetime.fromisoformat("2027-01-01")

# By hand, with pencil, from a_day.txt and the card: (line, batch, place, stage) → how many; None where nobody counted.
BY_HAND: dict[tuple[str, str | None, str, str], int | None] = {
    ("blue gularis", "B21", "tub A", "eggs"): 38 - 2 - 5 - 4,
    ("blue gularis", "B21", "tub F", "fry"): 5 + 4,
    ("blue gularis", "B26", "tub A", "eggs"): 9,
    ("blue gularis", "B11", "tank 14", "juveniles"): 22,
    ("gardneri", "B22", "tub B", "eggs"): 52 - 3,
    ("gardneri", "B24", "tub D", "eggs"): 40 + 13,
    ("gardneri", "B19", "tub E", "fry"): 31 - 1,
    ("gardneri", "B14", "tank 13", "juveniles"): 84 - 2 - 20 - 6,
    ("gardneri", "B14", "tank 16", "juveniles"): 20,
    ("lampeye", "B23", "tub C", "eggs"): 24 + 11 - 1,
    ("boesemani", "B17", "tank 11", "fry"): 60 - 30,
    ("boesemani", "B17", "tank 12", "fry"): 30,
    ("medaka", "B25", "tub D", "eggs"): None,
    ("furzeri", "B20", "peat bag", "eggs"): None,
}
# Still open at 21:05 that evening, by hand from the routine and the notes: the batches' looks, mops nobody pulled.
DUE_BY_HAND = {
    ("pull_mop", "tank 4"),
    ("pull_mop", "tank 7"),
    ("pull_mop", "tank 10"),
}


def run(db: Path, *words: str) -> int:
    return main(["--db", str(db), *words])


@pytest.fixture
def room(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    db = tmp_path / "room.db"
    assert run(db, "setup", str(CARD)) == 0
    capsys.readouterr()
    return db


def test_the_day_has_sixty_notes_or_more() -> None:
    assert len(list(notes_in(DAY.read_text(encoding="utf-8"), UNTIL))) >= 60


def test_a_day_twice_logs_once_and_agrees_with_the_count_by_hand(
    room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(room, "replay", str(DAY)) == 0
    first = capsys.readouterr().out.splitlines()
    assert run(room, "replay", str(DAY)) == 0
    second = capsys.readouterr().out.splitlines()
    assert second[-1].startswith("0 messages logged (0 entries)")
    assert first[:-1] == second[:-1]  # the same answers
    assert run(room, "check") == 0
    assert "add up" in capsys.readouterr().out

    assert run(room, "stock", "--json") == 0
    rows: list[dict[str, Any]] = json.loads(capsys.readouterr().out)
    held = {
        (r["line"], r["batch"], r["place"], r["stage"]): r["count"]
        for r in rows
        if not (r["stage"] == "adults" and r["batch"] is None and r["count"] is None)
    }
    assert held == BY_HAND

    assert run(room, "due", "--at", "2026-03-09T21:05", "--json") == 0
    tasks = json.loads(capsys.readouterr().out)
    mops = {(t["task"], t["place"]) for t in tasks if t["task"] == "pull_mop"}
    assert mops == DUE_BY_HAND
    assert not [t for t in tasks if t["task"] == "egg_water"]  # both rounds of every egg tub were done
    assert not [t for t in tasks if t["task"] == "fry_feed" and t["place"] in ("tub E", "tub F")]


def test_every_batch_adds_up_as_promised(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(room, "replay", str(DAY))
    for batch in ("B14", "B17", "B19", "B21", "B22", "B23", "B24", "B26"):
        capsys.readouterr()
        assert run(room, "show", batch, "--json") == 0
        told = json.loads(capsys.readouterr().out)
        eggs, fish = told["eggs"], told["fish"]
        after = ("sold", "moved_out", "alive", "unaccounted")
        assert eggs["start"] + eggs["pulled"] + eggs["moved_in"] == sum(eggs[k] for k in ("bad", "hatched", *after))
        assert fish["start"] + fish["hatched"] + fish["moved_in"] == sum(fish[k] for k in ("died", *after))


def _spawned(db: Path, *words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "bot.commands", "--db", str(db), *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=HERE.parents[1],
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )


def _answered(out: str) -> Sequence[str]:
    """The notes whose reply was printed: all but a last one that may have been cut off."""
    heads = [line for line in out.splitlines() if line.startswith("2026-03-09")]
    return heads[:-1]


def test_killed_at_any_moment_what_was_answered_is_there_and_nothing_is_half_there(room: Path) -> None:
    times = int(os.environ.get("ROOMHAND_KILLS", "6"))
    dice = random.Random(11)
    for _ in range(times):
        process = _spawned(room, "replay", str(DAY))
        assert process.stdout
        process.stdout.readline()  # it has begun to answer
        time.sleep(dice.uniform(0, 0.6))
        process.send_signal(signal.SIGKILL)
        out, _ = process.communicate()
        database = open_database(str(room))
        book = database.room()
        kept = {m.text for m in book.messages()}
        for head in _answered(out):
            assert head.split(": ", 1)[1] in kept
        assert book.check() == []
        for message in book.messages():
            assert message.reply is not None  # a message without its answer would be half there
        database.close()
    last = _spawned(room, "replay", str(DAY))
    last.communicate()
    assert last.returncode == 0
    database = open_database(str(room))
    texts = [m.text for m in database.room().messages() if m.door == "replay"]
    assert len(texts) == len(list(notes_in(DAY.read_text(encoding="utf-8"), UNTIL)))
    assert database.room().check() == []
    database.close()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("hello there\n", "line 1"),
        ("  continues nothing\n", "line 1"),
        ("2026-03-09 06:35 Rosa: egg tubs\n2026-13-40 06:35 Rosa: x\n", "line 2"),
        ("2026-03-09 06:35 Rosa: egg tubs\n2126-03-09 06:35 Rosa: x\n", "line 2: 2126-03-09 06:35 is still to come"),
        ("0026-03-09 06:35 Rosa: egg tubs\n", "line 1: 0026-03-09 06:35 is too long ago"),
    ],
)
def test_a_line_that_is_no_note_is_named(text: str, says: str) -> None:
    with pytest.raises(NotebookTrouble, match=says):
        list(notes_in(text, UNTIL))


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_notebook_is_read_in_each_encoding_that_says_what_it_is(room: Path, tmp_path: Path, encoding: str) -> None:
    (tmp_path / "notes.txt").write_bytes("2026-03-09 06:35 Rosa: temp 75 tank 13\n".encode(encoding))
    assert run(room, "replay", str(tmp_path / "notes.txt")) == 0
    assert "tank 13" in [e.place for e in open_database(str(room)).room().entries(kinds=("measure",))]


def test_a_note_may_go_on_over_lines_and_hold_comments_between() -> None:
    text = "# the shelf\n2026-03-09 06:35 Rosa: temps\n  t1 73\n# no\n  t2 72\n2026-03-09 06:40 Ivo: ok\n"
    assert [(n.person, n.text) for n in notes_in(text, UNTIL)] == [("Rosa", "temps\nt1 73\nt2 72"), ("Ivo", "ok")]
