"""Fish and eggs moved from place to place."""

from __future__ import annotations

from bot.language.clauses.group import Group, Raw
from bot.language.fish.journeys import Journey
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller

MOST_OFFERED = 4  # places to choose from in one question


def _from_and_to(part: Part, teller: Teller) -> bool:
    """Whether fish are named with the place they left and the one they went to, the verb left out."""

    def names_place(tag: Tag) -> bool:
        if tag.kind == "place":
            return len(tag.value) == 1
        if tag.says("role", "nursery", "quarantine", "grow-out"):
            return True  # which of them is asked
        return tag.kind == "num" and len(teller.names.by_id.get(f"{tag.value:g}", ())) == 1

    tags = part.tags
    left = [
        n
        for n, t in enumerate(tags[:-1])
        if (t.word in ("from", "out of") or (t.word == "of" and n and tags[n - 1].word == "out"))
        and names_place(tags[n + 1])
    ]
    went = [n for n, t in enumerate(tags[:-1]) if t.word in ("to", "into") and names_place(tags[n + 1])]
    fish = part.kind("line", "batch") or part.noun("male", "female", "pair", "trio", "fry", "juveniles")
    others = [t for t in part.tags if t.senses.get("cue") and not t.says("cue", "collect", "gave")]
    return bool(fish) and len(left) == len(went) == 1 and not others and not part.sense("food")


def _went(part: Part, teller: Teller) -> Tag | None:
    """The word for going, where fish went to a place: "B19 went to tank 12", "everything in E went into 12"."""
    tags = part.tags
    for n, tag in enumerate(tags[1:-1], 1):
        goes = tag.word in ("went", "gone") and tags[n + 1].word in ("to", "into", "in", "over", "up")
        if not goes or part.kind("person", "money") or part.sense("food") or part.sense("substance"):
            continue
        ahead = Part(tags[:n])
        fish = ahead.kind("batch", "line") or ahead.noun("fish", "fry", "juveniles", "adults", "male", "female", "pair")
        whole = ahead.words() & {"everything", "rest", "all", "others"} and ahead.kind("place", "num", "batch")
        if (fish or whole) and not ahead.noun("eggs", "mop", "culture"):
            return tag
    return None


def sees_move(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("move", "put")
    nums = list(part.kind("num"))
    if (
        not cue
        and ((nums and part.noun("fry", "juveniles")) or {"all", "now"} <= part.words())
        and part.kind("line")
        and len(part.kind("place")) == 1
        and ("now in" in part.text() or "are in" in part.text())
    ):
        place = part.kind("place")[0].value
        if place and len(place) == 1 and not set(part.kind("line")[0].value) & set(teller.names.lines_in(place[0])):
            return Sight(5, tuple(part.cues("left")))
    places = part.kind("place", "size") or list(part.kind("num"))
    if not cue and places and (going := _went(part, teller)) is not None:
        return Sight(4, (going,))
    if not cue and _from_and_to(part, teller):
        return Sight(4)  # "gardneri male from 3 to 2"
    if not cue or (part.sense("substance") and not part.noun("fish", "fry")):
        return None
    if cue[0].word == "put" and part.words() & {"back", "off", "down", "away"} and not part.kind("place"):
        return None
    if cue[0].word == "put" and not (
        part.words() & {"her", "him"}
        or part.noun("fry", "fish", "juveniles", "male", "female", "pair", "trio", "eggs")
        or part.kind("line", "num", "batch")
    ):
        return None
    came = teller.context.event
    if (
        (
            came is not None and came["kind"] == "stock_in" and not came.get("place")
            if teller.context.kind != "stock_in" or part.before is None
            else not part.before.kind("place", "size")
        )
        and part.tags[0] is cue[0]
        and cue[0].word in ("put them in", "put them into", "put", "moved them to")
        and not part.kind("num", "line", "batch")
        and len(part.kind("place")) == 1
    ):
        return None  # "bought two trios and put them in tank 16": where they came to
    if part.sense("food") or part.noun("mop", "filters") or part.sense("item"):
        return None
    if not part.kind("place", "size", "num") and not part.kind("batch"):
        return None
    if (
        teller.context.values.get("item_sentence") == part.sentence
        and "it" in part.words()
        and not part.noun("fish", "fry", "eggs")
        and not part.kind("line", "batch")
    ):
        return None
    if any(t.word in ("heater", "house", "car", "truck", "rack", "shelf", "thermometer", "light") for t in part.tags):
        return None
    if places or part.kind("batch", "line"):
        return Sight(4, tuple(cue))
    return None


def _rest_of_a_pull(last: Raw, group: Group, teller: Teller) -> bool:
    """Whether the eggs left of a pull are moved, whose bad ones were just told: "…, the rest went into tub D"."""
    return (
        last["kind"] == "bad_eggs"
        and bool(group.words() & {"rest", "others", "remaining", "good"})
        and not group.noun("fry", "fish", "male", "female", "juveniles")
        and any(e["kind"] == "pull" and not e.get("to") and e.get("place") == last.get("place") for e in teller.events)
    )


def _left(group: Group, teller: Teller, target: str) -> list[str]:
    """Where fish can have been moved from: the tanks called what was said, else those with such young; few or none."""
    names = teller.names
    roles = [r for t in group.tags for r in t.senses.get("role", ())]
    spots = [p for r in roles for p in names.with_role(r)]
    spots += [b.place for b in names.batches if b.stage == group.stage()]
    found = [p.name for p in names.places if p.name in spots and p.name != target and names.batches_in(p.name)]
    return found if len(found) <= MOST_OFFERED else []


def tell_move(group: Group, teller: Teller) -> None:
    if _told_before(group, teller) or _puts_the_pull(group, teller):
        return
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "move"})
        return
    journey = Journey(group, teller)
    if not journey.ends() or _share_of_a_pull(journey):
        return
    journey.in_there()
    if not journey.many():
        return
    journey.sexes()
    journey.home()
    journey.of_the_hatched()
    if _complete(journey):
        teller.tell("move", group, **journey.keys())


