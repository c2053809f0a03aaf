"""Who was fed what."""

from __future__ import annotations

from typing import Any

from bot.language.clauses.group import Group, Raw
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.water.places import place_list

_CHECKED = frozenset(  # said of a culture or a tin of food, and not of a meal
    ["smell", "smells", "smelled", "look", "looks", "looking", "going", "thick", "thin", "lid", "box", "jar", "low",
     "out", "need", "needs", "doing"]
)  # fmt: skip


def sees_feed(part: Part, teller: Teller) -> Sight | None:
    foods, feed, gave = part.sense("food"), part.cues("feed"), part.cues("gave")
    if part.has("rule") or (_of_a_culture(part) and not part.kind("place", "num")):
        return None
    if foods and _names_only_food(part, teller):
        return Sight(3, tuple(foods))
    if foods and not feed and (_begins_food(part) or _names_a_culture(part, gave, teller)):
        return None
    if foods and not feed and (_food_had_turned(part, foods, gave) or (not gave and _may_be_a_bloom(part, foods))):
        return None
    if foods and all(t.word == "ate" for t in feed):
        feed = []
    if feed and (foods or feed[0].word not in ("ate", "eating")):
        return Sight(5 if foods else 4, (*feed, *gave, *foods, *part.cues("done")))
    if foods and not gave and part.words() & _CHECKED:
        return None
    eaters = part.kind("place", "size", "batch", "num", "line") or part.noun("fry", "adults", "juveniles")
    if foods and (eaters or gave or part.sense("group")):
        return None if part.kind("culture") else Sight(4, (*foods, *gave))
    if foods and teller.context.kind == "feed":
        return Sight(3, tuple(foods))
    if gave and gave[0].word.startswith(("shared", "dished")) and part.kind("num", "place") and teller.context.food:
        return Sight(4, tuple(gave))
    if gave and gave[0].word in ("gave", "got") and _some_of_the_food(part, teller):
        return Sight(3, tuple(gave))
    return None


def _of_a_culture(part: Part) -> bool:
    """Whether a culture is spoken of, or a food that was never tried."""
    return part.has("harvest", "crash") or bool(part.noun("culture") or part.words() & {"ever", "try"})


def _names_only_food(part: Part, teller: Teller) -> bool:
    """ "14, bbs": a clause of hardly more than the food, after a place."""
    before = part.before
    return (
        len(part.tags) <= 2
        and before is not None
        and (len(teller.context.places) == 1 or bool(before.kind("place")))
        and not part.has("start", "crash")
    )


def _begins_food(part: Part) -> bool:
    """ "Started bbs": they are begun, and fed to nobody."""
    return part.has("start") and not part.kind("place") and not part.sense("group")


def _names_a_culture(part: Part, gave: list[Tag], teller: Teller) -> bool:
    """ "Call it daphnia 2"."""
    last = part.tags[-2:]
    return (
        not gave
        and teller.context.kind == "culture"
        and len(last) == 2
        and last[0].says("food")
        and last[1].kind == "num"
    )


def _food_had_turned(part: Part, foods: list[Tag], gave: list[Tag]) -> bool:
    """ "The microworms had gone thin"."""
    if not gave or not all(t.word in ("had", "got", "has") for t in gave):
        return False
    order = [id(t) for t in part.tags]
    turned = part.words() & {"gone", "went", "turned", "been"}
    return bool(turned) and all(order.index(id(t)) < order.index(id(gave[0])) for t in foods)


def _some_of_the_food(part: Part, teller: Teller) -> bool:
    """ "… and gave them some", of a food named before in the sentence."""
    named = teller.context.values.get("food_sentence") == part.sentence
    return named and bool(part.words() & {"them", "some"}) and len(part.tags) <= 6


def _may_be_a_bloom(part: Part, foods: list[Tag]) -> bool:
    """Whether a tank may have turned green instead of being fed: "tank 13 has green water"."""
    green = all("green water" in t.senses["food"] for t in foods)
    return green and not part.words() & {"into", "to", "for", "with", "some", "drops", "drop", "dash", "splash", "bit"}


