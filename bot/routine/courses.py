"""Courses of treatment as a keeper says them: begun, a dose given, ended early.

What is put in and how much is the keeper's and the label's; nothing here names an illness or reckons a dose.
"""

from __future__ import annotations

import datetime as dt
import re

from bot import sentences as say
from bot.routine.taken import Scene, Taken
from shared.due.courses import COURSE, STOPPED, Course, counted_early, course_value, courses, given, parted, running
from shared.due.house_rules import Routine
from shared.events import Dosed, Event, RoutineSet
from shared.husbandry.doses import substance_of
from shared.ledger.standing import Standing

LONGEST = 60  # days: longer is no course
CARBON = "Carbon in a filter takes medicine out again, so it comes out for the course (common practice, no source)."
_UNITS = {
    "tbsp": "tbsps?|tablespoons?|tbs", "tsp": "tsps?|teaspoons?", "ml": "mls?|millilit(?:er|re)s?", "mg/l": "mg/l",
    "mg": "mg", "g": "g|gr|grams?", "drop": "drops?", "ppm": "ppm", "cup": "cups?", "leaf": "leaf|leaves",
    "tablet": "tablets?|tabs?",
}  # fmt: skip
_UNIT = "|".join(u for units in _UNITS.values() for u in units.split("|"))
_AMOUNT = rf"(?P<amount>\d+(?:\.\d+)?|an?|one|two|three|four|five|half an?|1/2) ?(?P<unit>{_UNIT})"
_SUBSTANCE = r"(?P<substance>[a-z][a-z-]*(?: [a-z][a-z-]*){0,2})"
_WHERE = r"(?P<where>(?:the )?[a-z0-9]+(?:[ ,&-]+[a-z0-9]+){0,7}?)"
_NUMBERS = {
    "a": 1,
    "an": 1,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "half a": 0.5,
    "half an": 0.5,
    "1/2": 0.5,
}
_DAILY = re.compile(r",?\s*\b(?:repeat(?:ing|ed)? )?(?:(?:once )?(?:a|per|every|each) day|(?:once )?daily)\b")
_TWICE = re.compile(r",?\s*\b(?:twice|two times|2 times|2x) ?(?:(?:a|per|every|each) day|daily)\b")
_CLOCK = r"(?:\d{1,2}(?:[:.][0-5]\d)? ?(?:am|pm|h)?|noon|midnight)"
_AT = re.compile(
    rf",?\s*\bat (?P<hours>{_CLOCK}(?:(?:,| and|,? &) ?(?:at )?{_CLOCK})*)(?=$|,| for\b| until\b| till?\b)"
)
_EVERY = re.compile(
    r",?\s*\b(?:repeat(?:ing|ed)? )?every (?:(?P<n>\d{1,2}|two|three|four|five|seven|ten) days|(?P<other>other) day)\b"
)
_LENGTH = re.compile(r",?\s*\b(?P<span>(?:for (?:the next )?|until |till |til )[a-z0-9 ]+?)\s*$")
_AGAIN = re.compile(
    r",?\s*(?:and )?(?:then )?(?:repeat(?:ing)?(?: it| the dose)?|again|second dose|another dose|dose again) "
    r"(?:in|after) (?P<length>(?:a|one|two|three|\d{1,2}) (?:days?|weeks?)|a fortnight)\s*$"
)
_NOW = (
    r"(?:(?:i'm|we're|i am|we are) )?"
    r"(?:(?:start(?:ing|ed)? (?:to )?|now )?(?:treat(?:ing)?|medicat(?:e|ing)|dos(?:e|ing)))"
)
_DOSE = rf"(?:{_AMOUNT} (?:of )?)?{_SUBSTANCE}"
_GONE = r"(?:(?:i|we|just|have|i've|we've) )*(?:treated|medicated|dosed)"
_PUT = r"(?:(?:i|we|just|have|i've|we've) )*(?:put|added|gave|dosed)"
_CORES = tuple(
    re.compile(rf"^{pattern}$")
    for pattern in (
        rf"(?:(?P<now>{_NOW})|(?P<gone>{_GONE})) {_WHERE} with {_DOSE}",
        rf"(?P<gone>{_PUT}) {_DOSE} (?:in|into|to) {_WHERE}",
        rf"(?:start(?:ing)? )?(?:a )?(?P<now>course|treatment) of {_DOSE} (?:in|for) {_WHERE}",
        rf"{_DOSE} (?:in|into|to) {_WHERE}",
        rf"(?P<now>{_NOW}) {_WHERE} with {_SUBSTANCE},? {_AMOUNT}",
        rf"{_SUBSTANCE} (?:in|into|to) {_WHERE},? {_AMOUNT}",
        rf"{_SUBSTANCE},? {_AMOUNT} (?:in|into|to) {_WHERE}",
        rf"{_WHERE}:? {_AMOUNT} (?:of )?{_SUBSTANCE}",
    )
)
_END = re.compile(
    r"^(?:no more|stop|stopped|stopping|end|ended|ending|call off|called off) (?:the |all )?"
    r"(?:(?:treatments?|treating|course|medicine|medicating|medication|dosing|doses)(?: of)?"
    r"|(?P<of>[a-z][a-z -]*?)(?: course| treatment| doses)?)"
    r"(?: (?:early|now))?(?: (?:in |of |for )?(?P<where>.+?))?(?: (?:early|now|today))?$"
)
_GIVEN = re.compile(
    r"^(?:(?:i|we) )?(?:dosed|treated|medicated) (?P<one>.+?)(?: (?:today|again))?$"
    r"|^(?:today's |the )?(?:dose|treatment|medicine) (?:is )?(?:in|for|to) (?P<two>.+?)"
    r" (?:is )?(?:done|given|in)$"
    r"|^(?:(?:i|we) )?(?:gave|put in|did) (?:the |today's )?(?:dose|treatment|medicine) (?:in|to|for) (?P<three>.+)$"
)


