"""Where fresh eggs went, said for several pulls at once: “38 to G”, “24 in D, the rest tub A”, “no, the 6 go to B”.

A number is the eggs of a pull or the tank they came from; where it may be either, or neither, it is asked. Taken as an
answer to the one question that happens to stand last, it would put the wrong eggs into a tub.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from shared.events import EggsPulled
from shared.ledger.standing import Entry, Standing

MOST_ITEMS = 6
_NO = r"(?:(?:no+|nope|oops|oh|sorry|wait|ugh|actually|rather|correction|i mean|meant)[\s,.!:]+)*"
_AND = re.compile(r"\s*(?:[,;\n]|\.\s|\band\b|\bthen\b|\bplus\b)\s*(?:and\s+)?")
_INTO = (
    r"(?:(?:go(?:es)?|went|going|are|is|were|belongs?)(?: (?:in|on))?\s+)?(?:(?:to|into|in|->|=|:|for)\s+)?(?:the\s+)?"
)
_ITEM = re.compile(
    rf"^(?:put\s+|the\s+)*(?P<which>all(?: (?:of )?(?:them|three|four))?|both|them|it|"
    r"(?:(?:the )?(?:rest|others?|remaining)(?: ones?)?)|"
    r"(?:b)\d{1,4}|(?:those |ones )?(?:of|from)?\s*(?:tank |t ?)\d{1,3}(?:'s)?|\d{1,4}|[a-z][a-z ]{2,24}?)"
    r"(?:\s+(?:eggs?|ones?|of them))?(?:\s+(?:from|of|out of) (?P<from>(?:tank |t ?)?\d{1,3}))?"
    rf"\s+{_INTO}(?P<tub>[^,;]+)$"
)
_LAST_WORD = re.compile(r"(?:^|\s)(?P<tub>(?:tub|jar|box|bowl)\s+[a-z0-9]{1,3}|[a-z]|[a-z]\d)$")
_REST = re.compile(r"^(?:the )?(?:rest|others?|remaining)(?: ones?)?$")
_ALL = re.compile(r"^(?:all(?: (?:of )?(?:them|three|four))?|both|them|it)$")


@dataclass(frozen=True)
class Lot:
    """The eggs of one pull that have, or had, a tub to be asked for: what was counted, where from, its batch."""

    entry: Entry
    batch: str
    count: int | None
    tank: str | None
    line: str | None
    waiting: bool  # nobody has said yet where they went
    put: Entry | None = None  # the move that said where they went


@dataclass(frozen=True)
class Put:
    """One thing said: these eggs, so many of them, into that tub."""

    lot: Lot
    tub: str
    count: int | None = None  # of more eggs


@dataclass(frozen=True)
class Heard:
    """What the words come to; `unclear` holds the tub of an item whose eggs are not known."""

    puts: tuple[Put, ...] = ()
    unclear: tuple[tuple[str, str], ...] = ()  # words, tub


def lots_of(notes: Sequence[Sequence[Entry]], waiting: set[str]) -> list[Lot]:
    """The pulls of these notes without a tub of their own, newest note first."""
    found: list[Lot] = []
    entries = [e for note in notes for e in note]
    for e in entries:
        if not isinstance(e.event, EggsPulled) or not e.batch or e.event.count == 0:
            continue
        moves = [m for m in entries if m.event.kind == "move" and m.batch == e.batch and m.seq > e.seq]
        put = moves[0] if moves else (e if e.event.to else None)
        tank = e.event.place or e.place
        found.append(Lot(e, e.batch, e.event.count, tank, e.line, e.batch in waiting, put))
    return found


def corrects(text: str) -> bool:
    """Whether the words begin as a correction does."""
    return _begun(text)[1]


def _begun(text: str) -> tuple[str, bool]:
    """What is said, without a “no” before it, and whether there was one."""
    said = " ".join(text.casefold().replace("’", "'").split()).strip(" .!")
    mending = re.match(_NO, said)
    begun = mending.end() if mending else 0
    return said[begun:], begun > 0


def heard(text: str, lots: Sequence[Lot], standing: Standing) -> Heard | None:
    """The words as an answer for these lots; None where they are none, to the last word."""
    said, mends = _begun(text)
    items = [i for i in _AND.split(said) if i and i.strip()]
    open_lots = [lot for lot in lots if lot.waiting]
    if not items or not (open_lots or mends):
        return None
    puts: list[Put] = []
    unclear: list[tuple[str, str]] = []
    rest: str | None = None
    rest_told = any(re.match(r"(?:the )?(?:rest|others?|remaining)\b", item.strip()) for item in items)
    for item in items:
        hit = _ITEM.match(item.strip())
        tub = _tub(hit["tub"], standing) if hit else None
        if hit is None or tub is None:
            return None
        which = hit["which"].strip()
        if _REST.match(which):
            rest = tub
            continue
        if _ALL.match(which):
            if len(items) > 1 or (which == "it" and len(open_lots) != 1) or not open_lots:
                return None
            return Heard(tuple(Put(lot, tub) for lot in open_lots))
        fits = _lots_meant(which, hit["from"], lots if mends else open_lots, standing)
        if fits is None:
            return None
        of_it = _of_the_one(which, open_lots)
        if of_it and (not fits or rest_told):
            puts.append(Put(open_lots[0], tub, of_it))
        elif (len(fits) == 1 and not of_it) or (fits and not which[-1].isdigit()):
            puts += [Put(lot, tub) for lot in fits]
        else:
            unclear.append((item.strip(), tub))
    if rest is not None:
        left = _rest_of(open_lots, puts, rest)
        if not left or unclear:
            return None
        puts += left
    if not puts and not unclear:
        return None
    return Heard(tuple(puts), tuple(unclear))


def _rest_of(lots: Sequence[Lot], puts: Sequence[Put], tub: str) -> list[Put]:
    """What is left of each lot once the others are put, into that tub."""
    whole = {p.lot.entry.seq for p in puts if p.count is None}
    left = []
    for lot in (lot for lot in lots if lot.entry.seq not in whole):
        taken = sum(p.count or 0 for p in puts if p.lot is lot)
        left.append(Put(lot, tub, (lot.count or 0) - taken if taken else None))
    return left


def _of_the_one(which: str, lots: Sequence[Lot]) -> int:
    """How many of the one lot that is asked for a number is, where it is fewer than all of them; else 0."""
    return int(which) if len(lots) == 1 and which.isdigit() and int(which) < (lots[0].count or 0) else 0


def _tub(words: str, standing: Standing) -> str | None:
    """The tub that is named, in the room or not there yet; None where the words name none."""
    hit = _LAST_WORD.search(words.strip())
    if hit is None:
        return None
    before = words.strip()[: hit.start()].split()
    kinds = {p.kind for p in standing.places.values() if p.role == "eggs"} or {"tub"}
    if any(w not in _ASIDE and w not in kinds for w in before):
        return None
    said = hit["tub"].split()
    kind = said[0] if len(said) > 1 else sorted(kinds)[0]
    item = said[-1]
    name = f"{kind} {item.upper() if item.isalpha() else item}"
    return next((n for n in standing.places if n.casefold() == name.casefold()), name)


def may_tell(text: str) -> bool:
    """Whether the words can be such an answer at all."""
    said = " ".join(text.casefold().split()).strip(" .!")
    begun = re.match(_NO, said)
    items = [i for i in _AND.split(said[begun.end() if begun else 0 :]) if i and i.strip()]
    return 0 < len(items) <= MOST_ITEMS and all(_ITEM.match(i.strip()) for i in items)


_ASIDE = frozenset(("the", "shared", "big", "small", "same", "new", "egg", "in", "to", "into", "my", "our"))


def _lots_meant(which: str, source: str | None, lots: Sequence[Lot], standing: Standing) -> list[Lot] | None:
    """The lots that fit the words; None where they are no words for a lot at all."""
    if source is not None:
        tank = f"tank {re.sub(r'[^0-9]', '', source)}"
        fits = [lot for lot in lots if lot.tank == tank]
        return [lot for lot in fits if not which.isdigit() or lot.count == int(which)]
    if which.isdigit():
        by_count = [lot for lot in lots if lot.count == int(which)]
        by_tank = [lot for lot in lots if lot.tank == f"tank {which}"]
        return list({lot.entry.seq: lot for lot in (*by_count, *by_tank)}.values())
    if re.fullmatch(r"b\d{1,4}", which):
        return [lot for lot in lots if lot.batch.casefold() == which] or None
    if tank_said := re.search(r"(?:tank |t ?)(\d{1,3})(?:'s)?$", which):
        return [lot for lot in lots if lot.tank == f"tank {tank_said[1]}"]
    lines = {n for n in standing.lines if which.removesuffix("s") in (n.casefold(), *n.casefold().split())}
    return [lot for lot in lots if lot.line in lines] if lines else None
