"""Putting somebody out by chat: an owner's “remove Ivo”."""

from __future__ import annotations

import re

from shared.ledger import Standing
from storage.journal import Person, RoomBook

_REMOVE = re.compile(
    r"(?:please )?(?:remove|put out|throw out|shut out)\s+(?P<name>.+?)(?:\s+from (?:the|this|my|our) room)?", re.I
)


def put_out(text: str, who: Person | None, book: RoomBook, standing: Standing) -> str | None:
    """What is said to “remove NAME”; None when the message is not that.

    It is only about a person when the name is exactly that of somebody here and of no tank, batch, line or culture.
    """
    found = _REMOVE.fullmatch(" ".join(text.split()).strip(" .!"))
    if not found:
        return None
    name = found["name"].casefold()
    things = (*standing.places, *standing.batches, *standing.lines, *standing.cultures, *standing.words)
    here = [p for p in book.people() if p.name.casefold() == name]
    if not here or name in {t.casefold() for t in things}:
        return None
    if who is None or who.role != "owner":
        return "Only an owner can put somebody out. Nothing was changed."
    if len(here) > 1:
        return (
            f"Several people here are called {here[0].name}: use `roomhand remove` on the machine. Nothing was changed."
        )
    if here[0].key == who.key:
        return "That is you; another owner can do it, or `roomhand remove` on the machine. Nothing was changed."
    book.remove(here[0].key)
    return put_out_said(here[0])


def put_out_said(person: Person) -> str:
    """What is said once somebody is out."""
    return f"{person.name} can no longer write or look here; what they logged stays. A new code lets them in again."
