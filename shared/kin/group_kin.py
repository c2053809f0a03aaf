"""Expected inbreeding of batches from the groups their parents stood in, where no single fish is marked.

Within a group every male is as likely a sire as every other, every female as likely a dam, and families differ by
chance alone. Groups with no parents on record are founders: unrelated and not inbred.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from shared.kin.inbreeding import FALCONER, FOUNDERS, WRIGHT
from shared.quantities import Figure

Sex: TypeAlias = Literal["male", "female"]
MANY = 10_000.0  # breeders of a sex, where nobody counted them and the least inbreeding is wanted


@dataclass(frozen=True)
class Breeders:
    """Fish of one group that bred, how many of each sex; None where nobody counted them."""

    group: str
    males: float | None
    females: float | None


Parentage: TypeAlias = Mapping[str, tuple[Breeders, ...]]  # the parents of each group; founders are absent


def expected_inbreeding(parentage: Parentage, group: str) -> Figure:
    """Expected F (0–1) of the fish of a group, from how many of which groups bred; 0 for founders.

    Where breeders are not counted the figure runs from that of very many of them (`low`) to that of one pair
    (`high`), and the middle is only that. Raises ValueError for a group that would be its own ancestor, and where
    one sex is missing. Sources: Wright 1922; groups by Falconer & Mackay 1996, ch. 4.
    """
    return _figure(parentage, group, lambda kin: kin.inbreeding(group), f"{group}, by groups of parents")


def expected_kinship(parentage: Parentage, group: str) -> Figure:
    """Expected F of the young of two fish of a group with each other; otherwise as `expected_inbreeding`."""
    return _figure(parentage, group, lambda kin: kin.within(group), f"young of {group} among themselves, by groups")


def _figure(parentage: Parentage, group: str, reckon: Callable[[_Kin], float], basis: str) -> Figure:
    least, most = (reckon(_Kin(_counted(parentage, unknown))) for unknown in (MANY, 1.0))
    known = all(b.males is not None and b.females is not None for b in _behind(parentage, group))
    return Figure(
        value=most if known else (least + most) / 2,
        low=None if known else round(least, 4),
        high=None if known else most,
        unit="share",
        basis=basis,
        sources=(WRIGHT, FALCONER),
        cautions=(FOUNDERS,),
    )


def _behind(parentage: Parentage, group: str) -> list[Breeders]:
    """Every parent of a group and of those before them."""
    seen: set[str] = set()
    ahead, found = [group], list[Breeders]()
    while ahead:
        now = ahead.pop()
        if now not in seen:
            seen.add(now)
            found += parentage.get(now, ())
            ahead += [b.group for b in parentage.get(now, ())]
    return found


def _counted(parentage: Parentage, unknown: float) -> Parentage:
    """The parentage with a number of breeders wherever nobody counted them."""
    return {
        group: tuple(
            Breeders(b.group, *((unknown, unknown) if b.males is None or b.females is None else (b.males, b.females)))
            for b in parents
        )
        for group, parents in parentage.items()
    }


class _Kin:
    """Coancestry between and within groups, each reckoned once; the younger group of two is opened first."""

    def __init__(self, parentage: Parentage) -> None:
        self.parentage = parentage
        self._depths: dict[str, int] = {}
        self._within: dict[str, float] = {}
        self._inbred: dict[str, float] = {}

    def depth(self, group: str, above: frozenset[str] = frozenset()) -> int:
        if group in above:
            raise ValueError(f"“{group}” would be its own ancestor; one of its parents is wrong")
        if group not in self._depths:
            depths = [self.depth(b.group, above | {group}) for b in self.parentage.get(group, ())]
            self._depths[group] = 1 + max(depths, default=-1)
        return self._depths[group]

    def _shares(self, group: str, sex: Sex) -> list[tuple[str, float, float]]:
        """The groups the parents of one sex came from: which, what share of them, and how many fish."""
        told = [(b.group, (b.males if sex == "male" else b.females) or 0.0) for b in self.parentage.get(group, ())]
        total = sum(number for _, number in told)
        if not total:
            raise ValueError(f"no {sex} is on record among the parents of “{group}”")
        return [(name, number / total, number) for name, number in told if number]

    def inbreeding(self, group: str) -> float:
        """F of a group: the kinship of a sire and a dam of it."""
        if group not in self._inbred:
            self.depth(group)
            self._inbred[group] = (
                sum(
                    m * f * self._pair(sire, "male", dam, "female")
                    for sire, m, _ in self._shares(group, "male")
                    for dam, f, _ in self._shares(group, "female")
                )
                if self.parentage.get(group)
                else 0.0
            )
        return self._inbred[group]

    def within(self, group: str) -> float:
        """Kinship of two different fish of a group: they may share a sire, a dam, both or neither."""
        if group not in self._within:
            self._within[group] = (
                (self._same_sex(group, "male") + self._same_sex(group, "female") + 2 * self.inbreeding(group)) / 4
                if self.parentage.get(group)
                else 0.0
            )
        return self._within[group]

    def _same_sex(self, group: str, sex: Sex) -> float:
        """Kinship of the sires (or dams) of two fish of a group, which may be one and the same."""
        shares = self._shares(group, sex)
        return sum(
            one * other * (self._maybe_itself(a, n) if a == b else self._pair(a, sex, b, sex))
            for a, one, n in shares
            for b, other, _ in shares
        )

    def _maybe_itself(self, group: str, number: float) -> float:
        """Kinship of two fish drawn from so many of a group, which may be the same fish."""
        return (1 + self.inbreeding(group)) / 2 / number + (1 - 1 / number) * self.within(group)

    def _pair(self, one: str, sex: Sex, other: str, other_sex: Sex) -> float:
        """Kinship of a breeding fish of one group and one of another, different fish."""
        if one == other:
            return self.within(one)
        if self.depth(one) < self.depth(other):
            one, sex, other, other_sex = other, other_sex, one, sex
        if not self.parentage.get(one):
            return 0.0
        parents: tuple[Sex, Sex] = ("male", "female")
        return 0.5 * sum(
            share
            * (
                self._maybe_itself(name, number)
                if (name, parent) == (other, other_sex)
                else self._pair(name, parent, other, other_sex)
            )
            for parent in parents
            for name, share, number in self._shares(one, parent)
        )
