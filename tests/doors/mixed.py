"""A seeded crowd at the doors: notes, edits and texts, repeated, out of order, forged, malformed; and what must stand.

Used by the suite with a thousand updates and by `tests/bench/bench_updates.py` with ten thousand.
"""

from __future__ import annotations

import json
import random
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import aiohttp

from shared.events import Event
from storage.engine import open_database
from storage.messages import edit_of
from tests.doors.bot_api import IVO, ME, ROSA, STRANGER, BotApi
from tests.doors.texted import posted, signed

NUMBERS = {ROSA["id"]: "+13125550101", IVO["id"]: "+13125550102"}
OUTSIDE = "qzoutsideqz"  # in every word that must leave no trace
GROUP = -77
NAMED = "@millrace_room_bot "
LATELY = 2000  # among so many is what is brought again: Telegram keeps an update for a day, not for ever
NONSENSE: tuple[tuple[str, Any], ...] = (
    ("poll_answer", {"poll_id": "1", "user": ROSA, "option_ids": [0]}),
    ("not_invented_yet", {"anything": [1, {"deep": None}]}),
    ("message", {"message_id": 9}),
    ("message", {"message_id": "nine", "date": "yesterday", "chat": [], "text": 7}),
    ("message", None),
    ("message", []),
    (
        "message",
        {"message_id": 10**9, "date": None, "chat": {"id": 501, "type": "private"}, "from": ROSA, "text": OUTSIDE},
    ),
    ("edited_message", {"text": OUTSIDE}),
    ("callback_query", {"id": "tapX", "from": ROSA, "data": "0:501"}),
    (
        "channel_post",
        {"message_id": 9, "date": 1, "chat": {"id": -5, "type": "channel", "title": "x"}, "text": OUTSIDE},
    ),
    ("message", {"message_id": 9, "date": 1, "chat": {"id": 2, "type": "private"}, "from": ME, "text": OUTSIDE}),
)
BODIES = (b"", b"{", b"null", b"[]", b"\xff\xfe", b'{"update_id": "x"}', b"[" * 2000, b'{"update_id": 1e400}')
Key = tuple[Any, ...]


