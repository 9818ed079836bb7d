"""Each quantity of a tire as a Reading with its budget and verdict, or a Refusal."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.leg import TireData
from vision.level import Level, choose_level
from vision.level.witness import AXLE_LEAN_U_DEG
from vision.notes import Note
from vision.photo import Photo
from vision.results import COVERAGE_FACTOR, Limits, Reading, Refusal, Result
from vision.tire import evidence
from vision.tire.contact import LIP_U_MM, Contact, contact_line
from vision.tire.creep import Mark, creep_angle, creep_own_u_mm
from vision.tire.geometry import geometry_of
from vision.tire.levels import GROUND, GROUND_TAPS, depth_below_middle, ground_angle_u, ray_slope
from vision.tire.line import RIVAL, Line, Scene, find_lines, line_angle, line_angle_u, within
from vision.tire.outline import outside_diameter
from vision.tire.profile import USUAL_DEFLECTION, Ground, Shape, usual_ground
from vision.tire.quantity import Variations, budget_of, variations
from vision.tire.section import Learned, Section, as_told
from vision.tire.straight import learn
from vision.tire.trial import CONCENTRIC_U_MM, OUTLINE_U
from vision.tire.wheel import Wheel
from vision.verdict import judge
from vision.wheel import CirclePose

Array = NDArray[np.float64]

MOST_U = {
    "pressure_line_angle": 3.0, "creep_angle": 3.0, "creep_arc": 8.0, "deflection": 0.12
}  # fmt: skip
MOST_U_SHARE = 0.06  # of a diameter or radius
# rms about a smooth course, or twice the first line's: beyond it a rival is a streak of dust or noise.
ROUGH_MM, ROUGH_PX = 0.25, 0.4
SAME_COURSE_MM, SAME_COURSE_DEG = 2.5, 4.0  # within which two pieces are one line
SQUASHED = "how far the tire is squashed"
LINE_PAINTED_U_DEG = 0.08  # how straight a line is moulded or painted, judged
LINE_LIT_U_MM = 0.2  # from end to end: how a raised line's edges are lit, and a worn one's run; judged


@dataclass(frozen=True)
class Measured:
    """What all quantities of one photo share."""

    photo: Photo
    tire: TireData
    wheel: Wheel
    contact: Contact | None
    ground: Ground | None  # the contact's, or as it usually is where none was seen
    levels: list[Level]
    remarks: tuple[Note, ...]
    px_per_mm: float
    seen: Mapping[str, Any]
    section: Section
    steep: bool = False  # the contact was found, and is seen too steeply to be used

    @property
    def learned(self) -> Learned:
        """The section with what its outline told of it."""
        return self.section.learned or as_told(self.wheel.shape)

    def remarks_on(self, name: str) -> tuple[Note, ...]:
        """What is said beside a quantity; a mark lies at the flange, where the section tells nothing."""
        contradicted = self.section.against is not None and not name.startswith("creep")
        return (*self.remarks, notes.SECTION_CONTRADICTED) if contradicted else self.remarks


def _result(
    measured: Measured, name: str, unit: str, doubt: tuple[float, Mapping[str, float]],
    seen: Mapping[str, Any], limits: Limits | None = None, limit_u: float = 0.0, more: tuple[Note, ...] = (),
) -> Result:  # fmt: skip
    value, variances = doubt
    expanded = COVERAGE_FACTOR * float(np.sqrt(sum(variances.values())))
    most = MOST_U.get(name, MOST_U_SHARE * abs(value))
    if not np.isfinite(value) or expanded > most:
        detail = f"U would be {expanded:.2g} {unit}" if np.isfinite(expanded) else ""
        return Refusal(name, notes.TIRE_TOO_UNCERTAIN, detail, dict(measured.seen) | dict(seen))
    verdict = None
    if limits is not None:
        verdict = judge(value, float(np.hypot(expanded, COVERAGE_FACTOR * limit_u)), limits)
    return Reading(
        name, value, unit, expanded, budget_of(variances), dict(measured.seen) | dict(seen),
        (*measured.remarks_on(name), *more), limits, verdict,
    )  # fmt: skip


def line_result(measured: Measured, scene: Scene | None) -> tuple[Result, str | None]:
    """Return the pressure line's angle against level, and which witness told level."""
    name = "pressure_line_angle"
    tire, wheel, contact = measured.tire, measured.wheel, measured.contact
    level = choose_level(measured.levels, tire.line_reference)
    if isinstance(level, Refusal) or scene is None:
        cause = level if isinstance(level, Refusal) else Refusal(name, notes.NO_LEVEL)
        return Refusal(name, cause.remedy, cause.detail, measured.seen), None
    line = _the_line(measured, scene)
    if isinstance(line, Refusal):
        return line, level.source
    ground = measured.ground
    own = {
        "line's own scatter": line_angle_u(line),
        "line as painted": LINE_PAINTED_U_DEG,
        "line's edges as lit": float(np.degrees(LINE_LIT_U_MM / line.length_mm)),
    }
    if contact is None and ground is not None:
        own[SQUASHED] = _by_squash(wheel, ground, line)
    told = level
    learned = learn(line, ground, wheel.fit.pose, wheel.fit.camera, measured.learned)

    def quantity(pose: CirclePose, camera: Camera, shape: Shape) -> float:
        if contact is not None and told.source in (GROUND, GROUND_TAPS):
            base = contact_line(contact, camera, pose, shape)[0]
        else:
            base = told.angle_deg if told.of is None else told.of(pose, camera)
        return (line_angle(line, ground, pose, camera, shape) - base + 90) % 180 - 90

    if contact is not None and told.source in (GROUND, GROUND_TAPS):
        own |= ground_angle_u(wheel, contact)
        if tire.line_reference == "gravity":
            own["floor's slope"] = float(np.sqrt(max(told.u_deg**2 - _plain_u(measured, told) ** 2, 0)))
    else:
        own[told.source] = told.own_u_deg
    lent = next(level for level in measured.levels if level.source == told.source).reference
    more = (notes.LEVEL_LENT,) if lent != tire.line_reference else ()
    limits = None
    if tire.line_limit_deg is not None:
        document = tire.document_of("line_limit_deg")
        limits = Limits(-tire.line_limit_deg, tire.line_limit_deg, document)
    seen = evidence.line_evidence(measured.wheel, line, told)
    around = variations(wheel, learned, measured.section.against)
    doubt = around.spread(around.of(quantity), own)
    result = _result(measured, name, "deg", doubt, seen, limits, tire.line_limit_u_deg, more)
    if isinstance(result, Reading):
        base = line_angle(line, ground, wheel.fit.pose, wheel.fit.camera, learned.shape) - result.value
        edges = float(np.sqrt(sum(u * u for name, u in own.items() if name.startswith("line"))))
        result = _to_place_on(result, wheel, learned.shape, ground, base, line.px[[0, -1]], edges)
    return result, told.source


