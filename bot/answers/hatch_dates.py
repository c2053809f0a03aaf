"""When eggs hatch: by the record's batches, or by the figures of a line or species at a temperature that is named."""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.answers.asking import Answer, Asking
from bot.language.asking.given import given_in
from bot.readback.besides import when_ready
from shared.hatching.estimate import hatch_age
from shared.hatching.forecast import forecast, known
from shared.ledger.standing import Batch
from shared.species import all_species

MOST_BATCHES = 4

_AT = re.compile(r"\bat (\d\d(?:[.,]\d)?)\b(?!\s*(?:days?|weeks?|eggs?|%|o'clock|[ap]\.?m))", re.IGNORECASE)


def _supposed(ask: Asking) -> float | None:
    """The temperature (°C) a question supposes: “at 80F”, “at 75” in a room that reads Fahrenheit."""
    said = ask.query.given.get("temperature", given_in(ask.text, metric=ask.units != "us").get("temperature"))
    if isinstance(said, int | float):
        return float(said)
    found = _AT.search(ask.text)
    if not found:
        return None
    value = float(found[1].replace(",", "."))
    if ask.units == "us" and 55 <= value <= 95:
        return (value - 32) * 5 / 9
    return value if 10 <= value <= 35 else None


def hatch(ask: Asking) -> Answer:
    """The windows of the batches asked about, or a line's or species' usual age at hatching."""
    query, standing = ask.query, ask.standing
    supposed = _supposed(ask)
    line, batch = _line_meant(ask)
    in_general = supposed is not None or re.search(
        r"\bhow (?:long|many days)\b.*\b(?:take|need|until they)\b|\bdays (?:at|to)\b", ask.text.casefold()
    )
    if line and in_general and (supposed is not None or not (query.batch or query.place)):
        kept = standing.lines.get(line)
        return _in_general(ask, line, kept.species if kept else None, supposed, batch)
    if not (query.line or query.place or query.batch):
        named = species_named(ask.text)
        if named:
            return _in_general(ask, f"{called(ask.text, named)}", named, supposed)
        if strange := stranger(ask.text):
            return Answer(f"Nobody keeps “{strange}” here and there are no figures for them, so no hatch date.")
    names, left = _batches(ask)
    if not names and query.line:
        kept = standing.lines.get(query.line)
        return _in_general(ask, query.line, kept.species if kept else None)
    if not names:
        return Answer(left or "No eggs are on record there.")
    lines, why = [], []
    for name in names[:MOST_BATCHES]:
        lines.append(hatch_text_of(ask, name) if len(names) < 3 else _in_a_line(ask, name))
        seen = forecast(standing, name, ask.now)
        if seen:
            why += [f"{name}: {seen.basis}.", *(f"Source: {s}." for s in seen.sources), *seen.cautions]
    if len(names) > MOST_BATCHES:
        lines.append(f"… and {say.listed(names[MOST_BATCHES:])}.")
    if len(names) > 2:
        lines.append("First fry, 80 % windows; “why?” tells what they rest on.")
    if len(names) == 1 and (chance := _chance_by(ask, names[0])):
        lines.append(chance)
    return Answer("\n".join(lines), why=tuple(dict.fromkeys(why)))


def _chance_by(ask: Asking, name: str) -> str | None:
    """`Chance that it has begun by Fri 13 Mar: 45 %.`, where a day ahead is named and the chance asked after."""
    day = ask.query.date
    if day is None or day <= ask.now.date() or not re.search(r"\b(?:chances?|odds|likely|probab)", ask.text.casefold()):
        return None
    end = dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), ask.now.tzinfo)
    seen = forecast(ask.standing, name, end)
    if seen is None or seen.chance_by_now is None:
        return None
    return (
        f"Chance that it has begun by the end of {say.day(day, ask.now.date())}: {round(100 * seen.chance_by_now)} %."
    )


def _in_a_line(ask: Asking, name: str) -> str:
    """`B24 (gardneri, tub D): 7–13 Mar, begun by now 95 %.`"""
    batch, zone = ask.standing.batches[name], ask.book.info.zone
    where = say.places([h.place for h in ask.standing.of_group(name) if h.stage == "eggs" and h.place])
    head = f"{name} ({', '.join(x for x in (batch.line, where) if x)})"
    if batch.fry_seen:
        return f"{head}: began hatching {say.day(batch.fry_seen.astimezone(zone), ask.now.date())}."
    seen = forecast(ask.standing, name, ask.now)
    if seen is None or seen.first_fry is None:
        return f"{head}: {'eggs that wait for water' if seen else 'nobody said when they were laid'}, so no date."
    chance = f", begun by now {round(100 * seen.chance_by_now)} %" if seen.chance_by_now is not None else ""
    return f"{head}: {say.span(seen.first_fry.p10, seen.first_fry.p90, zone)}{chance}."


