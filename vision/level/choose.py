"""Which witness of level speaks, and whether the witnesses agree."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from vision import notes
from vision.level.witness import Level
from vision.results import COVERAGE_FACTOR, Refusal

NAME = "level"
# A floor that drains falls by up to 2 %: rectangular, so 1.15° / √3 (practice, no source).
FLOOR_SLOPE_U_DEG = float(np.degrees(np.arctan(0.02))) / np.sqrt(3)


def choose_level(levels: Sequence[Level], reference: str) -> Level | Refusal:
    """Return the least doubtful level for a reference, after all have been compared.

    A witness of the other reference may speak where there is none of the one asked
    for, and then carries the doubt of the floor's slope.

    Parameters
    ----------
    levels : sequence of Level
        All in the frame of one wheel fit.
    reference : str
        ``"ground"`` or ``"gravity"``, from the leg's data.

    Returns
    -------
    Level or Refusal
        A refusal where there is no witness, or where two contradict each other beyond their doubt.

    Raises
    ------
    ValueError
        The reference is neither.
    """
    if reference not in ("ground", "gravity"):
        msg = f'a level is held against "ground" or "gravity", not "{reference}"'
        raise ValueError(msg)
    if not levels:
        return Refusal(NAME, notes.NO_LEVEL)
    for one, other in combinations(levels, 2):
        slope = 0.0 if one.reference == other.reference else FLOOR_SLOPE_U_DEG
        allowed = COVERAGE_FACTOR * float(np.sqrt(one.u_deg**2 + other.u_deg**2 + slope**2))
        apart = abs((one.angle_deg - other.angle_deg + 180) % 360 - 180)
        if apart > allowed:
            detail = f"{one.source} and {other.source} {apart:.1f}° apart, {allowed:.1f}° expected at most"
            return Refusal(NAME, notes.LEVELS_DISAGREE, detail)
    asked = [level for level in levels if level.reference == reference]
    lent = [
        replace(
            level,
            u_deg=float(np.hypot(level.u_deg, FLOOR_SLOPE_U_DEG)),
            own_u_deg=float(np.hypot(level.own_u_deg, FLOOR_SLOPE_U_DEG)),
            reference=reference,
        )
        for level in levels
        if level.reference != reference
    ]
    return min(asked or lent, key=lambda level: level.u_deg)
