"""The geometry that a strut reading rests on, as plain JSON values that can be used again.

A person's marks are converted by the same camera, axis and radii as the
machine's, so that edges are compared.  The covariance goes with them: it says
how far the geometry itself may be wrong, and how the reading leans on it.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis, axial_place, signed_offset
from vision.cylinder.model import AXIS_SIZE, AxisModel
from vision.scale.model import P
from vision.strut.locate import StrutFit
from vision.strut.model import J

Array = NDArray[np.float64]
FORMAT = 1
# The order of `covariance`: camera, axis about itself, radii, and the reading's own two ring planes.
PARAMETERS = (
    "ln_f", "k1", "stretch", "shear", "shift_1_mm", "shift_2_mm", "turn_1", "turn_2",
    "piston_radius_mm", "collar_radius_mm", "from_mm", "to_mm",
)  # fmt: skip
_OF_THE_FIT = [
    P.FOCAL, P.K1, P.STRETCH, P.SHEAR, *range(J.AXIS, J.AXIS + AXIS_SIZE), J.PISTON, J.COLLAR, J.FROM, J.TO,
]  # fmt: skip
_STEPS = np.array([1e-5, 1e-5, 1e-6, 1e-6, 1e-3, 1e-3, 1e-6, 1e-6, 1e-3, 1e-3])
_SHARED = len(_STEPS)


@dataclass(frozen=True)
class StrutGeometry:
    """Camera, axis and radii of one reading, with what is known of them.

    Attributes
    ----------
    camera : Camera
    axis : Axis
        mm, in the camera's frame; its direction points from the band to the collar.
    piston_radius_mm, collar_radius_mm : float
    from_mm, to_mm : float
        The reading's two ring planes along the axis.
    covariance : (12, 12) array
        Of `PARAMETERS`.
    recess_mm, recess_u_mm : float
        Added to the distance of the planes, as in the reading.
    own_u_mm : float
        Standard uncertainty of the reading that is neither in the covariance nor
        shared with anybody else's marks (the chamfer taken for the rim).
    scale_excess : float, >= 0
        By how much card and diameters disagree beyond their doubt: the reading's
        variance was made larger by 1 + this (Birge).
    """

    camera: Camera
    axis: Axis
    piston_radius_mm: float
    collar_radius_mm: float
    from_mm: float
    to_mm: float
    covariance: Array
    recess_mm: float = 0.0
    recess_u_mm: float = 0.0
    own_u_mm: float = 0.0
    scale_excess: float = 0.0

    def places(self, from_px: Array, to_px: Array, moved: Array | None = None) -> tuple[Array, Array]:
        """Return where rays through pixels (N, 2) meet piston and collar, mm along the axis: two (N,) arrays.

        `moved` (10,) is added to the camera's, axis's and radii's parameters.
        """
        step = np.zeros(_SHARED) if moved is None else moved
        camera = Camera(
            self.camera.f_px * math.exp(step[0]),
            self.camera.cx_px,
            self.camera.cy_px,
            self.camera.k1 + step[1],
            self.camera.stretch + step[2],
            self.camera.shear + step[3],
        )
        axis = AxisModel(self.axis).axis(step[4:8])
        return (
            axial_place(camera.rays(from_px), axis, self.piston_radius_mm + step[8]),
            axial_place(camera.rays(to_px), axis, self.collar_radius_mm + step[9]),
        )

    def beyond_outline_mm(self, px: Array, radius_mm: float) -> float:
        """How far the ray of a pixel (2,) passes outside a coaxial cylinder; negative where it meets it."""
        return float(np.abs(signed_offset(self.camera.rays(px[None]), self.axis)[0]) - radius_mm)

    def gradient(self, from_px: Array, to_px: Array) -> Array:
        """Derivative (12,) of the distance between two fixed marks (2,) by the parameters."""
        result = np.zeros(len(PARAMETERS))
        for i, size in enumerate(_STEPS):
            step = np.zeros(_SHARED)
            step[i] = size
            above, below = (self.places(from_px[None], to_px[None], sign * step) for sign in (1, -1))
            result[i] = ((above[1] - above[0]) - (below[1] - below[0]))[0] / (2 * size)
        return result

    def to_json(self) -> dict[str, Any]:
        """Return plain JSON values; `geometry_from` reads them."""
        return {
            "format": FORMAT,
            "f_px": self.camera.f_px,
            "cx_px": self.camera.cx_px,
            "cy_px": self.camera.cy_px,
            "k1": self.camera.k1,
            "stretch": self.camera.stretch,
            "shear": self.camera.shear,
            "axis_point_mm": self.axis.point.tolist(),
            "axis_direction": self.axis.direction.tolist(),
            "piston_radius_mm": self.piston_radius_mm,
            "collar_radius_mm": self.collar_radius_mm,
            "from_mm": self.from_mm,
            "to_mm": self.to_mm,
            "recess_mm": self.recess_mm,
            "recess_u_mm": self.recess_u_mm,
            "own_u_mm": self.own_u_mm,
            "scale_excess": self.scale_excess,
            "parameters": list(PARAMETERS),
            "covariance": self.covariance.tolist(),
        }


def geometry_of(
    fit: StrutFit, recess_mm: float, recess_u_mm: float, own_u_mm: float, scale_excess: float
) -> StrutGeometry:
    """Return the geometry of a joint fit.

    The covariance is that of the fit's axis about its first guess, from which
    the second pass ends within a few milliradians: the two frames are taken as one.
    """
    theta = fit.solution.theta
    return StrutGeometry(
        fit.camera,
        fit.axis,
        float(theta[J.PISTON]),
        float(theta[J.COLLAR]),
        float(theta[J.FROM]),
        float(theta[J.TO]),
        fit.solution.covariance[np.ix_(_OF_THE_FIT, _OF_THE_FIT)],
        recess_mm,
        recess_u_mm,
        own_u_mm,
        scale_excess,
    )


def geometry_from(values: Mapping[str, Any]) -> StrutGeometry:
    """Return the geometry that `StrutGeometry.to_json` wrote.

    Raises
    ------
    ValueError
        A value is missing, of another format, or not a finite number.
    """
    if values.get("format") != FORMAT or values.get("parameters") != list(PARAMETERS):
        msg = f"the geometry is of format {values.get('format')!r}, {FORMAT} was expected: measure the photo again"
        raise ValueError(msg)
    try:
        size = len(PARAMETERS)
        numbers = {
            key: float(values[key])
            for key in StrutGeometry.__dataclass_fields__
            if key not in ("camera", "axis", "covariance")
        }
        lens = {key: float(values[key]) for key in Camera.__dataclass_fields__}
        axis = Axis(_array(values["axis_point_mm"], (3,)), _array(values["axis_direction"], (3,)))
        covariance = _array(values["covariance"], (size, size))
    except (KeyError, TypeError, ValueError) as error:
        msg = f"the geometry is incomplete ({error}): measure the photo again"
        raise ValueError(msg) from error
    if not all(map(math.isfinite, (*numbers.values(), *lens.values()))):
        msg = "the geometry holds a number that is not finite: measure the photo again"
        raise ValueError(msg)
    return StrutGeometry(camera=Camera(**lens), axis=axis, covariance=covariance, **numbers)


def _array(values: Any, shape: tuple[int, ...]) -> Array:
    array = np.asarray(values, float)
    if array.shape != shape or not np.isfinite(array).all():
        msg = f"{shape} finite numbers expected"
        raise ValueError(msg)
    return array
