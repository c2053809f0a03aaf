"""What the keeper asks to be reminded of, and what is put off until later."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from itertools import pairwise

from bot.language.clauses.group import Group, Raw
from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.times.days import Clock, Day
from bot.language.times.from_now import from_now


def reminder(sentence: Sentence, others: list[Sentence], teller: Teller) -> Raw | None:
    """A task of the keeper's own, when a sentence asks to be reminded."""
    cue = [t for t in sentence.tags if t.says("cue", "remind") and t.note not in ("quoted",)]
    if not (cue or _asked_without_cue(sentence)) or _none_wanted(sentence, cue):
        return None
    tags = _with_what_it_points_at(sentence, others, cue)
    raw: Raw = {"kind": "remind", "text": " ".join(t.word for t in tags)}
    said = _hour_said(tags)
    part_hour = _hour_of_day_part(tags) if said is None else None
    _set_time(raw, tags, said or part_hour, teller)
    places = [p for t in tags if t.kind == "place" for p in t.value] or _place_by_figure(tags, teller)
    if len(places) == 1 and part_hour is None:
        raw["place"] = places[0]
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    if len(batches) != 1:
        peat = not places and not _NEW_PEAT.search(sentence.text())
        batches = _bags_of_peat(tags, teller) if peat else []
    if len(batches) == 1:
        raw["batch"] = batches[0]
    return raw


_DIARY = re.compile(r"\b(one for|in|for|into|onto|to) (the|my|our) (diary|calendar|planner|reminders|to do list)\b")
_TO_BE_TOLD = re.compile(
    r"\b(don't|dont|do not) let (me|us) \w+|\btell (me|us|him|her) (on |at |by |next )?\S+ (\S+ )?(to|about)\b"
)
_NUDGE = re.compile(r"\b(bug|nudge|remind|ping) (me|us)\b")


def _timed(tags: list[Tag]) -> bool:
    return any(t.kind in ("day", "clock") for t in tags)


def _asked_without_cue(sentence: Sentence) -> bool:
    """ "One for the diary on Friday", "tell me at 8 to feed", "every 2 days squeeze the sponge"."""
    text = sentence.text()
    if _timed(sentence.tags) and (_DIARY.search(text) or _TO_BE_TOLD.search(text)):
        return True
    return bidden_again_and_again(text) or bool(_NUDGE.search(text))


# Sentences that speak of reminders and want none: denied, set elsewhere, told of, or asked about.
_NONE_WANTED = re.compile(
    r"\b(?:no need|don't|dont|do not|didn't|didnt|needn't|never|stop|not have) (?:to )?remind(?:ing)?\b"
    r"|^(?:i|we|i've|we've|he|she|they) (?:already )?(?:have |has )?(?:set|put|made|got|have)\b.*\b(?:reminder|alarm)\b"
    r"|\b(?:remind(?:ed)? me of|reminds)\b"
    r"|\bremind me (?:what|when|how|who|where|which|why|whether|if)\b"
    r"|^(?:what|which|show|list|do|did|any|have|are)\b.*remind|^(?:(?:the|my|our) )?reminders?$"
)
_SAID_IN_PASSING = ("don't forget", "dont forget", "remember to", "note for", "reminder", "rem", "a nudge")


def _none_wanted(sentence: Sentence, cue: list[Tag]) -> bool:
    """Whether no reminder is wanted, or one is only said in passing, at no time and not first."""
    passing = bool(cue) and cue[0].word in _SAID_IN_PASSING and cue[0] is not sentence.tags[0]
    return (passing and not _timed(sentence.tags)) or bool(_NONE_WANTED.search(sentence.text()))


def _with_what_it_points_at(sentence: Sentence, others: list[Sentence], cue: list[Tag]) -> list[Tag]:
    """The tags of a sentence, behind those of the one before that says what or when: "Peat out Friday. Remind me."."""
    content = [t for t in sentence.tags if t not in cue and t.kind not in ("person", "punct", "sep")]
    tags = list(sentence.tags)
    if len(content) <= 1 and others:
        return [*others[-1].tags, *tags]
    if any(t.kind in ("day", "clock", "place", "batch", "line", "item") for t in content):
        return tags
    dated = next((s for s in reversed(others[-3:]) if _timed(s.tags)), None)
    return [*dated.tags, *tags] if dated is not None else tags


