"""Lists and short hand: clauses that are a place, a number and a word for what was done, in an order that is known.

A note, or a sentence of it, is read here only when all of it fits; a word that is no part of a pattern leaves it to the
reading of clauses. So nothing is dropped and nothing is guessed.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import Any

from bot.language.asking.questions import part_asks
from bot.language.asking.sentences import asks
from bot.language.clauses.group import Group, Raw
from bot.language.clauses.told_and_asked import opens_asking
from bot.language.kept_out.plans_and_wishes import for_later
from bot.language.reminding import bidden_again_and_again
from bot.language.rows.clause import Clause, State, Unfit
from bot.language.rows.letters import ids, letters_of
from bot.language.rows.patterns import PATTERNS, TOPICS
from bot.language.rows.plain_talk import plain, saying, weighty
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller

_DAYS = re.compile(r"@?[DT](?:[,@]?[DT])*:?")
_DAYS_AFTER = re.compile(r"@?(?:D(?:,D)+|[DT](?:@?[DT])*)\+?(?=[,|\n?]|$)")
_REST = re.compile(r"[^|\n]*")
_TALK = re.compile(r"i?[?,*+@A:<R]*\?[?,*+@A:<R>]*i?|q[?,*@]*\?[?,*@~]*|i@,?|,?k\?+")
_AFTER = re.compile(r"i?[@?<]*\?[@?<]*(?=[,|\n]|$)")  # talk that goes on without a comma
_DENIED = re.compile(r"[Pnilcf]{0,2}[,:@]*(?:[G0](?!@?m@P)[G0?,:*+@JPFmiZdDTwR<]*|\?+)|[?0@<]*0[?0@<]*|N[^!]*|d,?")
_HEADING = re.compile(r"(?P<head>[?,*+@GDTPbmLXEHKCqFYSBZRiuwh<~]+)(?P<end>[:\n|,])")
_READ_IN = re.compile(r"(?P<head>[?DT,@]*(?P<place>n)[?DT]*)(?P<end>[:\n])(?=q)")  # "retest of 15: ammonia 0, …"
_PLACE_LAST = re.compile(r"(?P<rest>[^PbJ]*[nH][^PbJ]*)(?P<end>[,|\n])@?(?P<place>[Pb])(?P<stop>[|\n]*)")
_TAIL = re.compile(r"[|,\n](?P<all>[*?]*)(?P<what>[mCKXEH])l?(?P<to>[>@]P)?[|\n]*$")


def read(sentences: list[Sentence], start: int, teller: Teller) -> int:
    """Read the whole note, or else the sentence at `start`: how many sentences were taken, 0 when they do not fit."""
    tries = [(1, [] if _in_jest(sentences[start]) else [sentences[start]])]
    if start == 0 and len(sentences) > 1:
        tries.insert(0, (len(sentences), [s for s in sentences if not _nothing_told(s)]))
    for size, some in tries:
        events = _Rows(some, teller, alone=size < len(sentences)).events() if some else []
        if events and not any(_asks(s) or any(for_later(p.tags) for p in s.parts) for s in some):
            _tell(events, some, teller)
            return size
    return 0


@lru_cache(maxsize=4096)
def _fitting(letters: str, topic: str) -> tuple[int, ...]:
    """The patterns that fit the beginning of some letters, by their numbers: a keeper's notes have few shapes."""
    return tuple(
        number
        for number, (pattern, its, _) in enumerate(PATTERNS)
        if (not its or its == topic) and (found := pattern.match(letters)) and found.end()
    )


_ANNOUNCES = re.compile(
    r"(?:just |ok |so )*(?:a )?(?:few|couple of|two|three|four|five|\d) (?:quick |little |small |more )?"
    r"(?:things|updates|notes|bits|items|jobs)(?: (?:from|for) (?:today|tonight|this \w+|you|the \w+))?"
)  # "three things from today."


def _in_jest(sentence: Sentence) -> bool:
    return bool(sentence.parts) and all(p.muted == "jest" for p in sentence.parts)


def _nothing_told(sentence: Sentence) -> bool:
    """Whether a sentence is talk or a wish from end to end."""
    told = bool(sentence.parts) and all(p.apart or p.muted in ("wish", "hearsay", "jest") for p in sentence.parts)
    return told or _ANNOUNCES.fullmatch(sentence.text()) is not None