def _by_squash(wheel: Wheel, ground: Ground, line: Line) -> float:
    """Standard uncertainty (deg) of a line's angle where nobody saw how far the tire is squashed."""
    pose, camera, shape = wheel.fit.pose, wheel.fit.camera, wheel.shape
    few, much = (
        line_angle(line, usual_ground(shape, ground.down, share), pose, camera, shape)
        for share in USUAL_DEFLECTION
    )
    return abs(much - few) / float(np.sqrt(12))


def _to_place_on(
    reading: Reading, wheel: Wheel, shape: Shape, ground: Ground | None, level_deg: float, read_px: Array,
    edges_u: float,
) -> Reading:  # fmt: skip
    """Return the reading with the geometry by which another person's marks are converted."""
    u = reading.expanded_uncertainty / COVERAGE_FACTOR
    geometry = geometry_of(wheel, shape, ground, level_deg, read_px, u, edges_u)
    return replace(reading, evidence=dict(reading.evidence) | {"geometry": geometry.to_json()})


def _plain_u(measured: Measured, told: Level) -> float:
    return next(level for level in measured.levels if level.source == told.source).u_deg


def _the_line(measured: Measured, scene: Scene) -> Line | Refusal:
    name, allowed = "pressure_line_angle", measured.tire.line_clock_deg
    lines = find_lines(scene, allowed)
    if lines:
        first = lines[0]
        rivals = [line for line in lines[1:] if _may_be_meant(line, first, scene)]
        if rivals:
            clocks = ", ".join(f"{line.clock_deg:.0f}°" for line in (first, *rivals))
            return Refusal(name, notes.LINES_SEVERAL, f"at {clocks}", measured.seen)
        return first
    elsewhere = [
        line
        for line in find_lines(scene, (allowed[1], allowed[0]))
        if not within(line.clock_deg, allowed, 1.0)
    ]
    if elsewhere:
        detail = f"at {elsewhere[0].clock_deg:.0f}°, it counts from {allowed[0]:.0f}° to {allowed[1]:.0f}°"
        return Refusal(name, notes.LINE_ELSEWHERE, detail, measured.seen)
    return Refusal(name, notes.LINE_NOT_FOUND, "", measured.seen)


