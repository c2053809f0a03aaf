"""Makes the weights by which talk is told from what happened in the room: `python -m tests.language.learn_chatter`.

Learns from notes of one sentence that tell something, from those that tell nothing, and from the sentences of talk.tsv
with their clauses.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from bot.language import Names, Reader
from bot.language.clauses.parting import clauses_of
from bot.language.kept_out import chatter
from bot.language.kept_out.chatter import KNOWN, WEIGHTS, at_stake, signs_of
from bot.language.kept_out.ours import of_the_room
from bot.language.scene import Part
from bot.language.tags import Tag, Tagger
from tests.language.joined import talk
from tests.language.judging import DATA, Raw, Room, best, card_of, notes_of
from tests.language.learn import HELD_BACK, NO_NOTES, ROOMS, UNSEEN, Example, fit, private_words, readings

USED_BY = 3  # a word that fewer sentences about the room have is strange to it
SMALLEST = 4  # a sign whose weight is smaller, in hundredths, is left out
TALK = "talk"
_SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001


@dataclass(frozen=True)
class Said:
    """A sentence, and whether it is talk."""

    tags: tuple[Tag, ...]
    is_talk: bool


def said() -> Iterator[Said]:
    """What may be learnt from: sentences of the notes read right, and talk; both with their clauses."""
    rooms = {card: _Room.of(card) for card in ("millrace.json", *ROOMS.values())}
    for file in sorted(f.name for f in DATA.glob("*.jsonl")):
        if file in NO_NOTES | UNSEEN:
            continue
        room = rooms[ROOMS.get(file, "millrace.json")]
        for note in notes_of(file):
            if hashlib.sha256(note["id"].encode()).hexdigest()[0] not in HELD_BACK.get(file, ""):
                yield from room.said(note)
    names = rooms["millrace.json"].reader.names
    for _, words in talk():
        for tags, _ in sentences_in(names, words, _SENT):
            yield from _with_clauses(tags, is_talk=True)


@dataclass(frozen=True)
class _Room:
    """Reads notes of one room, to know which of their sentences tell something."""

    reader: Reader
    room: Room

    @classmethod
    def of(cls, card: str) -> _Room:
        return cls(Reader(Names.of(card_of(card))), Room.of(card_of(card)))

    def said(self, note: Raw) -> Iterator[Said]:
        sent = dt.datetime.fromisoformat(note["sent"])
        wants, names = readings(note), self.reader.names
        reading = self.reader.read(note["text"], sent)
        right = best(wants, reading.outside(), note["text"], self.room) == "exact" and reading.outcome != "ask"
        _, told, teller, _ = self.reader.told(note["text"], sent)
        telling = {e.get("_sentence") for e in teller.events}
        spots = {t.at for s in told if id(s) in telling for t in s.tags}
        sentences = list(sentences_in(names, note["text"], sent))
        alone = len(sentences) == 1
        for tags, asks in sentences:
            asks = asks or (alone and any(w["outcome"] in ("answer", "both") for w in wants))
            tells = alone and all(w["outcome"] == "log" and _kinds(w) for w in wants)
            if asks or tells or (right and any(t.at in spots for t in tags)):
                yield from _with_clauses(tags, is_talk=False)
            elif of_the_room(Part(tags), names):
                continue
            elif (right and not at_stake(tags)) or (alone and not any(map(_kinds, wants))):
                yield Said(tuple(tags), True)


def sentences_in(names: Names, text: str, sent: dt.datetime) -> Iterator[tuple[list[Tag], bool]]:
    """The tags of each sentence, and whether it ends in a question mark."""
    tags: list[Tag] = []
    for tag in Tagger(names, text, sent).tags:
        if tag.kind != "stop":
            tags.append(tag)
        elif tags:
            yield tags, tag.word == "?"
            tags = []
    if tags:
        yield tags, False


def _kinds(want: Raw) -> set[str]:
    return {e["kind"] for e in want["events"]} - {"remark"}


def _with_clauses(tags: list[Tag], *, is_talk: bool) -> Iterator[Said]:
    """A sentence, and those of its clauses that might be taken for something."""
    yield Said(tuple(tags), is_talk)
    for clause in clauses_of(tags):
        if 2 < len(clause) < len(tags) and (is_talk or any(t.senses or t.kind != "word" for t in clause)):
            yield Said(tuple(clause), is_talk)


def weights(told: list[Said]) -> str:
    """The rows of the file: words the room uses, and what each sign weighs."""
    uses = Counter(w for s in told if not s.is_talk for w in {t.word.casefold() for t in s.tags})
    private = private_words(card_of("millrace.json").model_dump_json(), []) | private_words(
        card_of("second_room.json").model_dump_json(), []
    )
    known = frozenset(w for w, n in uses.items() if n >= USED_BY and w.isalpha() and w not in private)
    learnt = fit([Example(signs_of(s.tags, known), {TALK} if s.is_talk else set()) for s in told])
    rows = [f"{KNOWN}{word}\t0" for word in sorted(known)]
    rows += [
        f"{s}\t{w}" for s, (w,) in sorted(learnt.rows.items()) if abs(w) > SMALLEST and not private & set(s.split())
    ]
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    WEIGHTS.write_text("", encoding="utf-8")  # what is learnt must not lean on what was learnt before
    chatter.weights.cache_clear()
    WEIGHTS.write_text(weights(list(said())), encoding="utf-8")
    print(f"{WEIGHTS}: {WEIGHTS.stat().st_size} bytes")
