"""A second look at the whole note: what an event rests on, and what a clause says that no event holds, is asked about."""

# ruff: noqa: E501, SIM905  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.clauses.group import Group, Raw
from bot.language.doubts.caution import hold_back, live_parts
from bot.language.doubts.leftovers import question_for, told
from bot.language.eggs import left_in
from bot.language.kept_out.chatter import chance
from bot.language.kept_out.ours import of_the_room
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller

# What people do with eyes, ears, heads and mouths changes nothing in the room.
_HARMLESS = frozenset(
    """
    looked watched noticed thought loved liked wanted wished hoped stared laughed cried smiled sat stood walked
    talked said told asked called phoned rang heard felt smelled smelt learned learnt wondered guessed reckoned
    decided tried remembered forgot promised worried seemed turned waited stayed lived visited used needed ended
    happened named missed checked opened sighed squealed shouted danced tested timed enjoyed admired expected figured
    planned found sent labeled labelled passed knocked matched counted dropped bloated dried tired bored scared
    excited pleased
""".split()
)
_DEEDS = frozenset(
    """
    took taken gave given put swept threw thrown bought brought caught cut dug drew drove fed got hung laid left let
    lost sold stuck tore swam split set shut spread poured
""".split()
)  # without -ed
_WHO = frozenset(
    """
    i we he she they i've we've he's she's they've i'd
""".split()
)
_BESIDE = frozenset(
    """
    to by beside above below under over behind near than like
""".split()
)
_GOES_ON = frozenset(
    """
    that which this again too because when where so as for with at by and but before after last since looks look is are
    was were has had have behind near just
""".split()
)
_REALLY = re.compile(
    r"\b(was|were) (really|actually|in fact)( \w+)? (from|in|for|off|tank|tub|\d)"
)  # put right, not told
_NONE_OF = frozenset(["none", "nothing", "nothing's", "nobody", "nobody's", "no"])
_AGAIN = re.compile(r"\b(twice|again|times|both|another|second|more|then|later|once|after|also|each time|plus)\b")
_FISH = ("fry", "juveniles", "adults", "male", "female", "pair", "trio", "fish", "eggs")


def _places_said(part: Part, n: int, teller: Teller) -> set[str]:
    """The places a tag names: by name, or by a bare figure after "in", "from" and the like."""
    tag = part.tags[n]
    before = part.tags[n - 1].word if n else ""
    if (
        (n > 1 and part.tags[n - 2].word in _NONE_OF)
        or before in _BESIDE
        or tag.note == "quoted"
        or tag.claimed in ("wrong", "corrected")
    ):
        return set()
    if tag.kind == "place":
        return set(tag.value)
    if tag.kind == "num" and tag.low is None and tag.note not in ("idle", "spelled"):
        after = part.tags[n + 1] if n + 1 < len(part.tags) else None
        alone = after is None or not (
            after.says("noun")
            or after.says("unit")
            or after.kind in ("day", "clock", "dur")
            or (after.kind == "word" and after.word not in _GOES_ON)
        )
        if before in ("in", "from", "into", "out of") and alone:
            return set(teller.names.by_id.get(f"{tag.value:g}", ()))
    return set()


def _deed(part: Part) -> Tag | None:
    """A verb of doing that is no word of the trade."""
    for n, tag in enumerate(part.tags):
        if tag.kind != "word" or tag.word in _HARMLESS:
            continue
        before = part.tags[n - 1] if n else None
        who = (
            before is None
            or before.word in _WHO
            or before.kind == "person"
            or before.word in ("just", "also", "then", "have", "has")
        )
        if who and (tag.word in _DEEDS or (tag.word.endswith("ed") and len(tag.word) > 4)):
            return tag
    return None


