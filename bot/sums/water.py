"""Sums of water: what a reading means, volumes, oxygen, conversions."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure, rests_on
from bot.answers.hatch_dates import species_named
from shared.husbandry import water, water_changes
from shared.quantities import Nitrogen, convert, ion_of, nitrogen_of, sane_amount
from shared.species import find_species

EXAMPLE = "Say the sum with its numbers and units, like “28 c in f” or “30% of tank 7”."


# ---- what a reading means


def _as(s: Sum) -> water.As:
    """Whether a test reads as nitrogen or as the ion: by the question's words, else as the room's tests do."""
    if s.says(r"\b(?:as (?:the )?ion|nh4\b(?!-n)|as nh4|as no[23])\b"):
        return "ion"
    if s.says(r"\bas n(?:itrogen)?\b|(?:nh3|nh4|no2|no3|ammonia|nitrite|nitrate)-n\b"):
        return "n"
    return "ion" if s.info.nitrogen_as == "ion" else "n"


def latest(s: Sum, quantity: str) -> tuple[float, str] | None:
    """The last reading of the place that is named, and when it was, in words."""
    place = s.ask.query.place
    found = s.standing.latest(place, quantity) if place else None
    return (found.value, say.ago(found.at, s.ask.now)) if found else None


def said_or_latest(s: Sum, quantity: str) -> float | None:
    """What the question says of a quantity, else the last reading of the place that is named."""
    value = s.number(quantity)
    kept = latest(s, quantity) if value is None else None
    return kept[0] if kept else value


def _warm(s: Sum, celsius: float) -> str:
    """A water temperature in the room's scale. Raises ValueError for one no fish lives at."""
    said = say.temperature(celsius, s.info.units)
    if not 0 <= celsius <= 50:
        low, high = (say.temperature(c, s.info.units) for c in (0, 50))
        raise ValueError(f"{said} is no water temperature a fish lives at; it runs from {low} to {high}")
    return said


def reading(s: Sum) -> Answer:
    """Whether ammonia, nitrite or nitrate is dangerous: with the question's numbers, else the place's last ones."""
    kinds = [k for k in ("ammonia", "nitrite", "nitrate") if s.number(k) is not None]
    asked = s.ask.query.quantity
    if not kinds:
        named = [k for k in ("ammonia", "nitrite", "nitrate") if k == asked or s.says(rf"\b{k}")]
        kinds = named or [k for k in ("ammonia", "nitrite", "nitrate") if latest(s, k)] or ["ammonia"]
    texts: list[str] = []
    why: tuple[str, ...] = ()
    for kind in kinds:
        text, because_of = _one_reading(s, kind)
        texts.append(text if len(kinds) == 1 else text.split("\n")[0])
        why += because_of
    return Answer("\n".join(texts), why=tuple(dict.fromkeys(why)))


def _one_reading(s: Sum, kind: str) -> tuple[str, tuple[str, ...]]:
    value, when = s.number(kind), ""
    if value is None:
        last = latest(s, kind)
        if last is None:
            like = {"ammonia": "0.5 ammonia at pH 8 and 78F", "nitrite": "0.25 nitrite", "nitrate": "40 nitrate"}[kind]
            where = f"No {kind} is on record for {s.ask.query.place}. " if s.ask.query.place else ""
            return f"{where}What does the test read? Say it like “is {like} bad”.", ()
        value, when = last[0], f" ({last[1]})"
    sane_amount(value, f"{'an' if kind == 'ammonia' else 'a'} {kind} reading")
    if kind != "ammonia":
        plain = water.nitrite(value, _as(s)) if kind == "nitrite" else water.nitrate(value, _as(s))
        return _told(f"{kind.capitalize()} {say.number(value)} mg/L{when}", plain)
    ph, celsius, at = s.number("ph"), s.number("temperature"), []
    if ph is None and (kept := latest(s, "ph")):
        ph, when_ph = kept
        at.append(f"pH {say.number(ph)} ({when_ph})")
    elif ph is not None:
        at.append(f"pH {say.number(ph)}")
    if celsius is None and (kept := latest(s, "temperature")):
        celsius, when_warm = kept
        at.append(f"{say.temperature(celsius, s.info.units)} ({when_warm})")
    elif celsius is not None:
        at.append(_warm(s, celsius))
    found = water.ammonia(value, ph, celsius, _as(s))
    head = f"Total ammonia {say.number(value)} mg/L{when}{f' at {say.listed(at)}' if at else ''}: "
    return _told(f"{head}{found.value:.3f} mg/L of it un-ionised", found)


