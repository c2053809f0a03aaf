"""Reads a note: clauses are shown to every frame, the strongest claim wins, and what matters and is left over is asked."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from typing import Any

from bot.language import amends, caution, eggs, fish, leftovers, tables, tending, trade, water
from bot.language.days import Clock, Day
from bot.language.everyday import is_everyday
from bot.language.given import sum_asked
from bot.language.group import Group, Raw
from bot.language.names import Names
from bot.language.negative import below_nothing
from bot.language.questions import asks, part_asks, query_of
from bot.language.reading import Doubt, Outcome, Query, Reading, Span
from bot.language.scene import Context, Part, Sentence, sentences_of
from bot.language.tags import Tag, Tagger
from bot.language.telling import Frame, Teller
from shared.events import Event, event_from

FRAMES: tuple[Frame, ...] = (*trade.FRAMES, *tending.FRAMES, *eggs.FRAMES, *fish.FRAMES, *water.FRAMES)
_BY_KIND = {frame.kind: frame for frame in FRAMES}
_NOUNS = ("eggs", "fry", "juveniles", "adults", "male", "female", "fish", "mop")
_WEIGHTY = re.compile(
    r"\b(power|heater|leak|leaking|leaked|flood|temperature|room|filter|fish|fry|eggs?|egg|mop|male|female|fungus|ich|velvet|spots?|sick|water|culture|tank|tub|thermometer|pump)\b"
)
_AILING = re.compile(
    r"\b(ich|velvet|spots?|torn|bloat\w*|sick|clamped|flashing|scratching|gasping|swollen|pinecon\w*|rubbing|skinny|lesion|wound|fin rot)\b"
)
LONGEST = 6000  # characters of one note; more is asked for in parts, never cut


class Reader:
    """Reads notes against the names of one room. Knows no clock and no database."""

    def __init__(self, names: Names) -> None:
        self.names = names

    def read(self, text: str, sent: dt.datetime) -> Reading:
        """The meaning of a note sent at a local time. Never raises, whatever the text."""
        if len(text) > LONGEST:
            return Reading(
                "ask",
                (),
                None,
                (Doubt(text[:200], "That is too much for one note. Could you send it in parts?", (), "kind"),),
            )
        try:
            return self._read(text, sent)
        except Exception:  # whatever is wrong with us, the keeper is asked and the note is kept
            return Reading(
                "ask",
                (),
                None,
                (Doubt(text[:200], "I could not read that. Could you say it differently?", (), "kind"),),
            )

    def complete(self, doubt: Doubt, answer: str, sent: dt.datetime) -> Reading | None:
        """What an answer to a question makes of the doubtful event; None when the answer is a note of its own."""
        from bot.language.completing import completed

        return completed(self, doubt, answer, sent)

    # ---- one note

    def _read(self, text: str, sent: dt.datetime) -> Reading:
        tagger = Tagger(self.names, text, sent)
        teller = Teller(self.names, sent, all_tags=tagger.tags, words=tagger.words)
        _mend_slips(tagger.tags, self.names)
        sentences = _cut_at_reminders(sentences_of(tagger.tags, self.names))
        query = self._tell(sentences, teller)
        if query is None and len(sentences) == 1 and (about := sum_asked(text)):
            # Words that ask for a sum log nothing, however much they sound like a chore.
            return Reading("answer", (), self._sum(about, tagger.tags), (), _spans(tagger, text))
        leftovers.guard(sentences, teller, teller.asked)
        caution.signs_left(sentences, teller)
        events, below = below_nothing(text, self._finish(teller))
        teller.doubts += below
        doubts = tuple(teller.doubts)
        if not events and not query and not doubts and sentences and sentences[-1].stop == "?":
            query = self._question(sentences[-1], teller, sentences[-1].tags)
            doubts = tuple(teller.doubts)
        if (
            not doubts
            and not query
            and (
                strange := next(
                    (t for t in tagger.tags if t.kind == "place" and not t.value and t.note and t.note != "quoted"),
                    None,
                )
            )
            is not None
            and not any(e.kind in ("new_place", "remind") for e in events)
        ):
            teller.ask_place(Group([Part([strange])], self.names, teller.context), {"kind": "remark"})
            doubts = tuple(teller.doubts)
        if query is None or query.about in ("advice", "place", "ammonia"):
            query = _placeless_reading(events, teller, tagger.tags) or query
        doubts = tuple(teller.doubts)
        if (
            not events
            and not query
            and not doubts
            and len(tagger.tags) <= 12
            and _QUESTIONING.search(" ".join(t.word for t in tagger.tags))
        ):
            query = self._question(sentences[-1], teller, [t for s in sentences for t in s.tags])
            doubts = tuple(teller.doubts)
        if not events and not query and not doubts and (odd := leftovers.unclear(sentences)) is not None:
            doubts = (leftovers.question_for(odd, []),)
        if (
            not events
            and not query
            and not doubts
            and not teller.quiet
            and (owing := caution.owed(sentences, teller)) is not None
        ):
            doubts = (owing,)
        if (
            not events
            and not query
            and not doubts
            and not teller.quiet
            and self._worth_keeping(text, sentences, tagger.tags)
        ):
            events = (self._remark(tagger.tags, text),)
        if events and not doubts and not query and (ill := self._ailing(sentences, teller)) is not None:
            events = (*events, self._remark(ill.tags, text))
        outcome: Outcome
        if doubts:
            outcome = "ask"
        elif events and query:
            outcome = "both"
        elif events:
            outcome = "log"
        else:
            outcome = "answer" if query else "none"
        return Reading(outcome, events, query, doubts, _spans(tagger, text))

    def _tell(self, sentences: list[Sentence], teller: Teller) -> Query | None:
        sentences = _joined_up(sentences)
        live = [s for s in sentences if any(t.note != "quoted" for t in s.tags)]
        if amends.undoes(live):
            teller.events.append({"kind": "undo"})
            return None
        fix = amends.fixes(live, teller)
        if fix is not None:
            self._fix(fix, live, teller)
            return None
        teller.last = sentences[-1] if sentences else None
        query: Query | None = None
        done: list[Sentence] = []
        queries: list[Query] = []
        told_before = 0
        listed = 0
        for number, sentence in enumerate(sentences):
            ctx = teller.context
            listed = listed - 1 if listed > 0 else tables.table(sentences, number, teller)
            if listed > 0:
                done.append(sentence)
                continue
            if done and sentence.line != done[-1].line:
                if not ctx.values.get("row_header"):
                    ctx.day = ctx.clock = None
                    if len(teller.events) > told_before:
                        pass
                ctx.values.pop("line_day", None)
            told_before = len(teller.events)
            reminder = amends.reminder(sentence, done, teller)
            if reminder is not None:
                cue_only = (
                    len([t for t in sentence.tags if not t.says("cue", "remind") and t.kind not in ("person", "punct")])
                    <= 1
                )
                if cue_only and done:
                    first = done[-1]
                    teller.events = [e for e in teller.events if e.get("_sentence") != id(first)]
                    teller.doubts = [d for d in teller.doubts if d.words not in first.text()]
                    queries.clear()
                for part in sentence.parts[1:]:
                    if part_asks(part):
                        made = self._question(sentence, teller, part.tags)
                        if made is not None:
                            batch = reminder.get("batch") if not (made.place or made.batch or made.line) else None
                            queries.append(replace(made, batch=str(batch)) if batch else made)
                reminder["_sentence"] = id(sentence)
                teller.asked.add(id(sentence))
                if cue_only and done:
                    teller.asked.add(id(done[-1]))
                teller.events.append(reminder)
                done.append(sentence)
                continue
            off = amends.putting_off(sentence, teller)
            if off is not None:
                self._put_off(off, sentence, teller)
                done.append(sentence)
                continue
            if sentence.stop == "?" and number + 1 < len(sentences) and _answers_itself(sentences[number + 1]):
                done.append(sentence)
                continue
            if asks(sentence):
                leading = _first_question(sentence)
                made = self._question(sentence, teller, leading) if leading else None
                made = made or self._question(sentence, teller, sentence.tags)
                if made is not None:
                    queries.append(made)
                    done.append(sentence)
                    teller.asked.add(id(sentence))
                    continue
                if teller.doubts or (
                    sentence.stop == "?" and not any(t.senses.get("cue") and t.note != "muted" for t in sentence.tags)
                ):
                    done.append(sentence)
                    continue
            settings = amends.setting(sentence, teller)
            if settings is not None:
                rest = [
                    p
                    for p in sentence.parts
                    if settings
                    and not re.search(r"\b(heat\w*|turned|set|lights?)\b", p.text())
                    and self._seen(p, teller)
                    and (
                        p.kind("num", "pct", "deg", "amount")
                        or not any(s.get("what") == "mop_every_days" for s in settings)
                    )
                ]
                if rest and len(sentence.parts) > 1:
                    before = len(teller.events)
                    self._groups(rest, sentence, teller)
                    for raw in teller.events[before:]:
                        raw["_sentence"] = id(sentence)
                for raw in settings:
                    raw["_sentence"] = id(sentence)
                    teller.events.append(raw)
                if settings and len(sentence.parts) > 1 and sentence.stop == "?" and part_asks(sentence.parts[-1]):
                    made = self._question(sentence, teller, sentence.parts[-1].tags)
                    queries.extend([made] if made is not None else [])
                done.append(sentence)
                continue
            parts: list[Part] = []
            asked_before = len(queries)
            for part in sentence.parts:
                if (
                    part_asks(part)
                    and sentence.parts[0] is not part
                    and not any(_numbered(p) and self._seen(p, teller) for p in sentence.parts if p is not part)
                ):
                    made = self._question(sentence, teller, sentence.tags)
                    if made is not None:
                        queries.append(made)
                        parts = []
                        break
                if (parts and part_asks(part)) or (
                    part is sentence.parts[-1] and len(sentence.parts) > 1 and sentence.stop == "?" and part_asks(part)
                ):
                    made = self._question(sentence, teller, part.tags)
                    if made is not None:
                        queries.append(made)
                        part.asks = True
                        continue
                parts.append(part)
            before = len(teller.events)
            last = teller.context.event
            if (
                last is not None
                and last["kind"] == "stock_in"
                and not last.get("place")
                and sentence.tags[0].word
                in (
                    "they",
                    "they'll",
                    "they're",
                    "all",
                    "both",
                    "it",
                    "he",
                    "she",
                    "in",
                    "into",
                    "put",
                    "currently",
                    "now",
                    "going",
                    "went",
                )
            ) and trade.settles(Group([Part(sentence.tags)], self.names, teller.context), teller):
                done.append(sentence)
                continue
            if eggs.split_up(sentence, teller) or trade.freed(sentence, teller):
                for raw in teller.events[before:]:
                    raw["_sentence"] = id(sentence)
                done.append(sentence)
                continue
            self._groups(parts, sentence, teller)
            for raw in teller.events[before:]:
                raw["_sentence"] = id(sentence)
            asked_here = len(queries) - asked_before
            if asked_here > 0 and len(teller.events) > before:
                its = teller.events[before:]
                queries[asked_before:] = [_about_these(q, its, sentence) for q in queries[asked_before:]]
            if len(teller.events) == before:
                self._heading(sentence, parts, teller, number + 1 < len(sentences))
            done.append(sentence)
        if queries:
            query = next((q for q in queries if q.about not in ("advice", "place")), queries[0])
            lines = {q.line for q in queries if q.line}
            if query.about == "totals" and not (query.place or query.batch) and len(lines) == 1:
                query = replace(query, line=lines.pop())
        return query

    def _question(self, sentence: Sentence, teller: Teller, tags: list[Tag]) -> Query | None:
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
            and any(
                t.word
                in ("worry", "worried", "dangerous", "danger", "ok", "okay", "safe", "bad", "high", "toxic", "panic")
                for t in tags
            )
        ):
            made = replace(
                made, about="ammonia", place=made.place or (ctx.places[0] if len(ctx.places) == 1 else None), line=None
            )
        if (
            made.about == "last"
            and not (made.place or made.batch or made.line)
            and teller.events
            and len(ctx.places) == 1
        ):
            made = replace(made, place=ctx.places[0])
        if (
            not (made.place or made.batch or made.line)
            and made.about in ("stock", "due", "batch", "place", "hatch", "rate", "totals")
            and any(t.word in ("there", "it", "that", "them", "those", "in there", "they") for t in tags)
        ):
            if len(ctx.places) == 1 and made.about in ("stock", "place", "batch", "rate", "ready"):
                made = replace(made, place=ctx.places[0])
            elif ctx.batch:
                made = replace(made, batch=ctx.batch)
        return made

    def _sum(self, about: str, tags: list[Tag]) -> Query:
        """A sum asked for, with the one place, batch and line it names."""
        named: dict[str, str] = {}
        for kind in ("place", "batch", "line"):
            found = {str(t.value) for t in tags if t.kind == kind and isinstance(t.value, str) and t.value}
            if len(found) == 1:
                named[kind] = found.pop()
        return Query(about, **named)  # type: ignore[arg-type]

    def _fix(self, fix: Raw, live: list[Sentence], teller: Teller) -> None:
        group = Group(live[0].parts, self.names, teller.context) if live[0].parts else None
        if "_ask" in fix:
            if group is not None:
                teller.ask_place(group, {"kind": "fix"})
            return
        if "_empty" in fix:
            if group is not None:
                teller.ask(group, "What should it be?", "value", {"kind": "fix"})
            return
        teller.events.append(fix)

    def _put_off(self, off: Raw, sentence: Sentence, teller: Teller) -> None:
        group = Group(sentence.parts, self.names, teller.context)
        if off.pop("_unknown", False):
            teller.ask_place(group, {"kind": "snooze"})
            return
        places = off.pop("_places", None)
        for place in places or [None]:
            raw = dict(off)
            if place:
                raw["place"] = place
            raw["_sentence"] = id(sentence)
            teller.events.append(raw)
            if place:
                teller.context.places = (place,)

    # ---- clauses to groups to events

    def _seen(self, part: Part, teller: Teller) -> list[str]:
        """The kinds a clause tells of: the strongest claim first, weaker ones only on words left over."""
        if part.muted:
            return []
        sights = [(frame.kind, sight) for frame in FRAMES if (sight := frame.sees(part, teller))]
        sights.sort(key=lambda pair: -pair[1].strength)
        taken: set[int] = set()
        kinds: list[str] = []
        for kind, sight in sights:
            its = {id(t) for t in sight.tags}
            if kinds and (its & taken or not its):
                continue
            if kinds and not _together(kinds[0], kind):
                continue
            kinds.append(kind)
            taken |= its
        return kinds

    def _groups(self, parts: list[Part], sentence: Sentence, teller: Teller) -> None:
        ctx = teller.context
        waiting: list[Part] = []
        current: list[Part] = []
        kinds: list[str] = []
        own_day = next(
            (t.value for p in sentence.parts[:1] for t in p.tags[:3] if t.kind == "day" and not t.value.vague), None
        )

        def close() -> None:
            nonlocal current, kinds
            if current and self._alone(current, kinds, sentence, teller):
                ctx.kind = kinds[0]
            elif current:
                self._told(current, kinds, teller)
            current, kinds = [], []

        sentence_day = _sentence_day(sentence)
        if (
            sentence_day is not None
            and own_day is None
            and sentence.tags[0].word in _ABOUT_NOTES
            and any(t.word in ("from", "for") for t in sentence.tags[:6])
        ):
            own_day = sentence_day
            ctx.values["row_header"] = True
        kept_day, kept_clock = ctx.day, ctx.clock
        if sentence_day is not None:
            ctx.day = sentence_day
        clock = _sentence_clock(sentence)
        if clock is not None:
            ctx.clock = clock
        elif sentence_day is not None:
            ctx.clock = None
        for part in parts:
            _note_ahead(part, ctx)
            if not current:
                self._settle(part, teller)
            found = self._seen(part, teller if not current else _after(teller, kinds, current))
            loose = not found and not part.muted and _carries(part)
            if (
                part.muted in ("plan", "not")
                and len(part.kind("place")) == 1
                and len(part.kind("place")[0].value) == 1
                and not current
            ):
                ctx.places, ctx.batch, ctx.header = tuple(part.kind("place")[0].value), None, True
            if found:
                joins = (
                    bool(current)
                    and found[0] == kinds[0]
                    and len(found) == 1
                    and not (part.kind("day") and any(p.kind("day") for p in current))
                    and _continues(part, current, found[0])
                )
                if joins:
                    current.append(part)
                    continue
                close()
                self._settle(part, teller)
                for before in waiting:
                    if not _heads(before):
                        self._loose(before, teller, sentence)
                current, kinds = [*(w for w in waiting if _heads(w)), part], found
                waiting = []
            elif current and loose and _names_only(part) and part.after is not None and part.after.joiner == ":":
                close()
                waiting = [part]  # "…, 12: top off only"
            elif (
                current
                and loose
                and _fits_on(part, kinds[0], teller, current)
                and not (
                    part.joiner == "but"
                    and part.kind("place")
                    and part.kind("num")
                    and any(p.kind("place") for p in current)
                )
            ):
                timed = "day" if part.kind("day") else "clock" if part.kind("clock") and kinds[0] != "feed" else ""
                if timed and part.kind("place", "num", "size") and any(p.kind(timed) for p in current):
                    its = kinds
                    close()
                    current, kinds = [part], its
                    continue
                current.append(part)
            elif loose and not current:
                waiting.append(part)
            else:
                if loose:
                    close()
                    self._loose(part, teller)
                elif not current:
                    for before in waiting:
                        self._loose(before, teller, sentence)
                    waiting = []
        close()
        for part in waiting:
            self._loose(part, teller, sentence)
        ctx.day, ctx.clock = (own_day or kept_day), (kept_clock if own_day is None else None)
        if sentence_day is not None and own_day is None:
            ctx.day = kept_day

    def _settle(self, part: Part, teller: Teller) -> None:
        """ "They're in tub D now": where the eggs just pulled were put."""
        event = teller.context.event
        if event is None or event["kind"] != "pull" or event.get("to") or part.muted or part.kind("num", "pct"):
            return
        places = [t for t in part.kind("place") if len(t.value) == 1]
        words = [t.word for t in part.tags]
        if (
            len(places) != 1
            or places[0].value[0] == event.get("place")
            or words[0]
            not in (
                "put",
                "popped in",
                "went in",
                "all",
                "they",
                "they're",
                "those",
                "them",
                "now",
                "in",
                "into",
                "eggs",
                "both",
            )
        ):
            return
        n = next(i for i, t in enumerate(part.tags) if t is places[0])
        if n and words[n - 1] in ("in", "into", "to", "went in", "went into"):
            event["to"] = places[0].value[0]
            for raw in teller.events if words[0] in ("all", "both", "they", "them", "those") else ():
                if raw["kind"] == "pull" and not raw.get("to"):
                    raw["to"] = event["to"]

    def _alone(self, parts: list[Part], kinds: list[str], sentence: Sentence, teller: Teller) -> bool:
        """A cry like "hatched!!" with nothing to hang it on: it heads what follows."""
        if (
            len(sentence.tags) > 2
            or any(t.word == "all" or t.says("group") for t in sentence.tags)
            or len(parts) != 1
            or teller.events
            or kinds[0] not in ("hatch", "eyed", "pull", "death", "feed")
        ):
            return False
        return not parts[0].kind("place", "batch", "line", "num", "size") and teller.last is not sentence

    def _told(self, parts: list[Part], kinds: list[str], teller: Teller) -> None:
        teller.read |= {id(p) for p in parts}
        for kind in sorted(kinds, key=lambda k: k != "pull") if "pull" in kinds else kinds:
            group = Group(parts, self.names, teller.context)
            before = len(teller.events)
            _BY_KIND[kind].tell(group, teller)
            for raw in teller.events[before:]:
                for tag in group.tags:
                    if tag.kind in ("num", "pct", "vol", "money", "place", "batch") and not tag.claimed:
                        tag.note = tag.note or kind
                raw["_group_parts"] = parts
                raw["_told"] = (parts[0].sentence, id(parts[0]))

    def _loose(self, part: Part, teller: Teller, sentence: Sentence | None = None) -> None:
        """A clause with no sign of its own: more of what went before, or a heading."""
        ctx = teller.context
        group = Group([part], self.names, ctx)
        words = group.words()
        event = ctx.event
        tested = next((n for n, t in enumerate(part.tags) if t.word in ("tested", "testing", "checked")), None)
        if tested is not None and tested + 1 < len(part.tags) and part.tags[tested + 1].kind == "num":
            place = group.place_id(part.tags[tested + 1])
            if place is not None and len(part.kind("num")) == 1:
                ctx.places, ctx.batch, ctx.header = (place,), None, True
                return
        if self._same_again(group, part, teller):
            return
        if self._place_after_all(group, part, teller):
            return
        if trade.pays(group, teller) or (
            not part.kind("num", "money") and {"in", "into"} & words and trade.settles(group, teller)
        ):
            return
        if self._follows_up(group, part, teller):
            return
        places = [t for t in part.kind("place") if t.value and len(t.value) == 1]
        if (
            event is not None
            and event["kind"] == "pull"
            and places
            and not eggs.breeders(teller, places[0].value[0])
            and not event.get("to")
            and (words & {"in", "into", "to"})
            and not part.kind("num", "pct")
        ):
            if part.kind("line") and not event.get("line"):
                event["line"] = group.line()
            for raw in teller.events:
                if (
                    raw["kind"] == "pull"
                    and not raw.get("to")
                    and (
                        raw.get("_sentence") == event.get("_sentence")
                        or raw is event
                        or "all" in words
                        or "they" in words
                    )
                ):
                    raw["to"] = places[0].value[0]
            return
        if part.words() & {"fine", "ok", "okay", "alright", "happy", "healthy"} and not part.sense("quantity"):
            return
        if (
            ctx.kind
            and (
                part.kind("num", "deg")
                or (part.kind("place") and any(t.word in ("nothing", "none", "nil") for t in part.tags))
            )
            and ctx.kind in ("pull", "bad_eggs", "headcount", "hatch", "death")
            and (
                part.kind("place") or len(part.kind("num")) > 1 or any(t.word in ("nothing", "none") for t in part.tags)
            )
        ):
            seq = group.sequence("count")
            if any(s[0] in "PB" for s in seq) and any(s[0] == "N" for s in seq):
                _BY_KIND[ctx.kind].tell(group, teller)
                return
        if ctx.values.get("drops") and part.kind("num"):
            seq = group.sequence("count")
            if len(seq) == 2 and seq[0][0] == "P" and seq[1][0] == "N" and len(seq[0][1]) == 1:
                teller.tell("dose", group, place=seq[0][1][0], amount=seq[1][1], unit="drop")
                return
        if ctx.quantity and (part.kind("num", "deg")):
            seq = group.sequence("value")
            if any(s[0] in "PB" for s in seq) and any(s[0] == "N" for s in seq):
                water.tell_measure(group, teller)
                return
        if self._reading(group, part, teller):
            return
        lines = group.lines()
        if len(lines) == 1:
            ctx.line = lines[0]
            if part.noun("eggs") and not part.kind("place"):
                held = teller.spots_by_line("eyed", lines)
                if len(held) == 1 and held[0] in self.names.place_of:
                    ctx.places, ctx.batch = held, None
        places_or_batch = [t for t in part.kind("place", "batch", "size") if t.value]
        if places_or_batch and not part.kind("num", "pct", "vol"):
            tag = places_or_batch[0]
            if tag.kind == "place":
                ctx.places, ctx.batch, ctx.header = tuple(tag.value), None, True
            elif tag.kind == "batch":
                ctx.batch, ctx.places, ctx.header = tag.value, (), True
            elif group.sized(tag):
                ctx.places, ctx.batch, ctx.header = group.sized(tag), None, True
        elif not places_or_batch:
            spoken = [
                p
                for k, v, t in group.sequence("value")
                if k == "P"
                for p in v
                if (b := group.before(t)) is not None
                and b.word in ("in", "on", "of", "under", "tested", "testing", "checked")
            ]
            if len(spoken) == 1:
                ctx.places, ctx.batch, ctx.header = (spoken[0],), None, True
        if part.kind("place") and group.unknown() is not None and part.kind("num", "pct"):
            teller.ask_place(group, {"kind": "remark"})

    def _place_after_all(self, group: Group, part: Part, teller: Teller) -> bool:
        """ "Lost one on monday. Female, tank 9": the place that was missing a moment ago."""
        if not teller.doubts or teller.doubts[-1].missing != "place" or not teller.doubts[-1].partial or part.cues():
            return False
        places = [p for t in part.kind("place") for p in t.value]
        partial = teller.doubts[-1].partial
        if (
            len(places) != 1
            or part.kind("num")
            or partial.get("place")
            or partial.get("kind") not in ("death", "pull", "bad_eggs", "headcount", "hatch")
        ):
            return False
        teller.doubts.pop()
        keys = {k: v for k, v in partial.items() if k != "kind"}
        sex = Group(part.before_all(), self.names, teller.context).sex()
        if sex and partial["kind"] == "death":
            keys["sex"] = sex
        teller.tell(str(partial["kind"]), group, place=places[0], **keys)
        return True

    def _same_again(self, group: Group, part: Part, teller: Teller) -> bool:
        """ "Same for tank 5": what was just told, told again of other places or another day."""
        text = part.text()
        hit = re.search(
            r"\b(same again|same for|same in|same with|same on|same to|same at|same there|ditto|likewise|the same)\b|^same\b|\bsame$",
            text,
        )
        if (
            not hit
            and "again" in part.words()
            and part.kind("day", "clock")
            and len(part.tags) <= 4
            and not part.kind("num", "place", "pct")
        ):
            hit = re.search("again", text)  # "Wed 6am again"
        if not hit or not teller.events:
            return False
        last = teller.events[-1].get("_told")
        before = [e for e in teller.events if e.get("_told") == last]
        if (
            any(
                e["kind"] not in ("water_change", "feed", "top_off", "dose", "service", "culture", "measure", "pull")
                for e in before
            )
            or group.unknown() is not None
        ):
            return False
        rest = [
            t
            for p in ([part, part.after] if part.after is not None and not part.after.senses_cue() else [part])
            for t in p.tags
        ]
        more = Group([Part(rest, "", part.sentence, part.line)], self.names, teller.context)
        places = [p for k, v, _ in more.sequence("place") if k == "P" for p in v]
        again = "again" in text
        if not places and not again:
            return False
        day, clock = teller.when(group)
        for old in before:
            new = {k: v for k, v in old.items() if not k.startswith("_")}
            if places and old["kind"] != "culture":
                one = list(old.get("places") or ([old["place"]] if old.get("place") else []))
                its = [*one, *places] if again and "too" in more.words() | more.words() else places
                new.pop("place", None)
                new.pop("places", None)
                new.pop("batch", None)
                new.pop("count", None)
                if old["kind"] in ("water_change", "feed", "top_off") or len(its) > 1:
                    new["places"] = list(dict.fromkeys(its))
                else:
                    new["place"] = its[0]
            new["_day"], new["_clock"], new["_group"] = day, clock, group
            teller.events.append(new)
            for tag in rest:
                if tag.kind == "num":
                    tag.claimed = "place"
        teller.same.add(part.sentence)
        return True

    def _follows_up(self, group: Group, part: Part, teller: Teller) -> bool:
        """A clause that only adds a number or a place to what was just told: "26 left", "so 75", "14 more"."""
        ctx = teller.context
        event = ctx.event
        nums = [t for t in part.kind("num") if t.claimed != "wrong"]
        text = part.text()
        bare = (
            len(nums) == 1 and nums[0].low is None and nums[0].value == int(nums[0].value) and not group.counts(nums[0])
        ) or (bool(re.search(r"\b(more|in total|total|left|in there|or so)\b", text)) and len(nums) == 1)
        if (
            ctx.quantity
            and len(nums) == 1
            and nums[0].low is None
            and not part.kind("place")
            and len(ctx.places) == 1
            and (part.kind("clock") or re.search(r"\b(retest|retested|again|later|now|after)\b", text))
            and not group.counts(nums[0])
        ):
            value = water._fits(ctx.quantity, float(nums[0].value), nums[0], teller)
            if value is not None:
                teller.tell("measure", group, place=ctx.places[0], quantity=ctx.quantity, value=value)
                return True
        if ctx.values.get("left") == part.sentence and bare and not part.kind("place"):
            where = (
                {"batch": ctx.batch}
                if ctx.batch and not ctx.places
                else {"place": ctx.places[0]}
                if len(ctx.places) == 1
                else None
            )
            if where and nums[0].low is None:
                teller.tell("headcount", group, **where, count=nums[0].value)
                return True
        if ctx.values.get("unread") == part.sentence and len(nums) == 1 and not part.kind("place"):
            quantity = str(ctx.values["unread_quantity"])
            value = water._fits(quantity, float(nums[0].value), nums[0], teller)
            spots = list(ctx.places)
            if "both" in text and event is not None and event["kind"] == "move":
                spots = [str(event[k]) for k in ("from", "to") if event.get(k)]
            if value is not None and spots and nums[0].low is None:
                for place in spots:
                    teller.tell("measure", group, place=place, quantity=quantity, value=value)
                return True
        if (
            len(nums) == 1
            and nums[0].low is None
            and len(ctx.places) == 1
            and re.search(r"\b(reading|reads|showing|shows|says|at|was|it's)\b", text)
            and not re.search(r"\bwant|\bset (at|to)\b", text)
            and ctx.values.get("item") in ("heater", "thermometer")
            and ctx.values.get("item_sentence") == part.sentence
        ):
            value = water._fits("temperature", float(nums[0].value), nums[0], teller)
            if value is not None:
                teller.tell("measure", group, place=ctx.places[0], quantity="temperature", value=value)
                return True
        if event is None or event not in teller.events:
            return False
        kind = event["kind"]
        if (
            kind == "hatch"
            and nums
            and re.search(r"\bby (noon|midday|about|around|\d|six|seven|eight|nine|ten|one|two)\b", text)
        ):
            teller.events = [e for e in teller.events if e is not event]
            teller.ask(
                group,
                "How many hatched in all?",
                "count",
                {k: event[k] for k in ("kind", "place", "batch") if k in event},
            )
            return True
        if (
            kind == "sale"
            and re.search(r"\b(out of|from|of)\b", text)
            and (spoken := trade._places(group))
            and not event.get("place")
            and not event.get("batch")
        ):
            event["place"] = spoken[0]
            return True
        if (
            len(nums) == 1
            and re.search(r"\ball( \w+)?( at| reading)? ?(~|about )?[\d]", text)
            and "at" in group.words()
            and nums[0].low is None
        ) or (len(nums) == 1 and "all" in group.words() and "at" in group.words()):
            value = water._fits("temperature", float(nums[0].value), nums[0], teller)
            spots = list(
                dict.fromkeys(
                    str(p) for e in teller.events for p in (e.get("places") or ([e["place"]] if e.get("place") else []))
                )
            )
            if value is not None and 14 <= value <= 34 and spots:
                for place in spots:
                    teller.tell("measure", group, place=place, quantity="temperature", value=value)
                return True
        if (
            len(nums) == 1
            and nums[0].low is None
            and event.get("count") is None
            and not event.get("places")
            and kind
            in ("pull", "hatch", "eyed", "bad_eggs", "move", "death", "sale", "stock_in", "reserve", "headcount")
            and not part.kind("place", "pct", "money", "line", "batch")
            and re.fullmatch(
                r"(so |that's |makes |there were |all |about )*\d+ ?(of (them|those|em)|in all|all told|all up|in total|total|altogether|fish|fry)( now| then)?",
                text,
            )
        ):
            event["count"] = ctx.count = int(nums[0].value)
            return True
        if not bare or part.kind("place", "pct", "money"):
            return False
        value = int(nums[0].value)
        if (
            part.kind("day")
            and kind in ("death", "hatch", "bad_eggs", "pull", "headcount")
            and event.get("count") is not None
            and len(part.tags) <= 4
        ):
            where = {k: event[k] for k in ("place", "batch") if event.get(k)}
            teller.tell(kind, group, **where, count=value)
            return True
        if (
            "more" in group.words()
            and event.get("count") is not None
            and kind in ("hatch", "pull", "death", "bad_eggs")
        ):
            where = {k: event[k] for k in ("place", "batch") if event.get(k)}
            teller.tell(kind, group, **where, count=value)
            return True
        if (
            "more" not in group.words()
            and event.get("count") is None
            and kind in ("hatch", "pull", "move", "eyed", "bad_eggs")
            and ctx.sentence >= part.sentence - 2
        ):
            if (
                kind == "pull"
                and not re.match(r"^(so|call it|say|total|about|maybe|~|\d)", text)
                and part.joiner != "so"
            ):
                return False
            if (
                kind == "hatch"
                and not re.search(r"\b(found|total|see|saw|counted|of them|so far)\b", text)
                and len(part.tags) > 3
            ):
                return False
            if kind == "move" and not re.match(r"^(all )?\d+( of them| total)?$", text):
                return False
            event["count"] = value
            ctx.count = value
            return True
        if (
            kind in ("death", "bad_eggs", "sale", "move")
            and event.get("count") is not None
            and re.fullmatch(
                r"(so |now |leaves |that leaves |makes |which leaves |still )?\d+( now| left| total| still| to go| remaining| alive)?",
                text,
            )
            and part.joiner in (",", "so", "", "-", ":", "(", "and")
        ):
            where = {k: event[k] for k in ("place", "batch") if event.get(k)}
            if kind == "move":
                return False
            if where:
                teller.tell("headcount", group, **where, count=value)
                return True
        return False

    def _reading(self, group: Group, part: Part, teller: Teller) -> bool:
        """ "7 was at 77", "tank 7 7.6 0 0 20": readings that do not name what was read."""
        seq = group.sequence("value")
        spots = [s for s in seq if s[0] == "P"]
        nums = [s for s in seq if s[0] == "N"]
        if not spots or not nums or group.unknown() is not None or part.kind("pct", "money", "vol"):
            return False
        if part.muted or {"there", "there's", "sworn"} & group.words() or re.search(r"\bset (at|to)\b", part.text()):
            return False
        low, high = (15, 33) if self.names.metric else (60, 92)
        text = group.text()
        if len(nums) == 4 and len(spots) == 1 and len(spots[0][1]) == 1 and all(n[1] is not None for n in nums):
            ph, ammonia, nitrite, nitrate = (float(n[1]) for n in nums)
            if (
                4.5 <= ph <= 9.5
                and ammonia <= 8
                and nitrite <= 8
                and nitrate <= 200
                and (ph != int(ph) or ammonia == nitrite == 0)
            ):
                place = spots[0][1][0]
                for quantity, value in (("ph", ph), ("ammonia", ammonia), ("nitrite", nitrite), ("nitrate", nitrate)):
                    teller.tell("measure", group, place=place, quantity=quantity, value=value)
                return True
        if (
            len(nums) == 1
            and nums[0][1] is not None
            and any(
                t.word in ("at", "was", "is", "reading", "both", "reads", "were", "are", "says", "up to", "down to")
                for t in group.tags
            )
            and not group.noun("juveniles", "adults", "male", "female", "fry", "eggs", "pair")
        ):
            value = float(nums[0][1])
            fits = low <= value <= high or (
                10 <= value <= 33 and ("celsius" in teller.note_text() or value != int(value))
            )
            if fits and not re.search(r"\b(eggs?|fry|fish|day|percent|old|weeks)\b", text):
                celsius = value if value <= 40 else (value - 32) * 5 / 9
                for _, places, _ in spots:
                    for place in places:
                        teller.tell("measure", group, place=place, quantity="temperature", value=round(celsius, 1))
                return True
        return False

    def _heading(self, sentence: Sentence, parts: list[Part], teller: Teller, more: bool) -> None:
        """A sentence that logs nothing may head those that follow: a place, a day, or what is to be listed."""
        if not more:
            return
        ctx = teller.context
        words = set(sentence.words())
        lines = [t for t in sentence.tags if t.kind == "line" and len(t.value) == 1]
        if len({t.value for t in lines}) == 1 and not ctx.places:
            ctx.line = lines[0].value[0]
        day = _sentence_day(sentence, heading=True)
        clock = _sentence_clock(sentence)
        if sentence.stop in ("\n", "") or len(sentence.tags) <= 6:
            if day is not None and not (words & {"since"}):
                ctx.day = day
                ctx.values["row_header"] = True
            if clock is not None:
                ctx.clock = clock
                ctx.values["row_header"] = True
            quantity = [t for t in sentence.tags if t.says("quantity")]
            if quantity:
                ctx.quantity = quantity[0].one("quantity")
            for kind, noun in (("pull", "eggs"), ("pull", "mop")):
                if (
                    any(t.says("noun", noun) for t in sentence.tags)
                    and len(sentence.tags) <= 6
                    and not any(t.says("cue", "bad", "eyed", "hatch") for t in sentence.tags)
                ):
                    ctx.kind = kind
            if any(t.says("cue", "sold") for t in sentence.tags) and len(sentence.tags) <= 8:
                ctx.kind, ctx.header = "sale", True
            persons = [t for t in sentence.tags if t.kind == "person"]
            if len(persons) == 1 and len(sentence.tags) <= 3:
                ctx.values["head_person"] = persons[0].value
            if any(t.says("unit", "drop") for t in sentence.tags) and len(sentence.tags) <= 3:
                ctx.values["drops"] = True
            if any(t.says("cue", "count") for t in sentence.tags) and len(sentence.tags) <= 6:
                ctx.kind = "headcount"
            if any(t.says("cue", "feed") for t in sentence.tags) and len(sentence.tags) <= 6:
                ctx.kind = "feed"

    # ---- afterwards

    def _finish(self, teller: Teller) -> tuple[Event, ...]:
        """The events with days and times set, checked one last time; what does not hold becomes a question."""
        out: list[Event] = []
        _clocks(teller)
        for raw in teller.events:
            clean = {k: v for k, v in raw.items() if not k.startswith("_")}
            day, ahead = raw.get("_day"), bool(raw.get("_ahead"))
            if isinstance(day, Day):
                date = day.on(teller.sent, ahead)
                if date is not None and (date != teller.sent.date() or clean["kind"] == "fix"):
                    if date > teller.sent.date() and not ahead and clean["kind"] not in ("fix",):
                        continue
                    clean["date"] = date.isoformat()
            if isinstance(raw.get("_made"), Day):
                made = raw["_made"].on(teller.sent)
                if made:
                    clean["made"] = made.isoformat()
            if raw.get("_time"):
                clean["time"] = raw["_time"]
            if isinstance(raw.get("_value_clock"), Clock):
                hour, minute = raw["_value_clock"].options("pm")[0]
                clean["value"] = f"{hour:02d}:{minute:02d}"
            try:
                out.append(event_from(clean))
            except ValueError:
                teller.doubts.append(
                    Doubt("", "Something in that does not add up. Could you say it differently?", (), "kind", None)
                )
        return tuple(out)

    def _ailing(self, sentences: list[Sentence], teller: Teller) -> Sentence | None:
        """A sentence that tells of sick fish in a named tank and led to no event: kept as a remark beside the rest."""
        told = {e.get("_sentence") for e in teller.events}
        for sentence in sentences:
            named = any(t.kind in ("place", "batch") and t.value for t in sentence.tags)
            if id(sentence) not in told and named and _AILING.search(sentence.text()):
                return sentence
        return None

    def _worth_keeping(self, text: str, sentences: list[Sentence], tags: list[Tag]) -> bool:
        live = [t for t in tags if t.note != "quoted"]
        if any(t.kind in ("place", "batch", "size") and t.value for t in live):
            return True
        if any(t.kind in ("line", "culture") for t in live):
            return True
        if (
            any(
                t.says("food")
                and any(h.rstrip("s") in {f.rstrip("s") for f in t.senses["food"]} for h in self.names.culture_ids)
                for t in live
            )
            and len(live) >= 5
        ):
            return True
        if (
            re.match(r"^\s*(thanks|thank|ty|cheers|lol|haha|good (morning|night|evening)|hello|hi|hey)\b", text.lower())
            and len(live) < 12
        ):
            return False
        low = " ".join(t.word for t in live)
        if re.search(r"\b(anyone else|anybody else)\b", low):
            return False
        return bool(_WEIGHTY.search(low)) and len(live) >= 3

    def _remark(self, tags: list[Tag], text: str) -> Event:
        raw: dict[str, Any] = {"kind": "remark", "text": text.strip()[:2000]}
        places = list(dict.fromkeys(p for t in tags if t.kind == "place" for p in t.value))
        for n, tag in enumerate(tags):
            if (
                tag.kind == "num"
                and n
                and tags[n - 1].word in ("in", "under", "on", "from", "by", "of", "for")
                and tag.value == int(tag.value)
            ):
                found = self.names.by_id.get(str(int(tag.value)), ())
                nxt = tags[n + 1] if n + 1 < len(tags) else None
                if len(found) == 1 and (nxt is None or not nxt.says("noun")):
                    places.append(found[0])
        batches = [t.value for t in tags if t.kind == "batch" and t.value]
        lines = [t.value[0] for t in tags if t.kind == "line" and len(t.value) == 1]
        if len(set(places)) == 1:
            raw["place"] = places[0]
        elif len(set(batches)) == 1:
            raw["batch"] = batches[0]
        elif len(set(lines)) == 1:
            raw["line"] = lines[0]
        return event_from(raw)


_SECOND = re.compile(r"^(is|are|when|what|how|does|do|did|has|have|can|should|which|who|where)\b")


def _first_question(sentence: Sentence) -> list[Tag]:
    """The first of two questions asked in one breath; empty when there is one."""
    for n, part in enumerate(sentence.parts):
        before = sentence.parts[:n]
        if n and part.joiner in ("and", ",") and _SECOND.match(part.text()) and sum(len(p.tags) for p in before) > 3:
            return [t for p in before for t in p.tags] if _SECOND.match(before[0].text()) else []
    return []


def _cut_at_reminders(sentences: list[Sentence]) -> list[Sentence]:
    """A reminder asked for after what was done ("fed all, and remind me to …") is a sentence of its own."""
    out: list[Sentence] = []
    for sentence in sentences:
        cut = next((n for n, p in enumerate(sentence.parts) if n and p.tags and p.tags[0].says("cue", "remind")), 0)
        before = sentence.parts[:cut]
        did = [
            t
            for p in before
            for t in p.tags
            if (
                t.senses.get("cue")
                and (t.word.endswith("ed") or t.word in ("fed", "did", "lost", "sold", "bought"))
                and t.note != "muted"
            )
            or t.kind == "pct"
        ]
        ahead = any(t.kind == "day" and t.value.future for p in before for t in p.tags)
        shown = bool(before) and bool(re.match(r"^(show|tell me|what|how|when|which)\b", before[0].text()))
        if not (did or shown) or ahead or any(p.muted for p in before):
            out.append(sentence)
            continue
        rest = sentence.parts[cut:]
        at = next(n for n, t in enumerate(sentence.tags) if t is rest[0].tags[0])
        out.append(replace(sentence, parts=before, tags=sentence.tags[:at], stop=","))
        out.append(replace(sentence, parts=rest, tags=sentence.tags[at:]))
        before[-1].after, rest[0].before = None, None
    return out


def _about_these(query: Query, events: list[Raw], sentence: Sentence) -> Query:
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
    if query.place or query.batch or query.line:
        return query
    if query.about == "last" and place:
        return replace(query, place=place)
    lines = {str(e["line"]) for e in events if e["kind"] in ("sale", "stock_in", "reserve") and e.get("line")}
    if query.about == "stock" and len(lines) == 1 and words & {"left", "remain", "remaining", "now", "have"}:
        return replace(query, line=min(lines))
    return query


def _only_places(sentence: Sentence) -> bool:
    return len(sentence.tags) <= 3 and all(
        t.kind == "place"
        or (t.kind == "num" and t.low is None and t.value == int(t.value))
        or t.word in (",", "and", "&")
        for t in sentence.tags
    )


def _listable(sentence: Sentence) -> bool:
    """Whether a line only says what was done, and places may follow it line by line."""
    words = [t for t in sentence.tags if t.kind not in ("num", "place", "sep", "punct", "day", "clock")]
    signs = [t for t in words if t.says("cue", "topoff", "wc", "changed", "feed", "clean")]
    return bool(signs) and len(words) <= 4


# Words that make a short note which logs nothing a question.
_QUESTIONING = re.compile(
    r"\b(eta|overdue|status|how's|what's|where's|when's|what is|what are|where (is|are)|which|when (is|are|will)|how (long|many|much|old|big|warm|are|is)|any idea|please show|numbers please)\b"
)


def _placeless_reading(events: tuple[Event, ...], teller: Teller, tags: list[Tag]) -> Query | None:
    """ "nh3 .5 ph 7.8 ok?": readings of no tank with a question to them ask whether they are dangerous."""
    if (
        events
        or not teller.doubts
        or any((d.partial or {}).get("kind") != "measure" or d.missing != "place" for d in teller.doubts)
    ):
        return None
    text = " ".join(t.word for t in tags)
    if not re.search(
        r"\b(ok|okay|worry|worried|bad|safe|danger\w*|kill|hurt|high|low|should i|what (do|should)|normal|toxic|too much|alright)\b",
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


def _joined_up(sentences: list[Sentence]) -> list[Sentence]:
    """Join "counted 13. 82 not 84": a count cut off from its place by a full stop."""
    out: list[Sentence] = []
    for n, sentence in enumerate(sentences):
        following = sentences[n + 1] if n + 1 < len(sentences) else None
        if out and out[-1].stop == "\n" and _only_places(sentence) and _listable(out[-1]):
            more = following is not None and _only_places(following)
            if more or out[-1].tags[-1].kind == "sep" or any(t.kind in ("num", "place") for t in out[-1].tags):
                last = out[-1].parts[-1]  # "topped off:" and then a place a line
                joined = [Tag("sep", ",", 0, 0, ","), *sentence.tags]
                last.tags.extend(joined)
                out[-1].tags = [*out[-1].tags, *joined]
                continue
        if (
            out
            and out[-1].stop == "."
            and sentence.tags[0].kind == "num"
            and sentence.tags
            and out[-1].tags[-1].kind == "num"
            and any(t.says("cue", "count") for t in out[-1].tags)
            and not any(t.kind in ("place", "batch", "size") for t in out[-1].tags)
            and len([t for t in out[-1].tags if t.kind == "num"]) == 1
        ):
            last = out[-1].parts[-1]
            last.tags.append(Tag("sep", ",", 0, 0, ","))
            last.tags.extend(sentence.parts[0].tags)
            out[-1].tags = [*out[-1].tags, *sentence.tags]
            out[-1].parts.extend(sentence.parts[1:])
            out[-1].stop = sentence.stop
            continue
        out.append(sentence)
    return out


def _note_ahead(part: Part, ctx: Context) -> None:
    """Keep what a clause only mentions for the clause after it: foods, a quantity without its number."""
    foods = part.sense("food") or [t for t in part.tags if t.says("food")]
    if foods:
        ctx.values["food"], ctx.values["food_sentence"] = min(foods[0].senses["food"]), part.sentence
    persons = part.kind("person")
    if persons:
        ctx.values["person"], ctx.values["person_sentence"] = persons[0].value, part.sentence
    items = part.sense("item")
    if items:
        ctx.values["item"], ctx.values["item_sentence"] = min(items[0].senses["item"]), part.sentence
    quantity = part.sense("quantity")
    quantity = [t for t in quantity if not t.says("quantity", "length")]
    if quantity and not part.kind("num", "deg") and not part.asks:
        ctx.quantity = quantity[0].one("quantity")
        ctx.values["unread"], ctx.values["unread_quantity"] = part.sentence, quantity[0].one("quantity")
    if (
        part.cues("left", "count")
        and not part.kind("num")
        and re.search(r"\b(left|counted|count|remaining)\b", part.text())
    ):
        ctx.values["left"] = part.sentence


def _numbered(part: Part) -> bool:
    """Whether a clause has the sign of something done, or a number that is no place's."""
    return (
        part.has(*leftovers.SIGNS)
        or bool(part.kind("pct", "vol", "amount", "deg"))
        or len(part.kind("num"))
        > len(
            [
                t
                for i, t in enumerate(part.tags)
                if t.kind == "num" and i and part.tags[i - 1].word in ("in", "on", "of")
            ]
        )
    )


