"""Light along the columns that cross the collar's rim, and where its neighbours cross them.

Along one column of the straightened view, going up, the light may change at the
mirror image of the rim in the chrome, where the face ends (at the piston, or,
beside it, at the face's far edge), at the rim, and where the chamfer above it
begins.  All these places follow from four unknowns: how far the rim lies from
where it was looked for, how much more or less the camera stands above it, how
much the rim is turned in the picture, and how high its chamfer is.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.edges import binned
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]
BIN = 8
STEP_PX = 0.5
INNER, OUTER = 0.8, (1.07, 0.94)  # of the piston's radius; of the piston's and of the collar's
FACE_SEEN = -np.tan(np.radians(0.05))  # tangent of the elevation below which the face can be told


@dataclass(frozen=True)
class Place:
    """The four unknowns: where the rim is, as corrections of where it was looked for.

    Attributes
    ----------
    offset : float
        Of the rim's front along the axis, px of the view.
    tan_elevation : float
        Added to the tangent of the elevation.
    turn : float
        Slope of the rim in the view, rad.
    chamfer_mm : float
        Height of the 45° chamfer.
    """

    offset: float
    tan_elevation: float = 0.0
    turn: float = 0.0
    chamfer_mm: float = 0.0

    def as_array(self) -> Array:
        """Return the unknowns (4,) in the order above."""
        return np.array([self.offset, self.tan_elevation, self.turn, self.chamfer_mm])


@dataclass(frozen=True)
class Columns:
    """Binned profiles along the rim's course.

    Attributes
    ----------
    x_mm, course_mm : (B,) arrays
        Lateral place of each bin, and axial place where its rim was looked for.
    profiles : (B, T) array
        Light, t up the axis.
    t : (T,) array
        Offsets from the course, px.
    steps : (B, 2) array
        Offsets (px) from the rim of the steps below it, as far as the face is seen; nan where there is none.
    slopes : (B, 3) array
        How the rim and the two steps below move (px) with the tangent of the elevation.
    radius : float
        Of the rim, mm.
    tan_elevation : float
        As it was taken to be.
    sound : (B,) array
        1 where no light is burnt out.
    offered : int
        Bins that a clear view would have given.
    k : float
        Pixels per mm of the view.
    """

    x_mm: Array
    course_mm: Array
    profiles: Array
    t: Array
    steps: Array
    slopes: Array
    radius: float
    tan_elevation: float
    sound: Array
    offered: int
    k: float

    def offsets(self, place: Place) -> tuple[Array, Array, Array]:
        """Return places (px): of the rim (B,), of the steps below (B, 2), of the chamfer's upper edge (B,)."""
        rim, below, above = self.many_offsets(place.as_array()[None])
        return rim[0], below[0], above[0]

    def many_offsets(self, p: Array) -> tuple[Array, Array, Array]:
        """The same for unknowns (K, 4): (K, B), (K, B, 2) and (K, B)."""
        rim = p[:, :1] + p[:, 2:3] * self.x_mm * self.k + p[:, 1:2] * self._bow
        below = rim[:, :, None] + self.steps + p[:, 1, None, None] * self._moved
        below[self.tan_elevation + p[:, 1] > FACE_SEEN] = np.nan
        tangent = self.tan_elevation + p[:, 1:2]
        return rim, below, rim + (p[:, 3:] - self._wider(p[:, 3:]) * tangent) * self.k

    def offsets_by_unknowns(self, p: Array) -> Array:
        """Derivatives (K, B, 4, 4) of the places of the rim, the chamfer's upper edge and the two steps below."""
        result = np.zeros((len(p), len(self.x_mm), 4, 4))
        result[..., 0] = 1.0
        result[..., 1] = self._bow[:, None]
        result[..., 2] = (self.x_mm * self.k)[:, None]
        result[:, :, 1, 1] -= self._wider(p[:, 3:]) * self.k
        result[:, :, 2:, 1] += self._moved
        outer = self.radius + p[:, 3:]
        wider = outer / np.sqrt(outer**2 - self.x_mm**2)
        result[:, :, 1, 3] = (1 - wider * (self.tan_elevation + p[:, 1:2])) * self.k
        return result

    @property
    def _bow(self) -> Array:
        """How the rim moves (B,) with the tangent of the elevation: nothing at the front."""
        return np.asarray(self.slopes[:, 0] + self.radius * self.k)

    @property
    def _moved(self) -> Array:
        """How the steps below move (B, 2) with that tangent, as seen from the rim."""
        return np.asarray(self.slopes[:, 1:3] - self.slopes[:, :1])

    def _wider(self, chamfer_mm: Array) -> Array:
        """How much farther (K, B) the chamfer's upper edge reaches towards the camera, for heights (K, 1), mm."""
        rim = np.sqrt(self.radius**2 - self.x_mm**2)
        return np.asarray(np.sqrt((self.radius + chamfer_mm) ** 2 - self.x_mm**2) - rim)

    def every(self, n: int) -> "Columns":
        """A coarser copy: each n-th bin."""
        return Columns(
            self.x_mm[::n],
            self.course_mm[::n],
            self.profiles[::n],
            self.t,
            self.steps[::n],
            self.slopes[::n],
            self.radius,
            self.tan_elevation,
            self.sound[::n],
            self.offered,
            self.k,
        )


