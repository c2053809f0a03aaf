"""What “it”, “them” or “there” stands for: the places of the note, answer or alarm just before.

The words are only put into full words and read like any note. Without a word that points, the place is a choice to
tap and nothing is taken for granted.
"""

# ruff: noqa: E501  (patterns of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

from bot import sentences as say
from bot.language import Doubt, Query, Reader, Reading
from bot.language.tags import Tag
from shared.events import event_from
from storage.messages import KeptMessage

MOST_BACK = 4
FOR = dt.timedelta(hours=1)
MOST_WORDS = 12
_NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "2": 2, "3": 3, "4": 4, "5": 5, "6": 6}
_MANY = re.compile(
    r"\b(?:all (?:of )?(?:them|those|these|(?P<all>two|three|four|five|six|[2-6])(?: of them)?)|"
    r"both(?: of them)?|"
    r"(?:those|these|the) (?P<these>two|three|four|five|six|[2-6])\b(?! \w+s\b)|(?:th)?em|'em|those|these)\b"
)
_ONE = re.compile(
    r"\b(?:in (?:it|there|that(?: one)?)|it(?! (?:was|is|were|had|has)\b)|there(?!'s\b| (?:was|were|is|are)\b)|that (?:one|tank|tub)|that|this one|same (?:tank|tub))\b"
)
_NEW_WATER = re.compile(r"^(?:(?:fresh|new|clean) )?water (?=on\b|in\b|for\b)|^(?:fresh|new|clean) water\b")
_CHORES = frozenset(
    ("water_change", "top_off", "dose", "feed", "measure", "service", "bad_eggs", "headcount", "eyed", "hatch", "done",
     "snooze", "mop", "death", "remark")
)  # fmt: skip
_UNNAMED = frozenset(("water_change", "top_off", "dose", "feed", "service", "measure"))
_OUT_OF_IT = re.compile(r"\b(?:in|of|from|out of|into) (?:it|that)\b")
_DID = re.compile(
    r"^(?:(?:ok|okay|right|yep|yes|and)[\s,]+)?(?:all )?(?:done|did (?:it|that|so)|done (?:it|that)|(?:it|that) is done|"
    r"it's done|finished|i did)(?: now| already| too)?$"
)
_CHANGED = re.compile(
    r"^(?:(?:ok|okay|right|yep|yes|and)[\s,]+)?(?:i )?(?:just )?chang(?:ed|ing) (?P<what>it|them|em|'em|both|that|all \w+)(?: all)?"
    r"(?: now| too| out)?(?P<rest>\b.*)$"
)


def places_before(messages: Sequence[KeptMessage], reader: Reader, now: dt.datetime) -> list[str]:
    """The places last spoken of in these messages, newest first: what leans on a note may itself be leaned on."""
    for message in messages[:MOST_BACK]:
        if now - message.sent > FOR:
            break
        if found := _places_of(message, reader, now):
            return found
    return []


def _stands(tag: Tag, reader: Reader) -> Sequence[str]:
    """The places a stretch of a note names: its own, or a batch's where it stands in one."""
    if tag.kind == "batch" and (kept := reader.names.batch_of.get(tag.value)) and kept.place:
        return (kept.place,)
    return tag.value or () if tag.kind == "place" else ()


def _places_of(before: KeptMessage, reader: Reader, now: dt.datetime) -> list[str]:
    """The places the message before named, or logged something for, in its order."""
    found = [p for tag in reader.told(before.text, now)[0].tags for p in _stands(tag, reader)]
    if not found:
        reading = reader.read(before.text, now)
        named = [p for e in reading.events for p in getattr(e, "spots", ())]
        found = named or ([reading.query.place] if reading.query and reading.query.place else [])
    if not found and before.reply:
        for told in before.reply.payload.get("events", ()):
            found += [*told.get("places", ()), *filter(None, (told.get("place") or told.get("to"),))]
    return [p for p in dict.fromkeys(found) if not p.startswith("all")]


def alarmed(before: KeptMessage | None) -> bool:
    """Whether the answer before told to change water."""
    return before is not None and before.reply is not None and "change half the water" in before.reply.text.casefold()


def pointing(text: str) -> bool:
    """Whether a short note points at something, or may leave out where it was."""
    said = _plain(text)
    return "\n" not in text and len(said.split()) <= MOST_WORDS and bool(_ONE.search(said) or _MANY.search(said))


def bare_doing(text: str) -> bool:
    """“Done”, “did it”: of what was told to do just before."""
    return _DID.match(_plain(text)) is not None


