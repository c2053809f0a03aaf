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
    text = sentence.text()
    diary = re.search(
        r"\b(one for|in|for|into|onto|to) (the|my|our) (diary|calendar|planner|reminders|to do list)\b", text
    )
    timed = any(t.kind in ("day", "clock") for t in sentence.tags)
    let = timed and re.search(r"\b(don't|dont|do not) let (me|us) \w+", text) is not None
    told = let or (
        timed and re.search(r"\btell (me|us|him|her) (on |at |by |next )?\S+ (\S+ )?(to|about)\b", text) is not None
    )
    if (
        not cue
        and not (diary and timed)
        and not told
        and not bidden_again_and_again(text)
        and not re.search(r"\b(bug|nudge|remind|ping) (me|us)\b", text)
    ):
        return None
    if re.search(
        r"\b(no need|don't|dont|do not|didn't|didnt|needn't|never|stop|not have) (to )?remind(ing)?\b", text
    ) or re.match(
        r"^(i|we|i've|we've|he|she|they) (already )?(have |has )?(set|put|made|got|have)\b.*\b(reminder|alarm)\b", text
    ):
        return None  # a reminder that is not wanted, or stands elsewhere
    if (
        cue
        and cue[0].word in ("don't forget", "dont forget", "remember to", "note for", "reminder", "rem", "a nudge")
        and not any(t.kind in ("day", "clock") for t in sentence.tags)
        and cue[0] is not sentence.tags[0]
    ):
        return None
    if re.search(r"\b(remind(ed)? me of|reminds)\b", text) or re.search(
        r"\bremind me (what|when|how|who|where|which|why|whether|if)\b", text
    ):
        return None
    if re.search(r"^(what|which|show|list|do|did|any|have|are)\b.*remind|^((the|my|our) )?reminders?$", text):
        return None
    content = [t for t in sentence.tags if t not in cue and t.kind not in ("person", "punct", "sep")]
    tags = list(sentence.tags)
    if len(content) <= 1 and others:
        tags = [*others[-1].tags, *tags]
    elif others and not any(t.kind in ("day", "clock", "place", "batch", "line", "item") for t in content):
        dated = next((s for s in reversed(others[-3:]) if any(t.kind in ("day", "clock") for t in s.tags)), None)
        if dated is not None:
            tags = [*dated.tags, *tags]
    raw: Raw = {"kind": "remind", "text": " ".join(t.word for t in tags)}
    every = _every(" ".join(t.word for t in tags), tags)
    day = None
    clock = None
    for n, tag in enumerate(tags):
        before = tags[n - 1].word if n else ""
        if tag.kind == "day" and not tag.value.vague and before not in ("than", "since", "not") and day is None:
            day = tag.value
        if (tag.kind == "clock" and clock is None) or (
            tag.kind == "clock" and tag.note != "weak" and clock is not None and clock.half == ""
        ):
            clock = tag.value
    if day is None:
        for tag in tags:
            if tag.kind == "day" and tag.value.vague and tag.value.offset:
                day = tag.value
    ahead = _AHEAD.search(" ".join(t.word for t in tags))
    if ahead and day is not None and (then := day.on(teller.sent, ahead=True)):
        days = 7 if "week" in ahead[0] else int(next((t.value for t in tags if t.kind == "dur" and t.unit == "day"), 1))
        day = Day(date=then - dt.timedelta(days=days))
    if every and every <= _LONGEST_ROUND:
        raw["every_days"] = every
    part_hour = _hour_of_day_part(tags) if clock is None else None
    clock = clock or part_hour
    if every and clock is not None and clock.half == "" and 5 <= clock.hour <= 11:
        clock = replace(clock, half="am")  # "daily at 7:00" is no evening's, unless it says so
    raw["_day"], raw["_clock"], raw["_ahead"] = day, clock, True
    if day is None and clock is None and not every and (soon := from_now(tags, teller.sent)):
        raw["date"], raw["time"] = soon.date().isoformat(), f"{soon:%H:%M}"
        if soon.date() == teller.sent.date():
            del raw["date"]
    places = [p for t in tags if t.kind == "place" for p in t.value]
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    for n, tag in enumerate(tags):
        if (
            tag.kind == "num"
            and n
            and tags[n - 1].word in ("in", "on", "for")
            and str(int(tag.value)) in teller.names.by_id
            and tag.value == int(tag.value)
            and not places
        ):
            after = tags[n + 1] if n + 1 < len(tags) else None
            if after is None or not (after.says("noun") or after.kind == "line"):
                places = list(teller.names.by_id[str(int(tag.value))][:1])
    if len(places) == 1 and part_hour is None:
        raw["place"] = places[0]
    if len(batches) == 1:
        raw["batch"] = batches[0]
    elif not places and any(t.says("noun", "peat", "bag") for t in tags) and not _NEW_PEAT.search(text):
        lines = {x for t in tags if t.kind == "line" for x in t.value} or {
            x.name for x in teller.names.lines if x.eggs == "peat"
        }
        bags = [b.name for b in teller.names.batches if b.line in lines and b.stage == "eggs"]
        if len(bags) == 1:
            raw["batch"] = bags[0]
    return raw


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
    cue = [t for t in sentence.tags if t.says("cue", "snooze") and t.note != "quoted"]
    if not cue and re.search(r"\bput (\S+ ){1,6}off (until|to|till)\b", sentence.text()):
        cue = [t for t in sentence.tags if t.says("cue", "put")][:1]
    if not cue and re.search(
        r"\b(pop|push|move|shift|put|bump|leave) .*\b(back|over|on|off)? ?(to|until|till)\b", sentence.text()
    ):
        future = any(t.kind == "day" and (t.value.weekday is not None or t.value.future) for t in sentence.tags)
        asked = re.match(
            r"^(could|can|would|will) (you|we)\b|^(please|let's|move|shift|bump|push|reschedule|postpone)\b",
            sentence.text(),
        )
        chore = any(t.says("cue", "wc", "clean", "feed") or t.says("noun", "mop", "water") for t in sentence.tags)
        cue = sentence.tags[:1] if future and asked and chore else []
    if not cue and re.search(
        r"^(can|could|may|will|let) .*\b(wait|leave|stand|stay|go) (until|till|til)\b", sentence.text()
    ):
        ahead = any(t.kind == "day" and (t.value.weekday is not None or t.value.future) for t in sentence.tags)
        cue = sentence.tags[:1] if ahead and any(t.kind in ("place", "num") for t in sentence.tags) else []
    if not cue:
        return None
    text = sentence.text()
    words = {w for t in sentence.tags for w in t.word.split()}
    days = [t for t in sentence.tags if t.kind in ("day",) and not (t.value.offset is not None and t.value.offset < 0)]
    clocks = [t for t in sentence.tags if t.kind == "clock"]
    durs = [t for t in sentence.tags if t.kind == "dur"]
    until = "until" in words
    cue0 = cue[0].word
    strong = cue0 in (
        "put off",
        "putting off",
        "postpone",
        "postponed",
        "snooze",
        "defer",
        "delay",
        "hold off",
        "ran out of time",
        "move to tomorrow",
        "skip",
        "can wait",
    )
    task = any(
        t.says("cue", "wc", "clean", "feed", "pull", "changed", "harvest")
        or t.says("item")
        or t.says("noun", "water", "mop", "filters", "culture")
        or t.says("quantity")
        or t.says("food")
        for t in sentence.tags
    )
    if (
        not task
        and not any(t.kind in ("place", "batch") for t in sentence.tags)
        and not _a_tank_after(sentence.tags, cue[0], teller)
        and not (strong and cue0 in ("snooze", "put off", "postpone"))
    ):
        return None
    if not (until or days or clocks or durs) or (
        cue0 in ("later", "leave", "push", "pushed", "not today", "bump")
        and not (until or any(t.value.future or t.value.weekday is not None for t in days))
    ):
        return None
    if not strong and not until and not re.search(r"\b(to|till)\b", text) and cue0 not in ("not today",):
        return None
    if re.search(r"\b(i|we) (skipped|left)\b", text) or ("fry" in words and cue0 == "leave" and not until):
        return None
    raw: Raw = {"kind": "snooze", "task": text, "_ahead": True, "_clock": None, "_day": None}
    for n, tag in enumerate(sentence.tags):
        before = sentence.tags[n - 1].word if n else ""
        if tag in days and before not in ("not",) and (raw["_day"] is None or before in ("until", "to")):
            raw["_day"] = tag.value
        if tag in clocks:
            raw["_clock"] = tag.value
        after = sentence.tags[n + 1] if n + 1 < len(sentence.tags) else None
        if (
            tag.kind == "num"
            and before in ("until", "till")
            and tag.value in range(1, 13)
            and after is not None
            and after.kind == "day"
            and after.value.part
            and raw["_clock"] is None
        ):
            raw["_clock"] = Clock(int(tag.value), 0, after.value.part)  # "until 8 tonight"
    if raw["_day"] is None and durs and durs[0].unit in ("day", "week") and durs[0].low is None:
        raw["_day"] = Day(offset=int(durs[0].value) * (7 if durs[0].unit == "week" else 1), future=True)
    places = [p for t in sentence.tags if t.kind == "place" for p in t.value]
    if any(t.kind == "place" and not t.value for t in sentence.tags):
        raw["_unknown"] = True
    nums = [
        t
        for n, t in enumerate(sentence.tags)
        if t.kind == "num" and str(int(t.value)) in teller.names.by_id and t.value == int(t.value)
    ]
    if not places and len(nums) == 1:
        places = list(teller.names.by_id[str(int(nums[0].value))][:1])
    if not places:
        sizes = [t for t in sentence.tags if t.kind == "size"]
        group = Group(sentence.parts, teller.names, teller.context)
        places = list(group.sized(sizes[0])) if sizes else places
        if not places:
            lines = [t for t in sentence.tags if t.kind == "line"]
            found = teller.spots_by_line("feed", list(lines[0].value)) if lines else ()
            main = [p for p in found if teller.names.place_of[p].role == "breeders"]
            places = main if len(main) == 1 else []
        if not places:
            roles = [t for t in sentence.tags if t.says("role", "quarantine", "nursery", "grow-out")]
            its = teller.names.with_role(roles[0].one("role") or "") if roles else ()
            places = list(its) if len(its) == 1 else []
    if len(places) >= 1:
        raw["_places"] = places
    batches = [t.value for t in sentence.tags if t.kind == "batch" and t.value]
    if batches:
        raw["batch"] = batches[0]
    return raw
