"""What fish and eggs are and belong to, said in a whole sentence: batches merged and split, what eggs are kept in,
generation and population, strays and who they turn out to be.

Like every order to the hand it is understood to the last word or left to the reader.
"""

from __future__ import annotations

import re
from typing import Any

from bot.routine.taken import Scene, Taken
from shared.events import event_from
from shared.kin.lineage import STRAY

_BATCH = r"(?:batch )?b ?\d{1,4}"
_PLACE = r"[\w ]{1,20}?"
_INTO = rf"(?:,? (?:in|into|to) (?P<to>{_PLACE}))?"
_JOINED = (
    re.compile(
        rf"^(?:merged?|join(?:ed)?|combined?) (?P<one>{_BATCH}) (?:in|into|to|with|and) (?P<other>{_BATCH})$",
    ),
    re.compile(
        rf"^(?P<one>{_BATCH}) (?:join(?:s|ed)|goes (?:in )?with|went (?:in )?with|is (?:now )?part of) "
        rf"(?P<other>{_BATCH})$",
    ),
    re.compile(rf"^put (?P<one>{_BATCH}) (?:back )?(?:in )?with (?P<other>{_BATCH})$"),
    re.compile(
        rf"^(?P<one>{_BATCH}) and (?P<other>{_BATCH}) are (?:now )?(?:together|one batch|one|the same batch)(?: now)?$"
    ),
)
_SPLIT = (
    re.compile(
        r"^split (?:off )?(?P<n>\d{1,4})(?: (?:fish|fry|eggs|juveniles))? (?:from|off(?: of)?|out of|of) "
        rf"(?P<one>{_BATCH}){_INTO}$"
    ),
    re.compile(rf"^split (?P<one>{_BATCH})[:,]? (?P<n>\d{{1,4}})(?: of (?:them|it)| (?:fish|fry|juveniles))?{_INTO}$"),
    re.compile(
        rf"^(?:split (?:off )?|took |moved |put )(?P<n>\d{{1,4}}) (?:(?:fish|fry|juveniles) )?(?:of |from |out of )?"
        rf"(?P<one>{_BATCH})(?: out)?(?: off)? (?:as|into) a (?:new |separate )?batch(?: of their own)?{_INTO}$"
    ),
)
_MEDIUM = re.compile(
    rf"^(?:the )?(?:eggs of )?(?P<one>{_BATCH})(?: eggs)? (?:is|are|went|goes)(?: now)? (?:in|into|on|onto)(?: a)? "
    r"(?P<said>(?:damp |wet )?(?:moss|peat|mop)|water)(?: now)?$"
)
_GENERATION = re.compile(
    r"^(?P<of>.+?) (?:is|are)(?: now)?(?: all)? "
    r"(?P<said>wild(?:[ -]caught)?|f ?\d{1,2}|(?:an )?aquarium strain|"
    r"(?:of )?(?:unknown generation|generation unknown))$|^(?:the )?generation of (?P<of2>.+?) is (?P<said2>unknown|"
    r"wild(?:[ -]caught)?|f ?\d{1,2})$"
)
_POPULATION = re.compile(
    r"^(?:the )?population of (?P<of>.+?) is (?P<said>.{2,40})$|^(?P<of2>.+?)(?:'s)? population is (?P<said2>.{2,40})$"
)
_STRAY = re.compile(
    r"^(?:i )?(?:found |there is |there's |there are )?(?P<n>an?|one|two|three|\d{1,3}) "
    r"(?:strays?|unknowns?|unlabell?ed|unidentified|mystery)"
    r"(?: (?P<what>fish|fry|killi(?:s|fish)?|juveniles?|ones?))? "
    rf"in (?P<place>{_PLACE})$"
)
_KNOWN = re.compile(
    r"^(?:the |those |these )?(?:strays?|unknowns?|(?:unknown|unlabell?ed|mystery) (?:fish|fry|ones?)) "
    rf"in (?P<place>{_PLACE}) (?:is|are|was|were) (?:an? )?(?P<line>.+)$"
)
_MANY = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3}


def batch_order(text: str, said: str, scene: Scene) -> Taken | None:
    """What such a sentence comes to; `said` has its capitals."""
    raw = _merged(text, scene) or _split(text, scene) or _is(text, said, scene) or _stray(text, scene)
    if raw and raw.get("what") == "line" and not any(h.line == STRAY for h in scene.standing.at_place(raw["place"])):
        return Taken(answer=f"No unknown fish are on record in {raw['place']}. Nothing was changed.")
    return Taken((event_from(raw),)) if raw else None


