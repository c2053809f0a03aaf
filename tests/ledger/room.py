"""A room without a database for the ledger's tests: entries in a list, folded as they come."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from bot.command_line.setup import events_of
from shared.events import Undone, event_from
from shared.ledger.booking import Booking, book
from shared.ledger.standing import Entry, Standing, fold, out_of_balance
from shared.room import RoomCard

NOON = dt.datetime(2026, 3, 9, 12, tzinfo=dt.UTC)
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


class Room:
    """Says notes to the ledger and looks at what stands."""

    def __init__(self, card: RoomCard) -> None:
        self.entries: list[Entry] = []
        self.standing = Standing()
        for event in events_of(card, self.standing):
            self.take(book(event, NOON - 4 * DAY, self.standing))

    def take(self, booking: Booking, said: dt.datetime | None = None) -> None:
        for draft in booking.drafts:
            entry = Entry(
                seq=len(self.entries) + 1,
                event=draft.event,
                at=draft.at,
                said=said or draft.at,
                person="p1",
                message=len(self.entries),
                postings=draft.postings,
                batch=draft.batch,
                place=draft.place,
                line=draft.line,
                laid_from=draft.laid_from,
                laid_to=draft.laid_to,
                joins=draft.joins,
            )
            self.entries.append(entry)
            self.standing.apply(entry)

    def say(self, *, hours: float = 0, **raw: Any) -> Booking:
        """Book one event so many hours after noon of the day; a key that is a word of Python ends in `_`."""
        said = {key.rstrip("_"): value for key, value in raw.items()}
        booking = book(event_from(said), NOON + hours * HOUR, self.standing)
        self.take(booking)
        return booking

    def choose(self, booking: Booking, label: str, hours: float = 0) -> list[Booking]:
        assert booking.question
        option = next(o for o in booking.question.options if o.label == label)
        return [self.say(hours=hours, **raw) for raw in option.events]

    def undo(self, seqs: Iterable[int]) -> Standing:
        """What stands once these entries are taken back."""
        back = Entry(
            seq=len(self.entries) + 1,
            event=Undone(),
            at=NOON,
            said=NOON,
            person="p1",
            message=0,
            retracts=tuple(seqs),
        )
        return fold([*self.entries, back])

    def held(self, group: str, place: str, stage: str) -> int | None:
        holding = self.standing.holdings.get(f"{group}|{place}|{stage}")
        return holding.number if holding else 0

    def sexes(self, group: str, place: str, stage: str = "adults") -> tuple[int, int, int]:
        """Males, females and unsexed."""
        holding = self.standing.holdings[f"{group}|{place}|{stage}"]
        return holding.male, holding.female, holding.unsexed

    def balances(self) -> bool:
        return list(out_of_balance(self.standing)) == []


def remarks(booking: Booking) -> list[str]:
    return [notice.remark for notice in booking.notices]
