"""Short words that only mean something beside the note before them: “no 3”, “moved em to tub G”, “and 12 from tank 5”.

Each is put into full words and read like any other note, so nothing here decides what is logged. What the words could
also mean is asked about.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.language import Reader, Reading
from shared.events import Corrected, EggsPulled, Event, Fed, FishMoved, FryHatched, ToppedOff, event_from
from shared.ledger.standing import Entry

FOR = dt.timedelta(hours=1)  # so long a note is what the next short words go on from
_AND = re.compile(r"^\s*(?:and|also|plus|same for)\b[\s,:]*", re.IGNORECASE)
_MORE = re.compile(r"^\s*(?:another )?\d{1,4} (?:more )?(?:eggs )?(?:from|out of|off) ", re.IGNORECASE)
_SAME_TUB = re.compile(
    r"(?:^|(?:,| and)? *\b)(?:(?:also |all )?(?:in|into|to) )?(?:the )?same tub(?: again| too| as before)?[ .!]*$",
    re.IGNORECASE,
)
_GOES_ON = {  # what to put before “12 from tank 5” after a note of that kind
    "pull": "pulled",
    "bad_eggs": "bad eggs",
    "death": "dead",
    "hatch": "hatched",
    "water_change": "water changed",
    "feed": "fed",
    "headcount": "counted",
}
# What may be said again of other places: “tank 1 too”, “same in 4”, “and 5”.
_ONE = r"(?:(?:the )?(?:tank|tub|jar|bowl|tk|t)s?[ .]?)?(?:\d{1,3}|[a-z]\d{0,2})"
_SPOTS = rf"{_ONE}(?:(?: ?, ?| and | & | ?\+ ?| )+{_ONE})*"
_AS_WELL = re.compile(
    r"^(?:(?:and|also|plus|oh|yes|ok|,) ?)*(?:"
    rf"(?:(?:the )?same(?: again| thing)?|ditto|likewise)(?: (?:for|in|with|w/?|on|at|to|from))?[ :,]+(?P<a>{_SPOTS})"
    rf"|(?P<b>{_SPOTS})[ ,]+(?:too|also|as well|likewise|ditto|(?:the )?same)"
    r")$"
    rf"|^(?:and|also|plus)[ ,]+(?:(?:for|in|to|from) )?(?P<c>{_SPOTS})(?: too| as well| also)?$",
    re.IGNORECASE,
)
_DAILY = frozenset(["feed", "water_change", "top_off", "dose", "service", "mop", "measure"])
_NO = r"(?:(?:no+|nope|oops|oh|sorry|wait|ugh|argh|actually|rather|correction|i|mean|meant)[\s,.!:]+)+"
_NUMBER = re.compile(
    rf"^(?:{_NO}|(?:{_NO})?(?:make (?:it|that)|should (?:be|have been)|(?:it|that) (?:was|should be)) )(?:only |just )?"
    r"(?P<n>\d{1,4}(?:\.\d+)?)$"
)
_PLACE = re.compile(
    rf"^{_NO}(?P<end>in |from |out of |to |into )?(?P<place>(?:tank|tub|jar|bowl|t|tk)[ .]?\w{{1,3}}|[a-h])"
    r"(?:[ ,]*(?:sorry|i mean))?$"
)
_COUNTED = re.compile(r"^(?:(?:about|around|roughly|maybe|say|like|~)\s*)?(?P<n>\d{1,4}) ?(?:ish|or so|of (?:th)?em)$")
_NOTHING = re.compile(
    r"^(?:and |but )?(?:there was |got |found )?(?:nothing|none|zip|nada|zilch|no luck)(?: at all)? "
    r"(?:in|from|off|out of) (?:the )?(?P<rest>[\w ]{1,30}?)"
    r"(?: (?:today|this morning|again|though))*(?:[,.] ?(?:\w+ ?){1,3})?$"
)
_THEM = re.compile(
    r"^(?:(?:then|so|and|ok|okay|right|now|oh),? )*(?:i |we )?(?:put|moved?|took|transferr?ed|scooped|netted"
    r"|sucked) "
    r"(?:(?:them|'?em|those|these|(?:the|all the) (?:fry|babies)|(?P<n>\d{1,3})(?: of (?:th)?em| fry)?)(?: all)? )?"
    r"(?:up |over |straight )?(?:in|into|to) (?P<to>[\w ]{1,20})$"
    r"|^(?P<n2>\d{1,3}) (?:fry |of (?:th)?em )?(?:went )?(?:to|into) (?P<to2>[\w ]{1,20})$"
)
_BAD = re.compile(
    r"^(?P<n>\d{1,3}) (?:of (?:th)?em )?(?:(?:were|was|are|is) )?(?P<bad>bad|white|fungused|clear|duds?)$"
)
_ELSE = re.compile(r"\b(?:every(?:one|body|thing)|all) else\b|\b(?:all )?the (?:others?|rest)\b", re.IGNORECASE)


def short_words(text: str) -> bool:
    """Whether these are such words at all: if not, nobody need look up what the note before logged."""
    said = _plain(text)
    return "\n" not in text and any(p.match(said) for p in (_NUMBER, _PLACE, _COUNTED, _NOTHING, _THEM, _BAD))


def where_they_went(text: str) -> tuple[int | None, str] | None:
    """How many of “them”, and where they were put: “ok put them in F”; a bare number may be anything."""
    hit = _THEM.match(_plain(text))
    return (int(hit["n"]) if hit["n"] else None, _tub(hit["to"])) if hit and hit["to"] else None


def goes_on(text: str) -> bool:
    """Whether a note begins as one that goes on from another."""
    return _AND.match(text) is not None or _MORE.match(text) is not None


def as_well(text: str) -> bool:
    """Whether a note says that what was told before holds of other places too: “tank 1 too”, “same in 4”."""
    return "\n" not in text and _AS_WELL.match(_bare(text)) is not None


def told_elsewhere(text: str, last: Sequence[Entry], reader: Reader, now: dt.datetime) -> Reading | None:
    """What a note logged, told again of the places that “tank 1 too” names; None where it logged no chore."""
    hit = _AS_WELL.match(_bare(text))
    if hit is None or not last or now - last[-1].said > FOR or not all(_as_daily(e.event) for e in last):
        return None
    found = reader.read(f"topped off {hit['a'] or hit['b'] or hit['c']}", now)
    if found.doubts or len(found.events) != 1 or not isinstance(found.events[0], ToppedOff):
        return None
    places = list(found.events[0].places)
    if not places or any(p.startswith("all") for p in places):
        return None
    told: list[dict[str, object]] = []
    for entry in last:
        raw = {
            k: v for k, v in entry.event.outside().items() if k not in ("place", "places", "batch", "except", "time")
        }
        if raw not in told:
            told.append(raw)
    one = [{**raw, "places": places} for raw in told if raw["kind"] in ("feed", "water_change", "top_off")]
    each = [
        {**raw, "place": p} for raw in told if raw["kind"] not in ("feed", "water_change", "top_off") for p in places
    ]
    return Reading("log", tuple(event_from(raw) for raw in (*one, *each)))


def _as_daily(event: Event) -> bool:
    """Whether it may be told of other tanks in two words: a chore, a reading, a mop without eggs."""
    return event.kind in _DAILY or (isinstance(event, EggsPulled) and event.count == 0)


def same_tub(text: str, notes: Sequence[Sequence[Entry]], now: dt.datetime) -> str | None:
    """The words with the tub that eggs went to last, where they say “same tub”; that tub alone for nothing else."""
    if not _SAME_TUB.search(text):
        return None
    laid = (e for note in notes for e in reversed(note) if _eggs(e) and now - e.said <= FOR)
    to = next((str(t) for e in laid if (t := getattr(e.event, "to", None))), None)
    rest = _SAME_TUB.sub("", text).strip()
    return (f"{rest} into {to}" if rest else to) if to else None


def _eggs(entry: Entry) -> bool:
    """Whether an entry is of a pull: of the eggs found, or of the tub they went to."""
    event = entry.event
    return isinstance(event, EggsPulled) or (isinstance(event, FishMoved) and event.stage == "eggs")


def _bare(text: str) -> str:
    return " ".join(text.split()).strip(" .!")


def _plain(text: str) -> str:
    return _bare(text.casefold())


@dataclass(frozen=True)
class Followed:
    """What short words come to: a reading, or a correction of the last note, or two that it could be."""

    reading: Reading | None = None
    fixes: tuple[tuple[str, Corrected], ...] = ()  # by the words of the choice; one is sure


def followed(
    text: str, last: Sequence[Entry], reader: Reader, now: dt.datetime, known: Sequence[str]
) -> Followed | None:
    """The words in the light of the entries of the note just before; None where they are no such words.

    `known`: the room's places, by which “no 3” may be tank 3.
    """
    last = [e for e in last if e.event.kind not in ("fix", "undo")]
    if not last or now - last[-1].said > FOR or not short_words(text):
        return None
    said = _plain(text)
    fixes = _number_fixes(said, last, known) or _place_fix(said, last, reader, now)
    if fixes:
        return Followed(fixes=fixes)
    full = _in_full(said, last)
    if full is None:
        return None
    reading = reader.read(full[0], now)
    if reading.doubts or not reading.events or any(e.kind not in full[1] for e in reading.events):
        return None
    return Followed(reading)


def gone_on(text: str, last: Sequence[Entry], reader: Reader, now: dt.datetime) -> Reading | None:
    """“and 12 from tank 5” read as more of what the last note logged, where that leaves no doubt."""
    going = [e for e in last if e.event.kind in _GOES_ON or _eggs(e)]
    if not goes_on(text) or not going or now - going[-1].said > FOR:
        return None
    kind = "pull" if _eggs(going[-1]) else going[-1].event.kind
    again = reader.read(f"{_GOES_ON[kind]} {_AND.sub('', text, count=1)}", now)
    if again.doubts or not again.events or any(e.kind != kind for e in again.events):
        return None
    return again


def among_the_others(event: Event, text: str, fed_just_before: Callable[[], Sequence[str]]) -> Event:
    """“fed everyone else flake”: all but the places fed just before, which are looked up only for such words."""
    if not isinstance(event, Fed) or not _ELSE.search(text):
        return event
    if not any(p == "all" or p.startswith("all ") for p in event.places):
        return event
    return event.model_copy(update={"excepted": tuple(dict.fromkeys((*event.excepted, *fed_just_before())))})


def _in_full(said: str, last: Sequence[Entry]) -> tuple[str, tuple[str, ...]] | None:
    """The words in full, and the kinds of event they may come to."""
    event = last[-1].event
    if isinstance(event, EggsPulled) or (isinstance(event, FishMoved) and event.stage == "eggs"):
        if hit := _NOTHING.match(said):
            return f"no eggs in {hit['rest']}", ("pull",)
        if len(last) == 1 and last[0].batch and (hit := _BAD.match(said)):
            return f"{hit['n']} bad eggs {last[0].batch}", ("bad_eggs",)
    hatched = [e for e in last if isinstance(e.event, FryHatched) and e.place]
    if len(hatched) == 1 and len(hatched) == len(last) and (hit := _THEM.match(said)):
        count = hit["n"] or hit["n2"] or _of(hatched[0].event, "count") or "the"
        return f"moved {count} fry from {hatched[0].place} to {_tub(hit['to'] or hit['to2'])}", ("move",)
    return None


def _tub(words: str) -> str:
    """A letter alone is a tub's."""
    return f"tub {words}" if len(words) == 1 and words.isalpha() else words


