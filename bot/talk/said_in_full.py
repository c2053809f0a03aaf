"""Terse notes put into full words: what promises, tank sizes and the shape of the words make of them.

Each comes to a note that is read like any other, or to one more choice beside what the reader asks; nothing is guessed.
"""

# ruff: noqa: E501  (patterns of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.language import Doubt, Reader, Reading
from bot.talk.questions import Asked
from shared.events import Dosed, Event, FishPromised, FishSold, Measured, Remarked, event_from
from shared.ledger.standing import Standing
from storage.engine import RoomInfo

_PAID = re.compile(
    r"(?:\b(?:paid|for|gave (?:me|us)|got)(?: me| us)? [$€£]?|[$€£])(\d{1,5}(?:[.,]\d\d)?)\b(?! (?:of|fish|eggs?|fry|pairs?))"
)
_PICKED_UP = re.compile(
    r"^(?P<who>[^\W\d_]+) (?:(?:just |has )?(?:picked up|collected|took|came for|got|bought)|was here for|came by for) "
    r"(?:(?:his|her|their|the) (?:(?:two |three )?(?:fish|pairs?|trios?|order|box)|[a-z ]{3,20})|them)\b",
    re.IGNORECASE,
)
_SPLIT = re.compile(
    r"^(?:split|parted|divided) (?P<batch>b\d{1,4})[:,]?(?: up)? (?:the )?(?P<n>\d{1,4})(?: (?:biggest|largest|smallest|best|of them))*"
    r" (?:(?:to|into|in) )(?P<to>(?:tank |tub )?\w{1,3})(?:[ ,;]*(?:and )?(?:the )?(?:rest|others?) (?:stays?|stayed|remain|staying)(?: (?:put|there))?)?$",
    re.IGNORECASE,
)
_PER = re.compile(
    r"(?P<n>\d+(?:[.,]\d+)?|a|an|one|two|three|half an?) ?(?P<unit>tsp|teaspoons?|tbsp|tablespoons?|drops?|ml|g|grams?|cups?)\b"
    r"(?P<of>[a-z ]*?) (?:per|for (?:each|every)|to (?:each|every)|every|/) ?(?P<m>\d+(?:[.,]\d+)?)? ?(?P<vol>gal(?:lon)?s?|g|lit(?:er|re)s?|l)\b",
    re.IGNORECASE,
)
_GAVE = re.compile(
    r"^(?:i |we )?(?:gave|dosed) (?P<place>\d{1,3}|(?:tank|tub) \w{1,3}) (?P<rest>.+)$|^(?P<place2>\d{1,3}|(?:tank|tub) \w{1,3}) got (?P<rest2>.+)$",
    re.IGNORECASE,
)
_WORDS = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "half a": 0.5, "half an": 0.5}
_ONE_FISH = re.compile(
    r"\b(?:lost|found) (?:the|that|our|my|this) (?:[a-z]+ ){0,2}[a-z]+(?<!s) in\b|\bthe (?:[a-z]+ ){1,2}(?:died|is dead|was dead)\b",
    re.IGNORECASE,
)
LITRES = {"g": 3.785411784, "l": 1.0}


def in_full(text: str, standing: Standing) -> str | None:
    """The note in the words it is read by; None where it is not of these shapes."""
    plain = " ".join(text.split()).strip(" .!")
    if hit := _SPLIT.match(plain):
        return f"moved {hit['n']} of {hit['batch'].upper()} to {hit['to']}"
    if (hit := _GAVE.match(plain)) and not _PER.search(plain):
        place = (hit["place"] or hit["place2"]).strip()
        name = f"tank {place}" if place.isdigit() else place
        return f"put {hit['rest'] or hit['rest2']} in {name}" if name.casefold() in _names(standing) else None
    return None


def _names(standing: Standing) -> set[str]:
    return {n.casefold() for n in standing.places}


def read_in_full(text: str, reading: Reading, reader: Reader, standing: Standing, now: dt.datetime) -> Reading:
    """The reading of the note in full, where as it was said it is doubtful and in full it is not."""
    if reading.outcome not in ("ask", "none"):
        return reading
    full = in_full(text, standing)
    if full:
        again = reader.read(full, now)
        if again.events and not again.doubts and not all(isinstance(e, Remarked) for e in again.events):
            return again
    sold = _sold_as_promised(text, reading, standing)
    return Reading("log", (sold,)) if sold else reading


