"""Goes through a note sentence by sentence: a table, a reminder, something put off, a question, a setting, or something done."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from bot.language import eggs, rows, trade
from bot.language.asking.asked import about_these, answers_itself, first_question, plain_query, question_of
from bot.language.asking.questions import part_asks
from bot.language.asking.sentences import asks
from bot.language.clauses.gathering import tell_clauses
from bot.language.clauses.group import Group, Raw
from bot.language.clauses.headings import day_of, note_heading
from bot.language.clauses.joining import joined_up
from bot.language.doubts import leftovers
from bot.language.frames import seen
from bot.language.kept_out.outages import outage
from bot.language.mending.putting_right import fixes
from bot.language.mending.taking_back import takes_back_one, undoes
from bot.language.reading import Query
from bot.language.reminding import putting_off, reminder
from bot.language.routine import bidden, setting
from bot.language.rows import tables
from bot.language.scene import Part, Sentence
from bot.language.telling import Teller

_GOES_ON = frozenset(
    ["they", "they'll", "they're", "all", "both", "it", "he", "she", "in", "into", "put", "currently", "now", "going", "went"]
)  # fmt: skip

# Whoever asks whether it was done, with or without a mark, does not say that it was.
_WAS_IT_DONE = re.compile(
    r"^(?:so |and |hey |ok |wait |hang on |hold on |,)*(?:did|have|has) (?:i|we|you|anyone|anybody|someone|somebody)\b"
)

# A routine that was set on a day gone by, and not one that begins then.
_WAS_SET = re.compile(r"\b(turned|changed|bumped|raised|lowered|dropped|put|i set|we set|was set)\b")


_ASKS_FOR_SURE = re.compile(
    r"^(?:(?:have|has|did|does|do|is|are|was|were) (?:the|any|my|our|all|i|we|they|it|he|she|anyone|anybody)|who|how (?:many|much|long|often|old)|when (?:did|does|do|is|are|will|was)|which)\b"
)

# A routine asked for politely: "could you send the summary at 10?"
_POLITE = re.compile(
    r"^(?:hey |hi |please |ok |so )*(?:can|could|would|will) (?:you|we|i) (?:please )?"
    r"(?:also )?(?:send|move|set|make|text|message|switch|change|have|get|do)\b"
)
_OF_THAT = re.compile(r"^(?:and |so |but )?(?:is|are|was|were) (?:that|this|it|they|those)\b")


@dataclass
class _Note:
    """A note on its way through: what it has asked so far, and the sentences done with."""

    sentences: list[Sentence]
    teller: Teller
    queries: list[Query] = field(default_factory=list)
    done: list[Sentence] = field(default_factory=list)

    def tell(self, number: int) -> None:
        """Let a sentence be told by the first that knows what to make of it."""
        sentence = self.sentences[number]
        more = number + 1 < len(self.sentences)
        if (
            self._reminds(sentence)
            or self._puts_off(sentence)
            or (sentence.stop == "?" and more and answers_itself(self.sentences[number + 1]))
            or (_POLITE.match(sentence.text()) and self._sets(sentence))
            or self._asks(sentence)
            or self._sets(sentence)
        ):
            return
        self._does(sentence, more)

    def _ask(self, sentence: Sentence, part: Part) -> bool:
        made = question_of(sentence, self.teller, part.tags)
        if made is not None:
            self.queries.append(made)
        return made is not None

    def _reminds(self, sentence: Sentence) -> bool:
        teller, done = self.teller, self.done
        raw = reminder(sentence, done, teller)
        if raw is None:
            return False
        rest = [t for t in sentence.tags if not t.says("cue", "remind") and t.kind not in ("person", "punct")]
        of_the_last = len(rest) <= 1 and bool(done)  # "… . Remind me": the sentence before is what to be reminded of
        if of_the_last:
            first = done[-1]
            teller.events = [e for e in teller.events if e.get("_sentence") != id(first)]
            teller.doubts = [d for d in teller.doubts if d.words not in first.text()]
            self.queries.clear()
        for part in sentence.parts[1:]:
            if part_asks(part) and self._ask(sentence, part):
                made = self.queries[-1]
                batch = raw.get("batch") if not (made.place or made.batch or made.line) else None
                if batch:
                    self.queries[-1] = replace(made, batch=str(batch))
        raw["_sentence"] = id(sentence)
        teller.asked.add(id(sentence))
        if of_the_last:
            teller.asked.add(id(done[-1]))
        teller.events.append(raw)
        return True

    def _puts_off(self, sentence: Sentence) -> bool:
        off = putting_off(sentence, self.teller)
        if off is not None:
            _put_off(off, sentence, self.teller)
        return off is not None

    def _asks(self, sentence: Sentence) -> bool:
        """Whether a sentence is a question, and nothing is to be read in it as done."""
        if sentence.after is not None:
            self._ask_about(sentence, sentence.after)
            return True
        if not asks(sentence):
            return False
        teller = self.teller
        leading = first_question(sentence)
        made = question_of(sentence, teller, leading) if leading else None
        made = made or question_of(sentence, teller, sentence.tags)
        if made is None and _WAS_IT_DONE.match(sentence.text()):
            made = plain_query("history", sentence.tags, teller, sentence.parts)
        told = (
            self.done[-1] if self.done and any(e.get("_sentence") == id(self.done[-1]) for e in teller.events) else None
        )
        if made is None and told is not None and not teller.doubts and _OF_THAT.match(sentence.text()):
            made = Query("advice")
        if made is not None and told is not None and sentence.line == told.line:
            made = about_these(made, [e for e in teller.events if e.get("_sentence") == id(told)], sentence)
        if made is not None and made.place and len(sentence.tags) < len(teller.all_tags):
            teller.context.places, teller.context.header = (made.place,), True
        if made is not None:
            self.queries.append(made)
            teller.asked.add(id(sentence))
            return True
        if _ASKS_FOR_SURE.match(sentence.text()) and len(sentence.parts) == 1:
            return True  # a question of its own form is no telling, whatever it asks
        return bool(teller.doubts) or (
            sentence.stop == "?" and not any(t.senses.get("cue") and t.note != "muted" for t in sentence.tags)
        )

    def _ask_about(self, sentence: Sentence, told: Sentence) -> None:
        """A question in one breath with what was told is about that, where it names nothing else."""
        teller = self.teller
        its = [e for e in teller.events if e.get("_sentence") == id(told)]
        doubts = len(teller.doubts)
        made = question_of(sentence, teller, sentence.tags)
        if made is None and len(teller.doubts) == doubts:
            made = question_of(sentence, teller, [*told.tags, *sentence.tags])
            made = Query("advice") if made is None and len(teller.doubts) == doubts else made
        if made is not None:
            self.queries.append(about_these(made, its, sentence))
        teller.asked.add(id(sentence))

    def _sets(self, sentence: Sentence) -> bool:
        teller = self.teller
        settings = None if is_talk(sentence) else setting(sentence, teller)
        if settings is None:
            return False
        rest = [
            p
            for p in sentence.parts
            if settings
            and not p.kind("times")
            and not re.search(r"\b(heat\w*|turned|set|lights?)\b", p.text())
            and (seen(p, teller) or (p.kind("place") and p.kind("num", "deg")))
            and (p.kind("num", "pct", "deg", "amount") or not any(s.get("what") == "mop_every_days" for s in settings))
        ]
        before = len(teller.events)
        if rest and len(sentence.parts) > 1:
            tell_clauses(rest, sentence, teller)
        day = day_of(sentence, teller.names)
        if day is not None and not day.future and _WAS_SET.search(sentence.text()):
            for raw in settings:
                raw["_day"] = day
        teller.events.extend(settings)
        _sign(sentence, teller.events[before:])
        if settings and len(sentence.parts) > 1 and sentence.stop == "?" and part_asks(sentence.parts[-1]):
            self._ask(sentence, sentence.parts[-1])
        return True

    def _does(self, sentence: Sentence, more: bool) -> None:
        """What a sentence tells was done, beside what it may ask."""
        teller = self.teller
        asked_before = len(self.queries)
        parts = self._told_parts(sentence)
        before = len(teller.events)
        if self._settles_the_new(sentence):
            return
        if eggs.split_up(sentence, teller) or trade.freed(sentence, teller):
            _sign(sentence, teller.events[before:])
            return
        if gone := [p for p in parts if outage(p)]:
            teller.events.append({"kind": "remark", "text": teller.as_written(sentence.tags)})
            teller.read |= {id(p) for p in gone}
            parts = [p for p in parts if p not in gone]
        tell_clauses(parts, sentence, teller)
        _on_each_day(sentence, teller, before)
        its = teller.events[before:]
        _sign(sentence, its)
        if len(teller.events) > before:
            self.queries[asked_before:] = [about_these(q, its, sentence) for q in self.queries[asked_before:]]
        if len(teller.events) == before:
            note_heading(sentence, teller, more)

    def _told_parts(self, sentence: Sentence) -> list[Part]:
        """The clauses of a sentence that tell; those that ask are asked."""
        parts: list[Part] = []
        for part in sentence.parts:
            if not part_asks(part):
                parts.append(part)
                continue
            others = [p for p in sentence.parts if p is not part]
            if (
                sentence.parts[0] is not part
                and not any((_numbered(p) or p.cues("done")) and seen(p, self.teller) for p in others)
                and self._ask(sentence, Part(sentence.tags))
            ):
                return []
            last = part is sentence.parts[-1] and len(sentence.parts) > 1 and sentence.stop == "?"
            if (parts or last) and self._ask(sentence, part):
                part.asks = True
            else:
                parts.append(part)
        return parts

    def _settles_the_new(self, sentence: Sentence) -> bool:
        """ "They're in tub D": where fish just bought were put."""
        last = self.teller.context.event
        return (
            last is not None
            and last["kind"] == "stock_in"
            and not last.get("place")
            and sentence.tags[0].word in _GOES_ON
            and trade.settles(Group([Part(sentence.tags)], self.teller.names, self.teller.context), self.teller)
        )


def tell_note(sentences: list[Sentence], teller: Teller) -> Query | None:
    """Hand a note's events and doubts to the teller, and give back what it asks."""
    sentences = joined_up(sentences)
    live = [s for s in sentences if any(t.note != "quoted" for t in s.tags)]
    if undoes(live):
        teller.events.append({"kind": "undo"})
        return None
    if len(live) <= 2 and takes_back_one(live) and live[0].parts:
        group = Group(live[0].parts, teller.names, teller.context)
        teller.ask(group, "Which note? “undo” takes back the last one; “that was tub F” mends it.", "kind")
        return None
    fix = fixes([s for s in live if not is_talk(s)], teller)
    if fix is not None:
        _mend(fix, live, teller)
        return None
    teller.last = sentences[-1] if sentences else None
    note = _Note(sentences, teller)
    listed = 0
    for number, sentence in enumerate(sentences):
        if listed <= 0 and bidden(sentence, teller):
            note.done.append(sentence)
            continue
        before = len(teller.events)
        listed = listed - 1 if listed > 0 else _listed(sentences, number, teller)
        for raw in teller.events[before:]:
            raw["_whole"] = True  # a list is understood to the last word, or not at all
        if not listed > 0:
            if note.done and sentence.line != note.done[-1].line:
                if not teller.context.values.get("row_header"):
                    teller.context.day = teller.context.clock = None
                teller.context.values.pop("line_day", None)
            note.tell(number)
        note.done.append(sentence)
    return _chief(note.queries)


