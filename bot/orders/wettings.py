"""Peat wetted and what was seen then, in one line: swimmers, belly sliders, eggs left; and the bag put up again.

Sliders are counted with the fry, since they hatched, and remarked on their batch. Eggs left are bagged again after
two days (common practice, no source), and the list says so; bagging puts the next wetting on it.
"""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.routine.taken import Scene, Taken
from shared.events import Event, FryHatched, PeatHandled, Remarked, ReminderAsked

DRY_AFTER = dt.timedelta(days=2)  # common practice, no source
SAME_WETTING = dt.timedelta(days=7)
_WET = re.compile(
    r"^(?:i |we )?(?P<wet>wet|wetted|flooded)?(?: (?:the )?(?:peat (?:of|from) |bag ))?\s*(?P<batch>(?:batch )?b ?\d+)"
    r"(?: wet| wetted)?(?: again)?[,:;]?\s+(?:and )?(?:got |saw |found )?(?P<seen>\d.*)$"
)
_SWIM = re.compile(r"^(?P<n>\d{1,4}) (?:swimmers?|swimming|free swimming|fry(?: (?:swimming|out|up))?|swim)$")
_SLIDE = re.compile(r"^(?P<n>\d{1,4}) (?:belly[ -]?sliders?|sliders?)$")
_LEFT = re.compile(
    r"^(?:the )?(?:rest|others?|remaining)(?: (?:are|is))?(?: still)?(?: (?:in the))? eggs?$"
    r"|^(?:the )?rest (?:has |have )?(?:not|didn't|did not)(?: hatch(?:ed)?)?$|^(?:some )?eggs (?:still )?left$"
)
_AGAIN = re.compile(
    r"^(?:i |we )?(?:bagged|re-?bagged|bagged up)(?: (?:the )?(?:rest|peat)(?: of| from)?)? "
    r"(?P<batch>(?:batch )?b ?\d+)(?: (?:up )?again)?(?:,? (?:for )?(?P<weeks>\d{1,2}) (?:more )?weeks?)?$"
)


def wetting_order(text: str, scene: Scene) -> Taken | None:
    """A wetting with what hatched, or the rest of a bag put up again; None when it is neither, whole."""
    return _wetted(text, scene) or _bagged_again(text, scene)


def _batch(said: str, scene: Scene) -> str | None:
    """A batch of which eggs lie in peat."""
    where = scene.words.where(said.replace("b ", "b"))
    kept = scene.standing.batches.get((where.batch if where else None) or "")
    held = kept and any(h.stage == "eggs" for h in scene.standing.of_group(kept.name))
    return kept.name if kept and held and kept.medium == "peat" else None


def _wetted(text: str, scene: Scene) -> Taken | None:
    hit = _WET.match(text)
    name = _batch(hit["batch"], scene) if hit else None
    if hit is None or name is None:
        return None
    kept = scene.standing.batches[name]
    lately = kept.wetted is not None and scene.now - kept.wetted < SAME_WETTING
    if not (hit["wet"] or lately):
        return None
    swimmers = sliders = 0
    left = False
    for part in re.split(r"\s*[,;]\s*(?:and )?|\s+and\s+", hit["seen"].strip(" ,")):
        if swim := _SWIM.match(part):
            swimmers += int(swim["n"])
        elif slide := _SLIDE.match(part):
            sliders += int(slide["n"])
        elif _LEFT.match(part):
            left = True
        else:
            return None
    if not swimmers + sliders:
        return None
    events: list[Event] = [] if lately else [PeatHandled(batch=name, action="wet")]
    events.append(FryHatched(batch=name, count=swimmers + sliders))
    seen = [f"{swimmers} swimming"] if swimmers else []
    seen += [say.count(sliders, "belly slider")] if sliders else []
    lines = [f"{name}:{'' if lately else ' peat wetted,'} {say.listed(seen)}, {swimmers + sliders} hatched."]
    if sliders:
        events.append(
            Remarked(batch=name, text=f"{say.count(sliders, 'belly slider')} of {swimmers + sliders} hatched")
        )
    if left:
        day = scene.now.date() + DRY_AFTER
        events.append(ReminderAsked(text=f"bag the rest of {name} again", batch=name, date=day))
        lines.append(f"Eggs left: bag them again {say.day(day, scene.now.date())} (common practice, no source).")
        lines.append(f"Say “bagged {name} again, 4 weeks”, and the next wetting is on the list.")
    return Taken(tuple(events), tuple(lines))


def _bagged_again(text: str, scene: Scene) -> Taken | None:
    hit = _AGAIN.match(text)
    name = _batch(hit["batch"], scene) if hit else None
    if hit is None or name is None or scene.standing.batches[name].wetted is None:
        return None
    weeks = float(hit["weeks"]) if hit["weeks"] else None
    # without weeks the long rest it had before is not meant: the next wetting waits for a word
    event = PeatHandled(batch=name, action="bag", weeks=weeks if weeks is not None else 0)
    if weeks:
        day = scene.now.date() + dt.timedelta(weeks=weeks)
        return Taken((event,), (f"{name}: bagged again; the next wetting {say.day(day, scene.now.date())}.",))
    return Taken((event,), (f"{name}: bagged again. For how long? “{name} bagged for 4 weeks” sets the next wetting.",))
