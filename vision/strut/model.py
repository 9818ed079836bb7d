"""The joint model of a strut: camera, card, axis, two rings, and every known diameter.

One set of parameters explains all points seen.  What is only known to lie
within bounds (where chrome's outline fades, how far a printed card is out of
parallel) is a parameter with a prior, so that it shows in the budget under its
own name instead of hiding in a residual.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from vision.camera import turn_by_vector
from vision.cylinder.model import (
    AXIS_SIZE,
    AXIS_STEPS,
    AxisModel,
    outline_linear,
    outline_residuals,
    ring_linear,
    ring_residuals,
)
from vision.fit import Observations, Prior
from vision.scale import CardFix
from vision.scale.model import SIZE as CARD_SIZE
from vision.scale.model import STEPS as CARD_STEPS
from vision.scale.model import P
from vision.scale.told import StandOff

Array = NDArray[np.float64]


class J(IntEnum):
    """Places of the strut's parameters behind the camera's and the card's."""

    AXIS = CARD_SIZE  # 4
    FROM = CARD_SIZE + AXIS_SIZE  # axial place of the band's upper edge, mm
    TO = FROM + 1  # axial place of the collar's lower rim, mm
    PISTON = FROM + 2  # radii, mm
    COLLAR = FROM + 3
    CYLINDER = FROM + 4
    LIMB_LEFT = FROM + 5  # px that an outline appears inside the true one
    LIMB_RIGHT = FROM + 6
    BAND_LEFT = FROM + 7
    BAND_RIGHT = FROM + 8
    PAINT_LEFT = FROM + 9
    PAINT_RIGHT = FROM + 10
    EDGE_FROM = FROM + 11  # px that a ring's edge appears beyond the true one
    EDGE_TO = FROM + 12
    BOW_FROM = FROM + 13  # px that it appears beyond the true one, more at a radius to the side than in front
    BOW_TO = FROM + 14


SIZE = J.BOW_TO + 1
STEPS = np.concatenate([CARD_STEPS, AXIS_STEPS, np.full(SIZE - CARD_SIZE - AXIS_SIZE, 1e-3)])

# What the limb's shading model leaves: chrome mirrors what lies beside the strut
# and may hide the limb's outermost pixels altogether.
LIMB_MEAN_PX, LIMB_SD_PX = 0.2, 0.6
# In blurs, from one pixel up: a wrong idea of the blur, or of the light that it mixes, moves an
# outline by a share of it.  Seen over 109 sides in fast scenes: sd 0.06 px, over 16 in traced ones 0.18.
BAND_SIDE_SD, PAINT_SIDE_SD = 0.15, 0.2
BAND_EDGE_SD_PX = 0.08
RIM_EDGE_SD_PX = 0.12
# Beside the piston other light stands above and below the rim than before it: robust sd 0.13 px
# over 34 fair scenes, all points of a side together.
BAND_BOW_SD_PX, RIM_BOW_SD_PX = 0.08, 0.13
PARALLEL_SD = np.radians(2.5)  # card against axis, hung or held by hand
STANDOFF_MEAN_MM, STANDOFF_SD_MM = 10.0, 25.0  # not told: anywhere from -30 to +50 mm


@dataclass(frozen=True)
class Points:
    """Edge points: pixels (N, 2) with standard uncertainty (N,) px along the direction measured."""

    px: Array
    sigma: Array

    def __len__(self) -> int:
        return len(self.px)


