"""How much of something to put in, in drops and in mg/L, and when not to say: the label goes before any sum here.

Substance cautions are data, so that a keeper reads each of them when its danger is new and not every evening.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias, cast

from shared.quantities import DROPS_PER_ML, LITRES, PRACTICE, Figure, sane_amount, sane_litres, sane_percent

TWO_CUPS = 2 * LITRES["us"]["cup"]
PEROXIDE_DROPS = (3.0, 5.0)  # of 3 %, to two cups: common practice, no source
PEROXIDE_PERCENT = 3.0
TUB_LITRES = 4.0  # beyond this it is a tank, and the practice of drops says nothing
MITCHELL = "Mitchell 1998, USDA-ARS publication 88714"
DROP = "a drop is 0.05 mL (NCI Thesaurus C69442); USP <1101> lets a drop of water weigh 45–55 mg"

Danger: TypeAlias = Literal["first use", "stronger stock", "larger dose", "fry", "invertebrates", "plants", "food fish"]


@dataclass(frozen=True, kw_only=True)
class Dose(Figure):
    """What to put in (`value` in `unit`, with its width) and the strength it makes in the water, mg/L."""

    substance: str
    mg_per_l: float
    mg_per_l_low: float
    mg_per_l_high: float


@dataclass(frozen=True)
class Refusal:
    """No dose is given: why, and where to look instead."""

    substance: str
    reason: str
    instead: str = "Go by the label and the local rules, and ask a vet."
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Caution:
    """One sentence to say when this danger of this substance is new; `key` is what is kept of having said it."""

    substance: str
    danger: Danger
    text: str
    source: str

    @property
    def key(self) -> str:
        return f"{self.substance}: {self.danger}"


@cache
def known_cautions() -> tuple[Caution, ...]:
    """Every caution there is, in the order of the table shared/reference/cautions.csv."""
    table = files("shared").joinpath("reference", "cautions.csv").read_text(encoding="utf-8")
    return tuple(
        Caution(row["substance"], cast(Danger, row["danger"]), row["text"], row["source"])
        for row in csv.DictReader(table.splitlines())
    )


_REFUSED = {
    "formalin": "Formalin is poisonous, causes cancer and takes oxygen from the water.",
    "malachite green": "Malachite green is suspected to cause cancer and is forbidden for food fish in many countries.",
    "copper": "Copper's margin is narrow and hangs on the hardness; it kills shrimp and snails.",
}
_OTHER_NAMES = {
    "formaldehyde": "formalin",
    "formol": "formalin",
    "malachite": "malachite green",
    "copper sulfate": "copper",
    "copper sulphate": "copper",
    "hydrogen peroxide": "peroxide",
    "h2o2": "peroxide",
    "methylene": "methylene blue",
    "meth blue": "methylene blue",
    "meth-blue": "methylene blue",
    "sodium chloride": "salt",
    "aquarium salt": "salt",
}
_USUAL = {"salt": 10_000.0, "methylene blue": 3.1, "acriflavine": 5.0}  # mg/L: common practice, no source


def substance_of(word: str) -> str:
    """The one name used here for a substance as a keeper writes it ("H2O2" → "peroxide"); others come back as given."""
    name = " ".join(word.lower().split())
    return _OTHER_NAMES.get(name, name)


def stock_strength(percent: float, g_per_ml: float | None = None) -> Figure:
    """Strength of a stock solution in mg/L. `percent` above 0 to 100, by weight in volume (w/v).

    With `g_per_ml`, the density (0.5–2), the percentage is by weight in weight (w/w), as strong peroxide is sold:
    35 % w/w of 1.13 g/mL is about 395 g/L, not 350. Raises ValueError out of range. Source: definition of % w/v.
    """
    if sane_percent(percent) == 0:
        raise ValueError("a stock of 0 % has nothing in it")
    if g_per_ml is not None and not 0.5 <= g_per_ml <= 2:
        raise ValueError(f"{g_per_ml:g} g/mL is no density of a stock solution")
    kind = "w/v" if g_per_ml is None else f"w/w at {g_per_ml:g} g/mL"
    value = percent * 10_000 * (g_per_ml or 1)
    return Figure(value=value, unit="mg/L", basis=f"{percent:g} % {kind}", sources=("definition of the percentage",))


def drops_mg(drops: float, percent: float = PEROXIDE_PERCENT, drops_per_ml: float = DROPS_PER_ML) -> Figure:
    """Milligrams in so many drops of a stock (% w/v); the width is that of droppers, 18–22 drops to the mL.

    Drops 0 or more, percent above 0 to 100, 5–60 drops to the mL. Raises ValueError out of range.
    """
    if not 5 <= drops_per_ml <= 60:
        raise ValueError(f"{drops_per_ml:g} drops to the millilitre is no dropper; most give about 20")
    mg_per_ml = stock_strength(percent).value / 1000
    whole = sane_amount(drops, "a number of drops") * mg_per_ml
    return Figure(
        value=whole / drops_per_ml,
        low=whole / (drops_per_ml * 1.1),
        high=whole / (drops_per_ml * 0.9),
        unit="mg",
        basis=f"{mg_per_ml:g} mg to the mL, {drops_per_ml:g} drops to the mL",
        sources=(DROP,),
    )


def refusal(substance: str, percent: float | None = None, litres: float | None = None) -> Refusal | None:
    """Why no dose of this is reckoned here, or None when there is nothing against it.

    Refused: formalin, malachite green, copper, peroxide above 3 %, and drops of peroxide for a whole tank.
    """
    name = substance_of(substance)
    if name in _REFUSED:
        return Refusal(name, _REFUSED[name], sources=("product labels; UF/IFAS Extension, from memory",))
    if name != "peroxide":
        return None
    if percent is not None and percent > PEROXIDE_PERCENT:
        return Refusal(
            name,
            f"Drops are only ever counted of 3 % peroxide. {percent:g} % is stronger, and above 20 % it is corrosive"
            " and dangerous to store and thin down.",
            "Use 3 % from the pharmacy; for anything else the label decides.",
            ("UF/IFAS FA157",),
        )
    if litres is not None and litres > TUB_LITRES:
        return Refusal(
            name,
            f"Counting drops is a practice for egg tubs; {litres:.3g} l is a tank, with fish and filter to harm.",
            "Take the eggs out into a tub, or go by the label of a product made for tanks.",
            (PRACTICE,),
        )
    return None


def peroxide(
    litres: float,
    percent: float = PEROXIDE_PERCENT,
    drops: tuple[float, float] = PEROXIDE_DROPS,
    drops_per_ml: float = DROPS_PER_ML,
) -> Dose | Refusal:
    """Whole drops of peroxide (up to 3 % w/v) for an egg tub of so many litres, and the mg/L that makes.

    `drops` is the house's practice for two US cups, fewest and most. Up to 4 l; more, or a stronger stock, is a
    Refusal. Raises ValueError for impossible numbers, and for so little water that one drop is over the practice.
    Source: common practice, no source; far below the 50–250 mg/L of short baths (Mitchell 1998).
    """
    sane_litres(litres)
    refused = refusal("peroxide", percent, litres)
    if refused:
        return refused
    fewest, most = drops
    if not 0 < fewest <= most <= 40:
        raise ValueError(f"{fewest:g} to {most:g} drops for two cups is not a practice I can reckon with")
    share = litres / TWO_CUPS
    high = math.floor(most * share + 1e-9)
    if high < 1:
        raise ValueError("so little water that a single drop is already too much; use at least half a cup")
    low = min(high, max(1, math.ceil(fewest * share - 1e-9)))
    value = min(high, max(low, math.floor((fewest + most) / 2 * share + 0.5)))
    mg = [drops_mg(n, percent, drops_per_ml) for n in (low, value, high)]
    made = mg[1].value / litres
    usual = drops_mg(PEROXIDE_DROPS[1]).value / TWO_CUPS
    found = dangers("peroxide", percent=percent, mg_per_l=made, usual_mg_per_l=usual)
    return Dose(
        substance="peroxide",
        value=value,
        low=low,
        high=high,
        unit="drops",
        mg_per_l=made,
        mg_per_l_low=(mg[0].low or 0) / litres,
        mg_per_l_high=(mg[2].high or 0) / litres,
        basis=f"{fewest:g} to {most:g} drops of {percent:g} % to two cups; {made:.0f} mg/L at {value} drops",
        sources=(PRACTICE, DROP, f"short baths are 50–250 mg/L: {MITCHELL}"),
        cautions=tuple(c.text for c in cautions("peroxide", {*found, "first use"})),
    )


def stock_needed(mg_per_l: float, litres: float, stock_mg_per_l: float, counting_added: bool = False) -> Figure:
    """Millilitres of a stock that bring so many litres to a strength: C1 V1 = C2 V2.

    `counting_added` reckons the stock itself as part of the water. Raises ValueError when the stock is not
    stronger than the target, and for amounts of zero or less.
    """
    target = sane_amount(mg_per_l, "a strength")
    if stock_mg_per_l <= target:
        raise ValueError("the stock must be stronger than the water it is to make")
    divisor = stock_mg_per_l - target if counting_added else stock_mg_per_l
    value = 1000 * target * sane_litres(litres) / divisor
    basis = f"{mg_per_l:g} mg/L × {litres:g} l from {stock_mg_per_l:g} mg/L"
    return Figure(value=value, unit="mL", basis=basis, sources=("C1 V1 = C2 V2",))


def dye(substance: str, ml: float, litres: float, percent: float) -> Dose | Refusal:
    """The mg/L that so many mL of a dye stock (methylene blue, acriflavine; % w/v) make in so many litres.

    Formalin, malachite green and copper are a Refusal, and so is a dye not known here.
    Raises ValueError for impossible numbers.
    """
    name = substance_of(substance)
    refused = refusal(name) or _unknown(name)
    if refused:
        return refused
    mg = sane_amount(ml, "an amount") * stock_strength(percent).value / 1000
    made = mg / sane_litres(litres)
    found = dangers(name, mg_per_l=made)
    return Dose(
        substance=name,
        value=ml,
        unit="mL",
        mg_per_l=made,
        mg_per_l_low=made,
        mg_per_l_high=made,
        basis=f"{mg:.3g} mg in {litres:.4g} l; stock {percent:g} % w/v",
        sources=("definition of the percentage",),
        cautions=tuple(c.text for c in cautions(name, {*found, "first use", "stronger stock"})),
    )


def dye_needed(substance: str, mg_per_l: float, litres: float, percent: float) -> Dose | Refusal:
    """The mL of a dye stock for a wanted mg/L (from the label); otherwise as `dye`."""
    name = substance_of(substance)
    refused = refusal(name) or _unknown(name)
    if refused:
        return refused
    return dye(name, stock_needed(mg_per_l, litres, stock_strength(percent).value).value, litres, percent)


def _unknown(name: str) -> Refusal | None:
    if name in {"methylene blue", "acriflavine"}:
        return None
    return Refusal(name, f"I know no dose of {name}.", sources=())


def salt(g_per_l: float, litres: float) -> Dose:
    """Grams of plain salt for so many g/L, 0–35, in so many litres. Raises ValueError out of range.

    20–30 g/L is a bath of 10–15 minutes (Kubitza, salt in aquaculture part 2); sea water is 35.
    """
    if not 0 <= g_per_l <= 35:
        raise ValueError(f"{g_per_l:g} g/L is saltier than the sea, or less than none")
    value = g_per_l * sane_litres(litres)
    found = dangers("salt", mg_per_l=g_per_l * 1000)
    return Dose(
        substance="salt",
        value=value,
        unit="g",
        mg_per_l=g_per_l * 1000,
        mg_per_l_low=g_per_l * 1000,
        mg_per_l_high=g_per_l * 1000,
        basis=f"{g_per_l:g} g to each of {litres:.4g} l; weigh it, spoons differ by the grain",
        sources=("mass of salt by volume of water",),
        cautions=tuple(c.text for c in cautions("salt", {*found, "first use"})),
    )


def dangers(
    substance: str,
    percent: float | None = None,
    mg_per_l: float | None = None,
    usual_mg_per_l: float | None = None,
    usual_percent: float | None = None,
    inside: Collection[str] = (),
) -> frozenset[Danger]:
    """Which dangers a dose holds: a stock stronger, or a dose larger, than usual, and who is in the tub.

    `inside` is what lives there in a keeper's words (fry, juveniles, shrimp, snails, plants, moss, food fish);
    `usual_…` is the room's own practice where it has one. Never raises.
    """
    name = substance_of(substance)
    strong = usual_percent if usual_percent is not None else PEROXIDE_PERCENT if name == "peroxide" else None
    most = usual_mg_per_l if usual_mg_per_l is not None else _USUAL.get(name)
    words = " ".join(inside).lower().split()
    lives = {*words, *(word.removesuffix("s") for word in words)}
    here: dict[Danger, bool] = {
        "stronger stock": percent is not None and strong is not None and percent > strong,
        "larger dose": mg_per_l is not None and most is not None and mg_per_l >= most * 1.001,
        "fry": bool(lives & {"fry", "juvenile", "larvae"}),
        "invertebrates": bool(lives & {"shrimp", "snail", "invertebrate", "cleaner"}),
        "plants": bool(lives & {"plant", "moss", "fern"}),
        "food fish": "food fish" in {word.lower() for word in inside},
    }
    return frozenset(danger for danger, there in here.items() if there)


def cautions(substance: str, found: Iterable[Danger], told: Collection[str] = ()) -> tuple[Caution, ...]:
    """The cautions for these dangers of a substance that have not been `told` (by key), in the table's order."""
    name, wanted = substance_of(substance), set(found)
    return tuple(c for c in known_cautions() if c.substance == name and c.danger in wanted and c.key not in told)
