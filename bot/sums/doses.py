"""How much to put in: drops for an egg tub, salt, a dye by its stock; refusals, and cautions when they are new."""

from __future__ import annotations

import re
from collections.abc import Iterable

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure
from bot.language.asking.given import volumes_in
from shared.husbandry import doses
from shared.quantities import PRACTICE, convert, sane_amount

SALT_SPOON_G = 18.0  # a level US tablespoon of fine salt, 1.5 g to the quarter teaspoon: from memory
SALT_SPOON_WIDTH = (14.0, 20.0)  # coarse to fine: from memory
_DYE_MG_PER_L = 3.0  # common practice, no source; the label decides
_MANY_REPLIES = 200


def dose(s: Sum) -> Answer:
    """How much to put in; a refusal with its reason where none is given."""
    name = doses.substance_of(s.word("substance") or str(s.ask.query.given.get("substance", "peroxide")))
    place = s.standing.places.get(s.ask.query.place or "")
    litres = s.number("litres", "volume")
    if litres is None and place:
        litres = place.litres
        if litres is None:
            return Answer(f"How much water is in {place.name}? Say it like “how many drops for 2 cups”.")
    strange = _unknown_place(s) if place is None and litres is None else None
    if strange:
        return Answer(f"There is no {strange} here. Which one is it for?")
    percent = s.number("strength", "percent")
    if litres is None and place is None and (told := _strength(s, percent)):
        return told
    if litres is not None and litres <= 0:
        raise ValueError("That is not a volume of water; it must be more than nothing")
    refused = doses.refusal(name, percent, litres)
    if refused:
        return _refused(refused)
    match name:
        case "peroxide":
            return _peroxide(s, litres, percent)
        case "salt":
            return _salt(s, litres)
        case "methylene blue" | "acriflavine":
            return _dye(s, name, litres, percent)
    return Answer(f"For {name} go by the label of your bottle; a vet knows more. No dose from here.")


def _strength(s: Sum, percent: float | None) -> Answer | None:
    """How strong a stock is, or how much is in a drop of it: “how many mg/l is 3% peroxide”, “mg in a drop”."""
    if s.says(r"\bmg\b.*\b(?:in|is|per)\b.*\bdrop\b"):
        drop = doses.drops_mg(1, percent or doses.PEROXIDE_PERCENT)
        width = f"{figure(drop.low or 0)}–{figure(drop.high or 0)}"
        text = f"One drop of {percent or doses.PEROXIDE_PERCENT:g} % holds about {figure(drop.value)} mg ({width})."
        return Answer(text, why=because(drop))
    if percent is not None and s.says(r"\bhow (?:many|much|strong)\b.*\b(?:mg/l|ppm|mg|g/l)\b"):
        stock = doses.stock_strength(percent)
        text = f"{percent:g} % by weight in volume is {figure(stock.value)} mg/L"
        strong = "; strong bottles go by weight in weight, which is more" if percent > 10 else ""
        return Answer(f"{text}{strong}.", why=because(stock))
    return None


def _unknown_place(s: Sum) -> str | None:
    """A tank or tub the question names that the room lacks."""
    found = re.search(r"\b(tank|tub) (\d{1,3}|[a-z])\b(?!\.\d| ?(?:gal|l\b|lit))", s.ask.text.casefold())
    return f"{found[1]} {found[2].upper()}" if found else None


def _refused(found: doses.Refusal) -> Answer:
    sources = tuple(f"Source: {x}." for x in found.sources)
    return Answer(f"No dose for {found.substance}: {found.reason} {found.instead}", why=(found.reason, *sources))


def _where(s: Sum, litres: float) -> str:
    volume = say.volume(litres, s.info.units, s.info.gallon)
    return f"{s.ask.query.place} ({volume})" if s.ask.query.place and s.number("litres") is None else volume


def _told(s: Sum) -> set[str]:
    """The cautions this person has heard: with an answer, or, the first of a substance, with a dose of their own."""
    kept = s.ask.book.messages(person=s.ask.person, limit=_MANY_REPLIES, newest_first=True)
    heard = "\n".join(m.reply.text for m in kept if m.reply)
    told = {c.key for c in doses.known_cautions() if c.text in heard}
    for key in s.standing.dosed_by:
        person, _, substance = key.partition("|")
        if person == s.ask.person:
            told.add(f"{doses.substance_of(substance)}: first use")
    return told


