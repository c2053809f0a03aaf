"""What of a clause no event tells: numbers, places, foods, additives and days that are left over."""

from __future__ import annotations

from bot.language.clauses.group import Raw
from bot.language.eggs import left_in
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.everyday import is_everyday
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day

_SIDE = frozenset(
    ["inches", "inch", "deep", "old", "weeks", "days", "minutes", "hours", "am", "pm", "times", "tries", "kg", "lbs",
     "dollars", "years", "percent", "level", "shelf", "row"]
)  # fmt: skip


_LINKS = frozenset(
    ["into", "from", "with", "were", "have", "gave", "this", "that", "then", "there", "they", "about", "more",
     "again", "total", "today", "also", "each", "still", "been", "after", "before", "over", "under", "plus", "both",
     "past", "till", "just", "only", "went", "came"]
)  # fmt: skip


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


_AILS = frozenset(["wobbly", "poorly", "looking", "look", "looks", "weak", "sulking", "pale", "listless"])


def numbers_left(part: Part, numbers: set[float]) -> list[Tag]:
    """Numbers of a clause that stand in no event and are not set aside by the words about them."""
    if part.words() & _AILS and not part.senses_cue():
        return []  # "…, and two more looking wobbly"
    out = []
    for n, tag in enumerate(part.tags):
        if tag.note == "quoted" or tag.claimed in ("wrong", "corrected", "times", "pairs", "to", "total", "earlier"):
            continue
        nxt = part.tags[n + 1] if n + 1 < len(part.tags) else None
        after = nxt.word if nxt is not None else ""
        before = part.tags[n - 1].word if n else ""
        if tag.kind == "num" and (
            (tag.value == 1 and tag.note == "spelled" and after == "of")
            or (nxt is not None and nxt.says("cue", "left"))
            or (
                before in ("that's", "makes", "leaves", "not", "total", "totals") and (nxt is None or nxt.kind != "sep")
            )
            or (before in ("was", "is", "turned") and n > 1 and part.tags[n - 2].word in ("he", "she") and not after)
            or (
                before == "should be"
                or (before == "be" and n > 1 and part.tags[n - 2].word in ("should", "must", "will"))
            )
        ):
            continue
        near = [t.word for t in part.tags[max(0, n - 4) : n]]
        if tag.kind in ("num", "dur") and near[-2:-1] == ["not"]:
            continue  # "…, not every 2"
        if tag.kind == "num" and "spare" in near and near[-1].rpartition(" ")[2] in ("of", "from"):
            continue  # "… for the spare out of 16"
        if tag.kind == "num" and near[-1:] == ["there's"] and "now" in part.words() and part.has("mop_in") is False:
            continue  # "so there's two in tank 5 now"
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


def places_left(part: Part, said: set[str]) -> list[Tag]:
    """Places of a clause that stand in no event."""
    if "all" in said or any(s.startswith("all ") for s in said):
        return []
    if part.words() & {"none", "nothing", "nothing's", "empty", "nobody"} and not part.kind("num"):
        return []  # "…, none in D"
    return [
        t
        for t in part.tags
        if t.kind == "place"
        and t.note != "quoted"
        and t.value
        and not set(t.value) & said
        and t.claimed not in ("wrong", "corrected")
        and not got_none(part)
    ]


def got_none(part: Part) -> bool:
    """Whether a clause only says that a place got nothing: "none in B", "15 got nothing"."""
    words = {t.word for t in part.tags if t.kind not in ("place", "num", "sep")}
    return bool(words & {"none", "nothing", "nil"}) and words <= _GOT_NONE


_GOT_NONE = frozenset(["none", "nothing", "nil", "in", "for", "to", "got", "gets", "had", "and", "or", ",", "today"])


def before_fish(part: Part, tag: Tag) -> bool:
    """Whether fish are named right after: “2 fry”."""
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    return any(
        t.says("noun", "fry", "juveniles", "adults", "male", "female", "fish", "pair") for t in part.tags[n + 1 : n + 3]
    )


def matter_left(part: Part, events: list[Raw], teller: Teller) -> list[Tag]:
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


def said_twice(sentence: Sentence, its: list[Raw], teller: Teller) -> list[Tag]:
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
