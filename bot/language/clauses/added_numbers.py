"""A number that adds to what was just told: a reading, its count, more of it, what is left."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language import trade, water
from bot.language.clauses.group import Group, Raw
from bot.language.fish.counts import IT_IS_NOW
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller


def figures(part: Part) -> list[Tag]:
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


def _masked(text: str, tag: Tag) -> str:
    """A clause with "#" for its number."""
    return text.replace(tag.word, "#", 1).strip()


_LATER = re.compile(r"\b(retest|retested|again|later|now|after)\b")
_SHOWN = re.compile(r"\b(reading|reads|showing|shows|says|at|was|it's)\b")
_WISHED = re.compile(r"\bwant|\bset (at|to)\b")


def reads_on(group: Group, part: Part, teller: Teller) -> bool:
    """The number of a reading, or of what was left, that the clause before announced."""
    nums = figures(part)
    if len(nums) != 1 or nums[0].low is not None:
        return False
    tag = nums[0]
    if part.kind("place"):
        return _shown_by_gear(group, part, tag, teller)
    return (
        _read_again(group, part, tag, teller)
        or _left_there(group, part, tag, teller)
        or _read_as_announced(group, part, tag, teller)
        or _counted_there(group, part, tag, teller)
        or _warm_now(group, part, tag, teller)
        or _shown_by_gear(group, part, tag, teller)
    )


def _read_again(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """ "Nitrate 40 in 13. Retested, 20"."""
    ctx = teller.context
    later = part.kind("clock") or _LATER.search(part.text())
    now = ctx.kind == "measure" and [t.word for t in part.tags[1:]] == ["now"]
    if not ctx.quantity or len(ctx.places) != 1 or not later or (group.counts(tag) and not now):
        return False
    value = water.fits(ctx.quantity, float(tag.value), tag, teller)
    if value is None:
        return False
    _not_as_it_was(part, teller)
    teller.tell("measure", group, place=ctx.places[0], quantity=ctx.quantity, value=value)
    return True


def _left_there(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """The number left where "left" was said before it."""
    ctx = teller.context
    if ctx.values.get("left") != part.sentence or not _bare(group, part, [tag]):
        return False
    if ctx.batch and not ctx.places:
        where = {"batch": ctx.batch}
    elif len(ctx.places) == 1:
        where = {"place": ctx.places[0]}
    else:
        return False
    teller.tell("headcount", group, **where, count=tag.value)
    return True


def _read_as_announced(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """The value of a quantity that was named before it; in both places of a move, where "both" is said."""
    ctx, event = teller.context, teller.context.event
    if ctx.values.get("unread") != part.sentence:
        return False
    quantity = str(ctx.values["unread_quantity"])
    value = water.fits(quantity, float(tag.value), tag, teller)
    spots = list(ctx.places)
    if "both" in part.text() and event is not None and event["kind"] == "move":
        spots = [str(event[k]) for k in ("from", "to") if event.get(k)]
    if value is None or not spots:
        return False
    for place in spots:
        teller.tell("measure", group, place=place, quantity=quantity, value=value)
    return True


def _counted_there(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """ "Counted 13. There are 22"."""
    ctx = teller.context
    if len(ctx.places) != 1 or part.kind("batch"):
        return False
    if ctx.values.get("counted") not in (part.sentence, part.sentence - 1):
        return False
    if not _COUNTED.fullmatch(_masked(part.text(), tag)):
        return False
    ctx.values.pop("counted")
    teller.tell("headcount", group, place=ctx.places[0], count=tag.value)
    return True


def _warm_now(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """ "Changed half in 13, it's 25 now": degrees after what was done to the water."""
    ctx = teller.context
    done = ctx.kind in ("water_change", "service", "dose") and len(ctx.places) == 1 and not part.kind("batch")
    if not done or not IT_IS_NOW.match(part.text()):
        return False
    warm = water.fits("temperature", float(tag.value), tag, teller)
    if warm is None or warm <= _COLD:
        return False
    teller.tell("measure", group, place=ctx.places[0], quantity="temperature", value=warm)
    return True


def _shown_by_gear(group: Group, part: Part, tag: Tag, teller: Teller) -> bool:
    """ "Heater in 13 swapped, reading 25"."""
    ctx, text = teller.context, part.text()
    gear = ctx.values.get("item") in ("heater", "thermometer") and ctx.values.get("item_sentence") == part.sentence
    if not gear or len(ctx.places) != 1 or not _SHOWN.search(text) or _WISHED.search(text):
        return False
    value = water.fits("temperature", float(tag.value), tag, teller)
    if value is None:
        return False
    teller.tell("measure", group, place=ctx.places[0], quantity="temperature", value=value)
    return True


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


_BY_AN_HOUR = re.compile(r"\bby (noon|midday|about|around|\d|six|seven|eight|nine|ten|one|two)\b")
_MAY_LACK_A_COUNT = (
    "pull", "hatch", "eyed", "bad_eggs", "move", "death", "sale", "stock_in", "reserve", "headcount"
)  # fmt: skip


def completes(group: Group, part: Part, teller: Teller) -> bool:
    """What the event just told was missing, or what takes it back to be asked."""
    event = teller.context.event
    if event is None or event not in teller.events:
        return False
    nums = figures(part)
    tag = nums[0] if len(nums) == 1 else None
    if event["kind"] == "hatch" and nums and _BY_AN_HOUR.search(part.text()) and not _so_many_out(event, part, tag):
        teller.events = [e for e in teller.events if e is not event]
        partial: Raw = {k: event[k] for k in ("kind", "place", "batch") if k in event}
        teller.ask(group, "How many hatched in all?", "count", partial)
        return True
    if _sold_out_of(group, part, event):
        return True
    if tag is None:
        return False
    if _all_at_once(group, tag, teller):
        return True
    if _so_many_out(event, part, tag) or _its_number(event, part, tag):
        event["count"] = teller.context.count = int(tag.value)
        return True
    return False


def _so_many_out(event: Raw, part: Part, tag: Tag | None) -> bool:
    """ "B21 hatching! 3 out so far"."""
    if tag is None or tag.low is not None or event["kind"] != "hatch" or event.get("count") is not None:
        return False
    return bool(re.fullmatch(r"(?:\S+ )?\S+ (?:more )?out", part.text())) and not part.kind("place", "batch")


def _sold_out_of(group: Group, part: Part, event: Raw) -> bool:
    """ "Sold 4 to Mina. Out of 13": where they were taken from."""
    if event["kind"] != "sale" or not re.search(r"\b(out of|from|of)\b", part.text()):
        return False
    spoken = trade.places_told(group)
    if not spoken or event.get("place") or event.get("batch"):
        return False
    event["place"] = spoken[0]
    return True


def _all_at_once(group: Group, tag: Tag, teller: Teller) -> bool:
    """ "Fed A, B and C, all at 24": degrees of all the places told of."""
    if not {"all", "at"} <= group.words():
        return False
    value = water.fits("temperature", float(tag.value), tag, teller)
    its = [p for e in teller.events for p in (e.get("places") or ([e["place"]] if e.get("place") else []))]
    if value is None or not 14 <= value <= 34 or not its:
        return False
    for place in dict.fromkeys(map(str, its)):
        teller.tell("measure", group, place=place, quantity="temperature", value=value)
    return True


def _its_number(event: Raw, part: Part, tag: Tag) -> bool:
    """ "Pulled the mop in 4. So 12 in all": the number of what was just told without one."""
    lacks = event["kind"] in _MAY_LACK_A_COUNT and event.get("count") is None and not event.get("places")
    if not lacks or tag.low is not None or part.kind("place", "pct", "money", "line", "batch"):
        return False
    return bool(_ITS_COUNT.fullmatch(part.text().replace(tag.word, "#", 1)))


def counts_on(group: Group, part: Part, teller: Teller) -> bool:
    """A bare number after an event: more of it, its count, or what is left."""
    event, nums = teller.context.event, figures(part)
    if event is None or event not in teller.events or not _bare(group, part, nums):
        return False
    if part.kind("place", "pct", "money") or (part.after is not None and part.after.joiner in (":", "-")):
        return False  # "14: all good"
    kind, value = event["kind"], int(nums[0].value)
    where = {k: event[k] for k in ("place", "batch") if event.get(k)}
    known = event.get("count") is not None
    if known and part.kind("day") and kind in (*_ADDS_UP, "headcount") and len(part.tags) <= 4:
        teller.tell(kind, group, **where, count=value)
        return True
    if group.words() & {"looking", "look", "looks", "wobbly", "poorly"} and kind in ("death", "bad_eggs"):
        return False  # "and two more looking wobbly": not dead
    if known and {"more", "another"} & group.words() and kind in _ADDS_UP:
        teller.tell(kind, group, **where, count=value)
        return True
    if not known and (_all_of_them(part, kind) or _the_count(group, part, event, teller)):
        event["count"] = teller.context.count = value
        return True
    if known and where and kind in ("death", "bad_eggs", "sale") and _what_is_left(part):
        teller.tell("headcount", group, **where, count=value)
        return True
    return False


_ADDS_UP = ("hatch", "pull", "death", "bad_eggs")
_ALL_ARE = re.compile(r"^all (of them |the )?\S+ (of them )?(look|looks|looked|are|seem|went|made|came|settled|ate)\b")
_LEFT = re.compile(
    r"(so |now |leaves |that leaves |makes |which leaves |still )?\d+"
    r"( now| left| total| still| to go| remaining| alive| i (reckon|recon|think|guess|make it))?"
)


def _all_of_them(part: Part, kind: str) -> bool:
    """ "Moved them to 16. All six look healthy"."""
    return kind in ("move", "stock_in") and bool(_ALL_ARE.match(part.text())) and not part.kind("place", "line")


def _the_count(group: Group, part: Part, event: Raw, teller: Teller) -> bool:
    """Whether a number is the count that what was just told lacks."""
    kind, text = event["kind"], part.text()
    if "more" in group.words() or teller.context.sentence < part.sentence - 2:
        return False
    if kind == "pull":
        return part.joiner == "so" or bool(re.match(r"^(so|call it|say|total|about|maybe|~|\d)", text))
    if kind == "hatch":
        found = re.search(r"\b(found|total|see|saw|counted|of them|so far)\b", text)
        return bool(found) or len(part.tags) <= 3
    if kind == "move":
        return bool(re.match(r"^(all )?\d+( of them| total)?$", text))
    return kind in ("eyed", "bad_eggs")


def _what_is_left(part: Part) -> bool:
    """ "2 dead in 13, so 26", "… 26 left"."""
    return bool(_LEFT.fullmatch(part.text())) and part.joiner in (",", "so", "", "-", ":", "(", "and")
