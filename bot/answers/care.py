"""What the trade does every day, where a question is about that and no sum: feeding, fungus, room, new water."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

from bot import sentences as say
from bot.answers.asking import Answer, Asking, Sum, sentence
from bot.sums.crowding import crowding
from shared.due.house_rules import Routine
from shared.due.rules import Spot
from shared.husbandry import doses
from shared.quantities import PRACTICE

LATELY = dt.timedelta(days=3)


def feeding(ask: Asking) -> Answer:
    """How much and how often: by eye, and by this room's routine."""
    name = ask.query.place
    held = ask.standing.fish_at(name) if name else []
    fry = any(h.stage == "fry" for h in held) or re.search(r"\bfry\b", ask.text.casefold()) is not None
    place = ask.standing.places.get(name or "")
    spot = Spot(place.name if place else "", place.kind if place else "tub" if fry else "tank")
    key = "fry_feeds_per_day" if fry else "feeds_per_day"
    try:
        times = Routine.of(ask.standing).number(key, spot, ask.now.date(), ask.now)
    except KeyError:
        times = 0
    often = f", {say.number(times)} times a day by the routine" if times else ""
    text = f"As much as is eaten in a few minutes{often}; take out what is left ({PRACTICE})."
    if name and (last := ask.standing.last(name, "feed")):
        text += f"\n{name}: last fed {say.moment(last, ask.book.info.zone, ask.now)}."
    return Answer(text, why=(f"Source: {PRACTICE}.",))


def fungus(ask: Asking) -> Answer:
    """What keeps fungus off eggs, with the caution of what it takes."""
    few, many = (say.number(n) for n in (doses.PEROXIDE_DROPS[0], doses.PEROXIDE_DROPS[-1]))
    text = (
        "Take white and fuzzy eggs out every day and give all fresh water; "
        f"{few}–{many} drops of 3 % peroxide to two cups at each change ({PRACTICE}).\n"
        "Eggs that were never fertile go white first; many of them is a matter of the parents. "
    )
    return Answer(f"{text}{say.PEROXIDE}", why=(f"Source: {PRACTICE}.",))


def room_for(ask: Asking) -> Answer | None:
    """How full a tank is with so many more."""
    more = re.search(r"\b(\d+) more\b|\broom for (\d+)\b", ask.text.casefold())
    if more is None or ask.query.place is None:
        return None
    given = {**ask.query.given, "count": float(more[1] or more[2])}
    try:
        return crowding(Sum.of(replace(ask, query=replace(ask.query, given=given))))
    except ValueError as trouble:
        return Answer(sentence(trouble))


def conditioner(ask: Asking) -> Answer | None:
    """Dechlorinator goes by its label; how much new water it is for can be reckoned."""
    place = ask.standing.places.get(ask.query.place or "")
    percent = ask.query.given.get("percent")
    if place is None or place.litres is None:
        return Answer("Dechlorinator goes by its label and the amount of new water; say the tank and the percentage.")
    share = float(percent) / 100 if isinstance(percent, int | float) else 1.0
    if not 0 < share <= 1:
        return Answer("A water change is more than nothing and at most all of the water.")
    water = say.volume(place.litres * share, ask.units, ask.book.info.gallon)
    what = f"{say.number(100 * share)} % of {place.name}" if share < 1 else f"All of {place.name}"
    return Answer(f"{what} is {water} of new water: dechlorinator for that by the label of your bottle.")


_SUBSTANCE = re.compile(
    r"\b(?:peroxide|h2o2|salt|formalin|malachite|copper|methylene|acriflavine?|tannins?|leaf|leaves|dechlor\w*|"
    r"conditioner|levamisole|praziquantel|antibiotic\w*|drops? of)\b"
)
WANTS_MEDICINE = (
    r"\b(?:should|shall|can|could|do|must|what|which|need|better)\b.*\b(?:dose|treat|medicate|medicines?|meds?|cure|"
    r"give (?:it|him|her|them|something))\b"
)


def ailing(ask: Asking) -> Answer | None:
    """Whether to treat fish nobody has examined: water first, nothing blind, and no diagnosis."""
    name = ask.query.place
    place = ask.standing.places.get(name or "")
    if _SUBSTANCE.search(ask.text.casefold()) or (place and ask.standing.eggs_at(place.name)):
        return None
    if place is None and re.search(r"\b(?:eggs?|tubs?|cups?)\b", ask.text.casefold()):
        return None
    where = f"{place.name}: nothing" if place else "Nothing"
    third = ""
    if place and place.litres:
        third = f" ({say.volume(place.litres / 3, ask.units, ask.book.info.gallon)})"
    lines = [
        f"{where} blind. Test ammonia and nitrite and take the temperature first; change a third of the water{third}, "
        f"as warm as theirs, more air, feed less ({PRACTICE}).",
        "What ails a fish nobody can tell from a note. Medicine only by its label, once a vet or whoever knows fish "
        "has seen it.",
    ]
    if place:
        known = {q: ask.standing.latest(place.name, q) for q in ("ammonia", "nitrite", "temperature")}
        told = [
            f"{say.reading(q, at.value, ask.units)} {say.ago(at.at, ask.now)}"
            for q, at in known.items()
            if at is not None and ask.now - at.at < LATELY
        ]
        lines.insert(1, f"Read lately: {', '.join(told)}." if told else "Neither was read here in the last three days.")
    return Answer("\n".join(lines), why=(f"Source: {PRACTICE}.",))