def _cautions(s: Sum, name: str, found: Iterable[doses.Danger]) -> list[str]:
    """What is to be said now: each danger the first time it comes up."""
    return [c.text for c in doses.cautions(name, {*found, "first use"}, _told(s))]


def _inside(s: Sum) -> list[str]:
    """Who lives where it goes, as far as the record and the question know."""
    place = s.ask.query.place
    held = [h.stage for h in s.standing.at_place(place)] if place else []
    return [*held, *(w for w in ("fry", "shrimp", "snails", "plants", "moss") if s.says(rf"\b{w}\b"))]


def _peroxide(s: Sum, litres: float | None, percent: float | None) -> Answer:
    inside = _inside(s)
    if "fry" in inside and s.ask.query.place:
        return Answer(
            f"{s.ask.query.place} holds fry: no more peroxide once fry are seen.",
            why=("Fry bear less than eggs do.", f"Source: {PRACTICE}."),
        )
    water = litres if litres is not None else doses.TWO_CUPS
    found = doses.peroxide(water, percent or doses.PEROXIDE_PERCENT, drops_per_ml=s.number("drops_per_ml") or 20.0)
    if isinstance(found, doses.Refusal):
        return _refused(found)
    width = f" ({say.number(found.low or 0)}–{say.number(found.high or 0)})" if found.low != found.high else ""
    drops = say.count(round(found.value), "drop")
    text = f"{_where(s, water)}: {drops}{width} of peroxide, about {found.mg_per_l:.0f} mg/L."
    usual = doses.drops_mg(doses.PEROXIDE_DROPS[1]).value / doses.TWO_CUPS
    new = _cautions(s, "peroxide", doses.dangers("peroxide", percent, found.mg_per_l, usual, inside=inside))
    return Answer(f"{text}\n{' '.join((f'{found.basis}.', *new))}", why=because(found, said=new))


_STOCKS = re.compile(r"(-?\d+(?:\.\d+)?) ?(?:%|percent|pct)")
_FROM = re.compile(r"\b(?:from|out of|with|of|dilute|my|have)(?: an?| my| the)? (-?\d+(?:\.\d+)?) ?(?:%|percent|pct)")


def dilution(s: Sum) -> Answer:
    """How much of a strong stock, and how much water, make so much of a weaker one."""
    strengths = [float(found) for found in _STOCKS.findall(s.said)]
    if len(strengths) != 2:
        return dose(s) if s.word("substance") or s.number("mg_per_l") is not None else Answer(_DILUTE)
    strong, weak = max(strengths), min(strengths)
    name = doses.substance_of(s.word("substance") or "")
    if refused := doses.refusal(name, strong):
        return _refused(refused)
    if not name and strong > _MILD_PERCENT:
        return Answer(
            f"{strong:g} % of what? Strong peroxide and formalin are never thinned down by a sum from here: "
            "they burn, and the label decides."
        )
    told = _FROM.search(s.said)
    if told and float(told[1]) == weak and strong != weak and re.search(r"\bto\b", s.said[told.end() :]):
        raise ValueError(f"{weak:g} % cannot be diluted to {strong:g} %; water only makes it weaker")
    litres = s.number("litres")
    made = litres if litres is not None else 0.1
    found = doses.stock_needed(doses.stock_strength(weak).value, made, doses.stock_strength(strong).value)
    water = 1000 * made - found.value
    whole = f"{figure(1000 * made)} mL of {weak:g} %"
    text = f"{whole}: {figure(found.value)} mL of the {strong:g} % and {figure(water)} mL of water."
    text += "\nLabel what you made with its strength and the day."
    return Answer(text, why=because(found))


_MILD_PERCENT = 10.0  # a stock of this or less is no danger to thin down, whatever it is: common practice, no source
_DILUTE = "Say both strengths and how much you want, like “dilute 5% stock to 1%, 100 ml”."


