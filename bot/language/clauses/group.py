"""Clauses that tell of one thing, and how their places and numbers pair up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from bot.language.clauses.bare_numbers import AT
from bot.language.clauses.in_order import in_order
from bot.language.scene import COUNTED, Context, Part
from bot.language.tags import Tag
from bot.language.text.names import Names

Raw = dict[str, Any]

# Verbs in the singular after "in 13": what it was or did, and no count of what is in it.
_OF_A_PLACE = frozenset("now has is was had went dropped fell rose climbed reads read shows showed hit".split())  # noqa: SIM905


@dataclass
class Group:
    """The tags of one thing told, commas kept as separators."""

    parts: list[Part]
    names: Names
    context: Context
    kinds: tuple[str, ...] = ()
    tags: list[Tag] = field(default_factory=list)
    _order: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for part in self.parts:
            if self.tags:
                self.tags.append(Tag("sep", part.joiner, 0, 0, part.joiner))
            self.tags.extend(part.tags)

    @property
    def sentence(self) -> int:
        return self.parts[0].sentence

    @property
    def row(self) -> int:
        return self.parts[0].line

    def text(self) -> str:
        return " ".join(t.word for t in self.tags if t.kind != "sep" or t.word)

    def cues(self, *values: str) -> list[Tag]:
        return [t for p in self.parts for t in p.cues(*values)]

    def noun(self, *values: str) -> list[Tag]:
        return [t for p in self.parts for t in p.noun(*values)]

    def sense(self, sort: str) -> list[Tag]:
        return [t for p in self.parts for t in p.sense(sort)]

    def kind(self, *kinds: str) -> list[Tag]:
        return [t for t in self.tags if t.kind in kinds and t.note != "quoted"]

    def words(self) -> set[str]:
        return {w for t in self.tags for w in t.word.split()}

    # ---- what the group names

    def lines(self) -> list[str]:
        """The lines named, the doubtful ones settled by the places named beside them."""
        out: list[str] = []
        held = [x for t in self.kind("place") for p in t.value for x in self.names.lines_in(p)]
        held += [self.names.batch_of[t.value].line for t in self.kind("batch") if t.value]
        held += [x for p in self.context.places for x in self.names.lines_in(p)] if not held else []
        for tag in self.kind("line"):
            options = tag.value
            if len(options) > 1:
                fit = [x for x in options if x in held]
                options = tuple(dict.fromkeys(fit)) if fit else options
            if len(options) == 1 and options[0] not in out:
                out.append(options[0])
        return out

    def line(self) -> str | None:
        found = self.lines()
        return found[0] if len(found) == 1 else None

    def batches(self) -> list[str]:
        return [t.value for t in self.kind("batch") if t.value]

    def unknown(self) -> Tag | None:
        """A place or batch named that the room lacks, or that fits two."""
        for tag in self.kind("place"):
            if not tag.value:
                return tag
        for tag in self.kind("batch"):
            if tag.value is None:
                return tag
        return None

    def stage(self) -> str | None:
        for tag in self.noun("fry", "juveniles", "adults", "eggs"):
            return tag.one("noun") if tag.one("noun") in ("eggs", "fry", "juveniles", "adults") else None
        return None

    def sex(self) -> str | None:
        male, female = bool(self.noun("male")), bool(self.noun("female"))
        return "male" if male and not female else "female" if female and not male else None

    def before(self, tag: Tag) -> Tag | None:
        n = self._index(tag)
        return self.tags[n - 1] if n > 0 else None

    def after(self, tag: Tag, step: int = 1) -> Tag | None:
        n = self._index(tag)
        return self.tags[n + step] if n + step < len(self.tags) else None

    def _index(self, tag: Tag) -> int:
        if len(self._order) != len(self.tags):
            self._order = {id(t): n for n, t in enumerate(self.tags)}
        return self._order[id(tag)]

    def sized(self, tag: Tag) -> tuple[str, ...]:
        """The one place a size means, settled by the line named beside it; () when several fit."""
        places = tuple(tag.value)
        held = self.lines()
        if held:
            fit = tuple(p for p in places if set(self.names.lines_in(p)) & set(held))
            places = fit or places
        if tag.note and len(places) != 1:
            return ()
        if tag.note and places and places[0] not in tag.note.split("|"):
            return places if held else ()
        return places if len(places) == 1 else ()

    def place_id(self, tag: Tag) -> str | None:
        """The place a bare number names, when just one does."""
        if tag.value != int(tag.value) or tag.approx or tag.word.startswith(("a couple", "couple", "a dozen", "dozen")):
            return None
        n = next((i for i, t in enumerate(self.tags) if t is tag), len(self.tags))
        if n + 1 < len(self.tags) and self.tags[n + 1].says("unit") and self.tags[n + 1].says("substance"):
            return None  # "+ 2 leaves"
        found = self.names.by_id.get(str(int(tag.value)), ())
        if len(found) > 1:  # "three bowls … in 1, 2 and 3"
            heads = {h for t in self.tags if t.says("noun", "tank") for h in self.names.head_words.get(t.word, ())}
            found = tuple(p for p in found if any(p.startswith(h) for h in heads if h)) or found
        return found[0] if len(found) == 1 else None

    def ids(self, tag: Tag) -> tuple[str, ...]:
        """The places of a bare number or range of numbers."""
        if tag.low is not None and tag.low == int(tag.low):
            if tag.value - tag.low >= len(self.names.by_id):
                return ()  # more than there are places: "0 to 18446744073709551615" is not gone through
            out = [self.names.by_id.get(str(n), ()) for n in range(int(tag.low), int(tag.value) + 1)]
            return tuple(x[0] for x in out if len(x) == 1) if all(len(x) == 1 for x in out) else ()
        place = self.place_id(tag)
        return (place,) if place else ()

    # ---- numbers

    def counts(self, tag: Tag) -> bool:
        """Whether a number stands before something counted: eggs, fry, dead ones, a line's fish."""
        n = self._index(tag)
        if (
            n > 0
            and n + 1 < len(self.tags)
            and self.tags[n - 1].word in ("in", "on", "from")
            and self.tags[n + 1].word.partition(" ")[0] in _OF_A_PLACE
        ):
            return False  # "B17 is in 16 now", "nitrate in 13 has gone to 40"
        if n > 1 and self.tags[n - 1].word in ("in", "on") and self.tags[n - 2].says("item"):
            return False  # "heater in 10 died"
        if n > 0 and self.tags[n - 1].word in ("x", "got", "had") and self.tags[n - 1].word == "x":
            return True
        for step in range(1, 5):
            if n + step >= len(self.tags):
                return False
            nxt = self.tags[n + step]
            if nxt.kind in ("num", "place", "sep", "stop", "punct", "pct", "day", "clock") and nxt.word != "-":
                return False
            if nxt.senses:
                if nxt.says("noun", *COUNTED):
                    return True
                if nxt.says("noun", "mop", "tank", "water"):
                    return False
                if nxt.says("cue", "bad", "bad_weak", "eyed", "dead", "hatch", "lost", "left") and step <= 2:
                    # "3 fry in 11 vanished": the number after "in" is the place when another counts
                    return not (
                        n > 1
                        and self.tags[n - 1].word in ("in", "from")
                        and any(t.kind == "num" for t in self.tags[: n - 1])
                        and self.place_id(tag)
                    )
                if nxt.says("quantity") or nxt.says("food") or nxt.says("substance"):
                    return False
                if step == 1 and nxt.says("item") and nxt.word.endswith("s") and tag.value != 1:
                    return True  # "2 heaters"
            if nxt.kind == "line" or (nxt.kind == "batch" and step == 1):
                return True
            if nxt.word in ("out", "more") and step == 1:
                return True
            if (
                nxt.word in ("are", "were", "is", "was", "have", "has")
                and step == 1
                and not (n and self.tags[n - 1].word in AT)
                and not (n > 1 and self.tags[n - 1].word in ("and", "&") and self.tags[n - 2].kind in ("num", "place"))
            ):
                # "12 are now eyed", "2 were fungused"
                signs = ("bad", "bad_weak", "eyed", "dead", "hatch", "lost")
                return any(t.says("cue", *signs) for t in self.tags[n + 2 : n + 4])
            if nxt.word in ("in", "on", "from", "to", "at", "into", "with", "for", "was", "is", "are", "were", "had"):
                return False
        return False

    def sequence(self, mode: str) -> list[tuple[str, Any, Tag]]:
        """Places ("P"), batches ("B") and numbers ("N") in the order said.

        `mode` is what a bare number is taken for: place (water, feeding, service), count, or value (readings).
        """
        return in_order(self, mode)

    def join_spans(self) -> None:
        """Make "1 to 5" one range, where bare figures are places."""
        for one, to, two in zip(self.tags, self.tags[1:], self.tags[2:], strict=False):
            if (
                one.kind == two.kind == "num"
                and to.word in ("to", "through", "thru", "till", "until")
                and one.low is None
                and two.low is None
                and not one.claimed
                and not two.claimed
                and self.place_id(one)
                and self.place_id(two)
                and one.value < two.value
                and not self.counts(two)
            ):
                two.low, one.claimed = one.value, "pairs"


