"""From a card to a strut: which band, which outline, which rim; then all points for the joint fit."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.cylinder import Axis, elevation_deg
from vision.cylinder.model import AXIS_SIZE, AxisModel
from vision.fit import Observations, Prior, Solution, solve
from vision.leg import StrutData
from vision.results import Refusal
from vision.scale import CardFix
from vision.scale.model import SIZE as CARD_SIZE
from vision.scale.model import camera_priors, card_priors
from vision.scale.told import StandOff
from vision.strut.beside import clear_of_card
from vision.strut.collar_side import ABOVE_MM, MIDDLE_MM, REACH_MM, chamfer_height
from vision.strut.collect import NOTHING, Edge, find_edge, outline_course, ring_course
from vision.strut.first import FirstAxis, first_axis
from vision.strut.model import LIMB_MEAN_PX, SIZE, STEPS, J, StrutModel, strut_priors
from vision.strut.rim import RimFit, fit_rim
from vision.strut.rim_place import Rim, find_rims
from vision.strut.rim_profiles import Place
from vision.strut.search import band_height
from vision.strut.window import Straightened, Window, straighten

Array = NDArray[np.float64]
NAME = "strut_extension"
LONGEST_MM = 330.0
ARC = 0.86  # of the radius: farther out a ring runs along the scan
LEAST_BAND = 0.55  # of the band's edge must be clear
LOST_PX = 1.5
NEARLY, SETTLED = 0.05, 1e-3  # of a standard deviation: a fit that is done again about its axis, and the last
COLLAR_CLEAR_MM = 45.0  # above the rim the collar has ended


@dataclass(frozen=True)
class Seen:
    """All edges found on a strut, by name of their source."""

    band_edge: Edge
    rim: RimFit | None
    limbs: tuple[Edge, Edge]
    band_sides: tuple[Edge, Edge]
    paint: tuple[Edge, Edge]


@dataclass(frozen=True)
class StrutFit:
    """The joint solution with everything it rests on."""

    model: StrutModel
    solution: Solution
    priors: tuple[Prior, ...]
    seen: Seen
    rim: Rim
    axis: Axis
    camera: Camera

    @property
    def length_mm(self) -> float:
        """Distance of the two ring planes along the axis."""
        return float(self.solution.theta[J.TO] - self.solution.theta[J.FROM])

    def gradient(self) -> Array:
        """Derivative of the length by the parameters."""
        g = np.zeros(SIZE)
        g[J.FROM], g[J.TO] = -1, 1
        return g


@dataclass(frozen=True)
class Setting:
    """What stays the same through the search."""

    fix: CardFix
    window: Window
    strut: StrutData
    told: StandOff | None
    blur: float
    card_behind: bool = False

    @property
    def radii(self) -> tuple[float, float]:
        """Radii of piston and collar rim, mm."""
        return self.strut.piston_diameter_mm / 2, self.strut.collar_diameter_mm / 2


def locate(setting: Setting, axis: Axis) -> StrutFit | Refusal:
    """Find and fit the strut from a first guess of its axis, whose origin lies in the band."""
    collar = setting.radii[1]
    camera = setting.fix.model.camera_of(setting.fix.solution.theta)
    begun = first_axis(setting.fix, setting.window, camera, axis, setting.radii, setting.told)
    if not isinstance(begun, FirstAxis):
        return Refusal(NAME, *begun)
    setting = replace(setting, card_behind=begun.card_behind)
    axis, s_from = begun.axis, begun.s_mm
    first = _first_fit(setting, camera, axis, s_from)
    if isinstance(first, Refusal):
        return replace(first, detail=first.detail or begun.obstacle)
    model, theta = first
    axis, camera = _axis_of(model, theta), model.fix.model.camera_of(theta)
    s_from = float(theta[J.FROM])
    view = straighten(setting.window, camera, axis, 1.25 * collar, s_from - 5, s_from + LONGEST_MM)
    between = (s_from + 8.0, s_from + LONGEST_MM - 20)
    clear = [_clear_sides(setting, view, radius) for radius in setting.radii]
    rims = find_rims(view, setting.radii, between, clear[1], clear[0])
    if not rims:
        return Refusal(NAME, notes.NO_COLLAR)
    return _full_fit(setting, model, theta, rims[0])


def _clear_sides(
    setting: Setting, view: Straightened, radius: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Rows where the left and the right side of a cylinder are in view, clear of the card."""
    left, right = (
        _usable(setting, px)
        for px in (view.photo_pixels(np.full(len(view.s_mm), x), view.s_mm) for x in (-radius, radius))
    )
    return left, right


