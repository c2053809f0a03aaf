"""Kinship of single fish by their pedigree, reckoned exactly: what the sums about whole groups are held to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

# Each fish with its sire and dam; None, or a fish not in the mapping, is a founder.
Pedigree: TypeAlias = Mapping[str, tuple[str | None, str | None]]


class _Kin:
    """Coancestry of pairs, each reckoned once; the younger fish of a pair is opened first."""

    def __init__(self, pedigree: Pedigree) -> None:
        self.pedigree = pedigree
        self._depths: dict[str, int] = {}
        self._known: dict[tuple[str, str], float] = {}

    def parents(self, fish: str) -> tuple[str | None, str | None]:
        return self.pedigree.get(fish, (None, None))

    def depth(self, fish: str) -> int:
        if fish not in self._depths:
            above = [self.depth(parent) for parent in self.parents(fish) if parent is not None]
            self._depths[fish] = 1 + max(above, default=-1)
        return self._depths[fish]

    def kinship(self, one: str | None, other: str | None) -> float:
        if one is None or other is None:
            return 0.0
        if (self.depth(one), one) < (self.depth(other), other):
            one, other = other, one
        if (one, other) not in self._known:
            sire, dam = self.parents(one)
            if one == other:
                found = (1 + self.kinship(sire, dam)) / 2
            else:
                found = (self.kinship(sire, other) + self.kinship(dam, other)) / 2
            self._known[one, other] = found
        return self._known[one, other]


def kinship(pedigree: Pedigree, one: str, other: str) -> float:
    """Coancestry of two fish, 0–1: the F their young would have (Wright 1922)."""
    return _Kin(pedigree).kinship(one, other)
