"""How closely bred a line is and how fast that grows, so that a keeper sees it before the fish show it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from shared.quantities import PRACTICE, Figure

# Each fish with its sire and dam; None, or a fish not in the mapping, is a founder.
Pedigree: TypeAlias = Mapping[str, tuple[str | None, str | None]]
Mating: TypeAlias = Literal["full sibs", "half sibs", "backcross", "selfing"]

FALCONER = "Falconer & Mackay 1996, Introduction to Quantitative Genetics"
BROODSTOCK = "US Fish & Wildlife Service, Inland Salmonid Broodstock Handbook"
WRIGHT = "Wright 1922, coefficients of inbreeding and relationship"
FOUNDERS = "Founders are counted as unrelated and not inbred; bought fish are often neither."


@dataclass(frozen=True)
class Path:
    """One way both parents lead to a common ancestor, from sire to dam, and what it adds to the inbreeding."""

    ancestor: str
    fish: tuple[str, ...]
    adds: float


@dataclass(frozen=True, kw_only=True)
class Inbreeding(Figure):
    """Wright's F, 0–1, and the ancestors common to both parents."""

    ancestors: tuple[str, ...]


@dataclass(frozen=True)
class Generation:
    """What the young are called: a label, or None with the labels it may be and why only the keeper can say."""

    label: str | None
    options: tuple[str, ...]
    why: str


def _heads(count: float, what: str) -> float:
    if not 0 < count < 1e9:
        raise ValueError(f"there must be at least one {what}")
    return count


def effective_size(males: int, females: int, inbreeding: float = 0.0) -> Figure:
    """The size of an ideal group that would lose as much variety: Ne = 4 Nm Nf / (Nm + Nf), over 1 + F.

    Fish that breed, one or more of each sex; F 0–1 of a stock already inbred. Raises ValueError otherwise.
    Sources: Falconer & Mackay 1996; 99 females and 1 male count as 3.96, two and two as 4 (USFWS handbook).
    """
    _heads(males, "breeding male")
    _heads(females, "breeding female")
    value = 4 * males * females / (males + females) / (1 + _share(inbreeding))
    return Figure(
        value=value,
        unit="fish",
        basis=f"{males} males and {females} females, all breeding; F grows {100 / (2 * value):.1f} % a generation",
        sources=(FALCONER, BROODSTOCK),
        cautions=(
            "With families of unequal size it is less.",
            *(("Few founders: bring in fish of the same population when you can.",) if value < 10 else ()),
        ),
    )


def effective_size_of_families(parents: int, variance: float) -> Figure:
    """Ne = (4 N − 2) / (V + 2), with V the variance of the number of young kept per parent (2 when left to chance).

    Two parents or more, variance 0 or more; equal families (0) nearly double Ne. Raises ValueError otherwise.
    Source: Falconer & Mackay 1996, from memory.
    """
    if parents < 2 or not 0 <= variance < 1e9:
        raise ValueError("it takes two parents and a variance that is not below zero")
    value = (4 * parents - 2) / (variance + 2)
    basis = f"{parents} parents, variance of family size {variance:g}"
    return Figure(value=value, unit="fish", basis=basis, sources=(f"{FALCONER}, from memory",), cautions=(FOUNDERS,))


def mean_effective_size(sizes: Sequence[float]) -> Figure:
    """Ne over generations, the harmonic mean: one narrow generation weighs most. Raises ValueError for sizes of 0."""
    if not sizes or min(sizes) <= 0:
        raise ValueError("every generation needs parents")
    value = len(sizes) / sum(1 / size for size in sizes)
    return Figure(value=value, unit="fish", basis=f"harmonic mean of {len(sizes)} generations", sources=(FALCONER,))


def inbreeding_gain(effective: float) -> Figure:
    """ΔF per generation, 0–1: 1 / (2 Ne). Raises ValueError for Ne of zero or less. Source: Falconer & Mackay 1996."""
    value = 1 / (2 * _heads(effective, "breeding fish"))
    return Figure(value=min(1.0, value), unit="share", basis=f"Ne {effective:.3g}", sources=(FALCONER,))