def course_order(text: str, scene: Scene, person: str | None) -> Taken | None:
    """What a note about a course comes to: begun, ended or a dose of it given; None when it is none of these.

    `person`: who says it, for the caution that is said the first time.
    """
    return _begun(text, scene, person) or _ended(text, scene) or _dose_given(text, scene)


# ---- begun


def _begun(text: str, scene: Scene, person: str | None) -> Taken | None:
    """A dose with how often and how long, or with when it is repeated; every word must be known."""
    today, rest = scene.now.date(), text
    times: tuple[str, ...] = ()
    if (hit := _AT.search(rest)) and not _AGAIN.search(rest):
        times = scene.words.clocks(hit["hours"].replace(" at ", " ")) or ()
        if not times:
            return None
        rest = rest[: hit.start()] + rest[hit.end() :]
    if hit := _TWICE.search(rest):
        if len(times) not in (0, 2):
            return None
        hours = Routine.of(scene.standing).named_times()
        times = times or (f"{hours['morning']:%H:%M}", f"{hours['evening']:%H:%M}")
        rest = f"{rest[: hit.start()]} daily{rest[hit.end() :]}"
    again = _AGAIN.search(rest)
    if again:
        length = scene.words.days(again["length"].replace("a fortnight", "two weeks"))
        if length is None:
            return None
        rest = rest[: again.start()]
        every, first, last = 1, length.back, length.back
    else:
        hit = _LENGTH.search(rest)
        length = scene.words.days(hit["span"]) if hit else None
        if hit is None or length is None or length.first != today:
            return None
        rest, first, last, every = rest[: hit.start()], today, length.last, 1
        if often := _EVERY.search(rest):
            every = 2 if often["other"] else int(_DAYS.get(often["n"]) or often["n"])
            rest = rest[: often.start()] + rest[often.end() :]
        elif often := _DAILY.search(rest):
            rest = rest[: often.start()] + rest[often.end() :]
        elif not re.match(rf"^(?:{_NOW}|{_GONE}|(?:start(?:ing)? )?(?:a )?(?:course|treatment) of)\b", rest):
            return None  # “salt in 12 for 3 days” may be a bath that is over
    rest = " ".join(rest.replace(" ,", ",").split()).strip(" ,")
    for core in _CORES:
        hit = core.match(rest)
        where = scene.words.where(hit["where"]) if hit else None
        if hit is None or where is None or not where.places or not _tanks(where.places, scene.standing):
            continue
        named = hit.groupdict()
        substance = substance_of(named["substance"])
        if substance in _NO_SUBSTANCE or every < 1 or (last - today).days > LONGEST:
            return None
        amount, unit = _amount(named.get("amount"), named.get("unit"))
        if named.get("gone") and not again and "repeat" not in text:
            return None  # “treated 12 daily for 3 days” may as well be over
        given_now = not named.get("now") and (bool(named.get("gone")) or bool(again))
        return _course(where.places, substance, amount, unit, every, first, last, given_now, scene, person, times)
    return None