def _told(head: str, found: water.Reading) -> tuple[str, tuple[str, ...]]:
    said = [*found.first[:2], *found.cautions[:1]]
    return f"{head}: {found.band}.\n{' '.join(said)}".strip(), because(found, said=said)


_PH_VERDICT = {"fine": "fine", "raised": "on the acid side", "harmful": "not good", "dangerous": "dangerous"}


def ph(s: Sum) -> Answer:
    """Whether a pH suits the line, tank or species the question names, else fish in general."""
    value = said_or_latest(s, "ph")
    if value is None:
        return Answer("What does the test read? Say it like “is pH 7.2 ok for gardneri”.")
    query, standing = s.ask.query, s.standing
    line = query.line or (standing.line_of(query.batch) if query.batch else None)
    bare = rf"\bph (?:of |is |at )*{say.number(value)}\b"  # "is ph 5 ok" is not about tank 5
    named = query.place and re.search(r"(?:tank|tub|\bin|\bfor|#) ?#?\w", re.sub(bare, "", s.ask.text.casefold()))
    here = {h.line for h in standing.at_place(query.place or "")} if named and not line else set()
    line = line or (here.pop() if len(here) == 1 else None)
    known = standing.lines.get(line or "")
    species = known.species if known else species_named(s.ask.text)
    fish = find_species(species) if species else None
    found = water.ph(value, fish.genus if fish else None, fish.family if fish else None)
    whom = f" for {line or (fish.name if fish else '')}" if line or fish else ""
    verdict = _PH_VERDICT[found.band]
    if found.band == "fine" and not (found.low or 0) <= value <= (found.high or 14):
        verdict = "borne, but higher than they are mostly kept at" if value > 7 else "borne, but lower than usual"
    bred = f"; kept and bred at {found.low:g}–{found.high:g}" if fish and (found.low, found.high) != (6.5, 9.0) else ""
    if fish is None or not bred:
        bred = "; 6.5–9 suits most fish, and soft-water killifish a little less"
    said = [*found.first, *found.cautions[:1]]
    return Answer(f"pH {say.number(value)}{whom}: {verdict}{bred}.\n{' '.join(said)}", why=because(found, said=said))


# ---- volumes, oxygen, conversions


def box(s: Sum) -> Answer:
    """The volume of a tank from its sides."""
    sides = [s.number(f"side{n}") or 0.0 for n in (1, 2, 3)]
    unit = s.word("side_unit") or "in"
    found = water_changes.box_volume(sides[0], sides[1], sides[2], unit, s.gallon)
    gallons = convert(found.value, "l", "gal", s.gallon).value
    least = found.low or found.value
    both = f"{figure(gallons)} {'US' if s.gallon == 'us' else 'imperial'} gal ({figure(found.value)} l)"
    text = f"{' × '.join(f'{x:g}' for x in sides)} {unit}: {both} to the brim, really about "
    text += f"{say.volume(least, s.info.units, s.info.gallon)} and up."
    return Answer(f"{text}\n{found.cautions[0]}", why=because(found, said=found.cautions))


_FELT = f"Source: {water.OXYGEN_FELT}."


