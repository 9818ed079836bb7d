"""The geometry that a tire's reading rests on, as plain JSON values that can be used again.

A person's marks are converted by the same camera, flange and sidewall as the
machine's, so that what was seen is compared.  The covariance goes with them: it
says how far the geometry itself may be wrong.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.tire.profile import Ground, Shape
from vision.tire.wheel import Wheel
from vision.wheel import CirclePose
from vision.wheel.flange import MOVING, moved

Array = NDArray[np.float64]
FORMAT = 1


@dataclass(frozen=True)
class TireGeometry:
    """Camera, flange and sidewall of one reading, with what is known of them.

    Attributes
    ----------
    camera, pose, shape, ground
        As the reading had them.
    level_deg : float
        What the line's angle was held against, in the wheel's frame; 0 for a slip.
    covariance : (8, 8) array
        Of the pose's and the camera's parameters (`vision.wheel.WheelFit`).
    read_px : (2, 2) array
        Where the machine read: the line's ends; the mark's parts nearest to the flange's edge.
    read_u : float
        The reading's standard uncertainty, in its unit.
    edges_u : float
        The part of it that is the machine's own reading of edges and paint, not the geometry's.
    """

    camera: Camera
    pose: CirclePose
    shape: Shape
    ground: Ground | None
    level_deg: float
    covariance: Array
    read_px: Array
    read_u: float
    edges_u: float

    def moved_each(self) -> list[tuple["TireGeometry", "TireGeometry", float]]:
        """Return the geometry moved ahead and behind by a small step of each parameter, and the step."""
        out = []
        for i, size in enumerate(10 * MOVING):
            step = np.zeros(len(MOVING))
            step[i] = size
            ahead, behind = (moved(self.pose, self.camera, sign * step) for sign in (1, -1))
            out.append((self._with(*ahead), self._with(*behind), float(2 * size)))
        return out

    def shapes(self) -> list["TireGeometry"]:
        """Return the geometry with each of the section's numbers moved by its standard uncertainty."""
        return [self._with(self.pose, self.camera, shape) for shape in self.shape.moved().values()]

    def _with(self, pose: CirclePose, camera: Camera, shape: Shape | None = None) -> "TireGeometry":
        return TireGeometry(
            camera, pose, shape or self.shape, self.ground, self.level_deg, self.covariance, self.read_px,
            self.read_u, self.edges_u,
        )  # fmt: skip

    def to_json(self) -> dict[str, Any]:
        """Return plain JSON values; `geometry_from` reads them."""
        return {
            "format": FORMAT,
            "camera": asdict(self.camera),
            "centre_mm": self.pose.centre.tolist(),
            "normal": self.pose.normal.tolist(),
            "radius_mm": self.pose.radius_mm,
            "shape": asdict(self.shape),
            "down": None if self.ground is None else self.ground.down.tolist(),
            "ground_mm": None if self.ground is None else float(self.ground.distance),
            "level_deg": self.level_deg,
            "covariance": self.covariance.tolist(),
            "read_px": self.read_px.tolist(),
            "read_u": self.read_u,
            "edges_u": self.edges_u,
        }


def geometry_of(
    wheel: Wheel, shape: Shape, ground: Ground | None, level_deg: float, read_px: Array, read_u: float,
    edges_u: float,
) -> TireGeometry:  # fmt: skip
    """Return the geometry of a reading."""
    fit = wheel.fit
    covariance = np.asarray(fit.solution.covariance + fit.waves @ fit.waves.T)[: len(MOVING), : len(MOVING)]
    return TireGeometry(
        fit.camera, fit.pose, shape, ground, level_deg, covariance, np.asarray(read_px, float), read_u,
        min(edges_u, read_u),
    )  # fmt: skip


def geometry_from(stored: Mapping[str, Any]) -> TireGeometry:
    """Return the geometry that `TireGeometry.to_json` wrote.

    Raises
    ------
    ValueError
        It is not such a geometry, or of a later program.
    """
    if stored.get("format") != FORMAT:
        msg = f"format {FORMAT} of a tire's geometry was expected, got {stored.get('format')!r}"
        raise ValueError(msg)
    try:
        known = {one.name for one in fields(Shape)}
        shape = Shape(**{name: value for name, value in stored["shape"].items() if name in known})
        ground = None
        if stored["down"] is not None:
            ground = Ground(_array(stored["down"], (2,)), float(stored["ground_mm"]))
        pose = CirclePose(
            _array(stored["centre_mm"], (3,)), _array(stored["normal"], (3,)), float(stored["radius_mm"])
        )
        return TireGeometry(
            Camera(**stored["camera"]),
            pose,
            shape,
            ground,
            float(stored["level_deg"]),
            _array(stored["covariance"], (8, 8)),
            _array(stored["read_px"], (2, 2)),
            _positive(stored["read_u"]),
            float(stored["edges_u"]),
        )
    except (KeyError, TypeError) as error:
        msg = f"the geometry lacks something ({error!r})"
        raise ValueError(msg) from error


def _array(values: Any, shape: tuple[int, ...]) -> Array:
    found = np.asarray(values, float)
    if found.shape != shape or not np.isfinite(found).all():
        msg = f"{shape} finite numbers were expected, got {found.shape}"
        raise ValueError(msg)
    return found


def _positive(value: Any) -> float:
    number = float(value)
    if not (math.isfinite(number) and number > 0):
        msg = f"a standard uncertainty above 0 was expected, got {value!r}"
        raise ValueError(msg)
    return number