def _axis_of(model: StrutModel, theta: Array) -> Axis:
    return model.axis_model.axis(theta[J.AXIS : J.AXIS + AXIS_SIZE])


def _sides(
    setting: Setting,
    camera: Camera,
    axis: Axis,
    radius: float,
    s: tuple[float, float],
    search: float,
    least: float,
    coloured: bool = False,
) -> tuple[Edge, Edge]:
    """Both outlines of a coaxial cylinder between two axial places, left then right."""
    k = camera.f_px / float(np.linalg.norm(axis.point))
    places = np.arange(s[0], s[1], 1 / k)
    if len(places) < 16:
        return NOTHING, NOTHING
    edges = []
    for side in (-1.0, 1.0):
        px, normal = outline_course(camera, axis, radius, side, places)
        keep = _usable(setting, px)
        limb = float(np.clip(0.1 * radius * k, 6.0, 16.0))
        edge = find_edge(
            setting.window,
            (px[keep], normal[keep]),
            setting.blur,
            search,
            6,
            least,
            coloured=coloured,
            limb=limb,
        )
        edges.append(replace(edge, share=edge.share * float(keep.mean())))
    return edges[0], edges[1]


def _usable(setting: Setting, px: Array) -> NDArray[np.bool_]:
    """Which pixels (N, 2) of the strut can be seen: in the window and not hidden by the card."""
    inside = setting.window.inside(px)
    return inside if setting.card_behind else inside & clear_of_card(setting.fix, px)


def _rim(
    setting: Setting, camera: Camera, axis: Axis, s: float, search: float, rivals: tuple[Place, ...] | None
) -> RimFit | None:
    collar = setting.radii[1]
    view = straighten(setting.window, camera, axis, 1.1 * collar, s - 15, s + 15)
    course = view.ring_course(s, collar)
    px = view.photo_pixels(view.x_mm, np.nan_to_num(course, nan=s))
    usable = _usable(setting, px)
    known = (setting.radii, s, elevation_deg(axis, s), setting.blur)
    reach = REACH_MM * view.k
    sides = _sides(setting, camera, axis, collar + MIDDLE_MM, (s + ABOVE_MM[0], s + ABOVE_MM[1]), reach, 0.02)
    chamfer = chamfer_height(sides, camera, axis, collar)
    return fit_rim(view, setting.window, usable, *known, min(search, 2.0), rivals, chamfer)


def _arc(
    setting: Setting,
    camera: Camera,
    axis: Axis,
    s: float,
    radius: float,
    sector: tuple[float, float],
    search: float,
    least: float,
) -> Edge:
    k = camera.f_px / float(np.linalg.norm(axis.at(s)))
    px, normal = ring_course(camera, axis, s, radius, *sector, k)
    keep = _usable(setting, px)
    edge = find_edge(setting.window, (px[keep], normal[keep]), setting.blur, search, 8, least, coloured=True)
    return replace(edge, share=edge.share * float(keep.mean()))