def _asks(sentence: Sentence) -> bool:
    """Whether a sentence asks of a place or number, tells and then asks, or bids what is to be done time and again."""
    named = any(t.kind in ("place", "batch", "num") or t.says("group") for t in sentence.tags)
    return (
        sentence.after is not None
        or _so_often(sentence.tags)
        or (named and asks(sentence))
        or (len(sentence.tags) > 2 and opens_asking(sentence.parts[0], sentence.stop) and asks(sentence))
        or bidden_again_and_again(sentence.text())
        or any(p.asks or part_asks(p) for p in sentence.parts[1:])
    )


def _so_often(tags: list[Tag]) -> bool:
    """Whether a number of times is one a day or week: "E wc 2x day" is a routine."""
    return any(
        tag.kind == "times"
        and [t.word for t in tags[n + 1 : n + 3] if t.word not in ("a", "per", "/", "each")][:1] in (["day"], ["week"])
        for n, tag in enumerate(tags)
    )


def _tell(events: list[tuple[Raw, int]], sentences: list[Sentence], teller: Teller) -> None:
    for raw, n in events:
        its = sentences[n]
        part = Part(its.tags, "", its.parts[0].sentence if its.parts else n, its.line)
        raw["_group"], raw["_sentence"] = Group([part], teller.names, teller.context), id(its)
        raw["_told"] = ("row", id(its))
        teller.events.append(raw)
        teller.remember(raw, raw["_group"])
    for sentence in sentences:
        teller.asked.add(id(sentence))  # all of it is told
        teller.read |= {id(p) for p in sentence.parts}
        for tag in sentence.tags:
            if tag.kind == "num":
                tag.claimed = tag.claimed or "pairs"