def look(sentences: list[Sentence], teller: Teller) -> None:
    """Hold back what rests on too little, and ask about what was said and is not told."""
    if not teller.events or any(e["kind"] in ("undo", "fix") for e in teller.events):
        return
    _said_by_name(teller)
    _told_in_sum(teller)
    for sentence in sentences:
        its = [e for e in teller.events if e.get("_sentence") == id(sentence)]
        loose = _rests_on_little(sentence, its, teller) + _spoken_twice(sentence, its)
        loose += _told_in_passing(sentence, its, teller)
        loose += _trade_words_left(sentence, its) + _carried_far(sentence, its, sentences, teller)
        if its and _REALLY.search(sentence.text()):
            loose += sentence.tags[-1:]
        if loose:
            hold_back(sentence, loose, teller)
    numbers, said, _ = told(teller.events, teller.names, set())
    everywhere = "all" in said or any(s.startswith("all ") for s in said)
    for sentence in sentences:
        if id(sentence) in teller.asked or any(d.words == sentence.text() for d in teller.doubts):
            continue
        its = [e for e in teller.events if e.get("_sentence") == id(sentence)]
        if its and all(e["kind"] == "setting" for e in its) and (unset := _numbers_unset(sentence, numbers)):
            hold_back(sentence, unset, teller)
        if any(e["kind"] in ("remind", "snooze", "setting", "new_place") for e in its):
            continue
        left: list[Tag] = []
        for part in live_parts(sentence):
            if left_in(part):
                continue
            for n, tag in enumerate(part.tags):
                spots = _places_said(part, n, teller)
                if spots and not spots & said and not everywhere and (its or part.senses_cue() or _deed(part)):
                    left.append(tag)
            deed = _deed(part)
            if deed is not None and id(part) not in teller.read and _done_to(part, deed):
                left.append(deed)
            if (
                not its
                and part.kind("frac", "pct", "vol")
                and (part.noun("water") or part.words() & {"out", "drained"})
            ):
                left += part.kind("frac", "pct", "vol")
        if left:
            teller.doubts.append(question_for(sentence, left))


def _said_by_name(teller: Teller) -> None:
    """Let go of "did the noon feed" where the feeding itself is told beside it."""
    for event in [e for e in teller.events if e["kind"] == "done"]:
        task = str(event.get("task", ""))
        for kind, words in (
            ("feed", r"\bfeeds?\b"),
            ("water_change", r"\b(water|changes?)\b"),
            ("pull", r"\b(mops?|eggs)\b"),
        ):
            same = [e for e in teller.events if e["kind"] == kind and e.get("_sentence") == event.get("_sentence")]
            if same and re.search(words, task) and event in teller.events:
                teller.events.remove(event)


def _told_in_sum(teller: Teller) -> None:
    """Let go of "fed them three times today" where each of the feeds follows."""
    for event in [e for e in teller.events if e["kind"] in _COUNTED and e.get("count")]:
        parts = [e for e in teller.events if e is not event and _part_of(e, event)]
        days = {str(e.get("_day")) for e in parts}
        if len(parts) > 1 and len(days) == len(parts) and sum(e.get("count") or 0 for e in parts) == event["count"]:
            teller.events.remove(event)  # "three went white, one Monday, two today"
    feeds = [e for e in teller.events if e["kind"] == "feed"]
    for event in [e for e in feeds if not e.get("food")]:
        more = [e for e in feeds if e.get("food") and e.get("places") == event.get("places")]
        if len(more) > 1 and event in teller.events:
            teller.events.remove(event)


_COUNTED = ("bad_eggs", "death", "hatch", "pull")


def _part_of(event: Raw, whole: Raw) -> bool:
    """Whether two events tell of one kind and place in one sentence."""
    return all(event.get(k) == whole.get(k) for k in ("kind", "place", "batch", "_sentence"))


def _trade_words_left(sentence: Sentence, its: list[Raw]) -> list[Tag]:
    """A spoon or a bag the events beside it do not hold, and "all" where the clause names only some."""
    out: list[Tag] = []
    doses = [e for e in its if e["kind"] == "dose"]
    for part in live_parts(sentence) if its else ():
        units = [t for t in part.tags if t.kind == "lex" and t.says("unit") and t.note != "muted"]
        few = part.words() & {"few", "couple", "some", "bit", "little", "several", "splash", "dash"}
        only = all(t.says("unit", "drop") or t.word in ("the", "and", "usual") for t in part.tags)  # "…, and drops"
        if doses and all(e.get("amount") is None for e in doses) and not few and not only:
            out += [t for t in units if not t.says("substance") and not t.says("unit", "pinch", "scoop")]
        if any(e["kind"] == "peat" and e.get("action") == "collect" for e in its):
            out += [t for t in part.tags if t.says("noun", "bag") and not t.says("noun", "peat")]
        out += _gear_left(part, its)
    return out


