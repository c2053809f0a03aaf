"""Questions back: how they are worded, how they are kept until answered, and what counts as an answer."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from bot import sentences as say
from bot.language import Doubt, Reader, Reading
from bot.language.doubts.second_opinion import SURE
from shared.events import EggsPulled, Event, ReminderAsked, event_from
from shared.kin.lineage import STRAY
from shared.ledger.booking import Booking, Question
from shared.ledger.standing import Entry, Standing
from storage.messages import OpenQuestion

_NO_SUCH = re.compile(r"There is no ((?:tank|tub|jar|bowl|bag|box) \S+) here")
OPEN_FOR = dt.timedelta(hours=24)  # after that an answer would be taken for something else
NAMED_FOR = dt.timedelta(minutes=30)  # so long the name of a choice still answers, with other notes between
NEVER_MIND = frozenset(
    ("never mind", "nevermind", "forget it", "skip", "skip it", "cancel", "neither", "leave it", "nothing")
)


@dataclass(frozen=True)
class Asked:
    """One question as it was asked. Each option carries the events it would log."""

    text: str
    at: dt.datetime
    options: tuple[tuple[str, tuple[dict[str, Any], ...]], ...] = ()
    doubt: Doubt | None = None
    queue: bool = field(default=False)

    @property
    def labels(self) -> list[str]:
        return [label for label, _ in self.options] or list(self.doubt.options if self.doubt else ())

    @property
    def again(self) -> str:
        """The question once more, with the words it is about where it does not say them itself."""
        words = " ".join(self.doubt.words.split()) if self.doubt else ""
        if not words or "“" in self.text or words.casefold() in self.text.casefold():
            return self.text
        return f"“{words[:40]}{'…' if len(words) > 40 else ''}”: {self.text[:1].lower()}{self.text[1:]}"

    def at_for(self, event: Event) -> dt.datetime | None:
        """When what was asked about happened: as said then, unless the answer says otherwise."""
        return None if getattr(event, "date", None) or getattr(event, "time", None) else self.at

    def body(self) -> dict[str, Any]:
        """The form it is kept in."""
        doubt = None
        if self.doubt:
            d = self.doubt
            doubt = {
                "words": d.words,
                "question": d.question,
                "options": list(d.options),
                "missing": d.missing,
                "partial": d.partial,
            }
        return {
            "text": self.text,
            "at": self.at.isoformat(),
            "options": [[label, list(events)] for label, events in self.options],
            "doubt": doubt,
            "queue": self.queue,
        }

    @classmethod
    def of(cls, body: dict[str, Any]) -> Asked:
        raw = body.get("doubt")
        doubt = (
            Doubt(raw["words"], raw["question"], tuple(raw["options"]), raw["missing"], raw["partial"]) if raw else None
        )
        return cls(
            body["text"],
            dt.datetime.fromisoformat(body["at"]),
            tuple((label, tuple(events)) for label, events in body.get("options", ())),
            doubt,
            bool(body.get("queue")),
        )


def of_doubt(doubt: Doubt, now: dt.datetime, standing: Standing | None = None) -> Asked:
    """The reader's own question; where it knows no such place, setting it up is a choice."""
    found = _NO_SUCH.match(doubt.question)
    if found and doubt.partial and standing is not None and found[1] not in standing.places:
        name = found[1]
        key = "to" if doubt.missing == "to" else "place"
        both = ({"kind": "new_place", "place": name}, {**doubt.partial, key: name})
        near = [p.name for p in standing.places.values() if not p.closed] if len(standing.places) < 6 else []
        others = [(n, ({**doubt.partial, key: n},)) for n in near]
        return Asked(doubt.question, now, ((f"set up {name}", both), *others), doubt, queue=True)
    if doubt.missing == SURE and doubt.partial:
        told = {k: v for k, v in doubt.partial.items() if k not in ("kind", "text")}
        told = told if doubt.question.startswith("Is it so") else {}
        details = f" ({', '.join(_detail(v) for v in told.values())})" if told else ""
        return Asked(
            f"{doubt.question.rstrip('?')}{details}?", now, (("yes", (doubt.partial,)), ("no", ())), doubt, queue=True
        )
    return Asked(doubt.question, now, doubt.likely, doubt, queue=True)