def oxygen(s: Sum) -> Answer:
    """What oxygen water holds at a temperature, or how full of it a reading says it is."""
    celsius = said_or_latest(s, "temperature")
    if celsius is None:
        return Answer("At what temperature? Say it like “how much oxygen at 78F”.")
    warm, salt = _warm(s, celsius), s.number("g_per_l") or 0.0
    value = s.number("oxygen", "mg_per_l")
    if value is None:
        found = water.oxygen_saturation(celsius, salt)
        return Answer(
            f"Water full of air holds {found.value:.2f} mg/L of oxygen at {warm}.\n{found.cautions[0]}",
            why=because(found, said=found.cautions),
        )
    full = water.oxygen_percent(value, celsius, salt)
    text = f"{say.number(value)} mg/L at {warm} is {full.value:.0f} % of what the water can hold."
    means = water.oxygen_means(value)
    return Answer("\n".join((text, " ".join((means, *full.cautions)))), why=(*because(full, said=full.cautions), _FELT))


def conversion(s: Sum) -> Answer:
    """One unit in another."""
    amount, unit, to = s.number("amount"), s.word("unit"), s.word("to")
    if to in ("degrees", "german"):
        to = "dgh"
    nitrogen = _NITROGEN.search(s.said)
    if nitrogen and s.says(r"-n\b|\bas n\b|\bto n\b|\bthe ion\b"):
        return _nitrogen(float(nitrogen[1]), nitrogen[2], bool(nitrogen[3]))
    if amount is None or unit is None or to is None:
        return Answer(EXAMPLE)
    found = convert(amount, unit, to, s.gallon)
    width = f" ({figure(found.low)}–{figure(found.high)})" if found.low is not None and found.high is not None else ""
    degrees = {"f": "°F", "c": "°C", "k": "K", "drop": "drop" if amount == 1 else "drops"}
    names = [degrees.get(u.lstrip("°"), u) for u in (unit, to)]
    text = f"{say.number(amount)} {names[0]} is {figure(round(found.value, 4))} {names[1]}{width}."
    which = () if re.search(r"\b(?:us|u\.s\.|imp\w*|uk) ", f"{unit} {to}") else found.cautions
    return Answer(" ".join((text, *which)), why=because(found, said=found.cautions))


_NITROGEN = re.compile(
    r"(-?\d+(?:\.\d+)?) ?(?:ppm|mg/l)? ?(?:of )?(ammonia|nitrite|nitrate|nh[34]|no[23])(-n\b| as n\b| \(n\))?"
)
_KINDS: dict[str, Nitrogen] = {"nh3": "ammonia", "nh4": "ammonia", "no2": "nitrite", "no3": "nitrate"}
_KINDS |= {"ammonia": "ammonia", "nitrite": "nitrite", "nitrate": "nitrate"}


def _nitrogen(amount: float, word: str, from_n: bool) -> Answer:
    """A reading as nitrogen in that of the ion, or the other way round."""
    kind = _KINDS[word]
    value = ion_of(amount, kind) if from_n else nitrogen_of(amount, kind)
    names = (f"{kind} as N", f"{kind} as the ion") if from_n else (f"{kind} as the ion", f"{kind} as N")
    text = f"{say.number(amount)} mg/L of {names[0]} is {figure(value)} mg/L of {names[1]}."
    return Answer(text, why=rests_on("by their weights", ("IUPAC molar masses",)))


def share(s: Sum) -> Answer:
    """A part of a tank or of a volume."""
    percent_, litres = s.number("percent"), s.number("litres")
    place = s.standing.places.get(s.ask.query.place or "")
    if place is None and litres is None:
        place = next(
            (p for n, p in s.standing.places.items() if re.search(rf"\b{re.escape(n.lower())}\b", s.ask.text.lower())),
            None,
        )
    litres = litres if litres is not None else (place.litres if place else None)
    if percent_ is None or litres is None:
        return Answer(EXAMPLE)
    found = water_changes.aged_water([water_changes.Change(litres, percent_)], 0)
    whole = say.volume(litres, s.info.units, s.info.gallon)
    return Answer(f"{say.number(percent_)} % of {whole} is {say.volume(found.value, s.info.units, s.info.gallon)}.")
