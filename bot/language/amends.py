"""Notes about notes and about what is to come: undo, correct, remind, put off, done, and new routines."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.days import Clock, Day
from bot.language.group import Group, Raw
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller

_VALUED = ("num", "place", "pct", "money", "batch", "clock", "day", "vol", "line", "person", "deg", "amount", "frac")
_FILLER = frozenset(
    [
        "sorry",
        "oops",
        "no",
        "wait",
        "hang",
        "on",
        "ok",
        "okay",
        "hey",
        "actually",
        "ugh",
        "darn",
        "damn",
        "whoops",
        "correction",
        "please",
        "pls",
        "that",
        "was",
        "the",
        "it",
        "should",
        "be",
        "last",
        "one",
        "my",
        "mistake",
        "typo",
        "i",
        "meant",
        "not",
        "hold",
        "so",
        "um",
        "er",
        "well",
        "ah",
        "oh",
        "hmm",
        "argh",
    ]
)


_KINDS_OF_CUE = frozenset(
    ["pull", "bad", "bad_weak", "eyed", "hatch", "move", "dead", "wc", "topoff", "feed", "bought", "sold"]
)


def undoes(sentences: list[Sentence]) -> bool:
    """Whether a whole note only takes the last one back."""
    if not sentences:
        return False
    just = r"\b(take (away|back|out)|remove|delete|undo|scrap|cancel) (what|that thing|the thing|the one|whatever)( that)? (i|we) just (put|said|sent|wrote|logged|typed|told)"
    if any(re.search(just, sentence.text()) for sentence in sentences):
        return True
    for sentence in sentences:
        if (
            sentence.stop != "?"
            and re.match(
                r"^(please |pls |sorry |oops |no |ok |can you |could you |, )*(take out|take back|delete|remove|undo|cancel|scratch|scrap|bin|drop|lose|erase|kill|strike) (my|the|that|this|what i) (very )?(last |latest |previous |just )?(note|entry|message|log|record|line|thing|one|sent|said|wrote|logged|typed)\b",
                sentence.text(),
            )
            and not any(t.kind in ("place", "batch", "money", "pct", "line") for t in sentence.tags)
        ):
            return True
        if any(t.word == "not" for t in sentence.tags) and len([t for t in sentence.tags if t.kind == "num"]) > 1:
            continue  # "scratch that, it was 5 not 3" puts right
        cues = [t for t in sentence.tags if t.says("cue", "undo")]
        if cues and not any(t.kind in ("place", "money", "pct") for t in sentence.tags):
            strong = [
                t
                for t in cues
                if t.word.startswith(
                    (
                        "undo",
                        "scratch",
                        "scrap",
                        "never",
                        "forget my",
                        "ignore my",
                        "disregard",
                        "strike",
                        "take",
                        "delete",
                        "remove",
                        "cancel",
                        "disregard",
                        "forget that",
                        "ignore",
                        "revert",
                        "back that",
                    )
                )
            ]
            first = next((n for n, t in enumerate(sentence.tags) if t is cues[0]), 9)
            words = [t.word for t in sentence.tags]
            if "everything" in words or "rules" in words or "your" in words:
                continue
            if strong and first <= 4:
                return True
    return False


def fixes(sentences: list[Sentence], teller: Teller) -> Raw | None:
    """The corrected keys when a note corrects the last one, else None."""
    if not sentences:
        return None
    first = sentences[0]
    if len(first.tags) <= 8 and len(sentences) > 1 and not any(t.kind in _VALUED for t in first.tags):
        sentences = sentences[:3]
    else:
        sentences = sentences[:2] if len(first.tags) <= 12 else sentences[:1]
    text = " ".join(s.text() for s in sentences)
    tags = [t for s in sentences for t in s.tags if t.note != "quoted"]
    if sentences[0].stop == "?" or any(t.says("cue", "rule") for t in sentences[0].tags):
        return None
    sentences = [s for s in sentences if s.stop != "?"]
    text = " ".join(s.text() for s in sentences)
    tags = [t for s in sentences for t in s.tags if t.note != "quoted"]
    if len(tags) > 45:
        return None
    opens = re.match(
        r"^(no|nope|sorry|oops|correction|actually|wait|hang on|hold on|typo|whoops|my bad|ugh|scratch|argh|update|fix|uh|er|hmm)\b",
        text,
    )
    explicit = re.search(
        r"\b(correction|typo|meant|should be|should have been|should've been|should read|should say|supposed to be|make that|change that to|change it to|i said|i put(?! \S+ (?:of|in|into|to|eggs|fish|fry)\b)|i wrote|(was|were) actually|misread|miscounted|wrong (tank|tub|number|place|count|batch|date)|last (one|entry|note|message|count|mop \w+|log|pull))\b",
        text,
    )
    that = re.match(
        r"^(?:(?:no|nope|sorry|oops|actually|wait|hang on|uh|er|hmm|ugh|argh|whoops|and|but|so|,|-|\.|ok|okay|no no) ?)*(that|that's|it|it's|those|they|the (?:count|date|last|mop|pull|buyer|price|place|tank|tub|batch|one|number|temp|ph|dead|eggs?|sale|dose))\b( \w+)? ?(was|were|is|should|went|got|are|last)?\b",
        text,
    )
    contrast = _contrast(tags)
    numeric = [t for t in tags if t.kind in _VALUED]
    event = [
        t
        for t in tags
        if t.says(
            "cue",
            "pull",
            "wc",
            "hatch",
            "move",
            "sold",
            "bought",
            "topoff",
            "bad",
            "eyed",
            "feed",
            "harvest",
            "dead",
            "lost",
        )
        and t.note != "muted"
        and t.word not in ("got",)
    ]
    strong = bool(
        text.startswith(
            (
                "correction",
                "typo",
                "i meant",
                "meant",
                "make that",
                "should be",
                "should have",
                "change that",
                "that should",
                "it should",
                "that last",
                "the last one",
                "the last entry",
                "the last note",
                "the last message",
                "the last count",
                "the last thing",
                "last one",
                "last entry",
                "that was supposed",
                "wrong",
                "pls fix",
                "please fix",
                "fix the",
                "fix that",
                "can you fix",
                "please change",
                "please correct",
                "correct the",
                "pls correct",
                "pls change the last",
                "amend",
            )
        )
    )
    said = _said_but_was(tags, text)
    contrast = contrast or said
    owns_up = bool(re.search(r"\bwrong (tank|tub|number|place|count|batch|date|one|fish|line)\b", text)) and bool(
        re.search(r"\b(it|that|they|should) (was|were|should|is|be)\b", text)
    )
    strong = strong or (contrast and bool(re.search(r"\bshould (read|say|have said|have read)\b", text)))
    strong = strong or (
        owns_up
        and not event
        and (contrast or bool(re.search(r"\b(it|that|they) should (be|have been|read|say)\b", text)))
    )
    if (
        strong
        or said
        or (opens and (contrast or that or explicit) and (len(event) <= 1 or contrast))
        or (that and (contrast or explicit) and len(first.tags) <= 16)
        or (text.startswith(("that was", "those were")) and numeric and len(first.tags) <= 8 and not event)
        or (
            contrast
            and not event
            and len(first.tags) <= 9
            and text.split()[0] not in ("counted", "count")
            and not any(t.says("item") or t.word in ("reading", "reads", "showing") for t in first.tags)
        )
    ):
        pass
    else:
        return None
    if re.match(r"^((\S+ )?(i|we) )?meant to\b", text):
        return None
    if any(t.kind == "person" and t.value not in teller.names.people for t in first.tags) and any(
        t.word in ("wants", "want", "wanted", "asked", "needs", "takes", "having") for t in first.tags
    ):
        return None  # a promise changed, and no slip of the pen
    cut = next((n for n, t in enumerate(tags) if t.word in ("not", "instead of", "rather than")), None)
    if cut is not None:
        told = {v for t in tags[:cut] for v in t.senses.get("cue", ()) if v in _KINDS_OF_CUE}
        wrong = {v for t in tags[cut:] for v in t.senses.get("cue", ()) if v in _KINDS_OF_CUE}
        if told and wrong and not told & wrong and all(t.note != "muted" for t in tags[:cut] if t.senses.get("cue")):
            return {"kind": "fix", "_empty": True}  # another kind altogether
    out: Raw = {"kind": "fix"}
    group = Group([Part(first.tags, "", 0, 0)], teller.names, teller.context)
    good = [t for t in tags if t.claimed not in ("wrong", "corrected")]
    strong_event = bool(event)
    for n, tag in enumerate(good):
        before = good[n - 1].word if n else ""
        if tag.kind == "place" and not tag.value:
            return {"kind": "fix", "_ask": tag}
        if tag.kind == "place" and len(tag.value) == 1 and "place" not in out:
            if before in ("into", "to") and "place" in out:
                out["to"] = tag.value[0]
            else:
                out["place"] = tag.value[0]
        elif tag.kind == "batch" and tag.value:
            out["batch"] = tag.value
        elif tag.kind == "pct":
            out["percent"] = round(tag.value, 1)
        elif tag.kind == "money":
            out["price"] = tag.value
        elif tag.kind == "vol" and tag.value is not None and "bucket" not in tag.unit:
            out["litres"] = round(tag.value, 1)
        elif tag.kind == "clock":
            out["_clock"] = tag.value
        elif tag.kind == "day" and not tag.value.vague:
            out["_day"] = tag.value
        elif tag.kind == "deg":
            value = tag.value
            celsius = tag.unit == "c" or (tag.unit != "f" and (teller.names.metric or value < 40))
            out["value"] = round(value if celsius else (value - 32) * 5 / 9, 1)
        elif tag.kind == "line" and len(tag.value) == 1 and len(good) < 12:
            places = teller.spots_by_line("pull", list(tag.value))
            if any(t.kind == "pct" for t in good) and len(places) == 1:
                out.setdefault("place", places[0])
            else:
                out["line"] = tag.value[0]
        elif (
            tag.kind == "person"
            and tag.value not in teller.names.people
            and before in ("to", "for", "was", "by", "it's", "meant")
        ):
            out["buyer"] = tag.value
        elif tag.kind == "num" and "count" not in out and "value" not in out and tag.low is None:
            if (
                tag.value == 1
                and tag.note == "spelled"
                and before.split()[-1:]
                and before.split()[-1] in ("last", "that", "this", "the", "first", "other")
            ):
                continue
            if (
                before in ("in", "tank", "from", "for")
                and str(int(tag.value)) in teller.names.by_id
                and tag.value == int(tag.value)
            ):
                out["place"] = teller.names.by_id[str(int(tag.value))][0]
                continue
            quantity = next((t.one("quantity") for t in tags if t.says("quantity") and t.note != "muted"), None)
            if quantity == "temperature" and not teller.names.metric:
                out["value"] = round((tag.value - 32) * 5 / 9, 1) if tag.value > 40 else tag.value
            elif quantity:
                out["value"] = tag.value
            elif tag.value == int(tag.value):
                two = [float(t.value) for t in tags if t.kind == "num" and t.claimed == "wrong"] + [float(tag.value)]
                if not teller.names.metric and len(two) == 2 and min(two) >= 60 and max(two) <= 84:
                    out["_either"] = tag  # 71 and not 70: eggs, or degrees
                out["count"] = int(tag.value)
            else:
                out["value"] = tag.value
        elif tag.says("substance") and len(good) < 12 and not strong_event:
            out["substance"] = tag.one("substance")
        elif tag.says("food") and len(good) < 12 and not strong_event:
            out["food"] = tag.one("food")
        elif tag.says("noun", "male", "female") and len(good) < 10 and contrast:
            out["sex"] = tag.one("noun")
        elif tag.says("unit") and not tag.says("substance") and contrast:
            out["unit"] = tag.one("unit")
    _ = group
    if out.pop("_either", None) is not None and not {"place", "batch", "line", "_day"} & out.keys():
        nouns = any(t.says("noun") for t in tags)
        if not nouns:
            return {"kind": "fix", "_empty": True}
    if len(out) == 1:
        return {"kind": "fix", "_empty": True} if strong or explicit else None
    return out


def _said_but_was(tags: list[Tag], text: str) -> bool:
    """ "I told you 12 and it was 21": marks what was said; True when a note says so."""
    hit = re.search(
        r"\b(told you|i said|i wrote|i put|i typed|i sent|i logged|it says|you have|you put|(?:log|list|note|entry|record|book|screen) says)\b",
        text,
    )
    if not hit or not re.search(r"\b(was|is|should|meant|it's|actually|be)\b", text[hit.end() :]):
        return False
    said = len(text[: hit.end()].split())
    count = 0
    its: list[Tag] = []
    for tag in tags:
        count += max(1, len(tag.word.split()))
        if (
            count > said
            and tag.kind in ("num", "pct", "money", "place", "batch", "vol", "clock", "day")
            and tag.claimed != "wrong"
        ):
            its.append(tag)
    if len(its) < 2:
        return False
    its[0].claimed = "wrong"
    if its[0].kind == "pct" and its[1].kind == "num":
        its[1].kind = "pct"
    return True


def _contrast(tags: list[Tag]) -> bool:
    """ "3 not 2", "15 should be 14": marks the wrong half; True when there is such a contrast."""
    found = False
    for n, tag in enumerate(tags):
        if (
            n
            and tag.word in ("should be", "should have been", "should've been", "shoulda been", "was supposed to be")
            and not any(t.says("item") or t.word in ("reading", "reads", "showing") for t in tags[:n])
            and tags[n - 1].kind in _VALUED
            and n + 1 < len(tags)
            and any(t.kind == tags[n - 1].kind for t in tags[n + 1 : n + 3])
        ):
            tags[n - 1].claimed = "wrong"
            found = True
            continue
        if (
            tag.word == "not"
            and n + 1 < len(tags)
            and tags[n + 1].kind == "num"
            and tags[n + 1].note == "spelled"
            and tags[n + 1].value == 1
        ):
            continue  # not one
        if tag.word == "not" or tag.word in ("instead of", "rather than"):
            rest = [
                t
                for t in tags[n + 1 : n + 4]
                if t.kind
                in ("num", "place", "pct", "money", "batch", "clock", "day", "vol", "line", "person", "deg", "amount")
                or t.says("substance")
                or t.says("food")
                or t.says("noun", "male", "female")
            ]
            before = [
                t
                for t in tags[:n]
                if t.kind
                in ("num", "place", "pct", "money", "batch", "clock", "day", "vol", "line", "person", "deg", "amount")
                or t.says("substance")
                or t.says("food")
                or t.says("noun", "male", "female")
            ]
            if rest and before and rest[0].at - tag.at <= 3:
                same = [t for t in before if t.kind == rest[0].kind]
                if same or (rest[0].kind == "num" and before):
                    rest[0].claimed = "wrong"
                    found = True
            elif (
                rest
                and not before
                and n <= 2
                and any(t.kind == rest[0].kind and t is not rest[0] for t in tags[n + 1 :])
            ):
                rest[0].claimed = "wrong"
                found = True
        if (tag.word == "instead" and n + 1 < len(tags) and tags[n + 1].word == "of") or (
            tag.word == "rather" and n + 1 < len(tags) and tags[n + 1].word == "than"
        ):
            rest = [t for t in tags[n + 2 : n + 5] if t.kind in ("num", "place", "pct", "money", "batch", "day")]
            if rest:
                rest[0].claimed = "wrong"
                found = True
    return found


# ---- reminders, putting off


def reminder(sentence: Sentence, others: list[Sentence], teller: Teller) -> Raw | None:
    """A task of the keeper's own, when a sentence asks to be reminded."""
    cue = [t for t in sentence.tags if t.says("cue", "remind") and t.note not in ("quoted",)]
    text = sentence.text()
    diary = re.search(
        r"\b(one for|in|for|into|onto|to) (the|my|our) (diary|calendar|planner|reminders|to do list)\b", text
    )
    timed = any(t.kind in ("day", "clock") for t in sentence.tags)
    if not cue and not (diary and timed) and not re.search(r"\b(bug|nudge|remind|ping) (me|us)\b", text):
        return None
    if (
        cue
        and cue[0].word in ("don't forget", "dont forget", "remember to", "note for", "reminder")
        and not any(t.kind in ("day", "clock") for t in sentence.tags)
        and cue[0] is not sentence.tags[0]
    ):
        return None
    if re.search(r"\b(remind(ed)? me of|reminds)\b", text):
        return None
    if re.search(r"^(what|which|show|list|do|did|any|have|are)\b.*remind", text):
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
    if every:
        raw["every_days"] = every
    raw["_day"], raw["_clock"], raw["_ahead"] = day, clock, True
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
    if len(places) == 1:
        raw["place"] = places[0]
    if len(batches) == 1:
        raw["batch"] = batches[0]
    elif not places and any(t.says("noun", "peat", "bag") for t in tags):
        lines = {x for t in tags if t.kind == "line" for x in t.value} or {
            x.name for x in teller.names.lines if x.eggs == "peat"
        }
        bags = [b.name for b in teller.names.batches if b.line in lines and b.stage == "eggs"]
        if len(bags) == 1:
            raw["batch"] = bags[0]
    return raw


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