def _gear_left(part: Part, its: list[Raw]) -> list[Tag]:
    """Gear said to have been done beside what was told: "… and I did the glass as well"."""
    told = {str(e.get("item")) for e in its if e["kind"] == "service"}
    if not part.cues("done", "clean") or part.kind("line") or any(e["kind"] in ("move", "death", "hatch") for e in its):
        return []
    items = [t for t in part.sense("item") if not t.says("item", *told)] if told else []
    before = {id(t): (part.tags[n - 1].word if n else "") for n, t in enumerate(part.tags)}
    return [t for t in items if before[id(t)] in ("the", "its", "their", "and", ",") and not t.claimed]


def _carried_far(sentence: Sentence, its: list[Raw], sentences: list[Sentence], teller: Teller) -> list[Tag]:
    """A place carried over from a sentence that named several, with nothing said of which."""
    at = next((n for n, s in enumerate(sentences) if s is sentence), 0)
    if not at or not its:
        return []
    before = {p for t in sentences[at - 1].tags if t.kind == "place" for p in t.value}
    here = {p for t in sentence.tags if t.kind == "place" for p in t.value}
    last = [p for t in sentences[at - 1].tags if t.kind == "place" for p in t.value][-1:]
    last += [str(e["to"]) for e in teller.events if e.get("to")]
    out: list[Tag] = []
    for event in its:
        place = event.get("place")
        group = event.get("_group")
        if len({str(e.get("place")) for e in its if e["kind"] == event["kind"]} & before) > 1:
            continue  # "… in each": all of them
        if place in last:
            continue
        if not place or not isinstance(group, Group) or place in here or place not in before or len(before) < 2:
            continue
        own = group.lines() or (
            group.kind("num", "batch", "size")
            and any(place in teller.names.by_id.get(f"{t.value:g}", ()) for t in group.kind("num"))
        )
        if not own and event["kind"] not in ("headcount", "move"):
            out += group.tags[:1]
    return out


