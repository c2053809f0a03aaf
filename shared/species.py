"""The species keepers breed, by scientific or common name: family, how they lay, and where their eggs thrive.

Read from `reference/species.csv`; an unknown species of a known genus is answered from its genus and says so.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Literal, TypeAlias, cast

Mouth: TypeAlias = Literal["tiny", "small", "large"]
REFERENCE = Path(__file__).parent / "reference"


@dataclass(frozen=True)
class Species:
    """One species, or (`genus_level`) what is known of its genus."""

    name: str  # scientific
    common: tuple[str, ...]
    family: str
    egg_type: str  # plant-spawner, annual, bottom, glass, scatterer, cave, substrate, bubble-nest
    waits: bool  # ready eggs wait for rain or a flood, so no hatch date can be given
    temp_low: float  # °C, the range in which eggs are said to develop well
    temp_high: float
    basis: str  # where that range comes from
    lays_daily: bool  # a few eggs a day, so a mop holds eggs of several ages
    earliest_days: float | None = None  # eggs that wait: earliest age from laying at which any may be ready
    usual_weeks: tuple[float, float] | None = None  # eggs in peat: usually ready (common practice, no source)
    mouth: Mouth | None = None  # of newly hatched fry: common practice, no source; None where nobody says
    also: tuple[str, ...] = ()  # other scientific names
    note: str = ""  # what a keeper should know of its hatching
    genus_level: bool = False

    @property
    def genus(self) -> str:
        return self.name.split()[0]


def _words(cell: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in cell.split(";") if word.strip())


def _span(cell: str) -> tuple[float, float] | None:
    low, _, high = cell.partition("-")
    return (float(low), float(high)) if low else None


@cache
def all_species() -> tuple[Species, ...]:
    """Every species of the table, in its order."""
    with (REFERENCE / "species.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            Species(
                name=row["name"],
                common=_words(row["common"]),
                family=row["family"],
                egg_type=row["egg_type"],
                waits=row["waits"] == "yes",
                temp_low=float(row["temp_low"]),
                temp_high=float(row["temp_high"]),
                basis=row["basis"],
                lays_daily=row["lays"] == "daily",
                earliest_days=float(row["earliest_days"]) if row["earliest_days"] else None,
                usual_weeks=_span(row["usual_weeks"]),
                mouth=cast(Mouth, row["mouth"]) if row["mouth"] else None,
                also=_words(row["also"]),
                note=row["note"],
            )
            for row in csv.DictReader(table)
        )


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("’", "'").split())


@cache
def _index() -> tuple[dict[str, Species], dict[str, list[Species]]]:
    names: dict[str, Species] = {}
    genera: dict[str, list[Species]] = {}
    for species in all_species():
        for name in (species.name, *species.common, *species.also):
            names.setdefault(_plain(name), species)
        for name in (species.name, *species.also):
            group = genera.setdefault(_plain(name).split()[0], [])
            if species not in group:
                group.append(species)
    return names, genera


# What keepers make of the last word of a common name.
_SHORTER = {
    "rainbow": "rainbowfish", "rainbows": "rainbowfish", "bows": "rainbowfish", "killi": "killifish",
    "killis": "killifish", "killies": "killifish", "cory": "corydoras", "corys": "corydoras", "cories": "corydoras",
    "blueeye": "blue-eye", "blueeyes": "blue-eye", "blue-eyes": "blue-eye", "rice-fish": "ricefish",
}  # fmt: skip


@cache
def _epithets() -> dict[str, Species]:
    """The second words of scientific names that only one species has: keepers say “australe”."""
    found: dict[str, set[str]] = {}
    for species in all_species():
        for name in (species.name, *species.also):
            words = _plain(name).split()
            if len(words) > 1 and len(words[1]) > 4:
                found.setdefault(words[1], set()).add(species.name)
    names = _index()[0]
    return {epithet: names[_plain(min(its))] for epithet, its in found.items() if len(its) == 1}


@cache
def find_species(name: str) -> Species | None:
    """The species of that scientific or common name, whatever its capitals; None when it is not known.

    A name whose first word is a known genus gives a `genus_level` species under the name as written.
    """
    plain = _plain(name)
    if not plain:
        return None
    names, genera = _index()
    if plain in names or plain in _epithets():
        return names.get(plain) or _epithets()[plain]
    words = plain.split()
    if len(words) > 1 and (whole := " ".join((*words[:-1], _SHORTER.get(words[-1], "")))) in names:
        return names[whole]
    if " ".join(words[:2]) in names and len(words) > 2 and words[0] in genera:  # a subspecies or population named
        return names[" ".join(words[:2])]
    if words[-1] in ("sp.", "sp", "spp.", "spp"):
        words = words[:-1]
    if not words:
        return None
    group = genera.get(words[0], [])
    if not group:
        return None
    model = group[0]
    return replace(
        model,
        name=" ".join((words[0].capitalize(), *(words[1:] or ["sp."]))),
        common=(),
        also=(),
        note="",
        waits=any(species.waits for species in group),
        temp_low=min(species.temp_low for species in group),
        temp_high=max(species.temp_high for species in group),
        basis="taken from its genus: " + ", ".join(species.name for species in group),
        earliest_days=min((s.earliest_days for s in group if s.earliest_days), default=None),
        usual_weeks=_widest([s.usual_weeks for s in group if s.usual_weeks]),
        genus_level=True,
    )


def _widest(spans: list[tuple[float, float]]) -> tuple[float, float] | None:
    return (min(low for low, _ in spans), max(high for _, high in spans)) if spans else None


# Where the parents guard their eggs there is no mop. Fish that stick theirs to glass take to a mop as well, and keep it
# until the keeper says that theirs do not: common practice, no source.
_COLLECTED = {"cave": "guarded", "substrate": "guarded", "bubble-nest": "guarded"}


def usual_way(name: str | None) -> str | None:
    """How a species' eggs are usually collected, as a keeper says it; None for mops, peat, and fish not known."""
    found = find_species(name) if name else None
    return _COLLECTED.get(found.egg_type) if found else None


# The smallest that are kept, by genus or species: common practice, no source.
TINY = (
    "epiplatys annulatus",
    "pseudepiplatys",
    "poropanchax",
    "lacustricola",
    "pseudomugil",
    "iriatherina",
)


def mouth_of(name: str | None) -> Mouth | None:
    """How wide the mouths of a species' fry are, as keepers say; None for a fish nobody has said it of.

    Of a species known by its genus alone only what all its known relatives share. Common practice, no source.
    """
    found = find_species(name) if name else None
    if found is None or not found.genus_level:
        return found.mouth if found else None
    alike = {species.mouth for species in all_species() if species.genus == found.genus}
    return alike.pop() if len(alike) == 1 else None
