"""Lists and tables: a heading says what is listed, and every row under it gives a place or a day its number.

Only what fits the pattern whole is read here; anything else is left to the reading of clauses.
"""

from __future__ import annotations

from bot.language.clauses.group import Group, Raw
from bot.language.rows.table_rows import Heading, Row, heading_of, row_of
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import MOST, Teller
from bot.language.text.names import Names
from bot.language.times.days import Clock
from bot.language.water import fits

_MOST_ROWS = 60  # a table longer than that is read row by row


def table(sentences: list[Sentence], start: int, teller: Teller) -> int:
    """Read a table that begins at a sentence: how many sentences it took, 0 when there is none."""
    if any(t.note == "quoted" for t in sentences[start].tags):
        return 0
    line = sentences[start].line
    same = [s for s in sentences[start:] if s.line == line]
    rest = sentences[start + len(same) :]
    if len(same) == 1 and rest:  # a heading line, then a row a line
        rows: list[list[Tag]] = []
        for sentence in rest:
            if sentence.stop == "?":
                break
            rows.append(sentence.tags)
            if len(rows) == _MOST_ROWS:
                break
        heading = same[0].tags
        for size in range(len(rows), 1, -1):
            if sentences[start + size].line == line or (size < len(rows) and rest[size].line == rest[size - 1].line):
                continue
            block = sentences[start : start + 1 + size]
            if _told(heading, rows[:size], block, teller, by_line=True) or _meals(heading, rows[:size], block, teller):
                return 1 + size
    segments: list[list[Tag]] = [[]]
    for sentence in same:
        if sentence.stop == "?":
            return 0
        for n, tag in enumerate(sentence.tags):
            if tag.word == "," and tag.kind == "punct" and _opens_row(sentence.tags[n + 1 :]):
                segments.append([])
            segments[-1].append(tag)
        segments.append([])
    segments = [s for s in segments if s]
    if len(segments) < 2:
        return 0
    for cut in range(1, len(segments[0])):
        before, tag = segments[0][cut - 1], segments[0][cut]
        if tag.kind in ("day", "place", "batch") or before.word in (":", "-") or (tag.kind == "num" and cut > 0):
            heading, first = segments[0][:cut], segments[0][cut:]
            if _told(heading, [first, *segments[1:]], same, teller):
                return len(same)
    return 0


def _lists_two(row: list[Tag]) -> bool:
    """Whether a row is "1 and 3": two tanks or two numbers, no tank with its number."""
    told = [t for t in row if t.kind not in ("punct", "sep")]
    return [t.kind == "num" for t in told] == [True, False, True] and told[1].word in ("and", "&")


def _opens_row(tags: list[Tag]) -> bool:
    first = next((t for t in tags if t.word not in ("and", "then", "&")), None)
    return first is not None and (first.kind in ("day", "clock", "place", "batch", "num") or len(first.word) == 1)


def _told(
    heading: list[Tag], rows: list[list[Tag]], sentences: list[Sentence], teller: Teller, by_line: bool = False
) -> bool:
    tail: list[Tag] = []
    if (
        not by_line
        and len(rows) > 2
        and not any(t.kind in ("num", "day", "place") for t in rows[-1])
        and len(rows[-1]) <= 2
    ):
        tail, rows = rows[-1], rows[:-1]  # "…, t2 17. mops"
    if len(rows) < 2 or (not by_line and any(map(_lists_two, rows))):
        return False
    head = heading_of([*heading, *tail], teller)
    if head is None:
        return False
    read = [row_of(tags, head, teller.names) for tags in rows]
    if any(r is None for r in read):
        return False
    found = [r for r in read if r is not None]
    if not head.topic:
        head.topic = _counted_over_days(head, found, teller.names)
    if not head.topic:
        return False
    events = _events(head, found, by_line, teller)
    if len(events) < 2:
        return False
    group = Group(
        [
            Part(
                [t for s in sentences for t in s.tags],
                "",
                sentences[0].parts[0].sentence if sentences[0].parts else 0,
                sentences[0].line,
            )
        ],
        teller.names,
        teller.context,
    )
    for raw, n in events:
        raw["_group"] = group
        raw["_sentence"] = id(sentences[min(n + 1, len(sentences) - 1)] if by_line else sentences[0])
        teller.events.append(raw)
        teller.remember(raw, group)
    for sentence in sentences:
        teller.read |= {id(p) for p in sentence.parts}
        for tag in sentence.tags:
            if tag.kind == "num":
                tag.claimed = tag.claimed or "place"
    return True


