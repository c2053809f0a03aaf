"""Labels for the tags of a labelled note: which kind of event each is part of, and as what.

Nobody marked the words of a note; only what it tells is labelled. `bot.language.learnt.aligned` finds which stretch
says what; here the words around get the kind of what they stand beside.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from bot.language import Names
from bot.language.learnt.aligned import parts_of, values_of
from bot.language.learnt.beside import nearest, sentences
from bot.language.learnt.bidden import KEPT
from bot.language.learnt.bidden import NO_PART as NO_PART
from bot.language.learnt.likeliest import Part, kind_of
from bot.language.learnt.second_reading import tags_of
from bot.language.tags import Tag
from tests.language.judging import Raw

OTHER, ASKED, UNCLEAR = "O", "Q", "A"  # told of nothing, asked, to be asked about


@dataclass(frozen=True)
class Aligned:
    """A note's tags, for each the kind of event it is part of and its role there, and the events no tag tells of.

    An event that says no more than its kind ("all done") is not missing: there is nothing to find.
    """

    tags: list[Tag]
    kinds: list[str]
    roles: list[str]
    missing: list[Raw]


def aligned(note: Raw, want: Raw, names: Names) -> Aligned:
    """One note with the parts its tags play in one of its fair readings."""
    sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
    tags = tags_of(names, note["text"], sent)
    events = [*(want.get("events") or []), *_question(want)]
    parts = parts_of(tags, events, names, sent)
    kinds = _kinds_around(tags, parts, want)
    roles = [part.role if part else NO_PART for part in parts]
    found = {part.event for part in parts if part}
    missing = [e for n, e in enumerate(events) if e["kind"] != ASKED and n not in found and any(values_of(e))]
    return Aligned(tags, kinds, roles, missing)


def _question(want: Raw) -> list[Raw]:
    """The question of a reading as if it were an event; the batch of a place that is named follows from it."""
    query = want.get("query") or {}
    said = {k: v for k, v in query.items() if k != "batch" or "place" not in query}
    return [{**said, "kind": ASKED}] if query else []


def _kinds_around(tags: Sequence[Tag], parts: Sequence[Part | None], want: Raw) -> list[str]:
    """For each tag the kind of event it is part of: its own, else that of the nearest part in its sentence."""
    events = want.get("events") or []
    told = [kind_of(e) for e in events if e["kind"] != KEPT]
    if want["outcome"] == "ask" and not events:
        return [UNCLEAR] * len(tags)
    if want["outcome"] == "log" and not told and events:
        return [KEPT] * len(tags)
    asks = want["outcome"] in ("answer", "both")
    alone = not any(parts) and told and (len(set(told)) == 1 or len(sentences(tags)) == 1)
    around = ASKED if asks else told[0] if alone else UNCLEAR if want["outcome"] == "ask" else OTHER
    kinds: list[str] = [OTHER] * len(tags)
    for sentence in sentences(tags):
        anchors = [at for at in sentence if parts[at]]
        for at in sentence:
            part = parts[nearest(tags, at, anchors)] if anchors else None
            kinds[at] = part.kind if part else around
    return kinds
