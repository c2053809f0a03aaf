"""Stock on hand, in a keeper's words: eggs, fry and fish that were there before the record, and a batch's line.

Strict on purpose: every word must be understood, else it is read as a note. And what could as well be told of fish the
record knows already is asked first, for nothing may be counted twice.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot import sentences as say
from bot.language import Names
from bot.language.day_phrases import day_at
from bot.language.figures import items_of
from bot.language.words import tokens_of
from bot.questions import Asked
from bot.settling import KINDS, declared, line_said, place_name
from bot.taken import Scene, Taken
from shared.events import Event, HeadsCounted, Stage, event_from
from shared.ledger import Holding
from shared.lineage import STRAY

_NUMBERS = ["a", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_NUMBER = rf"(?:\d{{1,5}}|{'|'.join(_NUMBERS)})"
_ABOUT = r"(?:about|around|roughly|some|~|ca\.?|circa|maybe) ?"
_PLACE = rf"(?P<place>(?:{'|'.join(KINDS)})\s?(?:\d{{1,3}}|[a-z]))"
_STAGES: dict[str, Stage] = {
    "egg": "eggs", "eggs": "eggs", "fry": "fry", "young": "juveniles", "juveniles": "juveniles", "juvies": "juveniles",
    "juvenile": "juveniles", "youngsters": "juveniles", "adults": "adults", "adult": "adults", "grown": "adults",
    "pair": "adults", "pairs": "adults", "trio": "adults", "trios": "adults",
}  # fmt: skip
_STAGE = "|".join(_STAGES)
_LEAD = r"(?:there (?:are|is) |i have |we have |i've got |we've got )?"
_THERE = re.compile(
    rf"^(?:in |the )?{_PLACE}(?:\s*[:,]\s*|\s+(?:has|have|holds|contains|with|got)\s+)(?P<what>.+)$"
    rf"|^{_LEAD}(?P<what_first>.+?) (?:in|at) (?P<place_after>{_PLACE[10:-1]})(?P<rest>[ ,].*)?$"
)
_WHAT = re.compile(
    rf"^(?P<about>{_ABOUT})?(?P<n>{_NUMBER}) (?:of )?(?P<words>.+?)(?:,? \(?(?P<age>{_ABOUT}?(?:{_NUMBER}|a few) "
    rf"(?:day|week|month)s?(?: old)?|(?:laid|hatched|pulled|collected|from) .+?|(?:the )?last .+?)\)?)?$"
)
_AGE = re.compile(rf"^(?P<about>{_ABOUT})?(?P<n>{_NUMBER}) (?P<unit>day|week|month)s?(?: old)?$")
_GROUP = re.compile(
    rf"^{_PLACE}(?: is| are| has|:)? (?P<line>.+?)(?:,| -| –|;|:| with) ?(?P<n>{_NUMBER}) (?P<what>pair|trio)s?$"
)
_BATCH_IS = re.compile(r"^(?:batch )?(?P<batch>b\d+) (?:is|are|was|were)(?: the| all)? (?P<line>[^\d]+)$")
_ROLES = {"eggs": "eggs", "fry": "fry", "juveniles": "grow-out", "adults": "breeders"}
_SO_MANY = re.compile(
    r"^(?:i have |i've got |we have |we've got |there are |my room has )?(?P<n>\d{1,2}) (?P<kind>tank|tub)s?"
    r"(?:,|:| -)?(?: (?:all|each|of|are|at))* (?P<size>.+?)(?: each| tanks| tubs)?$"
)
_DAYS = {"day": 1, "week": 7, "month": 30}


def on_hand(text: str, scene: Scene) -> Taken | None:
    """Stock on hand told by chat, or None when the text tells no such thing."""
    text = text.replace("’", "'")
    return _so_many(text, scene) or _batch_is(text, scene) or _groups(text, scene) or _lot(text, scene)


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBERS.index(word) or 1


def _so_many(text: str, scene: Scene) -> Taken | None:
    """“I have 12 tanks, all 10 gallon”: which they are is asked, since nobody said how they are called."""
    hit = _SO_MANY.match(text)
    if not hit or not 1 < int(hit["n"]) <= (26 if hit["kind"] == "tub" else 99):
        return None
    if any(p.kind == hit["kind"] and not p.closed for p in scene.standing.places.values()):
        return None
    last = hit["n"] if hit["kind"] == "tank" else chr(ord("a") + int(hit["n"]) - 1)
    first = "1" if hit["kind"] == "tank" else "a"
    raw = declared(f"{hit['kind']}s {first} to {last} are {hit['size']}", scene.standing)
    if not raw or any(one["kind"] != "new_place" or not one.get("litres") for one in raw):
        return None
    names = say.places([one["place"] for one in raw])
    return Taken(asked=Asked(f"Shall I call them {names}, {hit['size']} each?", scene.now, _yes(raw)))


def _batch_is(text: str, scene: Scene) -> Taken | None:
    """“B1 is gardneri”, of a batch whose fish nobody named."""
    hit = _BATCH_IS.match(text)
    batch = scene.words.names.batch_ids.get(hit["batch"]) if hit else None
    found = line_said(hit["line"].strip(), scene.standing) if hit else None
    if not hit or not batch or not found:
        return None
    line, species, _ = found
    kept = scene.standing.batches.get(batch)
    if kept is None:
        return None
    if kept.line == line:
        return Taken(answer=f"{batch} is {line} already.")
    raw: list[dict[str, Any]] = _line_events(line, species, scene)
    raw.append({"kind": "setting", "batch": batch, "what": "line", "value": line})
    if kept.line != STRAY:
        asked = Asked(f"{batch} is on record as {kept.line}. Is it {line}?", scene.now, _yes(raw))
        return Taken(asked=asked)
    return Taken(_events(raw), (f"{batch}: {line}.",))


def _groups(text: str, scene: Scene) -> Taken | None:
    """“tank 3 is clown killis, 4 pairs”: grown fish in the tank they breed in."""
    hit = _GROUP.match(text)
    found = line_said(hit["line"].strip(), scene.standing) if hit else None
    if not hit or not found:
        return None
    n = _number(hit["n"])
    male, female = (n, n) if hit["what"] == "pair" else (n, 2 * n)
    return _told(scene, hit["place"], found, "adults", male + female, {"male": male, "female": female})


def _lot(text: str, scene: Scene) -> Taken | None:
    hit = _THERE.match(text)
    if not hit:
        return None
    what = hit["what"] or f"{hit['what_first']}{hit['rest'] or ''}"
    said = _WHAT.match(what.strip())
    if not said:
        return None
    words = said["words"].split()
    stages = {_STAGES[w] for w in words if w in _STAGES}
    line_words = " ".join(w for w in words if w not in _STAGES)
    found = line_said(line_words, scene.standing) if line_words else None
    if not found or found[2] != len(line_words):
        return None
    n = _number(said["n"])
    if not stages and not said["age"]:
        return _counted(scene, hit["place"] or hit["place_after"], found[0], n, bool(said["about"]))
    if len(stages) != 1:
        return None
    stage = stages.pop()
    sexes: dict[str, int] = {}
    if {"pair", "pairs"} & set(words):
        sexes = {"male": n, "female": n}
    elif {"trio", "trios"} & set(words):
        sexes = {"male": n, "female": 2 * n}
    more: dict[str, Any] = dict(sexes)
    if said["about"]:
        more["estimated"] = True
    if said["age"]:
        day = _day(said["age"], scene.now, scene.words.names)
        if day is None or day > scene.now.date():
            return None
        if stage == "eggs" and not said["age"].startswith("hatched"):
            more |= {"laid_from": day.isoformat(), "laid_to": day.isoformat()}
        elif not said["age"].startswith(("laid", "pulled", "collected")):
            more["hatched"] = day.isoformat()
        else:
            return None
    place = hit["place"] or hit["place_after"]
    return _told(scene, place, found, stage, sum(sexes.values()) or n, more)


def _counted(scene: Scene, said: str, line: str, count: int, about: bool) -> Taken | None:
    """“tank 13 has 84 gardneri”, where just these stand: a count of them."""
    place = place_name(said)
    fish = scene.standing.fish_at(place)
    if len(fish) != 1 or fish[0].line != line:
        return None
    return Taken((HeadsCounted(place=place, count=count, estimated=about),))


def _day(text: str, now: dt.datetime, names: Names) -> dt.date | None:
    """The day an age or a date points to: “about 2 weeks old”, “laid last wednesday”."""
    if hit := _AGE.match(text):
        return now.date() - dt.timedelta(days=_number(hit["n"]) * _DAYS[hit["unit"]])
    said = re.sub(r"^(?:laid|hatched|pulled|collected|from)(?: on| about| around)? ", "", text)
    tokens = tokens_of(said)
    items = items_of(tokens, [t.word for t in tokens])
    found = day_at(items, 0, now, names.day_first) if items else None
    return found[1].on(now) if found and found[0] == len(items) else None


# ---- what it comes to


def _told(
    scene: Scene, said: str, line_: tuple[str, str | None, int], stage: Stage, count: int, more: dict[str, Any]
) -> Taken | None:
    standing, (line, species, _) = scene.standing, line_
    place = place_name(said)
    kept = standing.places.get(place)
    held = standing.at_place(place)
    known = [h for h in held if h.line == line and (h.counted or h.group in standing.batches)]
    if known:  # then it is a count of them; with an age it may as well be others, and is read as any note
        alone = len([h for h in held if (h.stage == "eggs") == (stage == "eggs")]) == 1
        if not alone or known[0].stage != stage or {"laid_from", "hatched"} & set(more):
            return None
        return Taken((event_from({"kind": "headcount", "place": place, "count": count, "stage": stage, **more}),))
    raw = _line_events(line, species, scene)
    if kept is None or kept.closed or (stage == "adults" and kept.line != line):
        role = {} if kept and kept.role else {"role": _ROLES[stage]}
        raw.append({"kind": "new_place", "place": place, **role, **({"line": line} if stage == "adults" else {})})
    if stage == "adults":
        more = {k: v for k, v in more.items() if k != "hatched"}
        raw.append({"kind": "headcount", "place": place, "count": count, "line": line, "stage": stage, **more})
        described = _described(say.fish_of(count, line, stage), place, more, scene)
    else:
        name = standing.next_batch_name()
        raw.append({"kind": "new_batch", "batch": name, "line": line, "place": place, "stage": stage, "count": count})
        raw[-1] |= more
        described = f"{name}, " + _described(say.fish_of(count, line, stage), place, more, scene)
    alike = [h for h in standing.holdings.values() if h.line == line and _same_age(h, stage) and h.place != place]
    others = [h for h in held if h.line != line]
    if kept is None:
        question = f"There is no {place} yet. Set it up, with {described}?"
    elif others:
        question = f"{others[0].line} is on record in {place}. Put down {described} beside it?"
    elif alike and stage != "adults":
        where = say.places(sorted({h.place for h in alike if h.place}))
        question = (
            f"The record has {line} {alike[0].stage} {f'in {where}' if where else 'already'}. New to it: {described}?"
        )
    else:
        return Taken(_events(raw), (f"Put down: {described}.",))
    return Taken(asked=Asked(question, scene.now, _yes(raw)))


def _same_age(held: Holding, stage: Stage) -> bool:
    young = ("fry", "juveniles")
    return held.stage == stage or (held.stage in young and stage in young)


def _described(what: str, place: str, more: dict[str, Any], scene: Scene) -> str:
    about = "about " if more.get("estimated") else ""
    sexes = f" ({more['male']} m, {more['female']} f)" if "male" in more else ""
    when = ""
    for key, words in (("laid_from", "laid"), ("hatched", "hatched about")):
        if key in more:
            when = f", {words} {say.day(dt.date.fromisoformat(more[key]), scene.now.date())}"
    return f"{about}{what}{sexes} in {place}{when}"


def _line_events(line: str, species: str | None, scene: Scene) -> list[dict[str, Any]]:
    return [] if line in scene.standing.lines else [{"kind": "new_line", "line": line, "species": species}]


def _yes(raw: list[dict[str, Any]]) -> tuple[tuple[str, tuple[dict[str, Any], ...]], ...]:
    return (("yes", tuple(raw)), ("no", ()))


def _events(raw: list[dict[str, Any]]) -> tuple[Event, ...]:
    return tuple(event_from(one) for one in raw)
