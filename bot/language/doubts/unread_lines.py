"""Lines of a list that led to nothing: in a note of more lines than one each that names a place, a food or a fish and a figure is told or asked about."""

# ruff: noqa: E501  (one condition a line)

from __future__ import annotations

import re

from bot.language.doubts.caution import hold_back
from bot.language.doubts.leftovers import question_for
from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.times.days import Day

_FIGURES = ("num", "pct", "frac", "vol", "amount", "deg", "money", "clock", "times")
_NAMED = ("place", "batch", "line", "culture", "size")


def ask_unread(sentences: list[Sentence], teller: Teller) -> None:
    """Ask about each line of a list that says something of the room and that no event came from."""
    if not teller.events or any(e["kind"] in ("undo", "fix") for e in teller.events):
        return
    lines: dict[int, list[Sentence]] = {}
    for sentence in sentences:
        lines.setdefault(sentence.line, []).append(sentence)
    if len(lines) < 2:
        return
    told = {e.get("_sentence") for e in teller.events}
    first = min(lines)
    for line, its in lines.items():
        if line == first or any(id(s) in told or id(s) in teller.asked for s in its):
            continue
        if any(d.words and d.words in s.text() for d in teller.doubts for s in its):
            continue
        if all(id(p) in teller.read for s in its for p in s.parts):
            continue
        tags = [t for s in its for t in s.tags if t.note != "quoted"]
        if _denies(its) or not _says_something(tags):
            continue
        teller.doubts.append(question_for(its[0], []))


_PUT_OFF = frozenset(["skip", "push", "pushed", "put off", "postpone", "postponed", "snooze"])


def ask_half_told(sentences: list[Sentence], teller: Teller) -> None:
    """Hold back what a sentence told that also puts it off, leaves some out of "all", or says how often it is to be."""
    if any(e["kind"] in ("undo", "fix") for e in teller.events):
        return
    for sentence in sentences:
        its = [e for e in teller.events if e.get("_sentence") == id(sentence)]
        same = any(t.word in ("same", "ditto") for p in sentence.parts if not p.muted for t in p.tags)
        if same and not its and id(sentence) not in teller.asked and teller.events and len(sentence.tags) <= 6:
            teller.doubts.append(question_for(sentence, []))  # "sun: same"
        if not its or id(sentence) in teller.asked:
            continue
        kinds, text = {str(e["kind"]) for e in its}, sentence.text()
        live = [t for p in sentence.parts if not p.muted for t in p.tags]
        loose: list[Tag] = []
        if not kinds & {"snooze", "remind"}:
            loose += [t for t in live if t.word in _PUT_OFF]
        but = re.search(r"\ball (but|except) (the )?(\d+)\b", text)
        if but and any(e.get("count") == int(but[3]) for e in its):
            loose += [t for t in live if t.word == but[3]]
        often = re.search(r"\bevery (\d+) ?d(ays?)?\b", text)
        if often and not kinds & {"setting", "remind", "reserve"}:
            loose += [t for t in live if t.word == often[1]]
        if re.search(r"\bnothing to report\b", text) and len([t for t in live if t.kind == "day"]) > 1:
            loose += [t for t in live if t.kind == "day"]
        if sum(e["kind"] in ("hatch", "death") for e in its) > 1 and "more" not in text and "by" in text.split():
            days = [n for n, t in enumerate(sentence.tags) if t.kind == "day"]
            loose += [sentence.tags[n] for n in days if n and sentence.tags[n - 1].word == "by"]
        if re.search(r"\blast week\b", text) and any(_this_week(e.get("_day")) for e in its):
            loose += [t for t in live if t.kind == "day"]
        if loose:
            hold_back(sentence, loose, teller)


def _this_week(day: object) -> bool:
    return isinstance(day, Day) and day.weekday is not None and day.which != "last week"


def _denies(sentences: list[Sentence]) -> bool:
    """Whether a line only says what was not done, or is a question."""
    return any(s.stop == "?" or any(p.muted in ("not", "plan", "if", "wish") for p in s.parts) for s in sentences)


def _says_something(tags: list[Tag]) -> bool:
    named = [
        t
        for t in tags
        if (t.kind in _NAMED and t.value) or t.says("food") or t.says("group") or t.says("noun", "fry", "adults")
    ]
    figures = [t for t in tags if t.kind in _FIGURES and t.note != "idle"]
    return bool(named and figures) or len(figures) > 1
