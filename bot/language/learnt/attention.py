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
SMALL = 1_000_000  # multiplications up to which OpenBLAS works on matrices where they lie, not copied together first


@dataclass(frozen=True, slots=True)
class Line:
    """A weighted sum: (in, out) and what is added."""

    weights: Floats
    bias: Floats

    def of(self, x: Floats) -> Floats:
        return x @ self.weights + self.bias


@dataclass(frozen=True, slots=True)
class Broad:
    """A weighted sum of many columns, kept in strips as broad as a head: (strips, in, columns of a strip).

    A note has few pieces, so in one product much of the time would go into copying the weights for it.
    """

    strips: Floats
    bias: Floats

    @staticmethod
    def made_of(line: Line, columns: int) -> Broad:
        import numpy as np

        depth, width = line.weights.shape
        strips = line.weights.reshape(depth, width // columns, columns).transpose(1, 0, 2)
        return Broad(np.ascontiguousarray(strips), line.bias)

    def of(self, x: Floats) -> Floats:
        import numpy as np

        strips, _, columns = self.strips.shape
        out = np.empty((len(x), strips * columns), np.float32)
        self._put(x, out.reshape(len(x), strips, columns).transpose(1, 0, 2))
        out += self.bias
        return out

    def by_strip(self, x: Floats) -> Floats:
        """The same sum, not put together: (strips, rows, columns of a strip)."""
        import numpy as np

        strips, _, columns = self.strips.shape
        out = np.empty((strips, len(x), columns), np.float32)
        self._put(x, out)
        out += self.bias.reshape(strips, 1, columns)
        return out

    def _put(self, x: Floats, out: Floats) -> None:
        import numpy as np

        most = SMALL // (x.shape[1] * self.strips.shape[2])
        rows = math.ceil(len(x) / math.ceil(len(x) / most))
        for start in range(0, len(x), rows):
            np.matmul(x[start : start + rows], self.strips, out=out[:, start : start + rows])


@dataclass(frozen=True, slots=True)
class Level:
    """Brings each row to one level and spread, then to those learnt."""

    scale: Floats
    bias: Floats

    def of(self, x: Floats) -> Floats:
        import numpy as np

        mean: Floats = np.add.reduce(x, axis=-1, keepdims=True)
        mean /= np.float32(x.shape[1])
        x = x - mean
        spread = np.sqrt(np.einsum("ij,ij->i", x, x) / np.float32(x.shape[1]) + np.float32(FINEST))
        x /= spread[:, None]
        x *= self.scale
        x += self.bias
        return x


@dataclass(frozen=True, slots=True)
class Layer:
    """What each piece asks, shows and tells, side by side in `looking`; then two sums with a bend between."""

    looking: Broad
    seen: Broad
    seen_level: Level
    up: Broad
    down: Broad
    level: Level

    def read(self, x: Floats) -> Floats:
        """What each piece is in the company of the others: (pieces, width) to the same."""
        looked = self.seen_level.of(x + self.seen.of(self._look(x)))
        return self.level.of(looked + self.down.of(_bent(self.up.of(looked))))

    def _look(self, x: Floats) -> Floats:
        import numpy as np

        steps, width = x.shape
        asks, shows, tells = self.looking.by_strip(x).reshape(3, HEADS, steps, width // HEADS)  # a head is a strip
        likeness = asks @ shows.transpose(0, 2, 1)
        likeness *= np.float32(1 / math.sqrt(width // HEADS))
        likeness -= likeness.max(axis=-1, keepdims=True)
        np.exp(likeness, out=likeness)
        likeness /= likeness.sum(axis=-1, keepdims=True)
        seen = np.empty((steps, HEADS, width // HEADS), np.float32)
        np.matmul(likeness, tells, out=seen.transpose(1, 0, 2))
        return seen.reshape(steps, width)


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
