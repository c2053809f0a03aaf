"""Who may write here, told and asked by chat: an owner's “invite Tom as helper”, “make Tom a viewer”, “remove Tom”."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable

from bot import sentences as say
from bot.reply import Reply
from shared.ledger.standing import Standing
from storage.journal import Message, OpenQuestion, Person, RoomBook, Turn
from storage.people import INVITATION_LASTS

_PARTS = {
    "NAME": r"(?P<name>[^\W\d_][\w'’.-]*(?: [\w'’.-]+){0,2}?)",
    "ROLE": r"(?:an? |the |another )?(?P<role>owner|helper|viewer)",
    "WHO": r"(?:members|people|helpers|viewers|owners)",
    "CODE": r"(?:(?:an?|another|the|make an?) )?(?:new )?(?:invitation|invite|code|invitation code)",
}


def _said_like(*ways: str) -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(re.sub("[A-Z]{3,}", lambda m: _PARTS[m[0]], way), re.IGNORECASE) for way in ways)


_LIST = _said_like(
    r"(?:list |show (?:me )?)?(?:those )?who (?:all )?(?:may|can|could|is allowed to) "
    r"(?:write|log|text|talk|speak|look|come in)(?: (?:here|in here|to you|in the room))?",
    r"who has (?:access|a key)(?: here| to (?:this|the room|the bot|you))?",
    r"(?:list |show (?:me )?)?(?:the |all )?WHO(?: here| of the room)?",
    r"who(?: is|'s| are)(?: the)? (?:WHO|owner|let in|invited)(?: here)?",
)
_INVITE = _said_like(
    r"(?:invite|let in|add) NAME (?:as|to be) ROLE",
    r"let NAME in as ROLE",
    r"(?:invite|let in|CODE for) ROLE",
    r"CODE for NAME as ROLE",
    r"(?:invite|invitation for|an invitation for) NAME",
)
_WITHDRAW = _said_like(r"(?:cancel|withdraw|revoke|drop) (?:all |the |all the |my )?(?:invitations?|codes?|invites?)")
_MAKE = _said_like(
    r"make NAME ROLE", r"let NAME be ROLE", r"NAME (?:is|becomes) ROLE now", r"NAME (?:is|becomes) now ROLE"
)
_REMOVE = _said_like(
    r"(?:remove|put out|throw out|shut out|kick out|kick)\s+(?P<name>.+?)(?:\s+from (?:the|this|my|our) room)?"
)
_TAKES = {"owner": "logs, asks and lets others in", "helper": "logs and asks", "viewer": "only asks"}
_YES = frozenset(("yes", "y", "yes please", "yep", "yeah", "sure", "do it"))
_NO = frozenset(("no", "n", "nope", "no thanks", "never mind", "nevermind", "leave it", "cancel"))
ONLY_OWNERS = "Only an owner can let people in or put them out. Nothing was changed."
OTHERS_READ = "Others read along here; ask me for that in our own chat. Nothing was changed."
AS_WHAT = "As what? “invite {name} as helper” lets them log and ask, “invite {name} as viewer” only ask."
THAT_IS_YOU = "That is you; another owner can do it, or `roomhand remove` on the machine. Nothing was changed."
SEVERAL = "Several people here are called {name}: use `roomhand remove` on the machine. Nothing was changed."
OTHER_ROLE = "{name} is {is_now} already. “make {name} {role}” changes that. Nothing was changed."
SAME_ROLE = "{name} is {role} already. Nothing was changed."


class People:
    """What one message has to do with who may write here."""

    def __init__(self, book: RoomBook, turn: Turn, message: Message, now: dt.datetime) -> None:
        self.book, self.turn, self.message, self.now = book, turn, message, now

    def told(self, text: str, standing: Standing) -> Reply | None:
        """What is said to an order or question about people; None when the message is none.

        It is only about a person when the name is exactly that of somebody here and of no tank, batch, line or
        culture; whoever is invited has a name of their own too.
        """
        plain = re.sub(r"^please |,? (?:please|thanks)$", "", " ".join(text.split()).strip(" .!?"), flags=re.I)
        if _found(_LIST, plain) is not None:
            return Reply("\n".join(self._listed()), "answer")
        if hit := _found(_REMOVE, plain):
            return self._of_person(hit["name"], standing, self._remove)
        if hit := _found(_MAKE, plain):
            role = hit["role"].casefold()
            return self._of_person(hit["name"], standing, lambda person: self._make(person, role))
        if _found(_WITHDRAW, plain) is not None:
            return self._withdraw() if self._owner else Reply(ONLY_OWNERS)
        hit = _found(_INVITE, plain)
        if hit is None or _is_thing(hit.get("name", ""), standing):
            return None
        return self._invite(hit.get("name", ""), hit.get("role", "").casefold()) if self._owner else Reply(ONLY_OWNERS)

    @property
    def _owner(self) -> bool:
        who = self.book.person(self.message.person)
        return who is not None and who.active and who.role == "owner"

    def _of_person(self, name: str, standing: Standing, then: Callable[[Person], Reply]) -> Reply | None:
        here = [p for p in self.book.people() if p.name.casefold() == name.casefold()]
        if not here or _is_thing(name, standing):
            return None
        if not self._owner:
            return Reply(ONLY_OWNERS)
        if len(here) > 1:
            return Reply(SEVERAL.format(name=here[0].name))
        if here[0].key == self.message.person:
            return Reply(THAT_IS_YOU)
        return then(here[0])

    # ---- looking

    def _listed(self) -> list[str]:
        codes = self.book.invitations(self.now)
        until = {key: ends for _, ends, key in codes}
        lines = []
        for person in self.book.people():
            where = "" if self.book.addresses(person.key) else ", at the machine only"
            if where and person.key in until:
                where = f", not come yet (code until {self._when(until[person.key])})"
            lines.append(f"{person.name}: {person.role}{where}")
        if self._owner:
            for role, ends, key in codes:
                if key is None:
                    lines.append(f"A code for {_a(role)} is still good, until {self._when(ends)}.")
            if many := self.book.knocks():
                lines.append(f"Strangers wrote {say.count(many, 'time')}; none of it was kept.")
        return lines

    def _when(self, at: dt.datetime) -> str:
        local = at.astimezone(self.now.tzinfo)
        return f"{say.day(local)} {local:%H:%M}"

    # ---- letting in

    def _invite(self, name: str, role: str) -> Reply:
        if self._others_read():
            return Reply(OTHERS_READ)
        if not role:
            return Reply(AS_WHAT.format(name=name))
        who = name.title() if name.islower() else name
        here = [p for p in self.book.people() if p.name.casefold() == who.casefold()]
        if here and role not in (p.role for p in here):
            return Reply(OTHER_ROLE.format(name=here[0].name, is_now=_a(here[0].role), role=_a(role)))
        code = self.book.invite(role, at=self.now, name=who or None)
        until = self._when(self.now + INVITATION_LASTS)
        sends = f"{who} sends" if who else "They send"
        head = f"Code for {who or 'one more'} as {role} ({_TAKES[role]}):"
        return Reply(
            f"{head}\n{code}\nGood once, until {until}. {sends} it to me as the first message.", "answer", secret=code
        )

    def _others_read(self) -> bool:
        """Whether this is a chat of several: whoever has an address at this door is not written to by it."""
        mine = [a for door, a in self.book.addresses(self.message.person) if door == self.message.door]
        return bool(mine) and self.message.chat not in mine

    def _withdraw(self) -> Reply:
        many = self.book.withdraw_invitations(self.now)
        return Reply(
            f"{say.count(many, 'code')} withdrawn." if many else "No code is out. Nothing was changed.", "answer"
        )

    def _make(self, person: Person, role: str) -> Reply:
        if person.role == role:
            return Reply(SAME_ROLE.format(name=person.name, role=_a(role)))
        self.book.give_role(person.key, role)
        return Reply(f"{person.name} is {_a(role)} now: {_TAKES[role]}.", "answer")

    # ---- putting out

    def _remove(self, person: Person) -> Reply:
        for before in self.turn.open_questions():
            if "put_out" in before.body:
                self.turn.settle(before.id)
        text = f"Put {person.name} ({person.role}) out? What they logged stays."
        options = ("yes", "no")
        body = {
            "text": text, "at": self.now.isoformat(), "options": [[o, []] for o in options], "put_out": person.key,
            "message": self.turn.message_id,
        }  # fmt: skip
        return Reply(text, "ask", options=options, asking=self.turn.ask(body))

    def settle(self, question: OpenQuestion, text: str, *, just_asked: bool) -> str | None:
        """Take the message as the answer to “put out?”: what is said to it, or None when it is none."""
        said = " ".join(text.casefold().split()).strip(" .!")
        if not just_asked or said not in _YES | _NO:
            return None
        if said in _NO:
            return "Left as it is."
        if not self._owner:  # not any more
            return ONLY_OWNERS
        person = self.book.person(question.body["put_out"])
        if person is None or not person.active:
            return "They are out already."
        self.book.remove(person.key, at=self.now)
        return put_out_said(person)


def put_out_said(person: Person) -> str:
    """What is said once somebody is out."""
    return f"{person.name} can no longer write or look here; what they logged stays. A new code lets them in again."


def _found(ways: tuple[re.Pattern[str], ...], text: str) -> dict[str, str] | None:
    """The parts of the first way in which the text says it."""
    return next((hit.groupdict() for way in ways if (hit := way.fullmatch(text))), None)


def _a(role: str) -> str:
    return f"an {role}" if role[0] in "aeiou" else f"a {role}"


def _is_thing(name: str, standing: Standing) -> bool:
    things = (*standing.places, *standing.batches, *standing.lines, *standing.cultures, *standing.words)
    return name.casefold() in {t.casefold() for t in things}
