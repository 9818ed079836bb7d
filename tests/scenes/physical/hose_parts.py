"""The bodies of traced hoses: covers, end fittings, clamps, tape, ties, labels, drops and frayed ends."""

from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from tests.scenes.physical.hose_cover import cover, places
from tests.scenes.physical.hose_scene import Array, Curve, HoseBody, Seen, Thing, Worn
from tests.scenes.physical.meshes import Mesh, beam, bezier, ellipsoid, grid, tube
from tests.scenes.physical.stage import Bsdf, Stage, colour, matt, metal, paint
from tests.scenes.physical.tire_paint import noise

TURNS = 96
SEEN_BEYOND_MM = 60.0  # beyond the picture's border a cover goes on this far
TAPES = ((0.5, 0.38, 0.04), (0.02, 0.02, 0.022), (0.45, 0.45, 0.46), (0.4, 0.03, 0.02), (0.03, 0.1, 0.35))
TEXTS = ("PN 4471-08", "HYD", "SN 20931", "BRAKE RH", "2Q26", "LOT 118", "REF 32-40")


def swept(line: Curve, arc: Array, radius: Array, angle: Array | None = None) -> Mesh:
    """A sheet round a course: radius (N,) at places (N,) along; all round, or over the angles told."""
    turn = np.linspace(-np.pi, np.pi, TURNS + 1) if angle is None else angle
    around = np.broadcast_to(turn[None, :], (len(arc), len(turn)))
    return grid(
        line.on(np.repeat(arc[:, None], len(turn), 1), around, np.repeat(radius[:, None], len(turn), 1))
    )


def stretch(seen: Seen, index: int) -> tuple[float, float]:
    """From where to where along a hose its cover may be seen, mm."""
    line, hose = seen.curves[index], seen.scene.hoses[index]
    near = seen.inside(seen.px(line.points), -SEEN_BEYOND_MM * float(seen.px_per_mm(line.points).max()))
    there = line.arc[near & (line.arc >= hose.start_mm) & (line.arc <= hose.end_mm)]
    return (float(there[0]), float(there[-1])) if len(there) else (hose.start_mm, hose.start_mm + 1.0)


def add_hose(stage: Stage, seen: Seen, index: int) -> None:
    """One hose's cover, as far as it is near the picture, with its worn places and films of oil."""
    scene, line = seen.scene, seen.curves[index]
    hose = scene.hoses[index]
    first, last = stretch(seen, index)
    # Half as fine again as the photo: finer grain than it resolves is not drawn.
    fine = float(np.clip(1.5 * np.median(seen.px_per_mm(line.points)), 3.0, 14.0))
    worn = [one for one in scene.worn if one.hose == index]
    fluid = [one for one in scene.things if one.hose == index and one.kind == "fluid"]
    made = cover(hose, places(hose, first, last, fine), worn, fluid)
    arc = np.linspace(first, last, max(8, round((last - first) / 1.5)))
    body = swept(line, arc, np.full(len(arc), hose.diameter_mm / 2))
    surface: Bsdf = {
        "type": "principled", "base_color": colour(made.colour), "roughness": colour(made.rough[..., None]),
        "metallic": made.metal, "specular": 0.5,
    }  # fmt: skip
    height = {
        "type": "bitmap",
        "array": made.height[..., None].astype(np.float32),
        "raw": True,
        "wrap_mode": "clamp",
    }
    bump: Bsdf = {"type": "bumpmap", "height": height, "scale": 1.0, "inner": surface}
    stage.mesh(body, {"type": "twosided", "inner": bump}, smooth=True)
    for one in worn:
        if one.grade == 3 and hose.cover != "rubber":
            _add_frayed(stage, line, hose, one)
    for other in scene.things:
        if other.hose == index:
            ADDS.get(other.kind, _nothing)(stage, line, hose, other)