@dataclass(frozen=True)
class StrutModel:
    """First guesses about which the parameters are small."""

    fix: CardFix
    axis_model: AxisModel
    px_per_mm: float

    def outline(self, source: str, points: Points, radius: J, shift: J, side: float) -> Observations:
        """Points on one outline of a coaxial cylinder."""

        def residuals(theta: Array) -> Array:
            rays = self.fix.model.camera_of(theta).rays(points.px)
            axis = self.axis_model.axis(theta[J.AXIS : J.AXIS + AXIS_SIZE])
            off = outline_residuals(rays, axis, float(theta[radius]), side, self.px_per_mm)
            return np.asarray((off + theta[shift]) / points.sigma)

        def linear(theta: Array) -> tuple[Array, Array]:
            rays, by_lens = self._rays(theta, points.px)
            four = theta[J.AXIS : J.AXIS + AXIS_SIZE]
            off, jac = outline_linear(
                rays, by_lens, self.axis_model, four, float(theta[radius]), side, self.px_per_mm
            )
            jac = np.column_stack([jac, np.ones(len(off))])
            return (off + theta[shift]) / points.sigma, jac / points.sigma[:, None]

        return Observations(source, residuals, [0, 1, 2, 3, *_axis(), radius, shift], linear=linear)

    def ring(
        self, source: str, points: Points, radius: J, place: J, shift: J, bow: J, radius_mm: float
    ) -> Observations:
        """Points on the near arc of a ring of about this radius."""
        aside = (self._beside_axis(points.px) / radius_mm) ** 2

        def residuals(theta: Array) -> Array:
            rays = self.fix.model.camera_of(theta).rays(points.px)
            axis = self.axis_model.axis(theta[J.AXIS : J.AXIS + AXIS_SIZE])
            off = ring_residuals(rays, axis, float(theta[place]), float(theta[radius]), self.px_per_mm)
            return np.asarray((off - theta[shift] - theta[bow] * aside) / points.sigma)

        def linear(theta: Array) -> tuple[Array, Array] | None:
            rays, by_lens = self._rays(theta, points.px)
            four = theta[J.AXIS : J.AXIS + AXIS_SIZE]
            sizes = float(theta[radius]), float(theta[place]), self.px_per_mm
            known = ring_linear(rays, by_lens, self.axis_model, four, *sizes)
            if known is None:
                return None
            off, jac = known
            jac = np.column_stack([jac, np.full(len(off), -1.0), -aside])
            off = off - theta[shift] - theta[bow] * aside
            return off / points.sigma, jac / points.sigma[:, None]

        uses = [0, 1, 2, 3, *_axis(), radius, place, shift, bow]
        return Observations(source, residuals, uses, linear=linear)

    def _rays(self, theta: Array, px: Array) -> tuple[Array, Array]:
        """Rays (N, 3) of pixels (N, 2), and their derivatives (N, 2, 4) by the lens."""
        camera = self.fix.model.camera_of(theta)
        rays = camera.rays(px)
        return rays, camera.rays_by_lens(rays)

    def _beside_axis(self, px: Array) -> Array:
        """How far (mm) pixels (N, 2) lie beside the first guess of the axis."""
        axis = self.axis_model.axis(np.zeros(AXIS_SIZE))
        rays = self.fix.model.camera_of(self.fix.solution.theta).rays(px)
        # Where the rays meet the plane through the axis that faces the camera.
        facing = np.cross(axis.lateral, axis.direction)
        met = rays * ((axis.point @ facing) / (rays @ facing))[:, None]
        return np.asarray((met - axis.point) @ axis.lateral)

    def stand_off_of(self, theta: Array) -> float:
        """Distance of the card's plane behind the piston's front line at mid-span, along its normal, mm."""
        rotation, translation = self.fix.model.pose_of(theta)
        axis = self.axis_model.axis(theta[J.AXIS : J.AXIS + AXIS_SIZE])
        middle = axis.at(0.5 * float(theta[J.FROM] + theta[J.TO]))
        return float(rotation[:, 2] @ (translation - middle) + theta[J.PISTON])

    def lean_of(self, theta: Array) -> float:
        """Angle of the axis out of the card's plane, rad, positive when its upper end is farther away."""
        rotation, _ = self.fix.model.pose_of(theta)
        axis = self.axis_model.axis(theta[J.AXIS : J.AXIS + AXIS_SIZE])
        return float(np.arcsin(np.clip(rotation[:, 2] @ axis.direction, -1, 1)))

    def stand_off(self, told: StandOff | None) -> Observations:
        """What is known of the stand-off."""
        known = told or StandOff(STANDOFF_MEAN_MM, STANDOFF_SD_MM)

        def residuals(theta: Array) -> Array:
            return np.array([(self.stand_off_of(theta) - known.value_mm) / known.u_mm])

        def linear(theta: Array) -> tuple[Array, Array]:
            rotation, translation = self.fix.model.pose_of(theta)
            normal, by_vector = rotation[:, 2], _by_vector(theta)
            four = theta[J.AXIS : J.AXIS + AXIS_SIZE]
            axis, (by_shift, by_turn) = self.axis_model.axis(four), self.axis_model.derivatives(four)
            middle = 0.5 * float(theta[J.FROM] + theta[J.TO])
            apart = translation - axis.at(middle)
            along = -0.5 * (normal @ axis.direction)
            jac = [
                *(np.cross(normal, apart) @ by_vector),
                *normal,
                *(-normal @ by_shift),
                *(-middle * (normal @ by_turn)),
                along,
                along,
                1.0,
            ]
            off = normal @ apart + theta[J.PISTON] - known.value_mm
            return np.array([off / known.u_mm]), np.array([jac]) / known.u_mm

        uses = [*_POSE, *_axis(), J.FROM, J.TO, J.PISTON]
        return Observations("card stand-off", residuals, uses, robust=False, linear=linear)

    def parallel(self) -> Observations:
        """The card hangs about parallel to the axis."""

        def residuals(theta: Array) -> Array:
            return np.array([self.lean_of(theta) / PARALLEL_SD])

        def linear(theta: Array) -> tuple[Array, Array]:
            normal, by_vector = self.fix.model.pose_of(theta)[0][:, 2], _by_vector(theta)
            four = theta[J.AXIS : J.AXIS + AXIS_SIZE]
            direction, by_turn = self.axis_model.axis(four).direction, self.axis_model.derivatives(four)[1]
            by_sine = 1 / np.sqrt(1 - (normal @ direction) ** 2)
            jac = [*(np.cross(normal, direction) @ by_vector), *(normal @ by_turn)]
            return residuals(theta), by_sine * np.array([jac]) / PARALLEL_SD

        uses = [*_POSE[:3], *_axis()[2:]]
        return Observations("card parallelism", residuals, uses, robust=False, linear=linear)