def tell_feed(group: Group, teller: Teller) -> None:
    """Log who was fed what, when, and who was left out; or ask."""
    foods, later = _foods_by_except(group)
    found = list(dict.fromkeys(min(t.senses["food"]) for t in foods))
    known = {"food": found[0]} if len(found) == 1 else {}
    if group.words() & {"rest", "others"} and not group.sense("except") and teller.events:
        teller.ask(group, "Who are the rest?", "place", {"kind": "feed", **known})
        return
    if found and _food_of_those_fed(group, teller, found[0]):
        return
    places, left_out = place_list(group, teller, "feed", **known)
    if places is None:
        return
    if (group.sense("except") and not left_out) or _by_turns(group):
        teller.ask(group, "Who got what, and who was left out?", "place", {"kind": "feed"})
        return
    places = places or _left_out_before(group, teller)
    if not places and len(found) == 1 and _food_of_all_but(group, teller, found[0]):
        return
    places = places or _by_age(group, foods) or teller.places_where(group, "feed")
    found = found or _food_before(group, teller)
    if not places:
        _fed_nowhere(group, teller, found)
        return
    named: list[str | None] = [*found] or [None]
    if _places_by_hours(group):
        _tell_runs(group, teller, named)
        return
    _tell_fed(group, teller, named, places, left_out)
    if later and left_out:
        teller.tell("feed", group, places=left_out, food=min(later[0].senses["food"]))


def _foods_by_except(group: Group) -> tuple[list[Tag], list[Tag]]:
    """What all got, and what those left out of it did: "flake for all except 3, which got bbs"."""
    foods = list(group.sense("food"))
    cut = next((group._index(t) for t in group.tags if t.says("except")), None)
    later = [t for t in foods if cut is not None and group._index(t) > cut]
    if not later or len(later) == len(foods):
        return foods, []
    return [t for t in foods if t not in later], later


def _food_of_those_fed(group: Group, teller: Teller, food: str) -> bool:
    """Whether this only says what was fed just before: "fed E at 7 and at 3, powder both times"."""
    if group.kind("place", "num") or not ({"times", "time", "both"} & group.words() or group.sense("each")):
        return False
    every = [
        e for e in teller.events if e["kind"] == "feed" and not e.get("food") and e["_group"].sentence == group.sentence
    ]
    for raw in every:
        raw["food"] = food
    return bool(every)


def _by_turns(group: Group) -> bool:
    """Whether not all got the same: "alternating flake and bbs"."""
    return any(w in group.text() for w in ("each time", "alternat", "except first", "first was"))


def _all_but(teller: Teller) -> Raw | None:
    """The feeding told last, when some were left out of it."""
    last = teller.context.event
    return last if last is not None and last["kind"] == "feed" and last.get("except") else None


def _left_out_before(group: Group, teller: Teller) -> list[str]:
    """Those left out of the feeding told last: "fed all but 3, they got bbs", "flake for all but 3, which got bbs"."""
    last, pointing = _all_but(teller), ("they", "those", "these", "which", "who")
    return [str(p) for p in last["except"]] if last and group.tags[0].word in pointing else []


def _food_of_all_but(group: Group, teller: Teller, food: str) -> bool:
    """Whether this only says what was fed: "fed all but 3, flake"."""
    last = _all_but(teller)
    if last is None or last.get("food") or group.cues("feed", "gave") or len(group.tags) > 2:
        return False
    if teller.context.sentence != group.sentence:
        return False
    last["food"] = food
    return True


def _by_age(group: Group, foods: list[Tag]) -> list[str]:
    """ "Fed the fry", "fry powder", "adults got flake": all of them, when no line is named."""
    if group.kind("line"):
        return []
    if group.noun("fry") or any(t.word.startswith("fry ") for t in foods):
        return ["all fry"]
    return ["all adults"] if group.noun("adults") else []


def _food_before(group: Group, teller: Teller) -> list[str]:
    """The food named earlier in the sentence, or that of the culture told of."""
    context = teller.context
    seen = context.values.get("food") if context.values.get("food_sentence") == group.sentence else None
    if seen and not group.cues("feed"):
        return [str(seen)]
    return [context.food] if context.food and context.kind == "culture" else []


