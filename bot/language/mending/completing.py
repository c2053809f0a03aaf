"""Answers to the reader's own questions: "5" after "Which tank?" completes the event that was held back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bot.language.clauses.group import Group, Raw
from bot.language.kept_out.negative import MOST_DROPS
from bot.language.reading import Doubt, Reading
from bot.language.scene import Context, Part
from bot.language.tags import Tag, Tagger
from bot.language.telling import MOST, Teller
from bot.language.water import fits
from shared.events import ReminderAsked, event_from

if TYPE_CHECKING:
    from bot.language.reader import Reader

_FILLER = frozenset(
    ["the", "in", "it", "was", "it's", "its", "tank", "tub", "number", "from", "into", "to", "that", "one", "sorry",
     "uh", "um", "please", "yes", "yeah", "oh", "i", "mean", "meant", "think", "of", "on", "for", "a", ",", ".", "!",
     "-", "and", "them", "they", "were", "there"]
)  # fmt: skip

_WHENS = ("date", "time", "every_days", "month_day")
_OF_A_DAY = frozenset(
    ["at", "every", "other", "next", "by", "in", "around", "about", "maybe", "time", "then", "month", "each", "first"]
)


_NO_DEED = ("on", "in total", "now", "all there", "put", "left")  # signs of events that an answer has, too
_IN_PLACES = ("water_change", "feed", "top_off")


@dataclass
class _Answer:
    """What was said to a doubt, and what was held back until it was settled."""

    reader: Reader
    doubt: Doubt
    text: str
    sent: dt.datetime
    tags: list[Tag]
    group: Group

    @property
    def partial(self) -> dict[str, Any]:
        return dict(self.doubt.partial or {})

    @property
    def kind(self) -> str:
        return str(self.partial.get("kind"))

    def teller(self) -> Teller:
        return Teller(self.reader.names, self.sent)

    def numbers(self, *kinds: str) -> list[Tag]:
        return [t for t in self.tags if t.kind in kinds and t.low is None]

    def extra(self) -> list[Tag]:
        """The words no answer to this question needs."""
        filler = _FILLER | _OF_A_DAY if self.doubt.missing == "when" else _FILLER
        return [t for t in self.tags if t.kind == "word" and t.word not in filler]


def completed(reader: Reader, doubt: Doubt, answer: str, sent: dt.datetime) -> Reading | None:
    """The reading of an answer to a doubt, or None when the answer says something else."""
    if doubt.partial is None or not answer.strip():
        return None
    tags = [t for t in Tagger(reader.names, answer, sent).tags if t.kind not in ("stop", "punct", "sep")]
    if len(tags) > 8 or any(t.senses.get("cue") and t.word not in _NO_DEED for t in tags):
        return None
    its = _Answer(reader, doubt, answer, sent, tags, Group([Part(tags, "", 0, 0)], reader.names, Context()))
    if its.group.unknown() is not None or len(its.extra()) > 2:
        return None
    if doubt.missing in ("value", "count") and _of_another(its.partial, its.group):
        return None
    fill = _SETTLED_BY.get(doubt.missing)
    filled = fill(its) if fill is not None else None
    if filled is None:
        return None
    try:
        event = event_from({k: v for k, v in {**its.partial, **filled}.items() if v is not None})
    except ValueError:
        return None
    return Reading("log", (event,))


def _places_said(its: _Answer) -> list[str]:
    """The places an answer names: themselves, as one of the choices, or by the fish in them."""
    places = [p for k, v, _ in its.group.sequence("place") if k == "P" for p in v]
    if places or its.group.batches():
        return places
    lines = [x for t in its.group.kind("line") for x in t.value]
    chosen = _option(its.doubt, its.text)
    if chosen or not lines or its.doubt.missing != "place":
        return chosen
    found = its.teller().spots_by_line(its.kind, lines)
    return list(found) if len(found) == 1 else []


def _end(its: _Answer) -> Raw | None:
    places = _places_said(its)
    return {its.doubt.missing: places[0]} if len(places) == 1 else None


def _where(its: _Answer) -> Raw | None:
    places, batches = _places_said(its), its.group.batches()
    if len(batches) == 1 and its.kind not in (*_IN_PLACES, "service", "mop"):
        return {"batch": batches[0]}
    if its.kind in _IN_PLACES:
        places = [its.reader.names.batch_of[b].place for b in batches] or places
        return {"places": places} if places else None
    return {"place": places[0]} if len(places) == 1 else None


def _which_line(its: _Answer) -> Raw | None:
    lines = its.group.lines()
    return {"line": lines[0]} if len(lines) == 1 else None


def _which_culture(its: _Answer) -> Raw | None:
    said = [t.value for t in its.tags if t.kind == "culture"] or _option(its.doubt, its.text)
    return {"culture": said[0]} if len(said) == 1 else None


def _how_many(its: _Answer) -> Raw | None:
    numbers = its.numbers("num")
    if len(numbers) != 1 or numbers[0].value != int(numbers[0].value) or numbers[0].value > MOST.get(its.kind, 5000):
        return None
    return {"count": int(numbers[0].value)}


def _how_much(its: _Answer) -> Raw | None:
    """A share of the water, a reading, an amount put in, or what else is asked for with a number."""
    numbers = its.numbers("num", "deg", "pct", "frac", "len")
    if len(numbers) != 1:
        return None
    tag = numbers[0]
    if its.kind == "water_change":
        return {"percent": round(tag.value, 1)} if 0 < tag.value <= 100 else None
    if its.kind == "measure":
        value = fits(str(its.partial.get("quantity")), float(tag.value), tag, its.teller())
        return {"value": value} if value is not None else None
    if its.kind == "dose":
        too_many = its.partial.get("unit") == "drop" and tag.value > MOST_DROPS
        return {"amount": tag.value} if tag.kind == "num" and tag.value > 0 and not too_many else None
    return {"value": tag.value}


def _when(its: _Answer) -> Raw | None:
    read = its.reader.read(f"remind me {its.text}", its.sent)
    told = [e for e in read.events if isinstance(e, ReminderAsked)]
    when = {k: v for k, v in told[0].outside().items() if k in _WHENS} if len(told) == 1 else {}
    return when if when and not its.extra() else None


def _for_whom(its: _Answer) -> Raw | None:
    people = [t.value for t in its.tags if t.kind == "person"]
    return {"buyer": people[0]} if len(people) == 1 else None


_SETTLED_BY: dict[str, Callable[[_Answer], Raw | None]] = {
    "place": _where,
    "batch": _where,
    "to": _end,
    "from": _end,
    "line": _which_line,
    "culture": _which_culture,
    "count": _how_many,
    "value": _how_much,
    "when": _when,
    "buyer": _for_whom,
}


def _of_another(partial: dict[str, Any], group: Group) -> bool:
    """Whether a figure is said of another tank, batch or reading than was asked about: a note of its own."""
    its = {partial.get("place"), partial.get("batch"), partial.get("to"), *partial.get("places", ())}
    named = {p for t in group.kind("place") for p in t.value or ()} | set(group.batches())
    measured = {t.one("quantity") for t in group.tags if t.says("quantity")}
    if partial.get("kind") == "measure" and measured - {partial.get("quantity")}:
        return True
    return bool(named - its)


_ORDER = {
    "first": 0, "the first": 0, "the first one": 0,
    "second": 1, "the second": 1, "the second one": 1,
    "last": -1, "the last": -1, "the last one": -1,
}  # fmt: skip


def _option(doubt: Doubt, answer: str) -> list[str]:
    """The option an answer picks by its letters or by its place in the list."""
    said = " ".join(answer.lower().split()).strip(" .!")
    exact = [o for o in doubt.options if o.lower() == said or o.lower().split()[-1] == said]
    if len(exact) == 1:
        return exact
    return [doubt.options[_ORDER[said]]] if said in _ORDER and doubt.options else []
