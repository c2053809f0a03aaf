"""Answers to the reader's own questions: "5" after "Which tank?" completes the event that was held back."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from bot.language.clauses.group import Group
from bot.language.kept_out.negative import MOST_DROPS
from bot.language.reading import Doubt, Reading
from bot.language.scene import Context, Part
from bot.language.tags import Tagger
from bot.language.telling import MOST, Teller
from bot.language.water import fits
from shared.events import ReminderAsked, event_from

if TYPE_CHECKING:
    from bot.language.reader import Reader

_FILLER = frozenset(
    [
        "the",
        "in",
        "it",
        "was",
        "it's",
        "its",
        "tank",
        "tub",
        "number",
        "from",
        "into",
        "to",
        "that",
        "one",
        "sorry",
        "uh",
        "um",
        "please",
        "yes",
        "yeah",
        "oh",
        "i",
        "mean",
        "meant",
        "think",
        "of",
        "on",
        "for",
        "a",
        ",",
        ".",
        "!",
        "-",
        "and",
        "them",
        "they",
        "were",
        "there",
    ]
)

_WHENS = ("date", "time", "every_days", "month_day")
_OF_A_DAY = frozenset(
    ["at", "every", "other", "next", "by", "in", "around", "about", "maybe", "time", "then", "month", "each", "first"]
)


def completed(reader: Reader, doubt: Doubt, answer: str, sent: dt.datetime) -> Reading | None:
    """The reading of an answer to a doubt, or None when the answer says something else."""
    if doubt.partial is None or not answer.strip():
        return None
    names = reader.names
    tagger = Tagger(names, answer, sent)
    tags = [t for t in tagger.tags if t.kind not in ("stop", "punct", "sep")]
    if (
        any(t.senses.get("cue") for t in tags if t.word not in ("on", "in total", "now", "all there", "put", "left"))
        or len(tags) > 8
    ):
        return None
    group = Group([Part(tags, "", 0, 0)], names, Context())
    if group.unknown() is not None:
        return None
    partial: dict[str, Any] = dict(doubt.partial)
    kind = partial.get("kind")
    missing = doubt.missing
    filler = _FILLER | _OF_A_DAY if missing == "when" else _FILLER
    extra = [t for t in tags if t.kind == "word" and t.word not in filler]
    if len(extra) > 2 or (missing in ("value", "count") and _of_another(partial, group)):
        return None
    if missing in ("place", "batch", "to", "from"):
        places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
        batches = group.batches()
        if not places and not batches:
            places = _option(doubt, answer)
            lines = [x for t in group.kind("line") for x in t.value]
            if not places and lines and missing == "place":
                found = Teller(names, sent).spots_by_line(str(kind), lines)
                places = list(found) if len(found) == 1 else []
        if missing in ("to", "from"):
            if len(places) != 1:
                return None
            partial[missing] = places[0]
        elif batches and len(batches) == 1 and kind not in ("water_change", "feed", "top_off", "service", "mop"):
            partial["batch"] = batches[0]
        elif kind in ("water_change", "feed", "top_off"):
            if batches:
                places = [names.batch_of[b].place for b in batches]
            if not places:
                return None
            partial["places"] = places
        elif len(places) == 1:
            partial["place"] = places[0]
        else:
            return None
    elif missing == "line":
        lines_said = group.lines()
        if len(lines_said) != 1:
            return None
        partial["line"] = lines_said[0]
    elif missing == "culture":
        said = [t.value for t in tags if t.kind == "culture"] or _option(doubt, answer)
        if len(said) != 1:
            return None
        partial["culture"] = said[0]
    elif missing == "count":
        nums = [t for t in tags if t.kind == "num" and t.low is None]
        if len(nums) != 1 or nums[0].value != int(nums[0].value) or nums[0].value > MOST.get(str(kind), 5000):
            return None
        partial["count"] = int(nums[0].value)
    elif missing == "value":
        its = [t for t in tags if t.kind in ("num", "deg", "pct", "frac", "len") and t.low is None]
        if len(its) != 1:
            return None
        if kind == "water_change":
            if not 0 < its[0].value <= 100:
                return None
            partial["percent"] = round(its[0].value, 1)
        elif kind == "measure":
            value = fits(str(partial.get("quantity")), float(its[0].value), its[0], Teller(names, sent))
            if value is None:
                return None
            partial["value"] = value
        elif kind == "dose":
            if (
                its[0].kind != "num"
                or its[0].value <= 0
                or (partial.get("unit") == "drop" and its[0].value > MOST_DROPS)
            ):
                return None
            partial["amount"] = its[0].value
        else:
            partial["value"] = its[0].value
    elif missing == "when":
        told = [e for e in reader.read(f"remind me {answer}", sent).events if isinstance(e, ReminderAsked)]
        when = {k: v for k, v in told[0].outside().items() if k in _WHENS} if len(told) == 1 else {}
        if extra or not when:
            return None
        partial |= when
    elif missing == "buyer":
        people = [t.value for t in tags if t.kind == "person"]
        if len(people) != 1:
            return None
        partial["buyer"] = people[0]
    else:
        return None
    try:
        event = event_from({k: v for k, v in partial.items() if v is not None})
    except ValueError:
        return None
    return Reading("log", (event,))


def _of_another(partial: dict[str, Any], group: Group) -> bool:
    """Whether a figure is said of another tank, batch or reading than was asked about: a note of its own."""
    its = {partial.get("place"), partial.get("batch"), partial.get("to"), *partial.get("places", ())}
    named = {p for t in group.kind("place") for p in t.value or ()} | set(group.batches())
    measured = {t.one("quantity") for t in group.tags if t.says("quantity")}
    if partial.get("kind") == "measure" and measured - {partial.get("quantity")}:
        return True
    return bool(named - its)


def _option(doubt: Doubt, answer: str) -> list[str]:
    """The option an answer picks by its letters or by its place in the list."""
    said = " ".join(answer.lower().split()).strip(" .!")
    exact = [o for o in doubt.options if o.lower() == said or o.lower().split()[-1] == said]
    if len(exact) == 1:
        return exact
    order = {
        "first": 0,
        "the first": 0,
        "second": 1,
        "the second": 1,
        "last": -1,
        "the last": -1,
        "the first one": 0,
        "the second one": 1,
    }
    if said in order and doubt.options:
        return [doubt.options[order[said]]]
    return []