def inbreeding_after(generations: int, effective: float, start: float = 0.0) -> Figure:
    """F after so many generations in a closed group: 1 − (1 − F0)(1 − 1/(2 Ne))ᵗ. Generations 0–1000, F 0–1.

    Raises ValueError out of range. Source: Falconer & Mackay 1996.
    """
    if not 0 <= generations <= 1000:
        raise ValueError("generations run from 0 to 1000")
    value = 1 - (1 - _share(start)) * (1 - inbreeding_gain(effective).value) ** generations
    basis = f"{generations} generations closed at Ne {effective:.3g}"
    return Figure(value=value, unit="share", basis=basis, sources=(FALCONER,), cautions=(FOUNDERS,))


def _share(value: float) -> float:
    if not 0 <= value <= 1:
        raise ValueError("an inbreeding coefficient lies between 0 and 1")
    return value


def sequence(mating: Mating, generations: int) -> tuple[float, ...]:
    """F after generation 1, 2, 3 … of the same mating (1–100), founders unrelated.

    Full sibs (1 + 2F′ + F″)/4; half sibs, one male on his half-sisters, (1 + 6F′ + F″)/8; back to one parent that is
    not inbred (1 + 2F′)/4; selfing (1 + F′)/2. Raises ValueError out of range. Source: Falconer & Mackay 1996, ch. 5.
    """
    if not 1 <= generations <= 100:
        raise ValueError("generations run from 1 to 100")
    found = [0.0, 0.0]
    for _ in range(generations):
        before, last = found[-2:]
        found.append(
            {
                "full sibs": (1 + 2 * last + before) / 4,
                "half sibs": (1 + 6 * last + before) / 8,
                "backcross": (1 + 2 * last) / 4,
                "selfing": (1 + last) / 2,
            }[mating]
        )
    return tuple(found[2:])


class _Kin:
    """Coancestry of pairs, each reckoned once; the younger fish of a pair is opened first."""

    def __init__(self, pedigree: Pedigree) -> None:
        self.pedigree = pedigree
        self._depths: dict[str, int] = {}
        self._known: dict[tuple[str, str], float] = {}

    def parents(self, fish: str) -> tuple[str | None, str | None]:
        return self.pedigree.get(fish, (None, None))

    def depth(self, fish: str, line: frozenset[str] = frozenset()) -> int:
        if fish in line:
            raise ValueError(f"“{fish}” would be its own ancestor; one of its parents is wrong")
        if fish not in self._depths:
            above = [self.depth(parent, line | {fish}) for parent in self.parents(fish) if parent is not None]
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

    def ancestors(self, fish: str | None) -> frozenset[str]:
        if fish is None:
            return frozenset()
        self.depth(fish)
        found: set[str] = set()
        ahead = [fish]
        while ahead:
            now = ahead.pop()
            if now not in found:
                found.add(now)
                ahead += [parent for parent in self.parents(now) if parent is not None]
        return frozenset(found)


def kinship(pedigree: Pedigree, one: str, other: str) -> float:
    """Coancestry of two fish, 0–1: the F their young would have. Raises ValueError when a fish is its own ancestor."""
    return _Kin(pedigree).kinship(one, other)


def inbreeding(pedigree: Pedigree, fish: str) -> Inbreeding:
    """Wright's inbreeding coefficient of a fish; 0 for a founder. Raises ValueError for a pedigree in a circle.

    Source: Wright 1922 (path coefficients); reckoned by coancestry, which gives the same number.
    """
    sire, dam = pedigree.get(fish, (None, None))
    return _inbreeding(_Kin(pedigree), sire, dam, fish)


def mating(pedigree: Pedigree, sire: str, dam: str) -> Inbreeding:
    """The inbreeding the young of these two would have; errors and source as `inbreeding`."""
    return _inbreeding(_Kin(pedigree), sire, dam, f"young of {sire} and {dam}")