def _nothing(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """Fluid is part of the cover."""


def _add_frayed(stage: Stage, line: Curve, hose: HoseBody, one: Worn) -> None:
    """Ends of threads or wires that stand off the cover."""
    rng = np.random.default_rng([one.seed, 5])
    wire = hose.cover == "metal_braid"
    bsdf = metal("Cr", 0.2) if wire else matt(np.array([0.5, 0.45, 0.36]))
    for _ in range(int(rng.integers(5, 10))):
        r, turn = 0.8 * np.sqrt(rng.random()), rng.uniform(0, 2 * np.pi)
        s = one.at_mm + r * np.cos(turn) * one.size_mm / 2
        a = one.angle_rad + r * np.sin(turn) * one.around_mm / hose.diameter_mm
        way, length, high = rng.uniform(0, 2 * np.pi), rng.uniform(1.5, 3.5), rng.uniform(0.4, 1.6)
        steps = np.array([0.0, 0.3, 0.7, 1.0]) * length
        at = s + steps * np.cos(way)
        round_ = a + steps * np.sin(way) / (hose.diameter_mm / 2)
        lift = hose.diameter_mm / 2 + np.array([-0.1, 0.5, 0.9, 1.0]) * high
        ends = line.on(at, round_, lift)
        stage.mesh(tube(bezier(list(ends), 14), 0.14 if wire else 0.16, 8), bsdf, smooth=True)


def _sleeve(
    stage: Stage, line: Curve, first: float, last: float, inner: float, outer: float, bsdf: Bsdf
) -> None:
    """A body round a hose with flat ends."""
    for arc, radius in (
        (np.array([first, first]), np.array([inner, outer])),
        (np.linspace(first, last, max(3, round(2 * (last - first)))), None),
        (np.array([last, last]), np.array([outer, inner])),
    ):
        rings = np.full(len(arc), outer) if radius is None else radius
        stage.mesh(swept(line, arc, rings), bsdf, smooth=radius is None)


def _add_clamp(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A worm-drive band with its housing and screw."""
    r = hose.diameter_mm / 2
    rng = np.random.default_rng(one.seed)
    steel = metal("Cr", float(rng.uniform(0.12, 0.3)))
    _sleeve(stage, line, one.first_mm, one.last_mm, r - 0.2, r + 0.7, steel)
    middle, long = (one.first_mm + one.last_mm) / 2, one.last_mm - one.first_mm
    place, front, right = line.at(np.array(middle))
    out = np.cos(one.angle_rad) * front + np.sin(one.angle_rad) * right
    aside = np.cos(one.angle_rad) * right - np.sin(one.angle_rad) * front
    box = place + (r + 2.6) * out
    along = np.cross(out, aside)
    stage.mesh(beam(box - 5 * aside, box + 5 * aside, 0.9 * long, 4.5, along), steel)
    stage.rod(box - 9 * aside, box + 5 * aside, 2.6, steel)


def _add_p_clamp(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A cushioned clip: rubber under a steel band whose tab goes off to the structure."""
    r = hose.diameter_mm / 2
    _sleeve(stage, line, one.first_mm, one.last_mm, r - 0.2, r + 1.5, matt((0.012, 0.012, 0.013)))
    _sleeve(stage, line, one.first_mm + 1.5, one.last_mm - 1.5, r, r + 2.2, metal("Al", 0.2))
    place, front, right = line.at(np.array((one.first_mm + one.last_mm) / 2))
    side = np.sign(one.angle_rad) or 1.0
    out = 0.9 * side * right - 0.4 * front
    along = np.cross(front, right)
    start, end = place + r * out, place + (r + 22) * out
    stage.mesh(beam(start, end, 0.7 * (one.last_mm - one.first_mm), 2.4, along), metal("Al", 0.2))
    bolt = place + (r + 15) * out
    stage.rod(bolt - 3 * front, bolt + 5 * front, 4.0, metal("Cr", 0.15))
    stage.rod(bolt - 2 * front, bolt + 3 * front, 6.5, metal("Cr", 0.25))


def _add_tape(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """Turns of tape, a little creased."""
    rng = np.random.default_rng(one.seed)
    arc = np.linspace(one.first_mm, one.last_mm, 60)
    lift = 0.3 + 0.12 * noise((60, 1), 4, rng)[:, 0]
    lift[[0, -1]] = -0.1
    stage.mesh(
        swept(line, arc, hose.diameter_mm / 2 + lift),
        paint(TAPES[rng.integers(len(TAPES))], 0.2),
        smooth=True,
    )


def _add_tie(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A plastic tie with its head."""
    r, plastic = hose.diameter_mm / 2, paint((0.02, 0.02, 0.02), 0.25)
    _sleeve(stage, line, one.first_mm, one.last_mm, r - 0.1, r + 1.1, plastic)
    middle = (one.first_mm + one.last_mm) / 2
    head = line.on(np.array([middle]), np.array([one.angle_rad]), np.array([r + 2.2]))[0]
    _, front, right = line.at(np.array(middle))
    stage.mesh(beam(head - 3 * right, head + 3 * right, 5.5, 4.0, np.cross(front, right)), plastic)


def _add_label(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A printed label laid round a part of the hose."""
    rng = np.random.default_rng(one.seed)
    arc = np.linspace(one.first_mm, one.last_mm, 24)
    angle = one.angle_rad + np.linspace(-0.75, 0.75, 24)
    long, wide = one.last_mm - one.first_mm, 1.5 * hose.diameter_mm / 2
    picture = Image.new("L", (round(16 * long), round(16 * wide)), 235)
    pen = ImageDraw.Draw(picture)
    pen.text((10, 6), str(rng.choice(TEXTS)), 20, font_size=0.4 * picture.height)
    pen.text((10, picture.height / 2), str(rng.choice(TEXTS)), 20, font_size=0.36 * picture.height)
    sheet = np.asarray(picture, float).T[..., None] / 255 * np.array([0.75, 0.74, 0.7])
    body = swept(line, arc, np.full(24, hose.diameter_mm / 2 + 0.15), angle)
    stage.mesh(body, paint(sheet, 0.2), smooth=True)


def _add_drop(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A drop of oil that sits on the cover."""
    place, front, right = line.at(np.array((one.first_mm + one.last_mm) / 2))
    out = np.cos(one.angle_rad) * front + np.sin(one.angle_rad) * right
    aside = np.cos(one.angle_rad) * right - np.sin(one.angle_rad) * front
    long = one.last_mm - one.first_mm
    ball = ellipsoid((long / 2, 0.4 * long, 0.22 * long), np.zeros(3))
    turn = np.column_stack([np.cross(aside, out), aside, out])
    oil: Bsdf = {
        "type": "principled",
        "base_color": colour((0.05, 0.02, 0.008)),
        "roughness": 0.04,
        "specular": 0.5,
    }
    stage.mesh(
        ball.moved(turn, place + 0.99 * hose.diameter_mm / 2 * out),
        {"type": "twosided", "inner": oil},
        smooth=True,
    )


def _add_fitting(stage: Stage, line: Curve, hose: HoseBody, one: Thing) -> None:
    """A crimped ferrule, a nut and the pipe that goes on; the hose ends inside the ferrule."""
    r, rng = hose.diameter_mm / 2, np.random.default_rng(one.seed)
    way = 1.0 if one.first_mm >= hose.end_mm - 1 else -1.0
    end = hose.end_mm if way > 0 else hose.start_mm
    shell = metal("Al" if rng.random() < 0.4 else "Cr", float(rng.uniform(0.12, 0.3)))
    t = np.linspace(0, 1, 90)
    grooves = 0.06 * r * (np.sin(2 * np.pi * t * 4) < -0.2) * (t > 0.1) * (t < 0.9)
    ferrule = r * (1.13 - 0.12 * np.clip((t - 0.9) / 0.1, 0, 1)) - grooves
    ferrule[0] = 0.9 * r
    stage.mesh(swept(line, end + way * 3.0 * r * (t - 0.08), ferrule), shell)
    six = np.linspace(-np.pi, np.pi, 7) + rng.uniform(0, 1)
    flat = np.array([0.8, 1.28, 1.28, 0.8]) * r
    nut = metal("Cr", 0.2) if rng.random() < 0.6 else paint((0.03, 0.08, 0.3), 0.15)
    stage.mesh(swept(line, end + way * r * np.array([2.8, 2.8, 4.4, 4.4]), flat, six), nut)
    far = line.arc[-1] if way > 0 else line.arc[0]
    pipe = np.linspace(end + way * 4.3 * r, far, 200)
    stage.mesh(swept(line, pipe, np.full(200, 0.55 * r)), shell, smooth=True)


ADDS: dict[str, Any] = {
    "clamp": _add_clamp, "p_clamp": _add_p_clamp, "tape": _add_tape, "tie": _add_tie, "label": _add_label,
    "drop": _add_drop, "fitting": _add_fitting,
}  # fmt: skip