_DAILY = frozenset(["feed", "water_change", "dose", "top_off", "culture", "service"])
_BETWEEN_DAYS = frozenset(["and", "+", "&", ",", "n", "plus", "on"])


def _on_each_day(sentence: Sentence, teller: Teller, before: int) -> None:
    """What was done on several days said in a row ("sat and sun salt in 15") was done on each of them."""
    at = [n for n, t in enumerate(sentence.tags) if t.kind == "day"]
    its = teller.events[before:]
    if len(at) < 2 or not its or any(e["kind"] not in _DAILY for e in its):
        return
    between = [t.word for t in sentence.tags[at[0] : at[-1] + 1] if t.kind != "day"]
    days = [sentence.tags[n].value for n in at]
    if not set(between) <= _BETWEEN_DAYS or any(d.vague or d.future for d in days):
        return
    del teller.events[before:]
    teller.events += [{**raw, "_day": day} for day in days for raw in its]


def _listed(sentences: list[Sentence], number: int, teller: Teller) -> int:
    """How many sentences a table or list takes that begins here; a list of the whole note before a table of a part."""
    before = len(teller.events)
    taken = tables.table(sentences, number, teller)
    if number or not taken or taken == len(sentences):
        return taken or rows.read(sentences, number, teller) or trade.granted(sentences, number, teller)
    told, teller.events = teller.events[before:], teller.events[:before]
    whole = rows.read(sentences, 0, teller)
    if whole < len(sentences):
        teller.events[before:] = told
        return taken
    return whole


