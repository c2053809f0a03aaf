"""Compares a reading with the fair readings of a labelled note: what is logged must be right.

exact    outcome, events and query all as wanted
misread  something false or incomplete would stand in the record
asked    a question came back where the note was clear
missed   nothing logged and nothing asked where something was wanted
query    the events are right but the question was taken for another
"""

from __future__ import annotations

import datetime as dt
import json
import math
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bot.language import Names, Reader
from shared.room import RoomCard

DATA = Path(__file__).parent / "data"
VERDICTS = ("exact", "asked", "query", "missed", "misread")  # best first
Raw = dict[str, Any]

IGNORED = {"text", "task", "reply", "id", "at", "of", "made", "given", "currency"}  # never judged
GROUNDED = {"stage", "sex", "male", "female", "cause", "buyer", "source", "time", "role", "unit"}  # if the note says so
DERIVABLE = {"line", "batch", "from"}  # may be left out where it follows from the rest
SPLIT = {"water_change", "top_off", "feed", "dose", "measure", "service"}
ASKED_FOR = ("about", "place", "batch", "line", "culture", "quantity", "buyer", "date", "days")
FOLD = {
    "juvenile": "juveniles",
    "juvs": "juveniles",
    "adult": "adults",
    "egg": "eggs",
    "tablespoon": "tbsp",
    "teaspoon": "tsp",
    "drops": "drop",
    "millilitre": "ml",
    "milliliter": "ml",
    "gram": "g",
    "cups": "cup",
    "leaves": "leaf",
    "hydrogen peroxide": "peroxide",
    "baby brine shrimp": "brine shrimp",
    "sinking tablet": "sinking tablets",
    "microworm": "microworms",
    "flakes": "flake",
    "blackworm": "blackworms",
    "bloodworm": "bloodworms",
    "almond leaf": "almond leaves",
    "indian almond leaves": "almond leaves",
}
SAYS = {  # words by which a note says a stage or a sex
    "eggs": ("egg", "spawn", "clutch"),
    "fry": ("fry", "fried", "baby", "babies", "bbys", "hatch", "wiggl", "kid"),
    "juveniles": ("juv", "young", "grow", "runt"),
    "adults": ("adult", "breeder", "male", "pair", "old"),
    "male": ("male", "boy", " m ", "m f"),
    "female": ("female", "girl", " f "),
}
HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


@dataclass(frozen=True)
class Room:
    """What follows from a room: where a batch is alone, whose fish a place or batch holds, and how old they are."""

    batch_place: dict[str, str]
    line_of: dict[str, str]
    stage_of: dict[str, str]

    @classmethod
    def of(cls, card: RoomCard) -> Room:
        at: dict[str, list[str]] = {}
        line_of = {p.name.casefold(): p.line.casefold() for p in card.places if p.line}
        stage_of = {p.name.casefold(): "adults" for p in card.places if p.role == "breeders"}
        for batch in card.batches:
            at.setdefault(batch.place.casefold(), []).append(batch.name.casefold())
            line_of[batch.name.casefold()] = batch.line.casefold()
            stage_of[batch.name.casefold()] = stage_of[batch.place.casefold()] = str(batch.stage)
        return cls({names[0]: place for place, names in at.items() if len(names) == 1}, line_of, stage_of)

    def spot(self, name: str) -> str:
        return self.batch_place.get(name, name)


def fold(value: Any) -> Any:
    if isinstance(value, str):
        text = " ".join(value.casefold().replace("_", " ").split())
        return FOLD.get(text, text)
    if isinstance(value, (list, tuple)):
        return sorted(str(fold(v)) for v in value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    return value


def each(events: list[Raw]) -> list[Raw]:
    """The events with one place each, where several were named."""
    out: list[Raw] = []
    for event in events:
        places = event.get("places")
        if event.get("kind") in SPLIT and isinstance(places, list) and places:
            rest = {k: v for k, v in event.items() if k != "places"}
            out += [{**rest, "place": place} for place in places]
        else:
            out.append(event)
    return out


def flat(event: Raw, room: Room) -> Raw:
    """One event with its spots under one key and its values folded."""
    out = {k: fold(v) for k, v in event.items() if k not in IGNORED and v is not None and v != []}
    spots = {room.spot(str(out[k])) for k in ("place", "batch") if k in out}
    out.pop("place", None)
    if out.get("kind") not in ("move", "sale", "reserve", "release"):
        out.pop("batch", None)
    elif "batch" in out and "place" not in event:
        spots = set()
    many = out.pop("places", None)
    if many:
        spots |= {room.spot(str(s)) for s in many}
    if spots:
        out["spots"] = spots
    if "except" in out:
        out["except"] = sorted(room.spot(str(s)) for s in out["except"])
    return out


def follows(key: str, value: Any, event: Raw, room: Room) -> bool:
    """Whether a missing `key: value` follows from what an event holds."""
    anchors = set(event.get("spots", set())) | {str(event[k]) for k in ("batch", "from") if k in event}
    batch_at = {place: batch for batch, place in room.batch_place.items()}
    if key == "line":
        return any(value in (room.line_of.get(a), room.line_of.get(batch_at.get(a, ""))) for a in anchors)
    if key == "batch":
        return any(room.spot(str(value)) == room.spot(a) for a in anchors)
    return key == "from" and any(room.spot(a) == value for a in anchors)


def grounded(key: str, value: Any, want: Raw, text: str, room: Room) -> bool:
    """Whether a detail more than wanted stands in the note's own words, or in what the room knows of the place."""
    said = f" {' '.join(text.casefold().replace(',', ' ').replace('.', ' ').split())} "
    if key in ("male", "female"):
        return str(int(value)) in text or any(w in said for w in (key, "pair", "trio", "boy", "girl", " m", " f"))
    if key == "stage":
        anchors = set(want.get("spots", set())) | {str(want[k]) for k in ("batch", "from") if k in want}
        known = {room.stage_of.get(a) for a in anchors} - {None}
        return value in known or any(w in said for w in SAYS.get(str(value), ()))
    if key == "sex":
        return any(w in said for w in SAYS.get(str(value), ()))
    if key == "time":
        hour = int(str(value).split(":")[0])
        names = {12: ("noon", "midday", "lunch"), 0: ("midnight",)}.get(hour, ())
        return any(
            w in said for w in (str(hour), f"{hour:02d}", str((hour - 1) % 12 + 1), *names, HOURS[(hour - 1) % 12])
        )
    if key == "unit":
        return str(value)[:3] in said or str(value) in ("drop", "tbsp", "tsp", "ml", "g")
    return any(word in said for word in str(value).split() if len(word) > 2)


def near(key: str, a: float, b: float, want: Raw) -> bool:
    if key == "value" and want.get("quantity") == "temperature":
        return abs(a - b) <= 0.06
    if key == "litres":
        return abs(a - b) <= 0.03 * max(abs(a), abs(b))
    if key == "percent" or (key == "value" and want.get("quantity") == "length"):
        return abs(a - b) <= 0.6
    return math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-9)