def _together(first: str, second: str) -> bool:
    """Whether one clause may well tell of both kinds."""
    pairs = {
        frozenset(p)
        for p in (
            ("water_change", "dose"), ("pull", "dose"), ("pull", "move"), ("hatch", "move"), ("measure", "water_change"), ("water_change", "service"), ("water_change", "top_off"), ("water_change", "feed"),
            ("death", "headcount"), ("bad_eggs", "headcount"), ("bad_eggs", "eyed"), ("measure", "dose"), ("feed", "dose"), ("service", "top_off"), ("feed", "service"), ("bad_eggs", "dose"),
        )
    }  # fmt: skip
    return frozenset((first, second)) in pairs


def _names_only(part: Part) -> bool:
    """Whether a clause is nothing but places, by name or by figure."""
    return all(t.kind in ("place", "batch", "num", "sep", "punct") or t.word in ("and", "&", "the") for t in part.tags)


def _heads(part: Part) -> bool:
    """Whether a clause before the one with the sign only lists what that is told of."""
    strange = [
        t for t in part.tags if t.kind == "word" and t.word.isalpha() and len(t.word) > 2 and not is_everyday(t.word)
    ]
    return not (strange and len(part.tags) <= 4)


def _carries(part: Part) -> bool:
    """Whether a clause without a sign holds anything that may belong to its neighbours."""
    if part.words() & {"same", "ditto", "likewise"}:
        return True
    return (
        bool(
            part.kind(
                "num",
                "place",
                "batch",
                "pct",
                "vol",
                "line",
                "size",
                "money",
                "amount",
                "deg",
                "day",
                "clock",
                "frac",
                "len",
                "person",
                "dur",
            )
        )
        or any(t.word in ("nothing", "none", "nada", "zip") for t in part.tags)
        or (bool(part.noun("fry", "eggs")) and len(part.tags) <= 3)
        or bool(part.sense("group") or part.sense("except") or part.sense("role") or part.noun("mop"))
    )