def in_full(text: str, spots: Sequence[str], *, alarm: bool) -> str | None:
    """The words with the places for the word that points; None where it points at none, or not at so many."""
    said = _plain(text)
    if not spots:
        return None
    where = say.listed(spots)
    if alarm and len(spots) == 1 and _DID.match(said):
        return f"water changed {where}"
    if hit := _CHANGED.match(said):
        count = _NUMBERS.get(hit["what"].split()[-1], 0)
        if (hit["what"] == "it" and len(spots) != 1) or count not in (0, len(spots)):
            return None
        return f"water changed {where}{hit['rest']}"
    said = _NEW_WATER.sub("water changed", said)
    if hit := _MANY.search(said):
        number = _NUMBERS.get(hit["all"] or hit["these"] or "", 0) or (2 if hit[0].startswith("both") else 0)
        if number not in (0, len(spots)):
            return None
        return f"{said[: hit.start()]}{where}{said[hit.end() :]}"
    if (hit := _ONE.search(said)) and len(spots) == 1:
        return f"{said[: hit.start()]}{'in ' if hit[0].startswith('in ') else ''}{where}{said[hit.end() :]}"
    return None


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("’", "'").split()).strip(" .!")


def told_in_full(text: str, spots: Sequence[str], reader: Reader, now: dt.datetime, *, alarm: bool) -> Reading | None:
    """The note read with what it points at; None where that leaves a doubt, or names another place."""
    full = in_full(text, spots, alarm=alarm)
    if full is None:
        return None
    reading = reader.read(full, now)
    if reading.doubts or not reading.events or any(e.kind not in _CHORES for e in reading.events):
        return None
    named = {p for e in reading.events for p in getattr(e, "spots", ())}
    kinds = {e.kind for e in reading.events}
    if not kinds <= _UNNAMED and re.search(r"\b(?:it|that)\b", _plain(text)) and not _OUT_OF_IT.search(_plain(text)):
        return None  # “it” may be a fish
    if not named or not named <= set(spots) or all(e.kind == "remark" for e in reading.events):
        return None
    return reading


def with_places(doubt: Doubt, spots: Sequence[str]) -> Doubt:
    """“Which tank or tub?” with the places just spoken of to tap, where nothing else is offered."""
    if doubt.options or doubt.likely or doubt.missing not in ("place", "places") or not doubt.partial or not spots:
        return doubt
    kind = doubt.partial.get("kind")
    if kind not in _UNNAMED:
        return doubt
    key = "places" if kind in ("water_change", "top_off", "feed") else "place"
    likely = []
    for spot in spots[:4]:
        raw = {k: v for k, v in doubt.partial.items() if v is not None} | {key: [spot] if key == "places" else spot}
        try:
            event_from(raw)
        except ValueError:
            return doubt
        likely.append((spot, (raw,)))
    return replace(doubt, likely=tuple(likely))


def of_the_place(query: Query, text: str, spots: Sequence[str]) -> Query:
    """“Is that bad”, “how many are in there”, “should I dose something”: asked of the one place just spoken of."""
    if query.place or query.batch or query.line or query.culture or len(spots) != 1 or _IN_ALL.search(text.casefold()):
        return query
    leans = query.about in ("dose", "advice", "ammonia") or _ONE.search(_plain(text)) or _MANY.search(_plain(text))
    if not leans or query.about in ("due", "help", "calc", "chart", "culture", "totals"):
        return query
    return replace(query, place=spots[0])


_THEY = re.compile(r"\b(?:they|them|'em|those|these|it|that lot|that batch|the batch)\b")
_LEFT = re.compile(r"\b(?:left|remain\w*|now|still (?:there|alive)|in all)\b")
_IN_ALL = re.compile(r"\b(?:in all|in total|altogether|everywhere)\b")
_OF_ALL = frozenset(("due", "help", "calc", "chart", "culture", "ammonia", "dose", "advice"))


def of_what_was_told(query: Query, text: str, batches: Sequence[str]) -> list[Query]:
    """“How many left”, “when do they hatch” right after a note: asked of the batches it told of, and of no others."""
    if query.place or query.batch or query.line or query.buyer or query.about in _OF_ALL or not batches:
        return []
    said = _plain(text).strip("?")
    bare = query.about == "hatch" and len(said.split()) < 4 and not re.search(r"\b(?:next|all|what|which)\b", said)
    left = query.about in ("stock", "totals") and _LEFT.search(said) and not re.search(r"\b(?:all|total)\b", said)
    if not (_THEY.search(said) or left or bare):
        return []
    return [replace(query, batch=name) for name in batches[:MOST_BACK]]
