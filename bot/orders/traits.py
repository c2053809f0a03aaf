"""What fish and eggs are, said in a whole sentence: what eggs are kept in, generation, population, and sexes known.

Like every order to the hand it is understood to the last word or left to the reader.
"""

from __future__ import annotations

import re
from typing import Any

from bot.orders.arrivals import NUMBER, many, place_said
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import event_from

_BATCH = r"(?:batch )?b ?\d{1,4}"
_IN_A_JAR = r"(?:a )?(?:(?:jar|bag|tub|box) (?:of|with) )?"
_KEPT_IN = rf"{_IN_A_JAR}(?P<said>(?:damp |wet )?(?:moss|peat|mop)|water)(?: now| from now on)?"
_MEDIUM = (
    re.compile(
        rf"^(?:the )?(?:eggs (?:of|in) )?(?P<of>{_BATCH}|tub \w{{1,3}})(?: eggs)?(?: (?:is|are|was|were))?"
        rf"(?: (?:went|goes|moved|put))?(?: now)?(?: back)? (?:in|into|on|onto|to) {_KEPT_IN}$"
    ),
    re.compile(
        rf"^(?:(?:i|we) )?(?:put|moved?|set|transferred) (?:the )?(?:eggs (?:of|in) )?(?P<of>{_BATCH}|tub \w{{1,3}})"
        rf"(?: eggs)?(?: from (?:damp )?\w+)?(?: back)? (?:in|into|on|onto|to) {_KEPT_IN}$"
    ),
)
_USUAL = re.compile(
    rf"^(?:(?:i|we) keep )?(?:the |our )?(?P<line>[\w -]+?) eggs"
    rf"(?: are (?:always |usually )?kept| always go| usually go| go)? (?:in|into|on) {_KEPT_IN}$"
)
_IS = re.compile(
    r"^(?P<of>(?:tank|tub) ?\w{1,4}|b ?\d{1,4})(?::| is| are|,)? (?:all )?"
    r"(?P<said>wild(?:[ -]caught)?|f ?\d{1,2}|aquarium strain)(?: (?P<line>[\w -]+))?$"
)
_FROM = re.compile(r"^(?:the |my |our )?(?P<line>[\w -]+?) (?:are|come|came|is) from (?P<said>.{2,40})$")
_CODE = re.compile(
    r"^(?:the )?(?:collection |location )?code (?:of|for) (?:the |my |our )?(?P<line>[\w -]+?) is (?P<said>.{2,40})$"
    r"|^(?:the |my |our )?(?P<line2>[\w -]+?)(?:'s)? (?:collection|location) code(?: is|:)? (?P<said2>.{2,40})$"
)
_SEXES = (
    re.compile(
        rf"^(?P<place>(?:tank|tub) ?\w{{1,4}})(?:,|:| has)? (?P<m>{NUMBER}) males?,? (?:and )?(?P<f>{NUMBER}) females?"
        rf",? (?:and )?(?P<u>{NUMBER}) (?:unsexed|not sexed|unknown|too young)$"
    ),
    re.compile(
        rf"^(?P<m>{NUMBER}) males?,? (?:and )?(?P<f>{NUMBER}) females?,? (?:and )?(?P<u>{NUMBER})"
        rf" (?:unsexed|not sexed|unknown|too young) in (?P<place>(?:tank|tub) ?\w{{1,4}})$"
    ),
)
_SOME_ARE = re.compile(
    rf"^(?P<n>{NUMBER}) (?:of (?:the )?(?:fish in )?|in )(?P<of>(?:tank|tub) ?\w{{1,4}}|{_BATCH})"
    r" are (?P<sex>males?|females?)"
    r"(?:,? (?:the )?(?:rest|others) (?:are )?(?:not sexed|unsexed|unknown|too young)(?: yet)?)?$"
)


def trait_order(text: str, said: str, scene: Scene) -> Taken | None:
    """What such a sentence comes to; `said` has its capitals."""
    return _medium(text, scene) or _generation(text, scene) or _population(text, said, scene) or _sexed(text, scene)