def _told_in_passing(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
    """What was told of a place carried over by words that sound like talk: "the water bill came to 140"."""
    out: list[Tag] = []
    for event in its:
        group = event.get("_group")
        if event["kind"] in _OF_NO_PLACE or not isinstance(group, Group) or group.lines():
            continue
        if any(of_the_room(p, teller.names) or p.sense("group") for p in group.parts):
            continue
        odds, strange = max(chance(p.tags) for p in group.parts)
        if strange and (odds > 0.7 or (odds > 0.3 and chance(sentence.tags)[0] > 0.5)):
            out += group.tags[:1]
    return out


_OF_NO_PLACE = frozenset(
    ["remark", "undo", "fix", "remind", "setting", "snooze", "release", "reserve", "sale", "stock_in", "new_place",
     "culture", "done"]
)  # fmt: skip


def _numbers_unset(sentence: Sentence, numbers: set[float]) -> list[Tag]:
    """The numbers of a new routine that it does not hold, the old ones ("instead of ten") left aside."""
    out: list[Tag] = []
    for part in live_parts(sentence):
        for n, tag in enumerate(part.tags):
            before = [t.word for t in part.tags[max(0, n - 2) : n]]
            if tag.kind != "num" or tag.low is not None or tag.claimed or float(tag.value) in numbers:
                continue
            last = n == len(part.tags) - 1 or part.tags[n + 1].word == "now"
            if last and not set(before) & {
                "of",
                "instead of",
                "not",
                "than",
                "from",
                "rather than",
                "was",
                "were",
                "only",
            }:
                out.append(tag)
    return out


def _done_to(part: Part, deed: Tag) -> bool:
    """Whether a deed was done with something the record keeps: food, an additive, so many fish or eggs."""
    n = next(i for i, t in enumerate(part.tags) if t is deed)
    rest = part.tags[n + 1 :]
    return any(
        t.kind == "amount"
        or t.says("food")
        or t.says("substance")
        or (t.kind == "num" and m + 1 < len(rest) and (rest[m + 1].says("noun", *_FISH) or rest[m + 1].kind == "line"))
        for m, t in enumerate(rest)
    )


def _rests_on_little(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
    """Counts of nothing that swims, promises to nobody, places of another deed, a number that two events claim."""
    out: list[Tag] = []
    held: dict[float, str] = {}
    for event in its:
        number = event.get("value") if event["kind"] in ("measure", "setting") else None
        if isinstance(number, (int, float)) and held.setdefault(float(number), str(event["kind"])) != event["kind"]:
            out += [t for t in sentence.tags if t.kind in ("num", "deg")] or sentence.tags[:1]
        group = event.get("_group")
        if not isinstance(group, Group):
            continue
        kind, tags = str(event["kind"]), group.tags
        if kind == "headcount" and not _countable(event, sentence, group, teller):
            out += [t for t in tags if t.kind == "num"] or tags[:1]
        if (
            kind == "pull"
            and event.get("count") is None
            and len(sentence.tags) > 6
            and not [t for t in group.cues("pull", "laid") if t.word not in ("off the mop", "off the glass")]
        ):
            out += group.noun("eggs", "mop") or tags[:1]  # eggs seen, or a mop that hangs there
        of_them = group.words() & {"them", "it", "they", "they're", "those"} and not event.get("count")
        if kind == "move" and of_them and not group.lines() and not event.get("batch") and teller.doubts:
            out += tags[:1]  # "put them in D", where what they are is still asked
        if kind == "reserve" and not event.get("buyer"):
            out += [t for t in tags if t.says("cue", "hold")] or tags[:1]
        if kind in ("feed", "dose", "water_change", "top_off", "service"):
            out += _of_another_deed(event, group, teller)
        number = event.get("count") if kind == "headcount" else None
        if isinstance(number, (int, float)) and held.setdefault(float(number), kind) != kind:
            out += [t for t in tags if t.kind in ("num", "deg")] or tags[:1]
    return out


def _countable(event: Raw, sentence: Sentence, group: Group, teller: Teller) -> bool:
    """Whether a count is said of fish, or is one that the batch there can have."""
    if group.lines() or any(
        t.kind == "batch"
        or t.says("noun", *_FISH)
        or t.says("cue", "count", "dead", "lost", "bad")
        or (t.says("cue", "left") and t.word not in ("now", "still"))
        for t in sentence.tags
    ):
        return True
    names = teller.names
    batches = list(names.batches_in(str(event.get("place") or "")))
    if event.get("batch") in names.batch_of:
        batches.append(names.batch_of[str(event["batch"])])
    count = event.get("count")
    return isinstance(count, (int, float)) and any(b.count and count <= b.count for b in batches)


def _of_another_deed(event: Raw, group: Group, teller: Teller) -> list[Tag]:
    """The place of an event, where the only clause that names it tells of some other deed: "thinned the plants in 5"."""
    spots = {str(p) for p in event.get("places") or [event.get("place") or ""]}
    naming = [p for p in group.parts if any(_places_said(p, n, teller) & spots for n in range(len(p.tags)))]
    if not naming or len(group.parts) == 1:
        return []
    deeds = [_deed(p) for p in naming]
    own = any(p.senses_cue() or p.sense("food") or p.sense("substance") or p.sense("item") for p in naming)
    if not own and all(d is not None for d in deeds):
        return [d for d in deeds if d is not None]
    return []


def _spoken_twice(sentence: Sentence, its: list[Raw]) -> list[Tag]:
    """The same thing told twice of one place by a sentence that does not say it was done twice."""
    seen: dict[tuple[str, str, str], Raw] = {}
    for event in its:
        if event["kind"] not in ("feed", "dose", "pull"):
            continue
        for place in event.get("places") or [event.get("place") or event.get("batch") or ""]:
            key = (str(event["kind"]), str(place), str(event.get("_day")))
            other = seen.setdefault(key, event)
            if other is event or event.get("_clock") is not None or _AGAIN.search(sentence.text()):
                continue
            what = [(e.get("food") or e.get("substance") or e.get("count")) for e in (other, event)]
            if (what[0] == what[1] or None in what) and event.get("to") == other.get("to"):
                group = event.get("_group")
                return list(group.tags[:2]) if isinstance(group, Group) else []
    return []
