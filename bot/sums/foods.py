"""First foods by the mouth of a line's fry, when to start live foods for the hatches to come, and how much to set."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure, rests_on
from bot.answers.hatch_dates import stranger
from bot.language.asking.given import NUM
from shared.hatching.forecast import forecast, hatches, known
from shared.husbandry.foods import (
    GAPE,
    Brood,
    Fit,
    Mouth,
    cysts_needed,
    first_foods,
    live_food_plan,
    microworm_restart,
    prey_width,
)
from shared.quantities import PRACTICE
from shared.species import find_species, mouth_of

SHRIMP = "baby brine shrimp"
_NAMES = {  # a food of the table by the words of a culture or a question
    SHRIMP: r"brine|bbs|artemia",
    "microworms": r"micro ?worms?|banana worms?|walter worms?|\bworms?\b",
    "infusoria": r"infusoria|paramec",
    "vinegar eels": r"vinegar",
    "rotifers": r"rotifer",
    "young moina": r"moina|daphnia",
    "powder": r"powder",
}
MOST_STARTS = 4
_EASY = (SHRIMP, "microworms", "infusoria")  # what is named to somebody who keeps no other: common practice, no source


_TRY = (
    "Begin with powder and infusoria, try baby brine shrimp beside it, and look for round orange bellies an hour later."
)


def first_food(s: Sum) -> Answer:
    """What fry of a line can swallow first, by the height of their mouth."""
    found = _mouth_meant(s)
    if isinstance(found, Answer):
        return found
    mouth, whose = found
    width, fits = prey_width(mouth), first_foods(mouth)
    suits = [fit.food.name for fit in fits if fit.verdict == "suits"]
    text = (
        f"{whose}: food of {width.low:.0f}–{width.high:.0f} µm, best about {width.value:.0f}: {say.listed(suits[:4])}."
    )
    sizes_source = (f"size of mouth: {PRACTICE}",) if isinstance(mouth, str) else ()
    why = rests_on(
        width.basis, (GAPE, *sizes_source, *dict.fromkeys(fit.food.source for fit in fits[:4])), width.cautions
    )
    return Answer(f"{text}\n{_of_the_named(s, fits)}", why=why)


def _mouth_meant(s: Sum) -> tuple[Mouth | float, str] | Answer:
    """The mouth a question is about, by its height, a line or a size, and whose it is; or what is asked back."""
    if height := _mouth_height(s):
        return height, f"A mouth {height:g} µm high"
    query = s.ask.query
    line = query.line or (s.standing.line_of(query.batch) if query.batch else None)
    if line is None and query.place:
        line = next((h.line for h in s.standing.at_place(query.place)), None)
    if line is None:
        sizes: tuple[Mouth, ...] = ("tiny", "small", "large")
        said = next((size for size in sizes if s.says(rf"\b{size}\b")), None)
        if said:
            return said, f"{said.capitalize()} mouths"
        strange = stranger(s.ask.text)
        if strange:
            return Answer(f"Nobody keeps “{strange}” here and nothing is known of their mouths. {_TRY}")
        return Answer("The fry of which line? Say it like “first food for lampeye”.")
    kept = s.standing.lines.get(line)
    mouth = mouth_of(kept.species if kept else None)
    if mouth is None:
        return Answer(f"Nothing is known here of how wide a {line} fry's mouth opens. {_TRY}")
    fish = find_species(kept.species) if kept and kept.species else None
    return mouth, f"{line}{f' ({fish.name})' if fish else ''}: {mouth} mouths"


def _of_the_named(s: Sum, fits: Sequence[Fit]) -> str:
    """Whether the food that is named suits them; else when baby brine shrimp does."""
    named = next((name for name, words in _NAMES.items() if s.says(words)), None)
    if named and named != SHRIMP:
        verdict = next(fit.verdict for fit in fits if fit.food.name == named)
        return f"{named.capitalize()}: {verdict}."
    shrimp = next(fit for fit in fits if fit.food.name == SHRIMP)
    if shrimp.verdict == "suits":
        return "Baby brine shrimp from the first day they eat."
    if shrimp.verdict == "some will take it":
        return "Baby brine shrimp beside it after some days: only the largest take it at first."
    return "Infusoria for the first week or so; baby brine shrimp only after about a week."


def _mouth_height(s: Sum) -> float | None:
    """How high a mouth is, in µm, where the question says so."""
    found = re.search(rf"({NUM}) ?(µm|um|micron|micrometer|mm|millimet)", s.said)
    if not found or (found[2][:2] in ("mm", "mi") and found[2][:3] != "mic" and not s.says(r"\b(?:mouths?|gapes?)\b")):
        return None
    return float(found[1]) * (1000 if found[2] in ("mm", "millimet") else 1)


def _culture_food(name: str) -> str | None:
    return next((food for food, words in _NAMES.items() if re.search(words, name.casefold())), None)


def _running(s: Sum) -> set[str]:
    """The foods whose culture is kept and has not crashed; brine shrimp are hatched afresh each time."""
    found = {
        _culture_food(c.name)
        for c in s.standing.cultures.values()
        if not (c.crashed and (not c.started or c.started < c.crashed))
    }
    return {food for food in found if food} - {SHRIMP}


def live_food(s: Sum) -> Answer:
    """What to start, and when, for the hatches to come; and whether a culture itself is to be started afresh."""
    today, wanted = s.ask.now.date(), _wanted(s)
    if (
        wanted
        and wanted <= {"microworms", "vinegar eels"}
        and s.says(r"\brestart|\bstart .*(?:afresh|anew|again|new culture)")
    ):
        return _restart(s)
    broods, unknown = _broods(s)
    if not broods:
        return Answer("No hatch is forecast, so nothing needs starting for one." + _not_known(unknown))
    running = _running(s)
    plan = [p for p in live_food_plan(broods, today, running) if not wanted or p.food in wanted]
    to_start = [p for p in plan if not p.running and (p.food in _EASY or p.food in wanted)]
    lines, kept = [], sorted({p.food for p in plan if p.running})
    soonest: dict[str, bool] = {}
    for start in to_start:
        if start.food in soonest:
            continue
        soonest[start.food] = True
        brood = next(b for b in broods if b.batch == start.batch)
        fry = f"fry from {say.day(brood.first, today)}"
        if start.late:
            lines.append(f"{start.food}: now; {start.batch} may have {fry} on, before it is ready: powder until then")
        else:
            earliest = max(start.earliest, today)
            when = say.day(earliest, today)
            if start.latest > earliest:
                when += f", at the latest {say.day(start.latest, today)}"
            lines.append(f"{start.food}: {when}, for {start.batch} ({fry})")
        if len(lines) == MOST_STARTS:
            break
    text = "Start " + ";\n".join(lines) + "." if lines else "Nothing new needs starting."
    if kept:
        text += f"\nKept already: {say.listed(kept)}; see that they can be fed from by then."
    if not lines and not kept and wanted:
        text = f"None of the fry to come take {say.listed(sorted(wanted))} first; nothing needs starting for them."
    shown = {p.food for p in to_start} | set(kept)
    why = [f"{p.why}." for p in plan if p.food in shown]
    return Answer(text + _not_known(unknown), why=(*dict.fromkeys(why), f"Source: lead times, {PRACTICE}."))


def _wanted(s: Sum) -> set[str]:
    return {food for food, words in _NAMES.items() if s.says(words) and food != "powder"}


def _not_known(names: list[str]) -> str:
    return f"\nNo mouth size is known for {say.listed(dict.fromkeys(names))}; begin those with powder." if names else ""


def _broods(s: Sum) -> tuple[list[Brood], list[str]]:
    """Every forecast hatch still to come, with the mouth of its fry; and the lines nobody knows the mouth of."""
    broods: list[Brood] = []
    unknown: list[str] = []
    query, zone, so_far = s.ask.query, s.info.zone, known(s.standing, s.ask.now)
    for name in dict.fromkeys(h.group for h in s.standing.holdings.values() if h.stage == "eggs"):
        batch = s.standing.batches.get(name)
        if batch is None or not hatches(batch) or (query.line and batch.line != query.line):
            continue
        if query.batch and name != query.batch:
            continue
        seen = forecast(s.standing, name, s.ask.now, so_far)
        if seen is None or seen.first_fry is None or seen.last_fry is None or seen.past_window:
            continue
        kept = s.standing.lines.get(batch.line)
        mouth = mouth_of(kept.species if kept else None)
        if mouth is None:
            unknown.append(batch.line)
            continue
        first = max(seen.first_fry.p10.astimezone(zone).date(), s.ask.now.date())
        broods.append(Brood(name, first, max(first, seen.last_fry.p90.astimezone(zone).date()), mouth))
    return broods, unknown


def _restart(s: Sum) -> Answer:
    """When each worm culture is to be started afresh."""
    today, zone = s.ask.now.date(), s.info.zone
    lines: list[str] = []
    why: list[str] = []
    worms = [c for c in s.standing.cultures.values() if _culture_food(c.name) == "microworms"]
    begun = {c.name: c.started.astimezone(zone).date() for c in worms if c.started and c.started <= s.ask.now}
    for culture in worms:
        if s.ask.query.culture and culture.name != s.ask.query.culture:
            continue
        day = begun.get(culture.name)
        if day is None:
            lines.append(f"{culture.name}: nobody logged when it was started.")
            continue
        found = microworm_restart(day, today, [d for name, d in begun.items() if name != culture.name])
        when = "now" if found.due else f"{say.day(found.earliest, today)} to {say.day(found.latest, today)}"
        text = f"{culture.name}: start it afresh {when} (started {say.day(day, today)})."
        lines.append(" ".join((text, *found.cautions[:1])))
        why += rests_on(found.basis, (), found.cautions[1:])
    return Answer("\n".join(lines) or "No microworm culture is on record.", why=tuple(dict.fromkeys(why)))


def cysts(s: Sum) -> Answer:
    """How much brine shrimp to set for so many fry."""
    fry = s.number("count")
    if fry is None:
        query = s.ask.query
        held = [
            h for h in s.standing.holdings.values() if h.stage == "fry" and (not query.place or h.place == query.place)
        ]
        held = [
            h for h in held if (not query.batch or h.group == query.batch) and (not query.line or h.line == query.line)
        ]
        if not held or any(not h.counted for h in held):
            return Answer("For how many fry? Say it like “how much brine shrimp for 200 fry”.")
        fry = sum(h.count for h in held)
    meals = s.number("amount")
    found = cysts_needed(int(fry)) if meals is None else cysts_needed(int(fry), meals)
    text = f"For one feeding of {say.count(int(fry), 'fry', 'fry')}: about {figure(found.value)} mg of good cysts"
    text += f" ({figure(found.low or 0)}–{figure(found.high or 0)}), {found.basis.split(', ')[1]}."
    return Answer("\n".join((text, *found.cautions)), why=because(found, said=found.cautions))
