"""What is alive: by line, stage and place; what of it can be sold once promises are kept."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bot import sentences as say
from bot.answers.asking import Asking
from bot.answers.promises import buyer_named, promised, promised_to, promises_of, said
from shared.ledger.standing import Holding, Standing
from shared.species import find_species

_STAGES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"\beggs?\b", ("eggs",)),
    (r"\bfry\b|\bbabies\b", ("fry",)),
    (r"\bjuveniles?\b|\bjuvies?\b", ("juveniles",)),
    (r"\byoung\w*\b", ("fry", "juveniles")),
    (r"\badults?\b|\bbreeders\b|\bgrown\b", ("adults",)),
    (r"\bfish\b(?! room)", ("fry", "juveniles", "adults")),
)
_PROMISED = re.compile(
    r"\b(?:promised?|promises|reserved?|put (?:aside|by)|set aside|spoken for|on hold|holding for|owed?|owes|kept for"
    r"|waiting(?: for)?|waiting list|down for|on order|coming|collect\w*|picking)\b"
)
_FOR_SALE = re.compile(r"\b(?:for sale|to sell|can (?:i|we) sell|sellable|saleable|spare|going|available|free)\b")


def stock(ask: Asking) -> str:
    """How many there are, of a stage where one is named; what is promised, or left to sell, where that is asked."""
    query, standing, words = ask.query, ask.standing, ask.text.casefold()
    if _PROMISED.search(words):
        buyer = buyer_named(ask)
        return (promised_to(ask, buyer) or f"Nothing is promised to {buyer}.") if buyer else promised(ask)
    held = [
        h
        for h in standing.holdings.values()
        if (not query.line or h.line == query.line)
        and (not query.place or h.place == query.place)
        and (not query.batch or h.group == query.batch)
    ]
    if not held or (not (query.line or query.place or query.batch) and _names_others(words)):
        return "Nothing of that is on record."
    if _FOR_SALE.search(words):
        return for_sale(ask, held)
    stages = next((stages for pattern, stages in _STAGES if re.search(pattern, words)), None)
    if stages and not (query.place or query.batch):
        return stage_text(held, stages, "fish" if len(stages) > 1 else stages[0])
    text = stock_text(held)
    kept = promises_of(ask) if query.line else []
    return f"{text}\nPromised: {said(ask, kept)}." if kept else text


def _names_others(words: str) -> bool:
    """Whether a question that named nothing of the room is of one kind of fish: “how many scheeli do I have”."""
    hit = re.search(r"\bhow many ([a-z]+(?: [a-z]+)?) (?:do|have|are|is|did)\b", words)
    found = find_species(hit[1]) if hit else None
    return found is not None and not found.genus_level


def for_sale(ask: Asking, held: Sequence[Holding]) -> str:
    """Young and grown fish that are counted, less what is promised; whether they are big enough the keeper sees."""
    grown = [h for h in held if h.stage in ("juveniles", "adults")]
    kept = promises_of(ask)
    lines = []
    for line in dict.fromkeys(h.line for h in grown):
        mine = [h for h in grown if h.line == line]
        counted = sum(h.count for h in mine if h.counted)
        blank = [h for h in mine if not h.counted]
        away = sum(e.count or 0 for e in kept if (e.line or ask.standing.line_of(e.batch or "")) == line)
        if not counted and blank and not ask.query.line:
            continue
        parts = [
            f"{say.fish(sum(h.count for h in mine if h.counted and h.stage == stage), stage)}"
            for stage in ("juveniles", "adults")
            if any(h.counted and h.stage == stage for h in mine)
        ]
        text = f"{line}: {say.listed(parts) or 'none counted'}"
        if away:
            text += f", {away} of them promised, so {max(0, counted - away)} free"
        if blank:
            text += f"; {_not_counted(blank)}"
        lines.append(f"{text}.")
    if not lines:
        return "No counted young or grown fish of that are on record."
    if kept:
        lines.append(f"Promised: {said(ask, kept)}.")
    return "\n".join(lines)


def stage_text(held: Sequence[Holding], stages: Sequence[str], noun: str) -> str:
    """`109 fry: boesemani 57 (tank 11), gardneri 52 (tubs E and F).`"""
    mine = [h for h in held if h.stage in stages and h.number != 0]
    counted = [h for h in mine if h.counted]
    blank = [h for h in mine if not h.counted]
    if not mine:
        return f"No {noun} on record."
    total = sum(h.count for h in counted)
    about = "about " if any(h.estimated for h in counted) else ""
    parts = []
    for line in dict.fromkeys(h.line for h in counted):
        own = [h for h in counted if h.line == line]
        number = say.number(sum(h.count for h in own))
        if len(stages) > 1:
            number = say.listed(
                say.fish(sum(h.count for h in own if h.stage == s), s) for s in stages if any(h.stage == s for h in own)
            )
        parts.append(f"{line} {number} ({say.places([h.place for h in own if h.place]) or 'in hand'})")
    lines = (
        [f"{say.first_up(about)}{say.fish(total, noun) if noun != 'fish' else f'{total} fish'}: {', '.join(parts)}."]
        if parts
        else []
    )
    if blank:
        by_line = {
            line: [h.place or "hand" for h in blank if h.line == line] for line in dict.fromkeys(h.line for h in blank)
        }
        lines.append(f"Not counted: {', '.join(f'{line} in {say.places(spots)}' for line, spots in by_line.items())}.")
    return "\n".join(lines)


def stock_of(standing: Standing) -> str:
    """All that is alive, line by line."""
    return stock_text(list(standing.holdings.values())) if standing.holdings else "The room is empty."


def stock_text(held: Sequence[Holding]) -> str:
    """Numbers by line and stage, with where they stand when the list is short."""
    lines = []
    for line in dict.fromkeys(h.line for h in held):
        mine = [h for h in held if h.line == line]
        sums = []
        for stage in ("eggs", "fry", "juveniles", "adults"):
            counted = [h for h in mine if h.stage == stage and h.counted]
            if counted:
                about = "about " if any(h.estimated for h in counted) else ""
                sums.append(about + say.fish(sum(h.count for h in counted), stage))
        where = "" if len(held) > 8 else f" ({'; '.join(f'{h.group} {h.place}'.strip() for h in mine if h.counted)})"
        told = [f"{say.listed(sums)}{where if where != ' ()' else ''}"] if sums else []
        if open_ := _not_counted([h for h in mine if not h.counted]):
            told.append(open_)
        lines.append(f"{line}: {'; '.join(told)}.")
    return "\n".join(lines)


def _not_counted(blank: Sequence[Holding]) -> str:
    """`adults in tanks 2 and 3 and eggs in hand not counted`."""
    stages = dict.fromkeys(h.stage for h in blank)
    told = [f"{stage} in {say.places([h.place or 'hand' for h in blank if h.stage == stage])}" for stage in stages]
    return f"{say.listed(told)} not counted" if told else ""
