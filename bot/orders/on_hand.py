"""Stock on hand, in a keeper's words: eggs, fry and fish that were there before the record, and a batch's line.

Strict on purpose: every word must be understood, else it is read as a note. And what could as well be told of fish the
record knows already is asked first, for nothing may be counted twice.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.language import Names
from bot.language.text.figures import items_of
from bot.language.text.words import tokens_of
from bot.language.times.day_phrases import day_at
from bot.language.times.seasons import MONTHS
from bot.orders.setting_up import KINDS, ROLES, declared, line_said, new_line, place_name
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import BatchOpened, Event, HeadsCounted, PlaceOpened, Stage, event_from
from shared.kin.lineage import STRAY
from shared.ledger.standing import Holding
from shared.species import find_species

_NUMBERS = ["a", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_NUMBER = rf"(?:\d{{1,5}}|{'|'.join(_NUMBERS)})"
_ABOUT = r"(?:about|around|roughly|some|~|ca\.?|circa|maybe) ?"
_PLACE = rf"(?P<place>(?:{'|'.join(KINDS)})\s?(?:\d{{1,3}}|[a-z]))"
_STAGES: dict[str, Stage] = {
    "egg": "eggs", "eggs": "eggs", "fry": "fry", "young": "juveniles", "juveniles": "juveniles", "juvies": "juveniles",
    "juvenile": "juveniles", "youngsters": "juveniles", "adults": "adults", "adult": "adults", "grown": "adults",
    "pair": "adults", "pairs": "adults", "trio": "adults", "trios": "adults",
}  # fmt: skip
_LEAD = r"(?:there (?:are|is) |i have |we have |i've got |we've got )?"
_THERE = re.compile(
    rf"^(?:in |the )?{_PLACE}(?:\s*[:,]\s*|\s+(?:has|have|holds|contains|with|got|is|are)\s+"
    rf"|(?P<bare>\s+)(?={_ABOUT}\d|\d))(?P<what>.+)$"
    rf"|^{_LEAD}(?P<what_first>.+?) (?:in|at) (?P<place_after>{_PLACE[10:-1]})(?P<rest>[ ,].*)?$"
)
_WHAT = re.compile(
    rf"^(?P<about>{_ABOUT})?(?P<n>{_NUMBER}) (?:of )?(?P<words>.+?)(?:,? \(?(?P<age>(?:{_ABOUT})?(?:{_NUMBER}|a few) "
    rf"(?:day|week|month)s?(?: old)?|(?:laid|hatched|pulled|collected|from) .+?|(?:the )?last .+?)\)?)?$"
)
# “gardneri eggs, 20, laid …”: the number may stand behind
_NUMBER_BEHIND = re.compile(
    rf"^(?P<words>(?!{_ABOUT}|{_NUMBER} )[^\W\d][^\d,]*?),? (?P<n>(?:{_ABOUT})?{_NUMBER})(?P<rest>,? .+)?$"
)
_AGE = re.compile(rf"^(?P<about>{_ABOUT})?(?P<n>{_NUMBER}) (?P<unit>day|week|month)s?(?: old)?$")
_GROUP = re.compile(
    rf"^{_PLACE}(?: is| are| has|:)? (?P<line>.+?)(?:,| -| –|;|:| with) ?(?P<about>{_ABOUT})?(?P<n>{_NUMBER})"
    rf"(?: ?(?P<what>pair|trio|adult|fish|m(?:ales?)?|of them)s?)?"
    rf"(?:(?:,| and| \+| /)? ?(?P<f>{_NUMBER}) ?f(?:emales?)?)?$"
)
_BATCH_IS = re.compile(r"^(?:batch )?(?P<batch>b\d+) (?:is|are|was|were)(?: the| all)? (?P<line>[^\d]+)$")
_BARE_TANK = re.compile(r"^(\d{1,3}) (?:is|has|holds) ")
_SEVERAL = re.compile(rf"^{_PLACE}(?: is| are| has| holds|:)+ (?P<what>.+)$")
_DOZENS = (("half a dozen", "6"), ("(?:two|2) dozen", "24"), ("(?:a |one )?dozen", "12"), ("a couple(?: of)?", "2"))
_WITH_SEXES = re.compile(
    rf"^(?P<where>.+?) (?:has|holds|is) (?P<n>{_NUMBER}) (?P<line>[^\d,]+?),? (?P<m>{_NUMBER}) ?m(?:ales?)?"
    rf"(?:,| and| \+|/)? ?(?P<f>{_NUMBER}) ?f(?:emales?)?$"
)
MOST_LOTS = 5
_ROLES = {"eggs": "eggs", "fry": "fry", "juveniles": "grow-out", "adults": "breeders"}
# "…, and 4 pint tubs A to D"
_AND_TUBS = re.compile(
    r"(?:,? and|,) (?:\d+ )?(?P<size>pint|quart|cup|half gallon|(?:\d+|one)[- ](?:gallon|gal|quart|lit(?:er|re))) "
    r"(?P<kind>tub|jar|tank|bowl)s,? (?P<items>\w+ (?:to|-) \w+|\w+(?:,? (?:and )?\w+)*)$"
)
_SO_MANY = re.compile(
    r"^(?:i have |i've got |we have |we've got |there are |my room has )?(?P<n>\d{1,2}) (?P<kind>tank|tub)s?"
    r"(?:(?:,|:| -)?(?: (?:all|each|of|are|at))* (?P<size>.+?)(?: each| tanks| tubs)?)?$"
)
_DAYS = {"day": 1, "week": 7, "month": 30}


def on_hand(text: str, scene: Scene) -> Taken | None:
    """Stock on hand told by chat, or None when the text tells no such thing."""
    text = _plainly(text.replace("’", "'"), scene)
    if (said := _BARE_TANK.match(text)) and f"tank {said[1]}" in scene.standing.places:
        text = f"tank {text}"  # “6 is gertrudae, 3 males and 5 females”
    return (
        _so_many(text, scene)
        or _which_of_its_kind(text, scene)
        or _batch_is(text, scene)
        or _groups(text, scene)
        or _lot(text, scene)
        or _several(text, scene)
    )


def _plainly(text: str, scene: Scene) -> str:
    """Dozens in figures; a bare number that is a tank here as that; sexes behind a whole as the group they make."""
    for words, number in _DOZENS:
        text = re.sub(rf"\b{words}\b", number, text)
    text = re.sub(
        r"\b(in|at) (\d{1,3})(?=,|$)",
        lambda hit: f"{hit[1]} tank {hit[2]}" if f"tank {hit[2]}" in scene.standing.places else hit[0],
        text,
    )
    hit = _WITH_SEXES.match(text)
    if hit is None or _number(hit["m"]) + _number(hit["f"]) != _number(hit["n"]):
        return text
    return f"{hit['where']} is {hit['line']}, {hit['m']} males {hit['f']} females"


def _which_of_its_kind(text: str, scene: Scene) -> Taken | None:
    """“tank 5 is medaka”, where two varieties of them are kept: which is asked, or whether it is another."""
    hit = re.match(rf"^{_PLACE}(?: is| are| has|:) (?P<line>[^\d,]+)$", text)
    found = find_species(hit["line"].strip()) if hit else None
    if not hit or found is None or found.genus_level:
        return None
    lines, named = scene.standing.lines, hit["line"].strip()
    kept = [line.name for line in lines.values() if line.species == found.name]
    if len(kept) < 2 or named in {n.casefold() for n in lines}:
        return None
    place = place_name(hit["place"])
    new = {"kind": "new_place", "place": place, "role": "breeders"}
    options: list[tuple[str, tuple[dict[str, Any], ...]]] = [(n, ({**new, "line": n},)) for n in kept[:4]]
    another = {"kind": "new_line", "line": named, "species": found.name}
    options.append((f"another: {named}", (another, {**new, "line": named})))
    return Taken(asked=Asked(f"Which of them is in {place}?", scene.now, tuple(options)))


def _several(text: str, scene: Scene) -> Taken | None:
    """“tank 11 is grow-out, 30 australe juveniles and 12 gardneri juveniles”: what a place is for, and several lots."""
    hit = _SEVERAL.match(text)
    parts = (
        re.split(r"\s*[,;]\s*(?:and )?(?!laid|hatched|\d+ (?:days|weeks|months))|\s+and\s+(?=\d)", hit["what"])
        if hit
        else []
    )
    if not hit or not 1 < len(parts) <= MOST_LOTS:
        return None
    events: list[Event] = []
    lines: list[str] = []
    standing = scene.standing
    for part in parts:
        if part.strip() in ROLES:
            events.append(PlaceOpened(place=place_name(hit["place"]), role=ROLES[part.strip()]))
            continue
        lot = _lot(f"{hit['place']} has {part}", replace(scene, standing=standing))
        if lot is None or lot.asked or not lot.events:
            return None
        events += lot.events
        lines += lot.lines
        if any(isinstance(e, BatchOpened) for e in lot.events):
            standing = standing.model_copy(update={"last_batch": standing.last_batch + 1})
    return Taken(tuple(events), tuple(lines))


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBERS.index(word) or 1


def _so_many(text: str, scene: Scene) -> Taken | None:
    """“I have 12 tanks, all 10 gallon”: which they are is asked, since nobody said how they are called."""
    tail = _AND_TUBS.search(text)
    hit = _SO_MANY.match(text[: tail.start()] if tail else text)
    if not hit or not 1 < int(hit["n"]) <= (26 if hit["kind"] == "tub" else 99):
        return None
    if any(p.kind == hit["kind"] and not p.closed for p in scene.standing.places.values()):
        return None
    last = hit["n"] if hit["kind"] == "tank" else chr(ord("a") + int(hit["n"]) - 1)
    first = "1" if hit["kind"] == "tank" else "a"
    size = f" are {hit['size']}" if hit["size"] else ""
    raw = declared(f"{hit['kind']}s {first} to {last}{size}", scene.standing)
    if not raw or any(one["kind"] != "new_place" or bool(one.get("litres")) != bool(size) for one in raw):
        return None
    names, each = say.places([one["place"] for one in raw]), f", {hit['size']} each" if size else ""
    if tail:
        more = declared(f"{tail['kind']}s {tail['items']} are a {tail['size']}", scene.standing)
        if not more or any(one["kind"] != "new_place" for one in more):
            return None
        raw = [*raw, *more]
        each += f", and {say.places([one['place'] for one in more])}, a {tail['size']} each"
    return Taken(asked=Asked(f"Shall I call them {names}{each}?", scene.now, _yes(raw)))


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
    return Taken(events_of(raw), (f"{batch}: {line}.",))


def _groups(text: str, scene: Scene) -> Taken | None:
    """“tank 3 is clown killis, 4 pairs”: grown fish in the tank they breed in."""
    hit = _GROUP.match(text)
    found = line_said(hit["line"].strip(), scene.standing) if hit else None
    if not hit or not found or re.search(r"\b(?:eggs?|fry|on|in)\b", hit["line"]):
        return None  # “panda eggs on the glass” are no fish
    n, what = _number(hit["n"]), hit["what"] or "fish"
    more: dict[str, Any] = {"estimated": True} if hit["about"] else {}
    if what in ("pair", "trio") and not hit["f"]:
        more |= {"male": n, "female": n if what == "pair" else 2 * n}
    elif what.startswith("m") and hit["f"]:
        more |= {"male": n, "female": _number(hit["f"])}
    elif what.startswith("m") or hit["f"]:
        return None
    return _told(scene, hit["place"], found, "adults", more.get("male", 0) + more.get("female", 0) or n, more)


def _lot(text: str, scene: Scene) -> Taken | None:
    hit = _THERE.match(text)
    if not hit:
        return None
    what = hit["what"] or f"{hit['what_first']}{hit['rest'] or ''}"
    said = _WHAT.match(_NUMBER_BEHIND.sub(r"\g<n> \g<words>\g<rest>", what.strip()))
    if not said or (hit["bare"] and not said["age"]):
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
        days = days_said(said["age"], scene.now, scene.words.names)
        if days is None or days[1] > scene.now.date():
            return None
        if stage == "eggs" and not said["age"].startswith("hatched"):
            more |= {"laid_from": days[0].isoformat(), "laid_to": days[1].isoformat()}
        elif not said["age"].startswith(("laid", "pulled", "collected")):
            more["hatched"] = days[0].isoformat()
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


def days_said(text: str, now: dt.datetime, names: Names) -> tuple[dt.date, dt.date] | None:
    """The days an age or a date points to: “about 2 weeks old”, “laid last wednesday”, “over the last 3 days”."""
    today = now.date()
    if hit := _AGE.match(text):
        day = today - dt.timedelta(days=_number(hit["n"]) * _DAYS[hit["unit"]])
        return day, day
    said = re.sub(r"^(?:laid|hatched|pulled|collected|from)(?: on| about| around| in| over| from)? ", "", text)
    if hit := re.match(rf"^(?:the )?(?:last|past) (?P<n>{_NUMBER}) (?P<unit>day|week)s$", said):
        return today - dt.timedelta(days=_number(hit["n"]) * _DAYS[hit["unit"]]), today
    if re.match(r"^(?:the |this )?(?:last |past )?weekend$", said):
        sunday = today - dt.timedelta(days=(today.weekday() + 1) % 7 or 7)
        return sunday - dt.timedelta(days=1), sunday
    if known := _in_words(re.sub(r"^the ", "", said), today):
        return known, known
    tokens = tokens_of(said)
    items = items_of(tokens, [t.word for t in tokens])
    found = day_at(items, 0, now, names.day_first) if items else None
    one = found[1].on(now) if found and found[0] == len(items) else None
    return (one, one) if one else None


_PART = {"early": 5, "start of": 5, "beginning of": 5, "mid": 15, "middle of": 15, "": 15, "late": 25, "end of": 25}
_MONTH = re.compile(rf"^(?:(?P<part>{'|'.join(filter(None, _PART))})[ -])?(?P<month>{'|'.join(MONTHS)})[a-z]*$")


def _in_words(said: str, today: dt.date) -> dt.date | None:
    """“christmas”, “early january”, the last one before today."""
    if said in ("christmas", "xmas", "new year", "new year's", "new years"):
        month, day = (1, 1) if said.startswith("new") else (12, 25)
    elif hit := _MONTH.match(said):
        month, day = MONTHS.index(hit["month"]) + 1, _PART[hit["part"] or ""]
    else:
        return None
    this = dt.date(today.year, month, day)
    return this if this <= today else this.replace(year=today.year - 1)


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
        return Taken(events_of(raw), (f"Put down: {described}.",))
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
    if more.get("laid_to", more.get("laid_from")) != more.get("laid_from"):
        when += f" to {say.day(dt.date.fromisoformat(more['laid_to']), scene.now.date())}"
    return f"{about}{what}{sexes} in {place}{when}"


def _line_events(line: str, species: str | None, scene: Scene) -> list[dict[str, Any]]:
    return [] if line in scene.standing.lines else [new_line(line, species)]


def _yes(raw: list[dict[str, Any]]) -> tuple[tuple[str, tuple[dict[str, Any], ...]], ...]:
    return (("yes", tuple(raw)), ("no", ()))


def events_of(raw: list[dict[str, Any]]) -> tuple[Event, ...]:
    """The events of their outside forms."""
    return tuple(event_from(one) for one in raw)