_DAYS = {"two": 2, "three": 3, "four": 4, "five": 5, "seven": 7, "ten": 10}
_NO_SUBSTANCE = frozenset(
    ("fed", "feed", "food", "water", "eggs", "fry", "mop", "shrimp", "brine shrimp", "flake", "it")
)


def _course(
    places: tuple[str, ...],
    substance: str,
    amount: float | None,
    unit: str | None,
    every: int,
    first: dt.date,
    last: dt.date,
    given_now: bool,
    scene: Scene,
    person: str | None,
    times: tuple[str, ...] = (),
) -> Taken:
    dose = " ".join(w for w in (f"{amount:g}" if amount is not None else "", unit or "", substance) if w)
    where = {"place": places[0]} if len(places) == 1 else {"places": places}
    hours = tuple(dt.time.fromisoformat(t) for t in times)
    course = Course(places[0], dose, every, first, last, scene.now, hours)
    events: list[Event] = []
    lines = []
    if given_now:
        events.append(Dosed(substance=substance, amount=amount, unit=unit, **where))
        lines.append(f"{say.places(places)}: {_told_dose(substance, amount, unit)}.")
    value = course_value(dose, every, times)
    events.append(RoutineSet(what=COURSE, value=value, **where, **{"from": f"{first}", "to": f"{last}"}))
    today = scene.now.date()
    if first > today:
        lines.append(f"Again {say.day(first, today)}, on the list that day.")
    else:
        often = "a day" if every == 1 else f"every {every} days"
        number = len(course.slots(scene.now)) if times else len(course.days)
        doses = f"{say.count(number, 'dose')}, the last {say.day(course.days[-1], today)}"
        if times:
            often = f"at {say.listed(times)}" + ("" if every == 1 else f" {often}")
        lines.append(f"{say.places(places)}: {dose} {often}; {doses}.")
        if times:
            lines.append(f"Each at its hour; “dosed {say.places(places)}” puts one down as given.")
        elif not given_now:
            lines.append(f"Today's is on the list, not put down as given: “dosed {say.places(places)}” does that.")
    said_before = f"{person}|{substance}" in scene.standing.dosed_by or any(
        c.substance == substance for c in courses(scene.standing)
    )
    if not said_before and (caution := say.caution_for(substance)):
        if not given_now:  # a dose says its own
            lines.append(caution)
        if caution == say.MEDICINE:
            lines.append(CARBON)
    return Taken(tuple(events), tuple(lines))


def _told_dose(substance: str, amount: float | None, unit: str | None) -> str:
    much = f" {say.number(amount)} {unit or ''}".rstrip() if amount is not None else ""
    return f"{substance}{much}{'s' if unit == 'drop' and amount != 1 else ''}"


def _amount(amount: str | None, unit: str | None) -> tuple[float | None, str | None]:
    if not amount or not unit:
        return None, None
    number = _NUMBERS[amount] if amount in _NUMBERS else float(amount)
    return number, next(name for name, said in _UNITS.items() if re.fullmatch(said, unit))


