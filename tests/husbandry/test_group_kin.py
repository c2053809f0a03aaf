"""Inbreeding by groups agrees with published sequences, with path counting by hand, and with dropped genes."""

from __future__ import annotations

import random

import pytest

from shared.kin.group_kin import Breeders, Parentage, expected_inbreeding, expected_kinship
from tests.husbandry.single_fish import kinship

PAIR = (1.0, 1.0)


def closed(males: float, females: float, generations: int) -> dict[str, tuple[Breeders, ...]]:
    """A closed line: so many of each sex breed in every generation."""
    return {f"F{n + 1}": (Breeders(f"F{n}", males, females),) for n in range(generations)}


@pytest.mark.parametrize(
    ("males", "females", "published"),
    [
        (1, 1, (0, 0.25, 0.375, 0.5, 0.59375, 0.671875)),  # full sibs: Falconer & Mackay 1996, table 5.1
        (1, 1e9, (0, 0.125, 0.219, 0.305, 0.381, 0.449)),  # one male on his half-sisters: the same table
    ],
)
def test_a_closed_line_runs_as_tabled(males: float, females: float, published: tuple[float, ...]) -> None:
    parentage = closed(males, females, len(published))
    found = [expected_inbreeding(parentage, f"F{n + 1}").value for n in range(len(published))]
    assert found == pytest.approx(published, abs=5e-4)


def test_a_large_closed_line_gains_as_its_effective_size_says() -> None:
    """ΔF = 1/(8 Nm) + 1/(8 Nf) a generation (Wright 1931, in Falconer & Mackay 1996, ch. 4), to second order."""
    parentage = closed(10, 30, 12)
    late, last = (expected_inbreeding(parentage, f"F{n}").value for n in (11, 12))
    assert (last - late) / (1 - late) == pytest.approx(1 / 80 + 1 / 240, rel=0.03)


@pytest.mark.parametrize(
    ("parentage", "group", "by_hand", "paths"),
    [
        (
            {"young": (Breeders("wild", *PAIR),), "back": (Breeders("wild", 1, 0), Breeders("young", 0, 4))},
            "back",
            0.25,
            "father to daughter: one path sire–daughter, (1/2)² (Wright 1922)",
        ),
        (
            {
                "a": (Breeders("wild", *PAIR),),
                "b": (Breeders("a", 1, 0), Breeders("bought", 0, 1)),
                "c": (Breeders("a", 0, 1), Breeders("other", 1, 0)),
                "x": (Breeders("b", 1, 0), Breeders("c", 0, 1)),
            },
            "x",
            0.0625,
            "first cousins: two common grandparents, 2 × (1/2)⁵ (Wright 1922)",
        ),
        (
            {
                "a": (Breeders("wild", *PAIR),),
                "b": (Breeders("a", 1, 0), Breeders("bought", 0, 1)),
                "x": (Breeders("a", 0, 1), Breeders("b", 1, 0)),
            },
            "x",
            0.125,
            "aunt and nephew: two paths of three fish and one, 2 × (1/2)⁴ (Wright 1922)",
        ),
        (
            {
                "a": (Breeders("wild", *PAIR),),
                "b": (Breeders("a", *PAIR),),
                "x": (Breeders("b", *PAIR),),
            },
            "x",
            0.375,
            "sibs of sibs: four paths of (1/2)⁵ and two of (1/2)³ (Falconer & Mackay 1996, table 5.1)",
        ),
        (
            {"a": (Breeders("wild", 1, 2),), "x": (Breeders("a", 3, 3),)},
            "x",
            (1 / 2 * 0.125 + 1 / 2 * 0.25),
            "one sire, two dams: half of the pairs are half sibs (1/8), half are full sibs (1/4)",
        ),
        ({"x": (Breeders("wild", 1, 3), Breeders("bought", 1, 0))}, "x", 0.0, "founders are unrelated"),
    ],
)
def test_by_hand(parentage: Parentage, group: str, by_hand: float, paths: str) -> None:
    assert paths
    assert expected_inbreeding(parentage, group).value == pytest.approx(by_hand)


def bred(groups: list[tuple[str, str, int, int]], dice: random.Random) -> dict[str, tuple[str | None, str | None]]:
    """Single fish with their parents: each of a group gets a sire and a dam by chance."""
    tree: dict[str, tuple[str | None, str | None]] = {}
    for name, parents, males, females in groups:
        for n in range(8):
            sire, dam = f"{parents} {dice.randrange(males)}", f"{parents} {4 + dice.randrange(females)}"
            tree[f"{name} {n}"] = (sire, dam)
    return tree


def test_the_mean_of_single_fish_bred_by_chance() -> None:
    """Three generations of 2 males and 3 females: the mean F of 3,000 pedigrees of single fish."""
    dice, total, drawn = random.Random(7), 0.0, 1000
    plan = [(f"F{n + 1}", f"F{n}", 2, 3) for n in range(3)]
    for _ in range(drawn):
        tree = bred(plan, dice)
        sire, dam = tree["F3 0"]
        assert sire and dam
        total += kinship(tree, sire, dam)
    said = expected_inbreeding(closed(2, 3, 3), "F3").value
    assert total / drawn == pytest.approx(said, abs=0.012)  # four standard errors


def test_what_nobody_counted_runs_from_many_to_a_pair() -> None:
    parentage = {"a": (Breeders("wild", None, None),), "x": (Breeders("a", 2, 2),)}
    found = expected_inbreeding(parentage, "x")
    assert found.low is not None and found.high is not None
    assert (found.low, found.high) == pytest.approx((0, 0.25), abs=1e-4)
    assert any("unrelated" in caution for caution in found.cautions)


def test_the_young_of_a_group_are_as_close_as_its_next_generation() -> None:
    parentage = closed(2, 5, 3)
    assert expected_kinship(parentage, "F2").value == expected_inbreeding(parentage, "F3").value


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="its own ancestor"):
        expected_inbreeding({"a": (Breeders("b", 1, 1),), "b": (Breeders("a", 1, 1),)}, "a")
    with pytest.raises(ValueError, match="no male"):
        expected_inbreeding({"a": (Breeders("b", 0, 3),)}, "a")
