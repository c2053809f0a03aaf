"""Degree-days: those of so many days, those a fish's eggs take, and how many days are left to a sum of them."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure
from bot.answers.hatch_dates import called, species_named, stranger
from bot.language.asking.given import NUM
from shared.hatching.estimate import degree_days_to_hatch, hatch_age
from shared.husbandry.growth import days_left
from shared.husbandry.growth import degree_days as sum_of_days
from shared.quantities import PRACTICE
from shared.species import find_species

_NUMBER = rf"({NUM})"
_DEGREES = r" ?(?:°|degrees?|deg)? ?(f|c|fahrenheit|celsius)?(?![\w/])"
_BASE = re.compile(rf"\b(?:base|above|over|threshold|zero)(?: (?:of|is|at|temp\w*))* {_NUMBER}{_DEGREES}")
_NEEDED = re.compile(rf"\b(?:needs?|takes?|of|total|until|for|want) {_NUMBER}(?! ?(?:days?|f\b|c\b|°|degrees? [fc]))")
_GATHERED = re.compile(rf"\b(?:has|have|had|got|gathered|so far|already|at) {_NUMBER}(?! ?(?:f\b|c\b|°|degrees? [fc]))")
_WARM = re.compile(rf"{_NUMBER}(?:[/-]{_NUMBER})? ?(?:°|degrees?|deg)? ?(f|c|fahrenheit|celsius)(?![\w/])")
_BARE = re.compile(rf"\b(?:at|water|temp\w*)(?: (?:is|of|at))* {_NUMBER}(?! ?(?:days?|%))")


def degree_days(s: Sum) -> Answer:
    """What the question's numbers make; without numbers, what the eggs of the fish it names take."""
    base = _BASE.search(s.said)
    rest = s.said.replace(base[0], " # ") if base else s.said
    warm = _WARM.search(rest) or _BARE.search(rest)
    letter = next(
        (m[m.lastindex or 1] for m in (warm, base) if m and (m[m.lastindex or 1] or "")[:1] in ("f", "c")), ""
    )
    scale = (letter or ("c" if s.metric else "f"))[0].upper()
    mean = _mean(warm) if warm else None
    above = float(base[1]) if base else 0.0
    needed, gathered = _NEEDED.search(rest), _GATHERED.search(rest)
    if needed and gathered and mean is not None:
        found = days_left(float(needed[1]), float(gathered[1]), mean, above)
        return Answer(f"{figure(found.value)} days at {mean:g} °{scale}: {found.basis}.", why=because(found))
    days = s.number("days")
    if days is not None and mean is not None and not needed:
        if not letter and not s.metric and mean < 40:
            scale = "C"  # no water of a fish room is that cold in Fahrenheit
        if base is None and scale == "F":
            above = 32.0
        return _of_days(days, mean, above, scale)
    return _of_fish(s)


def _mean(warm: re.Match[str]) -> float:
    both = [float(n) for n in warm.groups() if n and re.fullmatch(NUM, n)]
    return sum(both) / len(both)


def _of_days(days: float, mean: float, above: float, scale: str) -> Answer:
    if not (0 <= mean <= 45 if scale == "C" else 32 <= mean <= 113):
        raise ValueError(f"{mean:g} °{scale} is no water temperature a fish lives at")
    if days > 2000:
        raise ValueError(f"{days:g} days is longer than any egg or fry needs")
    found = sum_of_days([mean], above, days)
    text = f"{figure(days)} days at {mean:g} °{scale}: {figure(found.value)} degree-days (°{scale}) above {above:g}."
    return Answer(f"{text}\n{found.cautions[0]}", why=because(found, said=found.cautions))


def warmth(s: Sum) -> Answer:
    """Whether a temperature suits the eggs of a line, place or species, by the range they are known to develop in."""
    celsius = s.number("temperature")
    if celsius is None:
        return Answer("How warm? Say it like “is 78F ok for gardneri”.")
    warm = say.temperature(celsius, s.info.units)
    if not 0 <= celsius <= 45:
        raise ValueError(f"{warm} is no water temperature a fish lives at; check the reading")
    name, species = _fish_meant(s)
    fish = find_species(species) if species else None
    if fish is None:
        whom = f"No range is known for {name}" if name else "For which fish? Say it like “is 78F ok for gardneri”"
        return Answer(f"{whom}. Most keepers breed at 70–78 °F (21–26 °C): {PRACTICE}.", both_scales=True)
    low, high = (say.temperature(c, s.info.units) for c in (fish.temp_low, fish.temp_high))
    verdict = "within" if fish.temp_low <= celsius <= fish.temp_high else "outside"
    text = f"{warm} is {verdict} {low} to {high}, where eggs of {name or fish.name} are known to develop."
    if verdict == "outside":
        text += "\nBring it back by a degree or two an hour, not at once; grown fish bear more than eggs do."
    return Answer(text, why=(f"Range of {fish.name}: {fish.basis}.",), both_scales=True)


def _fish_meant(s: Sum) -> tuple[str | None, str | None]:
    """The line a question is about and its species, or the species it names."""
    query, standing = s.ask.query, s.standing
    line = query.line or (standing.line_of(query.batch) if query.batch else None)
    here = {h.line for h in standing.at_place(query.place)} if query.place and not line else set()
    line = line or (here.pop() if len(here) == 1 else None)
    kept = standing.lines.get(line or "")
    return (line, kept.species) if kept else (line, species_named(s.ask.text))


def _of_fish(s: Sum) -> Answer:
    """How many degree-days the eggs of a line or species take, and the days that is at a temperature."""
    line, species = _fish_meant(s)
    if species is None:
        if line:
            raise ValueError(f"no species is on record for {line}, so there are no degree-days")
        if strange := stranger(s.ask.text):
            raise ValueError(f"nobody keeps “{strange}” here and there are no figures for them, so no degree-days")
        return Answer(
            "Say it with its numbers, like “degree-days of 12 days at 24 C above 10”, or with a fish, like "
            "“degree-days for gardneri”."
        )
    found = degree_days_to_hatch(species)
    name = line or called(s.ask.text, species)
    text = (
        f"{name}: half hatched after about {figure(round(found.value))} degree-days (°C) above {found.base_c:.1f} °C "
        f"({round(found.low or 0)}–{round(found.high or 0)}, 80 %), "
        f"between {found.temp_low:g} and {found.temp_high:g} °C."
    )
    celsius, why = s.number("temperature"), because(found)
    if celsius is not None:
        age = hatch_age(species, celsius)
        warm = say.temperature(celsius, s.info.units)
        if age.median_days is None:
            text += f"\n{say.first_up(age.cautions[0].rstrip('.'))}."
        else:
            text += f"\nAt {warm}: about {say.count(round(age.median_days), 'day')}."
    return Answer(text, why=why, both_scales=True)
