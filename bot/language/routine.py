"""Standing changes to the routine: heaters, lights, how often to feed, change water and pull mops."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.clauses.group import Group, Raw
from bot.language.how_often import how_often
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.times.seasons import SPEAKS_OF_ONE, at_its_end


def _numbered(tags: list[Tag], at: int, teller: Teller) -> bool:
    """Whether a bare number there is a tank's, not how often."""
    if not 0 <= at < len(tags) or tags[at].kind != "num" or tags[at].value != int(tags[at].value):
        return False
    after = tags[at + 1].word if at + 1 < len(tags) else ""
    return str(int(tags[at].value)) in teller.names.by_id and after not in _COUNTED


_COUNTED = frozenset("x times time a per / feeds feedings meals changes hours hrs hour drops % percent".split())  # noqa: SIM905


def _tanks_by_number(tags: list[Tag], often: bool, teller: Teller) -> list[int]:
    """Where bare numbers stand that are tanks: at the head, after "in", a chore or another tank."""
    found: list[int] = []
    for n in range(len(tags)):
        before = tags[n - 1] if n else None
        near = before is None or before.word in ("in", "on", "for", "feed", "feeding", "tank", "from now on")
        near = near or (before is not None and n - 1 in found)
        if before is not None and often:
            joined = before.word in (",", "and", "&", "plus") and n - 2 in found
            near = near or joined or before.says("cue", "wc", "changed", "feed", "pull", "topoff")
            near = near or before.says("noun", "mop", "water", "tank") or before.kind == "sep"
        if near and (often or before is not None) and _numbered(tags, n, teller):
            found.append(n)
    return found


def _row(tags: list[Tag], at: int, teller: Teller) -> list[int]:
    """Where the numbers of a row stand: “13 and 14”, “12, 13 and 14”."""
    found = [at]
    while True:
        nxt = found[-1] + 1
        while nxt < len(tags) and tags[nxt].word in (",", "and", "&"):
            nxt += 1
        if nxt == found[-1] + 1 or not _numbered(tags, nxt, teller):
            return found
        found.append(nxt)


# What muses on a routine, or tells of one gone by, and sets none.
_IDLE_TALK = re.compile(
    r"^(?:if|unless|whenever|suppose|supposing|had i|maybe|perhaps|who|why|what if|imagine|wonder|i wonder|thinking of|thinking about)\b"
    r"|\b(?:is|was|are|were) (?:due|overdue|today|tomorrow|tonight|late|missed)\b"
    r"|\bwhat (?:do|would) you (?:think|reckon|say)\b|\bused to\b|\b(?:is|was|are|be) (?:plenty|enough|too (?:much|often|many)|overkill|fine|right|normal)\b|^(?:the |a |my |this |some )?(?:books?|article|video|label|packet|tin|forum|website|internet|experts?|they|people|everyone) (?:say|says|said|swear|swears|reckon|reckons)\b|\bby (?:the|his|her|my) (?:last|previous|old|first) \w+"
)


def setting(sentence: Sentence, teller: Teller) -> list[Raw] | None:
    """A standing change to the routine, when a sentence sets one; None when it does not."""
    text = sentence.text()
    if _IDLE_TALK.search(text):
        return None
    tags = _as_it_is_to_be(sentence.tags)
    text = " ".join(t.word for t in tags)
    cue = [t for t in tags if t.says("cue", "rule")]
    if (several := _several(sentence, bool(cue), teller)) is not None:
        return several
    freq = how_often(tags, text, bool(cue))
    degrees = [t for t in tags if t.kind in ("deg",) or t.kind == "num"]
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    places = [p for t in tags if t.kind == "place" for p in t.value]
    group = Group(sentence.parts, teller.names, teller.context)
    if not places and any(t.kind == "size" or t.says("role", "quarantine", "nursery", "grow-out") for t in tags):
        places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
    lines = group.lines()
    if any(t.kind == "place" and not t.value for t in tags) and (cue or freq):
        teller.ask_place(group, {"kind": "setting"})
        return []
    numbers_in = _tanks_by_number(tags, freq is not None, teller)
    if not places and len(numbers_in) == 1:
        numbers_in = _row(tags, numbers_in[0], teller)
    if not places:
        places = [teller.names.by_id[str(int(tags[n].value))][0] for n in numbers_in]
    where: dict[str, object] = {}
    if batches:
        where["batch"] = batches[0]
    elif len(places) == 1:
        where["place"] = places[0]
    elif lines and not places:
        where["line"] = lines[0]
    if not where and (
        named := re.match(
            r"^(?:the )?(?:heater|heat|thermostat|stat) (?:in |on |of )?(\d+) (?:to|at|set to|up to|down to)\b", text
        )
    ):
        here = teller.names.by_id.get(named[1], ())
        where = {"place": here[0]} if len(here) == 1 and len(degrees) > 1 else where
    if degrees and _of_heater(text, bool(cue)):
        return _heater(text, degrees, where, group, teller)
    if re.search(r"\b(lights?|lites?|photoperiod)\b", text) and (
        cue
        or re.search(
            r"\b(set|timer|now|should be on|are to be on|must be on)\b|^(?:the )?lights? \d+ (?:\w+ )?(?:in|on|over)\b",
            text,
        )
    ):
        lit = _lights(tags, where, group, teller)
        if lit is not None:
            return lit
    if freq and (SPEAKS_OF_ONE.search(text) or any(t.kind == "batch" and not t.value for t in tags)):
        teller.ask(group, "Which chore, for which tank or batch, and when? " + _LIKE, "value", {"kind": "setting"})
        return []
    house = _of_the_house(text, tags)
    if house is not None:
        return house
    return _times(text, tags, freq, bool(cue), places, where, teller) if freq else None