def _line_meant(ask: Asking) -> tuple[str | None, Batch | None]:
    query, standing = ask.query, ask.standing
    named = standing.batches.get(query.batch or "")
    eggs = standing.eggs_at(query.place) if query.place else []
    groups = {h.group for h in eggs}
    if named is None and len(groups) == 1:
        named = standing.batches.get(next(iter(groups)))
    return query.line or (named.line if named else None) or (eggs[0].line if eggs else None), named


def _batches(ask: Asking) -> tuple[list[str], str]:
    """The batches of eggs asked about, the first to hatch first; and why there are none."""
    query, standing = ask.query, ask.standing
    if query.batch:
        return [query.batch], ""
    held = standing.eggs_at(query.place) if query.place else list(standing.holdings.values())
    names = list(
        dict.fromkeys(
            h.group
            for h in held
            if h.stage == "eggs" and h.group in standing.batches and (not query.line or h.line == query.line)
        )
    )
    if query.place or query.line or len(names) < 2:
        return names, ""
    starts: dict[str, tuple[dt.datetime, dt.datetime]] = {}
    so_far = known(standing, ask.now)
    for name in names:
        seen = forecast(standing, name, ask.now, so_far)
        if seen and seen.first_fry and not standing.batches[name].fry_seen:
            starts[name] = (seen.first_fry.p10, seen.first_fry.p90)
    ahead = sorted(starts, key=lambda n: starts[n])
    words = ask.text.casefold()
    day = {"today": 0, "tonight": 0, "tomorrow": 1}.get(
        next(iter(re.findall(r"\b(?:today|tonight|tomorrow)\b", words)), ""),
        7 if re.search(r"\b(?:this|next|coming) week\b|\bsoon\b", words) else None,
    )
    if re.search(r"\bnext\b(?! week)|\bfirst\b", words):
        return ahead[:1], "No eggs with a hatch date are waiting."
    today, begin = ask.now.date(), dt.date.min
    end = today + dt.timedelta(days=day) if day is not None else None
    if end is None and query.date is not None and query.date > today:
        whole = re.search(r"\bweek (?:of|from|beginning|starting)\b", words)
        begin, end = (query.date, query.date + dt.timedelta(days=6)) if whole else (begin, query.date)
    if end is not None:
        days = {n: [at.astimezone(ask.now.tzinfo).date() for at in starts[n]] for n in ahead}
        return [n for n in ahead if days[n][0] <= end and days[n][1] >= begin], "No batch is expected then."
    return ahead + [n for n in names if n not in ahead], ""


def species_named(text: str) -> str | None:
    """The one species of the table a question names by its scientific or common name."""
    words = f" {' '.join(re.findall(r'[a-z]+', text.casefold()))} "
    found: dict[str, int] = {}
    for species in all_species():
        for name in (species.name, *species.common, *species.also):
            if f" {name.casefold()} " in words or f" {name.casefold()}s " in words:
                found[species.name] = max(found.get(species.name, 0), len(name))
    best = max(found.values(), default=0)
    longest = [name for name, length in found.items() if length == best]
    return longest[0] if len(longest) == 1 else None


def called(text: str, species: str) -> str:
    """The species by the keeper's own word for it, with its name."""
    known = next(s for s in all_species() if s.name == species)
    words = text.casefold()
    said = next((c for c in sorted(known.common, key=len, reverse=True) if c.casefold() in words), None)
    return f"{said} ({species})" if said else species


_EGGS_OF = re.compile(
    r"\b(?:do|does|will|would|for|of) (?:the |my |our |some )?((?:[a-z]+[ -]){1,3})(?:eggs?\b|(?=hatch))"
)
_NO_FISH = re.compile(  # words before “eggs” that name no fish
    r"(?:the|my|our|these|those|this|that|next|first|last|all|any|some|do|does|will|would|eggs|egg|they|"
    r"it|there|new|fresh|other|we|i|you|batch|tub|tank|peat|water|mop|good|bad|eyed|in|of|more|most|"
    r"killi|killifish|fish|left|now|how|what|rest|hatching|due|laid|pulled|yesterday|today|when|is|"
    r"are|long|on|to|go|be|have|has|remaining|both)"
)