def _meals(heading: list[Tag], rows: list[list[Tag]], sentences: list[Sentence], teller: Teller) -> bool:
    """A list of feedings: every row gives an hour or a food, and who was fed stands in the row or the heading."""
    own = _eaters(heading, teller.names)
    names_feed = any(t.says("cue", "feed") for t in heading)
    if len(heading) > 5 or any(t.kind in ("num", "pct", "amount", "money") or t.says("guard") for t in heading):
        return False
    if not names_feed and not (own and all(any(t.says("food") for t in r) for r in rows)):
        return False
    day = next((t.value for t in heading if t.kind == "day" and not t.value.vague), None)
    told: list[tuple[Clock | None, str | None, list[str]]] = []
    for tags in rows:
        clocks = [t.value for t in tags if t.kind == "clock"]
        foods = [min(t.senses["food"]) for t in tags if t.says("food")]
        eaters = _eaters(tags, teller.names) or own
        plain = [
            t
            for t in tags
            if t.kind not in ("clock", "place", "sep", "punct")
            and not (t.says("food") or t.says("group") or t.says("noun", "fry", "adults") or t.says("cue", "feed"))
            and t.word not in ("all", "to", "for", "the", "and", "tub", "tank")
        ]
        if plain or len(clocks) > 1 or len(foods) > 1 or not eaters or not (clocks or foods):
            return False
        told.append((clocks[0] if clocks else None, foods[0] if foods else None, eaters))
    group = Group(
        [Part([t for s in sentences for t in s.tags], "", 0, sentences[0].line)], teller.names, teller.context
    )
    for n, (clock, food, eaters) in enumerate(told):
        raw: Raw = {"kind": "feed", "places": eaters, "_day": day, "_clock": clock, "_group": group}
        if food is not None:
            raw["food"] = food
        raw["_sentence"] = id(sentences[min(n + 1, len(sentences) - 1)])
        teller.events.append(raw)
        teller.remember(raw, group)
    for sentence in sentences:
        teller.read |= {id(p) for p in sentence.parts}
    return True


def _eaters(tags: list[Tag], names: Names) -> list[str]:
    """Who is fed in a row: places, or a group of the room."""
    places = [p for t in tags if t.kind == "place" for p in t.value]
    if places:
        return list(dict.fromkeys(places))
    for tag in tags:
        if tag.says("group"):
            return [min(tag.senses["group"])]
        if tag.word == "all" and len(tags) <= 3:
            return ["all"]
        if tag.says("noun", "fry", "adults"):
            return [f"all {tag.one('noun')}"]
    return []


def _counted_over_days(head: Heading, rows: list[Row], names: Names) -> str:
    """A batch's numbers day by day, with no word for them, are counts when they lie near what it is known to hold."""
    if len(head.spots) != 1 or not all(r.day is not None or r.none for r in rows):
        return ""
    spot = head.spots[0]
    its = [names.batch_of[spot]] if spot in names.batch_of else list(names.batches_in(spot))
    if len(its) != 1 or its[0].stage == "eggs" or not its[0].count:
        return ""
    values = [float(numbers[0].value) for r in rows for _, numbers in r.pairs]
    return "headcount" if values and all(0.5 * its[0].count <= v <= 1.2 * its[0].count for v in values) else ""


def _events(head: Heading, rows: list[Row], by_line: bool, teller: Teller) -> list[tuple[Raw, int]]:
    out: list[tuple[Raw, int]] = []
    day, clock = head.day or teller.context.day, head.clock or teller.context.clock
    for n, row in enumerate(rows):
        if row.day is not None:
            day, clock = row.day, row.clock
        its_day = day
        its_clock = row.clock or clock
        if row.none and not row.pairs:
            if head.topic == "pull" and len(head.spots) == 1:
                out.append(
                    ({"kind": "pull", "place": head.spots[0], "count": 0, "_day": its_day, "_clock": its_clock}, n)
                )
            continue
        for spot, numbers in row.pairs:
            where = spot or head.spots[0]
            key = "batch" if where in teller.names.batch_of else "place"
            for k, tag in enumerate(numbers):
                raw: Raw = {"kind": head.topic, key: where, "_day": its_day, "_clock": its_clock}
                if head.topic == "measure":
                    value = fits(head.quantities[k], float(tag.value), tag, teller)
                    if value is None or (head.quantities[k] == "length" and tag.kind != "len"):
                        return []
                    raw["quantity"], raw["value"] = head.quantities[k], value
                elif head.topic == "dose":
                    if tag.kind != "amount" and head.substance not in (None, "peroxide"):
                        return []
                    raw["amount"], raw["unit"] = tag.value, tag.unit or "drop"
                    if head.substance is not None:
                        raw["substance"] = head.substance
                else:
                    if tag.kind == "deg" or tag.value != int(tag.value) or tag.value > MOST.get(head.topic, 5000):
                        return []
                    if not _may(head.topic, where, teller.names):
                        return []
                    if head.topic in ("bad_eggs", "death", "hatch") and not tag.value:
                        continue
                    raw["count"] = int(tag.value)
                out.append((raw, n))
    return out


def _may(topic: str, where: str, names: Names) -> bool:
    """Whether a kind of event can well have happened at a place or to a batch."""
    place = names.place_of.get(where)
    if topic == "pull":
        return place is not None and place.role not in ("eggs", "fry", "grow-out", "nursery", "empty")
    if topic == "death":
        return place is None or place.role != "eggs"
    return True
