"""What a note asks, in the light of what it tells: "…, when was the one before?" is about the tank just named."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import replace

from bot.language.asking.queries import query_of
from bot.language.clauses.group import Raw
from bot.language.reading import Query
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from shared.events import Event


def question_of(sentence: Sentence, teller: Teller, tags: list[Tag]) -> Query | None:
    tags = [t for t in tags if t.note != "quoted"]
    if not tags:
        return None
    made = query_of(tags, teller, sentence.parts)
    if made is None:
        return None
    ctx = teller.context
    read = {e.get("quantity") for e in teller.events if e["kind"] == "measure"}
    if (
        made.about in ("advice", "place", "batch")
        and read & {"ammonia", "nitrite"}
        and (
            any(
                t.word
                in ("worry", "worried", "dangerous", "danger", "ok", "okay", "safe", "bad", "high", "toxic", "panic")
                for t in tags
            )
            or [t.word for t in tags[:2]] in (["is", "that"], ["is", "this"], ["is", "it"])
        )
    ):
        made = replace(
            made, about="ammonia", place=made.place or (ctx.places[0] if len(ctx.places) == 1 else None), line=None
        )
    if made.about == "last" and not (made.place or made.batch or made.line) and teller.events and len(ctx.places) == 1:
        made = replace(made, place=ctx.places[0])
    if (
        not (made.place or made.batch or made.line)
        and made.about in ("stock", "due", "batch", "place", "hatch", "rate", "totals", "ready")
        and any(t.word in ("there", "it", "that", "them", "those", "in there", "they") for t in tags)
    ):
        if len(ctx.places) == 1 and made.about in ("stock", "place", "batch", "rate", "ready"):
            made = replace(made, place=ctx.places[0])
        elif ctx.batch:
            made = replace(made, batch=ctx.batch)
    return made


def sum_query(about: str, tags: list[Tag]) -> Query:
    """A sum asked for, with the one place, batch and line it names."""
    named: dict[str, str] = {}
    for kind in ("place", "batch", "line"):
        found = {str(t.value) for t in tags if t.kind == kind and isinstance(t.value, str) and t.value}
        if len(found) == 1:
            named[kind] = found.pop()
    return Query(about, **named)  # type: ignore[arg-type]


def plain_query(about: str, tags: list[Tag], teller: Teller, parts: list[Part]) -> Query:
    """A question whose kind is known by its words, with all that it names; a number at its end is a place's."""
    if about == "last" and tags and tags[-1].kind == "num" and not any(t.kind == "place" for t in tags):
        places = teller.names.by_id.get(f"{tags[-1].value:g}", ())
        return Query(about, place=places[0] if len(places) == 1 else None)
    made = query_of(tags, teller, parts)
    return sum_query(about, tags) if made is None else replace(made, about=about)


_SECOND = re.compile(r"^(is|are|when|what|how|does|do|did|has|have|can|should|which|who|where)\b")


def first_question(sentence: Sentence) -> list[Tag]:
    """The first of two questions asked in one breath; empty when there is one."""
    for n, part in enumerate(sentence.parts):
        before = sentence.parts[:n]
        if n and part.joiner in ("and", ",") and _SECOND.match(part.text()) and sum(len(p.tags) for p in before) > 3:
            return [t for p in before for t in p.tags] if _SECOND.match(before[0].text()) else []
    return []


def about_these(query: Query, events: list[Raw], sentence: Sentence) -> Query:
    """A question beside what was just told is about that: "…, when was the one before?"."""
    spots = {str(p) for e in events for p in (e.get("places") or ([e["place"]] if e.get("place") else []))}
    place = min(spots) if len(spots) == 1 and not min(spots).startswith("all") else None
    words = set(sentence.words())
    if (
        query.about in ("advice", "place", "batch")
        and any(e["kind"] == "measure" and e.get("quantity") in ("ammonia", "nitrite") for e in events)
        and words & {"worry", "worried", "dangerous", "danger", "ok", "okay", "safe", "bad", "high", "toxic", "panic"}
    ):
        return replace(query, about="ammonia", place=query.place or place, line=None)
    if events and all(e["kind"] == "culture" for e in events) and query.about in _OF_CULTURES:
        names = {str(e["culture"]) for e in events}
        return replace(query, about="culture", culture=query.culture or (min(names) if len(names) == 1 else None))
    if query.place or query.batch or query.line:
        return query
    lines = {str(e["line"]) for e in events if e["kind"] in ("sale", "stock_in", "reserve") and e.get("line")}
    if len(lines) == 1 and query.about in ("stock", "due", "advice") and _LEFT.search(sentence.text()):
        return replace(query, about="stock", line=min(lines))
    pointed = words & _POINTING or query.about in ("last", "rate", "calc", "dose", "advice")
    if place and pointed and query.about in _OF_A_PLACE:
        return replace(query, place=place)
    return query


_OF_CULTURES = ("due", "hatch", "ready", "advice", "place", "culture", "last")
_OF_A_PLACE = ("last", "rate", "totals", "stock", "place", "advice", "ready", "hatch", "history", "calc", "dose", "due")
_POINTING = frozenset(["it", "they", "them", "there", "those", "these", "its", "their"])
_LEFT = re.compile(r"\b(?:left|remain|remaining|now|have|leave|leaves|still)\b")


# Words that make a short note which logs nothing a question.
QUESTIONING = re.compile(
    r"\b(eta|overdue|status|how's|what's|where's|when's|what is|what are|where (is|are)|which|when (is|are|will)|how (long|many|much|old|big|warm|are|is)|any idea|please show|numbers please)\b"
)


def placeless_reading(events: tuple[Event, ...], teller: Teller, tags: list[Tag]) -> Query | None:
    """ "nh3 .5 ph 7.8 ok?": readings of no tank with a question to them ask whether they are dangerous."""
    if (
        events
        or not teller.doubts
        or any((d.partial or {}).get("kind") != "measure" or d.missing != "place" for d in teller.doubts)
    ):
        return None
    text = " ".join(t.word for t in tags)
    if not re.search(
        r"\b(ok|okay|panic|deadly|worry|worried|bad|safe|danger\w*|kill|hurt|high|low|should i|what (do|should)|normal|harm\w*|toxic|too much|alright)\b",
        text,
    ):
        return None
    if not any(t.says("quantity", "ammonia", "nitrite", "nitrate") for t in tags) or any(
        t.kind in ("place", "batch", "size") for t in tags
    ):
        return None
    teller.doubts.clear()
    made = query_of(tags, teller, [])
    return None if made is None else replace(made, about="ammonia", place=None)


def answers_itself(following: Sentence) -> bool:
    """Whether the writer answers the question just put: "15 dead?? No. The light was off"."""
    first = following.parts[0].tags if following.parts else following.tags
    return following.tags[0].word in ("no", "nope", "nah", "false") and len(first) == 1