@dataclass
class Crowd:
    """What is done, and what of it must be on record: each delivery heard, and the events that must stand."""

    api: BotApi
    seed: int
    heard: set[str] = field(default_factory=set)
    stands: dict[str, tuple[int, Key]] = field(default_factory=dict)  # delivery → its newest wording
    answers: Counter[int] = field(default_factory=Counter)  # how many each chat must get
    brought: dict[str, set[int]] = field(default_factory=dict)
    knocked: set[int] = field(default_factory=set)
    done: int = 0

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.began = int(time.time()) - 3000
        self.serial = 0
        self.told: list[tuple[dict[str, Any], int]] = []  # messages that may be edited or brought again
        self.texted: list[tuple[int, str, str]] = []

    # ---- words

    def note(self, who: dict[str, Any]) -> tuple[str, Key]:
        """A note and the event it must become."""
        self.serial += 1
        tank = self.chance.randint(1, 10)
        match self.chance.randrange(4):
            case 0:
                value = self.chance.randint(5, 35)
                return f"tank {tank} nitrate {value}", (who["id"], "measure", f"tank {tank}", float(value))
            case 1:
                return f"fed tank {tank}", (who["id"], "feed", f"tank {tank}", None)
            case 2:
                return f"topped off tank {tank}", (who["id"], "top_off", f"tank {tank}", None)
        text = f"the male in tank {tank} has a bent spine, see page {self.serial % 199 + 1} of the notebook"
        return text, (who["id"], "remark", f"tank {tank}", text)

    # ---- what people do over Telegram

    def telegram(self, few: int) -> None:
        """A handful of updates, in no good order."""
        made: list[tuple[str, Any]] = []
        while len(made) < few:
            made += self._one()
        self.chance.shuffle(made)
        for kind, body in made:
            self._expect_answer(kind, body)
            self.api.push(kind, body)
        self.done += len(made)

    def _expect_answer(self, kind: str, body: Any) -> None:
        """One answer to each wording, none to one brought again nor to a first wording that comes after an edit."""
        known = isinstance(body, dict) and isinstance(body.get("chat"), dict) and "text" in body
        first = f"{body['chat']['id']}:{body['message_id']}" if known else ""
        if first not in self.stands:
            return
        stamp = body["edit_date"] if kind == "edited_message" else 0
        before = self.brought.setdefault(first, set())
        if stamp not in before and (stamp or not before):
            self.answers[body["chat"]["id"]] += 1
        before.add(stamp)

    def _one(self) -> list[tuple[str, Any]]:
        act = self.chance.choices(
            (
                self._note,
                self._named,
                self._chatter,
                self._again,
                self._edited,
                self._outsider,
                self._odd,
                self._forward,
            ),
            (40, 8, 6, 10, 10, 10, 12, 4),
        )[0]
        return act()

    def _date(self) -> int:
        # two of one person in one second happen
        return self.began + self.serial // 5

    def _note(self, prefix: str = "", chat: int | None = None) -> list[tuple[str, Any]]:
        who = self.chance.choice((ROSA, IVO))
        text, key = self.note(who)
        made = self.api.message(prefix + text, who, chat, date=self._date())
        delivery = f"{made['chat']['id']}:{made['message_id']}"
        self.heard.add(delivery)
        self.stands[delivery] = (0, key)
        self.told.append((made, 0))
        return [("message", dict(made))]

    def _named(self) -> list[tuple[str, Any]]:
        return self._note(NAMED, GROUP)

    def _chatter(self) -> list[tuple[str, Any]]:
        who = self.chance.choice((ROSA, IVO, STRANGER))
        return [("message", self.api.message(f"fed tank 3, {OUTSIDE}", who, GROUP))]

    def _again(self) -> list[tuple[str, Any]]:
        if not self.told:
            return []
        lately = self.told[-LATELY:]
        return [("message", dict(self.chance.choice(lately)[0]))]

    def _edited(self) -> list[tuple[str, Any]]:
        """One message changed once or twice, its wordings in any order, sometimes one of them twice."""
        if not self.told:
            return []
        at = self.chance.randrange(len(self.told))
        made, stamp = self.told[at]
        chat = made["chat"]["id"]
        delivery = f"{chat}:{made['message_id']}"
        out = []
        for _ in range(self.chance.choice((1, 1, 2))):
            stamp += self.chance.randint(1, 5)
            text, key = self.note(made["from"])
            prefix = NAMED if chat == GROUP else ""
            body = {**made, "text": prefix + text, "edit_date": made["date"] + stamp}
            out.append(("edited_message", body))
            self.stands[delivery] = (stamp, key)
            self.heard.add(edit_of(delivery, made["date"] + stamp, text))
        self.told[at] = (made, stamp)
        return out + out[:1] if self.chance.random() < 0.2 else out

    def _outsider(self) -> list[tuple[str, Any]]:
        number = STRANGER["id"] + self.chance.randrange(5)
        who = {**STRANGER, "id": number}
        where = self.chance.choice((None, None, GROUP))
        prefix = NAMED if where else ""
        made = self.api.message(f"{prefix}2 dead tank 3 {OUTSIDE}", who, where)
        if number not in self.knocked:
            self.knocked.add(number)
            self.answers[GROUP if where else number] += 1
        kind = self.chance.choice(("message", "message", "edited_message"))
        return [(kind, made | ({"edit_date": made["date"]} if kind == "edited_message" else {}))]

    def _odd(self) -> list[tuple[str, Any]]:
        who = self.chance.choice((ROSA, IVO, STRANGER))
        if who is not STRANGER and self.chance.random() < 0.3:
            self.answers[who["id"]] += 1
            return [
                ("message", self.api.message(None, who, voice={"file_id": "V", "file_unique_id": "V", "duration": 3}))
            ]
        return [self.chance.choice(NONSENSE)]

    def _forward(self) -> list[tuple[str, Any]]:
        who = self.chance.choice((ROSA, IVO))
        self.answers[who["id"]] += 1
        origin = {"type": "hidden_user", "sender_user_name": OUTSIDE, "date": self.began}
        return [("message", self.api.message(f"2 dead tank 3 {OUTSIDE}", who, forward_origin=origin))]

    # ---- what is pushed at the open address by whoever finds it

    async def at_the_address(self, web: aiohttp.ClientSession, base: str, secret: str) -> None:
        """One request of ours to the listener: a text message, or one that must be refused."""
        self.done += 1
        far = {"X-Forwarded-For": f"203.0.113.{self.chance.randrange(250)}"}  # TEST-NET-3, RFC 5737
        near = {"X-Forwarded-For": f"198.51.100.{self.chance.randrange(250)}"}  # TEST-NET-2
        made = self.api.message(f"2 dead tank 3 {OUTSIDE}", ROSA)
        forged = {"update_id": 5_000_000 + self.done, "message": made}
        match self.chance.randrange(8):
            case 0:
                await posted(web, base + "/telegram", json.dumps(forged).encode(), far, 403)
            case 1:
                wrong = far | {"X-Telegram-Bot-Api-Secret-Token": secret[:-1] + "x"}
                await posted(web, base + "/telegram", json.dumps(forged).encode(), wrong, 403)
            case 2:
                body = self.chance.choice(BODIES)
                await posted(web, base + "/telegram", body, near | {"X-Telegram-Bot-Api-Secret-Token": secret}, 400)
            case 3:
                body = json.dumps({"from": NUMBERS[ROSA["id"]], "id": f"f{self.done}", "text": OUTSIDE}).encode()
                sealed = self.chance.choice((signed(body, "wrong"), signed(body + b" "), signed(body, age=3600), {}))
                await posted(web, base + "/sms", body, far | sealed, 403)
            case 4 if self.texted:
                who, delivery, text = self.chance.choice(self.texted)
                body = json.dumps({"from": NUMBERS[who], "id": delivery, "text": text}).encode()
                await posted(web, base + "/sms", body, near | signed(body), 200)
            case _:
                person = self.chance.choice((ROSA, IVO))
                text, key = self.note(person)
                delivery = f"t{self.done}"
                body = json.dumps({"from": NUMBERS[person["id"]], "id": delivery, "text": text}).encode()
                said = await posted(web, base + "/sms", body, near | signed(body), 200)
                assert len(json.loads(said)["messages"]) == 1
                self.texted.append((person["id"], delivery, text))
                self.heard.add(f"sms:{delivery}")
                self.stands[f"sms:{delivery}"] = (0, key)

    # ---- and what came of it

    def compare(self, file: Path) -> list[str]:
        """What is wrong in the record: nothing, if all is well."""
        database = open_database(str(file))
        book = database.room()
        wrong = list(book.check())
        who = {p.key: int(a) for p in book.people() for d, a in book.addresses(p.key) if d == "telegram"}
        kinds = ("measure", "feed", "top_off", "remark", "death", "undo", "fix")
        entries = [e for e in book.entries() if e.event.kind in kinds and not e.retracts]
        found = Counter(key_of(who[e.person], e.event) for e in entries)
        wanted = Counter(key for _, key in self.stands.values())
        wrong += [f"missing {n} x {key}" for key, n in (wanted - found).items()]
        wrong += [f"too many {n} x {key}" for key, n in (found - wanted).items()]
        doors = [m for m in book.messages() if m.door in ("telegram", "sms")]
        seen = {f"sms:{m.delivery}" if m.door == "sms" else m.delivery for m in doors}
        wrong += [f"not heard: {d}" for d in self.heard - seen]
        wrong += [f"heard, and should not be: {d}" for d in seen - self.heard]
        database.close()
        came = Counter(s["chat_id"] for s in self.api.sent)
        wrong += [
            f"{came[c]} answers in {c}, not {self.answers[c]}"
            for c in came | self.answers
            if came[c] != self.answers[c]
        ]
        kept = b"".join(p.read_bytes() for p in file.parent.rglob("*") if p.is_file())
        if OUTSIDE.encode() in kept:
            wrong.append("words from outside are on the disk")
        return wrong


def key_of(person: int, event: Event) -> Key:
    raw = event.outside()
    place = raw.get("place") or ",".join(raw.get("places", ()))
    return person, raw["kind"], place, raw.get("text") or raw.get("value")