def _inbreeding(kin: _Kin, sire: str | None, dam: str | None, name: str) -> Inbreeding:
    value = kin.kinship(sire, dam)
    common = tuple(sorted(kin.ancestors(sire) & kin.ancestors(dam), key=lambda fish: (-kin.depth(fish), fish)))
    basis = f"{name}: " + (f"parents share {', '.join(common[:4])}" if common else "parents share no known ancestor")
    cautions: tuple[str, ...] = (FOUNDERS,)
    if value >= 0.25:
        cautions += ("As close as full sibs or closer: fertility and vigour often fall.",)
    return Inbreeding(value=value, unit="share", basis=basis, sources=(WRIGHT,), cautions=cautions, ancestors=common)


def paths(pedigree: Pedigree, fish: str, most: int = 64) -> tuple[Path, ...]:
    """Every path behind the inbreeding of a fish, largest first; what they add sums to F.

    F = Σ (1/2)^(n1+n2+1) (1 + F_A). Raises ValueError for more than `most` paths (then only the sum is of use)
    and for a pedigree in a circle. Source: Wright 1922.
    """
    kin = _Kin(pedigree)
    sire, dam = kin.parents(fish)
    found: list[Path] = []
    for ancestor in kin.ancestors(sire) & kin.ancestors(dam):
        own = kin.kinship(*kin.parents(ancestor))
        downs = _lines(kin, dam, ancestor)
        for up in _lines(kin, sire, ancestor):
            for down in downs:
                if set(up) & set(down) == {ancestor}:
                    through = (*up, *reversed(down[:-1]))
                    found.append(Path(ancestor, through, 0.5 ** len(through) * (1 + own)))
                    if len(found) > most:
                        raise ValueError(f"more than {most} paths lead to “{fish}”; its F says it better")
    return tuple(sorted(found, key=lambda path: (-path.adds, path.fish)))


def _lines(kin: _Kin, fish: str | None, ancestor: str) -> list[tuple[str, ...]]:
    """Every line from a fish up to one ancestor."""
    if fish is None or kin.depth(fish) < kin.depth(ancestor):
        return []
    if fish == ancestor:
        return [(fish,)]
    return [(fish, *rest) for parent in kin.parents(fish) for rest in _lines(kin, parent, ancestor)]


_WILD = {"wild", "wild caught", "wild-caught", "wc", "w", "f0"}


def offspring_generation(parents: Iterable[str | None]) -> Generation:
    """What the young of parents with these labels are called: wild → F1, F1 → F2, and so on.

    Parents of unlike or unknown generation give no label, but the labels it may be: keepers count differently, and
    a wrong label stays with a line for ever. Raises ValueError for a label that is neither wild nor F and a number.
    """
    numbers = {_generation(label) for label in parents}
    known = sorted(n for n in numbers if n is not None)
    if not numbers or None in numbers:
        return Generation(None, tuple(f"F{n + 1}" for n in known), "The generation of a parent is not known.")
    options = tuple(f"F{n + 1}" for n in known)
    if len(known) > 1:
        why = "The parents are of different generations; count from either, but say from which."
        return Generation(None, options, why)
    return Generation(options[0], options, f"Wild-caught parents give F1, F1 give F2 ({PRACTICE}).")


def _generation(label: str | None) -> int | None:
    text = (label or "").strip().lower()
    if text in {"", "unknown", "?"}:
        return None
    if text in _WILD:
        return 0
    found = re.fullmatch(r"f\s*-?(\d{1,3})", text)
    if not found:
        raise ValueError(f"“{label}” is not a generation; write it like wild, F1 or F2")
    return int(found[1])


def crossing_caution(one: str | None, other: str | None) -> str | None:
    """One sentence against crossing two populations of a species, or None when they are named alike.

    Different populations are never crossed, and an unknown one stays unknown. Common practice, no source.
    """
    if one is not None and other is not None and one.strip().casefold() == other.strip().casefold():
        return None
    if one is None or other is None:
        return "The population of one side is not known: keep the young apart and label them as unknown."
    return f"{one} and {other} are different populations and should not be crossed."
