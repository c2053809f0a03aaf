"""A clause of short hand that fits a pattern: its named groups in the room's names, and what clauses leave behind."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from bot.language.clauses.group import Raw
from bot.language.rows.letters import NONE_WORDS, ids
from bot.language.tags import Tag
from bot.language.telling import MOST
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day


class Unfit(Exception):
    """The note is no list of such clauses."""


@dataclass
class State:
    """What clauses leave for those that follow."""

    day: Day | None = None
    days: list[Day] = field(default_factory=list)  # several, said at once
    clock: Clock | None = None
    topic: str = ""
    unsure: bool = False  # the heading names only a place: the numbers below must be counts that its fish can have
    quantity: str = ""
    spots: list[str] = field(default_factory=list)
    food: str | None = None
    headed: bool = False  # the day stands over the lines that follow
    led: bool = False  # a line before began with a day of its own
    fresh: bool = False  # a day was said just now, and nothing yet that happened on it
    own: tuple[Day | None, Clock | None] = (None, None)  # the day and hour of the clause at hand itself
    said: list[Raw] = field(default_factory=list)  # what the clauses before told


@dataclass
class Clause:
    """A pattern matched: its named groups as tags, in the room's names."""

    match: re.Match[str]
    tags: list[Tag]  # of the whole note
    names: Names
    state: State

    def get(self, name: str) -> list[Tag]:
        if name not in self.match.re.groupindex or self.match.start(name) < 0:
            return []
        return self.tags[self.match.start(name) : self.match.end(name)]

    def alone(self) -> bool:
        """Whether the clause is all the note says, but for days and hours."""
        own = {id(t) for t in self.tags[self.match.start() : self.match.end()]}
        return all(id(t) in own or t.kind in ("day", "clock", "stop", "punct") for t in self.tags)

    def between(self, first: str, second: str) -> list[Tag]:
        """What stands between two groups, where both matched in that order."""
        if not self.get(first) or not self.get(second):
            return []
        return self.tags[self.match.end(first) : self.match.start(second)]

    def one(self, name: str) -> Tag | None:
        found = self.get(name)
        return found[0] if found else None

    def named(self, tag: Tag) -> list[str]:
        if tag.kind == "place":
            return [str(v) for v in tag.value]
        if tag.kind == "batch":
            return [str(tag.value)]
        if tag.says("group"):
            return [tag.one("group") or ""]
        found = ids(tag, self.names)
        if not found:
            raise Unfit
        return found

    def spots(self, name: str = "s") -> list[str]:
        """The places of a group, in the order said."""
        tags = [t for t in self.get(name) if t.kind in ("place", "batch", "num") or t.says("group")]
        out = [s for t in tags for s in self.named(t)]
        if len(out) != len(set(out)):
            raise Unfit
        return out

    def here(self, name: str = "s") -> list[str]:
        """The places of a group, or those spoken of before."""
        out = self.spots(name) or self.state.spots
        if not out:
            raise Unfit
        self.state.spots = out
        return out

    def last(self, *kinds: str) -> Raw:
        """What was told just before, of one of these kinds."""
        if not self.state.said or (kinds and self.state.said[-1]["kind"] not in kinds):
            raise Unfit
        return self.state.said[-1]

    def spot(self, name: str = "s") -> str:
        out = self.here(name)
        if len(out) != 1 or out[0].startswith("all"):
            raise Unfit
        return out[0]

    def at(self, spot: str) -> dict[str, str]:
        return {"batch" if spot in self.names.batch_of else "place": spot}

    def count(self, name: str = "c", kind: str = "pull") -> int | None:
        tag = self.one(name)
        return None if tag is None else self.whole(tag, kind)

    def whole(self, tag: Tag, kind: str = "pull") -> int:
        if tag.word in NONE_WORDS and tag.kind != "num":
            return 0
        if tag.kind != "num" or tag.value != int(tag.value) or tag.value > MOST.get(kind, 3000):
            raise Unfit
        return int(tag.value)

    def line(self, *names: str) -> dict[str, str]:
        lines = {str(t.value[0]) for name in names for t in self.get(name) if t.kind == "line"}
        if len(lines) > 1:
            raise Unfit
        return {"line": lines.pop()} if lines else {}

    def sex(self, name: str) -> dict[str, str]:
        said = [t for t in self.get(name) if t.says("noun", "male", "female")]
        found = {"male" if t.says("noun", "male") else "female" for t in said}
        return {"sex": found.pop()} if len(found) == 1 else {}

    def role(self, place: str) -> str:
        its = self.names.place_of.get(place)
        if its is None:
            raise Unfit
        return its.role or ""