def _tanks(places: tuple[str, ...], standing: Standing) -> bool:
    return all(p in standing.places and not standing.places[p].closed for p in places)


# ---- ended, given


def _ended(text: str, scene: Scene) -> Taken | None:
    hit = _END.match(text)
    if not hit:
        return None
    where = scene.words.where(hit["where"]) if hit["where"] else None
    if hit["where"] and (where is None or not where.places):
        return None
    known = running(scene.standing, scene.now)
    of = substance_of(hit["of"]) if hit["of"] else None
    if of is not None and of not in {c.substance for c in known}:
        return None
    mine = [c for c in known if (where is None or c.place in where.places) and of in (None, c.substance)]
    if not mine:
        spots = say.places(where.places) if where else "any tank"
        return Taken(answer=f"No treatment is running in {spots}.")
    if where is None and len({c.place for c in mine}) > 1 and len({c.dose for c in mine}) > 1:
        spots = say.listed(f"“stop the treatment in {p}”" for p in dict.fromkeys(c.place for c in mine))
        return Taken(answer=f"Treatments run in {say.places(list(dict.fromkeys(c.place for c in mine)))}: say {spots}.")
    events = tuple(RoutineSet(what=COURSE, place=c.place, value=f"{STOPPED}{c.substance}") for c in mine)
    lines = tuple(f"{c.place}: course of {c.dose} ended{_left(c, scene)}." for c in mine)
    return Taken(events, lines)


def _given_on(course: Course, scene: Scene) -> dt.date | None:
    last = given(scene.standing, course)
    return last.astimezone(scene.now.tzinfo).date() if last else None


def _left(course: Course, scene: Scene) -> str:
    today, last = scene.now.date(), _given_on(course, scene)
    if course.times:
        at, slots = given(scene.standing, course), _hours(course, scene)
        early = counted_early(slots)
        number = sum(slot > scene.now and (at is None or at < slot - early) for slot in slots)
        return f"; {say.count(number, 'dose')} left off" if number else ""
    ahead = [d for d in course.days if d > today or (d == today and (last is None or last < today))]
    return f"; {say.count(len(ahead), 'dose')} left off" if ahead else ""


def _dose_given(text: str, scene: Scene) -> Taken | None:
    """A dose of the one course that runs there, as much as was said for it."""
    hit = _GIVEN.match(text)
    said = next((w for w in hit.groups() if w), "") if hit else ""
    where = scene.words.where(said) if said else None
    if where is None or not where.places:
        return None
    events: list[Event] = []
    lines = []
    for place in where.places:
        mine = running(scene.standing, scene.now, place)
        if len(mine) != 1:
            return None
        amount, unit, substance = parted(mine[0].dose)
        events.append(Dosed(place=place, substance=substance, amount=amount, unit=unit))
        lines.append(f"{place}: {_told_dose(substance, amount, unit)}.{_off_its_hour(mine[0], scene)}")
    return Taken(tuple(events), tuple(lines))


def _hours(course: Course, scene: Scene) -> list[dt.datetime]:
    """When each dose of a course that has hours is due, in the room's zone."""
    zone = scene.now.tzinfo
    return [dt.datetime.combine(day, time, zone) for day, time in course.slots(course.said.astimezone(zone))]


def _off_its_hour(course: Course, scene: Scene) -> str:
    """What is said when a dose is given at no hour of its course: the next one stays on the list."""
    slots = _hours(course, scene)
    last = given(scene.standing, course)
    early = counted_early(slots)
    met = [at for at in slots if at - early <= scene.now and (last is None or last < at - early)]
    ahead = [at for at in slots if at - early > scene.now]
    if met or not ahead:
        return ""
    return f" Outside its hours: the dose of {say.day(ahead[0], scene.now.date())} {ahead[0]:%H:%M} stays on the list."
