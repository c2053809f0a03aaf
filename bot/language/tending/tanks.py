"""Places set up and taken down, and rounds of work done."""

from __future__ import annotations

from itertools import pairwise

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller, litres_of_volume


def sees_new(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("newplace") or _set_up(part)
    if not cue or part.noun("mop", "culture") or part.kind("culture") or part.sense("food"):
        return None
    place = _new_name(part.tags, teller) or _new_name(teller.all_tags, teller)
    if place and len(teller.all_tags) <= 60:
        return Sight(8, (*cue, *part.cues("start", "put", "move", "clean")))
    return None


def _set_up(part: Part) -> list[Tag]:
    """ "tub J up 1qt fry": the word that says a place the room lacks is there now, where its size is said, too."""
    if not part.kind("vol") and not (part.after is not None and part.after.kind("vol")):
        return []
    return [
        two
        for one, two in pairwise(part.tags)
        if one.kind == "place" and one.note.startswith("?") and two.word in ("up", "ready", "running", "going", "live")
    ]


def _new_name(tags: list[Tag], teller: Teller) -> str | None:
    heads = {h for h in teller.names.heads if h}
    for n, tag in enumerate(tags):
        if tag.kind == "place" and tag.note.startswith("?"):
            return tag.note[1:]
        if tag.kind == "lex" and tag.word in ("new tub", "new tank", "new jar") and n + 1 < len(tags):
            head = tag.word.split()[1]
            nxt = tags[n + 2] if tags[n + 1].word in (":", "no", "number", "#") and n + 2 < len(tags) else tags[n + 1]
            if head in heads and (nxt.kind == "num" and nxt.value == int(nxt.value)):
                return f"{head} {int(nxt.value)}" if f"{head} {int(nxt.value)}" not in teller.names.place_of else None
            if head in heads and len(nxt.word) == 1 and nxt.word.isalpha() and nxt.word != "a":
                return f"{head} {nxt.word.upper()}"
    return None


def tell_new(group: Group, teller: Teller) -> None:
    tags = teller.all_tags
    place = _new_name(group.tags, teller) or _new_name(tags, teller)
    if place is None:
        return
    its = [t for p in group.parts[0].whole() for t in p.tags]
    tags = its if len(tags) > 40 or any(t.kind in ("vol", "line") for t in its) else tags
    role = None
    for tag in tags:
        if tag.says("role"):
            role = tag.one("role")
        elif tag.says("noun", "fry"):
            role = "fry"
        elif tag.says("noun", "eggs"):
            role = role or "eggs"
    litres = next((litres_of_volume(t) for t in tags if t.kind == "vol"), None)
    lines = [t.value[0] for t in tags if t.kind == "line" and len(t.value) == 1]
    teller.tell(
        "new_place", group, place=place, litres=litres, line=lines[0] if len(set(lines)) == 1 else None, role=role
    )
    for tag in tags:
        if tag.kind in ("place", "num", "vol"):
            tag.claimed = tag.claimed or "new"


def sees_close(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("close")
    if (
        cue
        and cue[0].word == "out of use"
        and not part.kind("place")
        and (len(teller.context.places) == 1 or (part.before is not None and len(part.before.kind("place")) == 1))
    ):
        return Sight(7, tuple(cue))
    if cue and part.kind("place", "size") and not part.noun("mop", "fish", "eggs") and not part.sense("item"):
        return Sight(7, tuple(cue))
    return None


def tell_close(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "close_place"})
        return
    places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v] or list(teller.context.places)
    for place in places:
        teller.tell("close_place", group, place=place)


def sees_done(part: Part, teller: Teller) -> Sight | None:
    done = part.cues("done")
    if not done or part.kind("num", "pct", "vol", "amount", "money") or len(part.tags) > 9:
        return None
    if part.sense("group") and part.after is not None and _says_what(part.after, teller):
        return None  # "done the egg tubs, new water in A and B": the second clause says what was done
    task = (
        part.noun("culture", "eggs", "mop", "filters", "water")
        or part.sense("group")
        or part.sense("item")
        or part.cues("feed")
        or part.words() & {"tubs", "fry", "cultures", "tanks", "rounds", "chores", "list"}
        or part.kind("place")
    )
    if done[0].word == "did" and not (
        part.sense("group") or part.noun("mop", "culture", "filters") or part.words() & {"tubs", "rounds"}
    ):
        return None
    if part.words() & {"done", "finished", "complete", "completed", "all done", "✓", "dun", "did", "sorted"} and task:
        return Sight(2, tuple(done))
    return None


def _says_what(after: Part, teller: Teller) -> bool:
    """Whether the clause after "egg tubs done" only says what that was, and nothing of a tub of another kind."""
    if after.joiner not in (",", ":") or not after.has("wc", "changed", "topoff"):
        return False
    roles = {teller.names.place_of[p].role for t in after.kind("place") for p in t.value}
    return not roles - {"eggs"} and not after.words() & {"too", "also", "as well", "besides"}


def tell_done(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "done"})
        return
    places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
    batches = group.batches()
    last = teller.context.event
    if last is not None and last["kind"] == "service" and places and not group.noun("culture", "eggs", "mop", "water"):
        for place in places:
            teller.tell("service", group, place=place, item=last["item"])
        return
    if not places:
        teller.tell("done", group, task=group.text(), batch=batches[0] if batches else None)
        groups = group.sense("group")
        if groups:  # "egg tubs done, 3 drops each": what follows is said of them
            teller.context.places = (min(groups[0].senses["group"]),)
    for place in places:
        teller.tell("done", group, task=group.text(), place=place)