def _sold_as_promised(text: str, reading: Reading, standing: Standing) -> FishSold | None:
    """Fish sold without a name to somebody whose one promise says which: “sold the two pairs to Okafor”."""
    buyer, told = "", dict[str, Any]()
    if len(reading.doubts) == 1 and reading.doubts[0].missing == "line" and reading.doubts[0].partial:
        told = {k: v for k, v in reading.doubts[0].partial.items() if v is not None}
        buyer = str(told.get("buyer") or "") if told.get("kind") == "sale" else ""
    elif not reading.events and (hit := _PICKED_UP.match(" ".join(text.split()))):
        told, buyer = {"kind": "sale"}, hit["who"]
    promise = _promised_to(buyer, standing)
    if promise is None:
        return None
    count = told.get("count")
    if count and promise.count and count > promise.count:
        return None
    raw = promise.model_dump(exclude_none=True, exclude={"kind", "date", "time", "made"}, by_alias=True)
    raw |= {"kind": "sale", "buyer": promise.buyer, "count": int(count or promise.count or 0) or None}
    if raw["count"] != promise.count:
        raw.pop("male", None), raw.pop("female", None), raw.pop("price", None)
    if paid := _PAID.search(text):
        raw["price"] = float(paid[1].replace(",", "."))
    try:
        event = event_from({k: v for k, v in raw.items() if v is not None})
    except ValueError:
        return None
    return event if isinstance(event, FishSold) else None


def _promised_to(buyer: str, standing: Standing) -> FishPromised | None:
    kept = [k.event for k in standing.promises if isinstance(k.event, FishPromised)]
    mine = [p for p in kept if buyer and (p.buyer or "").casefold() == buyer.casefold()]
    return mine[0] if len(mine) == 1 else None


# ---- asked with choices


def per_volume(text: str, reader: Reader, standing: Standing, info: RoomInfo, now: dt.datetime) -> Asked | None:
    """“A tbsp of salt per 5 gallons” in a tank of known size: how much that is, asked before it is put down."""
    hit = _PER.search(text)
    if hit is None or text.rstrip().endswith("?"):
        return None
    spots = {p for tag in reader.told(text, now)[0].tags if tag.kind == "place" for p in tag.value or ()}
    gave = _GAVE.match(" ".join(text.split()))
    if gave and (number := (gave["place"] or gave["place2"])).isdigit():
        spots = {f"tank {number}"}
    place = standing.places.get(next(iter(spots), "")) if len(spots) == 1 else None
    if place is None:
        return None
    amount = _WORDS.get(hit["n"].casefold()) or float(hit["n"].replace(",", "."))
    read = reader.read(f"put {hit['n']} {hit['unit']}{hit['of']} in {place.name}", now)
    dose = read.events[0] if len(read.events) == 1 and not read.doubts else None
    if not isinstance(dose, Dosed):
        return None
    if place.litres is None:
        text = f"How many {hit['unit']} was that in all? The size of {place.name} is not on record."
        doubt = Doubt("", text, (), "amount", None)
        return Asked(text, now, (("leave it as a remark", ({"kind": "remark", "place": place.name},)),), doubt)
    per = float((hit["m"] or "1").replace(",", ".")) * LITRES["g" if hit["vol"][0].casefold() == "g" else "l"]
    whole = round(amount * place.litres / per, 1)
    size = say.volume(place.litres, info.units, info.gallon)
    first = dose.model_copy(update={"amount": whole}).outside()
    options = (
        (f"{say.number(whole)} {dose.unit}", (first,)),
        (f"{say.number(amount)} {dose.unit}", (dose.outside(),)),
        ("neither", ()),
    )
    text = f"In {place.name} ({size}) that is {say.number(whole)} {dose.unit} of {dose.substance}. How much went in?"
    return Asked(text, now, options)


