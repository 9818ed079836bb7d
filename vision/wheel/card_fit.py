"""Flange and card fitted together: one pose, one camera, and whether the two contradict each other.

The card's pose is told against the wheel's: two leans, a stand-off, and a place and a turn in the wheel's
plane.  What a hand leaves of the first three are priors, so each has a line in the budget and a test of
its own, and so have the flange's diameter and the card's print.  The slow waves of the flange's edge are
parameters here: the edge must not outweigh the card by the mere number of its points.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from vision.camera import rotation_from_vector
from vision.fit import Observations, Prior, Solution, solve
from vision.scale.model import BEND_SD, ROLLING_SHUTTER, CameraKnowledge, P
from vision.scale.model import STEPS as CARD_STEPS
from vision.wheel.flange import SIZE as WHEEL_SIZE
from vision.wheel.flange import STEPS as WHEEL_STEPS
from vision.wheel.flange import WAVES, WheelFit, edge_residuals, edge_waves, flange_priors
from vision.wheel.held_card import PARALLEL_U_DEG, HeldCard

Array = NDArray[np.float64]
PARALLEL, STAND_OFF, PRINT = "card held parallel", "card stand-off", "card print"


class C(IntEnum):
    """Places of the card's parameters behind the wheel's nine."""

    STRETCH = WHEEL_SIZE
    SHEAR = WHEEL_SIZE + 1
    LEAN_X = WHEEL_SIZE + 2  # rad, of the card about the wheel's x and y
    LEAN_Y = WHEEL_SIZE + 3
    TURN = WHEEL_SIZE + 4  # rad, in its own plane
    X = WHEEL_SIZE + 5  # its middle in the wheel's frame, mm
    Y = WHEEL_SIZE + 6
    Z = WHEEL_SIZE + 7
    BEND = WHEEL_SIZE + 8
    PRINT_X = WHEEL_SIZE + 9
    PRINT_Y = WHEEL_SIZE + 10


SIZE = C.PRINT_Y + 1
STEPS = np.concatenate(
    [
        WHEEL_STEPS,
        CARD_STEPS[[P.STRETCH, P.SHEAR]],
        np.full(3, 1e-6),
        np.full(3, 1e-3),
        CARD_STEPS[[P.BEND, P.PRINT_X, P.PRINT_Y]],
    ]
)


@dataclass(frozen=True)
class Joint:
    """A flange fitted together with a card.

    Attributes
    ----------
    fit : WheelFit
        As of the flange alone, its solution reduced to the wheel's own nine parameters.
    lean_deg : float
        Of the card against the wheel, as found.
    contradictions : mapping of str to float
        By how many sigma each of "card held parallel", "card stand-off", "flange diameter" and
        "card print" stands off from all else, the largest of its parts.
    flange_mm, flange_u_mm : float
        The flange's diameter as all but the leg's data tell it, with its standard uncertainty.
    """

    fit: WheelFit
    lean_deg: float
    contradictions: dict[str, float]
    flange_mm: float
    flange_u_mm: float


def fit_together(
    fit: WheelFit, held: HeldCard, known: CameraKnowledge, diameter_mm: float, diameter_u_mm: float
) -> Joint:
    """Fit a flange once more, together with the card held against it.

    Raises
    ------
    numpy.linalg.LinAlgError
        The two together tell no pose.
    """
    start = _start(fit, held)
    px_per_mm = fit.camera0.f_px / float(fit.guess.centre[2])
    waves = edge_waves(fit.edge, px_per_mm)
    count = waves.shape[1]
    priors = [*flange_priors(known, diameter_mm, diameter_u_mm), *_card_priors(held)]
    swing = [Prior(WAVES, SIZE + i, 0.0, 1.0) for i in range(count)]
    blocks = [_edge(fit, waves), _features(fit, held)]
    whole = solve(
        np.concatenate([start, np.zeros(count)]),
        np.concatenate([STEPS, np.full(count, 1e-3)]),
        blocks,
        priors + swing,
    )
    tests: dict[str, float] = {}
    for prior in priors[2:]:
        tests[prior.source] = max(tests.get(prior.source, 0.0), abs(whole.contradiction(prior)))
    told, sd = whole.without(priors[2])
    lean = float(np.degrees(np.hypot(whole.theta[C.LEAN_X], whole.theta[C.LEAN_Y])))
    own = replace(fit, solution=_reduced(whole), waves=np.zeros((WHEEL_SIZE, 1)))
    return Joint(own, lean, tests, 2 * told, 2 * sd)


def _card_priors(held: HeldCard) -> Sequence[Prior]:
    card = held.fix.knowledge
    lean = float(np.radians(PARALLEL_U_DEG))
    return (
        Prior("rolling shutter", C.STRETCH, 0.0, ROLLING_SHUTTER),
        Prior("rolling shutter", C.SHEAR, 0.0, ROLLING_SHUTTER),
        Prior(PARALLEL, C.LEAN_X, 0.0, lean),
        Prior(PARALLEL, C.LEAN_Y, 0.0, lean),
        Prior(STAND_OFF, C.Z, held.stand_off.value_mm, held.stand_off.u_mm),
        Prior("card flatness", C.BEND, 0.0, BEND_SD),
        Prior(PRINT, C.PRINT_X, card.scale_x, card.scale_x_u),
        Prior(PRINT, C.PRINT_Y, card.scale_y, card.scale_y_u),
    )


def _start(fit: WheelFit, held: HeldCard) -> Array:
    """The flange as it was fitted and the card as it was, told against one another."""
    theta = held.fix.solution.theta
    rotation, middle = held.fix.model.pose_of(theta)
    frame = fit.pose.frame
    turned = frame @ rotation
    into = turned[:, 2]
    size = float(np.hypot(into[0], into[1]))
    angle = float(np.arctan2(size, into[2]))
    lean = np.array([-into[1], into[0]]) * (angle / size if size > 1e-9 else 0.0)
    flat = rotation_from_vector(np.array([*lean, 0.0])).T @ turned
    place = frame @ (middle - fit.pose.centre)
    start = np.zeros(SIZE)
    start[:WHEEL_SIZE] = fit.solution.theta
    start[[C.LEAN_X, C.LEAN_Y]] = lean
    start[C.TURN] = np.arctan2(flat[1, 0], flat[0, 0])
    start[[C.X, C.Y, C.Z]] = place
    start[[C.BEND, C.PRINT_X, C.PRINT_Y]] = theta[[P.BEND, P.PRINT_X, P.PRINT_Y]]
    return start


def _edge(fit: WheelFit, waves: Array) -> Observations:
    plain = edge_residuals(fit.camera0, fit.guess, fit.edge)
    count = waves.shape[1]

    def residuals(theta: Array) -> Array:
        return plain(theta[:WHEEL_SIZE]) + waves @ theta[SIZE:]

    def linear(theta: Array) -> tuple[Array, Array]:
        here = plain(theta[:WHEEL_SIZE])
        jac = np.empty((len(here), WHEEL_SIZE + count))
        for i in range(WHEEL_SIZE):
            moved = theta[:WHEEL_SIZE].copy()
            moved[i] += WHEEL_STEPS[i]
            jac[:, i] = (plain(moved) - here) / WHEEL_STEPS[i]
        jac[:, WHEEL_SIZE:] = waves
        return here + waves @ theta[SIZE:], jac

    uses = [*range(WHEEL_SIZE), *range(SIZE, SIZE + count)]
    return Observations("flange edge", residuals, uses, linear=linear)


def _features(fit: WheelFit, held: HeldCard) -> Observations:
    fix = held.fix
    nominal = fix.xy_mm - fix.model.centre_mm

    def residuals(theta: Array) -> Array:
        pose, lens = fit.pose_of(theta[:WHEEL_SIZE]), fit.camera_of(theta[:WHEEL_SIZE])
        camera = replace(lens, stretch=float(theta[C.STRETCH]), shear=float(theta[C.SHEAR]))
        local = nominal * theta[[C.PRINT_X, C.PRINT_Y]]
        bent = np.column_stack([local, 0.5 * theta[C.BEND] * local[:, 1] ** 2])
        in_wheel = bent @ _rotation(theta).T + theta[[C.X, C.Y, C.Z]]
        seen = camera.project(in_wheel @ pose.frame + pose.centre)
        return np.asarray(((seen - fix.px) / fix.sigma_px[:, None]).ravel())

    uses = [i for i in range(SIZE) if i not in (7, 8)]  # neither the flange's radius nor its lip
    return Observations("card features", residuals, uses)


def _rotation(theta: Array) -> Array:
    """Rotation (3, 3) from the card's frame to the wheel's."""
    c, s = np.cos(theta[C.TURN]), np.sin(theta[C.TURN])
    flat = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return np.asarray(rotation_from_vector(np.array([theta[C.LEAN_X], theta[C.LEAN_Y], 0.0])) @ flat)


def _reduced(whole: Solution) -> Solution:
    """The solution for the wheel's parameters alone, every other one free.

    With C the covariance, S its part for these and A a source's information, S⁻¹ (C A C) S⁻¹, taken for
    these, is what that source leaves to them: the parts still add up to S⁻¹, and gᵀ S … S g is unchanged.
    """
    across = whole.covariance[:WHEEL_SIZE]
    own = across[:, :WHEEL_SIZE]
    scale = np.sqrt(np.diag(own))
    inverse = np.linalg.inv(own / scale[:, None] / scale) / scale[:, None] / scale
    parts = {name: inverse @ (across @ part @ across.T) @ inverse for name, part in whole.information.items()}
    return replace(whole, theta=whole.theta[:WHEEL_SIZE], covariance=own, information=parts)