_FISH_OF = re.compile(r"\b(?:for|of|do|does|is) (?:an? |the |my |our )?([a-z]+)(?= (?:fry|at)\b| *$|\?)")


def stranger(text: str) -> str | None:
    """The fish a question asks of that no line and no species here is called."""
    found = _EGGS_OF.search(text.casefold()) or _FISH_OF.search(text.casefold())
    words = [w for w in re.split(r"[ -]", found[1]) if w] if found else []
    while words and words[-1] in ("egg", "eggs", "fish", "killi", "killifish"):
        words.pop()
    if not words or len("".join(words)) < 3 or any(_NO_FISH.fullmatch(w) for w in words):
        return None
    return " ".join(words)


def hatch_text_of(ask: Asking, name: str) -> str:
    """First fry, half and last of a batch, the chance by now, and what that rests on."""
    batch = ask.standing.batches.get(name)
    if batch is None:
        return f"There is no batch {name} in the record."
    zone = ask.book.info.zone
    if batch.fry_seen:
        return f"{name} ({batch.line}) began hatching {say.moment(batch.fry_seen, zone, ask.now)}."
    seen = forecast(ask.standing, name, ask.now)
    if seen is None:
        return f"{name} ({batch.line}): nobody said when these eggs were laid, so no date."
    if seen.first_fry is None or seen.half_hatched is None or seen.last_fry is None:
        early = "no date"
        if seen.earliest:
            early = when_ready(seen, seen.earliest, ask.now, zone)
        return f"{name} ({batch.line}): {early}. {_first_sentence(seen.cautions)}".strip()
    first, half, last = seen.first_fry, seen.half_hatched, seen.last_fry
    chance = (
        f" Chance that it has begun: {round(100 * seen.chance_by_now)} %." if seen.chance_by_now is not None else ""
    )
    text = (
        f"{name} ({batch.line}): first fry {say.span(first.p10, first.p90, zone)}, "
        f"half by {say.span(half.p10, half.p90, zone)}, last {say.span(last.p10, last.p90, zone)}.{chance}"
    )
    if seen.past_window:
        text += " It is past its window: look for white or clear eggs."
    return f"{text}\n80 % windows; {seen.basis}."


def _first_sentence(cautions: tuple[str, ...]) -> str:
    return next((c[0].upper() + c[1:] + "." for c in cautions if "wait" in c), "")


def _age(days: float, most: float | None = None) -> str:
    """`16 days`, `12–22`; in hours where it is a matter of a day or two."""
    if (most or days) < 4:
        low, high = round(24 * days), round(24 * (most or days))
        return f"{low} hours" if most is None else f"{low}–{high} hours"
    return say.count(round(days), "day") if most is None else f"{round(days)}–{round(most)}"


def _in_general(
    ask: Asking, name: str, species: str | None, temp: float | None = None, batch: Batch | None = None
) -> Answer:
    """The age at hatching at a temperature (°C), and what dates that makes for a batch."""
    try:
        age = hatch_age(species, temp)
    except ValueError as trouble:
        return Answer(f"{say.first_up(str(trouble).rstrip('.'))}.")
    why = (f"{age.basis}.", *(f"Source: {s}." for s in age.sources), *age.cautions)
    at = f" at {say.temperature(temp, ask.units)}" if temp is not None else ""
    if age.median_days is None or age.p10_days is None or age.p90_days is None:
        return Answer(f"{name}{at}: no hatch age to give. {' '.join(age.cautions[:1])}".strip(), why=why)
    text = (
        f"{name}{at}: half hatched about {_age(age.median_days)} after laying "
        f"({_age(age.p10_days, age.p90_days)}, 80 %); {age.basis}."
    )
    if batch and batch.laid_from and batch.laid_to:
        first = batch.laid_from + dt.timedelta(days=age.p10_days)
        last = batch.laid_to + dt.timedelta(days=age.p90_days)
        text += f"\n{batch.name}, kept so from laying on: half by {say.span(first, last, ask.book.info.zone)}."
    return Answer(text, why=why)