def _salt(s: Sum, litres: float | None) -> Answer:
    strength, spoons = s.number("g_per_l"), None
    unit = s.word("unit") or ""
    if strength is None and s.number("amount") is not None and unit[:1] == "t":
        spoons = convert(s.number("amount") or 0, unit, "tbsp").value
    if spoons is not None and litres is not None:
        strength = spoons * SALT_SPOON_G / litres
        low, high = (spoons * g / litres for g in SALT_SPOON_WIDTH)
        found = doses.salt(strength, litres)
        new = _cautions(s, "salt", doses.dangers("salt", mg_per_l=found.mg_per_l, inside=_inside(s)))
        text = (
            f"{figure(s.number('amount') or 0)} {unit} of fine salt in {_where(s, litres)}: about "
            f"{figure(strength)} g/L ({figure(low)}–{figure(high)} by the grain; weigh it to be sure)."
        )
        return Answer("\n".join((text, *new)), why=(*because(found, said=new), _spoon_source()))
    if litres is None:
        return Answer("For how much water, and at how many g/L? Say it like “salt for 10 gal at 1 g/L”.")
    if strength is None:
        one = doses.salt(1, litres)
        text = f"{_where(s, litres)}: {figure(one.value)} g of salt for each g/L you want."
        new = _cautions(s, "salt", doses.dangers("salt", inside=_inside(s)))
        more = "How strong depends on what it is for: by the label, or a vet; say it like “at 3 g/L”."
        return Answer("\n".join((text, " ".join((more, *new)))), why=because(one, said=new))
    found = doses.salt(strength, litres)
    new = _cautions(s, "salt", doses.dangers("salt", mg_per_l=found.mg_per_l, inside=_inside(s)))
    text = f"{_where(s, litres)} at {figure(strength)} g/L: {figure(found.value)} g of salt"
    why = because(found, said=new)
    if s.says(r"\b(?:table|tea)?spoons?|\btbsps?|\btsps?"):
        tea = 3 if s.says(r"\btea|\btsps?") else 1
        number = found.value / SALT_SPOON_G * tea
        low, high = (found.value / g * tea for g in reversed(SALT_SPOON_WIDTH))
        name = "teaspoons" if tea == 3 else "tablespoons"
        text += f", about {figure(round(number, 1))} level {name} ({figure(round(low, 1))}–{figure(round(high, 1))})"
        why += (_spoon_source(),)
    return Answer("\n".join((f"{text}. Weigh it: spoons differ by the grain.", *new)), why=why)


def _spoon_source() -> str:
    low, high = SALT_SPOON_WIDTH
    taken = f"{SALT_SPOON_G:g} g, {low:g} to {high:g} by the grain"
    return f"A level US tablespoon of salt is taken as {taken}: from memory, no source."


def _dye(s: Sum, name: str, litres: float | None, percent: float | None) -> Answer:
    if litres is None:
        return Answer(f"For how much water? Say it like “{name} for 10 gal from a 1 % stock at 3 mg/L”.")
    if percent is None:
        return Answer(
            f"How strong is your bottle? Dyes are sold in very different strengths; say it like “{name} for "
            f"{_where(s, litres)} from a 1 % stock at 3 mg/L”."
        )
    wanted, unit, amount = s.number("mg_per_l"), s.word("unit") or "", s.number("amount")
    waters = sorted(found for found, _ in volumes_in(s.said, s.gallon))
    if wanted is None and amount is not None and unit[:1] in ("t", "d"):
        made = doses.dye(name, convert(amount, unit, "ml").value, litres, percent)
    elif wanted is None and len(waters) == 2 and waters[0] < 0.1 * waters[1]:
        amount, litres = 1000 * waters[0], waters[1]
        made = doses.dye(name, amount, litres, percent)
    else:
        made = doses.dye_needed(
            name, sane_amount(wanted if wanted is not None else _DYE_MG_PER_L, "a strength"), litres, percent
        )
    if isinstance(made, doses.Refusal):
        return _refused(made)
    new = _cautions(s, name, doses.dangers(name, mg_per_l=made.mg_per_l, inside=_inside(s)))
    taken = (
        ""
        if wanted is not None or amount is not None
        else " (taken as wanted: common practice, no source; the label decides)"
    )
    drops = f", about {round(made.value * 20)} drops" if made.value < 2 else ""
    much = f"{figure(made.value)} mL of {name} {percent:g} %{drops}"
    text = f"{_where(s, litres)}: {much} make {figure(made.mg_per_l)} mg/L{taken}."
    return Answer("\n".join((text, *([" ".join(new)] if new else []))), why=because(made, said=new))
