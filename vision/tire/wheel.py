"""The wheel of a tire: which circle is the flange, and which of its two poses is the true one.

Every ring of the photo, or the circle that a person tapped, is held against what the leg's data say
must lie about a flange: no stronger ring just outside it, and the tire's outline of the right
diameter around the same axis.  The outline lies behind the flange, so of the two poses that explain
the flange's ellipse only the true one has it around its axis.  A circle that fails is refused, never mended.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.leg import TireData
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import CameraKnowledge
from vision.tire.carded import WheelCard, against_pose, told_by_card, with_card
from vision.tire.outline import Outline, find_outline
from vision.tire.profile import Shape, shape_of
from vision.tire.trial import Trial, try_pose
from vision.wheel import WheelFit, fit_flange
from vision.wheel.beyond import MOST_BEYOND, is_fine_line, step_beyond
from vision.wheel.find import Ring, find_rings
from vision.wheel.held_card import HeldCard, course_by_card, off_parallel

Array = NDArray[np.float64]

NAME = "wheel"
MOST_RINGS = 6
SIDEWALL = 0.8  # of the outside diameter: up to here no ring is as strong as the flange
WIDER, ROOM = 1.2, 1.1  # times the outline: what may not lie about it, and how near it comes on its near side
MAX_TILT_DEG = 32.0  # beyond it the sidewall's doubt is no longer a small one
WRONG_BY = 0.32  # of the radius: up to here an outline is looked for to say what is wrong
# Of the flange's edge on one circle, and of all its course seen so.  Right ones of both tiers keep 0.7 and
# more; a cap taken for a part of the flange kept 0.42 to 0.47, or was seen on half of its course.
LEAST_KEPT, LEAST_SEEN = 0.55, 0.45
AGREES = 3.0  # sigma
DECIDES = 16.0  # difference of two roots' squared sigmas that decides between them
WITHIN = 1.015  # times a ring that was seen and did not pass: up to here it is that ring or a part of it
SAME_DEG = 8.0  # poses closer than this may stay undecided: both go on, their difference into U
_BY_CARD = (notes.WHEEL_SCALES_DISAGREE, notes.CARD_NOT_IN_WHEEL_PLANE)
_SEEN = (*_BY_CARD, notes.ROOTS_UNDECIDED, notes.WHEEL_TOO_OBLIQUE, notes.DIAMETERS_DISAGREE)
"""A wheel was seen and did not pass; the first of them is told first."""
_UNFOUND = (notes.FLANGE_NOT_FOUND, notes.FLANGE_NOT_ROUND)


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
    card : WheelCard or None
        The card that the poses were fitted together with.
    """

    fit: WheelFit
    outline: Outline
    other: WheelFit | None
    shape: Shape
    chosen_by: str
    card: WheelCard | None = None


def find_wheel(
    photo: Photo,
    tire: TireData,
    known: CameraKnowledge,
    rim_px: Array | None = None,
    held: HeldCard | None = None,
) -> Wheel | Refusal:
    """Find the flange, by itself or about points tapped on it.

    Parameters
    ----------
    known : CameraKnowledge
    rim_px : (N ≥ 5, 2) array, optional
        Points on the flange's edge, where a person had to show it; with a card three are enough.
    held : HeldCard, optional
        A card held flat against the wheel.

    Returns
    -------
    Wheel or Refusal
        A refusal named ``wheel``, with the cause that stood in the way of the likeliest circle.
    """
    shape = shape_of(tire)
    refused: list[tuple[Refusal, float]] = []
    if rim_px is not None:
        about = [ring for rings in islice(find_rings(photo), 2) for ring in rings]
        return _about_taps(photo, tire, known, shape, rim_px, about, held)
    seen: list[Ring] = []
    smallest = 0.0
    for among_others in (False, True):
        for rings in find_rings(photo, among_others):
            seen += rings
            likely = [ring for ring in _likely(photo, tire, rings) if ring.radius > smallest]
            found = _outermost(photo, tire, known, shape, likely, seen, refused, held)
            if found is not None:
                # Inside a circle that only the card contradicts another one may pass that is not the flange.
                return next((one for one, _ in refused if one.remedy in _BY_CARD), found)
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
    held: HeldCard | None,
) -> Wheel | None:
    """The outermost ring that passes: whatever else passes lies inside the flange.

    `refused` gets what became of the others, with their radii in px.
    """
    found: Wheel | None = None
    size = 0.0
    for ring in rings:
        if found is not None and ring.radius < 1.01 * size:
            continue
        one = _tried(photo, tire, known, shape, ring.points(), seen, held, LEAST_SEEN)
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