def putting_off(sentence: Sentence, teller: Teller) -> Raw | None:
    """A due task put off until a day or time."""
    cue = [t for t in sentence.tags if t.says("cue", "snooze") and t.note != "quoted"]
    if not cue and re.search(r"\bput (\S+ ){1,6}off (until|to|till)\b", sentence.text()):
        cue = [t for t in sentence.tags if t.says("cue", "put")][:1]
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


# ---- standing changes

_TIMES = {"once": 1, "twice": 2, "thrice": 3, "daily": 1}


def setting(sentence: Sentence, teller: Teller) -> list[Raw] | None:
    """A standing change to the routine, when a sentence sets one; None when it does not."""
    text = sentence.text()
    tags = sentence.tags
    cue = [t for t in tags if t.says("cue", "rule")]
    freq = _often(tags, text)
    heater = re.search(r"\b(heater|heat|thermostat|heaters|stat|set ?point)\b", text)
    degrees = [t for t in tags if t.kind in ("deg",) or t.kind == "num"]
    out: list[Raw] = []
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    places = [p for t in tags if t.kind == "place" for p in t.value]
    group = Group(sentence.parts, teller.names, teller.context)
    if not places and any(t.kind == "size" or t.says("role", "quarantine", "nursery", "grow-out") for t in tags):
        places = [p for k, v, _ in group.sequence("place") if k == "P" for p in v]
    lines = group.lines()
    if any(t.kind == "place" and not t.value for t in tags) and (cue or freq):
        teller.ask_place(group, {"kind": "setting"})
        return []
    numbers_in = [
        t
        for n, t in enumerate(tags)
        if t.kind == "num"
        and n
        and tags[n - 1].word in ("in", "on")
        and str(int(t.value)) in teller.names.by_id
        and t.value == int(t.value)
    ]
    if not places and len(numbers_in) == 1:
        first = int(numbers_in[0].value)
        listed = [p for k, v, t in group.sequence("place") if k == "P" and t.kind == "num" for p in v]
        places = listed if len(listed) > 1 and f" {first} and" in f" {text}" else [teller.names.by_id[str(first)][0]]
    where: dict[str, object] = {}
    if batches:
        where["batch"] = batches[0]
    elif len(places) == 1:
        where["place"] = places[0]
    elif lines and not places:
        where["line"] = lines[0]
    if (
        heater
        and degrees
        and re.search(r"\bheat(er)? (up|down|to|at|now)( to)? (~)?\d|\bheater( (in|on|of))? \S+ to ~?\d", text)
    ) or (
        heater
        and degrees
        and (
            cue
            or re.search(
                r"\b(set|turned|turn|turning|going|bumped|raised|lowered|dropped|up to|down to|back to)\b", text
            )
        )
        and re.search(r"\b(to|at|up|down)\b", text)
    ):
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
    if re.search(r"\b(lights?|lites?|photoperiod)\b", text) and (cue or re.search(r"\b(set|timer|now)\b", text)):
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
    if not freq:
        return None
    if not cue and not re.search(
        r"\b(instead of|now on|i'd like to|i want|we want|let's|lets|change|should|per day|a day|now|every|make it|/ ?day|schedule|switch|going to|please|daily|start)\b",
        text,
    ):
        return None
    if re.search(r"\b(did|fed|changed|done|been|pulled|was|were|got)\b", text) and not cue:
        return None
    per_day, days = freq
    what = None
    number: float | None = None
    mop = re.search(r"\b(mops?|pull|eggs? pull)\b", text)
    water = re.search(r"\b(wc|water|changes?|changed?)\b", text)
    feed = re.search(r"\b(feeds?|fed|feeding|feedings|meals)\b", text)
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
    if what is None or number is None:
        return None
    spots = places if len(places) > 1 else [None]
    for place in spots:
        raw: Raw = {"kind": "setting", **where, "what": what, "value": int(number) if number == int(number) else number}
        if place:
            raw["place"] = place
        out.append(raw)
    return out