def _fed_nowhere(group: Group, teller: Teller, found: list[str]) -> None:
    """What is told when no place is: all were fed, the feeding was done, or it is asked where."""
    last = teller.context.event
    if last is not None and last["kind"] == "feed" and found:
        return
    if _only_fed(group):
        _tell_all_fed(group, teller)
        return
    then = group.parts[-1].after
    if then is not None and then.joiner == ":" and then.sense("food"):
        return  # "did the feeding: flake for 13": what follows says it
    if group.cues("done") or "done" in group.words():
        teller.tell("done", group, task=group.text())
        return
    teller.ask_place(group, {"kind": "feed", **({"food": found[0]} if found else {})})


def _only_fed(group: Group) -> bool:
    """ "Fed at 8": hardly a word but that and when, and no letter, which may be a tub's."""
    return (
        group.tags[0].word == "fed"
        and not group.sense("food")
        and not group.kind("line")
        and not group.noun("fish", "fry", "adults", "male", "female")
        and len([t for t in group.tags if t.kind in ("word", "lex")]) <= 2
        and not any(len(t.word) == 1 and t.word.isalpha() for t in group.tags)
    )


def _tell_all_fed(group: Group, teller: Teller) -> None:
    """All were fed, as often as hours are named; where food is told of elsewhere it is asked who."""
    if any(t.senses.get("food") for t in teller.all_tags):
        teller.ask(group, "Who was fed what?", "place", {"kind": "feed"})
        return
    for clock in [t.value for t in group.kind("clock")] or [None]:
        raw = teller.tell("feed", group, places=["all"])
        if clock is not None:
            raw["_clock"] = clock


def _spots(group: Group) -> list[tuple[str, Any, Tag]]:
    return [s for s in group.sequence("place") if s[0] in "PB"]


def _places_by_hours(group: Group) -> bool:
    """Whether places and hours come by turns: "13 at 8, 14 at 9"."""
    spots = {id(t) for _, _, t in _spots(group)}
    clocks = group.kind("clock")
    order = "".join("C" if t in clocks else "P" for t in group.tags if t in clocks or id(t) in spots)
    return "PCP" in order or "CPC" in order


def _tell_runs(group: Group, teller: Teller, named: list[str | None]) -> None:
    """Every place fed at the hours after it; asked where that is not plain."""
    runs = _runs(group, teller)
    if not runs or not all(hours for _, hours in runs) or group.words() & {"both", "again", "all"}:
        teller.ask(group, "Who was fed when?", "time", {"kind": "feed"})
        return
    for places, hours in runs:
        for hour in hours:
            for food in named:
                teller.tell("feed", group, places=places, food=food)["_clock"] = hour.value


def _runs(group: Group, teller: Teller) -> list[tuple[list[str], list[Tag]]]:
    """Places and the hours after them, run by run; none when an hour leads."""
    its = {id(t): [teller.names.batch_of[v].place if k == "B" else v for v in vs] for k, vs, t in _spots(group)}
    clocks = group.kind("clock")
    runs: list[tuple[list[str], list[Tag]]] = []
    for tag in group.tags:
        if id(tag) in its:
            if not runs or runs[-1][1]:
                runs.append(([], []))
            runs[-1][0].extend(its[id(tag)])
        elif tag in clocks:
            if not runs:
                return []
            runs[-1][1].append(tag)
    return runs


def _tell_fed(group: Group, teller: Teller, named: list[str | None], places: list[str], left_out: list[str]) -> None:
    """The foods each at its hour, when there are as many hours as foods; else each at every hour."""
    clocks = group.kind("clock")
    hours = [t.value for t in group.tags if t in clocks or (t.claimed == "clock" and t in group.kind("num"))]
    if len(named) > 1 and len(hours) == len(named):
        fed: list[tuple[str | None, Any]] = list(zip(named, hours, strict=True))
    elif len(hours) > 1:
        fed = [(food, hour) for food in named for hour in hours]
    else:
        fed = [(food, None) for food in named]
    for food, hour in fed:
        raw = teller.tell("feed", group, places=places, food=food, except_=left_out)
        if hour is not None:
            raw["_clock"] = hour