_WANTS = {
    "pull": ("num", "place", "line", "size", "batch"),
    "bad_eggs": ("num", "place"),
    "hatch": ("num", "place"),
    "eyed": ("num", "place"),
    "death": ("num", "place", "line", "size"),
    "headcount": ("num", "place"),
    "move": ("num", "place", "line", "batch", "size"),
    "water_change": ("num", "place", "pct", "frac", "vol", "size"),
    "top_off": ("num", "place", "vol"),
    "dose": ("num", "place", "amount"),
    "feed": ("num", "place", "clock", "line", "batch"),
    "measure": ("num", "place", "deg", "batch", "len"),
    "sale": ("num", "place", "money", "line", "batch", "person"),
    "stock_in": ("num", "place", "money", "line", "person"),
    "reserve": ("num", "place", "money", "line", "batch", "person", "day"),
    "release": ("num", "line", "batch", "person"),
    "service": ("num", "place", "size"),
    "peat": ("place", "line", "batch", "dur"),
    "new_place": ("vol", "line"),
    "culture": ("place", "num"),
    "mop": ("place", "num"),
}


def _fits_on(part: Part, kind: str, teller: Teller, current: list[Part]) -> bool:
    """Whether a clause without a sign goes on telling of a kind."""
    if part.tags[0].word == "again" and part.kind("day") and kind != "feed":
        return False
    if part.kind("day", "clock") and not part.kind("num", "place", "batch") and not part.kind("person"):
        return not part.sense("item") or kind == "service"
    if (kind == "new_place" and part.noun("fry", "eggs", "adults")) or (kind == "new_place" and part.sense("role")):
        return True
    if any(t.word in ("nothing", "none", "nada", "zip") for t in part.tags) and kind in ("pull", "bad_eggs"):
        return True
    if kind == "feed" and part.noun("fry", "adults") and len(part.tags) <= 3 and not part.kind("num", "place"):
        return True  # "fed x3, fry only"
    if not part.kind(*_WANTS.get(kind, ())):
        return bool(part.sense("except") or part.sense("group")) and kind in ("feed", "water_change", "top_off")
    if any(t.word == "more" for t in part.tags) and part.kind("num"):
        return False
    if part.cues("left") and kind not in ("headcount",) and not (kind == "move" and not part.kind("num")):
        return False
    if (
        kind == "headcount"
        and part.kind("num")
        and any(p.kind("num") for p in current)
        and not part.kind("place", "batch")
        and not any(t.says("noun", "male", "female") for t in part.tags)
    ):
        return False
    nums = [t for t in part.tags if t.kind == "num"]
    if (
        kind in ("water_change", "top_off", "service", "feed", "mop")
        and nums
        and not part.kind("place", "pct", "frac", "vol")
    ) and not all(t.value == int(t.value) and str(int(t.value)) in teller.names.by_id for t in nums):
        return False
    if (
        kind in ("death", "bad_eggs", "sale", "hatch")
        and len(part.tags) <= 3
        and len(nums) == 1
        and not part.kind("place", "batch", "money", "line")
        and not any(t.word in ("in", "from", "out") for t in part.tags)
    ):
        return kind == "hatch" and teller.context.kind != "hatch"
    if kind in ("water_change", "top_off", "service", "feed", "dose", "mop") and part.words() & {
        "think",
        "looks",
        "look",
        "seems",
        "chasing",
        "finally",
        "worried",
        "colouring",
        "coloring",
    }:
        return False
    if part.words() & {"fine", "ok", "okay", "alright", "happy", "good"} and kind in (
        "death",
        "bad_eggs",
        "hatch",
        "move",
    ):
        return False
    words = [t for t in part.tags if t.kind in ("word", "lex")]
    plain = [
        t
        for t in words
        if t.word
        not in (
            "in",
            "into",
            "from",
            "to",
            "the",
            "a",
            "of",
            "tank",
            "and",
            "with",
            "for",
            "it",
            "on",
            "had",
            "gave",
            "was",
            "at",
            "both",
            "out",
            "clean",
            "each",
            "all",
            "they",
            "are",
            "is",
            "i",
            "got",
            "only",
            "about",
            "then",
            "too",
            "about",
            "there",
            "were",
            "has",
            "just",
            "off",
            "also",
            "not",
            "one",
            "no",
        )
    ]
    return len(plain) <= 5


