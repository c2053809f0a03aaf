"""Eggs in peat: laid dry, wetted, looked at."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group, Raw
from bot.language.scene import Part
from bot.language.telling import Sight, Teller


def _peaty(part: Part | Group, teller: Teller) -> bool:
    """Whether a clause speaks of a line or batch whose eggs lie in peat."""
    names = teller.names
    lines = {x.name for x in names.lines if x.eggs == "peat"}
    for tag in part.kind("line"):
        if set(tag.value) & lines:
            return True
    return any(
        b in names.batch_of and names.batch_of[b].line in lines and names.batch_of[b].stage == "eggs"
        for b in (t.value for t in part.kind("batch"))
    )


def sees_peat(part: Part, teller: Teller) -> Sight | None:
    peat = part.noun("peat")
    if (
        part.before is not None
        and part.before.noun("peat")
        and "it" in part.words()
        and re.search(r"\b(took|taken|pulled|lifted|had|got|have) it (all |right )?out\b", part.text())
    ):
        return Sight(7, tuple(part.cues("collect", "pull")))  # "the peat, I took it out of tank 6"
    if peat and "out" in part.words() and not part.has("wet", "bag"):
        return Sight(7, (*part.cues("collect", "changed", "pull", "clean"), *peat))
    if (
        part.noun("bag")
        and not part.muted
        and (
            (teller.context.kind == "peat" and teller.context.sentence == part.sentence)
            or (part.before is not None and part.before.noun("peat") and part.words() & {"in", "into"})
        )
        and not part.has("wet")
    ):
        return Sight(8, (*part.cues("bag", "collect", "clean", "pull", "put"), *part.noun("bag")))
    wet = list(part.cues("wet"))
    if wet and (peat or _peaty(part, teller) or part.noun("bag")):
        return Sight(8, (*wet, *peat))
    if part.has("bag") and (
        peat
        or _peaty(part, teller)
        or teller.context.kind == "peat"
        or part.words() & {"weeks"}
        or part.kind("dur")
        or (part.noun("bag") and not part.kind("num"))
        or any(t.says("noun", "peat") for t in teller.all_tags)
    ):
        return Sight(8, (*part.cues("bag", "collect", "clean", "pull"), *peat))
    if any("peat out" in t.word for t in part.cues("collect")):
        return Sight(7, tuple(part.cues("collect")))
    if peat and part.has("collect", "changed", "pull", "clean") and not part.noun("eggs"):
        if part.words() & {"fresh", "new"} and not part.has("changed", "pull"):
            return None
        return Sight(7, (*part.cues("collect", "changed", "pull", "clean"), *peat))
    return None


def tell_peat(group: Group, teller: Teller) -> None:
    action = _action(group)
    if action == "bag" and (collected := _just_collected(group, teller)) is not None:
        collected["action"] = "bag"
        if weeks := _weeks(group):
            collected["weeks"] = weeks
        return
    held = {"kind": "peat", "action": action}
    if group.unknown() is not None:
        teller.ask_place(group, held)
        return
    line = group.line()
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    seq = group.sequence("place")
    places = [p for k, v, _ in seq if k == "P" for p in v]
    if action == "wet" and batch is None:
        bags = _bags(line, teller)
        batch = bags[0] if len(bags) == 1 else None
        if batch is None and not line:
            teller.ask(group, "Which peat was wetted?", "batch", held)
            return
    if action == "bag" and not places and not batch and group.words() & {"back", "again"}:
        bags = _bags(line, teller)
        if len(bags) != 1:
            teller.ask(group, "Which peat was bagged again?", "batch", held)
            return
        batch = bags[0]  # "dried and put back in its bag"
    if not places and not batch and action != "wet":
        places = _laid_in(line, teller)
        if not places and not line:
            teller.ask(group, "Peat from which tank?", "place", held)
            return
    place = places[0] if len(places) == 1 and not batch else None
    teller.tell("peat", group, place=place, batch=batch, line=line, action=action, weeks=_weeks(group))
    if action == "wet" and batch is not None and len(places) == 1:
        spot = next(t for k, v, t in seq if k == "P" and places[0] in v)
        before = group.before(spot)
        if before is not None and before.word in ("in", "into", "to", "inside"):
            teller.tell("move", group, batch=batch, to=places[0], stage="eggs")  # "wetted B20 in tub G"


def _action(group: Group) -> str:
    """What was done with peat: wetted, bagged, or taken out of a tank."""
    if group.cues("wet"):
        return "wet"
    into_a_bag = {"in", "into", "its"} & group.words() and len(group.parts) > 1
    bagged = group.cues("bag") or (group.noun("bag") and (into_a_bag or not group.noun("peat")))
    return "bag" if bagged else "collect"


def _just_collected(group: Group, teller: Teller) -> Raw | None:
    """The peat that was just said to be taken out, and is now bagged."""
    last, ctx = teller.context.event, teller.context
    if last is None or last["kind"] != "peat" or last["action"] != "collect":
        return None
    follows = ctx.sentence == group.sentence - 1 and not group.kind("place", "line", "batch")
    return last if follows or ctx.sentence == group.sentence else None


def _peaty_lines(line: str | None, teller: Teller) -> list[str]:
    return [line] if line else [x.name for x in teller.names.lines if x.eggs == "peat"]


def _bags(line: str | None, teller: Teller) -> list[str]:
    """The batches of eggs that lie in peat, of a line if one is named."""
    lines = _peaty_lines(line, teller)
    return [b.name for b in teller.names.batches if b.stage == "eggs" and b.line in lines]


def _laid_in(line: str | None, teller: Teller) -> list[str]:
    """The one tank that lays into peat, else the one just spoken of."""
    lines = _peaty_lines(line, teller)
    its = [p.name for p in teller.names.places if p.line in lines and p.role == "breeders"]
    spoken_of = teller.context.places
    return its if len(its) == 1 else list(spoken_of) if len(spoken_of) == 1 else []


_IN_WEEKS = re.compile(r"in (\d+) weeks?")


def _weeks(group: Group) -> float | None:
    """For how many weeks the peat is put up: said so, or by when to wet it: "bagged, wet it in twelve weeks"."""
    after = group.parts[-1].after
    if after is not None and after.muted == "plan" and after.has("wet"):
        found = [_IN_WEEKS.fullmatch(t.word) for t in after.kind("day")]
        if len(found) == 1 and found[0] is not None:
            return float(found[0][1])
    for tag in group.kind("dur"):
        if tag.unit == "week" and tag.low is None:
            return float(tag.value)
        if tag.unit == "month" and tag.low is None:
            return None
    return None
