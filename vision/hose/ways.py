"""The ways along strips that gather most, each moving across by little from column to column."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Array

_MOVES = 0.4  # what a move by one row costs, in gains
_NEVER = -1e9


def best_ways(gains: Sequence[Array]) -> list[NDArray[np.int64]]:
    """Return the row at each column (C,) of each way that gathers most in its gains (R, C).

    Two columns are taken together, which is finer than what steps were averaged over; a way moves by a row
    in two columns at most.  All strips lie in one line with a place of no gain about each, so that a column
    of all takes four operations on one short array, whatever their number.
    """
    if not len(gains):
        return []
    firsts = np.cumsum([1] + [len(gain) + 2 for gain in gains])
    pairs = [max(1, gain.shape[1] // 2) for gain in gains]
    gathered = np.full((max(pairs), firsts[-1] - 1), _NEVER)
    for gain, first, some in zip(gains, firsts, pairs, strict=False):
        both = gain[:, 0 : 2 * some : 2] + gain[:, 1 : 2 * some : 2] if gain.shape[1] > 1 else gain
        gathered[:some, first : first + len(gain)] = both.T
    total = np.full_like(gathered, _NEVER)
    total[0] = gathered[0]
    best = np.empty(gathered.shape[1] - 2)
    cost = np.full_like(best, _MOVES)
    before, above = total[:-1, :-2], total[:-1, 2:]
    for one, other, same, into, here in zip(
        before, above, total[:-1, 1:-1], total[1:, 1:-1], gathered[1:, 1:-1], strict=True
    ):
        np.maximum(one, other, out=best)
        np.subtract(best, cost, out=best)
        np.maximum(best, same, out=best)
        np.add(best, here, out=into)
    return [
        _back(total[:some, first - 1 : first + len(gain) + 1], gain.shape[1])
        for gain, first, some in zip(gains, firsts, pairs, strict=False)
    ]


def _back(total: Array, columns: int) -> NDArray[np.int64]:
    """Return the way (C,) that leads to the greatest of one strip's totals (P, R + 2) at the end."""
    same, below, above = total[:, 1:-1], total[:, :-2] - _MOVES, total[:, 2:] - _MOVES
    came = np.where(above > np.maximum(below, same), 1, np.where(below > same, -1, 0)).astype(np.int8)
    pairs, line = came.shape
    told = memoryview(came.tobytes()).cast("b")
    row = int(np.argmax(same[-1]))
    rows = [row]
    for start in range((pairs - 2) * line, -1, -line):
        row += told[start + row]
        rows.append(row)
    way = np.array(rows[::-1], np.int64)
    return np.asarray(np.repeat(way, 2)[np.minimum(np.arange(columns), 2 * pairs - 1)], np.int64)
