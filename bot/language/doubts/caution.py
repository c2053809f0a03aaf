"""The last look at a reading: a sign of the trade that no event answers for is asked about, never dropped."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.clauses.group import Group, Raw
from bot.language.doubts.leftovers import question_for, told
from bot.language.eggs import left_in
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.everyday import is_everyday
from bot.language.text.vocabulary import DOMAIN

# What each sign may be told as; a sign none of whose kinds was told is left over.
_TOLD_AS: dict[str, frozenset[str]] = {
    sign: frozenset(kinds.split())
    for sign, kinds in {
        "laid": "pull peat hatch headcount eyed",
        "pull": "pull peat bad_eggs eyed stock_in sale reserve culture mop move headcount service water_change close_place hatch death",
        "bad": "bad_eggs pull death",
        "eyed": "eyed bad_eggs headcount",
        "hatch": "hatch move feed culture death headcount pull",
        "move": "move dose pull hatch stock_in culture close_place new_place sale",
        "dead": "death bad_eggs close_place culture service headcount",
        "wc": "water_change top_off",
        "topoff": "top_off water_change",
        "bought": "stock_in sale reserve pull peat",
        "sold": "sale reserve release",
        "hold": "reserve release remind snooze setting measure sale",
        "release": "release undo death close_place",
        "harvest": "culture feed pull move",
        "crash": "culture bad_eggs death close_place",
        "bag": "peat",
        "wet": "peat water_change",
        "close": "close_place",
        "feed": "feed culture setting done headcount",
        "newplace": "new_place culture pull move stock_in hatch peat",
    }.items()
}
# Words that are signs of the trade only in company; alone they mean too many other things.
_SLIGHT = frozenset(
    ["white", "whites", "eyes", "head", "moving", "move", "body", "new", "bottom", "leave", "popped", "popping", "pull", "ate", "eating", "floating", "on the floor", "hold", "loss", "losses", "rip",
     "stiff", "stripped", "hatch", "fresh water", "new water", "clean water", "caught", "delivery", "auction", "rolled", "fuzzy", "furry", "lifted", "carried", "eaten", "went over", "came over", "treated", "wet", "soaked", "flooded"]
)  # fmt: skip
_OWN_SENTENCE = frozenset(["remind", "snooze", "undo", "fix", "setting", "new_place", "done"])


def live_parts(sentence: Sentence) -> list[Part]:
    return [p for p in sentence.parts if not p.muted and not p.asks]


def signs_in(part: Part) -> list[Tag]:
    peat = bool(part.noun("peat", "bag"))
    return [
        t
        for n, t in enumerate(part.tags)
        if t.says("cue", *_TOLD_AS)
        and not t.claimed
        and t.note not in ("muted", "quoted")
        and (t.word not in _SLIGHT or (peat and t.says("cue", "wet")))
        and not any(w.word == "like" for w in part.tags[max(0, n - 3) : n])
    ]


def anchored(part: Part) -> bool:
    """Whether a clause names anything of the room, or a number."""
    return bool(
        part.kind("num", "place", "batch", "pct", "size", "amount", "line", "vol", "frac", "money", "culture")
        or part.sense("food")
        or part.sense("group")
        or part.sense("role")
        or part.noun("eggs", "fry", "mop", "peat", "male", "female", "pair", "trio", "juveniles")
    )


def signs_left(sentences: list[Sentence], teller: Teller) -> None:
    """Ask about a sentence with a plain sign that none of its events tells."""
    if any(e["kind"] in ("undo", "fix") for e in teller.events) or not teller.events:
        return
    numbers, _, _ = told(teller.events, teller.names, set())
    for sentence in sentences:
        if id(sentence) in teller.asked:
            continue
        its = [e for e in teller.events if e.get("_sentence") == id(sentence)]
        if its and all(e["kind"] == "done" for e in its) and (left := _groups_left(sentence, its)):
            hold_back(sentence, left, teller)
            continue
        if its and all(e["kind"] in _OWN_SENTENCE for e in its):
            continue
        kinds = {e["kind"] for e in teller.events}
        loose: list[Tag] = []
        for part in live_parts(sentence):
            if not anchored(part):
                continue
            for tag in signs_in(part):
                may = {k for v in tag.senses["cue"] for k in _TOLD_AS.get(v, ("*",))}
                if "*" not in may and not may & kinds:
                    loose.append(tag)
        loose += _amounts_left(sentence, its) + _groups_left(sentence, its) + _sums_left(sentence, its)
        loose += _unlikely(its, teller) + _some_day(its)
        if _OTHER_WAY.search(sentence.text()):
            loose += sentence.tags[-1:]
        if its:
            loose += _who_and_what_left(sentence, its, teller)
            loose += _spare_left(sentence, teller)
            if any(e["kind"] in ("dose", "water_change") for e in its):
                loose += [
                    two
                    for one, two in pairwise(sentence.tags)
                    if one.word == "another" and two.kind in ("frac", "amount", "vol")
                ]
            loose += _left_out(sentence, its, teller)
            loose += _done_unread(sentence, teller)
        if not its and len(sentence.tags) <= 5:
            loose += _names_left(sentence, teller)
        if not its and len(sentence.tags) <= 12:
            loose += _row_left(sentence, numbers)
        if loose:
            hold_back(sentence, loose, teller)


def _groups_left(sentence: Sentence, its: list[Raw]) -> list[Tag]:
    """Groups of tubs or fish ("the fry tubs") named beside others that were told."""
    told = [e for e in its if e["kind"] in ("water_change", "feed", "top_off", "service", "dose", "done")]
    said = {str(v) for e in told for k in ("places", "except") for v in e.get(k) or ()}
    said |= {str(e.get("place")) for e in told}
    tasks = " ".join(str(e.get("task", "")) for e in told)
    if not told or "all" in said or not (tasks or any(s.startswith("all ") for s in said)):
        return []
    tags = [
        t
        for part in live_parts(sentence)
        for n, t in enumerate(part.tags)
        if t.says("group")
        and "all" not in t.senses["group"]
        and not any(w.kind in ("place", "num") for w in part.tags[n + 1 : n + 3])
    ]
    spelled_out = {
        id(one) for one, two in pairwise(sentence.tags) if two.kind == "place" and two.value
    }  # egg tubs A, B and C
    left = [t for t in tags if not t.claimed and not t.senses["group"] & said and t.word not in tasks]
    return [t for t in left if id(t) not in spelled_out]


def _sums_left(sentence: Sentence, its: list[Raw]) -> list[Tag]:
    """A sum said at the end ("so that's two") that the counts told do not make."""
    counts = [int(e["count"]) for e in its if isinstance(e.get("count"), int)]
    sums = {float(c) for c in (*counts, sum(counts))}
    out: list[Tag] = []
    for part in live_parts(sentence) if counts else ():
        for n, tag in enumerate(part.tags[1:], 1):
            after = part.tags[n + 1] if n + 1 < len(part.tags) else None
            if tag.kind != "num" or tag.low is not None:
                continue
            if after is not None and (after.says("cue", "left") or after.kind == "day" or after.word in ("this", "so")):
                continue
            if part.tags[n - 1].word in ("that's", "makes", "totals") and float(tag.value) not in sums:
                out.append(tag)
    return out


def _amounts_left(sentence: Sentence, its: list[Raw]) -> list[Tag]:
    """Volumes and fractions of a water change that no event holds."""
    if not its or any(e["kind"] in ("new_place", "stock_in", "culture", "dose", "peat", "top_off") for e in its):
        return []
    changed = any(e["kind"] == "water_change" for e in its)
    held = {round(float(e[k]), 0) for e in its for k in ("litres", "percent") if isinstance(e.get(k), (int, float))}
    out: list[Tag] = []
    for part in live_parts(sentence):
        if not changed and not (part.noun("water") or part.words() & {"out", "back", "drained"}):
            continue
        for tag in part.kind("vol", "frac"):
            if tag.value is None or tag.low is not None or tag.claimed:
                continue
            if tag.kind == "vol" and any(e.get("percent") for e in its):
                continue
            if round(float(tag.value), 0) not in held:
                out.append(tag)
    return out


_TESTED = frozenset(["ph", "ammonia", "nitrite", "nitrate", "gh", "kh", "tds", "conductivity"])

# Said of what was just told: which way it was meant cannot be known from the words alone.
_OTHER_WAY = re.compile(
    r"\b(other way (a?round|about)|vice versa|wrong way (a?round|about)|swap (those|them|these)|back to front|mixed (them|those|these) up)\b"
)


def _unlikely(its: list[Raw], teller: Teller) -> list[Tag]:
    """What the room itself makes unlikely: more fish dead, moved or sold than a batch has, a hatch where no eggs are."""
    names = teller.names
    out: list[Tag] = []
    for event in its:
        group = event.get("_group")
        tags = group.tags[:1] if isinstance(group, Group) else []
        batch = names.batch_of.get(str(event.get("batch") or ""))
        count = event.get("count")
        if (
            event["kind"] in ("death", "move", "sale", "reserve", "eyed", "bad_eggs")
            and batch is not None
            and batch.count
            and isinstance(count, (int, float))
            and count > batch.count
        ):
            out += tags
        place = names.place_of.get(str(event.get("place") or ""))
        if (
            event["kind"] == "hatch"
            and place is not None
            and place.role in ("fry", "nursery", "quarantine", "empty")
            and not any(b.stage == "eggs" for b in names.batches_in(place.name))
            and not any(
                e["kind"] in ("pull", "move", "stock_in") and place.name in (e.get("to"), e.get("place"))
                for e in teller.events
            )
        ):
            out += tags
    return out


_THAN = frozenset(["since", "than", "from", "of", "like", "as", "until", "for", "until last", "between"])


def _some_day(its: list[Raw]) -> list[Tag]:
    """ "Last week" of a deed told without its day, which was not today's."""
    out: list[Tag] = []
    for event in its:
        group = event.get("_group")
        if not isinstance(group, Group) or event.get("_day") is not None or event["kind"] not in _DATED:
            continue
        for n, tag in enumerate(group.tags):
            gone = tag.kind == "day" and tag.value.vague and tag.word.split()[0] in ("last", "past", "previous")
            if gone and not tag.claimed and tag.note != "muted" and (n == 0 or group.tags[n - 1].word not in _THAN):
                out.append(tag)
    return out


