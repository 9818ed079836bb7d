"""Pieces of slip marks told apart: which two belong together, which are remnants, when it cannot be told."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.results import Refusal

Array = NDArray[np.float64]

NAME = "creep"
FARTHEST_DEG = 25.0  # between the parts of one mark
ALIKE = 0.6  # in ln of colour
# In ln of light.  Tire and lip face different ways, so the same paint differs by up to a factor of three on
# traced marks; where colour does not tell what belongs together, light has to.
LIGHTER, LIGHTER_PLAIN = 1.2, 0.72
FAINT = 0.55  # of the mark's own strength: what is a remnant


@dataclass(frozen=True)
class Part:
    """A piece of a mark on one side of the flange edge; clock angles clockwise in the wheel's own frame."""

    on: str  # "tire" | "rim"
    clock_deg: float
    width_mm: float
    colour: Array  # (3,): ln(R/G), ln(G/B), ln(light) against the ring's own
    strength: float
    coloured: bool
    own: Array  # (3,) linear light of the part
    ring: Array  # (3,) linear light of the ring beside it


def choose(tire: Sequence[Part], rim: Sequence[Part]) -> tuple[Part, Part, tuple[Part, ...]] | Refusal:
    """Return the parts that belong together and the remnants, or why it cannot be told.

    Parts without colour count only where they have a partner alike: a rim has bolts, a tire letters.
    """
    near = [(a, b) for a in tire for b in rim if abs(apart(a.clock_deg, b.clock_deg)) < FARTHEST_DEG]
    pairs = [(a, b) for a, b in near if _alike(a, b)]
    coloured = [part for part in (*tire, *rim) if part.coloured]
    if any(a.coloured for a, _ in pairs):
        # Paint beside plain brightness: a bolt and a letter that happen to be alike are no mark.
        pairs = [(a, b) for a, b in pairs if a.coloured]
    if not pairs:
        sides = sorted({part.on for part in coloured})
        if len(sides) == 2:
            return Refusal(
                NAME, notes.MARKS_SEVERAL, "a part on the tire and one on the rim do not belong together"
            )
        if sides:
            clocks = ", ".join(f"{part.clock_deg:.0f}°" for part in coloured)
            return Refusal(NAME, notes.MARK_ONE_SIDED, f"on the {sides[0]} only, at {clocks}")
        return Refusal(NAME, notes.MARK_NOT_FOUND)
    strongest = max(min(a.strength, b.strength) for a, b in pairs)
    pairs = [pair for pair in pairs if min(pair[0].strength, pair[1].strength) > FAINT * strongest]
    if len(pairs) > 1:
        clocks = ", ".join(f"{b.clock_deg:.0f}°" for _, b in pairs)
        return Refusal(NAME, notes.MARKS_SEVERAL, f"{len(pairs)} pairs, at {clocks}")
    one, other = pairs[0]
    remnants = []
    for part in coloured:
        if part is one or part is other:
            continue
        beside = abs(apart(part.clock_deg, other.clock_deg)) < FARTHEST_DEG
        partner = one if part.on == "tire" else other
        faint = part.strength < FAINT * partner.strength or part.width_mm < 0.4 * partner.width_mm
        if beside or not faint:
            return Refusal(
                NAME, notes.MARKS_SEVERAL, f"another part on the {part.on} at {part.clock_deg:.0f}°"
            )
        remnants.append(part)
    return one, other, tuple(remnants)


def apart(a: float, b: float) -> float:
    """Return the difference of two clock angles, −180 to 180 degrees."""
    return (a - b + 180) % 360 - 180


def _alike(a: Part, b: Part) -> bool:
    if a.coloured != b.coloured:
        return False
    # The same paint under the same light: compared as light, not against rings that differ.
    log = np.log((a.own + 0.01) / (b.own + 0.01))
    hue = np.abs([log[0] - log[1], log[1] - log[2]])
    ratio = a.width_mm / b.width_mm
    lighter = LIGHTER if a.coloured else LIGHTER_PLAIN
    return bool((hue < ALIKE).all() and abs(log.mean()) < lighter and 0.55 < ratio < 1.8)
