"""Traced hoses drawn by chance, as a phone of 12 megapixels sees them: "fair" with wear, "clean" without."""

from dataclasses import replace

import numpy as np

from tests.scenes.physical.geometry import DIAGONAL_35_MM, Array
from tests.scenes.physical.hose_scene import HoseBody, HoseScene, Seen, Thing, Worn
from tests.scenes.physical.scene import CameraPose, Light, Post

WIDTH_PX, HEIGHT_PX = 4032, 3024
STREAM = {"fair": 71, "clean": 72}
COVERS = ("rubber", "textile", "metal_braid")
LEAST_HOSE_PX, LEAST_WORN_PX = 45.0, 12.0
LENGTHS = {"clamp": (8, 14), "p_clamp": (11, 16), "tape": (12, 35), "tie": (4, 6), "label": (14, 28), "drop": (2.5, 6), "fluid": (12, 40)}  # fmt: skip
PRINTS = ((0.55, 0.42, 0.03), (0.55, 0.55, 0.53), (0.4, 0.04, 0.02))
Rng = np.random.Generator


def hose_scenes(kind: str, count: int, seed: int) -> list[HoseScene]:
    """`count` scenes of a kind; the k-th depends on (seed, k) only."""
    return [hose_scene(kind, seed, k) for k in range(count)]


def hose_scene(kind: str, seed: int, k: int) -> HoseScene:
    """The k-th scene of a seed; the first hose's covers take turns."""
    rng = np.random.default_rng([seed, k, STREAM[kind]])
    camera, scale = _camera(rng)
    scene = HoseScene(
        f"hose_{kind}_{seed}_{k:03d}",
        int(rng.integers(1, 100_000)),
        _hoses(rng, COVERS[k % 3], scale),
        camera=camera,
        light=_light(rng),
        post=_post(rng),
        bars=int(rng.choice([0, 0, 1, 2])),
    )
    scene = _ended(rng, scene)
    worn = () if kind == "clean" else _worn(rng, scene)
    return replace(scene, worn=worn, things=scene.things + _things(rng, replace(scene, worn=worn)))


def _camera(rng: Rng) -> tuple[CameraPose, float]:
    """A careful photo: near enough for 3.5 to 12 px a mm, not nearer than a phone focuses."""
    f35 = float(rng.choice([24, 26, 28, 52], p=[0.25, 0.4, 0.15, 0.2]))
    f_px = f35 * float(np.hypot(WIDTH_PX, HEIGHT_PX)) / DIAGONAL_35_MM
    distance = float(np.clip(f_px / np.exp(rng.uniform(np.log(3.5), np.log(12.0))), 230, 1500))
    pose = CameraPose(
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        f35_mm=f35,
        distance_mm=distance,
        azimuth_deg=float(rng.uniform(-25, 25)),
        elevation_deg=float(rng.uniform(-35, 35)),
        aim_x_mm=0.0,
        aim_s_mm=0.0,
        roll_deg=float(rng.normal() * 5),
        aperture_mm=float(rng.uniform(0.4, 1.0)),
        k1=float(rng.normal() * 0.008),
        lateral_colour=float(rng.normal() * 1e-4),
    )
    return pose, f_px / distance


def _hoses(rng: Rng, cover: str, scale: float) -> tuple[HoseBody, ...]:
    """A hose through the picture; sometimes one across it or one beside it."""
    wide = WIDTH_PX / scale
    first = _hose(rng, cover, scale, rng.uniform(-25, 25) + 180 * (rng.random() < 0.5))
    hoses = [replace(first, offset_mm=float(rng.uniform(-0.12, 0.12) * wide))]
    chance = rng.random()
    if chance < 0.3:  # crosses before or behind
        other = _hose(
            rng, COVERS[rng.integers(3)], scale, first.turn_deg + rng.choice([-1, 1]) * rng.uniform(45, 85)
        )
        apart = (first.diameter_mm + other.diameter_mm) / 2 + first.depth_bow_mm + other.depth_bow_mm
        side = rng.choice([-1, 1])
        depth = first.depth_mm + side * (apart + rng.uniform(2, 20))
        hoses.append(replace(other, depth_mm=float(depth), offset_mm=float(rng.uniform(-0.2, 0.2) * wide)))
    elif chance < 0.5:  # runs beside it
        other = _hose(rng, COVERS[rng.integers(3)], scale, 0.0)
        apart = (first.diameter_mm + other.diameter_mm) / 2 + rng.uniform(4, 45)
        way = ("turn_deg", "bow_mm", "wave_mm", "phase", "depth_mm", "depth_bow_mm")
        beside = replace(other, **{key: getattr(first, key) for key in way})
        hoses.append(replace(beside, offset_mm=float(hoses[0].offset_mm + rng.choice([-1, 1]) * apart)))
    return tuple(hoses)


def _hose(rng: Rng, cover: str, scale: float, turn: float) -> HoseBody:
    wide = WIDTH_PX / scale
    printed = cover == "rubber" and rng.random() < 0.5
    return HoseBody(
        diameter_mm=float(rng.uniform(max(6.0, LEAST_HOSE_PX / scale), 25.0)),
        cover=cover,
        turn_deg=float(turn),
        offset_mm=0.0,
        bow_mm=float(rng.uniform(0.015, 0.07) * wide),
        wave_mm=float(rng.uniform(0.19, 0.33) * wide),
        phase=float(rng.uniform(0, 2 * np.pi)),
        depth_mm=float(rng.uniform(-20, 30)),
        depth_bow_mm=float(rng.uniform(0, 0.05) * wide),
        reach_mm=1.1 * wide,
        seed=int(rng.integers(1e9)),
        dust=float(rng.choice([0.05, 0.2, 0.45], p=[0.35, 0.4, 0.25])),
        line_rad=float(rng.uniform(-1.6, 1.6)),
        print_rgb=PRINTS[rng.integers(3)] if printed else None,
    )


