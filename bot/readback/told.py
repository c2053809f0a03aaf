"""One event of a note with what became of it, and what every line of the read-back says alike."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from bot import sentences as say
from bot.language.text.words import code_of
from shared.events import Event
from shared.ledger.booking import Booking
from shared.ledger.standing import Entry, Holding, Standing
from storage.engine import RoomInfo


@dataclass(frozen=True)
class Booked:
    """One event of a note with what became of it."""

    event: Event
    booking: Booking
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Told:
    """What was booked, and the room as it stands since."""

    booked: Booked
    standing: Standing
    info: RoomInfo
    now: dt.datetime

    @property
    def entry(self) -> Entry | None:
        return self.booked.entries[0] if self.booked.entries else None

    @property
    def batch(self) -> str | None:
        return self.entry.batch if self.entry else None

    @property
    def line(self) -> str | None:
        return self.entry.line if self.entry else None

    @property
    def place(self) -> str | None:
        return self.entry.place if self.entry else None

    @property
    def spots(self) -> str:
        """Every place it was booked to, said shortly; empty where there is none."""
        return say.places([e.place for e in self.booked.entries if e.place])

    def where(self, spots: tuple[str, ...]) -> str:
        return self.place or say.places(spots) or self.batch or "Noted"

    def noticed(self, remark: str) -> bool:
        return any(n.remark == remark for n in self.booked.booking.notices)

    def left(self, group: str | None, stage: str) -> str:
        """`31 left`, `about 30 left`, `none left`; empty where nobody counted or it is not known of which group."""
        if not group:
            return ""
        held = [h for h in self.standing.of_group(group) if h.place == (self.place or "") and h.stage == stage]
        if not held:
            return "none left"
        if held[0].number is None:
            return ""
        return f"{about(held[0])}{say.number(held[0].count)} left"

    def shared(self) -> tuple[str, int] | None:
        """The batches of a mixed group and how many are left of them, where an event was shared over them."""
        facts = next((n.facts for n in self.booked.booking.notices if n.remark == "shared"), None)
        if facts is None or self.entry is None:
            return None
        held = [h for h in self.standing.fish_at(self.place or "") if h.group in facts["groups"]]
        return say.listed(facts["groups"]), sum(h.count for h in held)


def about(counted: Event | Holding) -> str:
    """`about ` before a number that is only estimated."""
    return "about " if getattr(counted, "estimated", False) and getattr(counted, "count", None) else ""


def of_batch(batch: str | None) -> str:
    """` (B22)`, or nothing."""
    return f" ({batch})" if batch else ""


def sexes(male: int | None, female: int | None) -> str:
    """` (3 m, 5 f)`, or nothing where no sex was said."""
    return f" ({male or 0} m, {female or 0} f)" if male or female else ""


def own_currency(info: RoomInfo) -> str | None:
    """The code of the room's currency, where it is known."""
    return code_of(info.currency) if info.currency else "USD" if info.units == "us" else None


def money(amount: float | None, info: RoomInfo, other: str | None = None) -> str:
    """A price in the room's currency, or with the code of another it was said in."""
    if other and other != info.currency:
        return f"{say.number(amount or 0)} {other}"
    sign = info.currency or ("$" if info.units == "us" else "")
    return f"{sign}{say.number(amount or 0)}"