def with_temperatures(doubt: Doubt, text: str, reader: Reader, now: dt.datetime, info: RoomInfo) -> Doubt:
    """Numbers of tanks beside numbers of degrees: the readings they would be, as the first choice."""
    if any(raw.get("kind") != "remark" for _, told in doubt.likely for raw in told):
        return doubt  # the reader itself offers what it may be
    if doubt.missing != "kind" or not re.fullmatch(
        r"[\s\d.,:;=°fFcC&]*(?:(?:is|at|and|t|tank)[\s\d.,:;=°fFcC&]*)*", text
    ):
        return doubt
    reading = reader.read(f"temps {text}", now)
    readings = [
        e for e in reading.events if isinstance(e, Measured) and e.quantity == "temperature" and e.value is not None
    ]
    if reading.doubts or not readings or len(readings) != len(reading.events):
        return doubt
    label = "; ".join(f"{say.places(e.spots)} {say.temperature(e.value or 0, info.units)}" for e in readings)
    choice = (label, tuple(e.outside() for e in readings))
    return replace(doubt, question="Temperatures?", likely=(choice, *doubt.likely))


def one_fish(event: Event, text: str) -> Event:
    """“Lost the heavy breather in 4”: the one fish that is spoken of."""
    if event.kind != "death" or getattr(event, "count", None) is not None or not _ONE_FISH.search(text):
        return event
    return event.model_copy(update={"count": 1})


def with_its_count(doubt: Doubt, text: str) -> Doubt:
    """The same for a loss that is asked about first."""
    if not doubt.likely or not _ONE_FISH.search(text):
        return doubt
    likely = []
    for label, events in doubt.likely:
        lost = len(events) == 1 and events[0].get("kind") == "death" and events[0].get("count") is None
        likely.append((f"1 {label}", ({**events[0], "count": 1},)) if lost else (label, events))
    return replace(doubt, likely=tuple(likely))


_ASKS = re.compile(
    r"^(?:who|what|whats|when|where|which|why|how|is|are|was|do|does|did|can|could|should|any|has|have)\b"
)


_ORDERS = re.compile(r"^(?:please )?(?:remove|invite|make|let|put out|cancel|undo|stop|start|show|send)\b")
NOT_ASKED = "What would you like to know?"


def not_understood(text: str, reader: Reader, now: dt.datetime) -> Remarked | str | None:
    """A sentence about this room that came to nothing: kept as a remark; of a question, what could be asked.

    None where it names nothing and nobody of the room.
    """
    named = _named(text, reader, now)
    said = text.strip().casefold()
    if text.rstrip().endswith("?") or _ASKS.match(said):
        return could_be_asked(named) if named.keys() - {"person"} else None
    if not named or (not named.keys() - {"person"} and _ORDERS.match(said)):
        return None
    key = next((k for k in ("place", "batch", "line") if k in named), None)
    return Remarked.model_validate({"text": text, **({key: named[key]} if key else {})})


def asked_back(doubt: Doubt, text: str, reader: Reader, now: dt.datetime) -> Doubt:
    """A question the reader did not understand, with what could be asked of what it names."""
    if not doubt.question.startswith(NOT_ASKED):
        return doubt
    return replace(doubt, question=could_be_asked(_named(text, reader, now)))


def could_be_asked(named: dict[str, str]) -> str:
    """How to ask of a place, batch or line."""
    name = next((named[k] for k in ("place", "batch", "line") if k in named), "")
    if "place" in named:
        ways: tuple[str, ...] = (f"{name}?", f"what's due in {name}", f"temperature of {name}", f"history of {name}")
    elif "batch" in named:
        ways = (f"{name}", f"when does {name} hatch", f"history of {name}")
    elif "line" in named:
        ways = (f"how many {name}", f"where are the {name}", f"how did the {name} do this month")
    else:
        ways = ("what's due", "how many fry", "what hatches next", "help")
    return f"{NOT_ASKED} For instance: {', '.join(f'“{w}”' for w in ways)}."


def _named(text: str, reader: Reader, now: dt.datetime) -> dict[str, str]:
    """The one place, batch and line a note names first, and a person of the room."""
    named: dict[str, str] = {}
    here = {p.casefold() for p in reader.names.people}
    for tag in reader.told(text, now)[0].tags:
        if tag.kind in ("place", "batch", "line") and tag.value and tag.note != "quoted":
            value = tag.value if isinstance(tag.value, str) else tag.value[0] if len(tag.value) == 1 else None
            if value:
                named.setdefault(tag.kind, value)
        elif tag.kind == "culture" and tag.value:
            named.setdefault("culture", str(tag.value))
        elif tag.kind == "person" and str(tag.value).casefold() in here:
            named.setdefault("person", str(tag.value))
    return named
