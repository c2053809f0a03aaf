"""Clauses that tell of one thing, and how their places and numbers pair up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from bot.language.names import Names
from bot.language.scene import COUNTED, Context, Part
from bot.language.tags import Tag

Raw = dict[str, Any]
_AT = frozenset(
    {
        "in",
        "on",
        "from",
        "into",
        "to",
        "under",
        "between",
        "off",
        "of",
        "for",
        "with",
        "tank",
        "inside",
        "out",
        "at",
        "mop",
        "mops",
    }
)
_STATES = frozenset(
    {
        "had",
        "gave",
        "was",
        "is",
        "has",
        "got",
        "at",
        ":",
        "both",
        "reading",
        "looks",
        "were",
        "reads",
        "now",
        "=",
        "are",
        "came",
        "read",
        "and",
        "still",
        "laid",
        "went",
    }
)
_NONE = frozenset({"nothing", "none", "nada", "zip", "zilch", "nil", "nowt", "clean", "zero", "bare", "blank"})


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
        if tag.value != int(tag.value) or tag.approx:
            return None
        found = self.names.by_id.get(str(int(tag.value)), ())
        if len(found) > 1:  # "three bowls … in 1, 2 and 3"
            heads = {h for t in self.tags if t.says("noun", "tank") for h in self.names.head_words.get(t.word, ())}
            found = tuple(p for p in found if any(p.startswith(h) for h in heads if h)) or found
        return found[0] if len(found) == 1 else None

    def ids(self, tag: Tag) -> tuple[str, ...]:
        """The places of a bare number or range of numbers."""
        if tag.low is not None and tag.low == int(tag.low):
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
            and self.tags[n - 1].word in ("in", "on")
            and self.tags[n + 1].word == "now"
        ):
            return False  # "B17 is in 16 now"
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
            if nxt.kind == "line" or (nxt.kind == "batch" and step == 1):
                return True
            if nxt.word in ("out", "more") and step == 1:
                return True
            if (
                nxt.word in ("are", "were", "is", "was", "have", "has")
                and step == 1
                and not (n and self.tags[n - 1].word in (*_AT, "and", "&"))
            ):
                # "12 are now eyed", "2 were fungused"
                return any(t.says("cue", "bad", "eyed", "dead", "hatch", "lost") for t in self.tags[n + 2 : n + 4])
            if nxt.word in ("in", "on", "from", "to", "at", "into", "with", "for", "was", "is", "are", "were", "had"):
                return False
        return False

    def sequence(self, mode: str) -> list[tuple[str, Any, Tag]]:
        """Places ("P"), batches ("B") and numbers ("N") in the order said.

        `mode` is what a bare number is taken for: place (water, feeding, service), count, or value (readings).
        """
        out: list[tuple[str, Any, Tag]] = []
        tags = self.tags
        nums = [t for t in tags if t.kind == "num" and t.note != "quoted" and not t.claimed]
        colon, after_colon = self._colons(mode)
        alternate = self._alternates(nums) if mode != "place" else []
        if mode == "count" and not alternate:
            alternate = self._before_colon(nums)
        named = any(t.kind in ("place", "batch", "size") for t in tags)
        for n, tag in enumerate(tags):
            if tag.note == "quoted" or tag.claimed:
                continue
            if tag.kind == "place":
                if tag.value:
                    out.append(("P", tag.value, tag))
                continue
            if tag.kind == "batch" and tag.value:
                out.append(("B", (tag.value,), tag))
                continue
            if tag.kind == "size":
                sized = self.sized(tag)
                if sized:
                    out.append(("P", sized, tag))
                continue
            if (tag.kind == "lex" and tag.says("role") and not tag.says("noun")) or (
                tag.kind == "lex" and tag.says("role", "grow-out", "nursery", "quarantine") and not tag.says("volume")
            ):
                role = tag.one("role") or ""
                after = tags[n + 1] if n + 1 < len(tags) else None
                its = self.names.with_role(role)
                if after is not None and after.kind == "num" and self.place_id(after) in its:
                    continue
                held = self.lines()
                if held:
                    its = tuple(p for p in its if set(self.names.lines_in(p)) & set(held))
                if len(its) == 1 and not self.kind("place"):
                    out.append(("P", its, tag))
                continue
            if tag.kind == "lex" and tag.says("noun", "tank") and n > 0 and tags[n - 1].kind == "line":
                places = self._line_tank(tags[n - 1])
                if len(places) == 1:
                    out.append(("P", places, tag))
                continue
            if tag.word in _NONE and any(t.word in ("others", "other", "rest") for t in tags[n + 1 : n + 4]):
                continue
            after_it = tags[n + 1].word if n + 1 < len(tags) else ""
            if tag.word == "nothing" and after_it in ("to", "else", "new", "special", "much", "wrong", "unusual"):
                continue
            if tag.word in _NONE and mode == "count":
                out.append(("N", 0, tag))
                continue
            if tag.kind != "num":
                continue
            if tag in colon:
                out.append(("P", self.ids(tag), tag))
                continue
            if (
                mode != "place"
                and n + 2 < len(tags)
                and tags[n + 1].word in ("in", "from")
                and self._placed(tags[n + 2])
                and not (n > 0 and tags[n - 1].word in ("in", "from", "mop", "mops"))
            ):
                out.append(("N", self._value(tag), tag))  # "2 in 13"
                continue
            if tag in after_colon:
                out.append(("N", self._value(tag), tag))
                continue
            if tag in alternate:
                out.append(("P", self.ids(tag), tag))
                continue
            if mode != "place" and self.counts(tag):
                out.append(("N", self._value(tag), tag))
                continue
            ids = self.ids(tag)
            prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
            nxt = tags[n + 1].word if n + 1 < len(tags) else ""
            as_place = False
            if ids and prev in ("other", "others", "another", "remaining", "further", "extra", "which"):
                ids = ()
            if ids:
                if mode == "place":
                    as_place = (
                        not self.counts(tag)
                        and not (prev == "at" or nxt == "of")
                        and nxt not in ("changes", "times", "feeds", "feedings")
                        and self._stands(tags, n)
                    )
                elif prev in ("mop", "mops") and any(s[0] == "P" for s in out):
                    as_place = False
                elif (
                    (
                        prev in _AT
                        and not (prev in ("at", "of", "to", "for", "with") and mode == "value")
                        and not (prev == "of" and n > 1 and tags[n - 2].word not in ("out", "outside"))
                        and not (prev in ("at", "with", "for") and mode == "count")
                    )
                    or (
                        nxt in _STATES
                        and nxt != "and"
                        and nxt != "now"
                        and n + 2 < len(tags)
                        and tags[n + 2].kind not in ("clock", "day")
                    )
                    or (
                        out
                        and out[-1][0] == "P"
                        and out[-1][2].kind == "num"
                        and (prev in (",", "and", "&", "plus", "n") or tags[n - 1].kind == "sep")
                        and not self.counts(tag)
                        and self._joined(tags, n)
                    )
                    or (nxt in ("and", ",", "&") and self._leads(tags, n))
                    or (nxt in ("mop", "mops") and mode == "count" and len(nums) > 1)
                    or (
                        mode == "value"
                        and not named
                        and tag is nums[0]
                        and len(nums) > 1
                        and (n == 0 or tags[n - 1].kind in ("sep", "day", "clock"))
                        and not (n > 0 and tags[n - 1].says("quantity"))
                    )
                ):
                    as_place = True
            if as_place:
                out.append(("P", ids, tag))
            elif mode != "place":
                out.append(("N", self._value(tag), tag))
            elif True:
                out.append(("?", tag.value, tag))
        return out

    def _stands(self, tags: list[Tag], n: int) -> bool:
        """Whether a bare number stands where a place would: at the head, after "in", in a list, after what was done."""
        if n == 0:
            return True
        prev = tags[n - 1]
        if prev.kind in (
            "sep",
            "num",
            "place",
            "clock",
            "day",
            "pct",
            "frac",
            "vol",
            "amount",
            "line",
            "punct",
            "size",
            "dur",
            "person",
        ):
            return True
        if prev.word in _AT or prev.word in (
            "and",
            "&",
            "did",
            "through",
            "all",
            "between",
            "round",
            "around",
            "each",
            "then",
            "plus",
            "too",
            "also",
            "but",
            "again",
            "same",
            "for",
        ):
            return True
        return any(
            prev.senses.get(s) for s in ("cue", "food", "item", "except", "group", "quantity", "substance", "noun")
        )

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

    def _placed(self, tag: Tag) -> bool:
        """Whether a tag names a place, be it by its figure alone."""
        return (tag.kind in ("place", "size") and bool(tag.value)) or (
            tag.kind == "num" and bool(self.place_id(tag)) and not self.counts(tag)
        )

    def _colons(self, mode: str) -> tuple[list[Tag], list[Tag]]:
        """The figures before and after a colon: in "3: 14" a place and what was counted or read there."""
        tags = self.tags
        firsts: list[Tag] = []
        seconds: list[Tag] = []
        for one, sep, two in zip(tags, tags[1:], tags[2:], strict=False):
            if (
                mode != "place"
                and one.kind == two.kind == "num"
                and sep.kind == "sep"
                and sep.word in (":", "=")
                and self.place_id(one)
                and not self.counts(one)
                and not any(one is t for t in seconds)
            ):
                firsts.append(one)
                seconds.append(two)
        nums = [t for t in tags if t.kind == "num"]
        if len(firsts) == 1 and nums[0] is not firsts[0]:
            return [], []  # "2 and 3: 8 and 22"
        if any(s.kind == "sep" and s.word == "+" for s in tags):
            seconds = [t for t in nums if t not in firsts] if firsts else seconds  # "3: 12 + 8"
        return firsts, seconds

    def _joined(self, tags: list[Tag], n: int) -> bool:
        """Whether a number carries a list of places on (nothing in between but "and" or a comma)."""
        back = n - 1
        while back >= 0 and (tags[back].kind == "sep" or tags[back].word in ("and", ",", "&")):
            back -= 1
        if back < 0 or tags[back].kind != "num" or back >= n - 1:
            return False
        if any(t.word in (":", "=", "(") for t in tags[back + 1 : n]):
            return False  # "1-3: 12, 9": what follows the colon is no more of the list
        closed = back > 1 and tags[back - 1].word in ("and", "&") and tags[back - 2].kind == "num"
        return not (closed and any(t.word in (",", ":", "-") for t in tags[back + 1 : n]))

    def _leads(self, tags: list[Tag], n: int) -> bool:
        """Whether "2 and 3" at the head of a clause leads on to what those places did."""
        m = n
        while m < len(tags) and (tags[m].kind in ("num", "sep") or tags[m].word in ("and", "&", "both")):
            m += 1
        return m < len(tags) and tags[m].word in _STATES and (n == 0 or tags[n - 1].kind in ("sep", "day", "punct"))

    def _before_colon(self, nums: list[Tag]) -> list[Tag]:
        """In "mops 2 & 3: 8 and 22" the numbers before the colon, when as many follow it."""
        cut = next((n for n, t in enumerate(self.tags) if t.kind == "sep" and t.word == ":"), None)
        if cut is None or any(t.kind in ("place", "batch") for t in self.tags):
            return []
        first = [t for t in nums if self._index(t) < cut]
        last = [t for t in nums if self._index(t) > cut]
        return first if len(first) == len(last) >= 2 and all(self.place_id(t) for t in first) else []

    def _alternates(self, nums: list[Tag]) -> list[Tag]:
        """In "1 12, 2 9, 3 0" the first of every pair: bare numbers that are places by their order alone."""
        if len(nums) < 4 or len(nums) % 2 or any(t.kind in ("place", "batch") for t in self.tags):
            return []
        firsts, seconds = nums[::2], nums[1::2]
        if any(self.counts(t) for t in firsts):
            return []
        if not all(self.place_id(t) for t in firsts) or any(t.low is not None for t in nums):
            return []
        for one, two in zip(firsts, seconds, strict=True):
            gap = self.tags[self._index(one) + 1 : self._index(two)]
            if any(t.kind == "sep" for t in gap) or len(gap) > 2:
                return []
        return firsts

    def _line_tank(self, tag: Tag) -> tuple[str, ...]:
        """The tank called by its fish: "the medaka tank"."""
        held = [p.name for p in self.names.places if p.line in tag.value and p.role == "breeders"]
        if len(held) != 1:
            held = (
                [
                    p.name
                    for p in self.names.places
                    if set(self.names.lines_in(p.name)) & set(tag.value) and p.kind == "tank"
                ]
                if len(held) == 0
                else held
            )
        return tuple(held) if len(held) == 1 else ()

    def _value(self, tag: Tag) -> float | None:
        """The number said; None when it is a range or vague."""
        return None if tag.low is not None else tag.value


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
