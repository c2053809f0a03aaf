"""What a water reading means for fish, and the sums of changing water, so that nobody has to trust a printed table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from shared.quantities import (
    PRACTICE,
    Figure,
    nitrogen_of,
    sane_amount,
    sane_celsius,
    sane_ph,
)

Band: TypeAlias = Literal["fine", "raised", "harmful", "dangerous"]
As: TypeAlias = Literal["n", "ion"]
BANDS: tuple[Band, ...] = ("fine", "raised", "harmful", "dangerous")
EMERSON = "Emerson et al. 1975, J. Fish. Res. Board Can. 32:2379"
BENSON_KRAUSE = "Benson & Krause 1984, as in APHA Standard Methods 4500-O and EN 25814"

# Where a band begins, mg/L as N, and why there.
_AMMONIA = (0.02, 0.05, 0.2)  # un-ionised
_AMMONIA_SOURCES = (
    "0.02: losses of trout eggs and fry at 0.022 mg/L NH3 over 73 days (registration dossier of ammonia, ECHA)",
    "0.05: UF/IFAS Extension FA031",
    f"0.2: {PRACTICE}",
)
_NITRITE = (0.05, 0.2, 1.0)
_NITRITE_SOURCES = (
    "0.2: blood of Brycon cephalus browned at 0.2–0.6 mg/L NO2-N in a day to four, "
    "Avilez et al. 2004, Comp. Biochem. Physiol. C 139:135",
    f"0.05 and 1: {PRACTICE}",
)
_NITRATE = (10.0, 25.0, 100.0)
_NITRATE_SOURCES = (
    "10: Camargo et al. 2005, Chemosphere 58:1255 (long exposure, sensitive freshwater animals)",
    f"25 and 100: {PRACTICE}",
)


_PH_SOURCES = (
    "Swingle 1969, as in Boyd 1990, Water Quality in Ponds for Aquaculture, from memory: below 4 and above 11 fish "
    "die, 4 to 5 no breeding, 5 to 6.5 and 9 to 11 slow growth, 6.5 to 9 as wanted",
)
_USUAL_PH = {  # by genus, else family: what keepers breed them in; common practice, no source
    "Fundulopanchax": (6.0, 7.5),
    "Aphyosemion": (5.5, 7.0),
    "Epiplatys": (5.5, 7.0),
    "Poropanchax": (6.0, 7.8),
    "Nothobranchius": (6.5, 7.8),
    "Austrolebias": (6.0, 7.5),
    "Melanotaenia": (6.5, 8.2),
    "Melanotaeniidae": (6.5, 8.2),
    "Pseudomugil": (6.5, 8.0),
    "Oryzias": (6.5, 8.5),
    "Jordanella": (6.5, 8.5),
    "Corydoras": (6.0, 7.5),
    "Callichthyidae": (6.0, 7.5),
    "Paracheirodon": (5.0, 7.0),
}


@dataclass(frozen=True, kw_only=True)
class Reading(Figure):
    """What a reading means: its band, the band it may be in at the upper end of its width, and what to do first."""

    band: Band
    perhaps: Band
    first: tuple[str, ...]


def ammonia_pka(celsius: float) -> float:
    """pKa of NH4⁺ in fresh water, 0–50 °C: 0.09018 + 2729.92 / T. Source: Emerson et al. 1975.

    Raises ValueError outside 0–50 °C.
    """
    return 0.09018 + 2729.92 / (sane_celsius(celsius) + 273.15)


def unionised_fraction(celsius: float, ph: float, salt_g_per_l: float = 0.0) -> float:
    """Share of total ammonia that is NH3, 0–1; °C 0–50, pH 3–11, salt 0–10 g/L of NaCl.

    Emerson et al. 1975 for fresh water. With salt the ammonium ion is held back by the Davies equation
    (so NH3 is less: 7 % at 0.3 g/L, about a fifth at 3 g/L); 0 is the safe side. Raises ValueError out of range.
    """
    if not 0 <= salt_g_per_l <= 10:
        raise ValueError(f"{salt_g_per_l:g} g/L of salt is outside what this sum holds for (0 to 10)")
    root = math.sqrt(salt_g_per_l / 58.44)  # ionic strength of NaCl in mol/L, square root
    log_activity = -0.509 * (root / (1 + root) - 0.3 * root * root)
    return 1 / (1 + 10 ** (ammonia_pka(celsius) - sane_ph(ph) - log_activity))


def _band(value: float, edges: Sequence[float]) -> Band:
    return BANDS[sum(value >= edge for edge in edges)]


def ammonia(
    total: float,
    ph: float | None,
    celsius: float | None,
    as_: As | None = "n",
    salt_g_per_l: float = 0.0,
    ph_within: float = 0.2,
) -> Reading:
    """Un-ionised ammonia, mg/L NH3-N, from a total reading in mg/L, and what to do first.

    `as_`: the test reads as nitrogen or as the ion (NH4⁺); None when nobody knows, which widens the answer. A pH not
    given is taken as 6.5–8.4, a temperature as 20–28 °C, and the band is then that of the upper end. `ph_within` is
    how far a drop test may be off. Raises ValueError for a negative total, pH outside 3–11, °C outside 0–50.
    """
    sane_amount(total, "an ammonia reading")
    as_n = nitrogen_of(total, "ammonia") if as_ == "ion" else total
    low_n = nitrogen_of(total, "ammonia") if as_ is None else as_n
    phs = (6.5, 7.5, 8.4) if ph is None else (ph - ph_within, sane_ph(ph), ph + ph_within)
    warm = (20.0, 25.0, 28.0) if celsius is None else (celsius, sane_celsius(celsius), celsius)
    low, value, high = (
        n * unionised_fraction(t, min(max(p, 3), 11), salt_g_per_l)
        for n, t, p in zip((low_n, as_n, as_n), warm, phs, strict=True)
    )
    perhaps = _band(high, _AMMONIA)
    band = perhaps if ph is None or celsius is None else _band(value, _AMMONIA)
    cautions = ["Eggs and fry bear less than grown fish; the figures hold for fresh water and are approximate."]
    missing = [name for name, given in (("pH", ph), ("temperature", celsius)) if given is None]
    if missing:
        cautions.insert(0, f"Without the {' and the '.join(missing)} this is a guess to the safe side; please measure.")
    if as_ is None:
        cautions.append("It is not known whether the test reads as nitrogen or as the ion (22 % less); taken as N.")
    if ph is not None and ph < 7.2 and as_n >= 0.5:
        cautions.append(
            "At this pH most of it is harmless ammonium; harder water with a higher pH turns it to ammonia at once. "
            "Change little at a time with water of the same pH."
        )
    return Reading(
        value=value,
        unit="mg/L NH3-N",
        low=low,
        high=high,
        basis=f"{value / as_n if as_n else 0:.1%} of {as_n:.3g} mg/L ammonia-N is un-ionised"
        f" at {warm[1]:.1f} °C and pH {phs[1]:g}; width: pH {phs[0]:.2g} to {phs[2]:.2g}",
        sources=(EMERSON, *_AMMONIA_SOURCES),
        cautions=tuple(cautions),
        band=band,
        perhaps=perhaps,
        first=_ammonia_first(band, as_n, value if band == _band(value, _AMMONIA) else high),
    )


def _ammonia_first(band: Band, total_n: float, unionised: float) -> tuple[str, ...]:
    if band == "fine":
        if total_n < 0.25:
            return ()
        return ("No hurry for the fish, but a settled tank reads nothing: look for dead fish, eggs or old food.",)
    changes = math.ceil(math.log(_AMMONIA[0] / unionised) / math.log(0.5) - 1e-9) if unionised > 0 else 1
    water = "dechlorinated water of the same temperature and pH"
    steps = [
        f"Change half the water with {water}" + (f", {changes} times over the day" if changes > 1 else "") + ".",
        "No food until it is down; take out anything dead or left over.",
        "More air. See that the filter runs, and do not wash it now.",
        "Measure again tomorrow." if band == "raised" else "Measure again in a few hours.",
    ]
    if band == "dangerous":
        steps.insert(0, "Move eggs and fry to clean water of the same temperature and pH, if there is any ready.")
    return tuple(steps)


def nitrite(reading: float, as_: As | None = "n") -> Reading:
    """What a nitrite reading (mg/L, zero or more) means; `value` is mg/L NO2-N.

    `as_` as in `ammonia` (the ion weighs 3.28 times its nitrogen). Raises ValueError below zero.
    """
    return _plain("nitrite", reading, as_, _NITRITE, _NITRITE_SOURCES)


def nitrate(reading: float, as_: As | None = "n") -> Reading:
    """What a nitrate reading (mg/L, zero or more) means; `value` is mg/L NO3-N.

    `as_` as in `ammonia` (the ion weighs 4.43 times its nitrogen). Raises ValueError below zero.
    """
    return _plain("nitrate", reading, as_, _NITRATE, _NITRATE_SOURCES)


def ph(reading: float, genus: str | None = None, family: str | None = None) -> Reading:
    """What a pH (3–11) means for fish, and for a genus or family keepers breed where their practice is known.

    Source: Swingle 1969 in Boyd 1990, for pond fish; by genus common practice. Raises ValueError outside 3–11.
    """
    sane_ph(reading)
    usual = _USUAL_PH.get(genus or "") or _USUAL_PH.get(family or "")
    edge = min(reading - 4.0, 11.0 - reading)
    band: Band = "fine" if 6.5 <= reading <= 9 else "raised" if 5 <= reading < 6.5 else "harmful"
    if edge < 0:
        band = "dangerous"
    if usual and usual[0] <= reading <= usual[1]:
        band = "fine"
    first: tuple[str, ...] = ("Keep it steady rather than chase a figure.",)
    if band != "fine":
        first = (
            "Measure again with a fresh test, and the tap water after a day of standing; then change a fifth a day "
            "with water of the wanted pH. No sudden jumps, and no chemicals to force it.",
        )
    cautions = []
    if reading >= 8:
        cautions.append("From pH 8 up far more of any ammonia is the poisonous kind.")
    if reading < 6:
        cautions.append("Below pH 6 a filter takes up ammonia slowly; water this soft can drop further, so watch it.")
    whose = f"; {genus or family} are bred at {usual[0]:g} to {usual[1]:g}" if usual else ""
    sources = (*_PH_SOURCES, *((f"range of {genus or family}: {PRACTICE}",) if usual else ()))
    return Reading(
        value=reading,
        unit="pH",
        low=usual[0] if usual else 6.5,
        high=usual[1] if usual else 9.0,
        basis=f"6.5 to 9 suits most fish{whose}",
        sources=sources,
        cautions=tuple(cautions),
        band=band,
        perhaps=band,
        first=first,
    )


_FIRST: dict[tuple[str, Band], tuple[str, ...]] = {
    ("nitrite", "raised"): ("Change a third to half of the water today, feed less, and measure again tomorrow.",),
    ("nitrite", "harmful"): (
        "Change half the water now, again later in the day; no food until it is down.",
        "More air: nitrite stops the blood carrying oxygen.",
        "Measure daily; the filter is young, overloaded or was harmed.",
    ),
    ("nitrate", "raised"): ("Larger or more frequent changes over the next week; test the tap water too.",),
    ("nitrate", "harmful"): (
        "Change a third today and again on the next days, rather than all at once.",
        "Feed less and test the tap water: what is in it cannot be changed out.",
    ),
}


def _plain(
    kind: Literal["nitrite", "nitrate"],
    reading: float,
    as_: As | None,
    edges: tuple[float, float, float],
    sources: tuple[str, ...],
) -> Reading:
    lesser = nitrogen_of(reading, kind)
    value = lesser if as_ == "ion" else sane_amount(reading, kind)
    band = _band(value, edges)
    cautions = []
    if as_ is None:
        cautions.append("It is not known whether the test reads as nitrogen or as the ion; taken as N, the safe side.")
    if kind == "nitrite" and band != "fine":
        cautions.append(
            "Chloride (a little plain salt) protects many fish, but not all, and plants and some catfish mind it."
        )
    if band != "fine":
        cautions.append("Fry and eggs bear less than grown fish.")
    if as_ == "n" and (other := _band(lesser, edges)) != band:
        cautions.insert(0, f"If your test reads the ion, as many do, and not nitrogen, it is {other}.")
    return Reading(
        value=value,
        unit=f"mg/L {'NO2' if kind == 'nitrite' else 'NO3'}-N",
        low=lesser if as_ is None else None,
        high=value if as_ is None else None,
        basis=f"bands begin at {edges[0]:g}, {edges[1]:g} and {edges[2]:g} mg/L as N",
        sources=sources,
        cautions=tuple(cautions),
        band=band,
        perhaps=band,
        first=_FIRST.get((kind, "harmful" if band == "dangerous" else band), ()),
    )


def oxygen_saturation(celsius: float, salt_g_per_kg: float = 0.0, altitude_m: float = 0.0) -> Figure:
    """Oxygen that air-saturated water holds, mg/L; 0–40 °C, salinity 0–40 g/kg, altitude −400 to 5000 m.

    Benson & Krause 1984 with its salinity and pressure terms; the pressure is that of the standard atmosphere at
    that altitude, so weather moves it by a few per cent. Raises ValueError out of range.
    """
    if sane_celsius(celsius) > 40 or not 0 <= salt_g_per_kg <= 40 or not -400 <= altitude_m <= 5000:
        raise ValueError("oxygen is known for 0 to 40 °C, 0 to 40 g/kg of salt and up to 5000 m above the sea")
    t = celsius + 273.15
    fresh = -139.34411 + 1.575701e5 / t - 6.642308e7 / t**2 + 1.243800e10 / t**3 - 8.621949e11 / t**4
    value = math.exp(fresh - salt_g_per_kg * (1.7674e-2 - 10.754 / t + 2140.7 / t**2))
    if altitude_m:
        air = (1 - 2.25577e-5 * altitude_m) ** 5.25588
        vapour = math.exp(11.8571 - 3840.70 / t - 216961 / t**2)
        theta = 0.000975 - 1.426e-5 * celsius + 6.436e-8 * celsius**2
        value *= air * (1 - vapour / air) * (1 - theta * air) / ((1 - vapour) * (1 - theta))
    cautions = ("A tank full of fish, food or warmth holds less than this unless it is aired.",)
    return Figure(value=value, unit="mg/L", basis="air-saturated water", sources=(BENSON_KRAUSE,), cautions=cautions)


def oxygen_percent(mg_per_l: float, celsius: float, salt_g_per_kg: float = 0.0, altitude_m: float = 0.0) -> Figure:
    """Per cent of air saturation of an oxygen reading in mg/L; ranges and errors as `oxygen_saturation`."""
    full = oxygen_saturation(celsius, salt_g_per_kg, altitude_m)
    value = 100 * sane_amount(mg_per_l, "an oxygen reading") / full.value
    cautions = ("Below 60 %, the least that egg tests allow (OECD 210, from memory): more air.",) if value < 60 else ()
    basis = f"saturated water holds {full.value:.2f} mg/L at {celsius:g} °C"
    return Figure(value=value, unit="%", basis=basis, sources=(BENSON_KRAUSE,), cautions=cautions)


OXYGEN_FELT = "UF/IFAS FA002 and Boyd 1990, from memory: 5 mg/L and more wanted in warm water, stress below 3 to 4"


def oxygen_means(mg_per_l: float) -> str:
    """What so much oxygen (mg/L) is to warm-water fish, one sentence. Source: UF/IFAS FA002, Boyd 1990, from memory."""
    if mg_per_l >= 5:
        return "Enough for warm-water fish (5 mg/L and more)."
    if mg_per_l >= 3:
        return "Low: fish eat and grow less below 5 mg/L; more air, less food."
    return "Too little: fish suffocate below about 3 mg/L; air now, and change part of the water."
