"""The ways along strips that gather most, each moving across by little from column to column."""

import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Array

_MOVES = 0.4  # what a move by one row costs, in gains
_NEVER = -1e9


def best_ways(gain: Array) -> NDArray[np.int64]:
    """Return the row at each column (S, C) of the ways that gather most in gains (S, R, C).

    Two columns are taken together, which is finer than what steps were averaged over; a way moves by a row
    in two columns at most.  Each strip lies in one line with a column of no gain about it, so that a column
    takes four operations on one short array, whatever the number of strips.
    """
    sides, rows, columns = gain.shape
    pairs = max(1, columns // 2)
    wide = rows + 2
    padded = np.full((pairs, sides, wide), _NEVER)
    both = gain[..., 0 : 2 * pairs : 2] + gain[..., 1 : 2 * pairs : 2] if columns > 1 else gain
    padded[..., 1:-1] = both.transpose(2, 0, 1)
    gathered = padded.reshape(pairs, -1)
    total = np.full_like(gathered, _NEVER)
    total[0] = gathered[0]
    best = np.empty(sides * wide - 2)
    cost = np.full_like(best, _MOVES)
    before, above = total[:-1, :-2], total[:-1, 2:]
    for one, other, same, into, here in zip(
        before, above, total[:-1, 1:-1], total[1:, 1:-1], gathered[1:, 1:-1], strict=True
    ):
        np.maximum(one, other, out=best)
        np.subtract(best, cost, out=best)
        np.maximum(best, same, out=best)
        np.add(best, here, out=into)
    return _back(total, (sides, wide), columns)


def _back(total: Array, shape: tuple[int, int], columns: int) -> NDArray[np.int64]:
    """Return the ways (S, C) that lead to the greatest of the totals (P, S · (R + 2)) at the end."""
    sides, wide = shape
    pairs = len(total)
    same, below, above = total[:, 1:-1], total[:, :-2] - _MOVES, total[:, 2:] - _MOVES
    came = np.where(above > np.maximum(below, same), 1, np.where(below > same, -1, 0)).astype(np.int8)
    line = came.shape[1]
    told = memoryview(came.tobytes()).cast("b")
    way = np.empty((sides, pairs), np.int64)
    for side, end in enumerate(total[-1].reshape(sides, wide)[:, 1:-1]):
        row = side * wide + int(np.argmax(end))
        rows = [row]
        for start in range((pairs - 2) * line, -1, -line):
            row += told[start + row]
            rows.append(row)
        way[side] = rows[::-1]
        way[side] -= side * wide
    return np.asarray(np.repeat(way, 2, axis=1)[:, np.minimum(np.arange(columns), 2 * pairs - 1)], np.int64)