def _told_before(group: Group, teller: Teller) -> bool:
    """Whether these clauses were told already: as a move, or as eggs pulled into a tub."""
    last = teller.context.event
    if last is None:
        return False
    if last["kind"] == "move":
        return last.get("_group_parts") is group.parts
    return last["kind"] == "pull" and bool(last.get("to")) and last["_group"].parts is group.parts


def _puts_the_pull(group: Group, teller: Teller) -> bool:
    """ "…, they went into tub D": where the eggs just pulled were put."""
    last = teller.context.event
    here = [t for t in group.kind("place") if len(t.value) == 1]
    if last is None or not (last["kind"] == "pull" or _rest_of_a_pull(last, group, teller)):
        return False
    if len(here) != 1 or group.kind("batch") or [t for t in group.kind("num") if t.claimed != "wrong"]:
        return False
    for raw in teller.events:
        other = raw.get("place") != here[0].value[0]
        if raw["kind"] == "pull" and not raw.get("to") and other and raw.get("count") != 0:
            raw["to"] = here[0].value[0]
    return True


def _share_of_a_pull(journey: Journey) -> bool:
    """ "17 on the mop, 1 white, so 16 into tub B": where those of the pull went that are good."""
    teller, group, names = journey.teller, journey.group, journey.teller.names
    last = teller.context.event
    pulled = last if last is not None and last["kind"] == "pull" and not last.get("to") else None
    if pulled is None and last is not None and last["kind"] == "bad_eggs":
        open_pulls = [e for e in teller.events if e["kind"] == "pull" and not e.get("to")]
        pulled = next((e for e in reversed(open_pulls) if e.get("place") == last.get("place")), None)
    its = [(v, t) for v, t in journey.numbers() if t.low is None]
    target = names.place_of.get(str(journey.target))
    if pulled is None or journey.sure or journey.batch is not None or len(its) != 1:
        return False
    if sum(k == "P" for k, _, _ in journey.said) != 1 or target is None or target.role != "eggs":
        return False
    if group.noun("fry", "male", "female", "juveniles", "adults"):
        return False
    if not isinstance(pulled.get("count"), int) or its[0][0] > pulled["count"]:
        return False
    pulled["to"] = journey.target
    its[0][1].claimed = "pairs"
    return True


def _complete(journey: Journey) -> bool:
    """Whether it is known from where to where; what is missing is asked."""
    teller, group = journey.teller, journey.group
    source, target, batch, count = journey.source, journey.target, journey.batch, journey.count
    if target is None:
        if (count is not None or batch) and (source is not None or batch or journey.line):
            partial = {"kind": "move", "from": source, "batch": batch, "count": count}
            teller.ask(group, "Moved to which tank or tub?", "to", partial)
        return False
    if source is None and batch is None:
        held = {"kind": "move", "to": target, "count": count, "line": journey.line}
        teller.ask(group, "Moved from which tank or tub?", "from", held, _left(group, teller, target))
        return False
    if source == target:
        partial = {"kind": "move", "from": source, "count": count}
        teller.ask(group, "Moved from where to where?", "to", partial)
        return False
    return True
