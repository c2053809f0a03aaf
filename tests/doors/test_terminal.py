"""The terminal door: plain when piped, and nothing of what is typed is left behind."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = [sys.executable, "-m", "bot.commands", "chat"]


def environment(tmp_path: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("ROOMHAND_")}
    return kept | {"ROOMHAND_DB": str(tmp_path / "room.db"), "HOME": str(tmp_path), "TERM": "xterm"}


def test_piped_lines_are_answered_plainly_one_by_one(tmp_path: Path) -> None:
    told = subprocess.run(
        COMMAND,
        input="tanks 1-3 are 10 gallons\nfed tank 3\n",
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        check=True,
    )
    assert "tank 3: fed." in told.stdout
    assert "\x1b" not in told.stdout and ">" not in told.stdout


def typed(keys: list[bytes], tmp_path: Path, **more: str) -> str:
    """What a terminal shows when these are typed, each once the prompt is there."""
    ours, theirs = pty.openpty()
    env = environment(tmp_path) | more
    process = subprocess.Popen(COMMAND, stdin=theirs, stdout=theirs, stderr=theirs, env=env, start_new_session=True)
    os.close(theirs)
    seen, asked = b"", 0
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:  # the other end is closed
            break
        if not piece:
            break
        seen += piece
        while keys and seen.count(b"> ") > asked:
            asked += 1
            os.write(ours, keys.pop(0))
    assert process.wait(60) == 0
    os.close(ours)
    return seen.decode()


def test_what_is_typed_is_coloured_and_leaves_no_history_behind(tmp_path: Path) -> None:
    assert "\x1b[36m" in typed([b"fed qzsecretqz\n", b"quit\n"], tmp_path)
    left = [f for f in tmp_path.rglob("*") if f.is_file() and not f.name.startswith("room.db")]
    assert not [f for f in left if b"qzsecretqz" in f.read_bytes()]


def test_a_line_is_edited_and_the_last_one_comes_back(tmp_path: Path) -> None:
    """Left, rubbed out, typed anew; then the line before, by the arrow upwards."""
    mended = b"tanks 1-2 are 10 gallons" + b"\x1b[D" * len(" are 10 gallons") + b"\x7f" + b"3" + b"\n"
    shown = typed([mended, b"fed tank 3\n", b"\x1b[A\n", b"quit\n"], tmp_path)
    assert shown.count("tank 3: fed.") == 2


@pytest.mark.parametrize("more", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_no_colours_where_none_are_wanted(tmp_path: Path, more: dict[str, str]) -> None:
    assert "\x1b[36m" not in typed([b"help\n", b"quit\n"], tmp_path, **more)