def _about_taps(
    photo: Photo,
    tire: TireData,
    known: CameraKnowledge,
    shape: Shape,
    rim_px: Array,
    rings: Sequence[Ring],
    held: HeldCard | None,
) -> Wheel | Refusal:
    """The flange about taps: by themselves, else where a circle of its size in the card's plane lies."""
    enough = len(rim_px) >= 5
    found = _tried(photo, tire, known, shape, rim_px, rings, held) if enough else None
    if found is None:
        found = Refusal(NAME, notes.FLANGE_NOT_FOUND, "fewer than five points tell it beside a card only")
    if held is None or isinstance(found, Wheel) or found.remedy not in _UNFOUND:
        return found
    camera = Camera(known.f_px, known.cx_px, known.cy_px, known.k1)
    try:
        course = course_by_card(held, camera, tire.flange_diameter_mm / 2, rim_px)
    except ValueError:
        return found
    return _tried(photo, tire, known, shape, course, rings, held)


def _tried(
    photo: Photo,
    tire: TireData,
    known: CameraKnowledge,
    shape: Shape,
    start: Array,
    rings: Sequence[Ring],
    held: HeldCard | None = None,
    least_seen: float = 0.0,
) -> Wheel | Refusal:
    fits = fit_flange(photo, known, tire.flange_diameter_mm, tire.flange_diameter_u_mm, start, LEAST_KEPT)
    if isinstance(fits, Refusal):
        return fits
    if (share := _seen_share(fits[0])) < least_seen:
        # Too little of a circle to say anything by it, neither what it is nor that it is wrong.
        return Refusal(NAME, notes.FLANGE_NOT_ROUND, f"{share:.0%} of its edge lies on one circle")
    chosen = _chosen(photo, tire, shape, fits, rings, held)
    return chosen if held is None else _beside(chosen, fits, held, tire, known)


def _beside(
    chosen: Wheel | Refusal,
    fits: tuple[WheelFit, WheelFit],
    held: HeldCard,
    tire: TireData,
    known: CameraKnowledge,
) -> Wheel | Refusal:
    """What was chosen, fitted together with the card; or its refusal, with what the card says of it."""
    if isinstance(chosen, Refusal):
        if chosen.remedy != notes.DIAMETERS_DISAGREE:
            return chosen
        nearest = min(fits, key=lambda fit: off_parallel(fit, held)[1])
        return told_by_card(chosen, nearest, held, tire, known)
    both = with_card(chosen.fit, chosen.other, held, tire, known)
    if isinstance(both, Refusal):
        return both
    fit, other, card = both
    return replace(chosen, fit=fit, other=other, card=card)


def _chosen(
    photo: Photo,
    tire: TireData,
    shape: Shape,
    fits: tuple[WheelFit, WheelFit],
    rings: Sequence[Ring],
    held: HeldCard | None,
) -> Wheel | Refusal:
    """The pose that the tire's outline, gravity and a card tell of the two."""
    inner = _not_outermost(photo, tire, shape, fits, rings)
    if inner is not None:
        return inner
    trials = [one for fit in fits if (one := try_pose(photo, tire, shape, fit, held)) is not None]
    if not trials:
        return _why_no_outline(photo, tire, shape, fits, rings)
    by_outline = min(trials, key=lambda trial: trial.squared)
    trials.sort(key=lambda trial: trial.total)
    best = trials[0]
    if best.squared - by_outline.squared > DECIDES:
        return Refusal(NAME, notes.ROOTS_UNDECIDED, "the tire's outline and the card tell different ways")
    fault = _fault(best, tire, rings)
    if fault is not None:
        return fault
    if held is not None:
        against = against_pose(best.fit, next(fit for fit in fits if fit is not best.fit), held)
        if against is not None:
            return against
    return _decided(best, trials[1:], fits, shape, held)


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


def _fault(best: Trial, tire: TireData, rings: Sequence[Ring]) -> Refusal | None:
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
    best: Trial,
    rest: Sequence[Trial],
    fits: tuple[WheelFit, WheelFit],
    shape: Shape,
    held: HeldCard | None,
) -> Wheel | Refusal:
    told = [
        "tire outline",
        *(["scale card"] if held else []),
        *(["gravity"] if best.lean is not None else []),
    ]
    evidence = " and ".join([", ".join(told[:-1]), told[-1]]) if len(told) > 1 else told[0]
    other = next(fit for fit in fits if fit is not best.fit)
    apart = float(np.degrees(np.arccos(np.clip(best.fit.pose.normal @ other.pose.normal, -1, 1))))
    # A pose about which no outline was found at all is as good as far off.
    margin = rest[0].total - best.total if rest else np.inf
    if margin > DECIDES:
        return Wheel(best.fit, best.outline, None, shape, evidence)
    if apart < SAME_DEG:
        return Wheel(best.fit, best.outline, other, shape, "neither: both poses nearly the same")
    return Refusal(NAME, notes.ROOTS_UNDECIDED, f"{apart:.0f}° apart")
