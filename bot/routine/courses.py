"""Courses of treatment as a keeper says them: begun, a dose given, ended early.

What is put in and how much is the keeper's and the label's; nothing here names an illness or reckons a dose.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Any

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


@dataclass(frozen=True)
class _Plan:
    """How often, from when and until when, at what hours; `again`: a dose given now that is repeated on one day."""

    every: int
    first: dt.date
    last: dt.date
    times: tuple[str, ...]
    again: bool = False


@dataclass(frozen=True)
class _Dose:
    """What goes in where; `given`: it has gone in just now."""

    places: tuple[str, ...]
    substance: str
    amount: float | None
    unit: str | None
    given: bool

    @property
    def words(self) -> str:
        """As a course keeps it: `2 tsp salt`."""
        amount = f"{self.amount:g}" if self.amount is not None else ""
        return " ".join(w for w in (amount, self.unit or "", self.substance) if w)

    @property
    def where(self) -> dict[str, Any]:
        return {"place": self.places[0]} if len(self.places) == 1 else {"places": self.places}


def _begun(text: str, scene: Scene, person: str | None) -> Taken | None:
    """A dose with how often and how long, or with when it is repeated; every word must be known."""
    timed = _timed(text, scene)
    planned = _planned(*timed, scene) if timed else None
    if planned is None:
        return None
    rest, plan = planned
    rest = " ".join(rest.replace(" ,", ",").split()).strip(" ,")
    for core in _CORES:
        hit = core.match(rest)
        where = scene.words.where(hit["where"]) if hit else None
        if hit is None or where is None or not where.places or not _tanks(where.places, scene.standing):
            continue
        named = hit.groupdict()
        substance = substance_of(named["substance"])
        if substance in _NO_SUBSTANCE or plan.every < 1 or (plan.last - scene.now.date()).days > LONGEST:
            return None
        amount, unit = _amount(named.get("amount"), named.get("unit"))
        if named.get("gone") and not plan.again and "repeat" not in text:
            return None  # “treated 12 daily for 3 days” may as well be over
        given = not named.get("now") and (bool(named.get("gone")) or plan.again)
        return _course(_Dose(where.places, substance, amount, unit, given), plan, scene, person)
    return None


def _timed(text: str, scene: Scene) -> tuple[str, tuple[str, ...]] | None:
    """The words without their hours, and the hours; None where an hour is none."""
    times: tuple[str, ...] = ()
    if (hit := _AT.search(text)) and not _AGAIN.search(text):
        times = scene.words.clocks(hit["hours"].replace(" at ", " ")) or ()
        if not times:
            return None
        text = text[: hit.start()] + text[hit.end() :]
    if hit := _TWICE.search(text):
        if len(times) not in (0, 2):
            return None
        named = Routine.of(scene.standing).named_times()
        times = times or (f"{named['morning']:%H:%M}", f"{named['evening']:%H:%M}")
        text = f"{text[: hit.start()]} daily{text[hit.end() :]}"
    return text, times


def _planned(text: str, times: tuple[str, ...], scene: Scene) -> tuple[str, _Plan] | None:
    """The words without how often and how long, and the plan they tell; None where they tell none."""
    if again := _AGAIN.search(text):
        length = scene.words.days(again["length"].replace("a fortnight", "two weeks"))
        if length is None:
            return None
        return text[: again.start()], _Plan(1, length.back, length.back, times, again=True)
    today = scene.now.date()
    hit = _LENGTH.search(text)
    length = scene.words.days(hit["span"]) if hit else None
    if hit is None or length is None or length.first != today:
        return None
    rest, every = text[: hit.start()], 1
    if often := _EVERY.search(rest):
        every = 2 if often["other"] else int(_DAYS.get(often["n"]) or often["n"])
        rest = rest[: often.start()] + rest[often.end() :]
    elif often := _DAILY.search(rest):
        rest = rest[: often.start()] + rest[often.end() :]
    elif not re.match(rf"^(?:{_NOW}|{_GONE}|(?:start(?:ing)? )?(?:a )?(?:course|treatment) of)\b", rest):
        return None  # “salt in 12 for 3 days” may be a bath that is over
    return rest, _Plan(every, today, length.last, times)


_DAYS = {"two": 2, "three": 3, "four": 4, "five": 5, "seven": 7, "ten": 10}
_NO_SUBSTANCE = frozenset(
    ("fed", "feed", "food", "water", "eggs", "fry", "mop", "shrimp", "brine shrimp", "flake", "it")
)


def _course(dose: _Dose, plan: _Plan, scene: Scene, person: str | None) -> Taken:
    events: list[Event] = []
    lines = []
    if dose.given:
        events.append(Dosed(substance=dose.substance, amount=dose.amount, unit=dose.unit, **dose.where))
        lines.append(f"{say.places(dose.places)}: {_told_dose(dose.substance, dose.amount, dose.unit)}.")
    value = course_value(dose.words, plan.every, plan.times)
    until = {"from": f"{plan.first}", "to": f"{plan.last}"}
    events.append(RoutineSet(what=COURSE, value=value, **dose.where, **until))
    lines += [*_ahead(dose, plan, scene), *_cautions(dose, scene, person)]
    return Taken(tuple(events), tuple(lines))


def _ahead(dose: _Dose, plan: _Plan, scene: Scene) -> list[str]:
    """The doses to come, and how one is put down."""
    today, places = scene.now.date(), say.places(dose.places)
    if plan.first > today:
        return [f"Again {say.day(plan.first, today)}, on the list that day."]
    hours = tuple(dt.time.fromisoformat(t) for t in plan.times)
    course = Course(dose.places[0], dose.words, plan.every, plan.first, plan.last, scene.now, hours)
    often = "a day" if plan.every == 1 else f"every {plan.every} days"
    number = len(course.slots(scene.now)) if plan.times else len(course.days)
    doses = f"{say.count(number, 'dose')}, the last {say.day(course.days[-1], today)}"
    if plan.times:
        often = f"at {say.listed(plan.times)}" + ("" if plan.every == 1 else f" {often}")
    lines = [f"{places}: {dose.words} {often}; {doses}."]
    if plan.times:
        lines.append(f"Each at its hour; “dosed {places}” puts one down as given.")
    elif not dose.given:
        lines.append(f"Today's is on the list, not put down as given: “dosed {places}” does that.")
    return lines


def _cautions(dose: _Dose, scene: Scene, person: str | None) -> list[str]:
    """What is said the first time with a substance; a dose that went in says its own."""
    known = any(c.substance == dose.substance for c in courses(scene.standing))
    if known or f"{person}|{dose.substance}" in scene.standing.dosed_by:
        return []
    caution = say.caution_for(dose.substance)
    first = [caution] if caution and not dose.given else []
    return [*first, CARBON] if caution == say.MEDICINE else first


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
