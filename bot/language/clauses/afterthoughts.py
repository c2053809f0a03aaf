"""A clause that only adds to what was just told: "26 left", "so 75", "14 more", "they're in tub D now"."""

from __future__ import annotations

import re

from bot.language.clauses.added_numbers import completes, counts_on, figures, reads_on
from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.telling import Teller


def settle(part: Part, teller: Teller) -> None:
    """ "They're in tub D now": where the eggs just pulled were put."""
    event = teller.context.event
    if event is not None and event["kind"] == "bad_eggs":
        pulls = [e for e in teller.events if e["kind"] == "pull" and not e.get("to")]
        event = pulls[-1] if len(pulls) == 1 else None
    if event is not None and event["kind"] == "pull" and _nothing_at_all(part):
        for raw in [e for e in teller.events if e["kind"] == "pull" and e["_group"] is event["_group"]]:
            raw.setdefault("count", 0)  # "pulled mop 4. Nothing."
            teller.read.add(id(part))
        return
    if event is None or event["kind"] != "pull" or event.get("to") or part.muted or part.kind("num", "pct"):
        return
    places = [t for t in part.kind("place") if len(t.value) == 1]
    words = [t.word for t in part.tags]
    while len(words) > 3 and words[0] in ("i", "we", "i've", "then", "just") and words[1].startswith(("put", "popped")):
        words = words[1:]
    if (
        len(places) != 1
        or places[0].value[0] == event.get("place")
        or words[0]
        not in (
            "put",
            "put them in",
            "put those in",
            "popped them in",
            "popped them into",
            "popped in",
            "went in",
            "all",
            "they",
            "they're",
            "they've",
            "these",
            "straight",
            "popped",
            "popped them in",
            "popped them into",
            "put them in",
            "put those in",
            "dropped them in",
            "those",
            "them",
            "now",
            "in",
            "into",
            "eggs",
            "both",
        )
    ):
        return
    n = next(i for i, t in enumerate(part.tags) if t is places[0]) - (len(part.tags) - len(words))
    if n and words[n - 1].split()[-1:] in (["in"], ["into"], ["to"]):
        event["to"] = places[0].value[0]
        if n == 1 and words[0].startswith(("put", "popped")):
            part.muted = "told"
        for raw in teller.events if words[0] in ("all", "both", "they", "them", "those") else ():
            along = event["_group"].sentence in (raw["_group"].sentence, part.sentence - 1)
            if raw["kind"] == "pull" and not raw.get("to") and raw.get("count") != 0 and along:
                raw["to"] = event["to"]


_NIL = frozenset(["nothing", "none", "nada", "zip", "zilch", "nil", "nowt", "zero", "empty", "thing", "sausage"])


def _nothing_at_all(part: Part) -> bool:
    """Whether a clause says that there was none, and no more: "nothing", "not a thing", "and none again"."""
    rest = {t.word for t in part.tags if t.kind != "punct"} - {"not", "a", "and", "at", "all", "again", "today", "but"}
    return bool(rest) and rest <= _NIL


_REST_OF_THEM = re.compile(
    r"(?:the )?(?:rest|others|other ones|remaining)(?: are| is| all| look| looks| still)*"
    r"(?: (?:fine|ok|okay|good|clear|great|well|alive|fertile|healthy))? # ?(?:ish|or so|of them|left)*"
)


def _rest_of_them(part: Part, teller: Teller) -> bool:
    """ "4 fungused out, rest fine 34": so many are left there."""
    event, nums = teller.context.event, figures(part)
    if event is None or event not in teller.events or event["kind"] not in ("bad_eggs", "death") or len(nums) != 1:
        return False
    where = {k: event[k] for k in ("place", "batch") if event.get(k)}
    if not where or nums[0].low is not None or not _REST_OF_THEM.fullmatch(part.text().replace(nums[0].word, "#", 1)):
        return False
    teller.tell("headcount", Group([part], teller.names, teller.context), **where, count=nums[0].value)
    return True


def place_after_all(group: Group, part: Part, teller: Teller) -> bool:
    """ "Lost one on monday. Female, tank 9": the place that was missing a moment ago."""
    if not teller.doubts or teller.doubts[-1].missing != "place" or not teller.doubts[-1].partial or part.cues():
        return False
    sized = [p for t in part.kind("size") for p in group.sized(t)]
    places = [p for t in part.kind("place") for p in t.value] + sized
    partial = teller.doubts[-1].partial
    if (
        len(places) != 1
        or part.kind("num")
        or partial.get("place")
        or partial.get("places")
        or partial.get("kind") not in ("death", "pull", "bad_eggs", "headcount", "hatch", "water_change", "top_off")
    ):
        return False
    teller.doubts.pop()
    keys = {k: v for k, v in partial.items() if k != "kind"}
    sex = Group(part.before_all(), teller.names, teller.context).sex()
    if sex and partial["kind"] == "death":
        keys["sex"] = sex
    where = {"places": places} if partial["kind"] in ("water_change", "top_off") else {"place": places[0]}
    teller.tell(str(partial["kind"]), group, **where, **keys)
    return True


def follows_up(group: Group, part: Part, teller: Teller) -> bool:
    """A clause that only adds a number or a place to what was just told: "26 left", "so 75", "14 more"."""
    return (
        _names_them(part, teller)
        or _rest_of_them(part, teller)
        or reads_on(group, part, teller)
        or completes(group, part, teller)
        or counts_on(group, part, teller)
    )


def _names_them(part: Part, teller: Teller) -> bool:
    """ "The egg water got changed. All three, A, B and C": which of a round they were."""
    event = teller.context.event
    places = [p for t in part.before_all() for tag in t.kind("place") for p in tag.value]
    if (
        event is None
        or event["kind"] != "water_change"
        or event.get("places") not in (["all egg tubs"], ["all fry tubs"])
        or not places
        or any(t.kind != "place" and t.word not in _ALL_OF_THEM for p in part.before_all() for t in p.tags)
    ):
        return False
    event["places"] = places
    for tag in (t for p in part.before_all() for t in p.kind("num")):
        tag.claimed = "pairs"
    return True


_ALL_OF_THEM = frozenset(["all", "both", "all three", "all four", "two", "three", "four", "of", "them", "and", "just"])
