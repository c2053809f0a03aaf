"""What a doubtful clause most likely says: the clause as written, and readings of it to choose from."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

from bot.language.clauses.group import Raw
from bot.language.doubts.second_opinion import chances, signs_of
from bot.language.reading import Doubt
from bot.language.remarks import remark
from bot.language.scene import Sentence
from bot.language.tags import Tag, Tagger
from bot.language.telling import Teller
from bot.language.times.dating import finished
from shared.events import Event

UNSURE = "I am not sure about"
_MOST = 3  # choices beside the remark
_LONGEST = 90  # letters of a clause that is quoted whole
_AFLOAT = frozenset(["floater", "floaters", "floating", "stiff", "goner", "goners"])  # what a dead fish is called


def with_choices(
    doubts: list[Doubt], sentences: list[Sentence], teller: Teller, tagger: Tagger, text: str
) -> list[Doubt]:
    """The doubts, those that are unsure of a whole clause quoting it as written and naming what it may mean."""
    return [_worded(d, sentences, teller, tagger, text) if d.question.startswith(UNSURE) else d for d in doubts]


def _worded(doubt: Doubt, sentences: list[Sentence], teller: Teller, tagger: Tagger, text: str) -> Doubt:
    sentence = next((s for s in sentences if s.text() == doubt.words and s.tags), None)
    if sentence is None:
        return doubt
    said = as_written(sentence.tags, tagger, text)
    held = teller.held.get(doubt.words, [])
    told = _told(held, teller) if held else ()
    likely = [(called(told, teller), told)] if told else []
    likely += [(called((raw,), teller), (raw,)) for raw in _guessed(sentence, teller, said)]
    kept = remark(sentence.tags, said, teller.names).outside()
    choices = (*dict(likely[:_MOST]).items(), ("leave it as a remark", (kept,)))
    asked = "Which is it?" if len(choices) > 1 else "How should I write it down?"
    return replace(doubt, question=f"{UNSURE} “{shortened(said)}”. {asked}", likely=choices)


def shortened(said: str) -> str:
    """A clause as it is quoted in a question."""
    said = " ".join(said.split())
    return said if len(said) <= _LONGEST else f"{said[: _LONGEST - 1]}…"


def taken_for(events: Sequence[Event], teller: Teller, tagger: Tagger, text: str, question: str) -> Doubt:
    """What was read in a note that may well mean something else, to be tapped before it is logged."""
    told = tuple(e.outside() for e in events)
    return Doubt(text[:200], question, likely=((called(told, teller), told), left(tagger, text, teller)))


def left(tagger: Tagger, text: str, teller: Teller) -> tuple[str, tuple[Raw, ...]]:
    """The choice to keep a note as it is."""
    return "leave it as a remark", (remark(tagger.tags, text, teller.names).outside(),)


def as_written(tags: list[Tag], tagger: Tagger, text: str) -> str:
    """The stretch of the note that some tags were made of."""
    first = tagger.tokens[tagger.items[min(t.at for t in tags)].first].start
    last = tagger.tokens[tagger.items[min(max(t.upto for t in tags), len(tagger.items)) - 1].last].end
    return text[first:last].strip()


def _told(held: list[Raw], teller: Teller) -> tuple[Raw, ...]:
    """The events that were held back, in their outside form."""
    ghost = Teller(teller.names, teller.sent, events=[dict(raw) for raw in held])
    events = finished(ghost)
    return () if ghost.doubts else tuple(e.outside() for e in events if e.kind not in ("fix", "undo"))


def _guessed(sentence: Sentence, teller: Teller, said: str) -> list[Raw]:
    """What one place with one number, a food, an additive or a piece of gear can well mean, the likeliest first."""
    names = teller.names
    tags = [t for t in sentence.tags if t.note not in ("quoted", "idle")]
    spots = [t for t in tags if t.kind == "place" and len(t.value) == 1]
    numbers = [t for t in tags if t.kind == "num" and t.low is None and t.value == int(t.value)]
    place = spots[0].value[0] if len(spots) == 1 else None
    if place is None and not spots and numbers and len(names.by_id.get(f"{numbers[0].value:g}", ())) == 1:
        place = names.by_id[f"{numbers.pop(0).value:g}"][0]
    if place is None:
        return []
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    if len(batches) == 1 and {"to", "into", ">"} & {t.word for t in tags}:
        return [{"kind": "move", "batch": batches[0], "to": place}]
    out: list[Raw] = [
        *({"kind": "feed", "places": [place], "food": t.one("food")} for t in tags if t.says("food")),
        *({"kind": "dose", "place": place, "substance": t.one("substance")} for t in tags if t.says("substance")),
        *({"kind": "service", "place": place, "item": t.one("item")} for t in tags if t.says("item")),
    ]
    if len(numbers) == 1 and _AFLOAT & {t.word for t in tags}:
        out = [{"kind": "death", "place": place, "count": int(numbers[0].value)}]
    elif len(numbers) == 1 and not out:
        out = _numbered(place, int(numbers[0].value), teller)
    odds, _ = chances(signs_of(tags, said))
    return sorted(out, key=lambda raw: -odds.get(str(raw["kind"]), 0.0))


def _numbered(place: str, number: int, teller: Teller) -> list[Raw]:
    """What a bare number beside a place may be: degrees, eggs, bad eggs, a count."""
    names, out = teller.names, list[Raw]()
    if (15 <= number <= 33) if names.metric else (60 <= number <= 90):
        warm = float(number) if names.metric else round((number - 32) * 5 / 9, 1)
        out.append({"kind": "measure", "place": place, "quantity": "temperature", "value": warm})
    stages = {b.stage: b for b in names.batches_in(place)}
    if names.place_of[place].role == "breeders" and number:
        out.append({"kind": "pull", "place": place, "count": number})
    for stage, batch in stages.items():
        if batch.count and number <= batch.count:
            kind = "bad_eggs" if stage == "eggs" else "headcount"
            out.append({"kind": kind, "place": place, "count": number})
    return out


_WORDS = {
    "pull": "{count} eggs pulled from {where}",
    "bad_eggs": "{count} bad eggs out of {where}",
    "eyed": "{count} eyed in {where}",
    "hatch": "{count} hatched in {where}",
    "death": "{count} dead in {where}",
    "headcount": "{count} counted in {where}",
    "water_change": "water changed {percent} {where}",
    "top_off": "topped off {where}",
    "feed": "fed {where} {food}",
    "dose": "{amount} {unit} {substance} into {where}",
    "service": "{item} seen to in {where}",
    "culture": "{culture} {action}",
    "measure": "{quantity} {value} in {where}",
    "move": "{count} {batch} moved {off} to {to}",
    "sale": "{count} {line} sold",
    "stock_in": "{count} {line} came in",
    "reserve": "{count} {line} kept for {buyer}",
    "release": "{count} promised to {buyer} free again",
    "setting": "{where} {what} {value}",
    "remind": "a reminder",
    "snooze": "put off {where}",
    "done": "{where} done",
    "mop": "mop put into {where}",
    "new_place": "set up {where}",
    "close_place": "close {where}",
    "peat": "peat {where} {action}",
    "undo": "take the last one back",
    "fix": "mend the last one: {count} {where} {culture} {quantity} {value} {percent} {amount} {unit} "
    "{substance} {food} {item}",
    "remark": "a remark",
}


_ONE = re.compile(r"^1 (?P<what>(?:bad )?egg)s\b")


def called(events: tuple[Raw, ...], teller: Teller) -> str:
    """Events in a few words, for a choice."""
    return "; ".join(dict.fromkeys(_call(raw, teller) for raw in events))


def _call(raw: Raw, teller: Teller) -> str:
    where = raw.get("places") or [w for w in (raw.get("place"), raw.get("batch")) if w]
    facts = {k: str(v) for k, v in raw.items()}
    facts["where"] = ", ".join(str(w) for w in where)
    if "from" in raw:
        facts["off"] = f"from {raw['from']}"
    if "percent" in raw:
        facts["percent"] = f"{round(raw['percent'], 1):g} %"
    for key in ("value", "amount", "litres", "every_days"):
        if isinstance(raw.get(key), float):
            facts[key] = f"{raw[key]:g}"
    if raw.get("quantity") == "temperature" and isinstance(raw.get("value"), int | float):
        value = float(raw["value"])
        facts["value"] = f"{value:g} °C" if teller.names.metric else f"{value * 9 / 5 + 32:.0f} °F"
    if facts.get("unit") == "drop" and facts.get("amount") != "1":
        facts["unit"] = "drops"
    if "what" in facts:
        facts["what"] = facts["what"].replace("_", " ")
    words = _WORDS.get(str(raw["kind"]), str(raw["kind"]).replace("_", " "))
    called = _ONE.sub("1 \\g<what>", " ".join(words.format_map(_Blank(facts)).split()))
    return ", ".join([called, *_besides(raw, facts, words, teller)])


_BESIDES = {
    "line": "{line}",
    "stage": "{stage}",
    "sex": "{sex}",
    "male": "{male} male",
    "female": "{female} female",
    "cause": "{cause}",
    "to": "into {to}",
    "litres": "{litres} l",
    "price": "for {price}",
    "buyer": "to {buyer}",
    "source": "from {source}",
    "every_days": "every {every_days} days",
}


def _besides(raw: Raw, facts: dict[str, str], words: str, teller: Teller) -> list[str]:
    """What else an event says than its first words, so that two choices that differ never look alike."""
    told = {key: says for key, says in _BESIDES.items() if key in raw and f"{{{key}}}" not in words}
    if raw.get("except"):
        told["except"] = "but not {except}"
        facts["except"] = ", ".join(raw["except"])
    if isinstance(raw.get("price"), float):
        facts["price"] = f"{raw['price']:g} {raw.get('currency', '')}".strip()
    out = [says.format_map(facts) for says in told.values()]
    if raw.get("date") and raw["date"] != teller.sent.date().isoformat():
        day = dt.date.fromisoformat(raw["date"])
        out.append(f"{day:%a} {day.day} {day:%b}")
    return [*out, facts["time"]] if "time" in raw else out


class _Blank(dict[str, str]):
    """Facts, those unknown left blank."""

    def __missing__(self, key: str) -> str:
        return ""
