"""The terminal door: plain when piped, and nothing of what is typed is left behind."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

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


def test_what_is_typed_is_coloured_and_leaves_no_history_behind(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    process = subprocess.Popen(COMMAND, stdin=theirs, stdout=theirs, stderr=theirs, env=environment(tmp_path))
    os.close(theirs)
    os.write(ours, b"fed qzsecretqz\nquit\n")
    seen = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:  # the other end is closed
            break
        if not piece:
            break
        seen += piece
    assert process.wait(60) == 0
    os.close(ours)
    assert b"\x1b[36m" in seen
    left = [f for f in tmp_path.rglob("*") if f.is_file() and not f.name.startswith("room.db")]
    assert not [f for f in left if b"qzsecretqz" in f.read_bytes()]
