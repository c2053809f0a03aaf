"""Sums of water: what a reading means, changes and their steady state, mixing, aged water, volumes, conversions."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.asking import Answer, Sum, because, figure, rests_on
from bot.chores import due_list
from bot.hatch_dates import species_named
from bot.language.given import NUM, volumes_in
from shared import water, water_changes
from shared.house_rules import Routine
from shared.quantities import PRACTICE, Nitrogen, convert, ion_of, nitrogen_of, sane_amount
from shared.rules import Spot
from shared.species import find_species
from shared.water_ahead import PERCENTS

EXAMPLE = "Say the sum with its numbers and units, like “28 c in f” or “30% of tank 7”."


# ---- what a reading means


def _as(s: Sum) -> water.As:
    """Whether a test reads as nitrogen or as the ion: by the question's words, else as the room's tests do."""
    if s.says(r"\b(?:as (?:the )?ion|nh4\b(?!-n)|as nh4|as no[23])\b"):
        return "ion"
    if s.says(r"\bas n(?:itrogen)?\b|(?:nh3|nh4|no2|no3|ammonia|nitrite|nitrate)-n\b"):
        return "n"
    return "ion" if s.info.nitrogen_as == "ion" else "n"


def _latest(s: Sum, quantity: str) -> tuple[float, str] | None:
    """The last reading of the place that is named, and when it was, in words."""
    place = s.ask.query.place
    found = s.standing.latest(place, quantity) if place else None
    return (found.value, say.ago(found.at, s.ask.now)) if found else None


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
        kinds = named or [k for k in ("ammonia", "nitrite", "nitrate") if _latest(s, k)] or ["ammonia"]
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
        last = _latest(s, kind)
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
    if ph is None and (kept := _latest(s, "ph")):
        ph, when_ph = kept
        at.append(f"pH {say.number(ph)} ({when_ph})")
    elif ph is not None:
        at.append(f"pH {say.number(ph)}")
    if celsius is None and (kept := _latest(s, "temperature")):
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
    value = s.number("ph")
    kept = _latest(s, "ph") if value is None else None
    value = kept[0] if kept else value
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


# ---- changing water


def _start(s: Sum) -> float | None:
    """What it stands at: as said, or as last measured where a tank and a quantity are named."""
    value = s.number("from", "nitrate", "nitrite", "ammonia")
    quantity = s.ask.query.quantity or next((q for q in ("nitrate", "nitrite", "ammonia") if s.says(q)), None)
    kept = _latest(s, quantity) if value is None and quantity else None
    return kept[0] if kept else value


def _span(s: Sum) -> tuple[float, float, str] | None:
    """From what to what, and in words; halving needs no numbers."""
    if s.says(r"\bhalve|\bby half\b|\bin half\b|\bhalf (?:of )?(?:it|the|my|nitrate)"):
        whole = _start(s) or 100.0
        return whole, whole / 2, "halve it"
    start, target = _start(s), s.number("target")
    if start is None or target is None:
        return None
    return start, target, f"get from {figure(start)} to {figure(target)} mg/L"


def _tap(s: Sum) -> tuple[float, str]:
    """What the new water holds, and in words."""
    tap = s.number("tap")
    return (tap, f" (new water holds {figure(tap)})") if tap is not None else (0.0, " (new water taken as free of it)")


def changes(s: Sum) -> Answer:
    """How many changes of a size bring a reading down."""
    span, percent = _span(s), s.number("percent")
    if span is None or percent is None:
        return Answer("Say it with its numbers, like “how many 30% changes to get nitrate from 80 to 20”.")
    start, target, words = span
    fresh, tap = _tap(s)
    found = water_changes.changes_needed(start, target, percent, fresh)
    left = water_changes.after_changes(start, percent, int(found.value), fresh).value
    ends = f"{100 * left / start:.0f} % of it is left" if words == "halve it" else f"it ends at {figure(left)} mg/L"
    many = say.count(int(found.value), f"change of {say.number(percent)} %", f"changes of {say.number(percent)} %")
    text = f"{many} to {words}{tap}: {ends}."
    return Answer(f"{text}\nIf nothing is added meanwhile.", why=because(found))


def percent(s: Sum) -> Answer:
    """Which one change brings a reading down."""
    span = _span(s)
    if span is None:
        return Answer("Say it with its numbers, like “what percent change to get from 80 to 20 with tap at 5”.")
    start, target, words = span
    fresh, tap = _tap(s)
    found = water_changes.percent_needed(start, target, fresh)
    text = f"One change of {figure(found.value)} % to {words}{tap}."
    place = s.standing.places.get(s.ask.query.place or "")
    litres = s.number("litres") or (place.litres if place else None)
    if litres:
        part = say.volume(litres * found.value / 100, s.info.units, s.info.gallon)
        text += f" That is {part} of {say.volume(litres, s.info.units, s.info.gallon)}."
    return Answer("\n".join((text, *found.cautions)), why=because(found, said=found.cautions))


def after(s: Sum) -> Answer:
    """What so many changes leave."""
    percent_, number = s.number("percent"), s.number("changes") or 1
    if percent_ is None:
        return Answer("Say how much is changed, like “what do 3 30% changes leave of 80 nitrate”.")
    start = _start(s)
    fresh, tap = _tap(s)
    if number != int(number):
        raise ValueError(f"{number:g} changes is no number of changes")
    found = water_changes.after_changes(start if start is not None else 100.0, percent_, int(number), fresh)
    left = f"{figure(found.value)} mg/L of {figure(start)}" if start is not None else f"{figure(found.value)} %"
    many = say.count(int(number), f"change of {say.number(percent_)} %", f"changes of {say.number(percent_)} %")
    return Answer(f"After {many}: {left} left{tap}.", why=because(found))


def steady(s: Sum) -> Answer:
    """Where a waste settles under the same change again and again."""
    gained, percent_ = s.number("gained"), s.number("percent")
    if gained is None or percent_ is None:
        return Answer(
            "Say how much it rises between changes and how much you change, like “nitrate goes up 7 a week, "
            "25% changes, where does it settle”."
        )
    fresh, tap = _tap(s)
    found = water_changes.steady_state(gained, percent_, fresh)
    text = f"It settles at {figure(found.value)} mg/L just before a change and {figure(found.after)} just after{tap}."
    return Answer("\n".join((text, *found.cautions)), why=because(found, said=found.cautions))


def flow(s: Sum) -> Answer:
    """What water running through replaces: a drip, or an automatic daily change."""
    volumes, part = s.number("volumes"), s.number("percent")
    if volumes is None and part is None:
        return Answer("Say how much runs through, like “what does a 10% a day drip replace in 7 days”.")
    if part is not None and s.says(r"\b(?:to|would|will) (?:replace|change|flush|exchange)\b") and volumes is None:
        need = water_changes.volumes_to_exchange(part)
        return Answer(
            f"{figure(need.value)} tank volumes must run through to replace {say.number(part)} % of the water.",
            why=because(need),
        )
    days = s.number("days") or 1.0
    run = volumes if volumes is not None else (part or 0.0) / 100 * days
    sane_amount(run, "what runs through")
    found = water_changes.exchanged(run)
    over = f" over {say.count(round(days), 'day')}" if volumes is None else ""
    many = f"{figure(run)} tank volume{'s' * (run != 1)} running through{over}"
    text = f"{many} replace{'s' * (run == 1)} {figure(round(100 * found.value, 1))} % of the old water."
    return Answer(f"{text}\nA single change of as much would replace {100 * min(run, 1):.0f} %.", why=because(found))


# ---- mixing and having ready


def mix(s: Sum) -> Answer:
    """Tap and pure water for a hardness or TDS, or what waters poured together come to."""
    unit = next(
        (
            u
            for p, u in ((r"tds", "mg/L TDS"), (r"\bd?kh\b", "dKH"), (r"\bd?gh\b|degrees|hardness", "dGH"))
            if s.says(p)
        ),
        "",
    )
    unit = unit or ("µS/cm" if s.says("conductiv|µs") else "mg/L" if s.says("ppm|mg/l") else "")
    waters = volumes_in(s.said, s.gallon)
    tap, pure = s.number("tap"), s.number("pure") or 0.0
    if tap is None and s.number("target") is not None:
        tap = s.number("from")
    if len(waters) >= 2:
        strengths = []
        for litres, words in waters:
            sane_amount(litres, "a volume of water")
            own = re.search(r"(?:at|of|with|is|,)\s(-?\d+(?:\.\d+)?)", words)
            is_pure = re.match(r"(?:of )?(?:ro|r/o|rain|distilled|osmosis|pure|soft)", words)
            value = pure if is_pure else float(own[1]) if own else tap
            if value is None:
                return Answer("Say what the tap water has, like “10 gal RO with 5 gal tap at 12 dGH”.")
            strengths.append((litres, value))
        found = water_changes.mixed(strengths)
        return Answer(
            f"Mixed: {figure(found.value)} {unit}.".replace(" .", ".") + f" {found.cautions[0]}",
            why=because(found, said=found.cautions),
        )
    target = s.number("target")
    if target is None and (
        own := re.search(
            r"(?<!at )(?<!is )(?<![\d.-])(-?\d+(?:\.\d+)?) ?(?:°?d?[gk]h|tds|degrees)\b(?!.*\btap$)", s.said
        )
    ):
        target = float(own[1])
    if target is None and (own := re.search(rf"\bat ({NUM})(?! ?-?(?:gal|l\b|lit|qt|quart))", s.said)):
        target = float(own[1]) if float(own[1]) != tap else None
    if target is None or tap is None:
        return Answer("Say what you want and what the tap has, like “mix RO and tap for 4 dGH, tap is 12”.")
    found = water_changes.tap_share(target, tap, pure)
    text = f"{figure(found.value)} % tap and {figure(100 - found.value)} % RO make {figure(target)} {unit}".rstrip()
    text += f" from tap at {figure(tap)}."
    if waters:
        sane_amount(waters[0][0], "a volume of water")
        share = say.volume(waters[0][0] * found.value / 100, s.info.units, s.info.gallon)
        text += f" For {say.volume(waters[0][0], s.info.units, s.info.gallon)}: {share} tap, the rest RO."
    return Answer(f"{text}\n{found.cautions[0]}", why=because(found, said=found.cautions))


_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _weekday(s: Sum) -> dt.date | None:
    """The next day of that name."""
    found = next((n for n, name in enumerate(_WEEKDAYS) if s.says(rf"\b{name}\b")), None)
    today = s.ask.now.date()
    return None if found is None else today + dt.timedelta(days=(found - today.weekday()) % 7 or 7)


def aged(s: Sum) -> Answer:
    """How much aged water the changes due on a day take: tubs wholly, tanks by the routine or their last change."""
    now, standing = s.ask.now, s.standing
    day = (
        s.ask.query.date
        or _weekday(s)
        or (now.date() if s.says(r"\btoday|\btonight") else now.date() + dt.timedelta(days=1))
    )
    ahead = (day - now.date()).days
    if not 0 <= ahead <= 13:
        raise ValueError("what is due is only reckoned for today and the next two weeks")
    tasks = [
        t
        for t in due_list(standing, s.ask.book, now, days=ahead + 1)
        if t.task in ("egg_water", "fry_water", "water_change")
        and (t.due.date() == day or (t.due.date() < day and ahead == 0))
    ]
    routine, whole, unsized = Routine.of(standing), [], []
    sums: dict[str, float] = {"egg tubs": 0.0, "fry tubs": 0.0, "tanks": 0.0}
    for task in tasks:
        place = standing.places.get(task.place or "")
        if place is None or not place.litres:
            unsized.append(task.place or "?")
            continue
        share = 100.0
        if task.task == "water_change":
            key = PERCENTS.get(place.role or "", "adult_change_percent")
            share = routine.number(key, Spot(place.name, place.kind), day, now)
        change = water_changes.Change(place.litres, share)
        whole.append(change)
        kind = {"egg_water": "egg tubs", "fry_water": "fry tubs"}.get(task.task, "tanks")
        sums[kind] += place.litres * share / 100
    if not whole:
        return Answer(f"No water changes are due {say.day(day, now.date())}.")
    found = water_changes.aged_water(whole)
    parts = [f"{k} {say.volume(v, s.info.units, s.info.gallon)}" for k, v in sums.items() if v]
    much = say.volume(found.value, s.info.units, s.info.gallon)
    text = (
        f"Have {much} of aged water standing for {say.day(day, now.date())}: {', '.join(parts)}, and a tenth to spare."
    )
    if unsized:
        text += f"\nNot reckoned, volume not known: {say.places(list(dict.fromkeys(unsized)))}."
    basis = f"{say.count(len(whole), 'change')} due that day; tubs changed wholly, tanks by the routine's percentage"
    return Answer(text, why=rests_on(basis, (*found.sources, PRACTICE)))


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
    celsius = s.number("temperature")
    kept = _latest(s, "temperature") if celsius is None else None
    celsius = kept[0] if kept else celsius
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