def _first_fit(
    setting: Setting, camera: Camera, axis: Axis, s_from: float
) -> tuple[StrutModel, Array] | Refusal:
    """Fit card, band edge and the outlines about the band; the rim is not yet known."""
    piston = setting.radii[0]
    k = camera.f_px / float(np.linalg.norm(axis.point))
    band = _arc(setting, camera, axis, s_from, piston, (-ARC, ARC), 5.0 + setting.blur, 0.03)
    if len(band.points) < 5 or band.share < LEAST_BAND:
        return Refusal(NAME, notes.BAND_HIDDEN, f"{band.share:.0%} of it clear")
    height = band_height(setting.window, camera, axis, setting.radii[0], s_from)
    side = _sides(setting, camera, axis, piston, (s_from - height + 1.5, s_from - 1.5), 5.0, 0.02, True)
    limbs = _sides(setting, camera, axis, piston, (s_from + 1.5, s_from + 18), 5.0, 0.006)
    seen_of = [len(a.points) + len(b.points) for a, b in zip(side, limbs, strict=True)]
    # With the stand-off told one outline is enough: the card tells how far away the piston is.
    if max(seen_of) < 3 or (min(seen_of) < 3 and setting.told is None):
        return Refusal(NAME, notes.OUTLINE_LOST)
    seen = Seen(band, None, limbs, side, (NOTHING, NOTHING))
    model = StrutModel(setting.fix, AxisModel(axis), k)
    theta = _start(setting, model, s_from, s_from + 80.0)
    blocks, priors = _sources(setting, model, seen)
    priors = [*priors, Prior("rim not yet known", J.TO, s_from + 80.0, 50.0)]
    try:
        solution = solve(theta, STEPS, blocks, priors, tolerance=NEARLY)
    except np.linalg.LinAlgError:
        return Refusal(NAME, notes.OUTLINE_LOST)
    return model, solution.theta


def _start(setting: Setting, model: StrutModel, s_from: float, s_to: float) -> Array:
    theta = np.zeros(SIZE)
    theta[:CARD_SIZE] = setting.fix.solution.theta
    theta[J.FROM], theta[J.TO] = s_from, s_to
    theta[J.PISTON], theta[J.COLLAR] = setting.radii
    theta[J.CYLINDER] = (setting.strut.cylinder_diameter_mm or 0.0) / 2
    return theta


def _sources(setting: Setting, model: StrutModel, seen: Seen) -> tuple[list[Observations], list[Prior]]:
    """All that is known, as observations and priors."""
    blocks = [setting.fix.observations()]
    piston, collar = setting.radii
    band, places = seen.band_edge.points, (J.PISTON, J.FROM, J.EDGE_FROM, J.BOW_FROM)
    blocks.append(model.ring("band edge", band, *places, piston))
    if seen.rim is not None:
        places = (J.COLLAR, J.TO, J.EDGE_TO, J.BOW_TO)
        blocks.append(model.ring("collar rim", seen.rim.edge.points, *places, collar))
    pairs: list[tuple[str, tuple[Edge, Edge], J, tuple[J, J]]] = [
        ("piston outline in chrome", seen.limbs, J.PISTON, (J.LIMB_LEFT, J.LIMB_RIGHT)),
        ("band sides", seen.band_sides, J.PISTON, (J.BAND_LEFT, J.BAND_RIGHT)),
        ("cylinder sides", seen.paint, J.CYLINDER, (J.PAINT_LEFT, J.PAINT_RIGHT)),
    ]
    for source, edges, radius, shifts in pairs:
        for edge, shift, side in zip(edges, shifts, (-1.0, 1.0), strict=True):
            if len(edge.points):
                blocks.append(model.outline(source, edge.points, radius, shift, side))
    blocks += [model.stand_off(setting.told), model.parallel()]
    s = setting.strut
    diameters = {
        J.PISTON: (s.piston_diameter_mm, s.piston_diameter_u_mm),
        J.COLLAR: (s.collar_diameter_mm, s.collar_diameter_u_mm),
        J.CYLINDER: (s.cylinder_diameter_mm or 0.0, s.cylinder_diameter_u_mm or 1.0),
    }
    priors = [
        *camera_priors(setting.fix.camera),
        *card_priors(setting.fix.knowledge),
        *strut_priors(diameters, setting.blur),
    ]
    return blocks, priors


