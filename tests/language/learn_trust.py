"""Makes the weights of trust anew: `python -m tests.language.learn_trust`, after `tests.language.learn_reader`.

Learns from labelled notes that neither the rules nor the net were made with, whether each reading was right. The same
notes give the same weights.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize  # type: ignore[import-untyped]

from bot.language import Names, Reader
from bot.language.doubts.trust import WEIGHTS
from tests.language.examples import files, is_for_trust
from tests.language.judging import Room, best, card_of, notes_of

PULL_TO_NOTHING = 3.0  # the weight of the squares of the weights, of signs brought to one spread

Signs = dict[str, float]
Numbers = NDArray[np.float64]


def told() -> Iterator[tuple[tuple[Signs, bool] | None, tuple[Signs, bool] | None]]:
    """For each note the signs of the reading of the rules and whether it is right, and the same of the net's."""
    card = card_of("millrace.json")
    reader, room = Reader(Names.of(card), twice=False), Room.of(card)
    for file in files():
        for note in notes_of(file):
            if not is_for_trust(file, note):
                continue
            both = reader.both(note["text"], dt.datetime.fromisoformat(note["sent"]).replace(tzinfo=None))
            if not both.tags:
                continue
            readings = zip((both.rules, both.net), both.signs(), strict=True)
            rules, net = (
                (signs, best(note["want"], reading.outside(), room) == "exact") if reading.outcome != "ask" else None
                for reading, signs in readings
            )
            yield rules, net


def fit(rows: Sequence[tuple[Signs, bool]]) -> Signs:
    """The weights of one logistic regression, and what is "always" added."""
    names = sorted(rows[0][0])
    x = np.array([[signs[name] for name in names] for signs, _ in rows])
    y = np.array([right for _, right in rows], float)
    middle, spread = x.mean(axis=0), np.maximum(x.std(axis=0), 1e-9)
    x = np.column_stack([(x - middle) / spread, np.ones(len(x))])

    def loss(w: Numbers) -> tuple[float, Numbers]:
        z = x @ w
        value = (np.logaddexp(0, z) - y * z).sum() + PULL_TO_NOTHING * (w[:-1] @ w[:-1]) / 2
        slope = x.T @ (1 / (1 + np.exp(-z)) - y)
        slope[:-1] += PULL_TO_NOTHING * w[:-1]
        return float(value), slope

    best_weights = minimize(loss, np.zeros(x.shape[1]), jac=True, method="L-BFGS-B").x
    weights = dict(zip(names, best_weights[:-1] / spread, strict=True))
    return {**weights, "always": float(best_weights[-1] - (best_weights[:-1] * middle / spread).sum())}


def main() -> None:
    rows = list(told())
    of_rules = fit([rules for rules, _ in rows if rules is not None])
    of_net = fit([net for _, net in rows if net is not None])
    lines = [f"{name}\t{of_rules[name]:.4f}\t{of_net[name]:.4f}" for name in sorted(of_rules)]
    WEIGHTS.write_text("\n".join(["sign\trules\tnet", *lines]) + "\n", encoding="utf-8")
    print(f"{len(rows)} notes: {WEIGHTS}")


if __name__ == "__main__":
    main()
