"""A move as it is said: where fish or eggs were, where they went, how many, of which sex."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from bot.language.clauses.group import Group, Raw
from bot.language.tags import Tag
from bot.language.telling import Teller

_INTO = frozenset(["to", "into", "->", "in", "went in", "went into", "moved up", "up to", "put"])
_OUT_OF = frozenset(["from", "of", "off"])
_WERE = frozenset(["were", "was", "been", "lived", "sat"])  # "put 12 fry in 12, they were the ones in E"


@dataclass
class Journey:
    """What a group says of a move, found step by step."""

    group: Group
    teller: Teller
    source: str | None = None
    target: str | None = None
    batch: str | None = None
    line: str | None = None
    count: float | None = None
    male: float | None = None
    female: float | None = None
    sure: bool = False  # whether "from" was said
    plain: list[str] = field(default_factory=list)  # places said without "from" or "into"
    said: list[tuple[str, Any, Tag]] = field(default_factory=list)  # places and numbers in the order said

    def __post_init__(self) -> None:
        batches = self.group.batches()
        self.batch = batches[0] if len(batches) == 1 else None
        self.line = self.group.line()
        self.said = list(self.group.sequence("count"))

    def numbers(self) -> list[tuple[float, Tag]]:
        return [(v, t) for k, v, t in self.said if k == "N" and t.kind == "num"]

    def places(self) -> list[str]:
        return [v[0] for k, v, _ in self.said if k == "P" and len(v) == 1]

    # ---- from where to where

    def ends(self) -> bool:
        """Find where they were and where they went; False where two places are said as one and it was asked."""
        for kind, value, tag in self.said:
            if kind == "P" and len(value) == 1:
                self._end(value[0], self.group._index(tag))
            elif kind == "P":
                self.teller.ask(self.group, "Which went where?", "to", {"kind": "move"})
                return False
        return True

    def _end(self, place: str, n: int) -> None:
        """Take a place for the one they left or the one they went to, by the words before it."""
        back = [t.word for t in self.group.tags[max(0, n - 3) : n]]
        near = back[-1] if back else ""
        earlier = {t.word for t in self.group.tags[max(0, n - 6) : n]}
        if near == "in" and self.target is not None and self.source is None and earlier & _WERE:
            self.source, self.sure = place, True
        elif _INTO & set(back[-2:]) and near not in ("from", "out", "of"):
            self.target = place
        elif (
            near in _OUT_OF
            or (self.source is None and self.target is None and {"from", "of"} & set(back))
            or (self.source is None and n == 0)
        ):
            if n == 0:
                self.plain.append(place)
            self.sure = self.sure or near in _OUT_OF
            self.source = place
        elif self.target is None:
            self.target = place

    def in_there(self) -> None:
        """Settle what two places or one and a "there" leave open."""
        alone = len(self.plain) == 1 and self.plain[0] != self.source
        if self.sure and self.target is None and alone and self.group.words() & {"there", "it", "in"}:
            self.target = self.plain[0]  # "tub F … put 8 from tub B in there"
        spoken = self.places()
        if len(spoken) == 2 and self.target == spoken[0] and self.source is None and self.batch:
            return  # "went over to tank 16, so tank 13 is less crowded"
        if len(spoken) == 2 and (self.source is None or self.target is None or self.source == self.target):
            came = self.sure and self.source == spoken[1] != spoken[0]  # "12 now has a pair, moved from 3"
            self.source, self.target = (spoken[1], spoken[0]) if came else spoken

    # ---- how many

    def many(self) -> bool:
        """Find how many, and of which sex; False where two numbers count them and it was asked."""
        nums = self.numbers()
        for value, tag in nums:
            counted = self.group.after(tag)
            if counted is not None and counted.kind == "line":
                counted = self.group.after(tag, 2)  # "one gularis male"
            if counted is not None and counted.says("noun", "male"):
                self.male = value
            elif counted is not None and counted.says("noun", "female"):
                self.female = value
            elif self.count is None and tag.low is None:
                self._one_number(value, tag)
            elif len(nums) > 1 and tag.low is None:
                partial = {"kind": "move", "from": self.source, "to": self.target}
                self.teller.ask(self.group, "How many were moved?", "count", partial)
                return False
        return True

    def _one_number(self, value: float, tag: Tag) -> None:
        place, before = self.group.place_id(tag), self.group.before(tag)
        if before is not None and before.word in ("to", "into") and place and self.target is None:
            self.target = place
        else:
            self.count = value

    def sexes(self) -> None:
        """Make one count of what is said of males, females, pairs, trios, "her" and "him"."""
        if self.count is not None and (self.male or 0) + (self.female or 0) > self.count:
            self.male = self.female = None  # "two females fighting, one put in 15": of those
        if self.male is not None or self.female is not None:
            self.count = self.count if self.count is not None else (self.male or 0) + (self.female or 0)
        for tag in self.group.noun("pair", "trio"):
            before = self.group.before(tag)
            size = 2 if tag.says("noun", "pair") else 3
            if before is not None and before.kind == "num":
                self.count = before.value * size
            elif self.count is None:
                self.count = size
        for word, sex in (("her", "female"), ("him", "male")):
            if self.count is None and word in self.group.words() and not self.group.noun("male", "female"):
                self.count = 1.0
                self.male, self.female = (None, 1.0) if sex == "female" else (1.0, None)
                self.line = self.line or self.teller.context.line
        if self.count is None and not self.numbers():
            self._single()

    def _single(self) -> None:
        """One fish of a sex: "moved the male"."""
        for tag in self.group.noun("male", "female"):
            before = self.group.before(tag)
            several = before is not None and before.word in ("all", "both", "some", "few")
            if not tag.word.endswith("s") and not several:
                self.count = 1.0
                if tag.says("noun", "male"):
                    self.male = 1.0
                else:
                    self.female = 1.0
        if self.male and self.female:
            self.count = 2.0

    def of_the_hatched(self) -> None:
        """Those moved are the fry just told of, where the words point back to them."""
        ctx, words = self.teller.context, self.group.words()
        everyone = bool(words & {"all", "everyone", "everybody"})
        if ctx.kind != "hatch":
            return
        points = words & {"them", "those", "they", "moved", "it"} or self.group.tags[0].word in ("to", "were", "was")
        there = ctx.places == (self.source,) or self.source is None or ctx.batch
        if self.count is None and not everyone and ctx.count is not None and points and there:
            self.count = ctx.count
        hatched = [e for e in self.teller.events if e["kind"] == "hatch"]
        total = sum(int(e.get("count") or 0) for e in hatched)
        if self.count is not None and everyone and self.count == total and self.source is None and ctx.event:
            self.source = str(ctx.event["place"]) if ctx.event.get("place") else self.source
        if self.count is None and everyone and ctx.count is not None and len(hatched) == 1:
            self.count = ctx.count

    # ---- where they were, when it is not said

    def home(self) -> None:
        """Where they were, by their line, by what was spoken of before, or by their batch."""
        names, ctx = self.teller.names, self.teller.context
        if self.source is None and self.batch is None:
            if self.line and not ctx.places:
                self.source = self._by_line()
            if self.source is None and len(ctx.places) == 1 and ctx.places[0] != self.target:
                self.source = ctx.places[0]
            elif self.source is None and ctx.batch:
                self.batch = ctx.batch
        fry = self.group.stage() == "fry" and "in" in self.group.words()
        if self.source is None and self.batch is None and self.line and fry:
            found = self.teller.spots_by_line("hatch", [self.line])
            found = tuple(p for p in found if p != self.target and p in names.place_of)
            self.source = found[0] if len(found) == 1 else None
        if self.source is None and self.batch is not None and self.batch in names.batch_of:
            place = names.batch_of[self.batch].place
            self.source = place if place in names.place_of else None

    def _by_line(self) -> str | None:
        """The one place that holds such fish of the line."""
        names = self.teller.names
        found = tuple(p for p in self.teller.spots_by_line("move", [str(self.line)]) if p != self.target)
        sexed = self.male is not None or self.female is not None
        stage = self.group.stage() or ("adults" if sexed else None)
        if stage == "adults":
            found = tuple(p for p in found if names.place_of[p].role == "breeders")
        if len(found) > 1 and stage:
            found = tuple(p for p in found if any(b.stage == stage for b in names.batches_in(p)))
        return found[0] if len(found) == 1 else None

    # ---- what it comes to

    def keys(self) -> Raw:
        """What the move holds."""
        out: Raw = {"from_": self.source, "to": self.target, "batch": self.batch, "count": self.count}
        line = self._line_said()
        if line is not None:
            out["line"] = line
        stage = self.group.stage()
        if stage:
            out["stage"] = stage
        for sex, many in (("male", self.male), ("female", self.female)):
            if many is not None:
                out[sex] = int(many)
        return out

    def _line_said(self) -> str | None:
        """The line named, here or, of a place that holds none, in the clauses before."""
        ctx, names = self.teller.context, self.teller.names
        if self.group.kind("line") and self.line:
            return self.line
        hatched = ctx.values.get("hatched_line")
        its = isinstance(hatched, tuple) and hatched[0] == self.group.sentence and ctx.kind == "hatch"
        if its and isinstance(hatched, tuple) and not self.group.kind("line"):
            return str(hatched[1])
        if self.source in names.place_of and not names.lines_in(str(self.source)):
            named = {x for p in self.group.parts[0].before_all() for t in p.kind("line") for x in t.value}
            if len(named) == 1:
                return str(named.pop())  # "the new lampeyes did their time in quarantine, so all five went to 5"
        return None