_DATED = frozenset(
    ["pull", "bad_eggs", "hatch", "move", "death", "water_change", "dose", "feed", "measure", "stock_in", "sale",
     "service", "top_off", "headcount", "peat"]
)  # fmt: skip


def _spare_left(sentence: Sentence, teller: Teller) -> list[Tag]:
    """A spare or new one put in that no service tells of."""
    if any(e["kind"] in ("service", "move", "new_place", "mop", "setting", "culture") for e in teller.events):
        return []
    return [
        t for p in live_parts(sentence) if p.has("put", "mop_in", "clean", "start") for t in p.tags if t.word == "spare"
    ]


def _who_and_what_left(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
    """Cultures named, and buyers in a sale or promise, that no event holds."""
    said = " ".join(str(v).lower() for e in teller.events for k, v in e.items() if not k.startswith("_"))
    out: list[Tag] = []
    if any(e["kind"] in ("reserve", "sale", "release") and not e.get("buyer") for e in its):
        out += [t for p in live_parts(sentence) for t in p.tags if is_strange(t, teller)]
    read = {str(e.get("quantity")) for e in its if e["kind"] == "measure"}
    if read:
        out += [
            t
            for p in live_parts(sentence)
            for t in p.sense("quantity")
            if t.senses["quantity"] <= _TESTED and not t.senses["quantity"] & read and not t.claimed
        ]
    if any(e["kind"] == "reserve" and not e.get("_day") for e in its):
        out += [t for p in live_parts(sentence) for t in p.kind("ordinal") if t.value > 3]
    for part in live_parts(sentence):
        for n, tag in enumerate(part.tags):
            if (
                tag.kind == "culture"
                and tag.note != "quoted"
                and str(tag.value).lower() not in said
                and str(tag.value).rstrip("0123456789 ").lower() not in said
            ):
                out.append(tag)
            if (
                tag.kind == "culture"
                and any(e["kind"] == "culture" for e in its)
                and str(tag.value).lower() not in said
            ):
                before = {t.word for t in part.tags[max(0, n - 3) : n]}
                if not before & {"from", "off", "of", "with"}:
                    out.append(tag)
    return out


def _done_unread(sentence: Sentence, teller: Teller) -> list[Tag]:
    """Places said to have been "done" that no event of the note names."""
    said = {
        str(x) for e in teller.events for k in ("place", "places", "from", "to", "except") for x in _listed(e.get(k))
    }
    out: list[Tag] = []
    for part in live_parts(sentence):
        if part.cues("done") and not said & {"all", *(s for s in said if s.startswith("all "))}:
            out += [t for t in part.kind("place") if t.value and not set(t.value) & said]
    return out


def _listed(value: object) -> list[object]:
    return list(value) if isinstance(value, (list, tuple)) else [value] if value else []


def _left_out(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
    """Places said after "not", "except" or "but" that stand among the places of an event all the same."""
    among = {
        str(p)
        for e in its
        if e["kind"] in ("water_change", "top_off", "feed", "dose", "service")
        for p in (e.get("places") or [e.get("place")])
    }
    excepted = {str(p) for e in its for p in e.get("except") or []}
    out: list[Tag] = []
    for one, two in zip(sentence.tags, sentence.tags[1:], strict=False):
        if any(t.word in ("too", "also", "again") for t in sentence.tags):
            continue
        if not (one.word in ("not", "exc", "minus", "but", "except") or one.says("except")) or two.note == "quoted":
            continue
        places = (
            two.value
            if two.kind == "place"
            else teller.names.by_id.get(f"{two.value:g}", ())
            if two.kind == "num"
            else ()
        )
        out += [two] if set(places) & among - excepted else []
    return out


def _row_left(sentence: Sentence, numbers: set[float]) -> list[Tag]:
    """The numbers of a short sentence that logged nothing and gave nothing to any event."""
    parts = [p for p in live_parts(sentence) if not left_in(p)]
    if len(parts) != len(sentence.parts):
        return []
    nums = [
        t for p in parts for t in p.kind("num", "amount", "pct", "money", "deg") if t.note != "idle" and not t.claimed
    ]
    left = [t for t in nums if t.low is None and float(t.value) not in numbers]
    signed = any(
        any(v not in ("left", "bad_weak") for v in t.senses.get("cue", ()))
        or t.senses.get("item")
        or t.senses.get("food")
        or t.kind in ("line", "batch", "place")
        for p in parts
        for t in p.tags
    )
    return left if left and (signed or len(sentence.tags) <= 7) else []


def _names_left(sentence: Sentence, teller: Teller) -> list[Tag]:
    """The places and batches of a short sentence that stand in no event of the note."""
    said = {str(v) for e in teller.events for v in e.values() if isinstance(v, str)}
    lists = [v for e in teller.events for v in e.values() if isinstance(v, (list, tuple))]
    said |= {x for its in lists for x in its if isinstance(x, str)}
    said |= {teller.names.batch_of[s].place for s in said if s in teller.names.batch_of}
    out: list[Tag] = []
    for part in live_parts(sentence):
        for tag in part.kind("place"):
            if tag.value and not set(tag.value) & said and "all" not in said:
                out.append(tag)
    return out


def hold_back(sentence: Sentence, tags: list[Tag], teller: Teller) -> None:
    """Take back what a sentence logged and ask about it."""
    teller.hold_back(id(sentence), sentence.text())
    if not any(d.words == sentence.text() for d in teller.doubts):
        teller.doubts.append(question_for(sentence, tags))


def is_strange(tag: Tag, teller: Teller) -> bool:
    """Whether a word is neither English nor the trade's nor the room's: shorthand, a slip, or a name."""
    return (
        tag.kind == "word"
        and tag.word.isalpha()
        and len(tag.word) > 1
        and not is_everyday(tag.word)
        and tag.word not in DOMAIN
        and tag.word not in teller.names.known
    )