def same(want: Raw, got: Raw, text: str, room: Room) -> bool:
    if want.get("kind") == got.get("kind") == "remark":
        return "spots" not in want or "spots" not in got or bool(want["spots"] & got["spots"])
    for key in want.keys() | got.keys():
        if key not in want:
            if key in GROUNDED and grounded(key, got[key], want, text, room):
                continue
            if key == "substance" and got[key] == "peroxide":
                continue
            if key in DERIVABLE and follows(key, got[key], want, room):
                continue
            return False
        if key not in got:
            if (key == "substance" and want[key] == "peroxide") or (
                key in DERIVABLE and follows(key, want[key], got, room)
            ):
                continue
            return False
        a, b = want[key], got[key]
        if key == "item" and str(a).endswith("filter") and str(b).endswith("filter") and "filter" in (a, b):
            continue
        if isinstance(a, float) and isinstance(b, float):
            if not near(key, a, b, want):
                return False
        elif a != b:
            return False
    return True


def pairing(want: list[Raw], got: list[Raw], text: str, room: Room) -> dict[int, int]:
    """As many wanted events as can be, each with a partner of its own (got → want)."""
    taken: dict[int, int] = {}

    def place(i: int, tried: set[int]) -> bool:
        for j, other in enumerate(got):
            if j not in tried and same(want[i], other, text, room):
                tried.add(j)
                if j not in taken or place(taken[j], tried):
                    taken[j] = i
                    return True
        return False

    for i in range(len(want)):
        place(i, set())
    return taken


def judge(want: Raw, got: Raw, text: str, room: Room) -> str:
    outcome = got.get("outcome")
    wanted = [flat(e, room) for e in each(want.get("events") or [])]
    logged = [flat(e, room) for e in each(got.get("events") or [])] if outcome in ("log", "both", "ask") else []
    pairs = pairing(wanted, logged, text, room)
    stray = [e for j, e in enumerate(logged) if j not in pairs and not (wanted and e.get("kind") == "remark")]
    if stray or (outcome != "ask" and logged and len(pairs) < len(wanted)):
        return "misread"
    if outcome == "ask":
        return "exact" if want["outcome"] == "ask" else "asked"
    if want["outcome"] == "ask" or (wanted and not logged):
        return "missed"
    if want["outcome"] in ("answer", "both"):
        asked = flat({k: v for k, v in (want.get("query") or {}).items() if k in ASKED_FOR}, room)
        heard = flat({k: v for k, v in (got.get("query") or {}).items() if k in ASKED_FOR}, room)
        extra = set(heard) - set(asked) - {"culture", "quantity", "buyer", "date", "days"}
        heard = {k: v for k, v in heard.items() if k in asked or k in extra}
        return "exact" if outcome == want["outcome"] and same(asked, heard, text, room) else "query"
    return "exact" if outcome == want["outcome"] else "query"


def best(wants: list[Raw], got: Raw, text: str, room: Room) -> str:
    """The best verdict over the fair readings of a note of this text."""
    return min((judge(want, got, text, room) for want in wants), key=VERDICTS.index)


def card_of(file: str) -> RoomCard:
    return RoomCard.model_validate_json((DATA / file).read_text(encoding="utf-8"))


def notes_of(file: str) -> list[Raw]:
    lines = (DATA / file).read_text(encoding="utf-8").splitlines()
    return [note for line in lines if line.strip() and (note := json.loads(line))["want"]]


def tally(notes: list[Raw], card: RoomCard) -> tuple[Counter[str], list[tuple[str, str]]]:
    """How often each verdict falls, and the ids of all that is not exact."""
    reader, room = Reader(Names.of(card)), Room.of(card)
    counts: Counter[str] = Counter()
    off: list[tuple[str, str]] = []
    for note in notes:
        got = reader.read(note["text"], dt.datetime.fromisoformat(note["sent"])).outside()
        wants = note["want"] if isinstance(note["want"], list) else [note["want"]]
        verdict = best(wants, got, note["text"], room)
        counts[verdict] += 1
        if verdict != "exact":
            off.append((verdict, note["id"]))
    return counts, off
