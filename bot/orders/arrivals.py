"""What came in and what was found, said in a whole sentence: fish with population and generation, eggs and peat with
their own dates, fry skimmed off a tank where they hatched by themselves.

Like every order to the hand it is understood to the last word or left to the reader.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot.language import Doubt
from bot.orders.on_hand import days_said
from bot.orders.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import event_from

_NUMBER = r"\d{1,4}|an?|one|two|three|four|five|six|seven|eight|nine|ten|a dozen"
_WORDS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_CAME = re.compile(
    rf"^(?:(?:i|we) )?(?:just )?(?:bought|got|received|brought in|picked up|traded for)(?: in)?(?: (?P<n>{_NUMBER}))? "
    r"(?P<rest>.+)$"
)
_ARRIVED = re.compile(rf"^(?P<n>{_NUMBER}) (?P<rest>.+?) (?:arrived|came in)(?P<tail>(?:,| ).+)?$")
_PLACE = r"(?:tank|tub|jar|bowl|box|bag|vat|rack)? ?[\w-]{1,12}"
_INTO = re.compile(rf",? (?:into|in|to|for) (?!(?:damp )?peat\b)(?P<place>{_PLACE})(?=,|$)")
_DATED = re.compile(
    r",? (?P<how>laid|pulled|collected|bagged)(?: on| about| around)? (?P<day>.+?)(?=,|$| (?:into|in|to|from) )"
)
_WET = re.compile(r",? (?:to )?(?:wet|be wet|due)(?: it)?(?: on| about| around)? (?P<day>[^,]+)$")
_SOURCE = re.compile(r",? (?:from|off) (?P<source>[\w' -]{2,40})$")
_PRICE = re.compile(r",? (?:for|at) [$£€](?P<price>\d{1,5}(?:\.\d\d)?)(?=,|$| )")
_GENERATION = re.compile(r"\b(?P<said>wild(?:[ -]caught)?|f ?\d{1,2}|aquarium strain)\b")
_BAG = re.compile(
    r"^(?:a |the )?bags? of (?:(?P<line>.+?) peat|peat (?:with|of) (?P<line2>.+))$"
    r"|^(?P<line3>[^,]+?) eggs in (?:damp )?peat(?:,? (?:~|about )?(?P<n>\d{1,4})(?: eggs)?)?$"
)
_STAGES = {"egg": "eggs", "eggs": "eggs", "fry": "fry", "juvenile": "juveniles", "juveniles": "juveniles"}
_STAGES |= {"adults": "adults", "adult": "adults", "fish": ""}
_SEXED = re.compile(r"^(?P<what>pairs?|trios?)(?: of)? ")
_SKIMMED = re.compile(
    rf"^(?:(?:i|we) )?(?:just )?(?:skimmed|scooped|netted|fished|took)(?: (?:off|out|up))? (?P<n>{_NUMBER})(?: more)? "
    rf"(?:(?P<line>[\w -]{{3,24}}?) )?fry (?:off|from|out of|off of)(?: the top of)? (?P<place>{_PLACE})"
    rf"(?:,? (?:and put (?:them )?)?(?:into|in|to) (?P<to>{_PLACE}))?$"
)


def arrival_order(text: str, said: str, scene: Scene) -> Taken | None:
    """What such a sentence comes to; `said` has its capitals."""
    return _skimmed(text, scene) or _came(text, said, scene)


def _many(words: str | None) -> int | None:
    if words is None:
        return None
    if words == "a dozen":
        return 12
    return int(words) if words.isdigit() else (1 if words in ("a", "an") else _WORDS.index(words))


def _place(words: str, scene: Scene) -> str | None:
    where = scene.words.where(words.strip())
    known = scene.standing.places
    return where.places[0] if where and len(where.places) == 1 and where.places[0] in known else None


def _line(words: list[str], scene: Scene) -> tuple[str, int] | None:
    """The line that stands first and how many words it takes."""
    names = {name.casefold(): name for name in scene.standing.lines}
    for size in range(min(len(words), 4), 0, -1):
        if name := names.get(" ".join(words[:size])):
            return name, size  # also where it begins the names of others
        where = scene.words.where(" ".join(words[:size]))
        if where and where.line and not where.places:
            return where.line, size
    return None


# ---- skimmed


def _skimmed(text: str, scene: Scene) -> Taken | None:
    """Fry out of a permanent set-up: a batch with no egg count and an unknown lay date, moved where they were put."""
    hit = _SKIMMED.match(text)
    place = _place(hit["place"], scene) if hit else None
    to = _place(hit["to"], scene) if hit and hit["to"] else None
    if hit is None or place is None or bool(to) != bool(hit["to"]) or scene.standing.eggs_at(place):
        return None
    kept = scene.standing.places[place]
    if hit["line"] and not (found := _line(hit["line"].split(), scene)):
        return None
    line = found[0] if hit["line"] and found else kept.line
    there = {h.stage for h in scene.standing.fish_at(place)}
    if line is None or there != {"adults"} or line not in {h.line for h in scene.standing.fish_at(place)}:
        return None  # nobody stands there whose fry they could be, or others they are of by the record
    count = _many(hit["n"])
    if to is None:
        return Taken((event_from({"kind": "hatch", "place": place, "count": count, "line": line}),))
    young = [h for h in scene.standing.fish_at(to) if h.line == line and h.stage == "fry"]
    mine = [h.group for h in young if place in getattr(scene.standing.batches.get(h.group), "parents", ())]
    batch = {"batch": mine[-1]} if mine and _fresh(mine[-1], scene) else {"batch": scene.standing.next_batch_name()}
    hatched = {"kind": "hatch", "place": place, "count": count, "line": line, **batch}
    moved = {"kind": "move", "from": place, "to": to, "count": count, "stage": "fry", **batch}
    return Taken((event_from(hatched), event_from(moved)))


def _fresh(name: str, scene: Scene) -> bool:
    """Whether fry skimmed now are of that batch: a week apart they are one of their own; common practice, no source."""
    seen = scene.standing.batches[name].fry_seen
    return seen is not None and abs(scene.now - seen) <= dt.timedelta(days=7)


# ---- came in


def _as_written(words: str, said: str) -> str:
    """Words with the capitals they were written with."""
    at = said.casefold().rfind(words)
    return said[at : at + len(words)] if at >= 0 else words


def _came(text: str, said: str, scene: Scene) -> Taken | None:
    hit = _CAME.match(text) or _ARRIVED.match(text)
    if hit is None:
        return None
    rest = hit["rest"] + (hit.groupdict().get("tail") or "")
    raw: dict[str, Any] = {"kind": "stock_in"}
    if hit["n"] and (bag := re.match(r"^bags? of ", rest)):
        rest, count = f"a {bag[0]}{rest[bag.end() :]}", None
    else:
        count = _many(hit["n"])
    weeks_until = None
    if wet := _WET.search(rest):
        weeks_until, rest = wet["day"], rest[: wet.start()]
    dated = _DATED.search(rest)
    if dated:
        rest = rest[: dated.start()] + rest[dated.end() :]
    for pattern, key in ((_PRICE, "price"), (_INTO, "place"), (_SOURCE, "source")):
        if found := pattern.search(rest):
            value = _place(found["place"], scene) if key == "place" else _as_written(found[key], said)
            if value is None:
                return None
            raw[key] = float(value) if key == "price" else value
            rest = rest[: found.start()] + rest[found.end() :]
    if bag := _BAG.match(rest):
        eggs = _many(bag["n"]) or (count if bag["line3"] else None)
        raw |= {"count": eggs} if eggs else {}
        return _peat(raw, bag["line"] or bag["line2"] or bag["line3"], dated, weeks_until, scene)
    if weeks_until or count is None or not _fish(raw, rest, count, said, scene):
        return None
    if dated and not _laid(raw, dated, scene):
        return None
    if not {"population", "generation", "laid_from"} & set(raw):
        return None  # the reader knows the plain ones
    if "place" not in raw:
        kept = scene.standing.places.values()
        likely = [p.name for p in kept if p.role in ("quarantine", "empty") and not p.closed][:4]
        options = tuple((name, ({**raw, "place": name},)) for name in likely)
        question = "Into which tank or tub?"
        doubt = Doubt(text, question, tuple(likely), "place", raw)
        return Taken(asked=Asked(question, scene.now, options, doubt))
    return Taken((event_from(raw),))


def _fish(raw: dict[str, Any], rest: str, count: int, said: str, scene: Scene) -> bool:
    """Which fish, from where and of which generation: all the words there are, or it is left alone."""
    if sexed := _SEXED.match(rest):
        rest = rest[sexed.end() :]
        raw |= {"male": count, "female": count * (2 if sexed["what"].startswith("trio") else 1)}
        count = raw["male"] + raw["female"]
    raw["count"] = count
    if found := _GENERATION.search(rest):
        value = re.sub(r"[ -]caught", "", found["said"])
        raw["generation"] = value.replace(" ", "").upper() if re.match(r"f ?\d", value) else value
        rest = rest[: found.start()] + rest[found.end() :]
    words = []
    for word in re.sub(r"[,()“”\"]", " ", rest).split():
        if word in _STAGES:
            raw |= {"stage": _STAGES[word]} if _STAGES[word] else {}
        else:
            words.append(word)
    line = _line(words, scene)
    if line is None:
        return False
    raw["line"] = line[0]
    population = " ".join(words[line[1] :])
    if not population:
        return True
    written = _as_written(population, said)
    if len(population.split()) > 3 or not all(word[0].isupper() for word in written.split()):
        return False  # a place of origin is a name
    raw["population"] = written
    return True


def _laid(raw: dict[str, Any], dated: re.Match[str], scene: Scene) -> bool:
    days = days_said(dated["day"], scene.now, scene.words.names)
    if days is None or days[1] > scene.now.date() or raw.get("stage") != "eggs":
        return False
    raw |= {"laid_from": days[0].isoformat(), "laid_to": days[1].isoformat()}
    return True


def _peat(
    raw: dict[str, Any], words: str, dated: re.Match[str] | None, until: str | None, scene: Scene
) -> Taken | None:
    """A bag of peat with its own dates: when it was bagged, or its eggs laid, and when it is to be wetted."""
    line = _line(words.split(), scene)
    days = days_said(dated["day"], scene.now, scene.words.names) if dated else None
    if line is None or line[1] != len(words.split()) or dated is None or days is None or days[1] > scene.now.date():
        return None
    batch = scene.standing.next_batch_name()
    raw |= {"line": line[0], "stage": "eggs", "batch": batch, "place": raw.get("place", "peat bag")}
    raw |= {"laid_to": days[1].isoformat()}
    if dated["how"] == "laid":
        raw |= {"laid_from": days[0].isoformat()}
    bagged: dict[str, Any] = {
        "kind": "peat",
        "action": "bag",
        "batch": batch,
        "line": line[0],
        "date": days[1].isoformat(),
    }
    if until:
        when = _ahead(until, scene)
        if when is None or when <= days[1]:
            return None
        bagged["weeks"] = round((when - days[1]).days / 7, 2)
    if dated["how"] == "laid" and not until:
        return Taken((event_from(raw),))
    return Taken((event_from(raw), event_from(bagged)))


def _ahead(text: str, scene: Scene) -> dt.date | None:
    """A day to come: “1 Apr”, next year's where this year's is gone."""
    days = days_said(text.strip(), scene.now, scene.words.names)
    if days is None:
        return None
    day = days[0]
    return day if day >= scene.now.date() else day.replace(year=day.year + 1)
