"""Who was fed what."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.water.places import place_list


def sees_feed(part: Part, teller: Teller) -> Sight | None:
    foods = part.sense("food")
    feed, gave = part.cues("feed"), part.cues("gave")
    if part.has("harvest", "crash") and not part.kind("place", "num"):
        return None
    if part.noun("culture") and not part.kind("place", "num"):
        return None
    if part.has("rule"):
        return None
    if part.words() & {"ever", "try"} and not part.kind("place", "num"):
        return None
    if (
        foods
        and len(part.tags) <= 2
        and part.before is not None
        and (len(teller.context.places) == 1 or part.before.kind("place"))
        and not part.has("start", "crash")
    ):
        return Sight(3, tuple(foods))
    if foods and part.has("start") and not feed and not (part.kind("place") or part.sense("group")):
        return None
    if (
        foods
        and not feed
        and not gave
        and teller.context.kind == "culture"
        and part.tags[-1].kind == "num"
        and part.tags[-2:-1]
        and part.tags[-2].says("food")
    ):
        return None  # "call it daphnia 2"
    if foods and gave and not feed and all(t.word in ("had", "got", "has") for t in gave):
        order = [id(t) for t in part.tags]
        spoilt = part.words() & {"gone", "went", "turned", "been"}
        if spoilt and all(order.index(id(t)) < order.index(id(gave[0])) for t in foods):
            return None  # "the microworms had gone thin"
    if foods and not feed and not gave and _may_be_a_bloom(part, foods):
        return None
    if foods and all(t.word == "ate" for t in feed) and feed:
        feed = []
    if feed and not (feed[0].word in ("ate", "eating") and not foods):
        return Sight(5 if foods else 4, (*feed, *gave, *foods, *part.cues("done")))
    if (
        foods
        and not gave
        and part.words()
        & {
            "smell",
            "smells",
            "smelled",
            "look",
            "looks",
            "looking",
            "going",
            "thick",
            "thin",
            "lid",
            "box",
            "jar",
            "low",
            "out",
            "need",
            "needs",
            "doing",
        }
    ):
        return None
    if foods and (
        part.kind("place", "size", "batch", "num", "line")
        or part.sense("group")
        or gave
        or part.noun("fry", "adults", "juveniles")
    ):
        if part.kind("culture"):
            return None
        return Sight(4, (*foods, *gave))
    if foods and teller.context.kind == "feed":
        return Sight(3, tuple(foods))
    if gave and gave[0].word.startswith(("shared", "dished")) and part.kind("num", "place") and teller.context.food:
        return Sight(4, tuple(gave))
    if (
        gave
        and gave[0].word in ("gave", "got")
        and part.words() & {"them", "some"}
        and teller.context.values.get("food_sentence") == part.sentence
        and len(part.tags) <= 6
    ):
        return Sight(3, tuple(gave))
    return None


def _may_be_a_bloom(part: Part, foods: list[Tag]) -> bool:
    """Whether a tank may have turned green instead of being fed: "tank 13 has green water"."""
    green = all("green water" in t.senses["food"] for t in foods)
    return green and not part.words() & {"into", "to", "for", "with", "some", "drops", "drop", "dash", "splash", "bit"}


def tell_feed(group: Group, teller: Teller) -> None:
    foods = list(group.sense("food"))
    cut = next((group._index(t) for t in group.tags if t.says("except")), None)
    later = [t for t in foods if cut is not None and group._index(t) > cut]
    if later and len(later) < len(foods):
        foods = [t for t in foods if t not in later]
    found = list(dict.fromkeys(min(t.senses["food"]) for t in foods))
    if group.words() & {"rest", "others"} and not group.sense("except") and teller.events:
        teller.ask(
            group, "Who are the rest?", "place", {"kind": "feed", **({"food": found[0]} if len(found) == 1 else {})}
        )
        return
    every = [
        e for e in teller.events if e["kind"] == "feed" and not e.get("food") and e["_group"].sentence == group.sentence
    ]
    if (
        found
        and every
        and not group.kind("place", "num")
        and ({"times", "time", "both"} & group.words() or group.sense("each"))
    ):
        for raw in every:  # "fed E at 7 and at 3, powder both times"
            raw["food"] = found[0]
        return
    places, left_out = place_list(group, teller, "feed", **({"food": found[0]} if len(found) == 1 else {}))
    if places is None:
        return
    if (group.sense("except") and not left_out) or any(
        w in group.text() for w in ("each time", "alternat", "except first", "first was")
    ):
        teller.ask(group, "Who got what, and who was left out?", "place", {"kind": "feed"})
        return
    last = teller.context.event
    if (
        not places
        and last is not None
        and last["kind"] == "feed"
        and last.get("except")
        and group.tags[0].word in ("they", "those", "these")
    ):
        places = [str(p) for p in last["except"]]
    if (
        last is not None
        and last["kind"] == "feed"
        and last.get("except")
        and not last.get("food")
        and len(found) == 1
        and not places
        and not group.cues("feed", "gave")
        and teller.context.sentence == group.sentence
        and len(group.tags) <= 2
    ):
        last["food"] = found[0]
        return
    if not places and (group.noun("fry") or any(t.word.startswith("fry ") for t in foods)) and not group.kind("line"):
        places = ["all fry"]
    if not places and group.noun("adults") and not group.kind("line"):
        places = ["all adults"]
    if not places:
        places = teller.places_where(group, "feed")
    if not found:
        seen = (
            teller.context.values.get("food") if teller.context.values.get("food_sentence") == group.sentence else None
        )
        found = (
            [str(seen)]
            if seen and not group.cues("feed")
            else ([teller.context.food] if teller.context.food and teller.context.kind == "culture" else [])
        )
    if not places:
        if teller.context.event is not None and teller.context.event["kind"] == "feed" and found:
            return
        if (
            group.tags[0].word == "fed"
            and not group.sense("food")
            and not group.kind("line")
            and not group.noun("fish", "fry", "adults", "male", "female")
            and len([t for t in group.tags if t.kind in ("word", "lex")]) <= 2
        ):
            if any(t.senses.get("food") for t in teller.all_tags):
                teller.ask(group, "Who was fed what?", "place", {"kind": "feed"})
                return
            hours: list[Tag | None] = [*group.kind("clock")] or [None]
            for tag in hours:
                raw = teller.tell("feed", group, places=["all"])
                if tag is not None:
                    raw["_clock"] = tag.value
            return
        then = group.parts[-1].after
        if then is not None and then.joiner == ":" and then.sense("food"):
            return  # "did the feeding: flake for 13": what follows says it
        if group.cues("done") or "done" in group.words():
            teller.tell("done", group, task=group.text())
            return
        teller.ask_place(group, {"kind": "feed", **({"food": found[0]} if found else {})})
        return
    clocks = list(group.kind("clock"))
    spots = {id(t) for k, _, t in group.sequence("place") if k in "PB"}
    order = "".join("C" if t in clocks else "P" for t in group.tags if t in clocks or id(t) in spots)
    if "PCP" in order or "CPC" in order:
        runs: list[tuple[list[str], list[Tag]]] = []
        its = {
            id(t): [teller.names.batch_of[v].place if k == "B" else v for v in vs]
            for k, vs, t in group.sequence("place")
            if k in "PB"
        }
        last_kind = ""
        for tag in group.tags if order.startswith("P") else ():
            if id(tag) in its:
                if last_kind != "P":
                    runs.append(([], []))
                runs[-1][0].extend(its[id(tag)])
                last_kind = "P"
            elif tag in clocks:
                runs[-1][1].append(tag)
                last_kind = "C"
        if not runs or not all(t for _, t in runs) or group.words() & {"both", "again", "all"}:
            teller.ask(group, "Who was fed when?", "time", {"kind": "feed"})
            return
        fed: list[str | None] = [*found] or [None]
        for where_, times_ in runs:
            for tag in times_:
                for food in fed:
                    raw = teller.tell("feed", group, places=where_, food=food)
                    raw["_clock"] = tag.value
        return
    bare = [t for t in group.kind("num") if t.claimed == "clock"]
    times = [t.value for t in group.tags if t in clocks or t in bare]
    if len(found) > 1 and len(times) == len(found):
        for food, clock in zip(found, times, strict=True):
            raw = teller.tell("feed", group, places=places, food=food, except_=left_out)
            raw["_clock"] = clock
        return
    named: list[str | None] = [*found] or [None]
    for what in named:
        if len(times) > 1:
            for clock in times:
                raw = teller.tell("feed", group, places=places, food=what, except_=left_out)
                raw["_clock"] = clock
        else:
            teller.tell("feed", group, places=places, food=what, except_=left_out)
    if later and len(later) < len(group.sense("food")) and left_out:
        teller.tell("feed", group, places=left_out, food=min(later[0].senses["food"]))
