"""The wheel of a tire: which circle is the flange, and which of its two poses is the true one.

Every ring of the photo, or the circle that a person tapped, is held against what the leg's data say
must lie about a flange: no stronger ring just outside it, and the tire's outline of the right
diameter around the same axis.  The outline lies behind the flange, so of the two poses that explain
the flange's ellipse only the true one has it around its axis.  A circle that fails is refused, never mended.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.leg import TireData
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import CameraKnowledge
from vision.tire.outline import Outline, find_outline
from vision.tire.profile import Shape, shape_of
from vision.wheel import WheelFit, fit_flange
from vision.wheel.beyond import MOST_BEYOND, is_fine_line, step_beyond
from vision.wheel.find import Ring, find_rings

Array = NDArray[np.float64]

NAME = "wheel"
MOST_RINGS = 6
SIDEWALL = 0.8  # of the outside diameter: up to here no ring is as strong as the flange
WIDER, ROOM = 1.2, 1.1  # times the outline: what may not lie about it, and how near it comes on its near side
MAX_TILT_DEG = 32.0  # beyond it the sidewall's doubt is no longer a small one
MIN_OUTLINE = 0.45
WRONG_BY = 0.32  # of the radius: up to here an outline is looked for to say what is wrong
# Of the flange's edge on one circle, and of all its course seen so.  Right ones of both tiers keep 0.7 and
# more; a cap taken for a part of the flange kept 0.42 to 0.47, or was seen on half of its course.
LEAST_KEPT, LEAST_SEEN = 0.55, 0.45
CONCENTRIC_U_MM = 1.2  # of a tire on its rim, judged
OUTLINE_U = 0.004  # of the diameter, what the section's shape leaves in the outline
LEAN_U_DEG = 2.0  # of an axle about level and of a phone's gravity, together, judged
AGREES = 3.0  # sigma
DECIDES = 16.0  # difference of two roots' squared sigmas that decides between them
WITHIN = 1.015  # times a ring that was seen and did not pass: up to here it is that ring or a part of it
SAME_DEG = 8.0  # poses closer than this may stay undecided: both go on, their difference into U
_SEEN = (notes.ROOTS_UNDECIDED, notes.WHEEL_TOO_OBLIQUE, notes.DIAMETERS_DISAGREE)
"""A wheel was seen and did not pass; the first of them is told first."""


@dataclass(frozen=True)
class Wheel:
    """A flange found.

    Attributes
    ----------
    fit : WheelFit
        The pose chosen.
    outline : Outline
        As found with that pose.
    other : WheelFit or None
        The second pose where the evidence does not tell the two apart.
    shape : Shape
    chosen_by : str
        Which evidence told the root.
    """

    fit: WheelFit
    outline: Outline
    other: WheelFit | None
    shape: Shape
    chosen_by: str


@dataclass(frozen=True)
class _Trial:
    fit: WheelFit
    outline: Outline
    squared: float  # sigmas off, of shift, diameter and lean together
    lean: float | None


def find_wheel(
    photo: Photo, tire: TireData, known: CameraKnowledge, rim_px: Array | None = None
) -> Wheel | Refusal:
    """Find the flange, by itself or about points tapped on it.

    Parameters
    ----------
    known : CameraKnowledge
    rim_px : (N ≥ 5, 2) array, optional
        Points on the flange's edge, where a person had to show it.

    Returns
    -------
    Wheel or Refusal
        A refusal named ``wheel``, with the cause that stood in the way of the likeliest circle.
    """
    shape = shape_of(tire)
    refused: list[tuple[Refusal, float]] = []
    if rim_px is not None:
        about = [ring for rings in islice(find_rings(photo), 2) for ring in rings]
        return _tried(photo, tire, known, shape, rim_px, about)
    seen: list[Ring] = []
    smallest = 0.0
    for among_others in (False, True):
        for rings in find_rings(photo, among_others):
            seen += rings
            likely = [ring for ring in _likely(photo, tire, rings) if ring.radius > smallest]
            found = _outermost(photo, tire, known, shape, likely, seen, refused)
            if found is not None:
                return found
        # A wheel was seen and did not pass: another one within it would be a part of it.
        smallest = WITHIN * max((size for one, size in refused if one.remedy in _SEEN), default=0.0)
    told = sorted((one for one, _ in refused if one.remedy in _SEEN), key=lambda one: _SEEN.index(one.remedy))
    return told[0] if told else Refusal(NAME, notes.WHEEL_NOT_FOUND)


def _outermost(
    photo: Photo,
    tire: TireData,
    known: CameraKnowledge,
    shape: Shape,
    rings: Sequence[Ring],
    seen: Sequence[Ring],
    refused: list[tuple[Refusal, float]],
) -> Wheel | None:
    """The outermost ring that passes: whatever else passes lies inside the flange.

    `refused` gets what became of the others, with their radii in px.
    """
    found: Wheel | None = None
    size = 0.0
    for ring in rings:
        if found is not None and ring.radius < 1.01 * size:
            continue
        one = _tried(photo, tire, known, shape, ring.points(), seen, LEAST_SEEN)
        if isinstance(one, Wheel) and is_fine_line(photo, one.fit.camera, one.fit.pose):
            one = Refusal(NAME, notes.NOT_THE_FLANGE, "it is a fine line, with a strong ring inside it")
        if isinstance(one, Wheel):
            found, size = one, ring.radius
        else:
            refused.append((one, ring.radius))
    return found


def _seen_share(fit: WheelFit) -> float:
    return fit.edge.share * fit.solution.kept_share["flange edge"]


def _likely(photo: Photo, tire: TireData, rings: Sequence[Ring]) -> Sequence[Ring]:
    """Rings about which the tire's outline could be seen; first those with a ring of its size about them."""
    height, width = photo.pixels.shape[:2]
    ratio = tire.outside_diameter_mm / tire.flange_diameter_mm
    kept = []
    for ring in rings:
        reach = 0.9 * ratio * ring.radius
        x, y = ring.centre
        # At least the upper outline, to one side and up.
        sides = (x - reach > 0) + (x + reach < width)
        if y - reach > -0.1 * reach and sides >= 1 and y < height:
            kept.append(ring)

    def unlike(ring: Ring) -> tuple[bool, float]:
        about = [other.radius / ring.radius / ratio for other in rings]
        return not any(0.84 < size < 1.04 for size in about), -ring.share

    return sorted(kept, key=unlike)[:MOST_RINGS]