def _day_said(tags: list[Tag], teller: Teller) -> Day | None:
    """The first day named, "next week" if there is no other; "the day before Friday" is counted back."""
    days = [
        t
        for n, t in enumerate(tags)
        if t.kind == "day" and (n == 0 or tags[n - 1].word not in ("than", "since", "not"))
    ]
    vague = [t.value for t in tags if t.kind == "day" and t.value.vague and t.value.offset]
    day: Day | None = next((t.value for t in days if not t.value.vague), vague[-1] if vague else None)
    ahead = _AHEAD.search(" ".join(t.word for t in tags))
    if not ahead or day is None or not (then := day.on(teller.sent, ahead=True)):
        return day
    before = 7 if "week" in ahead[0] else int(next((t.value for t in tags if t.kind == "dur" and t.unit == "day"), 1))
    return Day(date=then - dt.timedelta(days=before))


def _hour_said(tags: list[Tag]) -> Clock | None:
    """The first hour said, or a later one that is surer of its half of the day."""
    clock: Clock | None = None
    for tag in tags:
        if tag.kind == "clock" and (clock is None or (tag.note != "weak" and clock.half == "")):
            clock = tag.value
    return clock


def _set_time(raw: Raw, tags: list[Tag], clock: Clock | None, teller: Teller) -> None:
    """The day and hour of a reminder, how often it comes again, or how soon: "in two hours"."""
    every = _every(" ".join(t.word for t in tags), tags)
    if number := _day_of_month(" ".join(t.word for t in tags)):
        raw["month_day"] = number
    if every and every <= _LONGEST_ROUND:
        raw["every_days"] = every
    if every and clock is not None and clock.half == "" and 5 <= clock.hour <= 11:
        clock = replace(clock, half="am")  # "daily at 7:00" is no evening's, unless it says so
    day = _day_said(tags, teller)
    raw["_day"], raw["_clock"], raw["_ahead"] = day, clock, True
    if day is None and clock is None and not every and (soon := from_now(tags, teller.sent)):
        if soon.date() != teller.sent.date():
            raw["date"] = soon.date().isoformat()
        raw["time"] = f"{soon:%H:%M}"


def _place_by_figure(tags: list[Tag], teller: Teller) -> list[str]:
    """The tank of a bare number: "remind me to clean the glass in 14"; "in 14 eggs" is none."""
    for n, tag in enumerate(tags):
        if n and tag.kind == "num" and tags[n - 1].word in ("in", "on", "for"):
            after = tags[n + 1] if n + 1 < len(tags) else None
            counted = after is not None and (after.says("noun") or after.kind == "line")
            if not counted and (its := _tank_of(tag, teller)):
                return its
    return []


def _tank_of(tag: Tag, teller: Teller) -> list[str]:
    """The place a bare number names."""
    whole = tag.value == int(tag.value)
    return list(teller.names.by_id.get(str(int(tag.value)), ())[:1]) if whole else []


def _bags_of_peat(tags: list[Tag], teller: Teller) -> list[str]:
    """The batches in peat that are meant, of the lines named or of any."""
    if not any(t.says("noun", "peat", "bag") for t in tags):
        return []
    lines = {x for t in tags if t.kind == "line" for x in t.value}
    lines = lines or {x.name for x in teller.names.lines if x.eggs == "peat"}
    return [b.name for b in teller.names.batches if b.line in lines and b.stage == "eggs"]


_LONGEST_ROUND = 3660  # days; a chore that comes less often than every ten years was misheard
_AHEAD = re.compile(r"\b(?:the |a )?(?:day|night|evening|week|\d+) (?:before|ahead|beforehand)\b")
_CHORE = (
    r"(?:please )?(?:squeeze|rinse|clean|wipe|check|test|scrub|swap|wash|order|look|count|turn|empty|replace|trim"
    r"|refill|inspect|tighten|oil|backwash|vacuum|siphon|write|call|ring|weigh|measure)"
)
_AGAIN = (  # of a span of days only its number is a word of the text
    r"every (?:(?:\d+|two|three|four|five|six)\b|(?:other |second |third )?"
    r"(?:days?|weeks?|months?|mornings?|evenings?|nights?|\w*days?))"
)
_BIDDEN = re.compile(rf"^(?:{_AGAIN}[,: ]+{_CHORE}\b|{_CHORE}\b.*\b{_AGAIN})")


def bidden_again_and_again(text: str) -> bool:
    """ "Every 2 days squeeze the sponge in 11": a chore of the keeper's own to come, and none that was done."""
    return "every" in text and _BIDDEN.match(text) is not None


_NEW_PEAT = re.compile(r"\b(order|buy|get|pick up|fetch) (\w+ )?(\w+ )?(peat|bags?)\b")


