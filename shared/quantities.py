"""Units of the fish room and the form of an answer that has a number in it.

Everything a keeper meets daily is closed form here; a general unit library is asked, lazily, for odd units only,
because it reads "78 F" as farads, "26 C" as coulombs and "ppt" as picopints.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

Gallon: TypeAlias = Literal["us", "imperial"]
Nitrogen: TypeAlias = Literal["ammonia", "nitrite", "nitrate"]

NIST = "NIST Handbook 44, Appendix C"
PRACTICE = "common practice, no source"
DROPS_PER_ML = 20.0  # NCI Thesaurus C69442; USP <1101> lets a drop of water weigh 45–55 mg, so 18–22

LITRES: dict[str, dict[str, float]] = {
    "us": {
        "gal": 3.785411784,
        "qt": 0.946352946,
        "pt": 0.473176473,
        "cup": 0.2365882365,
        "floz": 0.0295735295625,
        "tbsp": 0.01478676478125,
        "tsp": 0.00492892159375,
    },
    # the imperial measures have no cup; the spoons are the 5 and 15 mL kitchen spoons
    "imperial": {
        "gal": 4.54609,
        "qt": 1.1365225,
        "pt": 0.56826125,
        "cup": 0.2365882365,
        "floz": 0.0284130625,
        "tbsp": 0.015,
        "tsp": 0.005,
    },
}  # NIST Handbook 44, Appendix C; UK Weights and Measures Act 1985

_CACO3, _CAO = 40.078 + 12.011 + 3 * 15.999, 40.078 + 15.999  # IUPAC molar masses, g/mol
_N, _H, _O = 14.007, 1.008, 15.999
_ION = {"ammonia": (_N + 4 * _H) / _N, "nitrite": (_N + 2 * _O) / _N, "nitrate": (_N + 3 * _O) / _N}

_FIXED: dict[str, tuple[str, float]] = {
    "l": ("volume", 1.0),
    "ml": ("volume", 0.001),
    "cl": ("volume", 0.01),
    "ft3": ("volume", 28.316846592),
    "in3": ("volume", 0.016387064),
    "m3": ("volume", 1000.0),
    "g": ("mass", 1.0),
    "mg": ("mass", 0.001),
    "kg": ("mass", 1000.0),
    "oz": ("mass", 28.349523125),
    "lb": ("mass", 453.59237),
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "in": ("length", 25.4),
    "ft": ("length", 304.8),
    "um": ("length", 0.001),
    "mg/l": ("concentration", 1.0),
    "g/l": ("concentration", 1000.0),
    "ug/l": ("concentration", 0.001),
    "dh": ("hardness", 10.0 * _CACO3 / _CAO),  # 10 mg/L CaO to the German degree
    "fh": ("hardness", 10.0),  # 10 mg/L CaCO3 to the French degree
    "eh": ("hardness", 64.79891 / 4.54609),  # one grain of CaCO3 in the imperial gallon
    "gpg": ("hardness", 64.79891 / 3.785411784),  # one grain of CaCO3 in the US gallon
    "mg/l caco3": ("hardness", 1.0),
    "mmol/l": ("hardness", _CACO3),
    "meq/l": ("hardness", _CACO3 / 2),
}

_ALIASES = {
    "gal": "gallon gallons gals",
    "qt": "qts quart quarts",
    "pt": "pts pint pints",
    "cup": "cups",
    "floz": "fl oz|fluid ounce|fluid ounces",
    "tbsp": "tbs tbsps tablespoon tablespoons",
    "tsp": "tsps teaspoon teaspoons",
    "drop": "drops gtt",
    "l": "liter liters litre litres ltr",
    "ml": "millilitre millilitres milliliter milliliters cc cm3",
    "cl": "centilitre centilitres centiliter",
    "ft3": "cu ft|cubic foot|cubic feet|ft³",
    "in3": "cu in|cubic inch|cubic inches|in³",
    "m3": "m³|cubic metre|cubic metres|cubic meter",
    "g": "gram grams gramme grammes",
    "mg": "milligram milligrams",
    "kg": "kilo kilos kilogram kilograms",
    "oz": "ounce ounces",
    "lb": "lbs pound pounds",
    "mm": "millimetre millimetres millimeter millimeters",
    "cm": "centimetre centimetres centimeter centimeters",
    "m": "metre metres meter meters",
    "in": 'inch inches "',
    "ft": "foot feet '",
    "um": "µm μm micron microns micrometre micrometer",
    "mg/l": "ppm|parts per million",
    "g/l": "ppt|parts per thousand|‰",
    "ug/l": "µg/l|ppb",
    "dh": "dgh|dkh|°dh|°d|gh|kh|german degree|german degrees|degree german|degrees german|°gh|°kh",
    "fh": "°fh|°f hardness|french degree|french degrees|degree french|degrees french",
    "eh": "°eh|°e|°clark|clark|english degree|english degrees|degrees clark|degrees english",
    "gpg": "grains per gallon|grain per gallon",
    "mg/l caco3": "ppm caco3|mg/l as caco3|ppm as caco3",
    "f": "°f|fahrenheit|deg f|degrees f|degrees fahrenheit",
    "c": "°c|celsius|centigrade|deg c|degrees c|degrees celsius",
    "k": "kelvin",
}
_NAMES = {
    name: unit
    for unit, words in _ALIASES.items()
    for name in (unit, *(words.split("|") if "|" in words else words.split()))
}
_SYSTEMS: dict[str, Gallon] = {"us": "us", "u.s.": "us", "imp": "imperial", "imperial": "imperial", "uk": "imperial"}


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One number with its width and where it comes from: enough for a short answer and for its "why?".

    `low` and `high` are None where the number is exact; `basis` is one line; `cautions` are whole sentences.
    """

    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    basis: str
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def _real(value: float, what: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a plain number")
    return float(value)


def sane_celsius(celsius: float) -> float:
    """The same water temperature in °C, 0 to 50. Raises ValueError saying what it would be in °F otherwise."""
    if not 0 <= _real(celsius, "a temperature") <= 50:
        raise ValueError(f"{celsius:g} °C ({celsius * 1.8 + 32:g} °F) is no water temperature a fish lives at")
    return float(celsius)


def sane_ph(ph: float) -> float:
    """The same pH, 3 to 11. Raises ValueError otherwise; 72 is most likely 7.2, which only the keeper knows."""
    if not 3 <= _real(ph, "a pH") <= 11:
        raise ValueError(f"pH {ph:g} is not possible in a tank; pH lies between 3 and 11")
    return float(ph)


def sane_litres(litres: float) -> float:
    """The same volume in litres, above 0 and up to 100 000. Raises ValueError otherwise."""
    if not 0 < _real(litres, "a volume") <= 100_000:
        raise ValueError(f"{litres:g} l is not a volume of water; it must be more than nothing")
    return float(litres)


def sane_percent(percent: float) -> float:
    """The same percentage, 0 to 100. Raises ValueError otherwise."""
    if not 0 <= _real(percent, "a percentage") <= 100:
        raise ValueError(f"{percent:g} % is not possible; it must lie between 0 and 100")
    return float(percent)


def sane_amount(amount: float, what: str) -> float:
    """The same amount, zero or more (`what` names it in the error). Raises ValueError when below zero."""
    if _real(amount, what) < 0:
        raise ValueError(f"{what} cannot be below zero ({amount:g})")
    return float(amount)


def celsius_of(fahrenheit: float) -> float:
    """°C of a temperature in °F, −76 to 248 °F (ice to past boiling); by definition.

    Raises ValueError outside that range (780 °F is a slip of the finger, not a temperature).
    """
    return _in_celsius(_temperature(fahrenheit, "f"), "f")


def _temperature(value: float, scale: str) -> float:
    if not -60 <= _in_celsius(_real(value, "a temperature"), scale) <= 120:
        mark = {"f": "°F", "c": "°C", "k": "K"}[scale]
        raise ValueError(f"{value:g} {mark} is not a temperature of this world's fish rooms; please check it")
    return float(value)


def _in_celsius(value: float, scale: str) -> float:
    return (value - 32) / 1.8 if scale == "f" else value - 273.15 if scale == "k" else value


def ion_of(mg_n: float, kind: Nitrogen) -> float:
    """mg/L of the ion (NH4⁺, NO2⁻, NO3⁻) from mg/L "as N". IUPAC molar masses: ×1.288, ×3.284, ×4.427.

    Raises ValueError below zero.
    """
    return sane_amount(mg_n, f"{kind}") * _ION[kind]


def nitrogen_of(mg_ion: float, kind: Nitrogen) -> float:
    """mg/L "as N" from mg/L of the ion; the inverse of `ion_of`. Raises ValueError below zero."""
    return sane_amount(mg_ion, f"{kind}") / _ION[kind]


_VOLUME = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*([^\d\s].*?)?\.?\s*$")


def litres_of(text: str | float | int, gallon: Gallon = "us") -> float:
    """Litres of a volume as written on a card ("20 gal", "2 cups", "5,5 l"; a bare number is litres).

    Raises ValueError naming the text when it is not a volume above zero, or when a comma may mean thousands.
    """
    found = _VOLUME.match(str(text))
    if found and re.fullmatch(r"[1-9]\d{0,2},\d{3}", found[1]):
        raise ValueError(f"“{text}”: is that comma for thousands or for decimals? Write it like 1000 ml or 1 l")
    unit = _unit(found[2] or "l", gallon) if found else None
    if not found or unit is None or unit[0] != "volume" or float(found[1].replace(",", ".")) <= 0:
        raise ValueError(f"“{text}” is not a volume; write it like 20 gal, 2 cups or 40 l")
    return float(found[1].replace(",", ".")) * unit[1]


def _unit(word: str, gallon: Gallon) -> tuple[str, float, str] | None:
    """Dimension, factor to its basic unit, and our short name; None when it is not one of ours."""
    name = re.sub(r"\s+", " ", word.strip().lower())
    first, _, rest = name.partition(" ")
    system = _SYSTEMS.get(first) if rest else None
    if system:
        name, gallon = rest, system
    bare = name.replace(".", "")
    short = _NAMES.get(name) or _NAMES.get(bare)
    if short is None or (system and short not in LITRES["us"]):
        return None
    if short in LITRES[gallon]:
        return "volume", LITRES[gallon][short], short
    if short == "drop":
        return "volume", 0.001 / DROPS_PER_ML, short
    if short in {"f", "c", "k"}:
        return "temperature", 1.0, short
    return (*_FIXED[short], short)


def convert(amount: float, unit: str, to: str, gallon: Gallon = "us") -> Figure:
    """`amount` of `unit` in the unit `to`: volumes, masses, lengths, temperatures, hardness, concentrations.

    `gallon` says which gallon, quart, pint, fluid ounce and spoons are meant unless the unit says it ("imp gal").
    Amounts are zero or more, temperatures −60 to 120 °C; "F" and "C" are degrees, ppt is g/L, ppm is mg/L and,
    beside a hardness, mg/L of CaCO3. Raises ValueError for unknown units, for units of different kinds, and for
    impossible amounts. Sources: NIST Handbook 44; UK Weights and Measures Act; definitions of the hardness degrees.
    """
    have, want = _unit(unit, gallon), _unit(to, gallon)
    if have is None or want is None:
        return _odd(amount, unit, to, have, want)
    kinds = {have[0], want[0]}
    if kinds == {"mass", "volume"} and "oz" in (have[2], want[2]):
        ounce = ("volume", LITRES[gallon]["floz"], "floz")
        have, want = (ounce if have[2] == "oz" else have), (ounce if want[2] == "oz" else want)
        kinds = {"volume"}
    if len(kinds) > 1 and kinds != {"hardness", "concentration"}:
        raise ValueError(f"{unit} is a {have[0]} and {to} a {want[0]}; one does not turn into the other")
    if have[0] == "temperature":
        degrees = _in_celsius(_temperature(amount, have[2]), have[2])
        value = {"f": degrees * 1.8 + 32, "k": degrees + 273.15}.get(want[2], degrees)
        return Figure(value=value, unit=to, basis="°F = °C × 1.8 + 32", sources=("definition",))
    factor = have[1] / want[1]
    value = sane_amount(amount, f"an amount in {unit}") * factor
    low = high = None
    cautions: tuple[str, ...] = ()
    units = {have[2], want[2]}
    if "drop" in units and units != {"drop"}:
        low, high = value * 18 / DROPS_PER_ML, value * 22 / DROPS_PER_ML
        if have[2] == "drop":
            low, high = value * DROPS_PER_ML / 22, value * DROPS_PER_ML / 18
        cautions = ("Drops differ from dropper to dropper, 18 to 22 to the millilitre.",)
    elif len(units & {"gal", "qt", "pt", "floz"}) == 1:
        which = "US" if gallon == "us" else "imperial"
        cautions = (f"Reckoned with {which} measures; an imperial gallon is a fifth larger than a US one.",)
    if have[0] == "hardness" or want[0] == "hardness":
        basis, sources = "hardness by the CaCO3 that stands for it", ("definition of the degree, IUPAC molar masses",)
    else:
        basis, sources = f"1 {unit} is {factor:.6g} {to}", (NIST,)
    return Figure(value=value, unit=to, low=low, high=high, basis=basis, sources=sources, cautions=cautions)


_BASIC = {"volume": "liter", "mass": "gram", "length": "millimeter"}


@cache
def _registry() -> Any:
    import pint  # a quarter of a second; only when a keeper asks for a bushel

    return pint.UnitRegistry()


def _odd(
    amount: float, unit: str, to: str, have: tuple[str, float, str] | None, want: tuple[str, float, str] | None
) -> Figure:
    """A conversion with a unit that is not one of ours: whole words only, by way of our own basic unit."""
    for word in (unit if have is None else "", to if want is None else ""):
        if word and not re.fullmatch(r"[A-Za-z][A-Za-z_ -]{3,}", word.strip()):
            raise ValueError(f"I do not know the unit “{word}”")
    try:
        registry = _registry()
    except ImportError:
        raise ValueError(f"I do not know the unit “{unit if have is None else to}”") from None
    try:
        start = registry.Quantity(sane_amount(amount, f"an amount in {unit}"), _word(unit, have))
        if have is not None:
            start = start.magnitude * have[1] * registry.Quantity(1, _BASIC[have[0]])
        if want is not None:
            value = start.to(_BASIC[want[0]]).magnitude / want[1]
        else:
            value = start.to(_word(to, None)).magnitude
    except (ArithmeticError, AttributeError, KeyError, TypeError):  # pint's errors are among these
        raise ValueError(f"I cannot turn {unit} into {to}") from None
    return Figure(value=float(value), unit=to, basis=f"1 {unit} in {to}", sources=("pint's table of units",))


def _word(name: str, ours: tuple[str, float, str] | None) -> str:
    return _BASIC[ours[0]] if ours is not None else name.strip().lower().replace(" ", "_").replace("-", "_")