def _tried(
    photo: Photo,
    tire: TireData,
    known: CameraKnowledge,
    shape: Shape,
    start: Array,
    rings: Sequence[Ring],
    least_seen: float = 0.0,
) -> Wheel | Refusal:
    fits = fit_flange(photo, known, tire.flange_diameter_mm, tire.flange_diameter_u_mm, start, LEAST_KEPT)
    if isinstance(fits, Refusal):
        return fits
    if (share := _seen_share(fits[0])) < least_seen:
        # Too little of a circle to say anything by it, neither what it is nor that it is wrong.
        return Refusal(NAME, notes.FLANGE_NOT_ROUND, f"{share:.0%} of its edge lies on one circle")
    inner = _not_outermost(photo, tire, shape, fits, rings)
    if inner is not None:
        return inner
    trials = [trial for fit in fits if (trial := _trial(photo, tire, shape, fit)) is not None]
    if not trials:
        return _why_no_outline(photo, tire, shape, fits, rings)
    trials.sort(key=lambda trial: trial.squared)
    best = trials[0]
    fault = _fault(best, tire, rings)
    return _decided(best, trials[1:], fits, shape) if fault is None else fault


def _not_outermost(
    photo: Photo, tire: TireData, shape: Shape, fits: tuple[WheelFit, WheelFit], rings: Sequence[Ring]
) -> Refusal | None:
    """Whether a ring outside a circle is about as strong: the circle is a cap, a lip or the bead seat."""
    ratio = tire.outside_diameter_mm / tire.flange_diameter_mm
    camera, pose = fits[0].camera, fits[0].pose
    beyond = step_beyond(photo, camera, pose, max(SIDEWALL * ratio, 1.2))
    if beyond <= MOST_BEYOND:
        return None
    if step_beyond(photo, camera, pose) <= MOST_BEYOND:
        # Nothing stands close about it: the diameters may be wrong and not the circle.
        why = _why_no_outline(photo, tire, shape, fits, rings)
        if why.remedy == notes.DIAMETERS_DISAGREE:
            return why
    return Refusal(NAME, notes.NOT_THE_FLANGE, f"a ring outside it is {beyond:.1f} times as strong")


def _fault(best: _Trial, tire: TireData, rings: Sequence[Ring]) -> Refusal | None:
    if best.squared > AGREES**2 * 2:
        return Refusal(NAME, notes.DIAMETERS_DISAGREE, _sizes(best.outline, tire))
    if _wider(best.fit, best.outline, rings):
        return Refusal(NAME, notes.NOT_THE_FLANGE, "a wider ring lies about what would be the tire")
    if best.fit.pose.tilt_deg > MAX_TILT_DEG:
        return Refusal(NAME, notes.WHEEL_TOO_OBLIQUE, f"{best.fit.pose.tilt_deg:.0f}° off square")
    return None