def _continues(part: Part, current: list[Part], kind: str) -> bool:
    """Whether a second clause of the same kind only goes on with the first one's list."""
    strong = {
        "pull": ("pull",),
        "water_change": ("wc", "changed"),
        "death": ("dead", "lost"),
        "feed": ("feed",),
        "bad_eggs": ("bad",),
        "move": ("move", "put"),
        "headcount": ("count",),
        "dose": (),
        "measure": (),
    }.get(kind)
    if kind == "pull" and len(part.kind("place")) > 1 and part.words() & {"to", "into"}:
        return False  # "A1 12 > B, A2 7 > C"
    if kind in ("pull", "bad_eggs"):
        verbs = list(part.cues(*(strong or ()))) if strong else []
        if kind == "bad_eggs":
            return bool(part.kind("num"))
        if not verbs and any(p.cues("pull") or p.noun("mop") or p.noun("eggs") for p in current):
            has_count = any(t.kind == "num" for p in current for t in p.tags) and any(p.noun("eggs") for p in current)
            return not has_count or bool(part.kind("place", "num"))
        return False
    if kind == "measure":
        first = any(t.kind in ("place", "batch") for p in current for t in p.tags)
        return not (part.kind("place", "batch", "size") and not part.sense("quantity")) or first
    if kind == "reserve":
        return True
    if kind == "sale" and part.has("gave") and part.noun("pair", "trio") and not part.kind("money"):
        return False  # "…, and gave one more pair to a boy"
    if kind in ("sale", "stock_in", "release"):
        return not (part.kind("num") and part.kind("line"))
    if kind == "water_change":
        return not (
            part.kind("place") and (part.kind("pct", "frac")) and any(p.kind("pct", "frac") for p in current)
        ) and not part.cues("wc", "changed")
    return False


