"""A room told event by event, as the ledger's entries, for tests of what is due."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shared.events import Event, Stage, event_from
from shared.ledger.standing import Account, Entry, Posting, Standing, fold


def said(kind: str, **raw: Any) -> Event:
    """An event by its outside form; None is not said."""
    return event_from({"kind": kind, **{k: v for k, v in raw.items() if v is not None}})


class Room:
    """Entries told one after the other at a moving clock; `standing` folds them."""

    def __init__(self, start: dt.datetime) -> None:
        self.now = start
        self.entries: list[Entry] = []
        self._folded: Standing | None = None

    def at(self, now: dt.datetime) -> Room:
        self.now = now
        return self

    @property
    def standing(self) -> Standing:
        if self._folded is None:
            self._folded = fold(self.entries)
        return self._folded

    def standing_at(self, now: dt.datetime) -> Standing:
        """How it stood then, by what had been said then."""
        return fold(e for e in self.entries if e.said.astimezone(dt.UTC) <= now.astimezone(dt.UTC))

    def tell(self, event: Event, *postings: Posting, at: dt.datetime | None = None, **more: Any) -> None:
        seq = len(self.entries) + 1
        entry = Entry(
            seq=seq,
            event=event,
            at=at or self.now,
            said=self.now,
            person="Rosa",
            message=seq,
            postings=postings,
            **more,
        )
        self.entries.append(entry)
        self._folded = None

    # ---- setting up

    def line(self, name: str, eggs: str = "water", species: str | None = None) -> None:
        self.tell(said("new_line", line=name, eggs=eggs, species=species), line=name)

    def tank(
        self,
        name: str,
        *,
        line: str | None = None,
        role: str | None = "breeders",
        litres: float | None = 40,
        collect: str | None = None,
        male: int = 0,
        female: int = 0,
        count: int | None = None,
    ) -> None:
        """A tank; with a line and the role of breeders its adults stand in it, counted or not."""
        event = said("new_place", place=name, line=line, role=role, litres=litres, collect=collect)
        postings = []
        if line and role == "breeders":
            number = count if count is not None else (male + female) or None
            account = Account(group=line, place=name, stage="adults")
            postings = [
                Posting(
                    target=account, outside="start", count=number, counts=number is not None, male=male, female=female
                )
            ]
        self.tell(event, *postings, place=name, line=line)

    def tub(self, name: str, role: str | None = "eggs", litres: float | None = 2 * 0.2365882365) -> None:
        self.tell(said("new_place", place=name, role=role, litres=litres), place=name)

    def batch(
        self,
        line: str,
        place: str,
        stage: Stage = "eggs",
        count: int | None = 20,
        *,
        hatched: dt.date | str | None = None,
        laid: dt.datetime | None = None,
        medium: str | None = None,
    ) -> str:
        name = f"B{1 + sum(e.event.kind == 'new_batch' for e in self.entries)}"
        event = said(
            "new_batch", batch=name, line=line, place=place, stage=stage, count=count, hatched=hatched, medium=medium
        )
        posting = Posting(
            target=Account(group=name, place=place, stage=stage),
            outside="start",
            count=count,
            counts=count is not None,
        )
        self.tell(event, posting, batch=name, place=place, line=line, laid_from=laid, laid_to=laid)
        return name

    def stood(self, name: str, line: str, place: str, stage: Stage, count: int) -> None:
        """A batch by its own name."""
        event = said("new_batch", batch=name, line=line, place=place, stage=stage, count=count)
        target = Account(group=name, place=place, stage=stage)
        posting = Posting(target=target, outside="start", count=count, counts=True)
        self.tell(event, posting, batch=name, place=place, line=line)

    # ---- what happens

    def water(self, place: str, at: dt.datetime | None = None) -> None:
        self.tell(said("water_change", places=[place]), at=at, place=place)

    def fed(self, place: str, food: str | None = None, at: dt.datetime | None = None) -> None:
        self.tell(said("feed", places=[place], food=food), at=at, place=place)

    def pulled(self, place: str, at: dt.datetime | None = None) -> None:
        self.tell(said("pull", place=place, count=0), at=at, place=place)

    def hung(self, place: str) -> None:
        self.tell(said("mop", place=place), place=place)

    def picked(self, place: str, batch: str, count: int = 1, at: dt.datetime | None = None) -> None:
        source = Account(group=batch, place=place, stage="eggs")
        posting = Posting(source=source, outside="bad", count=count)
        self.tell(said("bad_eggs", place=place, count=count), posting, at=at, batch=batch, place=place)

    def eyed(self, place: str, batch: str) -> None:
        self.tell(said("eyed", batch=batch), batch=batch, place=place)

    def hatched(self, place: str, batch: str, count: int | None, to: str | None = None) -> None:
        source = Account(group=batch, place=place, stage="eggs")
        target = Account(group=batch, place=to or place, stage="fry")
        posting = Posting(source=source, target=target, count=count, whole=count is None)
        self.tell(said("hatch", place=place, count=count), posting, batch=batch, place=place)

    def moved(self, group: str, place: str, to: str, stage: Stage, into: Stage | None = None) -> None:
        source = Account(group=group, place=place, stage=stage)
        target = Account(group=group, place=to, stage=into or stage)
        event = said("move", **{"from": place, "to": to, "batch": group})
        self.tell(event, Posting(source=source, target=target, whole=True), batch=group, place=to)

    def arrived(self, place: str, line: str, count: int, at: dt.datetime | None = None) -> None:
        account = Account(group=line, place=place, stage="adults")
        posting = Posting(target=account, outside="moved_in", count=count, counts=True)
        self.tell(said("stock_in", place=place, line=line, count=count), posting, at=at, place=place, line=line)

    def tested(self, place: str, quantity: str = "ammonia", value: float = 0.0) -> None:
        self.tell(said("measure", place=place, quantity=quantity, value=value), place=place)

    def serviced(self, place: str, item: str = "sponge filter", at: dt.datetime | None = None) -> None:
        self.tell(said("service", place=place, item=item), at=at, place=place)

    def peat(
        self, action: str, *, place: str | None = None, batch: str | None = None, weeks: float | None = None
    ) -> None:
        self.tell(said("peat", action=action, place=place, batch=batch, weeks=weeks), batch=batch, place=place)

    def culture(self, name: str) -> None:
        self.tell(said("new_culture", culture=name))

    def tended(self, name: str, action: str, at: dt.datetime | None = None) -> None:
        self.tell(said("culture", culture=name, action=action), at=at)

    def promised(self, **more: Any) -> None:
        self.tell(said("reserve", **more))

    def remind(self, text: str, **more: Any) -> None:
        self.tell(said("remind", text=text, **more))

    def done(
        self, task: str, place: str | None = None, batch: str | None = None, at: dt.datetime | None = None
    ) -> None:
        self.tell(said("done", task=task, place=place, batch=batch), at=at, place=place)

    def dosed(self, place: str, substance: str, at: dt.datetime | None = None) -> None:
        self.tell(said("dose", place=place, substance=substance), at=at, place=place)

    def put_off(self, task: str, place: str | None = None, **more: Any) -> None:
        self.tell(said("snooze", task=task, place=place, **more), place=place)

    def setting(self, what: str, value: Any = None, **more: Any) -> None:
        self.tell(said("setting", what=what, value=value, **more))