def _detail(value: Any) -> str:
    if isinstance(value, list):
        return say.listed(str(v) for v in value)
    return say.number(value) if isinstance(value, int | float) else str(value)


def a_second_time(event: Event, now: dt.datetime) -> Asked:
    """The same pull, death, hatch or sale within minutes."""
    what = {"pull": "pull", "death": "loss", "hatch": "hatch", "sale": "sale"}.get(event.kind, event.kind)
    return Asked(
        f"The same {what} was logged a moment ago. A second time?",
        now,
        (("yes, again", (event.outside(),)), ("no", ())),
    )


def that_pull(event: EggsPulled, entry: Entry, now: dt.datetime) -> Asked:
    """A number for a mop that was pulled within the hour without one: of that pull, or of another."""
    told: dict[str, Any] = {"count": event.count, **({"to": event.to} if event.to else {})}
    fix = {"kind": "fix", **told, "of": {"id": entry.seq}}
    at = entry.at.astimezone(now.tzinfo)
    text = f"{event.place} was pulled at {at:%H:%M}, not counted. Is this that pull ({entry.batch}) or another?"
    return Asked(text, now, (("that pull", (fix,)), ("another pull", (event.outside(),))))


def long_ago(event: Event, when: dt.datetime, now: dt.datetime) -> Asked:
    """What is said to have happened years back: a slip in the date, more often than not."""
    day = say.day(when.date(), now.date())
    return Asked(f"That would be {day}. Is it so?", now, (("yes", (event.outside(),)), ("no", ())))


def when_to_remind(event: ReminderAsked, now: dt.datetime) -> Asked:
    """The day of a reminder that was asked for without one."""
    held = event.outside()
    days = (("tomorrow", 1), ("the day after", 2), ("in a week", 7))
    options = tuple((w, ({**held, "date": (now.date() + dt.timedelta(days=n)).isoformat()},)) for w, n in days)
    text = f"{event.text[:1].upper()}{event.text[1:]}: remind you when?"
    return Asked(text, now, options, Doubt("", text, tuple(w for w, _ in options), "when", held))


ALL_THE_SAME = "Log it all the same?"


def before_crossing(event: Event, booking: Booking, at: dt.datetime) -> Asked | None:
    """Before two populations of a species share water, or a batch is of two lines: nothing is booked without a yes.

    Fish nobody has named are left to the warning that follows: they are no breeders, and may be there for weeks.
    """
    for notice in booking.notices:
        facts = notice.facts
        if notice.remark == "same_species" and facts["line"] != facts["other"]:
            caution = f" {facts['caution']}" if facts["caution"] else ""
            text = f"{facts['place']} holds {facts['other']}, the same species as {facts['line']}.{caution}"
        elif notice.remark == "two_lines" and STRAY not in facts["lines"]:
            text = f"{facts['batch']} would be of {say.listed(facts['lines'])}."
        else:
            continue
        return Asked(f"{text} {ALL_THE_SAME}", at, (("yes", (event.outside(),)), ("no", ())))
    return None