def _full_fit(setting: Setting, model: StrutModel, theta: Array, rim: Rim) -> StrutFit | Refusal:
    """Collect every edge about the axis, fit, collect again about the better axis, fit again."""
    s_from, s_to = float(theta[J.FROM]), rim.s_mm
    axis, camera = _axis_of(model, theta), model.fix.model.camera_of(theta)
    height = band_height(setting.window, camera, axis, setting.radii[0], s_from)
    search, rivals = 4.0, None
    for tolerance in (NEARLY, SETTLED):
        axis, camera = _axis_of(model, theta), model.fix.model.camera_of(theta)
        seen = _collect(setting, camera, axis, s_from, s_to, height, search, rivals)
        if len(seen.band_edge.points) < 5:
            return Refusal(NAME, notes.BAND_HIDDEN)
        if seen.rim is None:
            return Refusal(NAME, notes.COLLAR_HIDDEN)
        rivals = seen.rim.rivals
        model = StrutModel(setting.fix, AxisModel(axis), model.px_per_mm)
        start = theta.copy()
        start[J.AXIS : J.AXIS + AXIS_SIZE] = 0
        start[J.FROM], start[J.TO] = s_from, s_to + seen.rim.edge.offset_px / model.px_per_mm
        blocks, priors = _sources(setting, model, seen)
        try:
            solution = solve(start, STEPS, blocks, priors, tolerance=tolerance)
            trusted = _without_lost_limbs(seen, solution)
            if trusted is not seen:
                seen = trusted
                blocks, priors = _sources(setting, model, seen)
                solution = solve(solution.theta, STEPS, blocks, priors, tolerance=tolerance)
        except np.linalg.LinAlgError:
            return Refusal(NAME, notes.OUTLINE_LOST)
        theta = solution.theta
        s_from, s_to = float(theta[J.FROM]), float(theta[J.TO])
        search = 1.5
    return StrutFit(
        model,
        solution,
        tuple(priors),
        seen,
        rim,
        _axis_of(model, theta),
        model.fix.model.camera_of(theta),
    )


def _without_lost_limbs(seen: Seen, solution: Solution) -> Seen:
    """Drop outlines that lie farther from the true one than any shading explains: streaks, not limbs."""
    limbs = [
        NOTHING if abs(solution.theta[j] - LIMB_MEAN_PX) > LOST_PX else edge
        for j, edge in zip((J.LIMB_LEFT, J.LIMB_RIGHT), seen.limbs, strict=True)
    ]
    paint = [
        NOTHING if abs(solution.theta[j]) > LOST_PX / 2 else edge
        for j, edge in zip((J.PAINT_LEFT, J.PAINT_RIGHT), seen.paint, strict=True)
    ]
    if all(a is b for a, b in zip([*limbs, *paint], [*seen.limbs, *seen.paint], strict=True)):
        return seen
    return replace(seen, limbs=(limbs[0], limbs[1]), paint=(paint[0], paint[1]))


def _collect(
    setting: Setting,
    camera: Camera,
    axis: Axis,
    s_from: float,
    s_to: float,
    height: float,
    search: float,
    rivals: tuple[Place, ...] | None,
) -> Seen:
    piston, _collar = setting.radii
    band = _arc(setting, camera, axis, s_from, piston, (-ARC, ARC), search, 0.03)
    rim = _rim(setting, camera, axis, s_to, search, rivals)
    limbs = _sides(setting, camera, axis, piston, (s_from + 1.5, s_to - 3.0), search, 0.006)
    sides = _sides(setting, camera, axis, piston, (s_from - height + 1.5, s_from - 1.5), search, 0.02, True)
    paint = (NOTHING, NOTHING)
    if setting.strut.cylinder_diameter_mm:
        s = (s_to + COLLAR_CLEAR_MM, s_to + COLLAR_CLEAR_MM + 60.0)
        paint = _sides(setting, camera, axis, setting.strut.cylinder_diameter_mm / 2, s, search, 0.02)
    return Seen(band, rim, limbs, sides, paint)