def _answers_itself(following: Sentence) -> bool:
    """Whether the writer answers the question just put: "15 dead?? No. The light was off"."""
    return following.tags[0].word in ("no", "nope", "nah", "false") and (len(following.tags) == 1)


def _after(teller: Teller, kinds: list[str], current: list[Part]) -> Teller:
    """The teller as it will stand once the clauses at hand are told, for what leans on them."""
    ghost = Teller(
        teller.names, teller.sent, teller.events, teller.doubts, replace(teller.context), teller.all_tags, teller.words
    )
    ghost.context.kind = kinds[0]
    places = [p for part in current for t in part.kind("place") for p in t.value]
    if not places and kinds[0] in ("service", "water_change", "top_off", "feed"):
        spots = Group(current, teller.names, teller.context).sequence("place")
        places = [p for sort, value, _ in spots if sort == "P" for p in value]
    if places:
        ghost.context.places = tuple(places)
    return ghost


def _sentence_day(sentence: Sentence, heading: bool = False) -> Day | None:
    """The day at the head of a sentence, or the only one in it."""
    days = [
        (n, t)
        for n, t in enumerate(sentence.tags)
        if t.kind == "day" and not t.value.vague and t.note not in ("quoted", "muted")
    ]
    if len(sentence.parts) > 1:  # the day a promise is wanted is no day of what is told beside it
        wanted = {id(t) for p in sentence.parts if p.cues("hold") for t in p.tags}
        days = [d for d in days if id(d[1]) not in wanted or d[0] <= 1]
    if not days:
        return None
    n, tag = days[0]
    before = sentence.tags[n - 1].word if n else ""
    if (
        before in ("about", "around", "the", "on")
        and n > 1
        and sentence.tags[n - 2].word in ("since", "until", "by", "from")
    ):
        before = "since"
    if before in ("from", "for") and n <= 6 and sentence.tags[0].word in _ABOUT_NOTES and len(sentence.parts) > 0:
        return tag.value  # type: ignore[no-any-return]
    after = sentence.tags[n + 1].word if n + 1 < len(sentence.tags) else ""
    if before == "for" and n == 1 and after in (":", "-"):
        return tag.value  # type: ignore[no-any-return]
    if (
        before in ("since", "until", "by", "for", "before", "than")
        or tag.word.startswith("since")
        or (before == "from" and not heading)
        or tag.value.future
    ):
        return None
    if tag.value.part and n > 3 and sum(1 for t in sentence.tags[:n] if t.kind == "clock") > 1:
        return replace(tag.value, part="")  # type: ignore[no-any-return]  # "at 6:45 and again at 5 this evening"
    distinct = {t.value for _, t in days}
    if n <= 3 or (len(distinct) == 1 and len(sentence.tags) <= 30):
        return tag.value  # type: ignore[no-any-return]
    return None


