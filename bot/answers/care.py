"""What the trade does every day, where a question is about that and no sum: feeding, fungus, room, new water."""

from __future__ import annotations

import re
from dataclasses import replace

from bot import sentences as say
from bot.answers.asking import Answer, Asking, Sum, sentence
from bot.sums.growth import crowding
from shared.due.house_rules import Routine
from shared.due.rules import Spot
from shared.husbandry import doses
from shared.quantities import PRACTICE


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