def _batch(words: str, scene: Scene) -> str | None:
    where = scene.words.where(re.sub(r"\bb (?=\d)", "b", words))
    if where and where.batch:
        return where.batch
    place = place_said(words, scene)
    eggs = {h.group for h in scene.standing.eggs_at(place)} if place else set()
    return eggs.pop() if len(eggs) == 1 else None


def _line(words: str, scene: Scene) -> str | None:
    named = next((name for name in scene.standing.lines if name.casefold() == words), None)
    where = scene.words.where(words)
    return named or (where.line if where and not where.places and not where.batch else None)


def _setting(what: str, value: str, **about: str) -> dict[str, Any]:
    return {"kind": "setting", **about, "what": what, "value": value}


def _medium(text: str, scene: Scene) -> Taken | None:
    """The medium is the batch's; said of a line it is only what its next batches begin with."""
    for pattern in _MEDIUM:
        hit = pattern.match(text)
        batch = _batch(hit["of"], scene) if hit else None
        if hit and batch:
            if hit["said"] == "water" and scene.standing.batches[batch].medium == "peat":
                return None  # peat put into water is wetted
            return Taken((event_from(_setting("medium", hit["said"], batch=batch)),))
    hit = _USUAL.match(text)
    line = _line(hit["line"], scene) if hit else None
    if hit is None or line is None or not re.search(r"\bkeep|kept|\bgo\b|from now on", text):
        return None
    told = f"{line}: eggs in {hit['said']} from the next batch on; what is here stays as it is."
    return Taken((event_from(_setting("medium", hit["said"], line=line)),), (told,))


def _generation(text: str, scene: Scene) -> Taken | None:
    hit = _IS.match(text)
    if hit is None:
        return None
    place = place_said(hit["of"], scene)
    batch = None if place else _batch(hit["of"], scene)
    fish = scene.standing.fish_at(place) if place else scene.standing.of_group(batch or "")
    if not fish or (hit["line"] and {h.line for h in fish} != {_line(hit["line"], scene)}):
        return None
    value = re.sub(r"[ -]caught", "", hit["said"])
    value = value.replace(" ", "").upper() if re.match(r"f ?\d", value) else value
    about = {"place": place} if place else {"batch": batch or ""}
    return Taken((event_from(_setting("generation", value, **about)),))


def _population(text: str, said: str, scene: Scene) -> Taken | None:
    """A collection code stands beside the place; “from Makurdi” may be a dealer's name, so it is asked."""
    if hit := _CODE.match(text):
        line, code = _line(hit["line"] or hit["line2"], scene), hit["said"] or hit["said2"]
        if line is None:
            return None
        kept, written = scene.standing.lines[line].population, _as_written(code, said)
        value = f"{kept} {written}" if kept and written.casefold() not in kept.casefold() else written
        return Taken((event_from(_setting("population", value, line=line)),))
    hit = _FROM.match(text)
    line = _line(hit["line"], scene) if hit else None
    if hit is None or line is None or scene.words.where(hit["said"]):
        return None
    written = _as_written(hit["said"], said)
    if not all(word[:1].isupper() or word[:1].isdigit() for word in written.split()):
        return None
    yes = (_setting("population", written, line=line),)
    question = f"Is {written} where the fish of {line} were collected (their population)?"
    return Taken(asked=Asked(question, scene.now, (("yes", yes), ("no", ()))))


def _as_written(words: str, said: str) -> str:
    at = said.casefold().rfind(words)
    return said[at : at + len(words)] if at >= 0 else words


def _sexed(text: str, scene: Scene) -> Taken | None:
    """A count by sex with those that cannot be told yet; or some of a group known by now."""
    for pattern in _SEXES:
        hit = pattern.match(text)
        place = place_said(hit["place"], scene) if hit else None
        if hit and place:
            male, female, rest = (many(hit[key]) or 0 for key in "mfu")
            raw = {"kind": "headcount", "place": place, "count": male + female + rest, "male": male, "female": female}
            return Taken((event_from(raw),))
    hit = _SOME_ARE.match(text)
    place = place_said(hit["of"], scene) if hit else None
    batch = _batch(hit["of"], scene) if hit and not place else None
    if hit is None or not (place or batch):
        return None
    about = {"place": place} if place else {"batch": batch}
    return Taken((event_from({"kind": "headcount", **about, hit["sex"].removesuffix("s"): many(hit["n"])}),))
