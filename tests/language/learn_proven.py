"""Makes the list of proven wordings anew: `python -m tests.language.learn_proven`.

Of every labelled note that may be learnt from it is seen whether the rules read it rightly. The tables of the tests and
the golden conversations are tests themselves.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from unittest.mock import patch

from bot.language import Names, Reader
from bot.language.doubts import heard_twice
from bot.language.doubts.proven import WORDINGS, wording
from bot.language.reading import Reading
from tests.language import (
    test_fish_told,
    test_properties,
    test_tables,
    test_told_and_asked,
    test_traps,
    test_unfamiliar,
)
from tests.language.examples import files, is_held_back
from tests.language.judging import Room, best, card_of, notes_of
from tests.language.learn import ROOMS
from tests.test_conversations import FILES, retold

OFTENER = 4  # times that a wording must be read rightly for each time it was not


class Heard:
    """Reads by the rules alone, and keeps the wordings of what it reads."""

    def __init__(self) -> None:
        self.wordings: list[int] = []

    def settled(self, first: heard_twice.First, rules: Reading, *_: object) -> Reading:
        self.wordings.append(wording(first.worded, first.names))
        return rules


def labelled(heard: Heard) -> Iterator[tuple[int, bool]]:
    """The wording of each labelled note, and whether the rules read it rightly."""
    cards = {card: (Reader(Names.of(card_of(card))), Room.of(card_of(card))) for card in _CARDS}
    for file in files():
        reader, room = cards[ROOMS.get(file, "millrace.json")]
        for note in notes_of(file):
            if not is_held_back(file, note):
                sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
                right = best(note["want"], reader.read(note["text"], sent).outside(), note["text"], room) == "exact"
                yield heard.wordings[-1], right


_CARDS = ("millrace.json", *ROOMS.values())


def said_in_tests() -> None:
    """Reads the tables and the golden conversations, which are tests themselves."""
    reader = Reader(Names.of(card_of("millrace.json")))
    texts = [trap["text"] for trap in test_traps.TRAPS if "want" in trap or "outcome" in trap]
    texts += [text for text, _ in test_fish_told.TOLD] + test_fish_told.UNSURE + list(test_unfamiliar.ORDINARY)
    texts += [row[0] for row in test_told_and_asked.BOTH] + [text for text, _ in test_told_and_asked.ALONE]
    texts += [row[0] for row in test_tables.ROWS] + [test_tables.FEEDINGS]
    places = test_properties.BREEDERS[0], test_properties.TANKS[0], test_properties.EGG_TUBS[0]
    texts += [text for text, _ in test_properties.plain(40, *places, 25)]
    for text in texts:
        reader.read(text, test_traps.SENT)
    with tempfile.TemporaryDirectory() as folder:
        for file in FILES:
            (Path(folder) / file.stem).mkdir()
            retold(file, card_of("millrace.json"), Path(folder) / file.stem)


def main() -> None:
    heard = Heard()
    with patch.object(heard_twice, "settled", heard.settled):
        seen = list(labelled(heard))
        heard.wordings.clear()
        said_in_tests()
    right, wrong = (Counter(number for number, is_right in seen if is_right is which) for which in (True, False))
    known = {number for number, times in right.items() if times >= OFTENER * wrong[number]} | set(heard.wordings)
    WORDINGS.write_text("".join(f"{number:08x}\n" for number in sorted(known)), encoding="utf-8")
    print(f"{len(known)} wordings of {len(seen)} notes: {WORDINGS}")


if __name__ == "__main__":
    main()