def _ended(rng: Rng, scene: HoseScene) -> HoseScene:
    """End some of the hoses inside the picture with a fitting."""
    hoses, things = list(scene.hoses), []
    seen = Seen(scene)
    for index, hose in enumerate(hoses):
        line = seen.curves[index]
        there = line.arc[seen.inside(seen.px(line.points), 0)]
        if rng.random() > 0.35 or len(there) < 100:
            continue
        share, fitting = rng.uniform(0.08, 0.25), int(rng.integers(1e9))
        length = 2.2 * hose.diameter_mm
        if rng.random() < 0.5:
            end = float(there[0] + share * (there[-1] - there[0]))
            hoses[index] = replace(hose, start_mm=end)
            things.append(Thing("fitting", index, end - length, end, 0.0, fitting))
        else:
            end = float(there[-1] - share * (there[-1] - there[0]))
            hoses[index] = replace(hose, end_mm=end)
            things.append(Thing("fitting", index, end, end + length, 0.0, fitting))
    return replace(scene, hoses=tuple(hoses), things=tuple(things))


def open_places(seen: Seen, index: int, size_mm: float) -> Array:
    """Places along a hose where something of this length lies on the cover, in the picture and unhidden."""
    hose, line = seen.scene.hoses[index], seen.curves[index]
    pixels, scale = seen.px(line.points), seen.px_per_mm(line.points)
    margin = 0.02 * seen.view.width
    good = (line.arc > hose.start_mm + size_mm / 2 + 4) & (line.arc < hose.end_mm - size_mm / 2 - 4)
    good &= seen.inside(pixels, margin + size_mm * float(scale.max()) / 2)
    for other in range(len(seen.scene.hoses)):
        if other == index:
            continue
        beside = seen.px(seen.curves[other].points[::8])
        away = np.array([np.hypot(*(beside - pixel).T).min() for pixel in pixels[::8]])
        room = (hose.diameter_mm / 2 + seen.scene.hoses[other].diameter_mm / 2 + 0.5 * size_mm) * scale
        good &= np.interp(line.arc, line.arc[::8], away) > _beside(seen, index, other, room)
    return np.asarray(line.arc[good])


def _beside(seen: Seen, index: int, other: int, room: Array) -> Array:
    """How far off another hose's middle a place must lie: one that runs beside hides nothing."""
    if seen.scene.hoses[index].turn_deg != seen.scene.hoses[other].turn_deg:
        return room
    both = seen.scene.hoses[index].diameter_mm + seen.scene.hoses[other].diameter_mm
    return np.asarray(room * 0 + seen.px_per_mm(seen.curves[index].points).min() * both / 2)


def _worn(rng: Rng, scene: HoseScene) -> tuple[Worn, ...]:
    """One to four worn places of 4 to 20 mm, apart from each other."""
    seen, found = Seen(scene), []
    for _ in range(int(rng.integers(1, 5))):
        index = int(rng.integers(len(scene.hoses)))
        hose = scene.hoses[index]
        least = LEAST_WORN_PX / float(seen.px_per_mm(seen.curves[index].points).min())
        size = float(rng.uniform(max(4.0, least), 20.0))
        free = open_places(seen, index, size)
        free = (
            free[[all(w.hose != index or abs(w.at_mm - s) > 30 for w in found) for s in free]]
            if len(free)
            else free
        )
        if not len(free):
            continue
        around = float(min(size * rng.uniform(0.45, 0.9), 0.9 * hose.diameter_mm))
        found.append(
            Worn(
                index, float(rng.choice(free)), float(rng.uniform(-0.8, 0.8)), size, around,
                int(rng.integers(1, 4)), int(rng.integers(1e9)),
            )
        )  # fmt: skip
    return tuple(found)


def _things(rng: Rng, scene: HoseScene) -> tuple[Thing, ...]:
    """Two to five things that are no wear, none over a worn place or another thing."""
    seen, found = Seen(scene), []
    for kind in rng.choice(list(LENGTHS), int(rng.integers(2, 6)), replace=False):
        index = int(rng.integers(len(scene.hoses)))
        length = float(rng.uniform(*LENGTHS[str(kind)]))
        taken = [(w.at_mm, w.size_mm) for w in scene.worn if w.hose == index]
        taken += [((t.first_mm + t.last_mm) / 2, t.last_mm - t.first_mm) for t in found if t.hose == index]
        free = np.array(
            [
                s
                for s in open_places(seen, index, length)[::4]
                if all(abs(s - a) > (length + b) / 2 + 6 for a, b in taken)
            ]
        )
        if len(free):
            at = float(rng.choice(free))
            turned = float(rng.uniform(-0.9, 0.9))
            found.append(
                Thing(str(kind), index, at - length / 2, at + length / 2, turned, int(rng.integers(1e9)))
            )
    return tuple(found)


def _light(rng: Rng) -> Light:
    return Light(
        kind=str(rng.choice(["hangar", "door", "overcast", "sun", "night"])),
        turn_deg=float(rng.uniform(0, 360)),
        warmth=float(rng.uniform(-0.3, 0.6)),
    )


def _post(rng: Rng) -> Post:
    return Post(
        psf_sigma_px=float(rng.uniform(0.6, 1.3)),
        full_well_e=float(rng.uniform(3500, 12000)),
        s_curve=float(rng.uniform(-0.1, 0.25)),
        cast=(float(rng.normal(1, 0.03)), float(rng.normal(1, 0.03))),
        sharpen=float(rng.uniform(0, 0.5)),
        jpeg_quality=int(rng.integers(80, 94)),
    )