class _Rows:
    """The clauses of some sentences, read one after the other."""

    def __init__(self, sentences: list[Sentence], teller: Teller, alone: bool) -> None:
        self.teller, self.names = teller, teller.names
        letters: list[str] = []
        self.tags: list[Tag] = []
        self.number: list[int] = []
        for n, sentence in enumerate(sentences):
            stop = {"?": "!", "\n": "\n"}.get(sentence.stop, "|")
            row = letters_of(sentence.tags, self.names) if stop != "!" else []
            for mark, tag in [*row, (stop, Tag("stop", "", 0, 0))]:
                letters.append(mark)
                self.tags.append(tag)
                self.number.append(n)
            if "!" in letters:
                break  # no clause has that letter
        self.letters = "".join(letters)
        ctx = teller.context
        self.state = State(day=ctx.day, clock=ctx.clock, headed=ctx.day is not None) if alone else State()
        self.out: list[tuple[Raw, int]] = []
        self.at = self.headings = 0
        self.heads: list[str] = []  # places the heading names
        self.waits = False  # a day or hour was said, and not yet what happened then
        self.headed = ""  # what the heading says is listed
        self.line: list[tuple[Raw, str]] = []  # the events of the line at hand and where their day was said

    def events(self) -> list[tuple[Raw, int]]:
        """The events of the clauses; none when anything is left over."""
        if "!" in self.letters:
            return []
        try:
            self._tail()
            while self.at < len(self.letters):
                self._step()
            self._close_line()
        except Unfit:
            return []
        headed = self.headed and all(raw["kind"] != self.headed for raw, _ in self.out)
        if self.heads and not self._stands_over():
            return []
        return [] if headed or any(self._too_many(raw) for raw, _ in self.out) else self.out

    def _stands_over(self) -> bool:
        """Whether the place of the heading is in what was told below it; eggs listed under a tub went into it."""
        said = {str(v) for raw, _ in self.out for k, v in raw.items() if k in ("place", "batch", "from", "to")}
        said |= {str(p) for raw, _ in self.out for p in raw.get("places") or []}
        if set(self.heads) & said:
            return True
        tub = self.names.place_of.get(self.heads[0])
        if tub is None or tub.role != "eggs" or any(r["kind"] != "pull" or r.get("to") for r, _ in self.out):
            return False
        for raw, _ in self.out:
            raw["to"] = tub.name
        return True

    def _too_many(self, raw: Raw) -> bool:
        batch = self.names.batch_of.get(str(raw.get("batch") or ""))
        return batch is not None and bool(batch.count) and int(raw.get("count") or 0) > int(batch.count or 0)

    def _step(self) -> None:
        mark = self.letters[self.at]
        if mark in "|\n" and self.waits:
            raise Unfit  # a day or hour with nothing after it
        if mark == "\n":
            self._close_line()
            self.at += 1
            if not self.state.headed:
                self.state.led = self.state.led or self.state.day is not None
                self.state.day = self.state.clock = None
                self.state.days = []
            if not self.headings:
                self.state.spots = []
        elif mark in ",|:" or (mark == "d" and (self.at == 0 or self.letters[self.at - 1] in "\n,")):
            self.at += 1
        elif not (self._days() or self._clause() or self._nothing() or self._heading()):
            raise Unfit

    def _said(self, start: int, end: int) -> tuple[list[Any], list[Any]]:
        """The days and the hours of a stretch: several days, or one and an hour."""
        days = [self.tags[n].value for n in range(start, end) if self.letters[n] == "D"]
        hours = (n for n in range(start, end) if self.letters[n] == "T")
        clocks = [self.tags[n].value for n in hours if self.tags[n - 1].word != "by"]  # "40 up by noon"
        if len(clocks) > 1 or (clocks and len(days) > 1):
            raise Unfit
        return days, clocks

    def _days(self) -> bool:
        """A day or hour before what happened then; alone on its line it stands over the lines below."""
        found = _DAYS.match(self.letters, self.at)
        if found is None:
            return False
        if self.at and self.letters[self.at - 1] not in "\n|,:":
            raise Unfit
        end = found.end()
        first = self.letters.rfind("\n", 0, self.at) == self.at - 1
        days, clocks = self._said(self.at, end)
        alone = self.at == 0 and self.letters[end : end + 1] == "|"  # "Sunday. glass 7 8 9 …"
        over = alone or self.letters[end : end + 1] in ("\n", "") or (self.letters[end - 1] == ":" and not self.out)
        state = self.state
        if days:
            state.day, state.days, state.clock, state.headed = days[0], days, None, False
            state.fresh = True
        if clocks:
            state.clock = clocks[0]
        state.headed = state.headed or (over and first)
        self.waits = not state.headed
        self.at = end
        return True

    def _clause(self) -> bool:
        """One clause: of the patterns that fit, the one that takes most of it and makes sense in the room."""
        fits = []
        for number in _fitting(self.letters[self.at :], self.state.topic):
            pattern, _, tell = PATTERNS[number]
            if found := pattern.match(self.letters, self.at):
                fits.append((found, tell))
        for found, tell in sorted(fits, key=lambda fit: -fit[0].end()):
            state = replace(self.state)
            end = found.end()
            last = _DAYS_AFTER.match(self.letters, end)
            days, clocks = self._said(end, last.end()) if last is not None else ([], [])
            self.state.own = (days[0] if days else None, clocks[0] if clocks else None)
            try:
                told = tell(Clause(found, self.tags, self.names, self.state))
            except Unfit:
                self.state = state
                continue
            self._keep(told, days, clocks)
            self.waits = self.state.fresh = False
            self.at = last.end() if last is not None else end
            more = _AFTER.match(self.letters, self.at)
            if more is not None:
                if not self._talk(self.at, more.end()):
                    raise Unfit
                self.at = more.end()
            return True
        return False

    def _talk(self, start: int, end: int) -> bool:
        return all(plain(self.tags[n]) for n in range(start, end) if self.letters[n] == "?")

    def _keep(self, told: list[Raw], days: list[Any], clocks: list[Any]) -> None:
        where = "after" if days else "before" if self.state.day is not None else ""
        for day in days or self.state.days or [self.state.day]:
            for raw in told:
                its = dict(raw)
                its.setdefault("_day", day)
                its["_unit"] = self.letters.count("|", 0, self.at) + self.letters.count("\n", 0, self.at)
                its.setdefault("_clock", clocks[0] if clocks else self.state.clock)
                self.out.append((its, self.number[self.at]))
                self.line.append((its, where if len(days) < 2 else "before"))
                self.state.said.append(its)

    def _close_line(self) -> None:
        """A day said once, after one thing of a line, is the day of all of it."""
        said = {raw["_day"] for raw, where in self.line if where == "after"}
        bare = [raw for raw, where in self.line if not where]
        if said and bare:
            if len(said) > 1:
                raise Unfit
            for raw in bare:
                raw["_day"] = next(iter(said))
        elif bare and self.state.led and not self.state.headed:
            raise Unfit  # a line above had a day of its own: which is this one's?
        self.line = []

    def _nothing(self) -> bool:
        """ "wednesday: forgot", "14 no, ran out of water", "sun nobody", or words that say nothing to be kept."""
        rest = _REST.match(self.letters, self.at).group()  # type: ignore[union-attr]
        opens = self.at == 0 or self.letters[self.at - 1] in "\n|,:DT"
        if self.at > 1 and rest[:1] == "P" and self.tags[self.at].at == self.tags[self.at - 2].at:
            return False  # the rest of "A and B"
        if not opens or not (_TALK.fullmatch(rest) or _DENIED.fullmatch(rest)):
            return False
        words = [self.tags[n] for n in range(self.at, self.at + len(rest)) if self.letters[n] == "?"]
        if _DENIED.fullmatch(rest):
            if any(weighty(t) for t in words) or self.tags[self.at].word in ("no", "nope", "not"):
                return False  # "no, other way round" takes back
        elif not all(plain(t) for t in words):
            return False
        self._leave_out(self.tags[self.at : self.at + len(rest)])
        self.at += len(rest)
        self.waits = False
        if (
            not self.out
            and _TALK.fullmatch(rest)
            and self.state.day is not None
            and self.letters[self.at : self.at + 1] == "\n"
        ):
            self.state.headed = True  # "monday's readings"
        return True

    def _leave_out(self, tags: list[Tag]) -> None:
        """ "fed all, 15 got nothing": the places of a denial are left out of what all got."""
        last = self.out[-1][0] if self.out else {}
        if not str((last.get("places") or [""])[0]).startswith("all"):
            return
        spots = [str(p) for t in tags if t.kind == "place" for p in t.value]
        spots += [p for t in tags if t.kind == "num" for p in self.names.by_id.get(f"{t.value:g}", ())]
        if spots:
            last["except"] = [*(last.get("except") or ()), *spots]

    def _heading(self) -> bool:
        """What is listed below or after a colon: "deaths i never sent:", "temps wed 7am"."""
        found = _HEADING.match(self.letters, self.at) or _READ_IN.match(self.letters, self.at)
        if found is None or self.out or self.headings or found.end("head") - self.at > 9:
            return False
        span = range(self.at, found.end("head"))
        its = {mark: [self.tags[n] for n in span if self.letters[n] == mark] for mark in "?GqPbDT~"}
        kinds = {self.letters[n] for n in span}
        if (found["end"] == "|" and not all(plain(t) for t in its["?"])) or any(len(its[mark]) > 1 for mark in "qDT"):
            return False
        state = self.state
        self.headings += 1
        if any(self.letters[n] == "B" and self.tags[n].word != "auction" for n in span):
            return False
        state.topic = "sale" if "B" in kinds else next((topic for mark, topic in TOPICS if mark in kinds), state.topic)
        if any(not t.word.startswith("this") for t in its["~"]):
            return False  # "last week": its days are not the last ones of their name
        told_late = any(saying(t) for t in its["?"])
        if found["end"] == "," and not (told_late and its["G"]):
            return False
        if its["G"] and not state.topic and not told_late:
            return False
        if found["end"] == "|" and kinds - set("?,*+@<DTG" if told_late else "?,*+@<DT"):
            return False
        self.headed = state.topic
        if its["q"]:
            state.quantity = its["q"][0].one("quantity") or ""
        spots = [str(v) for t in its["P"] for v in t.value] + [str(t.value) for t in its["b"]]
        if found.re is _READ_IN:
            spots = ids(self.tags[found.start("place")], self.names)
            if len(spots) != 1:
                return False
        if len(spots) > 1:
            return False
        state.spots = self.heads = spots
        if spots and not state.topic:
            state.topic, state.unsure = "headcount", True
        for mark, key in (("D", "day"), ("T", "clock")):
            if its[mark]:
                setattr(state, key, its[mark][0].value)
                state.headed = True
        self.at = found.end()
        return True

    def _tail(self) -> None:
        """ "…, those are all mops": what was listed, said at the end."""
        place = _PLACE_LAST.fullmatch(self.letters)
        if place is not None:  # "sat 2 fry, sun 5 more, tub A": the place of all of it
            at = place.start("place")
            rest = range(place.start("end"))
            self.letters = f"{place['place']}:{place['rest']}{place['stop']}"
            keep = [at, place.start("end"), *rest, *range(place.start("stop"), place.end("stop"))]
            self.tags, self.number = [self.tags[n] for n in keep], [self.number[n] for n in keep]
        found = _TAIL.search(self.letters)
        if found is None or found["what"] in self.letters[: found.start()]:
            return
        self.state.topic = dict(TOPICS)[found["what"]]
        cut = found.start() + 1
        keep = list(range(cut))
        if found["to"]:
            keep += [found.start("what"), *range(found.start("to"), len(self.letters))]
        self.letters = "".join(self.letters[n] for n in range(cut)) + (
            ("*" + self.letters[found.start("to") :]) if found["to"] else ""
        )
        self.tags, self.number = [self.tags[n] for n in keep], [self.number[n] for n in keep]
