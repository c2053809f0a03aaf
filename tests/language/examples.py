"""What the learnt reader learns from: labelled notes, with a label for each tag where the labels read fairly again."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace

from bot.language import Names, Reader
from bot.language.learnt.alone import may_be_labelled
from bot.language.learnt.bidden import KEPT, ORDERS
from bot.language.learnt.enough import TELLABLE
from bot.language.learnt.grouping import stretches
from bot.language.learnt.parts import Telling
from bot.language.learnt.question import about_what_was_told, asked
from bot.language.learnt.room_signs import room_signs
from bot.language.learnt.second_reading import UNSHOWN, tags_of
from bot.language.learnt.values import base
from bot.language.tags import Tag
from tests.language.aligned import ASKED, NO_PART, OTHER, UNCLEAR, Aligned, aligned
from tests.language.judging import DATA, Raw, Room, best, card_of, notes_of
from tests.language.learn import HELD_BACK, NO_NOTES, ROOMS, UNSEEN, conversations, readings

TAUGHT = "taught/"  # the folder of notes written for the learnt reader to learn from
TAUGHT_HELD_BACK = "0123"  # by the first digit of the SHA-256 of id and text
TRUST_LEARNT_OF = "01"  # of those, what it is learnt of how far a reading can be trusted
READINGS_TRIED = 4
TRAPS_SENT = "2026-03-09T18:30"
_SILENT = frozenset([OTHER, KEPT, UNCLEAR, ASKED])


@dataclass(frozen=True)
class Example:
    """A note as the net is taught it; `label` is None for a tag of which nothing is said."""

    tags: list[Tag]
    labels: list[str | None]
    note_labels: frozenset[str]
    about: str  # what it asks about, if anything
    room: tuple[tuple[str, ...], ...] = ()  # what the room says of each tag
    first: tuple[tuple[str, ...], ...] = ()  # what may be shown of the first reading, tag by tag


def files() -> list[str]:
    """The files of labelled notes to learn from."""
    own = [f.name for f in sorted(DATA.glob("*.jsonl")) if f.name not in NO_NOTES | UNSEEN]
    return own + [TAUGHT + f.name for f in sorted((DATA / TAUGHT).glob("*.jsonl"))]


def is_held_back(file: str, note: Raw) -> bool:
    """Whether a note is kept to measure with."""
    if file.startswith(TAUGHT):
        return _digit(note["id"] + note["text"]) in TAUGHT_HELD_BACK
    return file in UNSEEN or _digit(note["id"]) in HELD_BACK.get(file, "")


def is_for_trust(file: str, note: Raw) -> bool:
    """Whether a note that neither reading was made with is kept to learn how far each can be trusted."""
    return file.startswith(TAUGHT) and _digit(note["id"] + note["text"]) in TRUST_LEARNT_OF


def _digit(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[0]


def examples(chosen: list[str] | None = None) -> Iterator[Example]:
    """An example of every note that may be learnt from.

    The first reading is there only for notes that its rules were not made for: one that was always right would be
    believed whatever the words.
    """
    rooms = {card: (Reader(Names.of(card_of(card)), twice=False), Room.of(card_of(card))) for card in _CARDS}
    for file in chosen or files():
        reader, room = rooms[ROOMS.get(file, "millrace.json")]
        for note in notes_of(file):
            if is_held_back(file, note):
                continue
            example = example_of(note, reader.names, room) or _unmarked(note, reader.names)
            told = first_reading(note, reader, example.tags) if file.startswith(TAUGHT) else ()
            yield _in_room(replace(example, first=told), reader.names)
    if chosen is None:
        reader, room = rooms["millrace.json"]
        for note in _traps():
            yield _in_room(example_of(note, reader.names, room) or _unmarked(note, reader.names), reader.names)
        for text, kinds in conversations():
            want = _heard("log", [{"kind": kind} for kind in sorted(kinds)])
            note = {"id": text, "text": text, "sent": TRAPS_SENT, "want": [want]}
            yield _in_room(_unmarked(note, reader.names), reader.names)


def _in_room(example: Example, names: Names) -> Example:
    return replace(example, room=tuple(map(tuple, room_signs(example.tags, names))))


def _traps() -> Iterator[Raw]:
    """The traps of which it is said what they tell, in the form of the other notes."""
    for text in (DATA / "traps.jsonl").read_text(encoding="utf-8").splitlines():
        trap = json.loads(text)
        outcome = trap.get("outcome", "log" if trap.get("want") else "")
        if outcome in ("log", "ask", "none"):
            want = _heard(outcome, trap.get("want", []))
            yield {"id": trap["text"], "text": trap["text"], "sent": TRAPS_SENT, "want": [want]}


_CARDS = ("millrace.json", *ROOMS.values())


def first_reading(note: Raw, reader: Reader, tags: list[Tag]) -> tuple[tuple[str, ...], ...]:
    """What the rules make of a note, as the net is shown it."""
    sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
    try:
        first = reader.first_reading(note["text"], sent)
    except Exception:  # what the reader asks to be said differently has no first reading
        return (UNSHOWN,) * len(tags)
    return tuple(map(tuple, first.signs(tags, reader.names)))


def example_of(note: Raw, names: Names, room: Room) -> Example | None:
    """The first of its readings whose labels give a fair reading again; None when none does."""
    for want in readings(note)[:READINGS_TRIED]:
        found = aligned(note, want, names)
        if _reads_fairly(found, want, note, names, room) and _asks_fairly(found, note, want, names, room):
            return Example(found.tags, _labels(found, names), _note_labels(want), _about(want))
    return None


def _unmarked(note: Raw, names: Names) -> Example:
    """A note of which it is known what it tells, but not by which words."""
    want = readings(note)[0]
    tags = tags_of(names, note["text"], dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None))
    return Example(tags, [None] * len(tags), _note_labels(want), _about(want))


def _about(want: Raw) -> str:
    return str(want["query"]["about"]) if want.get("query") else ""


def _labels(found: Aligned, names: Names) -> list[str | None]:
    """The label of each tag that is to be learnt: of those that may play a part, and of the words of a bare order."""
    bare = {
        at
        for kind, stretch in stretches(found.kinds)
        if base(kind) in ORDERS and all(found.roles[at] == NO_PART for at in stretch)
        for at in stretch
    }
    return [
        f"{kind}|{role}"
        if role != NO_PART
        else kind
        if at in bare
        else None
        if not may_be_labelled(found.tags, at, names)
        else kind
        if kind in _SILENT
        else OTHER
        for at, (kind, role) in enumerate(zip(found.kinds, found.roles, strict=True))
    ]


def _note_labels(want: Raw) -> frozenset[str]:
    """The kinds told, and the outcome where it is more than logging them."""
    kinds = {e["kind"] for e in want["events"]} - {KEPT}
    outcome = want["outcome"] if want["outcome"] != "log" else "" if kinds else KEPT
    return frozenset(kinds | {outcome} - {""})


def _reads_fairly(found: Aligned, want: Raw, note: Raw, names: Names, room: Room) -> bool:
    """Whether the parts found make a fair reading; questions are left out."""
    sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
    labels = [(label or OTHER).partition("|") for label in _labels(found, names)]
    kinds = [kind for kind, _, _ in labels]
    roles = [role or NO_PART for _, _, role in labels]
    told, _ = Telling(names, sent, found.tags, kinds, roles).told()
    events: list[Raw] = [event.outside() for event in told]
    if not any(e.get("cause") for reading in readings(note) for e in reading["events"]):
        events = [{k: v for k, v in e.items() if k != "cause"} for e in events]  # from its plain word, no label's doing
    if found.kinds.count(UNCLEAR) * 2 > len(kinds):
        return best([_told_of(want) for want in readings(note)], _heard("ask", []), note["text"], room) == "exact"
    if not events and KEPT in found.kinds:
        events = [{"kind": KEPT}]
    asks = want["outcome"] == "ask" and bool(events)  # what else is clear is told all the same
    heard = _heard("ask" if asks else "log" if events else "none", events)
    return best([_told_of(want) for want in readings(note)], heard, note["text"], room) == "exact"


def _asks_fairly(found: Aligned, note: Raw, want: Raw, names: Names, room: Room) -> bool:
    """Whether the parts found make the question of a reading, if it has one."""
    if want.get("query") is None:
        return True
    sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
    query = asked(names, sent, found.tags, found.kinds, found.roles, want["query"]["about"])
    told, _ = Telling(names, sent, found.tags, found.kinds, found.roles).told()
    query = about_what_was_told(query, told, found.tags)
    wants: list[Raw] = [{**_heard("answer", []), "query": w["query"]} for w in readings(note) if w.get("query")]
    return best(wants, {**_heard("answer", []), "query": query.outside()}, note["text"], room) == "exact"


def _told_of(want: Raw) -> Raw:
    """What a reading logs; questions are left out, and what is only kept beside what is told."""
    events = [e for e in want["events"] if e["kind"] in TELLABLE - {KEPT}] or want["events"]
    return _heard("ask" if want["outcome"] == "ask" else "log" if events else "none", events)


def _heard(outcome: str, events: list[Raw]) -> Raw:
    return {"outcome": outcome, "events": events, "query": None}