# A chore bidden, not told: “feed everyone …”, “we should change …”. "Fed", "changed" tell of what was done.
_BIDDEN = re.compile(
    r"^(?:please |also |then |always |only |i |we |you |let's |lets |just |should |must |could |can |will |would |want to |need to )*"
    r"(?:feed|give|change|pull|start|clean|dose|test|service|squeeze|rinse|draw|collect|check|look|pick|water|do)\b"
)
_WHILE = re.compile(
    r"\b(?:when|while|whilst|whenever|as long as|as soon as|once|if) (?:it|it's|its|the (?:room|weather|nights?|days)|i am|i'm|we are|we're|temps?|nights?|days)\b"
)
_MEASURE = r"(?:more|less|extra|double|half|lighter|heavier|earlier|later)"
_ON_DAYS = (
    r"(?:(?:on|at|over|every|each) (?:the )?(?:weekends?|weekdays?|(?:mon|tues|wednes|thurs|fri|satur|sun)days?)"
    r"|from now on)"
)
_CHANGED_BY = re.compile(
    rf"\b{_MEASURE}(?: often| food| water| salt)? {_ON_DAYS}\b|\b(?:more|less)(?: often)?$|\b(?:more|less) often\b"
    rf"|\b{_ON_DAYS}.* {_MEASURE}\b|\b(?:more|less) (?:until|till|for)\b"
)

_DONE = re.compile(r"\b(?:did|fed|changed|done|pulled|started|cleaned|gave|just now|today|this (?:morning|evening))\b")


def bidden(sentence: Sentence, teller: Teller) -> bool:
    """Ask about clauses that bid a chore without its times and drop them; whether nothing of the sentence is left."""
    if sentence.stop == "?":
        return False
    asked = [p for p in sentence.parts if _without_times(p.text()) and not how_often(p.tags, p.text())]
    for part in asked:
        teller.ask(part, _HOW_OFTEN + _LIKE, "value", {"kind": "setting"})
    if asked:
        sentence.parts = [p for p in sentence.parts if p not in asked]
        sentence.tags = [t for t in sentence.tags if not any(t is its for p in asked for its in p.tags)]
    return bool(asked) and not sentence.parts


def _without_times(text: str) -> bool:
    """Whether a chore is bidden for a season, for as long as something lasts, or more or less often: no time of it."""
    if not _BIDDEN.match(at_its_end(text)) or _DONE.search(text):
        return False
    return any(p.search(text) for p in (SPEAKS_OF_ONE, _WHILE, _CHANGED_BY))


_HOW_OFTEN = "How often, and where? "
_LIKE = "Say it like “pull mops every 2 days in summer” or “feed tank 3 twice a day”."


_WARMTH_SET = re.compile(
    r"(?:i |we |i've |just |also |then )*(?:dropped|raised|lowered|bumped|set|turned) (?:up |down )?(?:the )?temp\w*\b.*\bto ~?\d"
)