def _wider(fit: WheelFit, outline: Outline, rings: Sequence[Ring]) -> bool:
    """Whether a ring lies about the outline: then the outline is the flange, and the circle a hub or cap."""
    middle = fit.camera.project(fit.pose.centre[None])[0]
    size = float(np.median(np.linalg.norm(outline.px - middle, axis=1)))
    for ring in rings:
        off = float(np.hypot(*(ring.centre - middle)))
        # About it is what leaves it room all round; a course of two things' edges cuts it on one side.
        about = ring.radius - off > ROOM * size and off < 0.35 * size
        if ring.radius > WIDER * size and ring.share > 0.4 and about:
            return True
    return False


def _why_no_outline(
    photo: Photo, tire: TireData, shape: Shape, fits: tuple[WheelFit, WheelFit], rings: Sequence[Ring]
) -> Refusal:
    """An outline of quite another size tells of wrong diameters: the rim's number for the flange, say."""
    for fit in fits:
        outline = find_outline(photo, fit.camera, fit.pose, shape, np.array([0.0, -1.0]), WRONG_BY)
        if outline is None or outline.share < 0.6:
            continue
        about_axle = float(np.hypot(*outline.shift_mm)) < 0.05 * outline.diameter_mm
        if about_axle and not _wider(fit, outline, rings):
            return Refusal(NAME, notes.DIAMETERS_DISAGREE, _sizes(outline, tire))
    return Refusal(NAME, notes.OUTLINE_NOT_FOUND)


def _sizes(outline: Outline, tire: TireData) -> str:
    size = outline.diameter_mm
    return f"the tire about it would be {size:.0f} mm, the leg says {tire.outside_diameter_mm:.0f} mm"


def _decided(
    best: _Trial, rest: Sequence[_Trial], fits: tuple[WheelFit, WheelFit], shape: Shape
) -> Wheel | Refusal:
    evidence = "tire outline" if best.lean is None else "tire outline and gravity"
    other = next(fit for fit in fits if fit is not best.fit)
    apart = float(np.degrees(np.arccos(np.clip(best.fit.pose.normal @ other.pose.normal, -1, 1))))
    # A pose about which no outline was found at all is as good as far off.
    margin = rest[0].squared - best.squared if rest else np.inf
    if margin > DECIDES:
        return Wheel(best.fit, best.outline, None, shape, evidence)
    if apart < SAME_DEG:
        return Wheel(best.fit, best.outline, other, shape, "neither: both poses nearly the same")
    return Refusal(NAME, notes.ROOTS_UNDECIDED, f"{apart:.0f}° apart")


def _trial(photo: Photo, tire: TireData, shape: Shape, fit: WheelFit) -> _Trial | None:
    up = np.array([0.0, -1.0])
    gravity = photo.facts.gravity
    if gravity is not None:
        x, y, _ = fit.pose.frame
        down = np.array([x @ gravity, y @ gravity])
        up = -down / max(float(np.linalg.norm(down)), 1e-9)
    outline = find_outline(photo, fit.camera, fit.pose, shape, up)
    if outline is None or outline.share < MIN_OUTLINE:
        return None
    size = outline.diameter_mm
    size_u = np.hypot(tire.outside_diameter_u_mm, size * OUTLINE_U)
    size_u = np.hypot(size_u, size * tire.flange_diameter_u_mm / tire.flange_diameter_mm)
    depth = shape.section[3]
    slant = np.tan(np.radians(min(fit.pose.tilt_deg, 60.0)))
    depth_u = np.hypot(depth * shape.width_u / shape.width, 0.12 * depth)
    shift_u = np.sqrt(CONCENTRIC_U_MM**2 + (depth_u * slant) ** 2 + (depth * fit.normal_u_deg / 57.3) ** 2)
    squared = ((size - tire.outside_diameter_mm) / size_u) ** 2
    squared += float(outline.shift_mm @ outline.shift_mm) / shift_u**2
    lean = None
    if gravity is not None:
        lean = float(np.degrees(np.arcsin(np.clip(fit.pose.normal @ np.array(gravity), -1, 1))))
        squared += (lean / LEAN_U_DEG) ** 2
    return _Trial(fit, outline, float(squared), lean)
