"""Grows the trees of trust anew: `python -m tests.language.learn_trust`, after `tests.language.learn_reader`.

Learns from labelled notes that neither the rules nor the net were made with, whether each reading was right. The same
notes give the same trees. Needs what the extra `learn` installs.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier

from bot.language import Names, Reader
from bot.language.doubts.trust import TREES
from tests.language.examples import files, is_for_trust
from tests.language.judging import Room, best, card_of, notes_of

TREES_GROWN = 200

Signs = dict[str, float]


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
                (signs, best(note["want"], reading.outside(), note["text"], room) == "exact")
                if reading.outcome != "ask"
                else None
                for reading, signs in readings
            )
            yield rules, net


def grown(rows: Sequence[tuple[Signs, bool]]) -> tuple[float, list[Any]]:
    """Trees that tell how likely a reading is right, and where their sum starts."""
    names = sorted(rows[0][0])
    x = np.array([[signs[name] for name in names] for signs, _ in rows])
    model = HistGradientBoostingClassifier(
        max_iter=TREES_GROWN,
        learning_rate=0.05,
        max_leaf_nodes=8,
        l2_regularization=2.0,
        min_samples_leaf=25,
        max_features=0.5,
        early_stopping=False,
        random_state=1,
    ).fit(x, np.array([right for _, right in rows]))
    trees = [_tree(predictor.nodes, 0) for (predictor,) in model._predictors]
    return float(np.ravel(model._baseline_prediction)[0]), trees


def _tree(nodes: Any, at: int) -> Any:
    node = nodes[at]
    if node["is_leaf"]:
        return round(float(node["value"]), 5)
    threshold = float(node["num_threshold"])
    return [int(node["feature_idx"]), threshold, _tree(nodes, node["left"]), _tree(nodes, node["right"])]


def main() -> None:
    rows = list(told())
    kept: dict[str, Any] = {}
    for name, seen in (("rules", [r for r, _ in rows]), ("net", [n for _, n in rows])):
        its = [row for row in seen if row is not None]
        kept["signs"] = sorted(its[0][0])
        start, trees = grown(its)
        kept[name] = {"start": start, "trees": trees}
        print(f"{name}: {len(its)} notes, {sum(right for _, right in its)} read rightly", flush=True)
    lines = [f'"signs": {json.dumps(kept.pop("signs"))}']
    lines += [
        f'"{name}": {{"start": {its["start"]}, "trees": [\n' + ",\n".join(map(json.dumps, its["trees"])) + "]}"
        for name, its in kept.items()
    ]
    TREES.write_text("{" + ",\n".join(lines) + "}\n", encoding="utf-8")
    print(TREES)


if __name__ == "__main__":
    main()