def _of_heater(text: str, cue: bool) -> bool:
    """Whether a heater is set, and not only read or bought."""
    if _WARMTH_SET.match(text):
        return True
    if not re.search(r"\b(heater|heat|thermostat|heaters|stat|set ?point)\b", text):
        return False
    if re.search(r"^since\b.*\bheater\b.*\bis (at|on|set to) \d", text):
        return True
    if re.search(r"\bheat(er)? (up|down|to|at|now)( to)? (~)?\d|\bheater( (in|on|of))? \S+ to ~?\d", text):
        return True
    was = r"\btemp\w* (?:is |was |fell |went |came )?(?:up|down|back)\b"
    was += r"|\b(?:was|is|were) (?:off|out|dead|broken|unplugged)\b"
    if re.search(was, text) and not re.search(r"\b(?:set|turned|bumped|raised|lowered)\b", text):
        return False  # how warm it had become
    turned = r"\b(set|turned|turn|turning|going|bumped|raised|lowered|dropped|up to|down to|back to)\b"
    return (cue or bool(re.search(turned, text))) and bool(re.search(r"\b(to|at|up|down)\b", text))


def _heater(text: str, degrees: list[Tag], where: dict[str, object], group: Group, teller: Teller) -> list[Raw] | None:
    if re.search(r"\b(reads|reading|shows|showing)\b", text) and len(degrees) > 1:
        return None  # set to one thing and showing another: no change of routine
    tag = degrees[-1]
    value = tag.value
    if value < 10 or tag.low is not None:
        return None
    celsius = tag.unit == "c" or (tag.unit in ("", "d") and (teller.names.metric or value <= 35))
    c = round(value if celsius else (value - 32) * 5 / 9, 1)
    if not 5 <= c <= 36:
        return None
    if not where:
        if len(teller.context.places) == 1:
            where = {"place": teller.context.places[0]}
        else:
            teller.ask(group, "Which tank's heater?", "place", {"kind": "setting", "what": "heater_c", "value": c})
            return []
    return [{"kind": "setting", **where, "what": "heater_c", "value": c}]


def _lights(tags: list[Tag], where: dict[str, object], group: Group, teller: Teller) -> list[Raw] | None:
    hours = [t for t in tags if t.kind == "dur" and t.unit == "hour"]
    if hours and hours[0].low is not None:
        before = tags[tags.index(hours[0]) - 1].word
        its = teller.names.by_id.get(f"{hours[0].low:g}", ()) if before in ("on", "in", "over", "for") else ()
        if where or len(its) != 1:
            teller.ask(
                group,
                "How many hours of light, and over which tank?",
                "value",
                {"kind": "setting", "what": "light_hours"},
            )
            return []
        where = {"place": its[0]}  # "on 9 to 12 hours"
    if hours:
        return [{"kind": "setting", **where, "what": "light_hours", "value": hours[0].value}]
    return None


def _of_the_house(text: str, tags: list[Tag]) -> list[Raw] | None:
    """What holds for the whole room: when the nightly list comes, units, the time zone."""
    if (
        re.search(
            r"\b(nightly|summary|report|evening (message|list|overview|report|summary)|(nightly|daily|night) (list|overview))\b",
            text,
        )
        and any(t.kind == "clock" for t in tags)
        and re.search(r"\b(at|to|move|send|set)\b", text)
    ):
        clock = next(t.value for t in tags if t.kind == "clock")
        return [{"kind": "setting", "what": "nightly_at", "_value_clock": clock}]
    if (
        re.search(
            r"\b(use|switch to|talk|show me?|in|set units?|units)\b.*\b(metric|celsius|fahrenheit|imperial|us units|litres|gallons)\b",
            text,
        )
        and re.search(r"\b(units?|use|switch|talk|from now on)\b", text)
        and len(tags) < 12
        and not re.search(r"\d", text)
    ):
        return [
            {
                "kind": "setting",
                "what": "units",
                "value": "metric" if re.search(r"metric|celsius|litres", text) else "us",
            }
        ]
    zone = re.search(r"\b([a-z_]+) / ([a-z_]+)\b", text)
    if re.search(r"\btime ?zone\b", text) and zone:
        return [{"kind": "setting", "what": "time_zone", "value": f"{zone[1].title()}/{zone[2].title()}"}]
    return None


_AFTER_ALL = re.compile(r"^(?:not|instead of|rather than|and not|no longer|not just)$")


