"""The fish ledger: entries move fish between accounts, and what stands is the sum of the entries that stand.

An account is a group (a batch, or a line's unbatched fish) in a place at a stage. Every posting takes a number
from one account and puts it into another, or names how it came from or left the room; so a batch adds up:
start + pulled (or hatched) + moved in = bad (or died) + hatched + sold + moved out + alive + unaccounted.
Sums do not depend on the order of entries, so a late entry only takes its place in time.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from pydantic import BaseModel, ConfigDict

from shared.events import HeadsCounted, Renamed, Undone
from shared.kin.descent import open_batch
from shared.kin.lineage import Stay, parents_among
from shared.ledger.accounts import ARCHIVED_AFTER as ARCHIVED_AFTER
from shared.ledger.accounts import OF_THE_FISH as OF_THE_FISH
from shared.ledger.accounts import Account as Account
from shared.ledger.accounts import Batch as Batch
from shared.ledger.accounts import Chore as Chore
from shared.ledger.accounts import Culture as Culture
from shared.ledger.accounts import Entry as Entry
from shared.ledger.accounts import Holding as Holding
from shared.ledger.accounts import Kept as Kept
from shared.ledger.accounts import Laying as Laying
from shared.ledger.accounts import Line as Line
from shared.ledger.accounts import Outside as Outside
from shared.ledger.accounts import PastHatch as PastHatch
from shared.ledger.accounts import Place as Place
from shared.ledger.accounts import Posting as Posting
from shared.ledger.accounts import Reading as Reading
from shared.ledger.accounts import Readings as Readings
from shared.ledger.accounts import Side as Side
from shared.ledger.accounts import Tally as Tally
from shared.ledger.accounts import cause_of as cause_of
from shared.ledger.accounts import number_in as number_in
from shared.ledger.accounts import side_of as side_of
from shared.ledger.archive import ALL_LOOKED_OVER_EVERY, LOOKED_OVER_EVERY, let_go
from shared.ledger.noting import note
from shared.ledger.posting import post
from shared.ledger.renaming import rename

# Which way of adding entries up this is: one more whenever the same entries come to stand otherwise than before, so
# that nothing is built on a sum of another way. `tests/ledger/test_folding.py` notices.
FOLDING = 5


class Standing(BaseModel):
    """How the room stands after the entries applied so far (all of them, or those up to some moment)."""

    model_config = ConfigDict(defer_build=True)
    seq: int = 0
    begun: dt.datetime | None = None
    places: dict[str, Place] = {}
    lines: dict[str, Line] = {}
    batches: dict[str, Batch] = {}
    cultures: dict[str, Culture] = {}
    words: dict[str, str] = {}
    holdings: dict[str, Holding] = {}
    group_tallies: dict[str, Tally] = {}  # unbatched fish, by line
    chores: dict[str, dict[str, Chore]] = {}  # by place, then by what was done
    readings: dict[str, dict[str, Readings]] = {}  # by place or batch, then by quantity
    promises: list[Kept] = []
    reminders: list[Kept] = []
    put_off: list[Kept] = []
    settings: list[Kept] = []
    done: dict[str, dt.datetime] = {}  # task words said to be done, by task|place
    past: dict[str, list[PastHatch]] = {}
    stays: dict[str, list[Stay]] = {}  # by place: which growing and grown fish stood there, and when
    last_batch: int = 0
    dosed_by: dict[str, float] = {}  # the largest amount each person has put in, by person|substance

    # ---- what stands

    def at_place(self, place: str) -> list[Holding]:
        return [h for h in self.holdings.values() if h.place == place]

    def of_group(self, group: str) -> list[Holding]:
        return [h for h in self.holdings.values() if h.group == group]

    def eggs_at(self, place: str) -> list[Holding]:
        return [h for h in self.at_place(place) if h.stage == "eggs"]

    def fish_at(self, place: str) -> list[Holding]:
        return [h for h in self.at_place(place) if h.stage != "eggs"]

    def last(self, place: str, chore: str) -> dt.datetime | None:
        found = self.chores.get(place, {}).get(chore)
        return found.last if found else None

    def times(self, place: str, chore: str) -> list[dt.datetime]:
        found = self.chores.get(place, {}).get(chore)
        return list(found.times) if found else []

    def latest(self, place: str, quantity: str) -> Reading | None:
        found = self.readings.get(place, {}).get(quantity)
        return found[-1] if found else None

    def readings_of(self, place: str, quantity: str) -> list[Reading]:
        """What is kept of it, oldest first."""
        return list(self.readings.get(place, {}).get(quantity, ()))

    def line_of(self, group: str) -> str:
        batch = self.batches.get(group)
        return batch.line if batch else group

    def tally(self, group: str, side: Side) -> Tally:
        batch = self.batches.get(group)
        if batch:
            return batch.tally(side)
        return self.group_tallies.get(f"{group}|{side}") or Tally()

    def generation_of(self, group: str) -> str | None:
        """What a batch, or the unbatched fish of a line, are called now."""
        batch, line = self.batches.get(group), self.lines.get(group)
        return batch.generation if batch else (line.generation if line else None)

    def generations_of(self, held: Holding) -> list[str | None]:
        """What the fish or eggs of a holding are called; more than one only where nobody kept them apart."""
        if held.group in self.batches:
            return [self.batches[held.group].generation]
        stays = [s for s in self.stays.get(held.place, []) if s.until is None and s.group == held.group]
        return list(dict.fromkeys(s.generation for s in stays)) or [self.generation_of(held.group)]

    def parents_at(self, places: Iterable[str], begin: dt.datetime, end: dt.datetime) -> list[Stay]:
        """Whoever shared these places while eggs were laid there."""
        return [stay for place in places for stay in parents_among(self.stays.get(place, []), begin, end)]

    def hatched_between(self, place: str) -> tuple[dt.datetime, dt.datetime] | None:
        """The spread of ages in a place: when its oldest and its youngest batch had their first fry."""
        batches = [self.batches[h.group] for h in self.fish_at(place) if h.group in self.batches]
        seen = [b.fry_seen for b in batches if b.fry_seen]
        return (min(seen), max(seen)) if seen else None

    def next_batch_name(self) -> str:
        return f"B{self.last_batch + 1}"

    # ---- folding entries in

    def apply(self, entry: Entry) -> None:
        """Add one entry. Entries that take others back are left to whoever folds: see `fold`."""
        self.seq = max(self.seq, entry.seq)
        self.begun = entry.at if self.begun is None else min(self.begun, entry.at)
        if entry.retracts and not entry.postings:
            if isinstance(entry.event, Undone):
                for new, old in entry.event.renamed:
                    rename(self, new, old, keep=False)
            return
        open_batch(self, entry)
        for posting in entry.postings:
            post(self, entry, posting)
        note(self, entry)
        if entry.seq % LOOKED_OVER_EVERY == 0:
            self._archive(entry.seq, entry.said)

    def _archive(self, seq: int, now: dt.datetime) -> None:
        let_go(self, now, everything=seq % ALL_LOOKED_OVER_EVERY == 0)


def fold(entries: Iterable[Entry], start: Standing | None = None) -> Standing:
    """What stands after `entries`, those taken back by a later one among them left out."""
    listed = list(entries)
    gone = {seq for entry in listed for seq in entry.retracts}
    standing = start.model_copy(deep=True) if start else Standing()
    for entry in listed:
        if entry.seq not in gone or isinstance(entry.event, Renamed):  # taking back a renaming is one more renaming
            standing.apply(entry)
        else:
            standing.seq = max(standing.seq, entry.seq)
    return standing


def unexplained(entry: Entry, group: str) -> Iterator[tuple[Side, int, str]]:
    """What an entry left unaccounted for in a group: eggs or fish, how many (below zero: found), and how it came up."""
    for posting in entry.postings:
        account = posting.source or posting.target
        if posting.outside == "unaccounted" and posting.count and account and account.group == group:
            counted = isinstance(entry.event, HeadsCounted)
            why = "a count" if counted else "more hatched than eggs on record"
            yield side_of(account.stage), posting.count if posting.source else -posting.count, why


def out_of_balance(standing: Standing) -> Iterator[str]:
    """Sentences naming each group whose sums do not add up to what stands, or that holds less than nothing."""
    for holding in standing.holdings.values():
        if holding.counted and holding.count < 0:
            yield f"{holding.group} in {holding.place or 'hand'}: {holding.count} {holding.stage}, fewer than none"
        sexed = holding.male + holding.female
        if min(holding.male, holding.female) < 0 or (holding.counted and 0 <= holding.count < sexed):
            sexes = f"{holding.male} males and {holding.female} females"
            yield f"{holding.group} in {holding.place or 'hand'}: {sexes} of {holding.count} {holding.stage}"
    groups = {h.group for h in standing.holdings.values()} | set(standing.batches)
    for group in sorted(groups):
        for side in ("eggs", "fish"):
            held = [h for h in standing.of_group(group) if side_of(h.stage) == side]
            alive, booked = sum(h.count for h in held), standing.tally(group, side).alive(side)
            if alive != booked:
                yield f"{group}: {alive} {side} stand in the room, the sums say {booked}"
