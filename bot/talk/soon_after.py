"""Numbers and places said right after a note: the count of each of several pulls, more of the same, a place left out.

Nothing here is believed unless every word of it is understood; what could also be something else has choices.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from bot import sentences as say
from bot.answers.price_list import for_sale, per
from bot.language import Reader
from bot.language.text.words import normal
from bot.orders.prices import bare_price, line_priced, set_price
from bot.readback.told import money
from bot.reply import Reply
from bot.routine.taken import Scene
from bot.routine.words import Words
from bot.talk.corrections import take_back
from bot.talk.going_on import FOR, where_they_went
from bot.talk.mending import MENDED, MENDED_BACK
from bot.talk.questions import Asked
from bot.talk.said_before import SaidBefore
from shared.events import Corrected, Event, Fed, FishMoved, FishSold, RoutineSet, event_from
from shared.ledger.standing import Entry

_COUNTED = frozenset(("pull", "hatch", "eyed", "bad_eggs"))
_CHORES = frozenset(("feed", "water_change", "top_off", "dose", "service", "measure", "mop"))
_NUMBERS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_N = rf"(?:\d{{1,4}}|{'|'.join(_NUMBERS)})"
_NONE = r"(?:none|nothing|nil|zip|no eggs|no)"
_SPOT = r"(?:(?:tank|tub|t|tk)s?[ .]?)?(?:\d{1,3}|(?<=tub )[a-z]|(?<=tub)[a-z]|\b[a-h]\b)"
_AND = re.compile(r"\s*(?:[,;\n]|\.\s|\band\b|\bthen\b)\s*(?:and\s+)?")
_OF_EACH = re.compile(
    rf"^(?:in |from )?(?P<at>{_SPOT})(?:\s*(?P<sign>=|:|->|-|\bhad|\bgave|\bwas|\bgot|\bhas)\s*|\s+)"
    rf"(?P<n>{_N}|{_NONE})(?: eggs?)?$"
)
_FROM_EACH = re.compile(rf"^(?P<n>{_N}|{_NONE})(?: eggs?)? (?:from|in|out of|off) (?P<at>{_SPOT})$")
_BARE_NUMBERS = re.compile(rf"^(?:{_N}|{_NONE})(?:\s*(?:,|;|/|\band\b|,\s*and\b)\s*(?:{_N}|{_NONE}))+$")
_MORE = re.compile(
    rf"^(?:(?:and|plus|also|oh|then|make that|wait),? )*(?:another )?(?P<n>{_N}|another)(?: more| extra| others?)?"
    r"(?: (?:of (?:th)?em ))?(?: ?(?P<what>hatched|came out|popped out|popped|out|fry|hatchlings?|bad|white|fungused"
    r"|clear|duds?|dead|died|gone|lost|eyed(?: up)?|eggs?|one))?(?: (?:just )?(?:now|since|too|as well))?$"
)
_ONE_MORE = re.compile(r"\bmore\b|\banother\b|\bextra\b|\bothers?\b")
_WHAT = {  # which note a word goes on from
    "hatch": ("hatched", "came out", "popped out", "popped", "out", "fry", "hatchling", "hatchlings"),
    "bad_eggs": ("bad", "white", "fungused", "clear", "dud", "duds", "out"),
    "death": ("dead", "died", "gone", "lost"),
    "eyed": ("eyed", "eyed up"),
    "pull": ("egg", "eggs"),
}
_LEFT_OUT = re.compile(
    r"^(?:(?:and|oh|well|sorry|wait|ok|just|but),? )*(?:(?:but )?not|except(?: for)?|apart from|all but|"
    r"(?:i )?(?:skipped|left out|missed))(?: for| in)? (?P<where>[\w ,&+]{1,40}?)(?: though| either| too)?$"
)


@dataclass(frozen=True)
class Added:
    """What the words come to: mendings of the entries before, an event more, entries to take back, or a question."""

    fixes: tuple[Corrected, ...] = ()
    event: Event | None = None
    back: tuple[Entry, ...] = ()
    asked: tuple[str, tuple[tuple[str, tuple[Event, ...]], ...]] | None = None
    mends: bool = False  # whether something told before was wrong, not only left open


def may_add(text: str) -> bool:
    """Whether these are such words at all: if not, nobody need look up what the note before logged."""
    said = _plain(text)
    return bool(
        (_MORE.match(said) and _ONE_MORE.search(said))
        or _LEFT_OUT.match(said)
        or _BARE_NUMBERS.match(said)
        or _each(said)
    )


def added(text: str, last: Sequence[Entry], spots: Callable[[str], list[str]]) -> Added | None:
    """The words in the light of the entries of the note just before; None where they say nothing of them.

    `spots`: the places that words name.
    """
    said = _plain(text)
    last = [e for e in last if e.event.kind not in ("fix", "undo", "move", "remark")]
    if not last:
        return None
    return _counts(said, last, spots) or _more(said, last) or _left_out(said, last, spots)


def _plain(text: str) -> str:
    return " ".join(normal(text)[0].casefold().replace("’", "'").split()).strip(" .!")


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBERS.index(word) if word in _NUMBERS else 0


def _each(said: str) -> list[tuple[str, int]] | None:
    """“2 = 18, 3 = 22, 5 none” as places' words and numbers; None where a part of it is anything else."""
    parts = [part for part in _AND.split(said) if part.strip()]
    hits = [_OF_EACH.match(part) or _FROM_EACH.match(part) for part in parts]
    hits = [h for h in hits if h and (h["at"][:1].isalpha() or h.re is _FROM_EACH or h["sign"] or not _number(h["n"]))]
    told = [(hit["at"], _number(hit["n"])) for hit in hits if hit]
    return told if told and len(told) == len(parts) else None


