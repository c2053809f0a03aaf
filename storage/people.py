"""Who may speak to a room: people, their addresses, invitations, strangers, and texts that wait for somebody.

Entries name a person by a key; name and addresses stand here and can be emptied.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from storage import waiting
from storage.claims import Claims
from storage.engine import Database, RoomInfo, now
from storage.prepared import prepared
from storage.tables import (
    ADDRESSES,
    INVITATIONS,
    KNOCKS,
    PEOPLE,
    ROOMS,
    inserted_once,
)

INVITATION_LASTS = dt.timedelta(days=2)
ROLES = ("owner", "helper", "viewer")
CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # none that are mistaken for one another
CODE_LENGTH = 10


@dataclass(frozen=True)
class Person:
    """Someone of the room. `role` is owner, helper or viewer; `name` is empty once forgotten."""

    key: str
    name: str
    role: str
    active: bool = True


class Members(Claims):
    """The people side of a room's book."""

    def __init__(self, database: Database, info: RoomInfo) -> None:
        super().__init__(database, info)
        self._known: dict[str, Person | None] = {}  # looked up before in this transaction, by key
        self._known_at: dict[tuple[str, str], Person | None] = {}  # and by where they write from
        self._known_in = 0

    @contextmanager
    def _writing(self) -> Iterator[tuple[Connection, Any]]:
        with super()._writing() as written:
            yield written
            self._known_in = 0  # whoever was looked up may be another now

    def _hash(self, salt: bytes, text: str) -> str:
        return hmac.new(salt, text.encode(), hashlib.sha256).hexdigest()

    # ---- people

    def people(self, *, everyone: bool = False) -> list[Person]:
        """Those who may speak to the room; `everyone`: also those removed."""
        wanted = sa.select(PEOPLE).where(PEOPLE.c.room == self._info.id).order_by(PEOPLE.c.joined, PEOPLE.c.key)
        with self._database.reading() as connection:
            found = [_person(row) for row in connection.execute(wanted)]
        return [person for person in found if everyone or person.active]

    def _know_afresh(self) -> None:
        """Let go of whom another transaction looked up: they may have been put out since."""
        if self._known_in != self._database.transactions:
            self._known, self._known_at, self._known_in = {}, {}, self._database.transactions

    def person(self, key: str) -> Person | None:
        with self._database.reading() as connection:
            self._know_afresh()
            if key not in self._known:
                found = _PERSON.rows(connection, {"of": self._info.id, "wanted": key})
                self._known[key] = _person(found[0]) if found else None
            return self._known[key]

    def person_named(self, name: str, role: str | None = None) -> Person:
        """The active person of that name (whatever its capitals), made when there is none.

        A new person has `role`, by default owner for the first and helper for the others.
        """
        name = " ".join(name.split())
        if not name:
            raise ValueError("a person needs a name")
        for known in self.people():
            if known.name.casefold() == name.casefold():
                return known
        with self._writing() as (connection, _):
            for known in self.people():
                if known.name.casefold() == name.casefold():
                    return known
            return self._make_person(connection, name, role or ("helper" if self.people() else "owner"), now())

    def _make_person(self, connection: Connection, name: str, role: str, at: dt.datetime) -> Person:
        number = connection.execute(
            ROOMS.update()
            .where(ROOMS.c.id == self._info.id)
            .values(people_made=ROOMS.c.people_made + 1)
            .returning(ROOMS.c.people_made)
        ).scalar_one()
        person = Person(key=f"p{number}", name=name, role=role)
        connection.execute(
            PEOPLE.insert(),
            {"room": self._info.id, "key": person.key, "name": name, "role": role, "joined": at},
        )
        return person

    def person_at(self, door: str, address: str) -> Person | None:
        """Who writes from that address, when they may."""
        with self._database.reading() as connection:
            self._know_afresh()
            if (door, address) not in self._known_at:
                found = _WHO.rows(connection, {"of": self._info.id, "at_door": door, "from": address})
                person = self._known_at[door, address] = _person(found[0]) if found else None
                if person:
                    self._known[person.key] = person
            return self._known_at[door, address]

    def addresses(self, key: str) -> list[tuple[str, str]]:
        """Where a person can be written to: door and address."""
        wanted = sa.select(ADDRESSES.c.door, ADDRESSES.c.address).where(
            ADDRESSES.c.room == self._info.id, ADDRESSES.c.person == key
        )
        with self._database.reading() as connection:
            return [(door, address) for door, address in connection.execute(wanted)]

    def invite(
        self,
        role: str = "helper",
        valid: dt.timedelta = INVITATION_LASTS,
        *,
        at: dt.datetime | None = None,
        name: str | None = None,
    ) -> str:
        """A new one-time code that lets one person in, until `valid` from `at` (now). Only its hash is kept.

        `name`: whose it is. That person is there from now on, and whoever brings the code is taken to be them.
        """
        if role not in ROLES:
            raise ValueError(f"“{role}” is not a role; there are {', '.join(ROLES)}")
        made = at or now()
        code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
        with self._writing() as (connection, row):
            same = [p for p in self.people() if name and p.name.casefold() == name.casefold() and p.role == role]
            if name and len(same) != 1:
                same = [self._make_person(connection, name, role, made)]
            connection.execute(
                INVITATIONS.insert(),
                {
                    "room": self._info.id,
                    "code_hash": self._hash(row.salt, code),
                    "role": role,
                    "made": made,
                    "ends": made + valid,
                    "used_by": same[0].key if same else None,
                },
            )
        return code

    def invitations(self, at: dt.datetime) -> list[tuple[str, dt.datetime, str | None]]:
        """The codes still good at `at`: what each makes of who brings it, until when, and whose it is."""
        wanted = sa.select(INVITATIONS.c.role, INVITATIONS.c.ends, INVITATIONS.c.used_by).where(*self._good(at))
        wanted = wanted.order_by(INVITATIONS.c.ends, INVITATIONS.c.role)
        with self._database.reading() as connection:
            return [(role, ends, key) for role, ends, key in connection.execute(wanted)]

    def arrivals(self, since: dt.datetime) -> list[tuple[Person, dt.datetime]]:
        """Who has come in by a code since then and is still here, and when."""
        wanted = sa.select(INVITATIONS.c.used_by, INVITATIONS.c.used).where(
            INVITATIONS.c.room == self._info.id, INVITATIONS.c.used >= since
        )
        with self._database.reading() as connection:
            came = [(self.person(key), used) for key, used in connection.execute(wanted).all() if key]
        return [(person, used) for person, used in came if person and person.active]

    def withdraw_invitations(self, at: dt.datetime) -> int:
        """Let no code that is out let anybody in any more; how many there were."""
        with self._writing() as (connection, _):
            return connection.execute(INVITATIONS.update().where(*self._good(at)).values(ends=at)).rowcount

    def _good(self, at: dt.datetime) -> tuple[Any, ...]:
        return INVITATIONS.c.room == self._info.id, INVITATIONS.c.used.is_(None), INVITATIONS.c.ends > at

    def admit(self, code: str, door: str, address: str, name: str, at: dt.datetime) -> Person | None:
        """Let in whoever brings a code that is still good; None when it is not. A code works once.

        A person of that name and of the role invited, with no address at this door yet, is taken to be the same one;
        names are what anyone may call themselves, so a name alone never brings another's role.
        """
        with self._writing() as (connection, room):
            good = connection.execute(
                INVITATIONS.update()
                .where(INVITATIONS.c.code_hash == self._hash(room.salt, code.strip().upper()), *self._good(at))
                .values(used=at)
                .returning(INVITATIONS.c.code_hash, INVITATIONS.c.role, INVITATIONS.c.used_by)
            ).first()
            if good is None:
                return None
            meant = self.person(good.used_by) if good.used_by else None
            if meant and not meant.active:  # put out before they came
                return None
            name = meant.name if meant else " ".join(name.split())
            same = [p for p in self.people() if name and p.name.casefold() == name.casefold() and p.role == good.role]
            taken = any(d == door for p in same for d, _ in self.addresses(p.key))
            person = same[0] if len(same) == 1 and not taken else None
            if meant and not any(d == door for d, _ in self.addresses(meant.key)):
                person = meant
            if person is None:
                person = self._make_person(connection, name or "someone", good.role, at)
            connection.execute(
                ADDRESSES.delete().where(
                    ADDRESSES.c.room == self._info.id, ADDRESSES.c.door == door, ADDRESSES.c.address == address
                )
            )
            connection.execute(
                ADDRESSES.insert(),
                {"room": self._info.id, "door": door, "address": address, "person": person.key},
            )
            connection.execute(
                INVITATIONS.update()
                .where(INVITATIONS.c.room == self._info.id, INVITATIONS.c.code_hash == good.code_hash)
                .values(used_by=person.key)
            )
            return person

    def remove(self, key: str, *, at: dt.datetime | None = None) -> None:
        """Take away a person's right to speak; their name and what they said stay."""
        with self._writing() as (connection, _):
            connection.execute(
                PEOPLE.update()
                .where(PEOPLE.c.room == self._info.id, PEOPLE.c.key == key, PEOPLE.c.removed.is_(None))
                .values(removed=at or now())
            )
            connection.execute(ADDRESSES.delete().where(ADDRESSES.c.room == self._info.id, ADDRESSES.c.person == key))

    def give_role(self, key: str, role: str) -> None:
        """From now on that person may do what the role may."""
        if role not in ROLES:
            raise ValueError(f"“{role}” is not a role; there are {', '.join(ROLES)}")
        with self._writing() as (connection, _):
            here = PEOPLE.c.room == self._info.id, PEOPLE.c.key == key, PEOPLE.c.removed.is_(None)
            connection.execute(PEOPLE.update().where(*here).values(role=role))

    # ---- strangers

    def knock(self, door: str, address: str, at: dt.datetime, times: int = 1) -> bool:
        """A stranger wrote (so many times): True only the first time. Only a salted hash of the address is kept."""
        with self._writing() as (connection, room):
            hashed = self._hash(room.salt, f"{door}\n{address}")
            first = {
                "room": self._info.id,
                "door": door,
                "address_hash": hashed,
                "first": at,
                "last": at,
                "times": times,
            }
            if inserted_once(connection, KNOCKS, first):
                return True
            connection.execute(
                KNOCKS.update()
                .where(KNOCKS.c.room == self._info.id, KNOCKS.c.door == door, KNOCKS.c.address_hash == hashed)
                .values(times=KNOCKS.c.times + times, last=at)
            )
            return False

    def knocked(self, since: dt.datetime) -> int:
        """How many strangers have written since then."""
        wanted = sa.select(sa.func.count()).where(KNOCKS.c.room == self._info.id, KNOCKS.c.last >= since)
        with self._database.reading() as connection:
            return int(connection.execute(wanted).scalar_one())

    def knocks(self) -> int:
        """How often strangers have written, in all."""
        wanted = sa.select(sa.func.coalesce(sa.func.sum(KNOCKS.c.times), 0)).where(KNOCKS.c.room == self._info.id)
        with self._database.reading() as connection:
            return int(connection.execute(wanted).scalar_one())

    # ---- waiting to be fetched

    def put_by(self, door: str, address: str, text: str, at: dt.datetime) -> bool:
        """Keep a text until the door's gateway fetches it; False when too many wait already."""
        with self._writing() as (connection, _):
            return waiting.put(connection, self._info.id, door, address, text, at)

    def take_waiting(self, door: str, since: dt.datetime) -> list[tuple[str, str]]:
        """Hand out what was put by since then, as (address, text): each once, whatever becomes of it."""
        with self._writing() as (connection, _):
            return waiting.take(connection, self._info.id, door, since)

    def drop_waiting(self, door: str, address: str) -> None:
        """Let go of what waits for somebody who wants no more."""
        with self._writing() as (connection, _):
            waiting.drop(connection, self._info.id, door, address)


_PERSON = prepared(sa.select(PEOPLE).where(PEOPLE.c.room == sa.bindparam("of"), PEOPLE.c.key == sa.bindparam("wanted")))
_WHO = prepared(
    sa.select(PEOPLE)
    .join(ADDRESSES, sa.and_(ADDRESSES.c.room == PEOPLE.c.room, ADDRESSES.c.person == PEOPLE.c.key))
    .where(
        ADDRESSES.c.room == sa.bindparam("of"),
        ADDRESSES.c.door == sa.bindparam("at_door"),
        ADDRESSES.c.address == sa.bindparam("from"),
        PEOPLE.c.removed.is_(None),
    )
)


def _person(row: Any) -> Person:
    return Person(key=row.key, name=row.name, role=row.role, active=row.removed is None)