def _of(event: Event, key: str) -> float | None:
    value = getattr(event, key, None)
    return value if isinstance(value, int | float) else None


def _number_fixes(said: str, last: Sequence[Entry], known: Sequence[str]) -> tuple[tuple[str, Corrected], ...]:
    """“no 3” of a note that told one number; where there is a tank 3 as well, both."""
    counted = _COUNTED.match(said)
    if (
        counted
        and len(last) == 1
        and last[0].event.kind in ("pull", "hatch", "eyed")
        and not _of(last[0].event, "count")
    ):
        return (("", Corrected.model_validate({"count": int(counted["n"])})),)
    hit = _NUMBER.match(said)
    if hit is None:
        return ()
    told = {(k, v) for e in last for k in ("count", "amount", "percent") if (v := _of(e.event, k)) is not None}
    number = float(hit["n"])
    if len(told) != 1 or any(_of(e.event, k) is not None for e in last for k in ("value", "price", "litres", "male")):
        return ()
    key, old = told.pop()
    value = int(number) if key == "count" else number
    if value != number or old == number:
        return ()
    by_count = Corrected.model_validate({key: value, "of": {key: old}})
    tank = f"tank {hit['n']}"
    stood = {p for e in last for p in e.names}
    if tank not in known or tank in stood or "make" in said or not any(p.startswith("tank ") for p in stood):
        return (("", by_count),)
    return ((f"{hit['n']}, not {old:g}", by_count), (tank, Corrected.model_validate({"place": tank})))