def which_tub(batch: str, standing: Standing, now: dt.datetime) -> Asked:
    """Where fresh eggs went: the egg tubs, with what they hold."""
    tubs = [p for p in standing.places.values() if not p.closed and p.role == "eggs"]
    if not tubs:  # nobody said yet what the tubs are for
        tubs = [p for p in standing.places.values() if not p.closed and p.kind == "tub" and p.role is None]
    options, holds = [], []
    for tub in tubs:
        eggs = standing.eggs_at(tub.name)
        inside = say.listed(f"{h.line} {h.count if h.counted else '?'}" for h in eggs) or "empty"
        holds.append(f"{tub.name} {inside}")
        options.append((tub.name, ({"kind": "move", "batch": batch, "to": tub.name, "stage": "eggs"},)))
    doubt = Doubt(
        words=batch,
        question="Which tub?",
        options=tuple(label for label, _ in options),
        missing="to",
        partial={"kind": "move", "batch": batch, "stage": "eggs"},
    )
    text = f"Which tub for {batch}? {' · '.join(holds)}" if holds else f"Which tub is {batch} in?"
    return Asked(text, now, tuple(options), doubt)


def of_booking(question: Question, at: dt.datetime, standing: Standing) -> Asked:
    """A question the ledger has to ask before it can book."""
    facts, event = question.facts, question.event
    options = tuple((o.label, o.events) for o in question.options)
    doubt = None
    match question.trouble:
        case "which_group":
            text = f"Which one: {say.listed(facts['labels'])}?"
        case "too_many":
            where = f" in {facts['place']}" if facts["place"] else f" of {facts['group']}"
            text = f"The record has {say.fish(facts['held'], facts['stage'])}{where}, not {facts['said']}. How many?"
        case "difference":
            fewer = f"That is {facts['gap']} fewer than the record's {facts['held']}"
            text = f"{fewer}. What of them?"
        case "join_or_apart":
            text = f"{facts['place']} holds {facts['other']}, laid earlier. Keep {facts['batch']} with it or apart?"
        case "no_such_batch":
            text = f"There is no batch {facts.get('other') or facts.get('batch')} to join; nothing was logged for it."
        case "which_line":
            lines = (*tuple(standing.lines)[:12], "unknown")
            options = tuple((line, ({**event, "line": line},)) for line in lines)
            text = "Which line?"
            doubt = Doubt("", text, lines, "line", event)
        case "before_laid":
            begun, was = facts["begun"].astimezone(at.tzinfo), "laid" if facts["laid"] else "here"
            text = f"{facts['batch']} was not {was} before {begun.day} {begun:%b %H:%M}. Fry from other eggs?"
        case "which_generation":
            text = f"The parents of {facts['batch']} are {say.listed(facts['parents'])}. What are the young?"
        case "sexes":
            said = f"{facts['male']} males and {facts['female']} females are more than {facts['count']}"
            text = f"{said}; nothing was logged. Say it again with the right numbers."
        case "wrong_sex":
            males, females = facts["held"]
            where = facts["place"] or facts["group"]
            text = f"The record has {males} m and {females} f in {where}; that does not fit. Which is right?"
        case "eggs_not_fish":
            where = facts["place"] or facts["batch"]
            text = (
                f"{where} has only eggs on record ({say.count(facts['held'], facts['line'] + ' egg')}). What was lost?"
            )
        case "when_laid":
            text = f"“{facts['said']}” is no day it can have been laid; say it like 2026-01-10. Nothing was logged."
        case "which_population":
            line, kept = facts["line"], facts["kept"]
            ours = f"{line} here are {kept}" if kept else f"Nobody said of which population {line} here are"
            text = f"{ours}. Are these {facts['population']} a line of their own, {facts['name']}?"
        case "no_such_line":
            text = f"There is no line {facts['line']} in this room; nothing was logged."
        case "where" | "nothing_there":
            missing = facts.get("missing", "place")
            text = "Where to?" if missing == "to" else "Which tank or tub?"
            doubt = Doubt("", text, (), missing, event)
    return Asked(text, at, options, doubt)


def answerable(waiting: Sequence[OpenQuestion], asking: int | None, text: str, now: dt.datetime) -> list[OpenQuestion]:
    """Those the words can be the answer of: any to the one just asked, for a while its choices' names to another."""
    said = _plain(text)
    kept = json.dumps(said)[1:-1]  # looked for before it is read; a letter kept by its number may be a capital there
    return [
        q
        for q in waiting
        if (q.id == asking and now - q.asked_at <= OPEN_FOR)
        or (now - q.asked_at < NAMED_FOR and (not said.isascii() or kept in q.kept.casefold()))
    ]


