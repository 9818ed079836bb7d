"""The collar's lower rim told apart from its neighbours: chamfer, face and mirror image.

Nearer than two blurs they cannot be fitted one by one; but the geometry ties all
of them to four unknowns (`rim_profiles`), which are searched for in all columns
at once (`rim_search`).  Then each column's own rim is fitted with its neighbours
tied to it, and the doubt which explanation is the right one goes with the result.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.edges import sampled_blur
from vision.strut.collar_side import FLUSH_MM
from vision.strut.collect import Edge
from vision.strut.model import Points
from vision.strut.rim_profiles import BIN, Columns, Place, face_depth_mm, read_columns
from vision.strut.rim_search import (
    AS_GOOD,
    CHAMFERS_MM,
    HIGHEST_MM,
    Bounds,
    Light,
    Trial,
    offset_sd,
    project,
    refine,
    search,
    steps_at,
    tried,
)
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]
FAINT = 0.003  # of white: about the step between two codes of a dark picture
CHAMFER_SHOWS_MM = 0.8  # a lower one may be another blur
FINE_CHAMFERS_MM = (0.5, 0.7, 0.9, 1.1, 1.35, 1.6, 1.9, 2.3, 2.8)
NEAR = 0.8  # mean log of the misfit within which an explanation is tried again when more is known
MIRROR_SPREAD = 0.02  # rad: polished chrome's scatter (from memory)


@dataclass(frozen=True)
class RimFit:
    """The rim's points with the chamfer that explains the profiles best.

    `offset_u_px` is the doubt that rival explanations leave in all points
    together; `misfit` the rms left in the profiles as a multiple of the noise;
    `rivals` the places of explanations that came near, as seen from the best;
    `over_chamfer` whether a chamfer shows though the collar's sides are flush with the rim:
    its diameter was taken over the chamfer.
    """

    edge: Edge
    chamfer_mm: float
    offset_u_px: float
    misfit: float
    rivals: tuple[Place, ...] = ()
    over_chamfer: bool = False


def fit_rim(
    view: Straightened,
    window: Window,
    usable: NDArray[np.bool_],
    radii: tuple[float, float],
    s: float,
    elevation_deg: float,
    blur: float,
    search_px: float,
    rivals: tuple[Place, ...] | None,
    chamfer_mm: tuple[float, float] | None = None,
) -> RimFit | None:
    """Fit the rim near axial place s on a straightened view.

    Parameters
    ----------
    usable : (columns,) bool array
        Columns whose light about the rim is the strut's (not the card's).
    radii : (piston, collar)
        mm.
    elevation_deg : float
        Of the camera above the rim's plane.
    blur : float
        Edge-spread sigma, px.
    search_px : float
        How far the rim may lie from s.
    rivals : tuple of Place, or None
        Explanations to be tried beside the one that led to s, as seen from there.  None where s is
        a first guess, which may also be the place of the chamfer's upper edge or of the face's end.
    chamfer_mm : (height, sd), optional
        As the collar's sides tell it; sides flush with the rim tell nothing.
    """
    flush = chamfer_mm is not None and chamfer_mm[0] < FLUSH_MM
    if flush:
        chamfer_mm = None
    margin = 4.0 * blur + 2.0
    chamfer_px = HIGHEST_MM * view.k
    # Whatever steep line led here may be the rim, the chamfer's upper edge, or, seen from below,
    # where the face ends: look as far both ways, and make every trial explain the whole stretch.
    face_px = face_depth_mm(radii, elevation_deg, 1.0) * view.k
    # A steep line is taken where it is steepest, up to a blur or two off: an explanation that
    # the bounds stop short of its place never shows how good it is.
    stray = 2.5 * max(blur, 0.8)
    offsets = (-search_px - chamfer_px - stray, search_px + face_px + stray)
    wide = rivals is None
    if rivals is not None:
        others = [place.offset for place in rivals]
        offsets = (
            min([-search_px - stray, *(o - stray for o in others)]),
            max([search_px + stray, *(o + stray for o in others)]),
        )
    least = max(blur, 0.8) / view.k
    reaches = (0.02, 0.02, 0.006) if wide else (0.006, 0.005, 0.002)
    bounds = Bounds(offsets, *reaches, least, chamfer_mm)
    reach = (offsets[0] - margin, max(offsets[1], 0.0) + chamfer_px + margin)
    columns = read_columns(view, window, usable, radii, s, elevation_deg, reach)
    if columns is None or columns.sound.sum() < 5:
        return None
    light = Light(sampled_blur(blur), 0.0, window.noise / np.sqrt(BIN))
    soft = replace(light, mirror_blur=MIRROR_SPREAD * (radii[1] - radii[0]) * view.k)
    trust = columns.sound.copy()
    step = 1.2 * max(blur, 0.8)
    places = (
        np.arange(bounds.offset[0], bounds.offset[1] + 0.01, step) if wide else np.array([-0.7, 0.0, 0.7])
    )
    heights = CHAMFERS_MM if chamfer_mm is None else (*CHAMFERS_MM, chamfer_mm[0])
    starts = [*(rivals or ()), *(Place(float(o), chamfer_mm=c) for o in places for c in heights)]
    considered: list[Trial] = []
    for _ in range(2):
        trials = search(columns, light, trust, bounds, starts)
        considered = [*trials, *considered]
        # Chrome may be a perfect mirror or a dull one: the better explanation counts.
        if tried(columns, [trials[0].place], soft, trust, bounds)[0].cost < trials[0].cost - 0.02:
            light = soft
            trials = search(columns, light, trust, bounds, [trial.place for trial in trials])
        best = trials[0]
        found = _each(columns, best.place, light, margin)
        trust = columns.sound * _in_line(columns, best.place, found)
        if trust.sum() < 5:
            return None
        starts = [trial.place for trial in trials]
        if wide:
            starts += _with_upper_edge_here(best.place, columns.k)
    if best.place.offset in bounds.offset:
        return None  # still on the move: not settled, so not known
    position, sigma, height, rms = found
    good = (trust > 0) & (sigma < 0.6) & (height > max(FAINT, 4 * window.noise / np.sqrt(BIN)))
    if good.sum() < 5:
        return None
    px = view.photo_pixels(columns.x_mm, columns.course_mm + position / view.k)[good]
    edge = Edge(
        Points(px, np.hypot(sigma[good], 0.12)),
        float(good.sum()) / columns.offered,
        float(np.median(height[good])),
        blur,
        best.place.offset,
    )
    left = float(np.median(rms[good])) * np.sqrt(BIN) / window.noise
    # On all bins alike: those that fit the best explanation would speak for it.
    judged = tried(columns, [trial.place for trial in considered], light, columns.sound, bounds)
    doubt = float(np.hypot(_doubt(judged), offset_sd(columns, best.place, light, trust)))
    near = tuple(
        replace(trial.place, offset=trial.place.offset - best.place.offset, tan_elevation=0.0, turn=0.0)
        for trial in judged[1:]
        if trial.misfit < judged[0].misfit + NEAR
    )
    over = flush and _needs_chamfer(columns, best.place, light, bounds)
    return RimFit(edge, best.place.chamfer_mm, doubt, left, near, over)


def _with_upper_edge_here(place: Place, k: float) -> list[Place]:
    """Places whose chamfer's upper edge is a line of the given one: that may be what was taken for the rim.

    The valley that leads to a true rim below a dark chamfer is narrow: its lines are hit to a blur or not at all.
    """
    lines = {place.offset, place.offset + place.chamfer_mm * k}
    return [Place(line - height * k, chamfer_mm=height) for line in lines for height in FINE_CHAMFERS_MM]


def _needs_chamfer(columns: Columns, place: Place, light: Light, bounds: Bounds) -> bool:
    """Whether the light asks for the place's chamfer: rims without one, here or at its upper edge, explain less."""
    if place.chamfer_mm < CHAMFER_SHOWS_MM:
        return False
    upper = place.offset + place.chamfer_mm * columns.k
    plain = [replace(place, offset=offset, chamfer_mm=0.0) for offset in (place.offset, upper)]
    plain = refine(columns, plain, light, columns.sound, bounds, 6)
    *without, best = tried(columns, [*plain, place], light, columns.sound, bounds)
    return min(trial.misfit for trial in without) > best.misfit + AS_GOOD


