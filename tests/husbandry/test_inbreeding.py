"""Inbreeding: the textbook's matings, two ways to the same number, and the traps of labels."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.kin.inbreeding import Mating, effective_size, inbreeding_after, inbreeding_gain, sequence
from shared.kin.lineage import crossing_caution, young_of
from tests.husbandry.single_fish import kinship

Parents = tuple[str | None, str | None]


@pytest.mark.parametrize(
    ("males", "females", "size", "gain"),
    [  # USFWS Inland Salmonid Broodstock Handbook p. 1-8 for the first two; the rest by the formula there
        (1, 99, 3.96, 0.126),
        (2, 2, 4.0, 0.125),
        (1, 10, 3.636, 0.1375),
        (2, 3, 4.8, 0.104),
        (25, 25, 50.0, 0.01),
    ],
)
def test_effective_size(males: int, females: int, size: float, gain: float) -> None:
    found = effective_size(males, females)
    assert found.value == pytest.approx(size, abs=0.001)
    assert inbreeding_gain(found.value).value == pytest.approx(gain, abs=0.0005)
    assert effective_size(males, females, inbreeding=0.25).value == pytest.approx(size / 1.25, abs=0.001)


SEQUENCES: dict[Mating, tuple[float, ...]] = {  # Falconer & Mackay 1996, table 5.1
    "full sibs": (0.25, 0.375, 0.5, 0.59375, 0.671875, 0.734375, 0.785),
    "half sibs": (0.125, 0.219, 0.305, 0.381, 0.449, 0.509),
    "backcross": (0.25, 0.375, 0.4375, 0.469, 0.484),
    "selfing": (0.5, 0.75, 0.875, 0.9375),
}


@pytest.mark.parametrize("kind", SEQUENCES)
def test_sequences(kind: Mating) -> None:
    assert sequence(kind, len(SEQUENCES[kind])) == pytest.approx(SEQUENCES[kind], abs=0.0006)


def by_pedigree(kind: Mating, generations: int) -> list[float]:
    """The same matings drawn up as pedigrees."""
    tree: dict[str, Parents] = {}
    found = []
    for g in range(1, generations + 1):
        if kind == "full sibs":
            tree[f"m{g}"] = tree[f"f{g}"] = (f"m{g - 1}", f"f{g - 1}")
            found.append(kinship(tree, f"m{g}", f"f{g}"))
        elif kind == "half sibs":
            width = 2 * generations + 3
            for n in range(width):
                tree[f"f{g}.{n}"] = (f"m{g - 1}", f"f{g - 1}.{(n + 1) % width}")
            tree[f"m{g}"] = (f"m{g - 1}", f"f{g - 1}.0")
            found.append(kinship(tree, f"m{g}", f"f{g}.{g}"))
        elif kind == "backcross":
            tree[f"x{g}"] = ("old", f"x{g - 1}")
            found.append(kinship(tree, "old", f"x{g}"))
        else:
            tree[f"s{g}"] = (f"s{g - 1}", f"s{g - 1}")
            found.append(kinship(tree, f"s{g - 1}", f"s{g - 1}"))
    return found


@pytest.mark.parametrize("kind", ["full sibs", "backcross", "selfing"])
def test_sequences_agree_with_pedigrees(kind: Mating) -> None:
    assert by_pedigree(kind, 8) == pytest.approx(sequence(kind, 8))


def test_half_sibs_agree_with_a_pedigree_while_the_sisters_have_different_mothers() -> None:
    assert by_pedigree("half sibs", 4) == pytest.approx(sequence("half sibs", 4))


FAMILY: dict[str, Parents] = {
    "brother": ("sire", "dam"),
    "sister": ("sire", "dam"),
    "half": ("sire", "other dam"),
    "niece": ("brother", "stranger"),
    "half niece": ("half", "stranger 2"),
    "cousin": ("sister", "stranger 3"),
    "sib child": ("brother", "sister"),
    "sib child 2": ("brother", "sister"),
}


@pytest.mark.parametrize(
    ("one", "other", "value"),
    [  # Wright 1922; the aunt that stands at 0.0625 in one printed table can only be a half aunt
        ("brother", "sister", 0.25),
        ("sire", "brother", 0.25),
        ("brother", "half", 0.125),
        ("sister", "niece", 0.125),
        ("sister", "half niece", 0.0625),
        ("niece", "cousin", 0.0625),
        ("sire", "niece", 0.125),
        ("sib child", "sib child 2", 0.375),
        ("sire", "stranger", 0.0),
    ],
)
def test_the_young_of_relatives(one: str, other: str, value: float) -> None:
    assert kinship(FAMILY, one, other) == pytest.approx(value)


@st.composite
def trees(draw: st.DrawFn) -> dict[str, Parents]:
    names = [f"w{n}" for n in range(4)]
    tree: dict[str, Parents] = {}
    for n in range(draw(st.integers(2, 7))):
        pick = st.one_of(st.none(), st.sampled_from(names))
        tree[f"x{n}"] = (draw(pick), draw(pick))
        names.append(f"x{n}")
    return tree


@given(trees())
def test_kinship_is_the_same_both_ways_and_within_bounds(tree: dict[str, Parents]) -> None:
    for one in tree:
        assert 0.5 <= kinship(tree, one, one) <= 1
        for other in tree:
            assert kinship(tree, one, other) == pytest.approx(kinship(tree, other, one))


def test_thirty_generations_of_sibs_are_quick_and_nearly_fixed() -> None:
    last = by_pedigree("full sibs", 30)[-1]
    assert last == pytest.approx(sequence("full sibs", 30)[-1])
    assert last > 0.99


def test_a_closed_group_gains_each_generation() -> None:
    assert inbreeding_after(0, 4.8).value == 0
    assert inbreeding_after(1, 4.8).value == pytest.approx(inbreeding_gain(4.8).value)
    assert inbreeding_after(5, 4.8).value == pytest.approx(1 - (1 - 1 / 9.6) ** 5)


@pytest.mark.parametrize(
    ("parents", "label", "options"),
    [
        (["wild", "wild"], "F1", ("F1",)),
        (["WC"], "F1", ("F1",)),
        (["F1", "f1"], "F2", ("F2",)),
        (["F12"], "F13", ("F13",)),
        (["wild", "F2"], None, ("F1", "F3")),
        (["F1", None], None, ()),
        ([], None, ()),
    ],
)
def test_generations(parents: list[str | None], label: str | None, options: tuple[str, ...]) -> None:
    found = young_of(parents)
    assert (found.label, found.options) == (label, options)
    assert found.why


def test_populations_are_not_crossed() -> None:
    assert crossing_caution("Mill Creek", "mill creek ") is None
    assert "should not be crossed" in (crossing_caution("Mill Creek", "Long Pond") or "")
    assert "unknown" in (crossing_caution(None, "Long Pond") or "")


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda: effective_size(0, 5), "breeding male"),
        (lambda: effective_size(2, -1), "breeding female"),
        (lambda: effective_size(2, 2, inbreeding=25), "between 0 and 1"),
        (lambda: sequence("full sibs", 0), "from 1 to 100"),
        (lambda: inbreeding_after(-1, 4), "from 0 to 1000"),
    ],
)
def test_what_cannot_be_bred_is_refused_in_a_sentence(wrong: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        wrong()  # type: ignore[operator]