_ABOUT_NOTES = frozenset(
    [
        "this",
        "these",
        "all",
        "that",
        "sorry",
        "late",
        "catching",
        "notes",
        "note",
        "from",
        "forgot",
        "backlog",
        "entries",
    ]
)


def _sentence_clock(sentence: Sentence) -> Clock | None:
    """The clock time at the head of a sentence: "6.45 lights on and temps …"."""
    clocks = [(n, t) for n, t in enumerate(sentence.tags) if t.kind == "clock" and t.note != "quoted"]
    if len(clocks) == 1:
        n, tag = clocks[0]
        before = sentence.tags[n - 1].word if n else ""
        if before in ("until", "after", "by", "before"):
            return None
        last = sentence.parts[-1] if len(sentence.parts) > 2 else None
        if (
            n > 4
            and last is not None
            and any(t is tag for t in last.tags)
            and (last.senses_cue() or last.sense("item"))
        ):
            return None  # said of the last thing alone
        return tag.value  # type: ignore[no-any-return]
    return None


def _clocks(teller: Teller) -> None:
    """Settle morning or evening for the clock times of a note, the last said first."""
    later: tuple[dt.date, int] | None = None
    for raw in reversed(teller.events):
        clock = raw.get("_clock")
        if not isinstance(clock, Clock):
            continue
        day = raw.get("_day")
        ahead = bool(raw.get("_ahead"))
        part = day.part if isinstance(day, Day) and day.part in ("am", "pm") else ""
        date = (day.on(teller.sent, ahead) if isinstance(day, Day) else None) or teller.sent.date()
        options = clock.options(part)
        now = teller.sent.hour * 60 + teller.sent.minute
        best: tuple[int, int] | None = None
        if len(options) == 1:
            best = options[0]
        elif ahead:
            fit = [o for o in options if date > teller.sent.date() or o[0] * 60 + o[1] > now]
            day_time = [o for o in fit if 7 <= o[0] <= 21]
            best = (day_time or fit or options)[0]
        else:
            limit = now if date == teller.sent.date() else 24 * 60
            if later is not None and later[0] == date:
                limit = min(limit, later[1])
            fit = [o for o in options if o[0] * 60 + o[1] <= limit + 5]
            best = (fit or options)[-1] if fit else options[0]
        if not ahead and day is None and best[0] * 60 + best[1] > now + 60 and now < 13 * 60:
            raw["_day"] = Day(-1)
        if not ahead:
            later = (date, best[0] * 60 + best[1])
        raw["_time"] = f"{best[0]:02d}:{best[1]:02d}"