def _as_it_is_to_be(tags: list[Tag]) -> list[Tag]:
    """The tags without how it was: "weekly, not every 3 days", "twice a day instead of once"."""
    cut = next((n for n, t in enumerate(tags) if n and _AFTER_ALL.match(t.word)), None)
    if cut is None:
        return tags
    rest = tags[cut + 1 :]
    old = how_often(rest, " ".join(t.word for t in rest)) or (len(rest) <= 2 and any(t.kind == "num" for t in rest))
    new = how_often(tags[:cut], " ".join(t.word for t in tags[:cut]))
    return tags[:cut] if old and new else tags


def _several(sentence: Sentence, cue: bool, teller: Teller) -> list[Raw] | None:
    """Several routines in one sentence, each with its own times: "fry food 4x, egg tubs 2x"; None where there is one."""
    parts = [p for p in sentence.parts if p.kind("times", "dur") or how_often(p.tags, p.text(), cue)]
    if len(parts) < 2 or not (cue or all(how_often(p.tags, p.text()) for p in parts)) or _DONE.search(sentence.text()):
        return None
    out: list[Raw] = []
    for part in parts:
        freq = how_often(part.tags, part.text(), rule=True)
        places = [p for t in part.kind("place") for p in t.value]
        places = places or [
            teller.names.by_id[str(int(part.tags[n].value))][0] for n in _tanks_by_number(part.tags, True, teller)
        ]
        where: dict[str, object] = {"place": places[0]} if len(places) == 1 else {}
        told = _times(part.text(), part.tags, freq, True, places, where, teller) if freq else None
        if not told:
            teller.ask(part, "Which chore, for which tank or batch? " + _LIKE, "value", {"kind": "setting"})
            continue
        out += told
    return out


def _times(
    text: str,
    tags: list[Tag],
    freq: tuple[float | None, float | None],
    cue: bool,
    places: list[str],
    where: dict[str, object],
    teller: Teller,
) -> list[Raw] | None:
    """How often to feed, change water or pull mops from now on; `freq` is times a day and days between."""
    if not cue and not re.search(
        r"\b(instead of|now on|i'd like to|i want|we want|let's|lets|change|should|per day|a day|now|every|make it|\d+ day|schedule|weekly|switch|going to|please|daily|start)\b|/ ?day\b",
        text,
    ):
        return None
    if re.search(r"\b(did|fed|changed|done|been|pulled|was|were|got)\b", text) and not cue:
        return None
    per_day, days = freq
    what = None
    number: float | None = None
    mop = re.search(r"\b(mops?|pull|eggs? pull)\b", text)
    water = re.search(r"\b(wc|water|water changes?|changes?|changed?)\b", text)
    feed = re.search(r"\b(feeds?|fed|feeding|feedings|meals|food|fry food)\b", text)
    egg = re.search(r"\b(eggs?|egg tubs?)\b", text) or any(
        teller.names.place_of[p].role == "eggs" for p in places if p in teller.names.place_of
    )
    fry = re.search(r"\b(fry|babies|fry tubs?)\b", text) or any(
        teller.names.place_of[p].role == "fry" for p in places if p in teller.names.place_of
    )
    if not feed and not mop and any(t.says("group", "all egg tubs", "all fry tubs") for t in tags):
        water = water or re.search(r"tubs?", text)
    if feed and per_day:
        what, number = "feeds_per_day", per_day
    elif water and egg and per_day and not mop:
        what, number = "egg_changes_per_day", per_day
    elif water and fry and per_day:
        what, number = "fry_changes_per_day", per_day
    elif mop and days:
        what, number = "mop_every_days", days
    elif water and (days or per_day):
        what, number = "water_change_days", days or 1 / (per_day or 1)
    of_fish = any(t.kind == "line" or t.says("noun", "pair", "male", "female", "fish", "fry") for t in tags)
    if what is None and places and not (mop or water or feed or of_fish) and len(tags) <= 8:
        part = Part(tags)
        teller.ask(part, "Which chore: changing water, pulling mops or feeding?", "value", {"kind": "setting"})
        return []
    if what is None or number is None:
        return None
    out: list[Raw] = []
    spots = places if len(places) > 1 else [None]
    for place in spots:
        raw: Raw = {"kind": "setting", **where, "what": what, "value": int(number) if number == int(number) else number}
        if place:
            raw["place"] = place
        out.append(raw)
    return out