def settle(asked: Asked, text: str, reader: Reader, now: dt.datetime, *, just_asked: bool) -> Reading | None:
    """What the answer says, or None when the message is no answer to it.

    The name of a choice is an answer for a while; other words only when it was `just_asked`; a question never is.
    """
    if text.rstrip().endswith("?"):
        return None
    said = _MISSING.sub(r"\1 unaccounted for", _plain(text)) if asked.doubt is None else _plain(text)
    if just_asked and said in NEVER_MIND:
        return Reading("none")
    chosen = _chosen(asked, said, just_asked) if just_asked or now - asked.at < NAMED_FOR else None
    if chosen is not None:
        return Reading("log", tuple(event_from(raw) for raw in chosen))
    if asked.doubt and just_asked and not _a_note_of_its_own(asked.doubt, text, reader, now):
        return reader.complete(asked.doubt, text, now)
    return None


_MISSING = re.compile(r"^(?:the )?(\d+) (?:are |is )?(?:missing|gone|not found|unaccounted)$")


def _plain(text: str) -> str:
    return " ".join(text.casefold().split()).strip(" .!")


def _a_note_of_its_own(doubt: Doubt, text: str, reader: Reader, now: dt.datetime) -> bool:
    """Whether the words are a whole note or question rather than what was asked for."""
    if doubt.missing in ("place", "to", "from", "batch") and len(re.findall(r"\d+(?:[.,]\d+)?", text)) > 1:
        return True  # “ph 78 in 7” is no name of a place
    if len(text.split()) < 3:
        return False
    if _NONE_THERE.search(text):
        return True  # “nothing in the medaka tank” is not where the eggs went
    others = set(_BATCH.findall(text.upper())) - {str((doubt.partial or {}).get("batch", "")).upper()}
    if others and doubt.missing in ("place", "to", "from"):
        return True  # “B22 to tub D” is not where B27 went
    if doubt.missing in ("place", "to", "from") and _MORE_THAN_A_PLACE.search(text):
        return True
    fresh = reader.read(text, now)
    if fresh.query is not None and not fresh.doubts:
        return True
    kinds = {e.kind for e in fresh.events} - {"remark"}
    return bool(kinds) and kinds != {(doubt.partial or {}).get("kind")}


_NONE_THERE = re.compile(r"\b(?:nothing|none|nobody|didn'?t|haven'?t|isn'?t|wasn'?t|never)\b", re.IGNORECASE)
_BATCH = re.compile(r"\bB\d{1,4}\b")
_MORE_THAN_A_PLACE = re.compile(
    r"\b(?:unaccounted|died|dead|eggs?|fry|temp|ph|nitrate|nitrite|ammonia|fed|changed?|hatched|moved|sold|count(?:ed)?|bad)\b",
    re.IGNORECASE,
)


def _chosen(asked: Asked, said: str, just_asked: bool) -> tuple[dict[str, Any], ...] | None:
    for label, events in asked.options:
        if said == label.casefold():
            return events
    if not just_asked:
        return None
    ends = [events for label, events in asked.options if label.casefold().split()[-1:] == [said]]
    if len(ends) == 1:
        return ends[0]
    starts = [events for label, events in asked.options if label.casefold().split()[:1] == [said]]
    if len(starts) == 1 and said in ("yes", "no"):
        return starts[0]
    if asked.doubt is not None or not re.search(r"[a-z]{3}|\bb\d", said):
        return None  # a bare number may be anything
    part = re.compile(rf"(?<!\w){re.escape(said)}(?!\w)")
    holding = [events for label, events in asked.options if part.search(label.casefold())]
    return holding[0] if len(holding) == 1 else None
