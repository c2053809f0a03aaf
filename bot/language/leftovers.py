"""What a note says and no event tells: a number, a place or a sign of an event left over is asked about, never dropped."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from bot.language.days import Clock, Day
from bot.language.eggs import left_in
from bot.language.everyday import is_everyday
from bot.language.group import Raw
from bot.language.names import Names
from bot.language.reading import Doubt
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller

SIGNS = (
    "pull",
    "bad",
    "eyed",
    "hatch",
    "move",
    "put",
    "dead",
    "lost",
    "count",
    "wc",
    "changed",
    "topoff",
    "feed",
    "bought",
    "sold",
    "paid",
    "hold",
    "release",
    "harvest",
    "crash",
    "clean",
    "bag",
    "wet",
    "close",
    "mop_in",
    "newplace",
)
_SIDE = frozenset(
    [
        "inches",
        "inch",
        "deep",
        "old",
        "weeks",
        "days",
        "minutes",
        "hours",
        "am",
        "pm",
        "times",
        "tries",
        "kg",
        "lbs",
        "dollars",
        "years",
        "percent",
        "level",
        "shelf",
        "row",
    ]
)


_LINKS = frozenset(
    [
        "into",
        "from",
        "with",
        "were",
        "have",
        "gave",
        "this",
        "that",
        "then",
        "there",
        "they",
        "about",
        "more",
        "again",
        "total",
        "today",
        "also",
        "each",
        "still",
        "been",
        "after",
        "before",
        "over",
        "under",
        "plus",
        "both",
        "past",
        "till",
        "just",
        "only",
        "went",
        "came",
    ]
)


def told(events: list[Raw], names: Names, named: set[str]) -> tuple[set[float], set[str], list[Raw]]:
    """The numbers and names that stand in the events."""
    numbers: set[float] = set()
    said: set[str] = set()
    for raw in events:
        for key, value in raw.items():
            if isinstance(value, Clock):
                numbers |= {
                    float(value.hour),
                    float(value.minute),
                    float(value.hour % 12),
                    float(value.hour * 100 + value.minute),
                }
            elif isinstance(value, Day) and value.monthday:
                numbers.add(float(value.monthday))
            if key == "_was":
                numbers |= {float(v) for v in value if v is not None}
            if key.startswith("_"):
                continue
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                numbers |= {
                    float(value),
                    round(float(value) * 9 / 5 + 32, 0),
                    round(float(value) * 9 / 5 + 32, 1),
                }
                if raw.get("kind") in ("sale", "reserve", "stock_in", "move", "release"):
                    numbers |= {float(value) / 2, float(value) / 3}  # pairs and trios
                if key == "price" and raw.get("count"):
                    numbers.add(round(float(value) / float(raw["count"]), 2))
            elif isinstance(value, str):
                said.add(value)
            elif isinstance(value, (list, tuple)):
                said.update(str(v) for v in value)
    for name in list(said):
        if name in names.batch_of:
            said.add(names.batch_of[name].place)
        said.update(b.name for b in names.batches_in(name))
    for ident, places in names.by_id.items():
        if not said.isdisjoint(places) and ident.isdigit() and (set(places) & said) - named:
            numbers.add(float(ident))
    return numbers, said, events


def _numbers_left(part: Part, numbers: set[float]) -> list[Tag]:
    out = []
    for n, tag in enumerate(part.tags):
        if tag.note == "quoted" or tag.claimed in ("wrong", "corrected", "times", "pairs", "to", "total"):
            continue
        nxt = part.tags[n + 1] if n + 1 < len(part.tags) else None
        after = nxt.word if nxt is not None else ""
        before = part.tags[n - 1].word if n else ""
        if tag.kind == "num" and (
            (tag.value == 1 and tag.note == "spelled" and after == "of")
            or (nxt is not None and nxt.says("cue", "left"))
            or before in ("that's", "makes", "leaves", "not", "total", "totals")
            or (
                before == "should be"
                or (before == "be" and n > 1 and part.tags[n - 2].word in ("should", "must", "will"))
            )
        ):
            continue
        if (
            tag.kind == "num"
            and nxt is not None
            and nxt.kind == "word"
            and nxt.word.isalpha()
            and len(nxt.word) > 3
            and nxt.word not in _LINKS
            and (is_everyday(nxt.word) or nxt.word.endswith(("ed", "er", "ing")))
        ):
            continue
        if tag.kind in ("amount", "deg") and tag.low is None and tag.note != "muted":
            held = {round(n, 1) for n in numbers}
            if round(float(tag.value), 1) not in held and not (tag.kind == "deg" and round(float(tag.value)) in held):
                out.append(tag)
            continue
        if tag.kind == "num" and tag.low is None and after not in _SIDE:
            if float(tag.value) not in numbers and round(float(tag.value), 1) not in numbers:
                out.append(tag)
        elif (tag.kind == "pct" and tag.low is None and round(float(tag.value), 1) not in numbers) or (
            tag.kind == "money" and float(tag.value) not in numbers
        ):
            out.append(tag)
    return out


def _places_left(part: Part, said: set[str]) -> list[Tag]:
    if "all" in said or any(s.startswith("all ") for s in said):
        return []
    return [
        t
        for t in part.tags
        if t.kind == "place"
        and t.note != "quoted"
        and t.value
        and not set(t.value) & said
        and t.claimed not in ("wrong", "corrected")
    ]


def _before_fish(part: Part, tag: Tag) -> bool:
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    return any(
        t.says("noun", "fry", "juveniles", "adults", "male", "female", "fish", "pair") for t in part.tags[n + 1 : n + 3]
    )


def _matter_left(part: Part, events: list[Raw], teller: Teller) -> list[Tag]:
    """Foods, additives and days of a clause that no event holds."""
    held = {
        str(v) for e in events for k, v in e.items() if k in ("food", "substance", "culture", "item", "source", "stage")
    }
    cultures = " ".join(str(e.get("culture")) for e in events if e.get("culture"))
    out: list[Tag] = []
    for n, tag in enumerate(part.tags):
        if tag.note in ("quoted", "muted") or tag.claimed:
            continue
        if (
            tag.senses.get("food")
            and not tag.senses.get("cue")
            and not set(tag.senses["food"]) & held
            and tag.word not in cultures
            and not any(f.rstrip("s") in cultures for f in tag.senses["food"])
        ) or (tag.senses.get("substance") and not set(tag.senses["substance"]) & held and not tag.senses.get("unit")):
            out.append(tag)
        elif tag.kind == "day" and isinstance(tag.value, Day) and not tag.value.vague and not tag.value.future:
            before = "since" if tag.word.startswith("since") else part.tags[n - 1].word if n else ""
            date = tag.value.on(teller.sent)
            dates = {
                e["_day"].on(teller.sent, bool(e.get("_ahead")))
                if isinstance(e.get("_day"), Day)
                else teller.sent.date()
                for e in events
            } | {e["_made"].on(teller.sent) for e in events if isinstance(e.get("_made"), Day)}
            if {t.word for t in part.tags} & {"none", "nothing", "no", "nobody"}:
                continue
            if (
                date not in dates
                and before not in ("since", "until", "by", "for", "from", "than", "before", "about", "of", "around")
                and not any(e.get("_ahead") for e in events)
            ):
                out.append(tag)
    return out


STRONG = (
    "pull",
    "bad",
    "eyed",
    "hatch",
    "move",
    "dead",
    "wc",
    "topoff",
    "feed",
    "bought",
    "sold",
    "hold",
    "release",
    "harvest",
    "crash",
    "bag",
    "wet",
    "close",
    "mop_in",
    "newplace",
)


def _untold(part: Part) -> bool:
    """Whether a clause no frame took has the plain sign of an event and something to hang it on."""
    strong = [
        t
        for t in part.cues(*STRONG)
        if t.word
        not in (
            "white",
            "eyes",
            "new water",
            "fresh water",
            "clean water",
            "floating",
            "head",
            "move",
            "moving",
            "body",
            "jumped",
            "new",
            "bottom",
            "leave",
            "release",
            "pull",
            "popped",
            "wet",
            "flooded",
            "ate",
            "eating",
        )
    ]
    return bool(strong) and bool(
        part.kind("num", "place", "batch", "pct", "size", "amount", "line")
        or part.sense("food")
        or part.noun("eggs", "fry")
    )


def telling(part: Part) -> bool:
    """Whether a clause has the sign of an event, and something to hang it on, with nothing forbidding it."""
    return (
        not part.muted
        and not part.asks
        and part.has(*SIGNS)
        and bool(part.kind("num", "place", "batch", "pct", "size", "amount"))
    )


def question_for(sentence: Sentence, tags: list[Tag]) -> Doubt:
    words = sentence.text()
    what = ", ".join(dict.fromkeys(t.word for t in tags if t.word)) or words
    return Doubt(words, f"I am not sure about “{what}”. How should I write it down?", (), "kind", None)


def _said_twice(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
    """Numbers said more often than the events hold them: "two dead, two missing" told as one event of two."""
    out: list[Tag] = []
    seen: dict[float, list[Tag]] = {}
    for part in sentence.parts:
        if part.muted or part.asks or part.has("count", "left") or left_in(part):
            continue
        for tag in part.tags:
            if len(part.tags) == 1 and part.before is not None:
                continue  # "…, nine!": said again in wonder
            nth = next(i for i, t in enumerate(part.tags) if t is tag)
            if nth and part.tags[nth - 1].word in ("that's", "makes", "thats"):
                continue  # "…, so that's seven in the bin"
            if tag.kind == "num" and tag.low is None and not tag.claimed and tag.note != "quoted":
                seen.setdefault(float(tag.value), []).append(tag)
    for value, tags in seen.items():
        if len(tags) < 2:
            continue
        uses = 0
        for raw in its:
            for key, held in raw.items():
                if key.startswith("_") or isinstance(held, bool):
                    continue
                if isinstance(held, (int, float)):
                    uses += value in (
                        float(held),
                        round(float(held) * 9 / 5 + 32, 0),
                        round(float(held) * 9 / 5 + 32, 1),
                    )
                elif isinstance(held, str):
                    uses += held in teller.names.by_id.get(str(value).removesuffix(".0"), ())
                elif isinstance(held, (list, tuple)):
                    uses += sum(h in teller.names.by_id.get(str(value).removesuffix(".0"), ()) for h in held)
        if uses < len(tags):
            out += tags[uses:] or tags[-1:]
    return out


def guard(sentences: list[Sentence], teller: Teller, asked: set[int]) -> None:
    """Hold back the events of a sentence in which a number or place was left over, and ask."""
    if any(e["kind"] in ("undo", "fix") for e in teller.events):
        return
    named = {p for s in sentences for t in s.tags if t.kind == "place" for p in t.value}
    numbers, said, _ = told(teller.events, teller.names, named)
    for sentence in sentences:
        if id(sentence) in asked:
            continue
        its = [e for e in teller.events if e.get("_sentence") == id(sentence)]
        loose: list[Tag] = []
        for part in sentence.parts:
            if part.muted or part.asks:
                continue
            left = _numbers_left(part, numbers)
            kinds = {e["kind"] for e in its}
            left = [
                t
                for t in left
                if not (t.kind == "deg" and kinds & {"water_change", "peat", "culture"})
                and not (t.kind == "amount" and kinds & {"culture", "peat"})
            ]
            if (
                len(left) == 1
                and its
                and all(e["kind"] == "measure" for e in its)
                and len(part.kind("num")) == 1
                and str(left[0].value).removesuffix(".0") in teller.names.by_id
            ):
                continue
            if left_in(part) or (part.before is not None and left_in(part.before)):
                continue
            if its and part.has("feed", "gave"):
                left = [t for t in left if not _before_fish(part, t)]
            loose += left
            if its or part.has(*SIGNS):
                loose += _matter_left(part, teller.events, teller)
            loose += _places_left(part, said) if its or part.has(*SIGNS) else []
            if id(part) not in teller.read and _untold(part):
                loose += part.cues(*STRONG)
        if its and all(e["kind"] == "setting" for e in its):
            loose = _set_aside(sentence, loose)
        elif its and not loose:
            loose = _said_twice(sentence, its, teller)
        if (
            its
            and loose
            and any(e["kind"] not in ("remind", "snooze", "undo", "fix", "reserve", "remark", "new_place") for e in its)
        ):
            teller.hold_back(id(sentence), sentence.text())
            teller.doubts.append(question_for(sentence, loose))
        elif not its and loose and teller.events and (any(map(telling, sentence.parts)) or _only_figures(sentence)):
            signs = {v for p in sentence.parts if not p.muted for t in p.tags for v in t.senses.get("cue", ())}
            if (
                not _only_figures(sentence)
                and signs <= {"clean", "changed", "collect", "start", "left"}
                and all(t.kind == "place" or str(t.value).removesuffix(".0") in teller.names.by_id for t in loose)
            ):
                teller.events.append({"kind": "remark", "text": sentence.text(), **_only_place(loose, teller.names)})
                continue
            teller.doubts.append(question_for(sentence, loose))


def _only_figures(sentence: Sentence) -> bool:
    """Whether a sentence is nothing but numbers and what goes with them: "Sunday - 2 and 9, 8 each"."""
    figures = ("num", "place", "batch", "day", "clock", "pct", "sep", "punct", "stop")
    return len(sentence.tags) > 2 and all(
        t.kind in figures or t.word in ("and", "&", "each", "in", "from") or t.says("each") for t in sentence.tags
    )


def _set_aside(sentence: Sentence, loose: list[Tag]) -> list[Tag]:
    """The numbers and places beside a setting that are no part of it; "instead of three" and words of doing are."""
    spoken = {id(t): sentence.tags[n].word if n >= 0 else "" for n, t in enumerate(sentence.tags[1:])}
    return [t for t in loose if t.kind in ("num", "deg", "place") and spoken.get(id(t)) not in ("of", "than", "from")]


def _only_place(tags: list[Tag], names: Names) -> Raw:
    found = [p for t in tags for p in (t.value if t.kind == "place" else names.by_id[str(t.value).removesuffix(".0")])]
    return {"place": found[0]} if len(found) == 1 else {}


def unclear(sentences: list[Sentence]) -> Sentence | None:
    """The first sentence of an unlogged note that all the same has the sign of an event."""
    for sentence in sentences:
        live = [t for p in sentence.parts if not p.muted and not p.asks for t in p.tags]
        if (
            len(sentence.tags) <= 8
            and any(t.kind in ("place", "batch") for t in live)
            and any(t.kind in ("num", "pct", "amount", "money", "frac") for t in live)
        ):
            return sentence
        for part in sentence.parts:
            if (
                part.kind("num")
                and (part.sense("item") or part.sense("food") or part.sense("substance"))
                and not part.muted
                and not part.asks
            ):
                return sentence
            if (
                not part.muted
                and not part.asks
                and (
                    (
                        part.noun("water")
                        and (len(part.kind("clock")) > 1 or (part.kind("place") and len(part.tags) <= 4))
                    )
                    or (part.kind("pct") and part.kind("num", "place"))
                )
            ):
                return sentence
            if part.has("gave") and part.noun("pair", "trio") and not part.muted and not part.asks:
                return sentence
            if len(part.kind("num")) > 1 and not part.muted and not part.asks and not part.kind("person"):
                return sentence
            if telling(part) or (
                not part.muted
                and not part.asks
                and part.kind("place", "batch")
                and part.kind("num", "pct", "amount", "money")
            ):
                return sentence
    return None