def _name(words: str, scene: Scene) -> str | None:
    where = scene.words.where(re.sub(r"\bb (?=\d)", "b", words))
    return where.batch if where else None


def _as_written(words: str) -> str:
    """A batch there is none of, for the ledger to say so."""
    return f"B{re.sub(r'[^0-9]', '', words)}"


def _place(words: str | None, scene: Scene) -> str | None:
    where = scene.words.where(words) if words else None
    return where.places[0] if where and len(where.places) == 1 and where.places[0] in scene.standing.places else None


def _merged(text: str, scene: Scene) -> dict[str, Any] | None:
    for pattern in _JOINED:
        hit = pattern.match(text)
        if hit:
            one, other = (_name(hit[which], scene) or _as_written(hit[which]) for which in ("one", "other"))
            there = {h.place for h in scene.standing.of_group(other)}
            to = {"to": there.pop()} if len(there) == 1 else {}
            return {"kind": "move", "batch": one, "joins": other, **to}
    return None


def _split(text: str, scene: Scene) -> dict[str, Any] | None:
    for pattern in _SPLIT:
        hit = pattern.match(text)
        one = _name(hit["one"], scene) if hit else None
        to = _place(hit["to"], scene) if hit else None
        if hit and one and bool(to) == bool(hit["to"]):
            return {"kind": "move", "batch": one, "count": int(hit["n"]), "joins": "new", **({"to": to} if to else {})}
    return None


def _is(text: str, said: str, scene: Scene) -> dict[str, Any] | None:
    """What a batch's eggs are kept in; the generation of a batch or line; the population of a line."""
    if (hit := _MEDIUM.match(text)) and (batch := _name(hit["one"], scene)):
        return {"kind": "setting", "batch": batch, "what": "medium", "value": hit["said"]}
    if hit := _GENERATION.match(text):
        value = re.sub(r"(?:of |an )|[ -]caught| ?generation ?", "", hit["said"] or hit["said2"])
        value = value.replace(" ", "").upper() if re.match(r"f ?\d", value) else value
        return _said_of(hit["of"] or hit["of2"], "generation", value, scene)
    if hit := _POPULATION.match(text):
        value = hit["said"] or hit["said2"]
        at = said.casefold().rfind(value)  # with its capitals, where the words stand as they were written
        return _said_of(hit["of"] or hit["of2"], "population", said[at : at + len(value)] if at >= 0 else value, scene)
    return None


def _said_of(words: str, what: str, value: str, scene: Scene) -> dict[str, Any] | None:
    place = _place(re.sub(r"^(?:the )?(?:fish|breeders|adults) in | (?:fish|breeders|adults)$", "", words), scene)
    if place and what == "generation" and scene.standing.fish_at(place):
        return {"kind": "setting", "place": place, "what": what, "value": value}
    named = next((name for name in scene.standing.lines if name.casefold() == words), None)
    if named:  # also where it begins the names of others
        return {"kind": "setting", "line": named, "what": what, "value": value}
    where = scene.words.where(words)
    if where is None or not (where.line or (where.batch and what == "generation")):
        return None
    about = {"batch": where.batch} if where.batch else {"line": where.line}
    return {"kind": "setting", **about, "what": what, "value": value}


def _stray(text: str, scene: Scene) -> dict[str, Any] | None:
    """Fish nobody can put a name to: unknown, and no breeders, until they are said to be of a line."""
    if (hit := _STRAY.match(text)) and (place := _place(hit["place"], scene)):
        count = _MANY.get(hit["n"]) or int(hit["n"])
        stage = {"fry": "fry", "juvenile": "juveniles", "juveniles": "juveniles"}.get(hit["what"] or "")
        return {
            "kind": "stock_in",
            "place": place,
            "line": STRAY,
            "count": count,
            **({"stage": stage} if stage else {}),
        }
    hit = _KNOWN.match(text)
    place = _place(hit["place"], scene) if hit else None
    where = scene.words.where(hit["line"]) if hit else None
    if place and where and where.line:
        return {"kind": "setting", "place": place, "what": "line", "value": where.line}
    return None
