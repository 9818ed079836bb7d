"""What a machine is said to have read of a case: the truth for the most part, and now and then a wrong value.

A wrong one is far enough off that a careful reading shows it, and where it can, it has
the other verdict: to follow it would pass a strut that is outside, or stop one that is within.
"""

import random

from app.practice.cases import Case
from app.practice.model import Shown
from vision.results import Limits

WRONG_SHARE = 1 / 3
U_MM = 0.4
LEAST_WRONG_MM = 4.0
_INSIDE_MM = 2.0
_AWAY_MM = (4.0, 8.0)
_NOISE_MM = 0.12


def shown_value(case: Case, person_id: str, turn: int) -> Shown:
    """Return what is shown of a machine in a person's turn, the same however often it is asked.

    Parameters
    ----------
    turn : int
        How many cases the person has answered before.
    """
    drawn = random.Random(f"{case.name} {person_id} {turn}")
    if case.is_usable and drawn.random() >= WRONG_SHARE:
        return Shown(round(drawn.gauss(case.truth_mm, _NOISE_MM), 2), U_MM, False)
    return Shown(round(_wrong(case.truth_mm, case.limits, drawn), 2), U_MM, True)


def _wrong(truth_mm: float, limits: Limits, drawn: random.Random) -> float:
    if limits.upper is not None and truth_mm > limits.upper:
        tempting = limits.upper - _INSIDE_MM
    elif limits.lower is not None and truth_mm < limits.lower:
        tempting = limits.lower + _INSIDE_MM
    else:
        tempting = truth_mm + drawn.choice((-1, 1)) * drawn.uniform(*_AWAY_MM)
    off = tempting - truth_mm
    return truth_mm + max(abs(off), LEAST_WRONG_MM) * (1 if off >= 0 else -1)
