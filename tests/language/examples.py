"""What the learnt reader learns from: labelled notes, a label for each tag, where the labels read fairly again."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace

from bot.language import Names, Reader
from bot.language.learnt.bidden import KEPT, ORDERS, may_bid
from bot.language.learnt.grouping import stretches
from bot.language.learnt.parts import TELLABLE, Telling
from bot.language.learnt.second_reading import UNSHOWN
from bot.language.learnt.values import base, may_play_a_part
from bot.language.tags import Tag
from tests.language.aligned import ASKED, NO_PART, OTHER, UNCLEAR, Aligned, aligned
from tests.language.judging import DATA, Raw, Room, best, card_of, notes_of
from tests.language.learn import HELD_BACK, NO_NOTES, ROOMS, UNSEEN, readings

TAUGHT = "taught/"  # the folder of notes written for the learnt reader to learn from
TAUGHT_HELD_BACK = "0123"  # by the first digit of the SHA-256 of id and text
READINGS_TRIED = 4
_SILENT = frozenset([OTHER, KEPT, UNCLEAR, ASKED])


@dataclass(frozen=True)
class Example:
    """A note as the net is taught it; `label` is None for a tag that plays no part and says nothing of the others."""

    tags: list[Tag]
    labels: list[str | None]
    note_labels: frozenset[str]
    first: tuple[tuple[str, ...], ...]  # what it is shown of the first reading, tag by tag


def files() -> list[str]:
    """The files of labelled notes to learn from."""
    own = [f.name for f in sorted(DATA.glob("*.jsonl")) if f.name not in NO_NOTES | UNSEEN]
    return own + [TAUGHT + f.name for f in sorted((DATA / TAUGHT).glob("*.jsonl"))]


def is_held_back(file: str, note: Raw) -> bool:
    """Whether a note is kept to measure with."""
    if file.startswith(TAUGHT):
        return _digit(note["id"] + note["text"]) in TAUGHT_HELD_BACK
    return file in UNSEEN or _digit(note["id"]) in HELD_BACK.get(file, "")


def _digit(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[0]


def examples(chosen: list[str] | None = None) -> Iterator[Example]:
    """An example of every note that may be learnt from and is read fairly by the labels found for it.

    The first reading is shown only with notes that its rules were not made for, and a fourth of those are shown
    without it as well: a reading that was always right would be believed whatever the words.
    """
    rooms = {card: (Reader(Names.of(card_of(card)), twice=False), Room.of(card_of(card))) for card in _CARDS}
    for file in chosen or files():
        reader, room = rooms[ROOMS.get(file, "millrace.json")]
        shown = file.startswith(TAUGHT)
        for number, note in enumerate(notes_of(file)):
            if is_held_back(file, note) or (example := example_of(note, reader.names, room)) is None:
                continue
            if not shown or number % 4 == 0:
                yield example
            if shown:
                yield replace(example, first=first_reading(note, reader, example.tags))


_CARDS = ("millrace.json", *ROOMS.values())


def first_reading(note: Raw, reader: Reader, tags: list[Tag]) -> tuple[tuple[str, ...], ...]:
    """What the rules make of a note, as the net is shown it."""
    sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
    outcome = reader.read(note["text"], sent).outcome
    try:
        first = reader.first(note["text"], sent).ending(outcome)
    except Exception:  # what the reader asks to be said differently has no first reading
        return (UNSHOWN,) * len(tags)
    return tuple(map(tuple, first.signs(tags, reader.names)))


def example_of(note: Raw, names: Names, room: Room) -> Example | None:
    """The first of its readings whose labels give a fair reading again; None when none does."""
    for want in readings(note)[:READINGS_TRIED]:
        found = aligned(note, want, names)
        if _reads_fairly(found, want, note, names, room):
            return Example(found.tags, _labels(found, names), _note_labels(want), (UNSHOWN,) * len(found.tags))
    return None


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
        if not may_play_a_part(tag, names) and not may_bid(tag)
        else kind
        if kind in _SILENT
        else OTHER
        for at, (tag, kind, role) in enumerate(zip(found.tags, found.kinds, found.roles, strict=True))
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
    if found.kinds.count(UNCLEAR) * 2 > len(kinds):
        return best([_told_of(want) for want in readings(note)], _heard("ask", []), room) == "exact"
    if not events and KEPT in found.kinds:
        events = [{"kind": KEPT}]
    asks = want["outcome"] == "ask" and bool(events)  # what else is clear is told all the same
    heard = _heard("ask" if asks else "log" if events else "none", events)
    return best([_told_of(want) for want in readings(note)], heard, room) == "exact"


def _told_of(want: Raw) -> Raw:
    """What a reading logs; questions are left out, and what is only kept beside what is told."""
    events = [e for e in want["events"] if e["kind"] in TELLABLE - {KEPT}] or want["events"]
    return _heard("ask" if want["outcome"] == "ask" else "log" if events else "none", events)


def _heard(outcome: str, events: list[Raw]) -> Raw:
    return {"outcome": outcome, "events": events, "query": None}
