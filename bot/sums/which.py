"""Which sum a question asks for, and its answer; a number that cannot be gets one clear sentence, never a figure."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from bot.answers.asking import Answer, Asking, Sum, sentence
from bot.language.asking.which_sum import sum_asked, topic_of
from bot.sums import crowding as crowding_sums
from bot.sums import degree_days as day_sums
from bot.sums import doses as dose_sums
from bot.sums import foods as food_sums
from bot.sums import growth as growth_sums
from bot.sums import kin as kin_sums
from bot.sums import losses as loss_sums
from bot.sums import rates as rate_sums
from bot.sums import water as water_sums
from bot.sums import water_changes as change_sums

_TOPICS: Mapping[str, Callable[[Sum], Answer]] = {
    "degree days": day_sums.degree_days,
    "warmth": day_sums.warmth,
    "dilution": dose_sums.dilution,
    "ph": water_sums.ph,
    "inbreeding": kin_sums.inbreeding,
    "effective": kin_sums.effective,
    "live food": food_sums.live_food,
    "cysts": food_sums.cysts,
    "first food": food_sums.first_food,
    "crowding": crowding_sums.crowding,
    "box": water_sums.box,
    "changes": change_sums.changes,
    "percent": change_sums.percent,
    "after": change_sums.after,
    "steady": change_sums.steady,
    "flow": change_sums.flow,
    "poured": change_sums.poured,
    "mix": change_sums.mix,
    "aged": change_sums.aged,
    "share": water_sums.share,
    "oxygen": water_sums.oxygen,
    "conversion": water_sums.conversion,
    "losses": loss_sums.losses,
    "comparison": rate_sums.comparison,
    "survival": rate_sums.survival,
    "weeks": growth_sums.weeks,
    "length": growth_sums.length,
    "reach": growth_sums.reach,
    "dose": dose_sums.dose,
}
# Kinds that are sums by themselves; in any other the whole message must ask for one, not a note with a question to it.
_RECKONED = frozenset({"calc", "dose", "ammonia", "advice", "ready", "rate", "culture"})
# Kinds of questions that are about the record itself, whatever figures their words name.
_OF_THE_RECORD = frozenset({"chart", "help", "history", "last"})


def _told(reckon: Callable[[Sum], Answer], ask: Asking, after: str = "") -> Answer:
    try:
        return reckon(Sum.of(ask))
    except ValueError as trouble:
        return Answer(f"{sentence(trouble)}{after}")


def sum_for(ask: Asking) -> Answer | None:
    """The answer where the question's own words ask for a sum, whatever kind of question it was read as."""
    about = ask.query.about
    if about in _OF_THE_RECORD or (about not in _RECKONED and sum_asked(ask.text) is None):
        return None
    topic = topic_of(ask.text)
    if topic is None or (about == "ammonia" and topic not in ("oxygen", "ph")):
        return None
    return _told(_TOPICS[topic], ask)


def ammonia(ask: Asking) -> Answer:
    """Whether a reading is dangerous."""
    return _told(water_sums.reading, ask, " Check the reading.")


def dose(ask: Asking) -> Answer:
    """How much of something to put in."""
    return _told(dose_sums.dose, ask)


def rate(ask: Asking) -> Answer:
    """Hatch rates from the record."""
    return _told(rate_sums.rate, ask)


def counted_share(ask: Asking) -> Answer:
    """The rate of two counts the question names."""
    return _told(rate_sums.counted_share, ask)


def bad_share(ask: Asking) -> Answer:
    """What share of the eggs went bad."""
    return _told(rate_sums.bad_share, ask)


def ready(ask: Asking) -> Answer:
    """When fish will be big enough to move or sell."""
    return _told(growth_sums.ready, ask)


def calc(ask: Asking) -> Answer:
    """A sum whose words name none of the known ones: the temperature or the share it gives, else how to say it."""
    return _told(_calc, ask)


def _calc(s: Sum) -> Answer:
    if s.word("to") is None and s.number("percent") is None and (celsius := s.number("temperature")) is not None:
        fahrenheit = celsius * 1.8 + 32
        return Answer(f"{celsius:.1f} °C is {fahrenheit:.1f} °F.".replace(".0 °", " °"))
    return water_sums.share(s)


_TROUBLE = re.compile(
    r"\b(?:treat\w*|medic\w*|salt|sick|ill|ailing|dying|dead|died|die|lost|losing|gasp\w*|clamp\w*|spots?|ich|fung\w*|rot\w*|bloat\w*"
    r"|thin|pale|hid\w*|wrong|bad|off|worr\w*|smell\w*|cloud\w*|milky|foam\w*|ammonia|nitrite|nitrate|flash\w*|scratch\w*|breath\w*|trouble"
    r"|problem|emergency|not eating|won't eat|stopped eating|weak|swim\w*|float\w*|belly|red|sore|torn|fins?)\b"
)


def advice(ask: Asking) -> Answer:
    """What to do, where the record or the figures say something; else who knows."""
    query, standing = ask.query, ask.standing
    if any(k in Sum.of(ask).given for k in ("ammonia", "nitrite", "nitrate")):
        return ammonia(ask)
    harmless = "First steps that do no harm: test ammonia and nitrite, change a third of the water, feed less"
    if query.place and query.place in standing.places:
        tested = [q for q in ("ammonia", "nitrite", "nitrate") if standing.latest(query.place, q)]
        if tested:
            found = ammonia(ask)
            return Answer(f"Last tests in {query.place}:\n{found.text}", why=found.why)
        if _TROUBLE.search(ask.text.casefold()):
            return Answer(f"No tests on record for {query.place}. {harmless}.")
    if _TROUBLE.search(ask.text.casefold()):
        return Answer(f"That goes beyond the record. {harmless}; for sick fish ask a vet.")
    return Answer("That goes beyond the record. “what's due” and “why” tell what is to be done and how.")
