"""Which answers have left the house, so that a delivery brought again after a crash is not answered twice.

A small file beside the database: keyed hashes and message numbers only, no address and no word.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

KEEP = 5_000  # answers remembered over a restart
TRIM = 4 * KEEP


class Sent:
    """Answers sent at one door: `delivery → the answer's own message number`, and back."""

    def __init__(self, file: Path | None, key: bytes) -> None:
        self._key = hashlib.blake2b(key, digest_size=32).digest()
        self._answers: dict[str, str] = {}
        self._marks: dict[str, str] = {}  # never forgotten
        self._out: int | None = None
        if file is not None:
            file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._load(file)

    def _load(self, file: Path) -> None:
        lines = file.read_text(encoding="ascii", errors="ignore").splitlines() if file.exists() else []
        for line in lines:
            name, _, value = line.partition(" ")
            self._keep(name, value)
        if len(lines) > TRIM:
            fresh = file.with_suffix(".new")
            kept = [*self._marks.items(), *self._answers.items()]
            fresh.write_text("".join(f"{n} {v}\n" for n, v in kept), encoding="ascii")
            fresh.replace(file)
        self._out = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        if lines and not file.read_bytes().endswith(b"\n"):  # the end of a line lost in a crash
            os.write(self._out, b"\n")

    def _keep(self, name: str, value: str) -> None:
        if name.startswith("!"):
            self._marks[name] = value
            return
        self._answers.pop(name, None)
        self._answers[name] = value
        while len(self._answers) > 2 * KEEP:
            del self._answers[next(iter(self._answers))]

    def _name(self, kind: str, text: str) -> str:
        return hashlib.blake2b(f"{kind} {text}".encode(), key=self._key, digest_size=9).hexdigest()

    def note(self, delivery: str, chat: str, number: int, answered: int) -> None:
        """The answer to `delivery` went to `chat` as message `number`; it answers message `answered` there."""
        pairs = ((self._name("to", delivery), str(number)), (self._name("by", f"{chat}:{number}"), str(answered)))
        for name, value in pairs:
            self._keep(name, value)
        if self._out is not None:
            # one write, so that a kill leaves a whole line or none; kept by the system even if we are killed
            os.write(self._out, "".join(f"{n} {v}\n" for n, v in pairs).encode())

    def has_answered(self, delivery: str) -> bool:
        return self._name("to", delivery) in self._answers

    def answered_by(self, chat: str, number: int) -> int | None:
        """Which message of the chat our message `number` answered, when that is remembered."""
        value = self._answers.get(self._name("by", f"{chat}:{number}"), "")
        return int(value) if value.isdecimal() else None

    # ---- plain marks, for a door that has to remember a yes or no

    def mark(self, what: str, text: str, on: bool) -> None:
        """Remember a mark durably."""
        name = "!" + self._name(what, text)
        self._keep(name, "on" if on else "off")
        if self._out is not None:
            os.write(self._out, f"{name} {'on' if on else 'off'}\n".encode())
            os.fsync(self._out)

    def marked(self, what: str, text: str) -> bool:
        return self._marks.get("!" + self._name(what, text)) == "on"

    def close(self) -> None:
        if self._out is not None:
            os.close(self._out)
            self._out = None