def _often(tags: list[Tag], text: str) -> tuple[float | None, float | None] | None:
    """How often: times a day, or days between; None when a sentence says neither."""
    hit = re.search(r"\b(once|twice|thrice) (a|per|every|each) (day|week)\b", text)
    if hit:
        times = _TIMES[hit[1]]
        return (float(times), 1.0 / times) if hit[3] == "day" else (None, 7 / times)
    if re.search(r"\bevery other day\b", text):
        return None, 2.0
    if re.search(r"\bevery day|daily\b", text):
        return 1.0, 1.0
    if re.search(r"\b(every week|weekly|once a week)\b", text):
        return None, 7.0
    for n, tag in enumerate(tags):
        rest = " ".join(t.word for t in tags[n + 1 : n + 4])
        if tag.kind in ("times", "num") and tag.low is None and tag.value:
            if re.match(
                r"^(x|times|time|feeds|feedings|feed|feeding|changes|change|meals|meal|wc|wcs|water changes|water change)? ?(a|per|/|each|every)? ?(day|daily)\b",
                rest,
            ) and rest.split()[0] in (
                "x",
                "times",
                "a",
                "per",
                "/",
                "day",
                "daily",
                "feeds",
                "feedings",
                "changes",
                "meals",
                "each",
                "change",
                "feed",
                "feeding",
                "meal",
                "time",
                "wc",
                "wcs",
                "water",
            ):
                return float(tag.value), 1.0 / tag.value
            if re.match(r"^(x|times)? ?(a|per|/|each)? ?(week)\b", rest):
                return None, 7.0 / tag.value
        if tag.kind == "dur" and n and tags[n - 1].word == "every" and tag.unit in ("day", "week"):
            return None, float(tag.value) * (7 if tag.unit == "week" else 1)
    return None