def _counts(said: str, last: Sequence[Entry], spots: Callable[[str], list[str]]) -> Added | None:
    """The number of each of several pulls told before; numbers alone, in their order, are asked about first."""
    mine = [e for e in last if e.event.kind in _COUNTED and e.place]
    if len({e.event.kind for e in mine}) != 1 or len(mine) != len(last):
        return None
    blank = all(getattr(e.event, "count", None) is None for e in mine)
    if (told := _each(said)) is not None:
        at = [(spots(words), n) for words, n in told]
        by_place = {e.place: e for e in mine}
        if any(len(where) != 1 or where[0] not in by_place for where, _ in at) or not (blank or len(at) > 1):
            return None
        return Added(fixes=tuple(_fix(by_place[where[0]], n) for where, n in at), mends=not blank)
    if blank and len(mine) > 1 and _BARE_NUMBERS.match(said):
        numbers = [_number(n) for n in re.findall(rf"{_N}|{_NONE}", said)]
        if len(numbers) == len(mine):
            label = ", ".join(f"{e.place}: {n}" for e, n in zip(mine, numbers, strict=True))
            fixes = tuple(_fix(e, n) for e, n in zip(mine, numbers, strict=True))
            return Added(asked=(f"{say.first_up(label)}?", (("yes", fixes), ("no", ()))))
    return None


def _fix(entry: Entry, count: int) -> Corrected:
    return Corrected.model_validate({"count": count, "of": {"id": entry.seq}})


def _more(said: str, last: Sequence[Entry]) -> Added | None:
    """“2 more came out”: as many more of what the note before told of one place."""
    hit = _MORE.match(said)
    if hit is None or not _ONE_MORE.search(said) or len(last) != 1:
        return None
    event, what = last[0].event, hit["what"] or ""
    words = _WHAT.get(event.kind)
    if words is None or getattr(event, "male", None) or (what and what != "one" and what not in words):
        return None
    count = 1 if hit["n"] == "another" else _number(hit["n"])
    before = getattr(event, "count", None)
    if event.kind == "pull":  # so many from the same mop, or a pull of its own: nobody can know
        if before is None or not last[0].place:
            return None
        text = f"{say.count(count, 'more egg')} from {last[0].place}: {before + count} in all?"
        return Added(asked=(text, (("yes", (_fix(last[0], before + count),)), ("no", ()))))
    if event.kind == "eyed":
        return None  # so many more, or so many in all
    raw = {k: v for k, v in event.outside().items() if k not in ("estimated", "time", "sex", "cause")}
    return Added(event=event_from({**raw, "count": count}))