def _hour_of_day_part(tags: list[Tag]) -> Clock | None:
    """ "For six in the morning": an hour in words before a part of the day."""
    for one, two in pairwise(tags):
        if one.kind == "num" and one.low is None and two.kind == "day" and two.value.part and one.value in range(1, 13):
            return Clock(int(one.value), 0, two.value.part)
    for n, tag in enumerate(tags[:-3]):
        rest = [t.word for t in tags[n + 1 : n + 4]]
        if tag.kind == "num" and rest[:2] == ["in", "the"] and tag.value in range(1, 13):
            half = {"morning": "am", "afternoon": "pm", "evening": "pm"}.get(rest[2])
            if half:
                return Clock(int(tag.value), 0, half)
    return None


_MONTHLY = re.compile(r"\b(?:every|each) month\b|\bmonthly\b")
_ITS_DAY = re.compile(r"\bthe (?:(?P<n>\d{1,2}) ?(?:st|nd|rd|th)|(?P<first>first)|(?P<last>last day))\b")


def _day_of_month(text: str) -> int | None:
    """The day something comes on every month: "on the 1st of every month"; its last day may be any from 28 on."""
    day = _ITS_DAY.search(text) if _MONTHLY.search(text) else None
    number = (int(day["n"]) if day["n"] else 1 if day["first"] else 31) if day else 0
    return number if 0 < number < 32 else None


def _every(text: str, tags: list[Tag]) -> float | None:
    hit = re.search(r"\bevery (other )?(day|week|month|\w*day|morning|night|evening)\b", text)
    if hit:
        base = {"day": 1, "week": 7, "month": 30, "morning": 1, "night": 1, "evening": 1}.get(hit[2], 7)
        return float(base * 2 if hit[1] else base)
    for n, tag in enumerate(tags):
        if tag.kind == "dur" and n and tags[n - 1].word == "every":
            return float(tag.value) * {"day": 1, "week": 7, "month": 30}.get(tag.unit, 0) or None
    if re.search(r"\b(daily|nightly)\b", text):
        return 1.0
    return 7.0 if "weekly" in text else None


def _a_tank_after(tags: list[Tag], cue: Tag, teller: Teller) -> bool:
    """Whether the number of a tank follows what puts off: "skip 13 this week", "leave 9 till tomorrow"."""
    n = next(i for i, t in enumerate(tags) if t is cue)
    after = tags[n + 1] if n + 1 < len(tags) else None
    then = tags[n + 2] if n + 2 < len(tags) else None
    counted = then is not None and (then.says("noun") or then.kind == "line")
    return after is not None and after.kind == "num" and f"{after.value:g}" in teller.names.by_id and not counted


def putting_off(sentence: Sentence, teller: Teller) -> Raw | None:
    """A due task put off until a day or time."""
    cue = _puts_off(sentence)
    if cue is None or not _of_a_task(sentence, cue, teller) or not _till_when(sentence, cue):
        return None
    raw: Raw = {"kind": "snooze", "task": sentence.text(), "_ahead": True, "_clock": None, "_day": None}
    _set_end(raw, sentence.tags)
    if any(t.kind == "place" and not t.value for t in sentence.tags):
        raw["_unknown"] = True
    if places := _places_put_off(sentence, teller):
        raw["_places"] = places
    batches = [t.value for t in sentence.tags if t.kind == "batch" and t.value]
    if batches:
        raw["batch"] = batches[0]
    return raw


_PUT_OFF = re.compile(r"\bput (\S+ ){1,6}off (until|to|till)\b")
_MOVED_TO = re.compile(r"\b(pop|push|move|shift|put|bump|leave) .*\b(back|over|on|off)? ?(to|until|till)\b")
_MOVE_ASKED = re.compile(
    r"^(could|can|would|will) (you|we)\b|^(please|let's|move|shift|bump|push|reschedule|postpone)\b"
)
_MAY_WAIT = re.compile(r"^(can|could|may|will|let) .*\b(wait|leave|stand|stay|go) (until|till|til)\b")
_STRONG = frozenset(
    [
        *("put off", "putting off", "postpone", "postponed", "snooze", "defer", "delay", "hold off"),
        *("ran out of time", "move to tomorrow", "skip", "can wait"),
    ]
)


def _puts_off(sentence: Sentence) -> Tag | None:
    """The word that puts off; the first where only the way it is said does: "can the filter wait until Friday"."""
    tags, text = sentence.tags, sentence.text()
    cue = [t for t in tags if t.says("cue", "snooze") and t.note != "quoted"]
    if not cue and _PUT_OFF.search(text):
        cue = [t for t in tags if t.says("cue", "put")]
    if cue:
        return cue[0]
    if not any(t.kind == "day" and (t.value.weekday is not None or t.value.future) for t in tags):
        return None
    chore = any(t.says("cue", "wc", "clean", "feed") or t.says("noun", "mop", "water") for t in tags)
    moved = chore and _MOVED_TO.search(text) and _MOVE_ASKED.match(text)
    waits = any(t.kind in ("place", "num") for t in tags) and _MAY_WAIT.search(text)
    return tags[0] if moved or waits else None