def is_talk(sentence: Sentence) -> bool:
    """Whether a whole sentence is talk."""
    return bool(sentence.parts) and all(p.apart for p in sentence.parts)


def _chief(queries: list[Query]) -> Query | None:
    """The one question answered when a note asks several."""
    if not queries:
        return None
    query = next((q for q in queries if q.about not in ("advice", "place")), queries[0])
    lines = {q.line for q in queries if q.line}
    if query.about == "totals" and not (query.place or query.batch) and len(lines) == 1:
        query = replace(query, line=lines.pop())
    return query


def _sign(sentence: Sentence, events: list[Raw]) -> None:
    """Keep with each event which sentence told it."""
    for raw in events:
        raw["_sentence"] = id(sentence)


def _mend(fix: Raw, live: list[Sentence], teller: Teller) -> None:
    group = Group(live[0].parts, teller.names, teller.context) if live[0].parts else None
    if "_ask" in fix:
        if group is not None:
            teller.ask_place(group, {"kind": "fix"})
        return
    if "_empty" in fix:
        if group is not None:
            teller.ask(group, "What should it be?", "value", {"kind": "fix"})
        return
    teller.events.append(fix)


def _put_off(off: Raw, sentence: Sentence, teller: Teller) -> None:
    group = Group(sentence.parts, teller.names, teller.context)
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