def _may_be_meant(other: Line, first: Line, scene: Scene) -> bool:
    """Whether another bar may be the line as well as the first."""
    as_smooth = other.rough_mm < max(ROUGH_MM, ROUGH_PX / scene.px_per_mm, 2 * first.rough_mm)
    return other.strength > RIVAL * first.strength and as_smooth and not _continues(first, other, scene)


def _continues(first: Line, other: Line, scene: Scene) -> bool:
    """Whether a piece lies on the course of a line: dirt or a letter parts them, not the maker."""
    angle, turn = (
        line_angle(line, scene.ground, scene.pose, scene.camera, scene.shape) for line in (first, other)
    )
    a = np.radians(angle)
    off = abs(float((other.middle_mm - first.middle_mm) @ np.array([np.sin(a), np.cos(a)])))
    return off < SAME_COURSE_MM and abs((angle - turn + 90) % 180 - 90) < SAME_COURSE_DEG


def creep_results(measured: Measured, mark: Mark | Refusal, down: Array | None) -> list[Result]:
    """Return the slip as an angle and as an arc at the flange edge."""
    names = ("creep_angle", "creep_arc")
    if isinstance(mark, Refusal):
        return [Refusal(name, mark.remedy, mark.detail, measured.seen) for name in names]
    tire, found = measured.tire, mark
    ground = measured.ground
    own_mm = creep_own_u_mm(mark)
    edge = tire.flange_diameter_mm / 2
    seen = evidence.mark_evidence(measured.wheel, mark, down)
    more = (notes.MARK_REMNANT,) if mark.remnants else ()

    def angle(pose: CirclePose, camera: Camera, shape: Shape) -> float:
        return creep_angle(found, ground, pose, camera, shape)

    around = variations(measured.wheel, as_told(measured.wheel.shape))  # marks lie at the flange
    angles = around.of(angle)
    arcs = np.radians(angles) * around.of(lambda pose, _camera, _shape: pose.radius_mm)
    limit = tire.creep_limit_mm
    limits = None if limit is None else Limits(-limit, limit, tire.document_of("creep_limit_mm"))
    nearest = np.array([_nearest(found.tire_px, measured.wheel), _nearest(found.rim_px, measured.wheel)])
    own_deg = {source: float(np.degrees(u / edge)) for source, u in own_mm.items()}
    in_mm = _result(
        measured, names[1], "mm", around.spread(arcs, own_mm), seen, limits, tire.creep_limit_u_mm, more
    )
    if isinstance(in_mm, Reading):
        # The machine carries the tire's part over the sidewall to the edge; a person places at the edge.
        sidewall = set(measured.wheel.shape.moved())
        own_u2 = [line.standard_uncertainty**2 for line in in_mm.budget if line.source in sidewall]
        edges = float(np.sqrt(sum(own_u2) + sum(u * u for u in own_mm.values())))
        in_mm = _to_place_on(in_mm, measured.wheel, measured.wheel.shape, ground, 0.0, nearest, edges)
    return [_result(measured, names[0], "deg", around.spread(angles, own_deg), seen, more=more), in_mm]


