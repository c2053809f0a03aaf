"""Coverage-guided fuzzing of the reader: no text may raise, hang, read differently twice, or log from no word at all.

Run: pip install atheris && python -m tests.language.fuzz /tmp/corpus -max_total_time=3600 [any libFuzzer option]
The folder is filled from the labelled notes when it is empty; what libFuzzer finds new is added to it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
import sys
import time
from pathlib import Path

import atheris  # type: ignore[import-untyped,import-not-found,unused-ignore]

with atheris.instrument_imports(include=["bot.language", "shared"]):
    from bot.language import Names, Reader

from tests.language.judging import DATA, card_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
READER = Reader(Names.of(card_of("millrace.json")))


def one(data: bytes) -> None:
    text = data.decode("utf-8", errors="replace")
    began = time.process_time()
    first = READER._read(text, SENT).outside()
    assert time.process_time() - began < 10, "took more than ten seconds"
    assert first == READER._read(text, SENT).outside(), "read differently the second time"
    if len(re.findall(r"\w", text)) < 2:
        assert not first["events"], "logged from no word at all"


def fill(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    if any(folder.iterdir()):
        return
    for file in sorted(DATA.glob("*.jsonl")):
        for line in file.read_text(encoding="utf-8").splitlines():
            raw = str(json.loads(line).get("text", "")).encode()
            (folder / hashlib.sha256(raw).hexdigest()[:16]).write_bytes(raw)


def main() -> None:
    folders = [Path(a) for a in sys.argv[1:] if not a.startswith("-")]
    if not folders:
        raise SystemExit(
            "say a folder for the corpus, as in: python -m tests.language.fuzz /tmp/corpus -max_total_time=3600"
        )
    fill(folders[0])
    atheris.Setup(sys.argv, one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
