"""Putting right: what a note that corrects the last one changes in it."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from bot.language.clauses.group import Raw
from bot.language.mending.contrasts import VALUED, contrast_in, said_but_was
from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.times.days import Clock

_KINDS_OF_CUE = frozenset(
    ["pull", "bad", "bad_weak", "eyed", "hatch", "move", "dead", "wc", "topoff", "feed", "bought", "sold"]
)
_EVENTS = ("pull", "wc", "hatch", "move", "sold", "bought", "topoff", "bad", "eyed", "feed", "harvest", "dead", "lost")
_OPENS = re.compile(
    r"^(i made a mistake|my mistake|mistake|no|nope|sorry|oops|correction|actually|wait|hang on|hold on|typo|whoops|my bad|ugh|scratch|argh|update|fix|uh|er|hmm|oh bother|oh no|bother|damn|dang|drat|rats)\b"
)
_EXPLICIT = re.compile(
    r"\b(correction|typo|meant(?! to\b)|^(?:actually|no|sorry|oops|hang on|wait),? make it|should be|should have been|should've been|should read|should say|supposed to be|make that|change that to|change it to|i said|i put(?= \S+ (?:but|when|instead|it|was|not|should|and it)\b| \S+$|$)|i wrote|(was|were) actually|misread|miscounted|wrong (tank|tub|number|place|count|batch|date)|last (one|entry|note|message|count|mop \w+|log|pull))\b"
)
_THAT = re.compile(
    r"^(?:(?:no|nope|sorry|oops|my bad|my mistake|oh|actually|wait|hang on|uh|er|hmm|ugh|argh|whoops|and|but|so|,|-|\.|ok|okay|no no) ?)*(that|that's|it|it's|those|they|the (?:count|date|last|mop|pull|buyer|price|place|tank|tub|batch|one|number|temp|ph|dead|eggs?|sale|dose))\b( \w+)? ?(was|were|is|should|went|got|are|last)?\b"
)
_STRONG = (
     "correction", "typo", "i meant", "meant", "make that", "should be", "should have been", "should have said", "should have read", "change that",
     "that should", "it should", "that last", "the last one", "the last entry", "the last note",
     "the last message", "the last count", "the last thing", "last one", "last 1 ", "can you change the last", "could you change the last", "change the last", "last entry", "that was supposed",
     "wrong", "pls fix", "please fix", "fix the", "fix that", "can you fix", "please change", "please correct",
     "correct the", "pls correct", "pls change the last", "amend",
)  # fmt: skip


_ITS_NUMBER = re.compile(
    r"(?:(?:(?:no|nope|sorry|oops|actually|wait|hang on|whoops|my bad|um|uh|er|hmm|ugh|argh|and|i mean|make it|say|only|just)[ ,.-]*)+#"
    r"|#[ ,]*(?:sorry|actually|oops|i mean|my bad))"
)


def _only_a_number(tags: list[Tag]) -> bool:
    """Whether a note is a word of correction and one number: "actually 19", "19 sorry"."""
    nums = [t for t in tags if t.kind == "num" and t.low is None]
    if len(nums) != 1 or len(tags) > 6:
        return False
    text = " ".join("#" if t is nums[0] else t.word for t in tags)
    return _ITS_NUMBER.fullmatch(text) is not None


_PLEASE_MEND = re.compile(
    r"\b(?:(?:can|could|would|will) you (?:please )?)?(?:fix|swap|change|correct|sort|amend|mend) (?:it|that|this|that one)(?: for me| please| over| round)*$"
)


def fixes(sentences: list[Sentence], teller: Teller) -> Raw | None:
    """The corrected keys when a note corrects the last one, else None."""
    if not sentences:
        return None
    first = sentences[0]
    if first.stop == "?" and _PLEASE_MEND.search(first.text()):
        first = replace(first, stop="")
        sentences = [first, *sentences[1:]]
    if len(first.tags) <= 8 and len(sentences) > 1 and not any(t.kind in VALUED for t in first.tags):
        sentences = sentences[:3]
    else:
        sentences = sentences[:2] if len(first.tags) <= 12 else sentences[:1]
    if first.stop == "?" or any(t.says("cue", "rule") for t in first.tags):
        return None
    sentences = [s for s in sentences if s.stop != "?"]
    text = " ".join(s.text() for s in sentences)
    tags = [t for s in sentences for t in s.tags if t.note != "quoted"]
    if len(tags) > 45:
        return None
    for one, two, three in zip(tags, tags[1:], tags[2:], strict=False):
        if one.word == "said" and two.word == "about" and three.kind in VALUED:
            three.claimed = "wrong"  # "scrap what I said about 27"
    for one, comma, two in zip(tags, tags[1:], tags[2:], strict=False):
        halves = one.kind == two.kind == "num" and comma.word == "," and two.at - one.at == 2
        if halves and any(t.kind == "num" and f"{t.value:g}" == f"{one.value:g}{two.value:g}" for t in tags):
            return {"kind": "fix", "_empty": True}  # "7,3 not 73": a decimal comma perhaps
    explicit = _EXPLICIT.search(text) is not None
    contrast = contrast_in(tags)
    said = said_but_was(tags, text)
    contrast = contrast or said
    event = [t for t in tags if t.says("cue", *_EVENTS) and t.note != "muted" and t.word not in ("got",)]
    strong = _strong(text, contrast, bool(event))
    if not (strong or said or _only_a_number(tags) or _puts_right(first, text, tags, contrast, explicit, len(event))):
        return None
    if len(tags) > 14 and not strong and not explicit and not _OPENS.match(text):
        return None  # a story with "instead of" in it
    if re.match(r"^((\S+ )?(i|we) )?meant to\b", text) or _promise_changed(first, teller):
        return None
    if _another_kind(tags):
        return {"kind": "fix", "_empty": True}
    out = _corrected(tags, contrast, bool(event), teller)
    if "_ask" in out:
        return out
    was = _as_it_was(out, teller, [t for t in tags if t.claimed == "wrong"])
    if was:
        out["of"] = was
    if out.pop("_either", None) is not None and not {"place", "batch", "line", "_day"} & out.keys():
        nouns = any(t.says("noun") for t in tags)
        if not nouns:
            return {"kind": "fix", "_empty": True}
    _of_which(out, text, tags)
    if not out.keys() - {"kind", "of"}:
        return {"kind": "fix", "_empty": True} if strong or explicit else None
    return out


def _of_which(out: Raw, text: str, tags: list[Tag]) -> None:
    """What only says which entry is meant is no correction: "the monday one", "that count for 13 was from mon"."""
    days = [t for t in tags if t.kind == "day"]
    if (
        "_day" in out
        and len(days) == 1
        and out.keys() - {"kind", "of", "_day"}
        and re.search(rf"\b(the|that|last) {re.escape(days[0].word)} (one|count|entry|note|mop|pull|log)\b", text)
    ):
        out.pop("_day")
    if "_day" in out and out.get("place") and re.match(r"^(that|the)( last)? \w+( \w+)? (for|in|from|of) ", text):
        was = next((n for n, t in enumerate(tags) if t.word in ("was", "were", "is")), 0)
        if was and not any(t.kind in ("place", "num") for t in tags[was:]):
            out.setdefault("of", {})["place"] = out.pop("place")


_PAIRS_MADE = re.compile(r"make it \S+ (pairs?|trios?)$")
_WRONG = re.compile(r"\bwrong (tank|tub|number|place|count|batch|date|one|fish|line)\b")


def _strong(text: str, contrast: bool, event: bool) -> bool:
    """Whether the words leave no doubt that something is put right."""
    if (
        text.startswith(_STRONG)
        or _PAIRS_MADE.match(text)
        or (contrast and re.search(r"\bshould (read|say|have said|have read)\b", text))
    ):
        return True
    owns_up = _WRONG.search(text) and re.search(r"\b(it|that|they|should) (was|were|should|is|be)\b", text)
    return (
        bool(owns_up)
        and not event
        and (contrast or bool(re.search(r"\b(it|that|they) should (be|have been|read|say)\b", text)))
    )


def _puts_right(first: Sentence, text: str, tags: list[Tag], contrast: bool, explicit: bool, events: int) -> bool:
    """Whether a note reads as a correction: "no, 14", "that was tank 3", "3 not 2"."""
    that = _THAT.match(text)
    if contrast and re.search(r"\b(i|we) (logged|sent in|entered|noted|recorded|reported)\b", text):
        return True  # "the water change I logged was Saturday, not Sunday"
    if first.tags[0].says("cue", "changed", "clean") and first.tags[0].word.endswith("ed") and not explicit:
        return False  # "changed 13, not 14" tells of a deed
    if _OPENS.match(text) and (contrast or that or explicit) and (events <= 1 or contrast):
        return True
    if that and (contrast or explicit) and len(first.tags) <= 16:
        return True
    if events:
        return False
    if (
        _OPENS.match(text)
        and len(first.tags) <= 8
        and any(t.kind == "place" and t.value for t in first.tags)
        and len([t for t in first.tags if t.kind in ("num", "pct", "deg")]) == 1
        and re.search(r"\b(was|were|is|had) \S+$", text)
    ):
        return True  # "no wait tank five was eighteen"
    if text.startswith(("that was", "those were")) and any(t.kind in VALUED for t in tags) and len(first.tags) <= 8:
        return True
    return (
        contrast
        and len(first.tags) <= 9
        and text.split()[0] not in ("counted", "count")
        and not any(t.says("item") or t.word in ("reading", "reads", "showing") for t in first.tags)
    )


def _promise_changed(first: Sentence, teller: Teller) -> bool:
    """Somebody wants another number now: no slip of the pen."""
    return any(t.kind == "person" and t.value not in teller.names.people for t in first.tags) and any(
        t.word in ("wants", "want", "wanted", "asked", "needs", "takes", "having") for t in first.tags
    )


def _another_kind(tags: list[Tag]) -> bool:
    """ "Pulled, not moved": another kind of event altogether."""
    cut = next((n for n, t in enumerate(tags) if t.word in ("not", "instead of", "rather than")), None)
    if cut is None:
        return False
    told = {v for t in tags[:cut] for v in t.senses.get("cue", ()) if v in _KINDS_OF_CUE}
    wrong = {v for t in tags[cut:] for v in t.senses.get("cue", ()) if v in _KINDS_OF_CUE}
    return (
        bool(told and wrong) and not told & wrong and all(t.note != "muted" for t in tags[:cut] if t.senses.get("cue"))
    )


def _corrected(tags: list[Tag], contrast: bool, event: bool, teller: Teller) -> Raw:
    """The keys of the right half; `_ask` with a place nobody knows, `_either` with a number that may be degrees."""
    out: Raw = {"kind": "fix"}
    good = [t for t in tags if t.claimed not in ("wrong", "corrected")]
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
        elif tag.kind == "amount" and tag.low is None:
            out["amount"], out["unit"] = float(tag.value), tag.unit
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
            _number(tag, before, tags, out, teller)
        elif tag.says("substance") and len(good) < 12 and not event:
            out["substance"] = tag.one("substance")
        elif tag.says("food") and len(good) < 18 and not event:
            out["food"] = tag.one("food")
        elif tag.says("noun", "male", "female") and len(good) < 10 and contrast:
            out["sex"] = tag.one("noun")
        elif tag.says("unit") and not tag.says("substance") and contrast and "unit" not in out:
            out["unit"] = tag.one("unit")
    return out


def _number(tag: Tag, before: str, tags: list[Tag], out: Raw, teller: Teller) -> None:
    """A bare number put right: a place by its number, a reading, or a count."""
    if (
        tag.value == 1
        and tag.note == "spelled"
        and before.split()[-1:]
        and before.split()[-1] in ("last", "that", "this", "the", "first", "other")
    ):
        return
    if tag.value == 1 and before == "last" and not {t.kind for t in tags} & {"sep"} and tags.index(tag) <= 1:
        return  # "last 1 should be tank 12"
    if (
        before in ("in", "tank", "from", "for")
        and str(int(tag.value)) in teller.names.by_id
        and tag.value == int(tag.value)
    ):
        out["place"] = teller.names.by_id[str(int(tag.value))][0]
        return
    spoken = " ".join(t.word for t in tags)
    if _WRONG_PLACE.search(spoken) and (here := teller.names.by_id.get(f"{tag.value:g}")):
        out["place"] = here[0]  # "wrong tank, should be 9"
        return
    after = tags[tags.index(tag) + 1] if tags.index(tag) + 1 < len(tags) else None
    if after is not None and after.says("noun", "pair", "trio") and tag.value == int(tag.value):
        out["count"] = int(tag.value) * (2 if after.says("noun", "pair") else 3)  # "make it two pairs"
        return
    if _OF_MONEY.search(spoken) and not any(t.says("noun", "eggs", "mop") or t.kind == "place" for t in tags):
        out["price"] = float(tag.value)  # "not fifty, he gave me forty five"
        return
    quantity = next((t.one("quantity") for t in tags if t.says("quantity") and t.note != "muted"), None)
    chore = re.search(r"\b(feed|feeding|change|dose|meal|mop|pull|round)\b", " ".join(t.word for t in tags))
    if before == "at" and chore and not quantity and tag.value == int(tag.value) and 0 < tag.value <= 23:
        out["_clock"] = Clock(int(tag.value))  # "that feed was at 7, not 9"
    elif quantity == "temperature" and not teller.names.metric:
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


_OF_MONEY = re.compile(
    r"\b(?:he|they|\w+'s mum|customer|buyer) (?:only |just |actually )?gave (?:me|us)\b|\b(?:paid|charged|cash|bucks|dollars|quid|price|cost)\b"
)
_WRONG_PLACE = re.compile(
    r"\b(?:wrong|not the right|other) (?:tank|tub|place|one|box)\b|^(?:the )?(?:tank|tub) (?:was|should be|is)\b"
)


def _as_it_was(out: Raw, teller: Teller, wrong: list[Tag]) -> dict[str, Any]:
    """The halves marked wrong, under the keys the right ones took: by them the entry meant is known."""
    was: dict[str, Any] = {}
    for tag in wrong:
        if tag.kind == "num" and tag.value is not None and "count" in out:
            was["count"] = int(tag.value) if tag.value == int(tag.value) else tag.value
        elif tag.kind in ("pct", "num") and tag.value is not None and "percent" in out:
            was["percent"] = round(float(tag.value), 1)
        elif tag.kind == "num" and "place" in out and (where := teller.names.by_id.get(f"{tag.value:g}")):
            was["place"] = where[0]
        elif tag.kind == "place" and tag.value and len(tag.value) == 1 and "place" in out:
            was["place"] = tag.value[0]
        elif tag.kind == "batch" and tag.value and "batch" in out:
            was["batch"] = tag.value
        elif tag.kind in ("money", "num") and tag.value is not None and "price" in out:
            was["price"] = tag.value
    return was