def _left_out(said: str, last: Sequence[Entry], spots: Callable[[str], list[str]]) -> Added | None:
    """“Not 15” after “fed all”: what was put down there by that note is taken back."""
    hit = _LEFT_OUT.match(said)
    mine = [e for e in last if e.event.kind in _CHORES and e.place]
    if hit is None or len(mine) != len(last) or len({e.place for e in mine}) < 2:
        return None
    named = spots(hit["where"])
    if any(p.startswith("all") for p in named) or (not named and re.search(r"\bexcept|\bskipped|\bleft out", said)):
        return Added(asked=("Which were left out? Say the tanks or tubs.", ()))
    back = tuple(e for e in mine if e.place in named)
    if not named or len({e.place for e in back}) == len({e.place for e in mine}):
        return None
    return Added(back=back) if back else Added(asked=(f"{say.first_up(say.places(named))}: not in that note.", ()))


class SoonAfter(SaidBefore):
    """A message that adds to the note just before."""

    def _add(self, reader: Reader, text: str) -> Reply | None:
        """The answer to it, if it is one."""
        if not may_add(text):
            return None
        last = [e for e in self._just_told() if self.now - e.said <= FOR]

        def spots(words: str) -> list[str]:
            events = reader.read(f"fed {words}", self.now).events
            return list(events[0].places) if len(events) == 1 and isinstance(events[0], Fed) else []

        found = added(text, last, spots) or added(text, self._not_counted(), spots)
        if found is None:
            return None
        if found.asked:
            question, options = found.asked
            if not options:
                return Reply(f"{question} Nothing was changed.", "answer")
            told = tuple((label, tuple(e.outside() for e in events)) for label, events in options)
            self.said.asked.append(Asked(question, self.now, told))
        if found.event:
            self._log(found.event, text, sure=True)
        if found.back:
            self._leave_out(found.back)
        for fix in sorted(
            found.fixes, key=lambda fix: fix.changes["count"] != 0
        ):  # eggs that are none stand by no others
            notes = self._last_notes(MENDED_BACK)
            trouble = self._mended(fix, [e for note in notes for e in note])
            self.said.lines += [trouble] if trouble else []
        self.said.lines = [line for line in self.said.lines if line != MENDED]
        if found.mends:
            self.said.lines.insert(0, MENDED)
        return self._reply("log")

    def _put_them(self, reader: Reader, text: str) -> Reply | None:
        """“Ok put them in F”, other words having come since the hatch; where others may be meant, it is asked."""
        told = where_they_went(text)
        if told is None:
            return None
        notes = [[e for e in note if self.now - e.said <= FOR] for note in self._last_notes(MENDED_BACK)]
        seen = [e for note in notes for e in note if e.event.kind == "hatch" and e.place and self._fry_left(e)]
        fry = [e for n, e in enumerate(seen) if e.place not in {before.place for before in seen[:n]}]
        events = reader.read(f"moved 1 fry from {fry[0].place} to {told[1]}", self.now).events if fry else ()
        if len(events) != 1 or not isinstance(events[0], FishMoved) or not events[0].to:
            return None
        moves: dict[str, dict[str, Any]] = {}
        for e in fry:
            count = told[0] or getattr(e.event, "count", None)
            move = {
                "kind": "move",
                "from": e.place,
                "to": events[0].to,
                "batch": e.batch,
                "stage": "fry",
                "count": count,
            }
            label = f"{say.fish(count, 'fry')} of {e.place}" if count else f"the fry of {e.place}"
            moves.setdefault(label, {k: v for k, v in move.items() if v is not None})
        eggs = self._tubs_asked()
        if len(moves) == 1 and not eggs and notes[0] and notes[0][0].event.kind == "hatch":
            self._log(event_from(next(iter(moves.values()))), text)
            return self._reply("log")
        options = [(label, (move,)) for label, move in moves.items()]
        into = {"kind": "move", "to": events[0].to, "stage": "eggs"}
        options += [(f"the eggs ({batch})", ({**into, "batch": batch},)) for batch in eggs]
        self.said.asked.append(Asked(f"What went to {events[0].to}?", self.now, (*options[:5], ("none", ()))))
        return self._reply("ask")

    def _fry_left(self, hatch: Entry) -> bool:
        """Whether fry of that hatch are still where they were seen."""
        return any(h.group == hatch.batch and h.stage == "fry" for h in self.standing.at_place(hatch.place or ""))

    def _just_told(self) -> list[Entry]:
        """What the note before logged; where it only left a place out, the note it left it out of."""
        before, last = self._told_before_this(), self._last_entries()
        again = before is not None and _LEFT_OUT.match(_plain(before.text))
        return last if before and last and (again or last[0].message == before.id) else []

    def _priced(self, reader: Reader, text: str) -> bool:
        """“15 a pair”: of what was sold or asked after just before, and only after a yes."""
        found = bare_price(_plain(text))
        if found is None:
            return False
        unit, price = found
        lines = self._lines_priced(reader)
        options: list[tuple[str, tuple[dict[str, Any], ...]]] = []
        for sale in [e for e in self._note_before() if isinstance(e.event, FishSold) and e.event.price is None]:
            count = (sale.event.model_dump().get("count") or 1) // {"pair": 2, "trio": 3}.get(unit, 1)
            total = round(price * max(count, 1), 2)
            fix = Corrected.model_validate({"price": total, "of": {"id": sale.seq}}).outside()
            options.append((f"that sale: {money(total, self.info)}", (fix,)))
        told = f"{money(price, self.info)} {per(unit)}"
        by_line = [(line, (set_price(line, unit, price).outside(),)) for line in lines[:5]]
        if len(by_line) == 1 and not options:
            question = f"{lines[0]}: {told} from now on?"
            options = [("yes", by_line[0][1]), ("no", ())]
        else:
            question = f"{told}: for which fish{' from now on' if not options else ''}?"
            options += [(f"{line} from now on" if options else line, events) for line, events in by_line]
            options.append(("none", ()))
        self.said.asked.append(Asked(question, self.now, tuple(options)))
        return True

    def _lines_priced(self, reader: Reader) -> list[str]:
        """The line whose price was asked or said just before; else those for sale."""
        scene = Scene(self.standing, self.now, Words(reader.names, self.now))
        before = next(iter(self._messages_before()), None)
        asked = line_priced(_plain(before.text).strip("?"), scene) if before else None
        told = [e.line for e in self._note_before() if e.event.kind in ("sale", "setting") and e.line]
        told += [e.event.line for e in self._note_before() if isinstance(e.event, RoutineSet) and e.event.line]
        return [asked] if asked else list(dict.fromkeys(told)) or for_sale(self.standing)

    def _bare_number(self, text: str) -> bool:
        """A number and nothing else, after pulls nobody gave a number of: of which of them is asked."""
        said = _plain(text)
        left = self._not_counted() if re.fullmatch(rf"{_N}(?: eggs)?", said) else []
        if not left:
            return False
        count = _number(said.split()[0])
        options = [(f"{e.place or e.batch}: {count}", (_fix(e, count).outside(),)) for e in left[-4:]]
        self.said.asked.append(Asked(f"{say.count(count, 'egg')} of which pull?", self.now, (*options, ("none", ()))))
        return True

    def _not_counted(self) -> list[Entry]:
        """The pulls of this hour whose number nobody has told yet, with other notes or answers after them."""
        notes = self._last_notes(MENDED_BACK)
        lately = [e for note in reversed(notes) for e in note if self.now - e.said <= FOR]
        return [e for e in lately if e.event.kind == "pull" and getattr(e.event, "count", None) is None]

    def _leave_out(self, entries: Sequence[Entry]) -> None:
        """Some places of a note told of several are taken back."""
        told, done = take_back(list(entries), self.turn, self.standing)
        self.said.lines.append(told)
        if done:
            self.said.events.append({"kind": "undo"})
