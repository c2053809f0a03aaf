"""No published figure that a function can compute may stand in the table unchecked."""

from __future__ import annotations

import re
from pathlib import Path

from tests.husbandry.figures import FIGURES


def test_every_figure_that_can_be_computed_is_checked_once() -> None:
    texts = [file.read_text(encoding="utf-8") for file in Path(__file__).parent.glob("test_*.py")]
    assert len(texts) > 6
    checked = [
        row
        for text in texts
        for call in re.findall(r"^@each\(([^)]*)\)", text, re.M)
        for row in re.findall(r"\w+", call)
    ]
    assert sorted(checked) == sorted(FIGURES)
    assert len(FIGURES) > 60


def test_a_tolerance_is_never_wider_than_it_says() -> None:
    row = FIGURES["A01"]  # relative 1 % or 0.00006, whichever is wider
    row.approves(0.00394 * 1.015)
    for wrong in (0.00394 * 1.02, 0.00394 * 0.98):
        try:
            row.approves(wrong)
        except AssertionError:
            continue
        raise AssertionError(wrong)