def read_columns(
    view: Straightened,
    window: Window,
    usable: NDArray[np.bool_],
    radii: tuple[float, float],
    s: float,
    elevation_deg: float,
    reach: tuple[float, float],
) -> Columns | None:
    """Sample the light along the columns that cross the rim looked for at axial place s.

    Parameters
    ----------
    usable : (columns,) bool array
        Columns whose light about the rim is the strut's (not the card's).
    radii : (piston, collar)
        mm.
    elevation_deg : float
        Of the camera above the rim's plane.
    reach : (below, above)
        How far the profiles go from the course, px.

    Returns
    -------
    Columns or None
        None where fewer than one bin is usable.
    """
    piston, collar = radii
    course = view.ring_course(s, collar)
    x = view.x_mm
    inner = np.abs(x) < INNER * piston
    outer = (np.abs(x) > OUTER[0] * piston) & (np.abs(x) < OUTER[1] * collar)
    wanted = (inner | outer) & np.isfinite(course)
    take = np.flatnonzero(wanted & usable)
    sector = np.where(inner, 0, np.where(x < 0, -1, 1))[take]
    groups = [take[sector == g] for g in (-1, 0, 1)]
    chosen = [g[: len(g) // BIN * BIN] for g in groups if len(g) >= BIN]
    if not chosen:
        return None
    index = np.concatenate(chosen)
    t = np.arange(reach[0], reach[1] + 0.01, STEP_PX)
    s_grid = course[index, None] + t[None, :] / view.k
    light = window.lumas(view.photo_pixels(np.repeat(x[index, None], len(t), axis=1), s_grid))
    steps, slopes = _neighbours(view, radii, s, elevation_deg, inner, outer, course)

    def mean(values: Array) -> Array:
        return binned(values.reshape(len(index), -1)[:, :, None], BIN)[:, :, 0]

    sound = (mean((light > window.burnt).astype(float)).max(axis=1) < 0.1).astype(float)
    offered = int(max((wanted & usable).sum(), 0.5 * wanted.sum()) // BIN) - int(len(sound) - sound.sum())
    return Columns(
        mean(x[index])[:, 0],
        mean(course[index])[:, 0],
        mean(light),
        t,
        mean(steps[index]),
        mean(slopes[index]),
        collar,
        float(np.tan(np.radians(elevation_deg))),
        sound,
        max(offered, 1),
        view.k,
    )


def face_depth_mm(radii: tuple[float, float], elevation_deg: float, doubt_deg: float) -> float:
    """How far below the rim's front the face's mirror image may end, along the axis, mm; 0 from above."""
    piston, collar = radii
    return 2 * (collar - piston) * max(float(np.tan(np.radians(doubt_deg - elevation_deg))), 0.0)


def _neighbours(
    view: Straightened,
    radii: tuple[float, float],
    s: float,
    elevation_deg: float,
    inner: NDArray[np.bool_],
    outer: NDArray[np.bool_],
    course: Array,
) -> tuple[Array, Array]:
    """Offsets (columns, 2) of the steps below the rim, and how all steps move (columns, 3) with the tangent."""
    piston, collar = radii
    x = view.x_mm
    near = np.sqrt(np.maximum(collar**2 - x**2, 0))
    depth = np.sqrt(np.maximum(piston**2 - x**2, 0))
    steps, slopes = np.full((len(x), 2), np.nan), np.zeros((len(x), 3))
    slopes[:, 0] = -near
    slopes[inner, 1] = -depth[inner]
    slopes[outer, 1] = near[outer]
    # The ray mirrored at the piston travels to the rim's radius, and climbs on its way.
    slopes[inner, 2] = -depth[inner] + (near - depth)[inner]
    tangent = float(np.tan(np.radians(-elevation_deg)))
    steps[inner, 0] = (view.ring_course(s, piston) - course)[inner] * view.k
    steps[inner, 1] = (view.mirrored_rim_course(s, piston, collar, tangent) - course)[inner] * view.k
    steps[outer, 0] = (view.ring_course(s, collar, far=True) - course)[outer] * view.k
    return steps, slopes * view.k
