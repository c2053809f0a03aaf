"""A clause that only adds to what was just told: "26 left", "so 75", "14 more", "they're in tub D now"."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language import trade, water
from bot.language.clauses.group import Group
from bot.language.fish.counts import IT_IS_NOW
from bot.language.scene import Part
from bot.language.tags import Tag
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
    event, nums = teller.context.event, _figures(part)
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
        or _reads_on(group, part, teller)
        or _completes(group, part, teller)
        or _counts_on(group, part, teller)
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


def _figures(part: Part) -> list[Tag]:
    return [t for t in part.kind("num") if t.claimed != "wrong"]


def _bare(group: Group, part: Part, nums: list[Tag]) -> bool:
    """Whether a clause has one number and it counts nothing that is named."""
    if len(nums) != 1:
        return False
    return (nums[0].low is None and nums[0].value == int(nums[0].value) and not group.counts(nums[0])) or bool(
        re.search(r"\b(more|in total|total|left|in there|or so)\b", part.text())
    )


_COLD = 14  # no "it's 12 now" is the water of a fish room
_COUNTED = re.compile(
    r"(?:and |so |still )*(?:there are|there were|there's|i got|i get|got|i make it|comes to|came to|it's|that's|makes"
    r"|total)?(?: still| only| exactly| about)? ?#(?: of them| in all| in there| fish| alive| altogether| again)*"
)


def _masked(text: str, nums: list[Tag]) -> str:
    return text.replace(nums[0].word, "#", 1).strip()


def _reads_on(group: Group, part: Part, teller: Teller) -> bool:
    """The number of a reading, or of what was left, that the clause before announced."""
    ctx = teller.context
    event = ctx.event
    nums = _figures(part)
    text = part.text()
    if (
        ctx.quantity
        and len(nums) == 1
        and nums[0].low is None
        and not part.kind("place")
        and len(ctx.places) == 1
        and (part.kind("clock") or re.search(r"\b(retest|retested|again|later|now|after)\b", text))
        and (not group.counts(nums[0]) or (ctx.kind == "measure" and [t.word for t in part.tags[1:]] == ["now"]))
    ):
        value = water.fits(ctx.quantity, float(nums[0].value), nums[0], teller)
        if value is not None:
            _not_as_it_was(part, teller)
            teller.tell("measure", group, place=ctx.places[0], quantity=ctx.quantity, value=value)
            return True
    if ctx.values.get("left") == part.sentence and _bare(group, part, nums) and not part.kind("place"):
        where = (
            {"batch": ctx.batch}
            if ctx.batch and not ctx.places
            else {"place": ctx.places[0]}
            if len(ctx.places) == 1
            else None
        )
        if where and nums[0].low is None:
            teller.tell("headcount", group, **where, count=nums[0].value)
            return True
    if ctx.values.get("unread") == part.sentence and len(nums) == 1 and not part.kind("place"):
        quantity = str(ctx.values["unread_quantity"])
        value = water.fits(quantity, float(nums[0].value), nums[0], teller)
        spots = list(ctx.places)
        if "both" in text and event is not None and event["kind"] == "move":
            spots = [str(event[k]) for k in ("from", "to") if event.get(k)]
        if value is not None and spots and nums[0].low is None:
            for place in spots:
                teller.tell("measure", group, place=place, quantity=quantity, value=value)
            return True
    if len(nums) == 1 and nums[0].low is None and len(ctx.places) == 1 and not part.kind("place", "batch"):
        where = {"place": ctx.places[0]}
        if ctx.values.get("counted") in (part.sentence, part.sentence - 1) and _COUNTED.fullmatch(_masked(text, nums)):
            ctx.values.pop("counted")
            teller.tell("headcount", group, **where, count=nums[0].value)
            return True
        warm = water.fits("temperature", float(nums[0].value), nums[0], teller) if IT_IS_NOW.match(text) else None
        if warm is not None and warm > _COLD and ctx.kind in ("water_change", "service", "dose"):
            teller.tell("measure", group, **where, quantity="temperature", value=warm)
            return True
    if (
        len(nums) == 1
        and nums[0].low is None
        and len(ctx.places) == 1
        and re.search(r"\b(reading|reads|showing|shows|says|at|was|it's)\b", text)
        and not re.search(r"\bwant|\bset (at|to)\b", text)
        and ctx.values.get("item") in ("heater", "thermometer")
        and ctx.values.get("item_sentence") == part.sentence
    ):
        value = water.fits("temperature", float(nums[0].value), nums[0], teller)
        if value is not None:
            teller.tell("measure", group, place=ctx.places[0], quantity="temperature", value=value)
            return True
    return False


def _not_as_it_was(part: Part, teller: Teller) -> None:
    """Let go of what was read before: "was 6.5, now 7"."""
    event, before = teller.context.event, part.before
    if event is None or event["kind"] != "measure" or before is None or "now" not in part.words():
        return
    was = next((two for one, two in pairwise(before.tags) if one.word == "was" and two.kind in ("num", "deg")), None)
    if was is not None and event in teller.events:
        was.claimed = "earlier"
        teller.events = [e for e in teller.events if e is not event]


_ITS_COUNT = re.compile(
    r"#(?: i make it| by my count| i reckon)?|(?:and )?(?:i make (?:it|that|them)|that's|that makes|makes) #"
    r"|(?:so |that's |makes |there were |all |about |maybe |perhaps |roughly |around |only |just |say |i counted |i count |looks like |i can see |i see )*"
    r"# ?(?:or so |ish )?(?:out |of them out |fry out )?(?:so far|already|of (?:them|those|em)|in all|all told|all up|in total|total|altogether|fish|fry)(?: now| then| so far| i think)?"
)


def _completes(group: Group, part: Part, teller: Teller) -> bool:
    """What the event just told was missing, or what takes it back to be asked."""
    ctx = teller.context
    event = ctx.event
    nums = _figures(part)
    text = part.text()
    if event is None or event not in teller.events:
        return False
    kind = event["kind"]
    out = len(nums) == 1 and nums[0].low is None and re.fullmatch(r"(?:\S+ )?\S+ (?:more )?out", text)
    if kind == "hatch" and out and event.get("count") is None and not part.kind("place", "batch"):
        event["count"] = ctx.count = int(nums[0].value)  # "B21 hatching! 3 out so far"
        return True
    if (
        kind == "hatch"
        and nums
        and re.search(r"\bby (noon|midday|about|around|\d|six|seven|eight|nine|ten|one|two)\b", text)
    ):
        teller.events = [e for e in teller.events if e is not event]
        teller.ask(
            group,
            "How many hatched in all?",
            "count",
            {k: event[k] for k in ("kind", "place", "batch") if k in event},
        )
        return True
    if (
        kind == "sale"
        and re.search(r"\b(out of|from|of)\b", text)
        and (spoken := trade.places_told(group))
        and not event.get("place")
        and not event.get("batch")
    ):
        event["place"] = spoken[0]
        return True
    if (
        len(nums) == 1
        and re.search(r"\ball( \w+)?( at| reading)? ?(~|about )?[\d]", text)
        and "at" in group.words()
        and nums[0].low is None
    ) or (len(nums) == 1 and "all" in group.words() and "at" in group.words()):
        value = water.fits("temperature", float(nums[0].value), nums[0], teller)
        spots = list(
            dict.fromkeys(
                str(p) for e in teller.events for p in (e.get("places") or ([e["place"]] if e.get("place") else []))
            )
        )
        if value is not None and 14 <= value <= 34 and spots:
            for place in spots:
                teller.tell("measure", group, place=place, quantity="temperature", value=value)
            return True
    if (
        len(nums) == 1
        and nums[0].low is None
        and event.get("count") is None
        and not event.get("places")
        and kind in ("pull", "hatch", "eyed", "bad_eggs", "move", "death", "sale", "stock_in", "reserve", "headcount")
        and not part.kind("place", "pct", "money", "line", "batch")
        and _ITS_COUNT.fullmatch(text.replace(nums[0].word, "#", 1))
    ):
        event["count"] = ctx.count = int(nums[0].value)
        return True
    return False


def _counts_on(group: Group, part: Part, teller: Teller) -> bool:
    """A bare number after an event: more of it, its count, or what is left."""
    ctx = teller.context
    event = ctx.event
    nums = _figures(part)
    text = part.text()
    if (
        event is None
        or event not in teller.events
        or not _bare(group, part, nums)
        or part.kind("place", "pct", "money")
        or (part.after is not None and part.after.joiner in (":", "-"))  # "14: all good"
    ):
        return False
    kind = event["kind"]
    value = int(nums[0].value)
    if (
        part.kind("day")
        and kind in ("death", "hatch", "bad_eggs", "pull", "headcount")
        and event.get("count") is not None
        and len(part.tags) <= 4
    ):
        where = {k: event[k] for k in ("place", "batch") if event.get(k)}
        teller.tell(kind, group, **where, count=value)
        return True
    if group.words() & {"looking", "look", "looks", "wobbly", "poorly"} and kind in ("death", "bad_eggs"):
        return False  # "and two more looking wobbly": not dead
    if (
        kind in ("move", "stock_in")
        and event.get("count") is None
        and len(nums) == 1
        and re.match(
            r"^all (of them |the )?\S+ (of them )?(look|looks|looked|are|seem|went|made|came|settled|ate)\b", text
        )
        and not part.kind("place", "line")
    ):
        event["count"] = ctx.count = int(nums[0].value)
        return True  # "… All six look healthy."
    if (
        {"more", "another"} & group.words()
        and event.get("count") is not None
        and kind in ("hatch", "pull", "death", "bad_eggs")
    ):
        where = {k: event[k] for k in ("place", "batch") if event.get(k)}
        teller.tell(kind, group, **where, count=value)
        return True
    if (
        "more" not in group.words()
        and event.get("count") is None
        and kind in ("hatch", "pull", "move", "eyed", "bad_eggs")
        and ctx.sentence >= part.sentence - 2
    ):
        if kind == "pull" and not re.match(r"^(so|call it|say|total|about|maybe|~|\d)", text) and part.joiner != "so":
            return False
        if (
            kind == "hatch"
            and not re.search(r"\b(found|total|see|saw|counted|of them|so far)\b", text)
            and len(part.tags) > 3
        ):
            return False
        if kind == "move" and not re.match(r"^(all )?\d+( of them| total)?$", text):
            return False
        event["count"] = value
        ctx.count = value
        return True
    if (
        kind in ("death", "bad_eggs", "sale", "move")
        and event.get("count") is not None
        and re.fullmatch(
            r"(so |now |leaves |that leaves |makes |which leaves |still )?\d+( now| left| total| still| to go| remaining| alive| i (reckon|recon|think|guess|make it))?",
            text,
        )
        and part.joiner in (",", "so", "", "-", ":", "(", "and")
    ):
        where = {k: event[k] for k in ("place", "batch") if event.get(k)}
        if kind == "move":
            return False
        if where:
            teller.tell("headcount", group, **where, count=value)
            return True
    return False
