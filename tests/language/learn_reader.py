"""Makes the weights of the learnt reader anew: `pip install -e .[test,learn]`, `python -m tests.language.learn_reader`.

Learns from every labelled note of the data folder that is not held back, and whose labels read fairly again. The same
notes give the same weights on the same machine. `--keep-words` leaves the vectors of words as they are. It takes about
a quarter of an hour on one core.
"""

from __future__ import annotations

import argparse
import math
import random
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from bot.language.learnt.net import LAYERS, WEIGHTS, WORDS, listed
from bot.language.learnt.signs import MOST_SIGNS, known_signs, pieces_of, signs_of, word_of
from bot.language.tags import Tag
from tests.language.examples import Example, examples
from tests.language.learnt_files import Floats, write_weights, write_words
from tests.language.word_vectors import DIMENSIONS, word_vectors

WIDTH = 64  # of what is seen of a word, and of its signs
HIDDEN = 128
EPOCHS = 16
AT_ONCE = 32
SIGN_SEEN = 3  # notes' tags that must have a sign, and labels that must be given, to be learnt
LABEL_SEEN = 2
OUTCOMES = ("ask", "answer", "both", "none", "remark")
RATE, DECAY, WARMING, SLOWEST = 2e-3, 0.02, 200, 0.02
TAGS_WEIGH, NOTE_WEIGHS, SMOOTHED = 4.0, 0.5, 0.03
UNSEEN_INPUT, UNSEEN_STATE, UNSEEN_SIGNS = 0.25, 0.3, 0.1  # left out at random while learning
STEEPEST = 2.0


@dataclass(frozen=True)
class Known:
    """What is learnt of: signs, labels of tags, labels of notes."""

    signs: tuple[str, ...]
    labels: tuple[str, ...]
    note_labels: tuple[str, ...]

    @classmethod
    def of(cls, told: Sequence[Example]) -> Known:
        signs = Counter(
            sign
            for one in told
            for tag, more in zip(one.tags, one.first, strict=True)
            for sign in (*signs_of(tag), *more)
        )
        labels = Counter(label for one in told for label in one.labels if label)
        kinds = {label for one in told for label in one.note_labels} - set(OUTCOMES)
        return cls(
            tuple(sorted(s for s, n in signs.items() if n >= SIGN_SEEN)),
            tuple(sorted(label for label, n in labels.items() if n >= LABEL_SEEN)),
            (*sorted(kinds), *OUTCOMES),
        )


@dataclass(frozen=True)
class Lesson:
    """An example in numbers: vectors and signs of each tag, the label of each that has one, the labels of the note."""

    vectors: Floats
    signs: list[list[int]]
    labels: list[tuple[int, int]]
    note_labels: Floats


class Lessons:
    """Turns examples into lessons, with the words as they are kept."""

    def __init__(self, known: Known, words: Path) -> None:
        with np.load(words) as kept:
            self.vectors: Floats = kept["vectors"] * kept["scale"]
            self.pieces = {piece: n for n, piece in enumerate(listed(kept["pieces"]), 1)}
        self.known = known
        self.signs = {sign: n for n, sign in enumerate(known.signs, 1)}
        self.labels = {label: n for n, label in enumerate(known.labels)}

    def of(self, one: Example) -> Lesson:
        labels = [(at, self.labels[label]) for at, label in enumerate(one.labels) if label in self.labels]
        note = np.array([label in one.note_labels for label in self.known.note_labels], np.float32)
        vectors = np.stack([self._vector(tag) for tag in one.tags])
        return Lesson(
            vectors, [known_signs(*shown, self.signs) for shown in zip(one.tags, one.first, strict=True)], labels, note
        )

    def _vector(self, tag: Tag) -> Floats:
        pieces = pieces_of(word_of(tag), self.pieces)
        return np.asarray(self.vectors[pieces or [0]].mean(axis=0), np.float32)


class Student(nn.Module):  # type: ignore[misc]  # torch is not there when types are checked
    """The net while it learns; `bot.language.learnt.net.Net` does the same sums."""

    def __init__(self, known: Known, hidden: int) -> None:
        super().__init__()
        self.signs = nn.EmbeddingBag(len(known.signs) + 1, WIDTH, mode="sum", padding_idx=0)
        nn.init.normal_(self.signs.weight, 0, 0.1)
        self.signs.weight.data[0] = 0
        self.word = nn.Linear(DIMENSIONS, WIDTH)
        self.read = nn.GRU(
            2 * WIDTH, hidden, num_layers=LAYERS, bidirectional=True, batch_first=True, dropout=UNSEEN_STATE
        )
        self.tag = nn.Linear(2 * hidden + 2 * WIDTH, len(known.labels))
        self.note = nn.Linear(2 * hidden, len(known.note_labels))

    def forward(self, vectors: Any, signs: Any, lengths: Any) -> tuple[Any, Any]:
        many, longest = signs.shape[:2]
        of_signs = self.signs(signs.view(many * longest, -1)).view(many, longest, -1)
        if self.training:
            of_signs = of_signs * (torch.rand(many, longest, 1) > UNSEEN_SIGNS).float()
        seen = torch.cat([torch.tanh(self.word(vectors)), of_signs], dim=-1)
        seen = functional.dropout(seen, UNSEEN_INPUT, self.training)
        packed = nn.utils.rnn.pack_padded_sequence(seen, lengths, batch_first=True, enforce_sorted=False)
        read, _ = nn.utils.rnn.pad_packed_sequence(self.read(packed)[0], batch_first=True, total_length=longest)
        is_there = torch.arange(longest)[None, :, None] < lengths[:, None, None]
        highest = read.masked_fill(~is_there, -math.inf).amax(dim=1)
        of_tag = functional.dropout(torch.cat([read, seen], dim=-1), UNSEEN_STATE, self.training)
        return self.tag(of_tag), self.note(functional.dropout(highest, UNSEEN_STATE, self.training))


