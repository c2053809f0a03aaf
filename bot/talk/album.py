"""Photos: with which tank or batch one is kept, asked for where that is not said, and shown again on asking.

A photo is never guessed onto a tank: it goes with what its caption names or logged, with what the last note was about
when that was minutes ago and one tank alone, or with the answer to a question.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from bot import sentences as say
from bot.answers.asking import Answer
from bot.reply import NOTHING, Reply
from bot.talk.questions import NEVER_MIND, OPEN_FOR
from shared.ledger.standing import Entry, Standing
from storage.journal import KeptPicture, Message, OpenQuestion, RoomBook, Turn

JUST_NOW = dt.timedelta(minutes=5)  # how long a photo without words still belongs to the note before it
MOST_NAMES = 4  # a note about more than these (“fed all tanks”) does not say what its photo shows
WHICH = "The photo: which tank or batch?"
WAITS = "The photo goes with your answer."
NOT_FOR_VIEWERS = "You can look but not log here; ask the owner to make you a helper. The photo was not kept."

_KIND = r"tanks?|tubs?|jars?|bowls?|bags?|box(?:es)?"
_PART = re.compile(rf"(?:(?P<kind>{_KIND})\s*|t\s?(?=\d))?#?(?P<item>\d{{1,3}}|[a-z])", re.IGNORECASE)
_SPOT = re.compile(
    rf"(?<![\w-])(?:(?P<kind>{_KIND})\s?#?|t(?=\s?\d)\s?)(?P<item>\d{{1,3}}|[a-z])(?![\w-])", re.IGNORECASE
)
_NAME = re.compile(rf"(?:{_KIND}|t|batch)\s?(?:\d{{1,3}}|[a-z])|b\d{{1,4}}", re.IGNORECASE)
_DENIED = re.compile(r"\b(?:not|isn'?t|no longer|instead|rather than|never|nor)\b", re.IGNORECASE)
_LEADS = re.compile(r"^(?:(?:it'?s|that'?s|this is|of|from|in|for|with|the|batch|both)\s+)+", re.IGNORECASE)
_ASKED = re.compile(
    r"(?:(?:can|could|may) (?:you|i) )?(?:please )?"
    r"(?:(?:show|send|give)(?: me| us)?|see|look at|any|got any|have (?:we|you) (?:got )?|are there|is there)?\s*"
    r"(?:(?:the|a|an|any|my|our|all|your)\s+)*"
    r"(?P<last>(?:last|latest|newest|most recent)\s+)?"
    r"(?P<noun>photos?|pictures?|pics?|photographs?)"
    r"(?:\s+(?:you have|we have|there are))?"
    r"(?:\s+(?:of|from|for|in|with)\s+(?P<name>.+?)|\s+(?P<bare>(?:tank|tub|jar|bowl|bag|box|batch)\s?(?:\d{1,3}|[a-z])|[tb]\s?\d{1,4}))?"
    r"(?:\s+(?:please|again))?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Wanted:
    """A question for photos: of one place or batch, or (None) the last of all."""

    said: str | None
    many: bool
    photo: bool  # and not “picture”, which may be a chart


def wanted(text: str) -> Wanted | None:
    """The question, when the message is nothing but one."""
    found = _ASKED.fullmatch(" ".join(text.split()).strip(" .?!"))
    if not found:
        return None
    said = found["name"] or found["bare"]
    many = found["noun"].casefold().endswith("s") and not found["last"]
    if said is None and not (many or found["last"]):
        return None
    return Wanted(said, many, "photo" in found["noun"].casefold())


def names_only(text: str, known: Iterable[str]) -> tuple[str, ...]:
    """The places and batches a message names when it says nothing else: “t3”, “tub B and B22”, “tanks 3, 4”."""
    by_name = {name.casefold(): name for name in known}
    rest = _LEADS.sub("", " ".join(text.split()).strip(" .?!").casefold())
    found: list[str] = []
    kind: str | None = None
    for piece in re.split(r"\s*(?:,|&|\+|\band\b)\s*", rest) if rest else ():
        part = _LEADS.sub("", piece)
        name = by_name.get(part)
        if name is None and (spot := _PART.fullmatch(part)):
            kind = _one(spot["kind"]) or ("tank" if part.startswith("t") and spot["item"] != "t" else kind)
            name = by_name.get(f"{kind} {spot['item']}") if kind else _ending(spot["item"], by_name)
        if name is None:
            return ()
        found.append(name)
    return tuple(dict.fromkeys(found))


def _ending(item: str, by_name: dict[str, str]) -> str | None:
    """The one place a bare “3” can mean."""
    fits = [name for key, name in by_name.items() if key.split()[-1] == item]
    return fits[0] if len(fits) == 1 else None


def _one(kind: str | None) -> str | None:
    return None if kind is None else re.sub(r"(?<=x)es$|s$", "", kind.casefold())


def names_in(text: str, known: Iterable[str]) -> tuple[str, ...]:
    """The places and batches a caption names among other words; none where it says what a photo does not show."""
    if _DENIED.search(text):
        return ()
    by_name = {name.casefold(): name for name in known}
    spots = [by_name.get(f"{_one(m['kind']) or 'tank'} {m['item'].casefold()}") for m in _SPOT.finditer(text)]
    plain = text.casefold()
    whole = [n for key, n in by_name.items() if re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", plain)]
    return tuple(dict.fromkeys([n for n in spots if n] + whole))


class Photos:
    """What one message has to do with photos."""

    def __init__(self, book: RoomBook, turn: Turn, message: Message, now: dt.datetime) -> None:
        self.book, self.turn, self.message, self.now = book, turn, message, now

    @property
    def known(self) -> list[str]:
        standing: Standing = self.turn.standing
        return [*standing.places, *standing.batches]

    # ---- keeping

    def keep(self, picture: bytes, caption: Callable[[], Reply]) -> Reply:
        """Keep the photo this message brought; `caption` hears the words that came with it."""
        text = self.message.text
        try:
            self.turn.keep_picture(self.book.keep_picture(picture))
        except ValueError as unfit:
            said = f"The photo was not kept: {unfit}."
            return _with(caption(), said) if text.strip() else Reply(said)
        names = names_only(text, self.known)
        if names or not text.strip():
            reply = Reply("")
        else:
            reply = caption()
            names = self._of_caption(text)
        if not text.strip():
            names = self._of_last_note()
        if names:
            self.turn.name_picture(self.turn.message_id, names)
            as_before = "" if text.strip() else ", like what you told just before"
            return _with(reply, f"Photo kept with {say.listed(names)}{as_before}.", "log")
        asked = [q.id for q in self.turn.open_questions() if q.body.get("message") == self.turn.message_id]
        if reply.asking in asked:
            return _with(reply, WAITS)
        return self._which(_with(reply, WHICH, "ask"), self.turn.message_id)

    def _which(self, reply: Reply, message: int) -> Reply:
        asked = {"text": WHICH, "at": self.now.isoformat(), "message": message, "picture": message}
        return replace(reply, asking=self.turn.ask(asked))

    def _of_caption(self, text: str) -> tuple[str, ...]:
        logged = self._logged(self.turn.entries_of(self.turn.message_id))
        return tuple(dict.fromkeys([*names_in(text, self.known), *(logged if len(logged) <= MOST_NAMES else ())]))

    def _logged(self, entries: Sequence[Entry]) -> tuple[str, ...]:
        named = [n for e in entries for n in (e.place, e.batch) if n in self.known]
        return tuple(dict.fromkeys(n for n in named if n))

    def _of_last_note(self) -> tuple[str, ...]:
        """What the note or photo minutes ago was about, if it was one place."""
        who, since = (self.message.person, self.message.chat), self.now - JUST_NOW
        notes, photo = self.turn.last_messages_with_entries(*who, since), self.turn.last_picture(*who, since)
        if photo and (not notes or photo.message >= notes[0][0]):
            return photo.names
        names = self._logged(notes[0][1]) if notes else ()
        return names if len([n for n in names if n in self.turn.standing.places]) == 1 else ()

    # ---- saying later what one shows

    def settle(self, question: OpenQuestion, text: str, *, just_asked: bool) -> str | None:
        """Take the message as the answer to “which tank or batch?”: what is said to it, or None when it is none."""
        message = question.body["picture"]
        if not just_asked:
            return None
        if " ".join(text.casefold().split()).strip(" .!") in NEVER_MIND:
            return "The photo is kept without a name."
        return self.rename(message, names_only(text, self.known))

    def rename(self, message: int, names: Sequence[str]) -> str | None:
        """The photo of a message shows this; what is said, None where there is no such photo or no name."""
        if not names or self.turn.picture_of(message) is None:
            return None
        self.turn.name_picture(message, names)
        return f"Photo kept with {say.listed(names)}."

    def reworded(self, message: int, caption: Callable[[], Reply]) -> Reply:
        """The caption of a photo was edited: it is heard, and the photo shows what it says now."""
        names = names_only(self.message.text, self.known)
        reply = Reply("") if names else caption()
        told = self.rename(message, names or self._of_caption(self.message.text))
        return _with(reply, told, "log") if told else reply

    def follow(self, message: int | None) -> str | None:
        """The note that came with a photo is complete only now: the photo goes with what was logged."""
        photo = self.turn.picture_of(message) if message else None
        if photo is None or photo.names:
            return None
        names = self._logged(self.turn.entries_of(self.turn.message_id))
        return self.rename(photo.message, names) if len(names) <= MOST_NAMES else None

    def mended(self, before: Sequence[Entry]) -> None:
        """What a note logged was mended: its photo shows what it says now."""
        photo = self.turn.picture_of(before[0].message)
        if photo:
            gone, new = self._logged(before), self._logged(self.turn.entries_of(self.turn.message_id))
            self.turn.name_picture(photo.message, [*(n for n in photo.names if n not in gone), *new])

    def asked_again(self, reply: Reply, asking: int | None) -> Reply:
        """A note came where a tank was asked for: the question stands, with what the note was about as choices."""
        if asking is None or reply.asking is not None or reply.outcome not in ("log", "both"):
            return reply
        for question in self.turn.open_questions():
            if question.id == asking and "picture" in question.body and self.now - question.asked_at < OPEN_FOR:
                names = self._logged(self.turn.entries_of(self.turn.message_id))[:MOST_NAMES]
                return replace(reply, text=f"{reply.text}\n{WHICH}", options=names, asking=asking)
        return reply

    # ---- showing

    def shown(self, asked: Wanted) -> Answer | None:
        """The newest photo asked for, with when, whose, its words, and how many there are besides.

        None where the words may mean something else: a chart, or a note that only begins like a question.
        """
        name: str | None = None
        if asked.said is not None:
            everything = [*self.known, *(n for p in self.book.pictures() for n in p.names)]
            names = names_only(asked.said, everything)
            if len(names) != 1:
                return Answer(f"There is no {asked.said} here.") if _NAME.fullmatch(asked.said) else None
            name = names[0]
        found = self.book.pictures(name)
        if not found and name and not asked.photo:
            return None
        if not found:
            return Answer(f"There is no photo of {name} yet." if name else "There is no photo yet.")
        newest = found[0]
        text = self._said(newest)
        picture = self.book.picture(newest)
        if picture is None:
            text += (
                "\nIts file is not here; photos are kept in a folder beside the record, which may not have been copied."
            )
        if len(found) > 1 and asked.many:
            days = [say.moment(p.kept_at, self.book.info.zone, self.now) for p in found[1:4]]
            more = f" and {len(found) - 4} more" if len(found) > 4 else ""
            text += f"\nBefore that: {', '.join(days)}{more}."
        return Answer(text, picture)

    def _said(self, photo: KeptPicture) -> str:
        who = self.book.person(photo.person)
        head = ", ".join(
            part
            for part in (
                say.listed(photo.names) if photo.names else "no tank or batch said",
                say.moment(photo.kept_at, self.book.info.zone, self.now),
                who.name if who else "",
            )
            if part
        )
        caption = " ".join(photo.caption.split())
        told = f": “{caption[:200]}”" if caption and not names_only(caption, self.known) else "."
        return f"{say.first_up(head)}{told}"


def _with(reply: Reply, line: str, outcome: str | None = None) -> Reply:
    """The reply with a line about the photo at its end."""
    text = "" if reply.text == NOTHING else reply.text
    kept = reply.outcome if outcome is None or reply.events or reply.outcome not in ("none", "ask") else outcome
    return replace(reply, text=f"{text}\n{line}".strip(), outcome=kept)
