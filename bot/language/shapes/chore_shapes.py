"""Short clauses of chores that are understood to the last word: shapes of what their words are, and what each tells.

A shape (`chore_clause`) fits the whole clause or not at all.
"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from collections.abc import Callable

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.shapes.chore_clause import Shaped, shape_of
from bot.language.telling import Teller, litres_of_volume
from bot.language.tending.gear import mended
from bot.language.text.pattern import pattern
from bot.language.water import fits

_LONGEST = 14

# Clauses that are told though they sound like a denial or like talk.
_PLAIN = re.compile(
    r"^(?:there (?:was|is) )?no \w+ in \S+(?: \S+)?$"
    r"|^(?:the |all the |my )?(?:\w+ )?(?:rounds?|jobs|chores) (?:is |are |all |now )*(?:done|finished|complete|all done)\b"
)


def told_by_shape(part: Part, teller: Teller, listed: bool) -> bool:
    """Tell a clause whose shape is known; False when it is not, or when it stands in a list."""
    if listed or (part.muted and not _PLAIN.match(part.text())) or part.asks or len(part.tags) > _LONGEST:
        return False
    shape, tags = shape_of(part)
    for words, tell in _TABLE:
        if pattern(words).fullmatch(shape):
            told = tell(Shaped(Group([part], teller.names, teller.context), teller, tags))
            if told:
                teller.read.add(id(part))
                return True
    return False


# ---- live foods


def _hatched(shaped: Shaped) -> str | None:
    """The one culture of a clause that is hatched from eggs in a day or two, as brine shrimp are."""
    its = [c for c in shaped.cultures() if "brine" in c or "artemia" in c]
    return its[0] if len(its) == 1 else None


def _brine_on(shaped: Shaped) -> bool:
    culture = _hatched(shaped)
    if culture is None:
        return False
    for tag in shaped.tags.get("NUM", ()):
        tag.claimed = "pairs"
    shaped.tell("culture", culture=culture, action="start")
    return True


def _brine_off(shaped: Shaped) -> bool:
    culture = _hatched(shaped)
    if culture is None:
        return False
    shaped.tell("culture", culture=culture, action="harvest")
    shaped.teller.context.food = min(shaped.tags["FOOD"][0].senses["food"]) if shaped.tags.get("FOOD") else None
    return True


def _one_culture(action: str) -> Callable[[Shaped], bool]:
    def tell(shaped: Shaped) -> bool:
        its = [c for c in shaped.cultures() if not c.startswith("?")]
        if len(its) != 1 or len(shaped.cultures()) != 1:
            return False
        shaped.tell("culture", culture=its[0], action=action)
        return True

    return tell


def _from_another(shaped: Shaped) -> bool:
    """A culture begun from another: the first named is the new one."""
    its = shaped.cultures()
    if not its or its[0].startswith("?"):
        return False
    for tag in shaped.tags.get("NUM", ()):
        tag.claimed = "wrong"
    shaped.tell("culture", culture=its[0], action="start")
    return True


def _split(shaped: Shaped) -> bool:
    """A culture parted: the old one goes on, and what the new one is called is asked."""
    its = [c for c in shaped.cultures() if not c.startswith("?")]
    if len(its) != 1:
        return False
    head = its[0].rstrip("0123456789 ")
    used = [int(i) for i in shaped.teller.names.culture_ids.get(head, {}) if i.isdigit()]
    new = f"{head} {max(used, default=1) + 1}"
    shaped.teller.ask(shaped.group, f"{its[0]} split: is the new one {new}, or was {its[0]} started anew?", "culture", {"kind": "culture", "action": "start"}, (new, its[0]))  # fmt: skip
    return True


# ---- water


def _topped(shaped: Shaped) -> bool:
    places = shaped.places()
    for tag in shaped.tags.get("VOL", ()):
        tag.claimed = "pairs"
    if not places:
        return False
    shaped.tell("top_off", places=places)
    return True


def _pairs(shaped: Shaped) -> bool:
    """ "wc 13 50 14 50 11 25": tank and percent by turns, where every first number is a tank and every other a share."""
    tags = [t for t in shaped.group.tags if t in shaped.tags.get("NUM", ()) or t in shaped.tags.get("PLACE", ()) or t in shaped.tags.get("PCT", ())]  # fmt: skip
    told: list[tuple[str, float]] = []
    for spot, share in zip(tags[::2], tags[1::2], strict=True):
        place = spot.value[0] if spot.kind == "place" and len(spot.value) == 1 else None
        place = shaped.group.place_id(spot) if spot.kind == "num" else place
        share_known = share.kind == "pct" or (share.kind == "num" and share.value in _SHARES)
        if place is None or not share_known or share.low is not None or spot.low is not None:
            return False
        if share.kind == "num" and shaped.group.place_id(share):
            return False  # it may be a tank as well
        told.append((place, float(share.value)))
    if len({p for p, _ in told}) < len(told):
        return False
    for tag in tags:
        tag.claimed = tag.claimed or "pairs"
    for place, percent in told:
        shaped.tell("water_change", places=[place], percent=percent)
    return True


_SHARES = frozenset((10.0, 15.0, 20.0, 25.0, 30.0, 33.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 75.0, 80.0, 90.0, 100.0))


def _how_often(shaped: Shaped) -> bool:
    """ "2 wc": tank 2, or twice? It is asked."""
    tag = shaped.tags["NUM"][0]
    place = shaped.group.place_id(tag)
    if tag.low is not None or not 1 <= tag.value <= 4 or place is None:
        return False
    question = f"Water changed in {place}, or {tag.value:g} changes? In which tank or tub?"
    shaped.teller.ask(shaped.group, question, "place", {"kind": "water_change"}, (place,))
    return True


def _changed(shaped: Shaped) -> bool:
    places = shaped.places()
    shares = shaped.tags.get("PCT", [])
    volumes = shaped.tags.get("VOL", [])
    if not places or any(t.low is not None or t.value > 100 for t in shares):
        return False
    half = 50.0 if shaped.group.words() & {"half", "haf", "hlf"} else None
    percent = round(shares[0].value, 1) if shares else half
    litres = litres_of_volume(volumes[0]) if volumes else None
    for tag in shaped.tags.get("AMT", ()):  # "5g out" is five gallons: nobody takes out grams
        if tag.unit != "g" or shaped.teller.names.metric:
            return False
        litres = round(tag.value * 3.785411784, 1)
        tag.claimed = "pairs"
    shaped.tell("water_change", places=places, percent=percent, litres=litres)
    return True


def _all_warm(shaped: Shaped) -> bool:
    """ "All tanks 75": degrees where the number can be nothing else."""
    tag = (shaped.tags.get("NUM") or shaped.tags.get("DEG", []))[0]
    if tag.kind == "num" and (shaped.teller.names.metric or not 60 <= tag.value <= 90):
        return False
    value = fits("temperature", float(tag.value), tag, shaped.teller)
    if value is None or tag.low is not None:
        return False
    tag.claimed = "pairs"
    shaped.tell("measure", places=[min(shaped.tags["GROUP"][0].senses["group"])], quantity="temperature", value=value)
    return True


# ---- fed, and kept as a remark


def _frozen(shaped: Shaped) -> bool:
    places = shaped.places()
    if len(places) < len(shaped.tags.get("NUM", ())):
        return False
    shaped.tell("feed", places=places, food="frozen")
    return True


def _brine_off_again(shaped: Shaped) -> bool:
    """ "… off": the brine shrimp that the clause before it set going."""
    last = shaped.teller.context.event
    if (
        last is None
        or last["kind"] != "culture"
        or last.get("action") != "start"
        or "brine" not in str(last["culture"])
    ):
        return False
    shaped.tell("culture", culture=last["culture"], action="harvest")
    shaped.teller.context.food = str(last["culture"])
    return True


def _noted(shaped: Shaped) -> bool:
    """Gear out of order, or what is plainly to be noted: a remark, with its one place."""
    places = shaped.places()
    if mended(shaped.group.parts[0]):
        return False  # "light in t8 blown, new tube put in"
    if len(places) > 1 or not (places or shaped.group.tags[0].word in ("note", "nb", "fyi", "make")):
        return False
    if shaped.group.kind("pct", "vol", "amount", "money") or len(shaped.tags.get("NUM", ())) > 1:
        return False
    shaped.tell("remark", text=shaped.teller.as_written(shaped.group.tags), place=places[0] if places else None)
    return True


# ---- what was put in, and gear


def _dosed(shaped: Shaped) -> bool:
    places = shaped.places()
    amounts = shaped.tags.get("AMT", [])
    if not places or len(amounts) > 1 or any(t.low is not None for t in amounts):
        return False
    substance = min(shaped.tags["SUBST"][0].senses["substance"])
    amount, unit = (amounts[0].value, amounts[0].unit) if amounts else (None, None)
    where = {"place": places[0]} if len(places) == 1 and not places[0].startswith("all") else {"places": places}
    shaped.tell("dose", **where, substance=substance, amount=amount, unit=unit)
    return True


def _gear(shaped: Shaped) -> bool:
    places = shaped.places()
    if not places:
        return False
    item = min(shaped.tags["ITEM"][-1].senses["item"])
    for place in places:
        shaped.tell("service", place=place, item=item)
    return True


# ---- routine


def _light_hours(shaped: Shaped) -> bool:
    hours = shaped.tags["DUR"][0]
    if not shaped.tags["ITEM"][0].says("item", "light"):
        return False
    if hours.unit != "hour" or hours.low is not None or not 1 <= hours.value <= 24:
        return False
    where = {"place": shaped.places()[0]} if shaped.tags.get("PLACE") else {}
    shaped.tell("setting", **where, what="light_hours", value=hours.value)
    return True


def _every(shaped: Shaped) -> bool:
    """How often mops are pulled, in the tanks named."""
    numbers = shaped.tags.get("DUR") or shaped.tags.get("NUM", [])[:1]
    tag = numbers[0]
    if tag.low is not None or (tag.kind == "dur" and tag.unit not in ("day", "week")) or not 1 <= tag.value <= 60:
        return False
    days = tag.value * (7 if tag.kind == "dur" and tag.unit == "week" else 1)
    tag.claimed = "times"
    places = [p for t in shaped.tags.get("PLACE", ()) for p in t.value]
    for place in places or [None]:
        shaped.tell("setting", what="mop_every_days", value=int(days), **({"place": place} if place else {}))
    return True


def _heater(shaped: Shaped) -> bool:
    if not any(t.says("item", "heater") for t in shaped.tags["ITEM"]):
        return False
    spot, degrees = shaped.group.kind("num", "place", "deg")[:2]
    value = float(degrees.value)
    celsius = degrees.unit == "c" or (degrees.unit != "f" and (shaped.teller.names.metric or value <= 35))
    warm = round(value if celsius else (value - 32) * 5 / 9, 1)
    place = spot.value[0] if spot.kind == "place" else shaped.group.place_id(spot)
    if place is None or not 10 <= warm <= 36:
        return False
    shaped.tell("setting", place=place, what="heater_c", value=warm)
    return True


# ---- ticks


def _done(shaped: Shaped) -> bool:
    shaped.tell("done", task=shaped.group.text())
    return True


def _skipped(shaped: Shaped) -> bool:
    for place in shaped.places() or [""]:
        shaped.tell("snooze", task=shaped.group.text(), **({"place": place} if place else {}))
    return True


_FAULT = r"(?:left open|left off|left on|open|out|off|dead|cracked|broken|broke|flickers|flickering|flikering|flickerin|buzzing|dripping|rattles|rattling|humming|leaking|stopped working|stopped|not working|failed|died|packed up|packd up|gone|blown|loose|ajar|stuck)"
_F = r"(?:FOOD|CULTURE)"
_IT = r"(?: it just evaporation| just evaporation| evaporation| evap)?"
_TABLE: list[tuple[str, Callable[[Shaped], bool]]] = [
    (rf"(?:set|set up|put|popped|got|started|start)(?: (?:new )?(?:batch|lot|load|round|hatch) of)?(?: (?:AMT|NUM spoons?|spoon|spoonful)(?: of)?)? {_F}(?: eggs)?(?: on| on to hatch| to hatch| going| up| off| in hatcher| in hatched)?", _brine_on),
    (rf"(?:AMT|NUM spoons?|spoon|spoonful)(?: of)? {_F}(?: eggs)? (?:on|on to hatch|to hatch|in|in hatcher|in hatched|in hatchery|in cone|in FOOD)", _brine_on),
    (rf"{_F}(?: eggs)? (?:on|set|set up|on to hatch|going|in hatcher|in hatched)", _brine_on),
    (rf"new {_F}(?: hatch| batch| bottle| jar| cone| lot)(?: started| on| set up| going| bubbling(?: away)?| up)?(?: as of)?", _brine_on),
    (rf"{_F}(?: is| are)?(?: come| came| taken| all)? (?:off|out|hatched out and off)", _brine_off),
    (rf"(?:got|took|brought|lifted) {_F} (?:out|off)", _brine_off),
    (rf"(?:siphoned|siphond|drained|ran|took|pulled|drew|poured|strained|collected|rinsed)(?: off| out)? {_F}(?: off| out)?", _brine_off),
    (rf"(?:yeast|yeest|oats|oatmeal|flour|spirulina|soy|milk|cornmeal|bread) (?:to|for|in|into|on) {_F}", _one_culture("feed")),
    (rf"{_F}(?: culture)? (?:got|had|given|gets|got bit of|had bit of) (?:yeast|oats|oatmeal|flour|soy|milk|cornmeal|bread|cider|green water|yeast soup|fresh oats)", _one_culture("feed")),
    (rf"(?:gave|give|fed) {_F}(?: culture)?(?: bit of| spoon of)? (?:yeast|oats|oatmeal|flour|soy|milk|cornmeal|bread|cider|yeast soup|green water)", _one_culture("feed")),
    (rf"{_F}(?: culture)? (?:got fed|got feed|fed)", _one_culture("feed")),
    (rf"(?:seeded|started|began|set up|made) {_F} (?:from|off|out of) (?:CULTURE|NUM)", _from_another),
    (r"CULTURE (?:started|seeded|begun|set up|made) (?:from|off|out of) (?:CULTURE|NUM)", _from_another),
    (r"(?:split (?:up )?(?:FOOD|CULTURE)|(?:FOOD|CULTURE) split(?: up)?|divided CULTURE)(?: into NUM(?: \w+)?| in NUM)?", _split),
    (r"(?:topped|topped up|topped off|top|top up|top off|topd) (?:all|GROUP|PLACE|NUM)(?: ,? ?(?:PLACE|NUM))*", _topped),
    (rf"(?:added|add|put) (?:VOL|gallon|litre|liter|quart|splash|bit|some|jug|drop|some water|bit of water|water) (?:to|in|into) (?:PLACE|NUM){_IT}", _topped),
    (r"(?:filled|refilled|brought) (?:PLACE|NUM) (?:back )?(?:up )?(?:to )?(?:line|mark|brim|top|level|back up)", _topped),
    (r"(?:made up|replaced|put back) evaporation (?:in|on|for) (?:PLACE|GROUP|NUM)", _topped),
    (r"GROUP (?:NUM|DEG)", _all_warm),
    (r"frozen(?: food| foods)?(?: (?:to|for|in))?(?: (?:PLACE|NUM))+", _frozen),
    (r"(?:all )?cultures? fed", _done),
    (r"(?:pulled |took |taken )?(?:it )?off", _brine_off_again),
    (rf"ITEM (?:(?:in|on|over|of|for|at) )?(?:PLACE|NUM) {_FAULT}", _noted),
    (rf"ITEM {_FAULT}(?: (?:in|on|over|for|at))? (?:PLACE|NUM)", _noted),
    (rf"PLACE ITEM {_FAULT}", _noted),
    (r"(?:rest|resting|resting pair in|rest pair in) (?:PLACE|NUM)(?: for)?(?: DUR| until| till)?", _noted),
    (r"(?:note|nb|make note|made note|fyi|for record)(?: for)?(?: that)?(?: [a-z']+)*(?: (?:PLACE|NUM))?(?: [a-z']+)*", _noted),
    (r"NUM (?:wc|wcs|water change|water changes)(?: done)?", _how_often),
    (r"wc(?: (?:NUM|PLACE) (?:NUM|PCT)){2,}", _pairs),
    (r"(?:PLACE|NUM) (?:VOL|AMT) (?:out|out and in|swapped|swap|changed)", _changed),
    (r"(?:water|h 2 o) PLACE", _changed),
    (r"(?:half|haf|hlf|PCT)(?: of)? water(?: in| of| out of| on| for)? PLACE", _changed),
    (r"(?:treated|dosed|medicated) (?:PLACE|NUM)(?: for \w+)? with(?: AMT(?: of)?)? SUBST", _dosed),
    (r"(?:PLACE|NUM) (?:treated|dosed|medicated)(?: for \w+)? with(?: AMT(?: of)?)? SUBST", _dosed),
    (r"(?:put|added|dropped|tipped|poured)(?: AMT(?: of)?)? SUBST (?:in|into|to|in to) (?:PLACE|NUM)", _dosed),
    (r"SUBST (?:went in|went into|in|into|put in|added to|to) (?:PLACE|NUM)", _dosed),
    (r"new ITEM (?:over|on|in|for) (?:PLACE|NUM)", _gear),
    (r"(?:new|changed|replaced) ITEM(?: in ITEM)? (?:in |on |over |for )?PLACE", _gear),
    (r"ITEM(?: on)?(?: for)? DUR(?: day| per day| , day)?(?: (?:(?:in|on|over) )?PLACE)?", _light_hours),
    (r"mops?(?: in)?(?: PLACE)* every (?:DUR|NUM (?:d|days|dys|day))(?: (?:from|in|for))?(?: PLACE)*(?: from)?(?: now)?", _every),
    (r"(?:pull|pull mops?|mops?)(?: in)?(?: (?:PLACE|,))+ every (?:DUR|NUM (?:d|days|dys|day))(?: from)?(?: now)?", _every),
    (r"ITEM (?:NUM|PLACE) (?:to|at|set to) (?:NUM|DEG)", _heater),
    (r"(?:all )?(?:mops|ITEM|cultures|drops|feeds) (?:all )?(?:done|finished|sorted)(?: now| today)?", _done),
    (r"(?:(?:morning|evening|noon|night|midday|sunday|saturday|weekend) )?(?:round|rounds|jobs|chores|list)(?: all)? (?:done|finished|complete|completed|all done)(?: x)?", _done),
    (r"(?:tub|tubs|GROUP) (?:changes|chgs) (?:done|finished)(?: x)?", _done),
    (r"skip (?:PLACE|NUM) (?:mop|mops|wc|water|feed)", _skipped),
    (r"skip (?:mop|mops|wc|water|feed) (?:in |for |on )?(?:PLACE|NUM)", _skipped),
]  # fmt: skip