_POSE = [*range(P.ROTATION, P.ROTATION + 3), *range(P.TRANSLATION, P.TRANSLATION + 3)]


def _by_vector(theta: Array) -> Array:
    """What the card's rotation vector turns (3, 3)."""
    return turn_by_vector(theta[P.ROTATION : P.ROTATION + 3])


def _axis() -> Sequence[int]:
    return range(J.AXIS, J.AXIS + AXIS_SIZE)


def strut_priors(diameters: dict[J, tuple[float, float]], blur_px: float) -> list[Prior]:
    """Priors of radii (from diameters with standard uncertainties) and of where edges of such a blur appear."""
    soft = max(blur_px, 1.0)
    names = {J.PISTON: "piston diameter", J.COLLAR: "collar diameter", J.CYLINDER: "cylinder diameter"}
    known = [Prior(names[j], j, d / 2, max(u, 1e-3) / 2) for j, (d, u) in diameters.items()]
    limbs = [
        Prior("piston outline in chrome", j, LIMB_MEAN_PX, LIMB_SD_PX) for j in (J.LIMB_LEFT, J.LIMB_RIGHT)
    ]
    sides = [Prior("band sides", j, 0.0, BAND_SIDE_SD * soft) for j in (J.BAND_LEFT, J.BAND_RIGHT)]
    paint = [Prior("cylinder sides", j, 0.0, PAINT_SIDE_SD * soft) for j in (J.PAINT_LEFT, J.PAINT_RIGHT)]
    edges = [
        Prior("band edge", J.EDGE_FROM, 0.0, BAND_EDGE_SD_PX),
        Prior("collar rim", J.EDGE_TO, 0.0, RIM_EDGE_SD_PX),
        Prior("band edge", J.BOW_FROM, 0.0, BAND_BOW_SD_PX),
        Prior("collar rim", J.BOW_TO, 0.0, RIM_BOW_SD_PX),
    ]
    return known + limbs + sides + paint + edges
