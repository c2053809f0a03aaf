"""How closely bred a line is and how fast that grows, so that a keeper sees it before the fish show it."""

from __future__ import annotations

from typing import Literal, TypeAlias

from shared.quantities import Figure

Mating: TypeAlias = Literal["full sibs", "half sibs", "backcross", "selfing"]

FALCONER = "Falconer & Mackay 1996, Introduction to Quantitative Genetics"
BROODSTOCK = "US Fish & Wildlife Service, Inland Salmonid Broodstock Handbook"
WRIGHT = "Wright 1922, coefficients of inbreeding and relationship"
FOUNDERS = "Founders are counted as unrelated and not inbred; bought fish are often neither."


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
