"""The table of threats in the document for contributors names tests that are there, and where it says they are."""

from __future__ import annotations

import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
HEADING = "## Who could do what, and what stops them"


def test_every_threat_is_shown_by_a_test_that_is_there() -> None:
    told = (TESTS.parent / "DEVELOPERS.md").read_text(encoding="utf-8").split(HEADING)[1].split("\n## ")[0]
    rows = [line for line in told.splitlines() if line.startswith("|")][2:]
    assert len(rows) > 15
    there = {
        folder: set(re.findall(r"def (test_\w+)", "".join(f.read_text("utf-8") for f in (TESTS / folder).glob("*.py"))))
        for folder in ("doors", "storage")
    }
    for row in rows:
        doors, _, storage = row.rpartition(" | ")[2].partition("storage: ")
        named = {"doors": re.findall(r"`(test_\w+)`", doors), "storage": re.findall(r"`(test_\w+)`", storage)}
        assert named["doors"] or named["storage"], row
        for folder, tests in named.items():
            assert set(tests) <= there[folder], (folder, set(tests) - there[folder])