def _of_a_task(sentence: Sentence, cue: Tag, teller: Teller) -> bool:
    """Whether a chore or its place is named beside what puts off; "snooze till 8" needs none."""
    return (
        cue.word in ("snooze", "put off", "postpone")
        or any(t.kind in ("place", "batch") or _chore(t) for t in sentence.tags)
        or _a_tank_after(sentence.tags, cue, teller)
    )


def _chore(tag: Tag) -> bool:
    return (
        tag.says("cue", "wc", "clean", "feed", "pull", "changed", "harvest")
        or tag.says("item")
        or tag.says("noun", "water", "mop", "filters", "culture")
        or tag.says("quantity")
        or tag.says("food")
    )


def _days_to_come(tags: list[Tag]) -> list[Tag]:
    return [t for t in tags if t.kind == "day" and not (t.value.offset is not None and t.value.offset < 0)]


def _till_when(sentence: Sentence, cue: Tag) -> bool:
    """Whether an end is said that puts off surely; "left 3 for later", "skipped it today" tell what was not done."""
    text, tags = sentence.text(), sentence.tags
    words = {w for t in tags for w in t.word.split()}
    until = "until" in words
    days = _days_to_come(tags)
    if not (until or days or any(t.kind in ("clock", "dur") for t in tags)):
        return False
    weak = cue.word in ("later", "leave", "push", "pushed", "not today", "bump")
    if weak and not until and not any(t.value.future or t.value.weekday is not None for t in days):
        return False
    if not until and cue.word not in _STRONG and cue.word != "not today" and not re.search(r"\b(to|till)\b", text):
        return False
    growing = "fry" in words and cue.word == "leave" and not until  # "leave the fry in 4 to Friday"
    return not growing and not re.search(r"\b(i|we) (skipped|left)\b", text)


def _set_end(raw: Raw, tags: list[Tag]) -> None:
    """The day and hour a task is put off to, or so many days on."""
    days = _days_to_come(tags)
    for n, tag in enumerate(tags):
        before = tags[n - 1].word if n else ""
        if tag in days and before not in ("not",) and (raw["_day"] is None or before in ("until", "to")):
            raw["_day"] = tag.value
        if tag.kind == "clock":
            raw["_clock"] = tag.value
        after = tags[n + 1] if n + 1 < len(tags) else None
        if raw["_clock"] is None and before in ("until", "till") and _hour_in(tag, after):
            raw["_clock"] = Clock(int(tag.value), 0, after.value.part if after else "")
    durs = [t for t in tags if t.kind == "dur"]
    if raw["_day"] is None and durs and durs[0].unit in ("day", "week") and durs[0].low is None:
        raw["_day"] = Day(offset=int(durs[0].value) * (7 if durs[0].unit == "week" else 1), future=True)


def _hour_in(tag: Tag, after: Tag | None) -> bool:
    """ "Until 8 tonight": a bare hour before a part of the day."""
    return (
        tag.kind == "num"
        and tag.value in range(1, 13)
        and after is not None
        and after.kind == "day"
        and bool(after.value.part)
    )


def _places_put_off(sentence: Sentence, teller: Teller) -> list[str]:
    """The places of a task put off: by name, by a single figure, by size, by fish, or by role."""
    tags, names = sentence.tags, teller.names
    places: list[str] = [p for t in tags if t.kind == "place" for p in t.value]
    figures = [its for t in tags if t.kind == "num" and (its := _tank_of(t, teller))]
    if not places and len(figures) == 1:
        places = figures[0]
    sizes = [t for t in tags if t.kind == "size"]
    if not places and sizes:
        places = list(Group(sentence.parts, names, teller.context).sized(sizes[0]))
    lines = [t for t in tags if t.kind == "line"]
    if not places and lines:
        found = teller.spots_by_line("feed", list(lines[0].value))
        main = [p for p in found if names.place_of[p].role == "breeders"]
        places = main if len(main) == 1 else []
    roles = [t for t in tags if t.says("role", "quarantine", "nursery", "grow-out")]
    if not places and roles:
        held = names.with_role(roles[0].one("role") or "")
        places = list(held) if len(held) == 1 else []
    return places
