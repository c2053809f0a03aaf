"""Eggs collected straight into damp peat or moss: a pull like any other, with what they lie in."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.language import Reader
from bot.routine.taken import Scene, Taken
from bot.talk.estimates import as_estimated
from bot.talk.questions import Asked, of_doubt
from shared.events import EggsPulled, PeatHandled, event_from

MOST_TANKS = 4
_INTO = re.compile(
    r"^(?P<pull>.+?),? (?:(?:and )?(?:put|laid|set|straight|went|go|goes) )?(?:(?:them|they|it|all) )?"
    r"(?:into|in|to|onto|on) (?:some |a bag of |a box of |a tub of )?"
    r"(?P<medium>(?:(?:damp|moist|wet) )?(?:peat moss|peat|sphagnum moss|sphagnum|java moss|moss|coir))"
    r"(?: for (?P<weeks>\d{1,2}) weeks?)?$"
)


def into_peat(text: str, scene: Scene, reader: Reader) -> Taken | None:
    """“Pulled 20 eggs from tank 3 into damp peat”; None where the rest is no pull, or a clear one of peat itself."""
    hit = _INTO.match(text)
    if hit is None or re.search(r"\b(?:peat|bagged)\b", hit["pull"]):
        return None
    told = reader.read(hit["pull"], scene.now)
    kept = {"medium": hit["medium"]}
    weeks = int(hit["weeks"]) if hit["weeks"] else None
    if len(told.events) == 1 and isinstance(told.events[0], EggsPulled) and not told.doubts and not told.query:
        pull = told.events[0]
        if pull.to or pull.count == 0:
            return None
        batch = scene.standing.next_batch_name()
        bagged = (PeatHandled(batch=batch, action="bag", weeks=weeks),) if weeks else ()
        return Taken((as_estimated(pull, text).model_copy(update=kept), *bagged))
    doubt = told.doubts[0] if len(told.doubts) == 1 and not told.events else None
    partial = doubt.partial if doubt else None
    if doubt is None or not partial or partial.get("kind") != "pull" or doubt.missing != "place":
        return None
    raw = {k: v for k, v in partial.items() if v is not None} | kept
    peaty = {name for name, line in scene.standing.lines.items() if line.eggs == "peat"}
    places = [p for p in scene.standing.places.values() if p.role == "breeders" and p.line and not p.closed]
    likely = [p.name for p in places if p.line in peaty] or [p.name for p in places]
    options = tuple((p, (event_from({**raw, "place": p}).outside(),)) for p in likely[:MOST_TANKS])
    asked: Asked = replace(of_doubt(replace(doubt, partial=raw), scene.now), options=options)
    return Taken(asked=asked)
