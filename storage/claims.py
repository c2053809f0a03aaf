"""What is done only once: claimed before it is done, so that no other does it too, and confirmed after."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import sqlalchemy as sa

from storage.one_room import OneRoom
from storage.tables import CLAIMS, inserted_once


@dataclass(frozen=True)
class Claim:
    """Something begun once; `confirmed` when it is known to be done."""

    what: str
    key: str
    claimed: dt.datetime


class Claims(OneRoom):
    """What a room's book knows to be begun or done."""

    def claim(self, what: str, key: str, at: dt.datetime) -> bool:
        """True for the one who may do this (send that day's summary); False when it was claimed before."""
        with self._writing() as (connection, _):
            values = {"room": self._info.id, "what": what, "key": key, "claimed": at, "confirmed": False}
            return inserted_once(connection, CLAIMS, values)

    def release(self, what: str, key: str) -> bool:
        """Let what was claimed and never confirmed be done after all; False when there is no such claim."""
        with self._writing() as (connection, _):
            return bool(
                connection.execute(
                    CLAIMS.delete().where(
                        CLAIMS.c.room == self._info.id,
                        CLAIMS.c.what == what,
                        CLAIMS.c.key == key,
                        sa.not_(CLAIMS.c.confirmed),
                    )
                ).rowcount
            )

    def confirm(self, what: str, key: str) -> None:
        """What was claimed is known to be done."""
        with self._writing() as (connection, _):
            connection.execute(
                CLAIMS.update()
                .where(CLAIMS.c.room == self._info.id, CLAIMS.c.what == what, CLAIMS.c.key == key)
                .values(confirmed=True)
            )

    def claims(self, what: str, prefix: str = "") -> list[Claim]:
        """What was claimed under that name, whose key begins so; confirmed or not."""
        wanted = sa.select(CLAIMS.c.what, CLAIMS.c.key, CLAIMS.c.claimed).where(
            CLAIMS.c.room == self._info.id, CLAIMS.c.what == what, CLAIMS.c.key.startswith(prefix, autoescape=True)
        )
        with self._database.reading() as connection:
            return [Claim(what, key, claimed) for what, key, claimed in connection.execute(wanted)]

    def unconfirmed(self) -> list[Claim]:
        """What was claimed and never confirmed: nobody knows whether it was done."""
        wanted = (
            sa.select(CLAIMS.c.what, CLAIMS.c.key, CLAIMS.c.claimed)
            .where(CLAIMS.c.room == self._info.id, sa.not_(CLAIMS.c.confirmed))
            .order_by(CLAIMS.c.claimed)
        )
        with self._database.reading() as connection:
            return [Claim(what, key, claimed) for what, key, claimed in connection.execute(wanted)]