_SLIPS = (
    "no",
    "sorry",
    "wait",
    "no wait",
    "make that",
    "i mean",
    "scratch that",
    "rather",
    "or rather",
    "correction",
    "actually",
    "call it",
    "say",
    "let's say",
    "well",
)


def _mend_slips(tags: list[Tag], names: Names) -> None:
    """Self-correction within a note: of "twelve no wait fifteen" only fifteen stands."""
    kinds = ("num", "pct", "frac", "place", "money", "vol", "batch", "amount", "clock", "deg")
    for n, tag in enumerate(tags):
        if tag.kind not in kinds or tag.claimed:
            continue
        words: list[str] = []
        strong = False
        m = n + 1
        while m < len(tags) and m - n <= 8:
            here = tags[m]
            if here.kind in kinds and (
                here.kind == tag.kind
                or {here.kind, tag.kind} <= {"pct", "frac", "num"}
                or (tag.kind == "clock" and here.kind == "num")
            ):
                break
            if here.kind == "stop" and here.word in ("\n", "?", ";"):
                words = ["|"]
                break
            words.extend(here.word.split())
            m += 1
        else:
            continue
        if m >= len(tags) or not words or "|" in words or any(t.says("quantity") for t in tags[n + 1 : m]):
            continue
        joined = " ".join(words)
        if re.search(
            r"(^|\s)(no|sorry|wait|scratch that|i mean|make that|or rather|correction|oops|call it)(\s|$)", joined
        ) and not re.search(r"\b(no (eggs|fry|dead|more|food|feed)|not)\b", joined):
            strong = len([w for w in words if w.isalpha()]) <= (
                8 if re.search(r"\b(no wait|wait no|no make|sorry|make that)\b", joined) else 5
            )
        if re.search(r"\b(so let's say|so say|let's say|call it)$", joined):
            strong = True
        if joined in ("no", ", no", "- no", "no ,", ", no ,") and tag.kind == "num" and tags[m].kind == "num":
            strong = True
        if strong:
            if (
                tag.kind == "clock"
                and tags[m].kind == "num"
                and tags[m].value == int(tags[m].value)
                and 1 <= tags[m].value <= 12
            ):
                tags[m].kind, tags[m].value = "clock", Clock(int(tags[m].value), 0, tag.value.half)
            tag.claimed = "corrected"
            if tag.kind in ("place", "batch", "pct", "frac", "vol", "money", "amount", "deg", "clock"):
                tag.kind = "word"
            else:
                tag.kind = "word"
            tag.word = ""
            for slip in tags[n + 1 : m]:
                if slip.kind in ("lex", "word", "punct", "stop") and any(
                    w in slip.word.split()
                    for w in (
                        "no",
                        "sorry",
                        "wait",
                        "make",
                        "scratch",
                        "mean",
                        "call",
                        "let's",
                        "correction",
                        "actually",
                        "rather",
                        "oops",
                        ",",
                        "-",
                        ".",
                        "that",
                        "i",
                        "it",
                        "say",
                        "so",
                        "then",
                        "legs",
                    )
                ):
                    if slip.word in ("then",):
                        continue
                    slip.kind, slip.word, slip.senses = "word", "", {}


def _spans(tagger: Tagger, text: str) -> tuple[Span, ...]:
    out = []
    for tag in tagger.tags:
        if tag.kind in ("word", "punct", "stop", "sep") and not tag.claimed:
            continue
        first = tagger.tokens[tagger.items[tag.at].first]
        last = tagger.tokens[tagger.items[min(tag.upto, len(tagger.items)) - 1].last]
        name = tag.kind if tag.kind != "lex" else next(iter(tag.senses), "word")
        out.append(Span(first.start, last.end, text[first.start : last.end], name))
    return tuple(out)


_ = Context
