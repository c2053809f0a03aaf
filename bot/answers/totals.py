"""How many over a time: eggs, fry, deaths, sales and what they brought, by tank, line, cause, month or day."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass

from bot import sentences as say
from bot.answers.asking import Asking, places_named
from bot.answers.found import causes, lose
from bot.answers.past import abroad, deed_in, entries_meant, period_of, person_named
from bot.answers.periods import Period
from bot.pictures.tallies import count_of, line_of
from bot.readback.told import money
from shared.events import FishDied, FishSold
from shared.ledger.standing import Entry, Tally, cause_of

MOST_GROUPS = 8
_ALL = ("pull", "bad_eggs", "hatch", "death", "sale")
_WORDS = {"pull": "egg", "bad_eggs": "bad egg", "hatch": "fry hatched", "death": "lost", "sale": "sold"}
_PLURAL = {"pull": "eggs", "bad_eggs": "bad eggs"}
_KINDS: tuple[tuple[str, str], ...] = (
    (r"\b(?:income|money|earn(?:ed|ings)?|takings|revenue|paid|turnover)\b|\bhow much\b.*\b(?:make|made|sell|sold|take)\b", "income"),
    (r"\b(?:sold|sell|sells|selling|sellers?|sales?|bought|buyers?)\b", "sale"),
    (r"\b(?:die|dies|died|dying|dead|deaths?|lose|lost|loose|loss|losses|mortality|culled|jumped)\b", "death"),
    (r"\b(?:bad|fungus\w*|white|clear|rotten) (?:ones|eggs?)\b|\beggs? (?:went|gone|turned) (?:bad|white)\b", "bad_eggs"),
    (r"\bhatch(?:ed|es|ing)?\b|\bfry (?:did|do|have) (?:we|i) (?:get|got|had|have)\b", "hatch"),
    (r"\b(?:eggs?|lays?|laid|laying|layers?|pull|pulls|pulled|mops?|productive|best (?:tank|pair|female))\b", "pull"),
)  # fmt: skip
_CAUSE = {"found": "found dead", "jumped": "jumped", "culled": "culled", "eaten": "eaten", "missing": "missing"}
_GROUPINGS: tuple[tuple[str, str], ...] = (
    (r"\b(?:by|per|what|each|which) causes?\b|\band why\b|\bcauses?\b|\bof what\b|\bwhy did\b|\bhow did (?:they|it) die\b", "cause"),
    (r"\b(?:by|per|each|every|which) months?\b|\bmonthly\b|\bmonth by month\b", "month"),
    (r"\b(?:by|per|each|every|which) weeks?\b|\bweekly\b|\bweek by week\b", "week"),
    (r"\b(?:by|each|every|which) days?\b|\bper day\b(?!.*\baverage)|\bdaily\b|\bday by day\b", "day"),
    (r"\b(?:by|per|each|every|which|best|worst|top) (?:tanks?|tubs?|places?|pairs?|layers?|laying tanks?)\b|\btank by tank\b|\b(?:best|worst) lay\w*\b|\blay\w* (?:the )?(?:best|most|worst|least)\b", "place"),
    (r"\b(?:by|per|each|every|which) (?:lines?|species|fish|kinds?|strains?)\b|\b(?:sells?|sold|selling) (?:the )?(?:best|most)\b|\b(?:best|worst|top) sellers?\b", "line"),
    (r"\b(?:by|per|each|every|which) batch(?:es)?\b", "batch"),
    (r"\b(?:by|per|each|every|which) (?:buyers?|customers?)\b|\bto whom\b|\bwho (?:bought|buys)\b", "buyer"),
)  # fmt: skip
_BY = {"place": "tank"}
_STAGES = {"fry": ("fry",), "young": ("fry", "juveniles"), "juveniles": ("juveniles",), "adults": ("adults",)}


@dataclass(frozen=True)
class _Sum:
    """What entries of one kind come to."""

    count: int
    unsaid: int  # entries nobody counted
    entries: int
    paid: float  # in the room's currency
    abroad: str  # and what was paid in others

    @classmethod
    def of(cls, entries: list[Entry]) -> _Sum:
        counts = [count_of(e) for e in entries]
        return cls(
            sum(n for n in counts if n is not None),
            sum(n is None for n in counts),
            len(entries),
            sum(e.event.price or 0 for e in entries if isinstance(e.event, FishSold) and not e.event.currency),
            abroad(entries),
        )


def _kind_asked(words: str) -> str | None:
    return next((kind for pattern, kind in _KINDS if re.search(pattern, words)), None)


def _grouping(words: str) -> str | None:
    return next((name for pattern, name in _GROUPINGS if re.search(pattern, words)), None)


def totals(ask: Asking) -> str:
    """The sums asked for, of the time and the place, line, batch or person that are named, apart as asked."""
    words = ask.text.casefold()
    kind, grouping = _kind_asked(words), _grouping(words)
    chores = None if kind else deed_in(words)
    if chores:
        return _chores(ask, *chores)
    period = period_of(ask) or _usual(ask, grouping)
    kinds = ("sale",) if kind in ("income", "sale") else (kind,) if kind else _ALL
    entries = entries_meant(ask, kinds, period, person_named(ask))
    named = places_named(ask)
    if len(named) > 1 and grouping is None:
        entries, grouping = [e for e in entries if set(named) & e.names], "place"
    entries = _of_stage(words, kind, entries)
    head = f"{_about(ask)}{period.words}"
    if not entries:
        return f"{say.first_up(head)}: none on record{_began(ask, period)}."
    if kind is None and grouping is None:
        return _everything(ask, head, entries)
    if kind is None:
        return f"{say.first_up(head)}:\n{_apart(ask, grouping or 'place', kind, entries)}."
    text = f"{say.first_up(head)}: {_said(ask, kind, entries)}."
    average = _average(ask, words, kind, entries, period)
    if average:
        return f"{text}\n{average}"
    chosen = [grouping] if grouping else _telling(ask, kind)
    for by in chosen:
        if grouping or len(_grouped(ask, by, entries)) > 1:
            text += f"\nBy {_BY.get(by, by)}: {_apart(ask, by, kind, entries)}."
    return text


def _telling(ask: Asking, kind: str | None) -> list[str]:
    """How sums of a kind are told apart when nobody says."""
    one_spot = ask.query.place or ask.query.batch
    return {"death": [] if one_spot else ["place"], "pull": [] if one_spot else ["place"]}.get(kind or "", [])


def _usual(ask: Asking, grouping: str | None) -> Period:
    """The time taken where the question names none: a month, of sums by the month a year."""
    days = {"month": 365, "week": 84}.get(grouping or "", 30)
    return Period(ask.now - dt.timedelta(days=days), None, f"in the last {'year' if days == 365 else f'{days} days'}")


def _about(ask: Asking) -> str:
    query = ask.query
    name = query.place or query.batch or query.line
    return f"{name} " if name else ""


def _began(ask: Asking, period: Period) -> str:
    begun = ask.standing.begun
    if begun is None or period.until is None or period.until > begun:
        return ""
    return f"; the record begins on {say.day(begun.astimezone(ask.book.info.zone))} {begun:%Y}"


def _of_stage(words: str, kind: str | None, entries: list[Entry]) -> list[Entry]:
    """Deaths and sales of fry alone, where only fry are asked about."""
    if kind not in ("death", "sale"):
        return entries
    stages = next((stages for word, stages in _STAGES.items() if re.search(rf"\b{word}\b", words)), None)
    if stages is None:
        return entries
    return [e for e in entries if any(p.source and p.source.stage in stages for p in e.postings)]


def _said(ask: Asking, kind: str | None, entries: list[Entry]) -> str:
    """`140 eggs in 7 pulls`, `11 dead`, `8 sold, $56`, `3 dead and once not counted`."""
    found = _Sum.of(entries)
    if kind == "income":
        text = f"{money(found.paid, ask.book.info)}{found.abroad} from {say.count(found.entries, 'sale')}"
        free = sum(isinstance(e.event, FishSold) and e.event.price is None for e in entries)
        return text + (f", {free} of them without a price" if free else "")
    word = _WORDS[kind or "pull"]
    text = f"{say.number(found.count)} {word if found.count == 1 or kind not in _PLURAL else _PLURAL[kind]}"
    if kind == "pull":
        text += f" in {say.count(found.entries, 'pull')}"
    if kind == "sale" and (found.paid or found.abroad):
        text += f", {money(found.paid, ask.book.info)}{found.abroad}"
    if kind == "death":
        lost = Tally()
        for entry in entries:
            if isinstance(entry.event, FishDied):
                lose(lost, entry.event)
        text += causes(lost)
    return text + (f", and {say.count(found.unsaid, 'time')} not counted" if found.unsaid else "")


def _everything(ask: Asking, head: str, entries: list[Entry]) -> str:
    parts = []
    for kind in _ALL:
        mine = [e for e in entries if e.event.kind == kind]
        if mine:
            parts.append(_said(ask, kind, mine))
    text = f"{say.first_up(head)}: {'; '.join(parts)}."
    pulls = [e for e in entries if e.event.kind == "pull"]
    if not ask.query.place and len(_grouped(ask, "place", pulls)) > 1:
        text += f"\nEggs: {_apart(ask, 'place', 'pull', pulls, most=3)}."
    return text


# ---- apart


def _keys(ask: Asking) -> dict[str, Callable[[Entry], str]]:
    zone = ask.book.info.zone

    def place(e: Entry) -> str:
        spots = [p.source.place for p in e.postings if p.source and p.source.place]
        return e.place or (spots[0] if spots else "place not said")

    def cause(e: Entry) -> str:
        return _CAUSE[cause_of(e.event.cause if isinstance(e.event, FishDied) else None)]

    def batch(e: Entry) -> str:
        groups = [p.source.group for p in e.postings if p.source]
        return e.batch or (groups[0] if groups else "no batch")

    return {
        "place": place,
        "cause": cause,
        "batch": batch,
        "line": lambda e: line_of(e, ask.standing),
        "month": lambda e: f"{e.at.astimezone(zone):%b %Y}",
        "week": lambda e: f"week of {_monday(e.at.astimezone(zone).date())}",
        "day": lambda e: say.day(e.at.astimezone(zone)),
        "buyer": lambda e: getattr(e.event, "buyer", None) or "buyer not said",
    }


def _monday(day: dt.date) -> str:
    monday = day - dt.timedelta(days=day.weekday())
    return f"{monday.day} {monday:%b}"


def _grouped(ask: Asking, grouping: str, entries: list[Entry]) -> dict[str, list[Entry]]:
    key, groups = _keys(ask)[grouping], dict[str, list[Entry]]()
    for entry in reversed(entries):  # the oldest first, so that days and months come in order
        groups.setdefault(key(entry), []).append(entry)
    return groups


def _apart(ask: Asking, grouping: str, kind: str | None, entries: list[Entry], most: int = MOST_GROUPS) -> str:
    """`tank 3 71, tank 2 29`: the most first, times in their order, what is beyond as one number."""
    groups = _grouped(ask, grouping, entries)
    if kind is None:
        each = []
        for name, mine in groups.items():
            sums = [_said(ask, k, own) for k in _ALL if (own := [e for e in mine if e.event.kind == k])]
            each.append(f"{name}: {', '.join(sums)}")
        return ";\n".join(each[:most])

    def size(mine: list[Entry]) -> float:
        found = _Sum.of(mine)
        return found.paid if kind == "income" else found.count

    worst = re.search(r"\b(?:worst|least|fewest)\b", ask.text.casefold())
    timed = grouping in ("month", "week", "day")
    order = list(groups.items()) if timed else sorted(groups.items(), key=lambda g: size(g[1]), reverse=not worst)
    shown = order[-most:] if timed else order[:most]
    parts = []
    for name, mine in shown:
        found = _Sum.of(mine)
        number = money(found.paid, ask.book.info) if kind == "income" else say.number(found.count)
        if kind == "sale" and found.paid:
            number += f" ({money(found.paid, ask.book.info)})"
        if kind == "pull" and grouping == "place":
            number += f" in {say.count(found.entries, 'pull')}"
        parts.append(f"{name}: {number}")
    left = len(order) - len(shown)
    return "; ".join(parts) + (f"; and {left} {'before' if timed else 'more'}" if left else "")


def _average(ask: Asking, words: str, kind: str | None, entries: list[Entry], period: Period) -> str | None:
    """Eggs a pull or a day, where an average is asked for."""
    if kind not in ("pull", "death", "hatch", "sale"):
        return None
    found = _Sum.of(entries)
    known = found.entries - found.unsaid
    if kind == "pull" and re.search(r"\b(?:per|a|each) pull\b|\baverage\b(?!.*\b(?:day|week)\b)", words) and known:
        return f"{say.number(round(found.count / known, 1))} eggs a pull on average, of {say.count(known, 'counted pull')}."
    if re.search(r"\b(?:a|per|each) (?:day|week)\b", words):
        days = period.days(ask.now, ask.standing.begun)
        per = 7 if re.search(r"\b(?:a|per|each) week\b", words) else 1
        noun = {"pull": "eggs", "death": "deaths", "hatch": "fry", "sale": "fish sold"}[kind]
        rate = say.number(round(found.count / days * per, 1))
        return f"That is {rate} {noun} a {'week' if per == 7 else 'day'} over {say.count(round(days), 'day')}."
    return None


def _chores(ask: Asking, kinds: tuple[str, ...], said: str) -> str:
    """How often something was done."""
    period = period_of(ask) or _usual(ask, None)
    entries = entries_meant(ask, kinds, period, person_named(ask))
    times = len({(e.at, e.place) for e in entries})
    head = f"{_about(ask)}{period.words}"
    if not entries:
        return f"{say.first_up(head)}: nothing of “{said}” on record."
    text = f"{say.first_up(head)}: {said} {say.count(times, 'time')}."
    if ask.query.place or len({e.place for e in entries}) < 2:
        return text
    groups = _grouped(ask, "place", entries)
    order = sorted(groups.items(), key=lambda g: -len(g[1]))
    shown = ", ".join(f"{name} {len(mine)}" for name, mine in order[:MOST_GROUPS])
    return f"{text}\n{shown}{f' and {len(order) - MOST_GROUPS} more' if len(order) > MOST_GROUPS else ''}."