def _place_fix(said: str, last: Sequence[Entry], reader: Reader, now: dt.datetime) -> tuple[tuple[str, Corrected], ...]:
    """“no t12”, “sorry, tub C”: the same at another place."""
    hit = _PLACE.match(said)
    if hit is None:
        return ()
    events = reader.read(f"topped off {_tub(hit['place'])}", now).events
    if len(events) != 1 or not isinstance(events[0], ToppedOff) or len(events[0].places) != 1:
        return ()
    place = events[0].places[0]
    last = [e for e in last if e.event.kind != "hatch"] or last  # “12 hatched in A, moved to D”: the move is meant
    if len(last) == 1 and isinstance(last[0].event, FishMoved) and last[0].event.stage != "eggs":
        ends = {"to": ("to", "into", "in"), "from": ("from", "out of")}
        said_end = (hit["end"] or "").strip()
        both = tuple((f"{end} {place}", Corrected.model_validate({end: place})) for end in ends)
        return tuple(b for b, words in zip(both, ends.values(), strict=True) if not said_end or said_end in words)
    tos = [getattr(e.event, "to", None) for e in last]
    if all(tos):
        from_tank = [p for e in last for p in e.names if p.startswith("tank ")]
        if place.startswith("tub ") or not from_tank:
            return (("", Corrected.model_validate({"to": place})),)
        if last[-1].event.kind == "move":
            return ()  # from there, or to there
    return (("", Corrected.model_validate({"place": place})),)
