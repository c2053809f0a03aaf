"""What a note says and no event tells: a number, a place or a sign of an event left over is asked about, never dropped."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.doubts.untold import before_fish, matter_left, numbers_left, places_left, said_twice
from bot.language.doubts.untold import told as told
from bot.language.eggs import left_in
from bot.language.reading import Doubt
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.names import Names

SIGNS = (
    "pull", "bad", "eyed", "hatch", "move", "put", "dead", "lost", "count", "wc", "changed", "topoff", "feed",
    "bought", "sold", "paid", "hold", "release", "harvest", "crash", "clean", "bag", "wet", "close", "mop_in",
    "newplace",
)  # fmt: skip
STRONG = (
    "pull", "bad", "eyed", "hatch", "move", "dead", "wc", "topoff", "feed", "bought", "sold", "hold", "release",
    "harvest", "crash", "bag", "wet", "close", "mop_in", "newplace",
)  # fmt: skip


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


_NO_DEED = ("remind", "snooze", "undo", "fix", "reserve", "remark", "new_place")


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
        loose = [t for p in sentence.parts for t in _left_over(p, its, numbers, said, teller)]
        if its and all(e["kind"] == "setting" for e in its):
            loose = _set_aside(sentence, loose)
        elif its and not loose:
            loose = said_twice(sentence, its, teller)
        if not loose:
            continue
        if any(e["kind"] not in _NO_DEED for e in its):
            teller.hold_back(id(sentence), sentence.text())
            teller.doubts.append(question_for(sentence, loose))
        elif not its and teller.events and (any(map(telling, sentence.parts)) or _only_figures(sentence)):
            if _only_noted(sentence, loose, teller):
                teller.events.append({"kind": "remark", "text": sentence.text(), **_only_place(loose, teller.names)})
            else:
                teller.doubts.append(question_for(sentence, loose))


def _left_over(part: Part, its: list[Raw], numbers: set[float], said: set[str], teller: Teller) -> list[Tag]:
    """The numbers, places and signs of a clause that no event took."""
    if part.muted or part.asks:
        return []
    left = _numbers_of_no_event(part, its, numbers)
    if (
        _reading_of_a_tank(part, left, its, teller)
        or left_in(part)
        or (part.before is not None and left_in(part.before))
    ):
        return []
    if its and part.has("feed", "gave"):
        left = [t for t in left if not before_fish(part, t)]
    if its or part.has(*SIGNS):
        left = [*left, *matter_left(part, teller.events, teller), *places_left(part, said)]
    if id(part) not in teller.read and _untold(part):
        left = [*left, *part.cues(*STRONG)]
    return left


def _numbers_of_no_event(part: Part, its: list[Raw], numbers: set[float]) -> list[Tag]:
    """The numbers left in a clause, without degrees and amounts of what has neither."""
    kinds = {e["kind"] for e in its}
    none_of = {"deg": {"water_change", "peat", "culture"}, "amount": {"culture", "peat"}}
    return [t for t in numbers_left(part, numbers) if not kinds & none_of.get(t.kind, set())]


def _reading_of_a_tank(part: Part, left: list[Tag], its: list[Raw], teller: Teller) -> bool:
    """Whether the one number left beside readings is the tank they are of."""
    read = bool(its) and all(e["kind"] == "measure" for e in its)
    if not read or len(left) != 1 or len(part.kind("num")) != 1:
        return False
    return str(left[0].value).removesuffix(".0") in teller.names.by_id


def _only_noted(sentence: Sentence, loose: list[Tag], teller: Teller) -> bool:
    """Whether a sentence of weak signs, with places left over and no number, is kept as a remark."""
    signs = {v for p in sentence.parts if not p.muted for t in p.tags for v in t.senses.get("cue", ())}
    places = all(t.kind == "place" or str(t.value).removesuffix(".0") in teller.names.by_id for t in loose)
    return places and not _only_figures(sentence) and signs <= {"clean", "changed", "collect", "start", "left"}


def _only_figures(sentence: Sentence) -> bool:
    """Whether a sentence is nothing but numbers and what goes with them: "Sunday - 2 and 9, 8 each"."""
    figures = ("num", "place", "batch", "day", "clock", "pct", "sep", "punct", "stop")
    return len(sentence.tags) > 2 and all(
        t.kind in figures or t.note == "idle" or t.word in ("and", "&", "each", "in", "from") or t.says("each")
        for t in sentence.tags
    )


def _set_aside(sentence: Sentence, loose: list[Tag]) -> list[Tag]:
    """The numbers and places beside a setting that are no part of it; "instead of three" and words of doing are."""
    spoken = {id(t): sentence.tags[n].word if n >= 0 else "" for n, t in enumerate(sentence.tags[1:])}
    return [t for t in loose if t.kind in ("num", "deg", "place") and spoken.get(id(t)) not in ("of", "than", "from")]


_SO_IT_IS = frozenset(["has", "have", "is", "are", "was", "looks", "look", "looked", "seems", "smells", "needs"])


def _of_its_tank(part: Part) -> bool:
    """Whether a clause says how the gear of a tank is: "heater in 4 looks rusty"."""
    nums = [n for n, t in enumerate(part.tags) if t.kind == "num"]
    placed = len(nums) == 1 and nums[0] > 0 and part.tags[nums[0] - 1].word in ("in", "on")
    return placed and bool(part.words() & _SO_IT_IS) and not part.senses_cue()


def _only_place(tags: list[Tag], names: Names) -> Raw:
    found = [p for t in tags for p in (t.value if t.kind == "place" else names.by_id[str(t.value).removesuffix(".0")])]
    return {"place": found[0]} if len(found) == 1 else {}


def unclear(sentences: list[Sentence]) -> Sentence | None:
    """The first sentence of an unlogged note that all the same has the sign of an event."""
    for sentence in sentences:
        if _only_figures(sentence) and sum(t.kind == "num" for t in sentence.tags) > 1:
            return sentence
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
                and not (part.sense("item") and len(sentence.parts) == 1 and _of_its_tank(part))
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
