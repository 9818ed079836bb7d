"""The built-in fault detectors: independent estimates that must agree, or there is no reading."""

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.fit import Prior
from vision.notes import Remedy
from vision.results import COVERAGE_FACTOR, Refusal
from vision.scale import CardFix
from vision.scale.features import apply_homography
from vision.scale.told import StandOff
from vision.strut.evidence import end_points
from vision.strut.locate import NAME, StrutFit
from vision.strut.model import J

Array = NDArray[np.float64]
# 1 in 100 where nothing is wrong.  Print, rolling shutter and diameters each give way a little before
# a wrong stand-off shows, so a stricter limit would let a whole centimetre pass.
SIGMAS = 2.6
RING_SIGMAS = 3.3  # 1 in 1000: the rings' bow alone rarely tells a diameter better
MIN_SHARE = 0.55
MAX_MISFIT = 12.0  # mean squared normalised residual of a ring or outline
SPAN_TOLERANCE_MM = 6.0
CAMERA_SIGMAS = 3.5  # 1 in 2000: a rolling shutter that has to be so strong explains away something else
MAX_U_MM = 2.0
WRONG_SHARE = 0.01  # of a diameter; a larger mistake contradicts the others by more than SIGMAS, or is seen
WRONG_MM = 10.0  # a stand-off told so wrong must be noticed, or lie within U
UNWITNESSED_MM = 2.7  # where all else tells it worse than this, that is noticed in less than 4 of 5 photos


def check(fix: CardFix, fit: StrutFit, told: StandOff | None) -> Refusal | None:
    """Return the first contradiction found, or None."""
    for test in (_seen, _span, _rings, _scales):
        refusal = test(fix, fit)
        if refusal is not None:
            return refusal
    solution = fit.solution
    lean = solution.scalar_contradiction("card parallelism")
    if abs(lean) > SIGMAS:
        angle = np.degrees(fit.model.lean_of(solution.theta))
        return _refuse(notes.ELEVATION_DISAGREES, f"card {abs(angle):.1f}° out of parallel by the rings' bow")
    off = solution.scalar_contradiction("card stand-off")
    if abs(off) > SIGMAS:
        found = fit.model.stand_off_of(solution.theta)
        words = "told" if told else "usual"
        return _refuse(notes.SCALES_DISAGREE, f"stand-off {found:.0f} mm by the diameters, not as {words}")
    for prior in fit.priors:
        if prior.source == "rolling shutter" and abs(solution.contradiction(prior)) > CAMERA_SIGMAS:
            return _refuse(
                notes.SCALES_DISAGREE, "only a camera that shears its picture would reconcile them"
            )
    return None if told is None else _told(fit, told)


def _told(fit: StrutFit, told: StandOff) -> Refusal | None:
    """Refuse where a stand-off told wrong would go unnoticed and make a value that its U does not cover."""
    solution = fit.solution
    information = solution.information["card stand-off"]
    own = min(float(np.sum(solution.covariance * information)), 1 - 1e-9)
    witnessed_sd = told.u_mm * float(np.sqrt(own / (1 - own)))
    variances = solution.variance_by_source(fit.gradient())
    error = float(np.sqrt(variances["card stand-off"])) * WRONG_MM / told.u_mm
    if witnessed_sd > UNWITNESSED_MM and error > COVERAGE_FACTOR * float(np.sqrt(sum(variances.values()))):
        return _refuse(notes.OUTLINE_LOST, "only the told stand-off says how far away it is")
    return None


def disagreement(fit: StrutFit) -> float:
    """How many sigma card and diameters stand apart: the largest of the single witnesses."""
    solution = fit.solution
    stand_off = abs(solution.scalar_contradiction("card stand-off"))
    return max([stand_off, *(abs(solution.contradiction(_prior(fit, j))) for j in (J.PISTON, J.CYLINDER))])


