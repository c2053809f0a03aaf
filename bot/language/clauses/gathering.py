"""Gathers the clauses of a sentence that tell of one thing, and has it told."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from bot.language.clauses.afterthoughts import settle
from bot.language.clauses.belonging import carries, continues, fits_on, heads, names_only
from bot.language.clauses.group import Group
from bot.language.clauses.headings import ABOUT_NOTES, clock_of, day_of, note_ahead
from bot.language.clauses.loose import tell_loose
from bot.language.doubts.untold import got_none
from bot.language.eggs import egg_places
from bot.language.frames import BY_KIND, seen
from bot.language.scene import Part, Sentence
from bot.language.shapes.chore_shapes import told_by_shape
from bot.language.shapes.fish_shapes import fish_told, two_told
from bot.language.telling import Teller
from bot.language.times.days import Day


def tell_clauses(parts: list[Part], sentence: Sentence, teller: Teller) -> None:
    """Tell the clauses of a sentence, each under the day and hour that the sentence gives all of them."""
    ctx = teller.context
    sentence_day = day_of(sentence, teller.names)
    own_day = _day_for_the_rest(sentence, sentence_day, teller)
    kept_day, kept_clock = ctx.day, ctx.clock
    if sentence_day is not None:
        ctx.day = sentence_day
    clock = clock_of(sentence)
    if clock is not None:
        ctx.clock = clock
    elif sentence_day is not None:
        ctx.clock = None
    gathering = _Gathering(sentence, teller)
    for part in parts:
        gathering.take(part)
    gathering.close()
    gathering.let_go()
    ctx.day, ctx.clock = (own_day or kept_day), (kept_clock if own_day is None else None)
    if sentence_day is not None and own_day is None:
        ctx.day = kept_day


def _day_for_the_rest(sentence: Sentence, sentence_day: Day | None, teller: Teller) -> Day | None:
    """The day a sentence sets for those after it too: "Tuesday: …", "notes from yesterday, …"."""
    first = (t for p in sentence.parts[:1] if p.muted in ("", "not") for t in p.tags[:3])
    own_day: Day | None = next((t.value for t in first if t.kind == "day" and not t.value.vague), None)
    if (
        sentence_day is not None
        and own_day is None
        and sentence.tags[0].word in ABOUT_NOTES
        and any(t.word in ("from", "for") for t in sentence.tags[:6])
    ):
        teller.context.values["row_header"] = True
        return sentence_day
    return own_day


@dataclass
class _Gathering:
    """The clauses at hand: those that tell of `kinds`, and those before them that wait for a sign."""

    sentence: Sentence
    teller: Teller
    current: list[Part] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    waiting: list[Part] = field(default_factory=list)

    def close(self) -> None:
        """Tell what is at hand."""
        if self.current and _cries_alone(self.current, self.kinds, self.sentence, self.teller):
            self.teller.context.kind = self.kinds[0]
        elif self.current:
            _tell_group(self.current, self.kinds, self.teller)
        self.current, self.kinds = [], []

    def let_go(self) -> None:
        """What waited for a sign gets none."""
        for part in self.waiting:
            tell_loose(part, self.teller, self.sentence)
        self.waiting = []

    def take(self, part: Part) -> None:
        teller, ctx = self.teller, self.teller.context
        note_ahead(part, ctx)
        if not self.current and not self.waiting:
            settle(part, teller)
        if id(part) in teller.read:
            return  # the second step of what was told just now
        if (
            self.current
            and self.kinds[0] in ("feed", "water_change", "dose", "top_off")
            and (spots := none_there(part, teller))
        ):
            self.close()
            teller.read.add(id(part))
            last = teller.context.event
            if last is not None and str((last.get("places") or [""])[0]).startswith("all"):
                last["except"] = [*(last.get("except") or ()), *spots]
            return
        found = seen(part, teller if not self.current else _once_told(teller, self.kinds, self.current))
        listed = self._lists_on(part)
        if (
            (not self.current and two_told(part, teller))
            or told_by_shape(part, teller, listed)
            or fish_told(part, teller, listed)
        ):
            self.close()
            self.let_go()
            ctx.day = next((t.value for t in part.kind("day") if not t.value.vague), ctx.day)
            return
        if part.muted in ("plan", "not") and not self.current:
            seen_here = Group([part], teller.names, ctx).sequence("place") if part.kind("place", "num") else ()
            named: list[str] = [p for sort, value, _ in seen_here if sort == "P" for p in value]
            places = tuple(dict.fromkeys(named))
            if len(places) == 1 or (places and part.muted == "plan"):
                ctx.places, ctx.batch, ctx.header = places, None, True
        if found:
            self._take_sign(part, found)
        elif not part.muted and carries(part):
            self._take_loose(part)
        elif not self.current:
            self.let_go()

    def _lists_on(self, part: Part) -> bool:
        """Whether a clause stands in a list: one before it is at hand, or one without a sign of its own follows."""
        after = part.after
        follows = after is not None and not after.muted and bool(after.kind("num", "place", "pct", "amount"))
        return bool(self.current) or (after is not None and follows and not after.senses_cue())

    def _take_sign(self, part: Part, found: list[str]) -> None:
        """A clause with a sign of its own: it goes on with the list at hand, or begins anew."""
        if (
            self.current
            and found[0] == self.kinds[0]
            and len(found) == 1
            and not (part.kind("day") and any(p.kind("day") for p in self.current))
            and not (part.kind("day") and part.kind("place") and part.cues("done", "feed"))
            and continues(part, self.current, found[0])
        ):
            self.current.append(part)
            return
        self.close()
        settle(part, self.teller)
        for before in self.waiting:
            if not heads(before):
                tell_loose(before, self.teller, self.sentence)
        if found == ["death"]:
            self.waiting = [w for w in self.waiting if not _tallied(w, part, self.teller)]
        self.current, self.kinds = [*(w for w in self.waiting if heads(w)), part], found
        self.waiting = []

    def _take_loose(self, part: Part) -> None:
        """A clause without a sign that holds something: more of what is at hand, or it waits."""
        current = self.current
        if current and part.joiner in _WHY and not part.kind("place", "batch", "num", "pct", "amount"):
            return  # "… because I am off at seven": nothing of what was done
        if not current:
            self.waiting.append(part)
            _did_there(part, self.teller)
        elif (
            self.kinds[0] == "pull"
            and part.tags[0].word in ("nothing", "none", "nil")
            and part.kind("num", "place")
            and any(p.kind("num") for p in current)
        ):
            kinds = self.kinds
            self.close()
            self.current, self.kinds = [part], kinds  # "…, and nothing in three"
        elif names_only(part) and part.after is not None and part.after.joiner == ":":
            self.close()
            self.waiting = [part]  # "…, 12: top off only"
        elif (
            fits_on(part, self.kinds[0], self.teller, current)
            and not _tells_otherwise(part, current)
            and not (
                part.joiner == "but"
                and part.kind("place")
                and part.kind("num")
                and any(p.kind("place") for p in current)
            )
        ):
            timed = "day" if part.kind("day") else "clock" if part.kind("clock") and self.kinds[0] != "feed" else ""
            after_none = (
                self.kinds[0] == "pull"
                and any(t.word in ("no", "none", "nothing") for p in current for t in p.tags)
                and any(p.kind("place", "num") for p in current)
                and part.words() & {"from", "off"}
                and len(part.kind("num", "place")) > 1
            )  # "no eggs from 4, and only five from 1"
            did = part.kind("day") and part.kind("place") and part.cues("done", "feed")  # "…, tub A I did last night"
            if (
                after_none
                or did
                or (timed and part.kind("place", "num", "size") and any(p.kind(timed) for p in current))
            ):
                kinds = self.kinds
                self.close()
                self.current, self.kinds = [part], kinds
            else:
                current.append(part)
        else:
            self.close()
            if id(part) not in self.teller.read:
                tell_loose(part, self.teller)


def none_there(part: Part, teller: Teller) -> list[str]:
    """The places that a clause says got nothing: "…, 15 got nothing", "…, none for 3"."""
    if not got_none(part):
        return []
    named = [str(p) for t in part.kind("place") for p in t.value]
    return named + [p for t in part.kind("num") for p in teller.names.by_id.get(f"{t.value:g}", ())]


def _did_there(part: Part, teller: Teller) -> None:
    """ "We did 13 between us, …, 12 gallons out": the tank that what follows was done to."""
    nums = part.kind("num")
    n = part.tags.index(nums[0]) if len(nums) == 1 else 0
    if n and part.tags[n - 1].says("cue", "done") and len(part.tags) <= 6 and not part.kind("place", "batch"):
        place = Group([part], teller.names, teller.context).place_id(nums[0])
        if place is not None:
            teller.context.places, teller.context.batch, teller.context.header = (place,), None, True


_WHY = frozenset(["because", "though", "although"])


def _tells_otherwise(part: Part, current: list[Part]) -> bool:
    """Whether "2 had 14" goes against the "no eggs in 1" before it."""
    return (
        current[0].tags[0].word in ("no", "nothing", "none")
        and bool(part.kind("num"))
        and any(t.word in ("had", "got", "gave", "laid") for t in part.tags)
    )


def _tallied(part: Part, after: Part, teller: Teller) -> bool:
    """Tell the count of "E 29" before "1 dead"; False when a clause is no place with its one number."""
    spots = part.kind("place", "batch")
    nums = part.kind("num")
    if len(part.tags) > 3 or len(spots) != 1 or len(nums) != 1 or not after.kind("num") or egg_places(part, teller):
        return False
    if nums[0].low is not None or spots[0] is not part.tags[0] or after.kind("place", "batch"):
        return False
    if spots[0].kind == "place" and len(spots[0].value) != 1:
        return False
    where = {"batch": spots[0].value} if spots[0].kind == "batch" else {"place": spots[0].value[0]}
    teller.read.add(id(part))
    teller.tell("headcount", Group([part], teller.names, teller.context), **where, count=nums[0].value)
    return True


def _cries_alone(parts: list[Part], kinds: list[str], sentence: Sentence, teller: Teller) -> bool:
    """A cry like "hatched!!" with nothing to hang it on: it heads what follows."""
    if (
        len(sentence.tags) > 2
        or any(t.word == "all" or t.says("group") for t in sentence.tags)
        or len(parts) != 1
        or teller.events
        or kinds[0] not in ("hatch", "eyed", "pull", "death", "feed")
    ):
        return False
    return not parts[0].kind("place", "batch", "line", "num", "size") and teller.last is not sentence


def _tell_group(parts: list[Part], kinds: list[str], teller: Teller) -> None:
    teller.read |= {id(p) for p in parts}
    for kind in sorted(kinds, key=lambda k: k != "pull") if "pull" in kinds else kinds:
        group = Group(parts, teller.names, teller.context)
        before = len(teller.events)
        BY_KIND[kind].tell(group, teller)
        for raw in teller.events[before:]:
            for tag in group.tags:
                if tag.kind in ("num", "pct", "vol", "money", "place", "batch") and not tag.claimed:
                    tag.note = tag.note or kind
            raw["_group_parts"] = parts
            raw["_told"] = (parts[0].sentence, id(parts[0]))


def _once_told(teller: Teller, kinds: list[str], current: list[Part]) -> Teller:
    """The teller as it will stand once the clauses at hand are told, for what leans on them."""
    ghost = Teller(
        teller.names, teller.sent, teller.events, teller.doubts, replace(teller.context), teller.all_tags, teller.words
    )
    ghost.context.kind = kinds[0]
    places = [p for part in current for t in part.kind("place") for p in t.value]
    if not places and kinds[0] in ("service", "water_change", "top_off", "feed", "measure"):
        mode = "value" if kinds[0] == "measure" else "place"
        spots = Group(current, teller.names, teller.context).sequence(mode)
        places = [p for sort, value, _ in spots if sort == "P" for p in value]
    if places:
        ghost.context.places = tuple(places)
    return ghost
