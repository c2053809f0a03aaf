"""The table of published figures that the sums of the room are checked against, each with its source."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

ROWS = Path(__file__).parent / "data" / "checks.csv"


@dataclass(frozen=True)
class Published:
    """One row: what was published, how near one must come, and where it stands."""

    id: str
    quantity: str
    inputs: str
    expected: float
    tolerance: str
    unit: str
    source: str

    def number(self, name: str) -> float:
        """The number given for `name` in the inputs ("T=20C; pH=8.0")."""
        found = re.search(rf"{re.escape(name)}\s*=\s*(-?\d+(?:\.\d+)?)", self.inputs)
        assert found, (self.id, name)
        return float(found[1])

    def approves(self, value: float) -> None:
        """Asserts that `value` lies within the row's tolerance; the message names the source."""
        near = self._range()
        assert near[0] <= value <= near[1], f"{self.id} {self.quantity}: {value} not in {near} ({self.source})"

    def _range(self) -> tuple[float, float]:
        if self.tolerance == "exact":
            return self.expected * (1 - 1e-12), self.expected * (1 + 1e-12)
        spans = [
            float(size) * (self.expected / 100 if kind == "rel" else 1)
            for kind, size in re.findall(r"(rel|abs) (\d+(?:\.\d+)?(?:e-?\d+)?)", self.tolerance)
        ] or [self._accepted()]
        return self.expected - max(spans), self.expected + max(spans)

    def _accepted(self) -> float:
        low, high = re.findall(r"\d+", self.tolerance)[:2]
        return (float(high) - float(low)) / 2


def published() -> dict[str, Published]:
    """Every row that a function of ours must compute, by its id."""
    with ROWS.open(encoding="utf-8", newline="") as table:
        rows = [row for row in csv.DictReader(table) if row["use"] in {"compute", "trap"}]
    return {
        row["id"]: Published(
            id=row["id"],
            quantity=row["quantity"],
            inputs=row["inputs"],
            expected=float(row["expected"]),
            tolerance=row["tolerance"],
            unit=row["unit"],
            source=row["source"],
        )
        for row in rows
    }


FIGURES = published()


def each(*ids: str) -> Callable[..., object]:
    """Runs a test once for every row named."""
    return pytest.mark.parametrize("row", [pytest.param(FIGURES[i], id=i) for i in ids])