def _doubt(trials: list[Trial]) -> float:
    """How far (px) the rim may move when another explanation is as good."""
    best = trials[0]
    rivals = [abs(t.place.offset - best.place.offset) for t in trials[1:] if t.misfit < best.misfit + AS_GOOD]
    return max([0.0, *rivals]) / float(np.sqrt(3))


def _in_line(columns: Columns, place: Place, found: tuple[Array, Array, Array, Array]) -> Array:
    """Which bins (B,) fit the common place: 1 or 0."""
    position, _sigma, _height, rms = found
    off = np.abs(position - columns.offsets(place)[0])
    spread = max(1.4826 * float(np.median(off[columns.sound > 0])), 0.08)
    change = np.maximum(np.ptp(columns.profiles, axis=1), 0.01)
    usual = float(np.median(rms[columns.sound > 0]))
    fits = (off < 3.5 * spread) & (rms < np.maximum(4 * usual, 0.05 * change))
    return np.asarray(fits, float)


def _each(columns: Columns, place: Place, light: Light, margin: float) -> tuple[Array, Array, Array, Array]:
    """Fit each bin's own rim with its neighbours tied to it: position, sigma, height of the step, rms."""
    t = columns.t
    common, below, above = columns.offsets(place)
    below, above = below - common[:, None], above - common
    # The window of a bin reaches from its lowest step to its highest, and a little beyond.
    low = np.minimum(np.nan_to_num(below).min(axis=1), 0.0)
    off = t[None, :] - common[:, None]
    w = ((off > (low - margin)[:, None]) & (off < (np.maximum(above, 0.0) + margin)[:, None])).astype(float)
    rim = common.copy()

    def basis_at(places: Array) -> Array:
        return steps_at(t, places, places[:, None] + below, places + above, light)

    for _ in range(5):
        basis = basis_at(rim)
        levels, r = project(columns.profiles, basis, w)
        slope = (levels[:, None] @ (basis_at(rim + 0.02) - basis))[:, 0] / 0.02 * w
        _, free = project(slope, basis, w)
        power = np.maximum(np.sum(free * free, axis=1), 1e-9)
        rim = np.clip(rim + np.clip(np.sum(free * r, axis=1) / power, -0.4, 0.4), common - 1.5, common + 1.5)
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(w.sum(axis=1) - 6, 1))
    # Samples half a pixel apart share their pixels' noise: count each pixel once.
    sigma = rms * np.sqrt(2) / np.sqrt(power)
    return rim, sigma, np.abs(levels[:, 1]), rms