def together(lessons: Sequence[Lesson]) -> tuple[Any, Any, Any]:
    """Several lessons in one: vectors and signs filled up with nothing, and the length of each."""
    lengths = [len(one.signs) for one in lessons]
    vectors = np.zeros((len(lessons), max(lengths), DIMENSIONS), np.float32)
    signs = np.zeros((len(lessons), max(lengths), MOST_SIGNS), np.int64)
    for n, one in enumerate(lessons):
        vectors[n, : len(one.vectors)] = one.vectors
        for at, row in enumerate(one.signs):
            signs[n, at, : len(row)] = row
    return torch.from_numpy(vectors), torch.from_numpy(signs), torch.tensor(lengths)


def loss_of(student: Student, lessons: Sequence[Lesson]) -> Any:
    """How far the student is from the labels of the tags and of the notes."""
    of_tags, of_notes = student(*together(lessons))
    wanted = torch.from_numpy(np.stack([one.note_labels for one in lessons]))
    loss = functional.binary_cross_entropy_with_logits(of_notes, wanted, reduction="sum")
    loss = NOTE_WEIGHS * loss / len(lessons)
    labelled = [(n, at, label) for n, one in enumerate(lessons) for at, label in one.labels]
    if labelled:
        rows, ats, labels = torch.tensor(labelled).T
        loss = loss + TAGS_WEIGH * functional.cross_entropy(of_tags[rows, ats], labels, label_smoothing=SMOOTHED)
    return loss


def in_batches(lessons: Sequence[Lesson], chance: random.Random) -> Iterator[list[Lesson]]:
    """The lessons in an order by chance, those of like length together."""
    order = sorted(lessons, key=lambda one: len(one.signs) + 6 * chance.random())
    batches = [order[at : at + AT_ONCE] for at in range(0, len(order), AT_ONCE)]
    chance.shuffle(batches)
    yield from batches


def learn(lessons: Sequence[Lesson], known: Known, *, hidden: int, epochs: int, seed: int) -> Student:
    """A student who went through all lessons, slower and slower."""
    torch.manual_seed(seed)
    torch.set_num_threads(1)
    torch.use_deterministic_algorithms(True)
    chance, begun = random.Random(seed), time.monotonic()
    student = Student(known, hidden)
    steps = epochs * math.ceil(len(lessons) / AT_ONCE)
    optimizer = torch.optim.AdamW(student.parameters(), lr=RATE, weight_decay=DECAY)
    pace = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(1, step / WARMING) * max(SLOWEST, 1 - step / steps)
    )
    student.train()
    for epoch in range(epochs):
        total = 0.0
        for batch in in_batches(lessons, chance):
            loss = loss_of(student, batch)
            optimizer.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(student.parameters(), STEEPEST)
            optimizer.step()
            pace.step()
            total += loss.item() * len(batch)
        print(f"{epoch + 1} of {epochs}: {total / len(lessons):.3f}, {time.monotonic() - begun:.0f} s", flush=True)
    return student


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep-words", action="store_true")
    parser.add_argument("--hidden", type=int, default=HIDDEN)
    parser.add_argument("--epochs", type=int, default=EPOCHS)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    if not given.keep_words:
        write_words(WORDS, word_vectors())
    told = [one for one in examples() if one.tags]
    known = Known.of(told)
    lessons_of = Lessons(known, WORDS)
    lessons = [lessons_of.of(one) for one in told]
    print(f"{len(lessons)} notes, {len(known.signs)} signs, {len(known.labels)} labels", flush=True)
    student = learn(lessons, known, hidden=given.hidden, epochs=given.epochs, seed=given.seed)
    state = {name: part.numpy() for name, part in student.state_dict().items()}
    write_weights(WEIGHTS, state, labels=known.labels, note_labels=known.note_labels, signs=known.signs)
    print(f"{WEIGHTS}: {WEIGHTS.stat().st_size} bytes; {WORDS}: {WORDS.stat().st_size} bytes")


if __name__ == "__main__":
    main()
