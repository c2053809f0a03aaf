"""What came in, said in a whole sentence: fish with population, generation and when they hatched, eggs and peat with
their own dates.

Like every order to the hand it is understood to the last word or left to the reader.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from bot.language import Doubt
from bot.orders.on_hand import days_said
from bot.orders.prices import SUM, price_said
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import event_from

NUMBER = r"\d{1,4}|a dozen|an?|one|two|three|four|five|six|seven|eight|nine|ten"
_WORDS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_CAME = re.compile(
    rf"^(?:(?:i|we) )?(?:just )?(?:bought|got|received|brought in|picked up|traded for)(?: in)?(?: (?P<n>{NUMBER}))? "
    r"(?P<rest>.+)$"
)
_ARRIVED = re.compile(
    rf"^(?P<n>{NUMBER}) (?P<rest>.+?) (?:arrived|came(?: in)?)(?: (?:in |by )?the (?:mail|post))?(?: today)?"
    r"(?P<tail>(?:,| ).+)?$"
)
_FROM = re.compile(rf"^(?P<n>{NUMBER}) (?P<rest>.+ from .+)$")
PLACE = r"(?:tank|tub|jar|bowl|box|bag|vat|rack)? ?[\w-]{1,12}"
_OLD = r"(?:about |~ ?)?(?:\d{1,3}|a|one|two|three|four|five|six|eight|ten) (?:days?|weeks?|months?) old"
# What may stand behind the fish, the last of it taken off first.
_TAILS = {
    "price": re.compile(rf",? (?:for|at) {SUM}(?P<each> each| apiece)?$"),
    "place": re.compile(
        rf",? (?:into|in|to|for) (?!(?:damp )?(?:peat|moss)\b)(?P<place>{PLACE})$"
        r"|, (?P<bare>(?:tank|tub|jar) ?[\w-]{1,6})$"
    ),
    "source": re.compile(
        r",? (?:from|off) (?P<source>(?:(?!\b(?:laid|hatched|pulled|collected|bagged|wet|due)\b)[\w' -]){2,40})$"
    ),
    "wet": re.compile(
        r",? (?:and )?(?:due )?(?:to )?(?:be )?(?:wet(?:ted)?|due)(?: it)?(?: on| about| around| by)? (?P<day>[^,]+)$"
    ),
    "heads": re.compile(r",? (?P<about>~ ?|about |maybe )?(?P<heads>\d{1,4}) eggs$"),
    "dated": re.compile(
        r",? (?P<how>laid|pulled|collected|bagged|hatched)(?: on| about| around| in)? (?P<day>[^,]+)$"
        rf"|,? (?P<old>{_OLD})$"
    ),
}
_BAG = re.compile(
    r"^(?:a |the )?bags? of (?:(?P<line>.+?) peat|peat (?:with|of) (?P<line2>.+))$"
    r"|^(?P<line3>[^,]+?) eggs in (?:damp )?peat$|^(?P<line4>[^,]+?) peat$"
)
_GENERATION = re.compile(r"\b(?P<said>wild(?:[ -]caught)?|f ?\d{1,2}|aquarium strain)\b")
_STAGES = {"egg": "eggs", "eggs": "eggs", "fry": "fry", "juvenile": "juveniles", "juveniles": "juveniles"}
_STAGES |= {"adults": "adults", "adult": "adults", "fish": ""}
_SEXED = re.compile(r"^(?P<what>pairs?|trios?)(?: of)? ")


def arrival_order(text: str, said: str, scene: Scene) -> Taken | None:
    """What such a sentence comes to; `said` has its capitals."""
    return _came(text, said, scene)


def many(words: str | None) -> int | None:
    """A number in figures or in words."""
    if words is None:
        return None
    if words == "a dozen":
        return 12
    return int(words) if words.isdigit() else (1 if words in ("a", "an") else _WORDS.index(words))


def place_said(words: str, scene: Scene) -> str | None:
    """The one place of the room words name."""
    where = scene.words.where(words.strip())
    known = scene.standing.places
    return where.places[0] if where and len(where.places) == 1 and where.places[0] in known else None


def line_first(words: list[str], scene: Scene) -> tuple[str, int] | None:
    """The line that stands first and how many words it takes."""
    names = {name.casefold(): name for name in scene.standing.lines}
    for size in range(min(len(words), 4), 0, -1):
        if name := names.get(" ".join(words[:size])):
            return name, size  # also where it begins the names of others
        where = scene.words.where(" ".join(words[:size]))
        if where and where.line and not where.places:
            return where.line, size
    return None


# ---- came in


def _as_written(words: str, said: str) -> str:
    """Words with the capitals they were written with."""
    at = said.casefold().rfind(words)
    return said[at : at + len(words)] if at >= 0 else words


def _came(text: str, said: str, scene: Scene) -> Taken | None:
    hit = _CAME.match(text) or _ARRIVED.match(text) or _FROM.match(text)
    if hit is None:
        return None
    rest = hit["rest"] + (hit.groupdict().get("tail") or "")
    if hit["n"] and (bag := re.match(r"^bags? of ", rest)):
        rest, count = f"a {bag[0]}{rest[bag.end() :]}", None
    else:
        count = many(hit["n"])
    rest, tails = _taken_off(rest)
    raw = _besides(tails, count, said, scene)
    if raw is None or (hit.re is _FROM and ("source" not in raw or "dated" not in tails)):
        return None
    if bag := _BAG.match(rest):
        heads = tails.get("heads")
        eggs = int(heads["heads"]) if heads else (count if bag["line3"] else None)
        raw |= {"count": eggs} if eggs else {}
        raw |= {"estimated": True} if heads and heads["about"] else {}
        return _peat(raw, bag["line"] or bag["line2"] or bag["line3"] or bag["line4"], tails, scene)
    if {"wet", "heads"} & set(tails) or count is None or not _fish(raw, rest, count, said, scene):
        return None
    if "dated" in tails and not _dated(raw, tails["dated"], scene):
        return None
    if not {"population", "generation", "laid_from", "hatched"} & set(raw):
        return None  # the reader knows the plain ones
    return _placed(text, raw, scene)


def _taken_off(rest: str) -> tuple[str, dict[str, re.Match[str]]]:
    """The fish, and what was said besides of where they went, what they cost, whose they were and how old they are."""
    tails: dict[str, re.Match[str]] = {}
    while True:
        found = next(
            ((key, hit) for key, pattern in _TAILS.items() if key not in tails and (hit := pattern.search(rest))), None
        )
        if found is None:
            return rest, tails
        tails[found[0]], rest = found[1], rest[: found[1].start()]


def _besides(tails: dict[str, re.Match[str]], count: int | None, said: str, scene: Scene) -> dict[str, Any] | None:
    raw: dict[str, Any] = {"kind": "stock_in"}
    if hit := tails.get("price"):
        if hit["each"] and count is None:
            return None
        raw |= price_said(hit["sign"], hit["sum"], scene, times=count if hit["each"] and count else 1)
    if hit := tails.get("place"):
        if (place := place_said(hit["place"] or hit["bare"], scene)) is None:
            return None
        raw["place"] = place
    if hit := tails.get("source"):
        if scene.words.where(hit["source"]):
            return None  # out of a tank of this room they came from nowhere
        raw["source"] = _as_written(hit["source"], said)
    return raw


def _placed(text: str, raw: dict[str, Any], scene: Scene) -> Taken:
    if "place" in raw:
        return Taken((event_from(raw),))
    kept = scene.standing.places.values()
    likely = [p.name for p in kept if p.role in ("quarantine", "empty") and not p.closed][:4]
    options = tuple((name, ({**raw, "place": name},)) for name in likely)
    question = "Into which tank or tub?"
    return Taken(asked=Asked(question, scene.now, options, Doubt(text, question, tuple(likely), "place", raw)))


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
    line = line_first(words, scene)
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


def _dated(raw: dict[str, Any], dated: re.Match[str], scene: Scene) -> bool:
    """When eggs were laid or fish hatched, no later than today."""
    days = _past_days(dated, scene)
    eggs = raw.get("stage") == "eggs"
    if days is None or (eggs if dated["how"] == "hatched" or dated["old"] else not eggs):
        return False
    if eggs:
        raw |= {"laid_from": days[0].isoformat(), "laid_to": days[1].isoformat()}
    else:
        raw |= {"hatched": days[0].isoformat(), "stage": raw.get("stage", "juveniles")}
    return True


def _past_days(dated: re.Match[str], scene: Scene) -> tuple[dt.date, dt.date] | None:
    """The days said, none of them still to come."""
    today = scene.now.date()
    days = days_said(dated["old"] or dated["day"], scene.now, scene.words.names)
    return days if days and days[1] <= today else None


def _peat(raw: dict[str, Any], words: str, tails: dict[str, re.Match[str]], scene: Scene) -> Taken | None:
    """A bag of peat with its own dates: when it was bagged, or its eggs laid, and when it is to be wetted."""
    line = line_first(words.split(), scene)
    dated, until = tails.get("dated"), tails.get("wet")
    if line is None or line[1] != len(words.split()) or not (dated or until) or (dated and dated["old"]):
        return None
    today = scene.now.date()
    days = _past_days(dated, scene) if dated else (today, today)
    if days is None or (dated and dated["how"] == "hatched"):
        return None
    batch = scene.standing.next_batch_name()
    raw |= {"line": line[0], "stage": "eggs", "batch": batch, "place": raw.get("place", "peat bag")}
    raw |= {"laid_to": days[1].isoformat()}
    if dated and dated["how"] == "laid":
        raw |= {"laid_from": days[0].isoformat()}
    bagged: dict[str, Any] = {
        "kind": "peat",
        "action": "bag",
        "batch": batch,
        "line": line[0],
        "date": days[1].isoformat(),
    }
    if until:
        when = _ahead(until["day"], scene)
        if when is None or when <= days[1]:
            return None
        bagged["weeks"] = round((when - days[1]).days / 7, 2)
    if dated and dated["how"] == "laid" and not until:
        return Taken((event_from(raw),))
    return Taken((event_from(raw), event_from(bagged)))


def _ahead(text: str, scene: Scene) -> dt.date | None:
    """A day to come: “1 Apr”, next year's where this year's is gone."""
    days = days_said(text.strip(), scene.now, scene.words.names)
    if days is None:
        return None
    day = days[0]
    return day if day >= scene.now.date() else day.replace(year=day.year + 1)
