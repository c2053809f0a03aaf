"""Sums of water changes: what they do to a reading, their steady state, drip and flow, mixing, and aged water."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure, rests_on
from bot.language.asking.given import NUM, VOLUME, celsius_said, volumes_in
from bot.routine.chores import due_list
from bot.sums.water import latest
from shared.due.house_rules import Routine
from shared.due.rules import Spot
from shared.due.water_ahead import PERCENTS
from shared.husbandry import water_changes
from shared.quantities import PRACTICE, sane_amount


def _start(s: Sum) -> float | None:
    """What it stands at: as said, or as last measured where a tank and a quantity are named."""
    value = s.number("from", "nitrate", "nitrite", "ammonia")
    quantity = s.ask.query.quantity or next((q for q in ("nitrate", "nitrite", "ammonia") if s.says(q)), None)
    kept = latest(s, quantity) if value is None and quantity else None
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


_POURED = re.compile(rf"({NUM}) ?-?{VOLUME}(?![\w/])[a-z ]*? at ({NUM}) ?(?:°|degrees? )?([fc])?\b")
_WARMTHS = (
    ("target", rf"\b(?:at|to|of|want(?: it)?(?: at)?) ({NUM})(?! ?-?{VOLUME})\b"),
    ("hot", rf"\bhot\b[a-z ]*? ({NUM})\b"),
    ("cold", rf"\b(?:cold|tap|cool)\b[a-z ]*? ({NUM})\b"),
)
_SCALDS_C = 50.0  # hot tap water from here on scalds within minutes: common practice, no source


def poured(s: Sum) -> Answer:
    """How warm waters poured together come to be, or how much hot and cold make a warmth."""

    def celsius(number: str, letter: str | None) -> float:
        value = celsius_said(float(number), letter or "", s.metric)
        if not 0 <= value <= 100:
            raise ValueError(f"{number} °{(letter or '').upper()} is no temperature of water".replace("° ", " "))
        return value

    def warm(value: float) -> str:
        return say.temperature(round(value, 1), s.info.units)

    parts = _POURED.findall(s.said)
    waters = volumes_in(s.said, s.gallon)
    if len(parts) >= 2 and len(parts) == len(waters):
        warmths = [celsius(part[-2], part[-1]) for part in parts]
        found = water_changes.mixed((litres, value) for (litres, _), value in zip(waters, warmths, strict=True))
        return Answer(f"Mixed: {warm(found.value)}.\n{_MEASURE_IT}", why=because(found))
    given = {name: hit[1] for name, pattern in _WARMTHS if (hit := re.search(pattern, s.said))}
    if len(given) < 3:
        return Answer("Say it with its numbers, like “15 gallons at 76, cold is 60 and hot 120, how much of each”.")
    letter = next(iter(re.findall(r"\d ?(?:°|degrees? )?([fc])\b", s.said)), None)
    target, hot, cold = (celsius(given[name], letter) for name in ("target", "hot", "cold"))
    share = water_changes.hot_share(target, cold, hot)
    text = f"{figure(share.value)} % hot and {figure(100 - share.value)} % cold make {warm(target)}."
    if waters:
        sane_amount(waters[0][0], "a volume of water")
        part, whole = (
            say.volume(x, s.info.units, s.info.gallon) for x in (waters[0][0] * share.value / 100, waters[0][0])
        )
        text += f" For {whole}: {part} hot, the rest cold."
    scalds = " Water that hot scalds: pour it in slowly, and not over hands or fish." if hot >= _SCALDS_C else ""
    return Answer(f"{text}\n{_MEASURE_IT}{scalds}", why=because(share))


_MEASURE_IT = "Buckets take some of the heat: measure before it goes in, and treat tap water as always."
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