def paired(
    sequence: Iterable[tuple[str, Any, Tag]], each: bool = False
) -> list[tuple[tuple[str, ...], str, Any, list[Tag]]]:
    """Places with their numbers: alternating, list against list, one for all, or one alone.

    Returns (places, "P" or "B" or "", number or ..., tags); ... when no number was said. An empty list means
    the numbers do not fit the places.
    """
    seq = [s for s in sequence if s[0] in "PBN"]
    spots = [s for s in seq if s[0] in "PB"]
    nums = [s for s in seq if s[0] == "N"]
    if not spots:
        return [((), "", n[1], [n[2]]) for n in nums] if nums else [((), "", ..., [])]
    flat = [(p, s[0], s[2]) for s in spots for p in s[1]]
    if not nums:
        return [((p,), k, ..., [t]) for p, k, t in flat]
    order = "".join("N" if s[0] == "N" else "P" for s in seq)
    if len(nums) == len(spots) and len(spots) > 1 and (order == "PN" * len(nums) or order == "NP" * len(nums)):
        if order.startswith("P"):
            return [(p[1], p[0], n[1], [p[2], n[2]]) for p, n in zip(spots, nums, strict=True)]
        return [(p[1], p[0], n[1], [p[2], n[2]]) for n, p in zip(nums, spots, strict=True)]
    if len(nums) == len(flat):
        return [((p,), k, n[1], [t, n[2]]) for (p, k, t), n in zip(flat, nums, strict=True)]
    if len(nums) == 1:
        if each:
            return [((p,), k, nums[0][1], [t, nums[0][2]]) for p, k, t in flat]
        places = tuple(p for p, k, _ in flat if k == "P")
        kinds = {k for _, k, _ in flat}
        if order == "PNP" and kinds == {"P"} and not each:  # "tank 4 had 20, tank 2 …"
            return [(spots[0][1], "P", nums[0][1], [spots[0][2], nums[0][2]]), (spots[1][1], "P", ..., [spots[1][2]])]
        if kinds == {"P"}:
            return [(places, "P", nums[0][1], [t for _, _, t in flat] + [nums[0][2]])]
        if kinds == {"B"} and len(flat) == 1:
            return [((flat[0][0],), "B", nums[0][1], [flat[0][2], nums[0][2]])]
        if len(flat) == 2 and kinds == {"P", "B"}:
            batch = next(p for p, k, _ in flat if k == "B")
            return [((batch,), "B", nums[0][1], [t for _, _, t in flat] + [nums[0][2]])]
        return []
    if len(spots) > 1 and set(order.split("P")) - {"", "N"} == set():
        # some places said no number: P N P P N …
        out = []
        pending: tuple[tuple[str, ...], str, Tag] | None = None
        for kind, value, tag in seq:
            if kind in "PB":
                if pending:
                    out.append((pending[0], pending[1], ..., [pending[2]]))
                pending = (value, kind, tag)
            elif pending:
                out.append((pending[0], pending[1], value, [pending[2], tag]))
                pending = None
            else:
                return []
        if pending:
            out.append((pending[0], pending[1], ..., [pending[2]]))
        return out
    return []
