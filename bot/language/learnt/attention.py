"""A layer of the net that reads a note: every piece of a word looks at every other.

Vaswani et al. 2017 (arXiv:1706.03762). The sums are those of the encoder of Devlin et al. 2018 (arXiv:1810.04805),
of which the net's layers were taken over.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

HEADS = 12
FINEST = 1e-12


@dataclass(frozen=True, slots=True)
class Line:
    """A weighted sum: (in, out) and what is added."""

    weights: Floats
    bias: Floats

    def of(self, x: Floats) -> Floats:
        return x @ self.weights + self.bias


@dataclass(frozen=True, slots=True)
class Level:
    """Brings each row to one level and spread, then to those learnt."""

    scale: Floats
    bias: Floats

    def of(self, x: Floats) -> Floats:
        import numpy as np

        x = x - x.mean(axis=-1, keepdims=True)
        spread = np.sqrt(np.einsum("ij,ij->i", x, x) / np.float32(x.shape[1]) + np.float32(FINEST))
        level: Floats = x / spread[:, None] * self.scale + self.bias
        return level


@dataclass(frozen=True, slots=True)
class Layer:
    """What each piece asks, shows and tells, side by side in `looking`; then two sums with a bend between."""

    looking: Line
    seen: Line
    seen_level: Level
    up: Line
    down: Line
    level: Level

    def read(self, x: Floats) -> Floats:
        """What each piece is in the company of the others: (pieces, width) to the same."""
        looked = self.seen_level.of(x + self.seen.of(self._look(x)))
        return self.level.of(looked + self.down.of(_bent(self.up.of(looked))))

    def _look(self, x: Floats) -> Floats:
        import numpy as np

        steps, width = x.shape
        asks, shows, tells = self.looking.of(x).reshape(steps, 3, HEADS, width // HEADS).transpose(1, 2, 0, 3)
        likeness = asks @ shows.transpose(0, 2, 1) * np.float32(1 / math.sqrt(width // HEADS))
        likeness = np.exp(likeness - likeness.max(axis=-1, keepdims=True))
        likeness /= likeness.sum(axis=-1, keepdims=True)
        return np.ascontiguousarray((likeness @ tells).transpose(1, 0, 2)).reshape(steps, width)


def _bent(x: Floats) -> Floats:
    """The Gaussian error linear unit, by its usual approximation (Hendrycks and Gimpel 2016, arXiv:1606.08415)."""
    import numpy as np

    bend = x * x
    bend *= np.float32(0.044715)
    bend += 1
    bend *= x
    bend *= np.float32(math.sqrt(2 / math.pi))
    np.tanh(bend, out=bend)
    bend += 1
    bend *= x
    bend *= np.float32(0.5)
    return bend
