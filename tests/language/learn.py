"""Makes the weights of the second opinion anew: `python -m tests.language.learn`.

Learns from every labelled note of the data folder (the first fair reading of each) but those kept unseen. The same
notes give the same weights, to a hundredth or two. `held_out` learns from some notes only, for a test on the others.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from scipy.optimize import minimize  # type: ignore[import-untyped]
from scipy.sparse import csr_matrix  # type: ignore[import-untyped]

from bot.language import Names
from bot.language.doubts.second_opinion import QUESTION, SCALE, WEIGHTS, signs_of
from bot.language.doubts.unfamiliar import PAIRS, in_company
from bot.language.tags import Tagger
from bot.language.text.everyday import EVERYDAY
from bot.language.text.words import tokens_of
from tests.language.judging import DATA, Raw, card_of, notes_of

CONVERSATIONS = DATA.parent.parent / "conversations"
ROOMS = {"second_room.jsonl": "second_room.json"}
NO_NOTES = frozenset(["traps.jsonl"])  # one phrase each, many of them impossible: no measure of how people write
UNSEEN = frozenset(["more6_unseen.jsonl", "more7_unseen.jsonl"])  # to measure with, never to learn from
HELD_BACK = {"more8.jsonl": "89abcdef"}  # by the first digit of the id's SHA-256
SEEN_AT_LEAST = 2  # a sign of one note alone says nothing of others
FOLDS = 4
DOUBTED = 0.1  # the share of true events of a kind that may be asked about
HIGHEST_FLOOR = 0.1
SMALLEST = 4  # a sign whose every weight is smaller, in hundredths, is left out
PULL_TO_NOTHING = 1.0  # the weight of the squares of the weights


class Example(NamedTuple):
    """One note: its signs, the kinds its best reading tells, and which words stand beside which."""

    signs: set[str]
    kinds: set[str]
    pairs: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True)
class Learnt:
    """Weights by sign and kind, in hundredths; for each kind the chance below which it is doubted, in thousandths."""

    kinds: tuple[str, ...]
    rows: dict[str, tuple[int, ...]]
    floors: tuple[int, ...] = ()

    def text(self) -> str:
        lines = ["\t".join(("sign", *self.kinds)), "\t".join(("floor", *map(str, self.floors)))]
        lines += ["\t".join((sign, *map(str, row))) for sign, row in sorted(self.rows.items())]
        return "\n".join(lines) + "\n"


def examples() -> list[Example]:
    """Signs and kinds of every labelled note that may be learnt from, of the golden conversations and the traps."""
    files = [f.name for f in sorted(DATA.glob("*.jsonl")) if f.name not in NO_NOTES | UNSEEN]
    cards = {f: card_of(ROOMS.get(f, "millrace.json")) for f in files}
    private = set[str]().union(*(private_words(cards[f].model_dump_json(), notes_of(f)) for f in files))
    found: list[Example] = []

    def take(names: Names, text: str, sent: dt.datetime, kinds: set[str]) -> None:
        tags = Tagger(names, text, sent).tags
        signs = {s for s in signs_of(tags, text) if not private & set(s.split())}
        row = [word for word, _ in in_company(tags)]
        pairs = frozenset((a, b) for a, b in pairwise(row) if not {w for w in (a, b) if w in private} - EVERYDAY)
        found.append(Example(signs, kinds, pairs))

    for file in files:
        names = Names.of(cards[file])
        for note in notes_of(file):
            if hashlib.sha256(note["id"].encode()).hexdigest()[0] in HELD_BACK.get(file, ""):
                continue
            sent = dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None)
            take(names, note["text"], sent, kinds_of(readings(note)[0]))
    names = Names.of(card_of("millrace.json"))
    for text, kinds in (*conversations(), *_traps()) * 2:  # gone over by more than one reader
        take(names, text, _SENT, kinds)
    return found


_SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
_SAID = re.compile(r"    \w*> (.+)")


def conversations() -> list[tuple[str, set[str]]]:
    """Notes of the golden conversations and the kinds they were logged as; answers to questions are left out."""
    found: list[tuple[str, set[str]]] = []
    for file in sorted(CONVERSATIONS.glob("*.md")):
        answers, before = False, ""
        for line in file.read_text(encoding="utf-8").splitlines():
            if hit := _SAID.match(line):
                answers = before.startswith("    [") or before.rstrip().endswith("?")
                if not answers:
                    found.append((hit[1], set()))
            elif line.startswith("    + ") and not answers and found:
                found[-1][1].add(line.split()[1])
            if line.strip() and not line.startswith("    + "):
                before = line
    return [(text, kinds - {"remark", "word", "rename"}) for text, kinds in found if kinds]


def _traps() -> list[tuple[str, set[str]]]:
    rows = map(json.loads, (DATA / "traps.jsonl").read_text(encoding="utf-8").splitlines())
    return [(r["text"], {e["kind"] for e in r["want"]} - {"remark"}) for r in rows if r.get("want")]


def private_words(card: str, notes: Sequence[Raw]) -> set[str]:
    """Words that are names in the room or of people it deals with; no weight hangs on one."""
    said = [str(e.get(k) or "") for n in notes for w in readings(n) for e in w["events"] for k in ("buyer", "source")]
    names = {t.word for t in tokens_of(" ".join([*_strings(json.loads(card)), *said])) if t.word.isalpha()}
    return {n.casefold() for n in names if len(n) > 2} - _EVERYDAY


_EVERYDAY = frozenset("tank tub eggs fry peat bag the for and from club auction of out".split())  # noqa: SIM905


def _strings(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [s for k, v in value.items() if k not in ("role", "stage", "collect", "medium") for s in _strings(v)]
    if isinstance(value, list):
        return [s for v in value for s in _strings(v)]
    return [value] if isinstance(value, str) else []


def readings(note: Raw) -> list[Raw]:
    """The fair readings of a labelled note, best first."""
    return note["want"] if isinstance(note["want"], list) else [note["want"]]


def kinds_of(want: Raw) -> set[str]:
    return {e["kind"] for e in want["events"]} - {"remark"} | ({QUESTION} if want.get("query") else set())


def learn(told: Sequence[Example]) -> Learnt:
    """The weights, and for each kind a floor that all but a tenth of the notes that tell it keep above, unseen."""
    learnt = fit(told)
    seen: dict[str, list[float]] = {kind: [] for kind in learnt.kinds}
    for fold in range(FOLDS):
        part = fit([one for n, one in enumerate(told) if n % FOLDS != fold])
        for one in told[fold::FOLDS]:
            odds = chance(part, one.signs)
            for kind in one.kinds & odds.keys() & seen.keys():
                seen[kind].append(odds[kind])
    floors = (min(HIGHEST_FLOOR, float(np.quantile(seen[k], DOUBTED))) if seen[k] else 0.0 for k in learnt.kinds)
    return Learnt(learnt.kinds, learnt.rows, tuple(round(1000 * floor) for floor in floors))


def fit(told: Sequence[Example]) -> Learnt:
    """One logistic regression a kind, all at once; penalised, so that it is the same each time."""
    counts = Counter(sign for one in told for sign in one.signs)
    signs = sorted(s for s, n in counts.items() if n >= SEEN_AT_LEAST)
    frequent = Counter(kind for one in told for kind in one.kinds)
    kinds = tuple(sorted(k for k, n in frequent.items() if n >= 5))
    index = {sign: n for n, sign in enumerate(signs)}
    at = [(n, index[s]) for n, one in enumerate(told) for s in one.signs if s in index]
    rows, columns = zip(*at, strict=True)
    x = csr_matrix((np.ones(len(at)), (rows, columns)), shape=(len(told), len(signs)))
    y = np.array([[kind in one.kinds for kind in kinds] for one in told], dtype=float)

    def loss(flat: Any) -> tuple[float, Any]:
        w = flat.reshape(len(signs), len(kinds))
        z = x @ w
        value = (np.logaddexp(0, z) - y * z).sum() + PULL_TO_NOTHING * (flat @ flat) / 2
        slope = x.T @ (1 / (1 + np.exp(-z)) - y) + PULL_TO_NOTHING * w
        return float(value), slope.ravel()

    best = minimize(loss, np.zeros(len(signs) * len(kinds)), jac=True, method="L-BFGS-B", options={"maxiter": 100})
    table = np.rint(best.x.reshape(len(signs), len(kinds)) * SCALE).astype(int)
    return Learnt(
        kinds, {s: tuple(map(int, row)) for s, row in zip(signs, table, strict=True) if np.abs(row).max() > 4}
    )


def chance(learnt: Learnt, signs: set[str]) -> dict[str, float]:
    known = [learnt.rows[s] for s in signs if s in learnt.rows]
    sums = [sum(column) for column in zip(*known, strict=True)] if known else [0] * len(learnt.kinds)
    return {k: 1 / (1 + math.exp(-total / SCALE)) for k, total in zip(learnt.kinds, sums, strict=True)}


def familiar(told: Sequence[Example]) -> str:
    """Every word with those that were seen right after it, in notes and in talk, a line a word."""
    after: dict[str, set[str]] = {}
    card = card_of("millrace.json")
    names, own = Names.of(card), private_words(card.model_dump_json(), []) - EVERYDAY
    rows = (line.split("\t")[1] for line in (DATA / "talk.tsv").read_text(encoding="utf-8").splitlines())
    rows_of = (pairwise(word for word, _ in in_company(Tagger(names, text, _SENT).tags)) for text in rows)
    talk = [[pair for pair in pairs if not own & {*pair}] for pairs in rows_of]
    for one, other in set[tuple[str, str]]().union(*(example.pairs for example in told), *talk):
        after.setdefault(one, set()).add(other)
    return "".join("\t".join((one, *sorted(after[one]))) + "\n" for one in sorted(after))


if __name__ == "__main__":
    notes = examples()
    PAIRS.write_text(familiar(notes), encoding="utf-8")
    result = learn(notes)
    WEIGHTS.write_text(result.text(), encoding="utf-8")
    print(f"{len(result.rows)} signs, {len(result.kinds)} kinds: {WEIGHTS}")