def misled_mm(fit: StrutFit) -> float:
    """How far the length would move if the witness that moves it most were not believed, mm.

    A diameter counts as wrong by `WRONG_SHARE` at most: where the other witnesses are weak they would
    move it anywhere.
    """
    solution, gradient = fit.solution, fit.gradient()
    shifts = [solution.scalar_shift_without("card stand-off", gradient)]
    for j in (J.PISTON, J.CYLINDER):
        prior = _prior(fit, j)
        off = abs(solution.without(prior)[0] - prior.mean)
        share = min(1.0, WRONG_SHARE * prior.mean / max(off, 1e-9))
        shifts.append(share * abs(solution.shift_without(prior, gradient)))
    return max(shifts)


def check_u(expanded: float) -> Refusal | None:
    """Refuse a reading whose U is of no use."""
    if not expanded <= MAX_U_MM:
        return _refuse(notes.TOO_UNCERTAIN, f"U would be {expanded:.1f} mm")
    return None


def _refuse(remedy: Remedy, detail: str) -> Refusal:
    return Refusal(NAME, remedy, detail)


def _seen(_: CardFix, fit: StrutFit) -> Refusal | None:
    band, rim = fit.seen.band_edge, fit.seen.rim
    kept = fit.solution.kept_share
    share = band.share * kept["band edge"]
    if share < MIN_SHARE:
        return _refuse(notes.BAND_HIDDEN, f"{share:.0%} of it clear")
    if rim is None or rim.edge.share * kept["collar rim"] < MIN_SHARE:
        return _refuse(notes.COLLAR_HIDDEN, f"{0 if rim is None else rim.edge.share:.0%} of it clear")
    return None


def _span(fix: CardFix, fit: StrutFit) -> Refusal | None:
    back: Array = np.linalg.inv(fix.homography).astype(float)
    y = apply_homography(back, np.stack(end_points(fit)))[:, 1]
    beyond = max(float(-y.min()), float(y.max() - fix.card.height_mm))
    if beyond > SPAN_TOLERANCE_MM:
        return _refuse(notes.SPAN_OUTSIDE_CARD, f"by {beyond:.0f} mm")
    return None


def _rings(_: CardFix, fit: StrutFit) -> Refusal | None:
    for source in ("band edge", "collar rim"):
        misfit = fit.solution.chi2_per_point[source]
        if misfit > MAX_MISFIT:
            return _refuse(
                notes.RINGS_DISAGREE, f"{source}: {np.sqrt(misfit):.1f} times the expected scatter"
            )
    rim = fit.seen.rim
    if rim is not None and rim.over_chamfer:
        return _refuse(
            notes.RINGS_DISAGREE,
            f"a chamfer of {rim.chamfer_mm:.1f} mm shows, yet the collar's sides are flush with the rim as the "
            "leg's data give it: a diameter taken over the chamfer?",
        )
    collar = _prior(fit, J.COLLAR)
    w = fit.solution.contradiction(collar)
    if abs(w) > RING_SIGMAS:
        value, _sd = fit.solution.without(collar)
        return _refuse(
            notes.RINGS_DISAGREE,
            f"the rim's bow fits a collar of {2 * value:.0f} mm, the leg's data say {2 * collar.mean:.0f} mm",
        )
    return None


def _scales(_: CardFix, fit: StrutFit) -> Refusal | None:
    names = {J.PISTON: "piston", J.CYLINDER: "cylinder"}
    for index, name in names.items():
        prior = _prior(fit, index)
        w = fit.solution.contradiction(prior)
        if abs(w) > SIGMAS:
            value, _sd = fit.solution.without(prior)
            return _refuse(
                notes.SCALES_DISAGREE,
                f"everything else makes the {name} {2 * value:.1f} mm, the leg's data say {2 * prior.mean:.1f} mm",
            )
    return None


def _prior(fit: StrutFit, index: J) -> Prior:
    return next(prior for prior in fit.priors if prior.index == index)
