"""Builds events from clauses: finds where they happened, gives them their day, and asks when that is not certain."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from bot.language.clauses.group import Group, Raw, paired
from bot.language.clauses.pointing import fish_elsewhere, pointed_at
from bot.language.clauses.told_once import same_as_before
from bot.language.reading import Doubt
from bot.language.scene import Context, Part
from bot.language.tags import Tag
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day

LIMITS = {
    "temperature": (0.0, 42.0),
    "ph": (3.0, 11.0),
    "ammonia": (0.0, 20.0),
    "nitrite": (0.0, 20.0),
    "nitrate": (0.0, 400.0),
    "gh": (0.0, 60.0),
    "kh": (0.0, 60.0),
    "tds": (0.0, 5000.0),
    "conductivity": (0.0, 10000.0),
    "length": (1.0, 400.0),
}  # what an aquarium can show; common practice, no source
MOST = {
    "pull": 3000,
    "bad_eggs": 2000,
    "hatch": 2000,
    "death": 2000,
    "headcount": 5000,
    "move": 3000,
    "eyed": 3000,
    "stock_in": 2000,
    "sale": 2000,
    "reserve": 2000,
}


_NO_DAY_OF_IT = ("since", "from", "until", "by", "for", "than", "before")


@dataclass(frozen=True)
class Sight:
    """A kind seen in a clause: how strongly, and the tags it rests on."""

    strength: int
    tags: tuple[Tag, ...] = ()


@dataclass(frozen=True)
class Frame:
    """One kind of event: how a clause shows it, and how it is told."""

    kind: str
    sees: Callable[[Part, Teller], Sight | None]
    tell: Callable[[Group, Teller], None]


@dataclass
class Teller:
    """The events, doubts and context of one note as it is read."""

    names: Names
    sent: dt.datetime
    events: list[Raw] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    context: Context = field(default_factory=Context)
    all_tags: list[Tag] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    same: set[int] = field(default_factory=set)  # sentences that repeat what was told
    last: object = None  # the last sentence of the note
    read: set[int] = field(default_factory=set)  # clauses some frame took
    asked: set[int] = field(default_factory=set)  # sentences that were questions
    written: Callable[[list[Tag]], str] | None = None  # the stretch of the note that some tags were made of
    held: dict[str, list[Raw]] = field(default_factory=dict)  # events not believed, by the words of their sentence
    quiet: bool = False  # nothing to keep as a remark either

    def words_at(self, at: int) -> str:
        return self.words[at] if 0 <= at < len(self.words) else ""

    def note_text(self) -> str:
        return " ".join(self.words)

    def as_written(self, tags: list[Tag]) -> str:
        """Some tags as the note has them, else in their own words."""
        return self.written(tags) if self.written is not None else " ".join(t.word for t in tags)

    def hold_back(self, sentence: int, words: str) -> None:
        """Take back what a sentence told; it is kept as what may have been meant."""
        its = [e for e in self.events if e.get("_sentence") == sentence]
        self.held.setdefault(words, []).extend(its)
        self.events = [e for e in self.events if e.get("_sentence") != sentence]

    # ---- asking

    def ask(
        self,
        group: Group | Part,
        question: str,
        missing: str,
        partial: Raw | None = None,
        options: Iterable[str] = (),
        *,
        firm: bool = False,
    ) -> None:
        """Hold back what is not certain and ask; one question for one gap."""
        words = group.text() if isinstance(group, Group) else " ".join(t.word for t in group.tags)
        clean = {k: v for k, v in (partial or {}).items() if not k.startswith("_")} or None
        self.doubts.append(Doubt(words, question, tuple(options), missing, clean, firm=firm))

    def ask_place(self, group: Group, partial: Raw) -> None:
        tag = group.unknown()
        if tag is not None and tag.note.startswith("?"):
            self.ask(group, f"There is no {tag.note[1:]} here. Which one?", "place", partial, firm=True)
        elif tag is not None and tag.kind == "batch":
            self.ask(group, f"There is no batch {tag.note} here. Which one?", "batch", partial, firm=True)
        elif tag is not None and tag.note:
            options = tag.note.split("|")
            self.ask(group, f"{' or '.join(options)}?", "place", partial, options)
        else:
            lines = group.lines()
            options = [p.name for p in self.names.places if lines and set(self.names.lines_in(p.name)) & set(lines)]
            self.ask(
                group,
                "Which tank or tub?" if not options else f"Which one: {', '.join(options)}?",
                "place",
                partial,
                options,
            )

    # ---- when

    def when(self, group: Group, by: bool = False) -> tuple[Day | None, Clock | None]:
        """The day and clock time of a group: its own, else those its heading gave.

        `by`: also a day gone by by which something was seen: "eyed up by Sunday".
        """
        since = ("since", "from", "until", "for", "than", "before") if by else _NO_DAY_OF_IT
        day: Day | None = None
        clock: Clock | None = None
        for n, tag in enumerate(group.tags):
            if tag.claimed:
                continue
            before = group.tags[n - 1].word if n else ""
            if before in ("about", "around", "the", "at") and n > 1:
                before = (
                    group.tags[n - 2].word
                    if group.tags[n - 2].word in ("since", "until", "from", "by", "after")
                    else before
                )
            if tag.note == "muted" or tag.word.startswith("since"):
                continue
            if tag.kind == "day" and before in ("retest", "recheck", "redo", "test", "check"):
                continue
            if tag.kind == "day" and day is None and not tag.value.vague and before not in since:
                day = tag.value
            if tag.kind == "clock" and clock is None and before not in ("until", "after", "by", "for"):
                clock = tag.value
        return day or self.context.day, clock or self.context.clock

    def tell(self, kind: str, group: Group, **keys: object) -> Raw:
        """Log an event with the keys that were said."""
        day, clock = self.when(group, by=kind in ("eyed", "hatch", "headcount"))
        raw: Raw = {
            "kind": kind,
            **{k.rstrip("_"): v for k, v in keys.items() if v is not None and v != () and v != []},
        }
        raw["_day"], raw["_clock"], raw["_group"] = day, clock, group
        if kind == "pull" and raw.get("to") == raw.get("place"):
            raw.pop("to", None)
        count = raw.get("count")
        if isinstance(count, float):
            if count != int(count) or count < 0:
                self.ask(
                    group, f"{count:g}: how many?", "count", {k: v for k, v in raw.items() if k != "count"}, firm=True
                )
                return raw
            raw["count"] = count = int(count)
        if isinstance(count, int) and count > MOST.get(kind, 100000):
            self.ask(
                group,
                f"{count} is a lot. How many?",
                "count",
                {k: v for k, v in raw.items() if k != "count"},
                firm=True,
            )
            return raw
        if kind == "headcount" and raw.get("count") is None and raw.get("male") is None and raw.get("female") is None:
            return raw
        twice = next(
            (
                e
                for e in self.events
                if kind == "headcount"
                and e["kind"] == kind
                and (e.get("place"), e.get("batch")) == (raw.get("place"), raw.get("batch"))
                and e["_group"].sentence == group.sentence
                and e.get("count") != raw.get("count")
                and e.get("stage") == raw.get("stage")
            ),
            None,
        )
        if twice is not None and len(group.lines()) > 0 and group.parts[0].joiner != "then":
            self.events = [e for e in self.events if e is not twice]
            self.ask(group, "How many in all?", "count", {k: v for k, v in raw.items() if k != "count"})
            return raw
        known = same_as_before(raw, self.events, self.note_text)
        if known is not None:
            self.remember(known, group)
            return known
        self.events.append(raw)
        self.remember(raw, group)
        return raw

    def remember(self, raw: Raw, group: Group) -> None:
        ctx = self.context
        places = raw.get("places") or ((raw["place"],) if raw.get("place") else ())
        if raw["kind"] == "move" and raw.get("to"):
            ctx.batch = str(raw["batch"]) if raw.get("batch") else ctx.batch
            places = (raw["to"],)
        if places:
            ctx.places, ctx.header = tuple(places), False
            ctx.batch = None if not raw.get("batch") else str(raw["batch"])
        elif raw.get("batch"):
            ctx.batch, ctx.places, ctx.header = str(raw["batch"]), (), False
        ctx.kind = raw["kind"]
        ctx.line = str(raw["line"]) if raw.get("line") else ctx.line
        if raw.get("count") is not None:
            ctx.count = int(raw["count"])
        ctx.event = raw
        ctx.sentence = group.sentence

    # ---- where

    def spots_by_line(self, kind: str, lines: list[str]) -> tuple[str, ...]:
        """Where an event of a kind can have happened, when only the fish are named."""
        names = self.names
        found: list[str] = []
        for place in names.places:
            stages = {b.stage for b in names.batches_in(place.name) if b.line in lines}
            own = place.line in lines
            if kind in ("bad_eggs", "eyed", "hatch"):
                fits = "eggs" in stages
            elif kind in ("pull", "mop"):
                fits = own and place.role == "breeders"
            else:
                fits = (own or bool(stages)) and not (
                    kind in ("death", "headcount", "move", "sale") and place.role == "eggs"
                )
            if fits:
                found.append(place.name)
        if kind in ("eyed", "hatch", "bad_eggs") and not found:
            found = [b.name for b in names.batches if b.line in lines and b.stage == "eggs"]
        return tuple(found)

    def _may_be_sexed(self, place: str) -> bool:
        """Whether fish old enough to tell males from females can be in a place: more than eggs and fry."""
        role = self.names.place_of[place].role if place in self.names.place_of else None
        stages = {b.stage for b in self.names.batches_in(place)}
        return role == "breeders" or not stages or bool(stages - {"eggs", "fry"})

    def places_where(self, group: Group, kind: str) -> list[str]:
        """The same as places: a batch is meant by where it is."""
        found, sort = self.where(group, kind)
        return list(found) if sort == "P" else [self.names.batch_of[b].place for b in found if b in self.names.batch_of]

    def where(self, group: Group, kind: str) -> tuple[tuple[str, ...], str]:
        """The place or batch of a group that names none: by its fish, else by what was spoken of before.

        Returns names and "P" or "B"; () when that is not certain.
        """
        ctx = self.context
        lines = group.lines()
        if any(not group.sized(t) for t in group.kind("size")):
            return (), ""  # a size that several have
        if (
            kind in ("eyed", "bad_eggs", "hatch")
            and not lines
            and not ctx.places
            and any(t.says("noun", "peat", "bag") for t in self.all_tags)
        ):
            peaty = {x.name for x in self.names.lines if x.eggs == "peat"}
            bags = [b.name for b in self.names.batches if b.stage == "eggs" and b.line in peaty]
            if len(bags) == 1:
                return (bags[0],), "B"
        if not lines and not ctx.places and not ctx.batch and ctx.line:
            lines = [ctx.line]
        if not lines and (fish_elsewhere(group, self) or pointed_at(group, self, kind)):
            return pointed_at(group, self, kind), "P"
        if lines:
            found = self.spots_by_line(kind, lines)
            if group.sex() and len(found) > 1:
                found = tuple(p for p in found if self._may_be_sexed(p)) or found
            stage = group.stage()
            if len(found) > 1 and stage:
                held = tuple(
                    p
                    for p in found
                    if any(b.stage == stage for b in self.names.batches_in(p))
                    or (stage == "adults" and self.names.place_of[p].role == "breeders")
                )
                found = held or found
            if len(found) == 1:
                return found, "B" if found[0] in self.names.batch_of else "P"
            if ctx.places and len(ctx.places) == 1 and set(self.names.lines_in(ctx.places[0])) & set(lines):
                return ctx.places, "P"
            return (), ""
        if ctx.places and ctx.places[0].startswith("all") and ctx.sentence != group.sentence:
            return (), ""
        if ctx.places and (len(ctx.places) == 1 or kind in ("water_change", "dose", "feed", "top_off", "measure")):
            return ctx.places, "P"
        if ctx.batch:
            return (ctx.batch,), "B"
        return (), ""

    def counted(self, group: Group, kind: str, *, many: bool = False, **keys: object) -> list[Raw]:
        """Tell one event for every place with its number; ask where that is not certain."""
        out: list[Raw] = []
        if group.unknown() is not None:
            self.ask_place(group, {"kind": kind, **keys})
            return out
        seq = group.sequence("count")
        pairs = paired(seq, bool(group.sense("each")))
        if not pairs or (len(pairs) > 1 and not any(p[0] for p in pairs)):
            pairs = self._one_number(group, seq)
        if not pairs:
            self.ask(group, "Which number belongs to which?", "count", {"kind": kind, **keys})
            return out
        for places, sort, number, _ in pairs:
            count = None if number is ... else number
            if not places:
                places, sort = self.where(group, kind)
                if not places:
                    self.ask_place(group, {"kind": kind, **keys, "count": count})
                    continue
            if sort == "B":
                out.append(self.tell(kind, group, batch=places[0], count=count, **keys))
            elif len(places) == 1:
                out.append(self.tell(kind, group, place=places[0], count=count, **keys))
            elif many or count is None or count == 0:
                if count is None or count == 0:
                    out += [self.tell(kind, group, place=p, count=count, **keys) for p in places]
                else:
                    out.append(self.tell(kind, group, places=list(places), count=count, **keys))
            else:
                self.ask(group, "How many in each?", "count", {"kind": kind, "places": list(places), **keys})
        return out

    def _one_number(
        self, group: Group, seq: list[tuple[str, object, Tag]]
    ) -> list[tuple[tuple[str, ...], str, object, list[Tag]]]:
        """Of several numbers at one place, the one that counts something, when just one does."""
        strong = [s for s in seq if s[0] == "N" and (s[2].kind != "num" or group.counts(s[2]))]
        spots = [s for s in seq if s[0] in "PB"]
        if len(strong) == 1 and len(spots) <= 1:
            return paired([*spots, strong[0]])
        nums = [s for s in seq if s[0] == "N"]
        if len(spots) <= 1 and nums and len({s[1] for s in nums}) == 1:  # the same number said twice
            return paired([*spots, nums[0]])
        return []


def litres_of_volume(tag: Tag) -> float | None:
    """The litres of a volume tag to one decimal; None for a bucket or a range."""
    if tag.value is None or tag.low is not None:
        return None
    return round(float(tag.value), 1)