def _nearest(px: Array, wheel: Wheel) -> Array:
    """The point (2,) of a mark's part that lies nearest to the flange's edge."""
    xy = wheel.fit.pose.meet(wheel.fit.camera.rays(px))
    return np.asarray(px[int(np.argmin(np.abs(np.hypot(xy[:, 0], xy[:, 1]) - wheel.fit.pose.radius_mm)))])


def size_results(measured: Measured) -> list[Result]:
    """Return outside diameter, loaded radius and deflection."""
    wheel, contact = measured.wheel, measured.contact
    outline = wheel.outline

    def outside(pose: CirclePose, camera: Camera, shape: Shape) -> float:
        return outside_diameter(outline.px, shape)(pose, camera)

    own_outside = {
        "tire's outline": OUTLINE_U * outline.diameter_mm + outline.scatter_mm / np.sqrt(12),
        "tire off its rim's middle": CONCENTRIC_U_MM,
    }
    seen_outline = evidence.outline_evidence(wheel)
    around = variations(wheel, measured.learned, measured.section.against)
    diameters = around.of(outside)
    in_all = around.spread(diameters, own_outside)
    first = _result(measured, "outside_diameter", "mm", in_all, seen_outline)
    if contact is None:
        return [
            first,
            *(
                Refusal(n, notes.CONTACT_NOT_FOUND, "", measured.seen)
                for n in ("loaded_radius", "deflection")
            ),
        ]
    found = contact
    seen = evidence.contact_evidence(wheel, contact)
    length = max(float(np.ptp(contact.along_mm)), 1.0)
    own_loaded = {
        "where rubber and ground part": float(
            np.hypot(LIP_U_MM * ray_slope(wheel, contact), contact.parting_u_mm)
        ),
        "axle's lean": float(np.radians(AXLE_LEAN_U_DEG)) * depth_below_middle(wheel, contact),
        "ground contact": max(contact.sigma_mm, 0.2) / float(np.sqrt(max(length / 6, 2))),
    }

    def loaded(pose: CirclePose, camera: Camera, shape: Shape) -> float:
        return contact_line(found, camera, pose, shape)[1]

    heights = around.of(loaded)
    second = _result(measured, "loaded_radius", "mm", around.spread(heights, own_loaded), seen)
    third = _deflection(
        measured, around, diameters, heights, sum(in_all[1].values()), own_outside, own_loaded
    )
    return [first, second, third]


def _deflection(
    measured: Measured, around: Variations, diameters: Array, heights: Array, photo_u2: float,
    own_outside: Mapping[str, float], own_loaded: Mapping[str, float],
) -> Result:  # fmt: skip
    """(OD/2 − loaded radius) / (OD/2 − flange radius), OD the photo's and the book's, weighted.

    The share of the section's height by which the load presses it in; the book's diameter is that of
    the leg's data with its range.  `diameters` and `heights` are those of all variations.
    """
    tire = measured.tire
    own_u2 = sum(u * u for u in own_outside.values())
    book_u2 = tire.outside_diameter_u_mm**2
    weight = 1.0 if book_u2 == 0 else 1 / book_u2 / (1 / book_u2 + 1 / photo_u2)
    radii = around.of(lambda pose, _camera, _shape: pose.radius_mm)
    halves = (weight * tire.outside_diameter_mm + (1 - weight) * diameters) / 2
    span = float(halves[0] - radii[0])
    # d/dOD and d/d(loaded radius) of the share.
    by_outside = 0.5 * float(heights[0] - radii[0]) / span**2
    own = {source: u / span for source, u in own_loaded.items()}
    own["tire's outline"] = by_outside * (1 - weight) * float(np.sqrt(own_u2))
    own["outside diameter by the book"] = by_outside * weight * tire.outside_diameter_u_mm
    doubt = around.spread((halves - heights) / (halves - radii), own)
    return _result(measured, "deflection", "1", doubt, {"book_weight": round(weight, 3)})
