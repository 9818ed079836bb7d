"""The fast tier: struts ray-cast in numpy, with truth known to the last digit.

A scene is one strut with collar, band and card, seen by a pinhole camera with
radial distortion.  Only the window around strut and card is cast; the rest of
the picture is flat.  What matters for edges is physical: chrome mirrors the
surroundings, the collar's face and the card (Schlick's Fresnel term), the
band and the paint are matt, light adds up linearly, and only then come blur,
noise, the tone curve and JPEG.

Strut frame, mm: origin where the piston enters the collar's lower face;
x to the right, y into the picture (away from the viewer), z up the axis.
"""

from dataclasses import asdict, dataclass, field
from typing import Any

import cv2
import numpy as np

from tests.scenes.card_texture import card_texture
from vision.card import Card, supplied_cards

BLOCK = 1 << 16  # samples cast at once: the working set stays in cache
Array = np.ndarray


@dataclass(frozen=True)
class Lamp:
    """A bright (or dark) patch of the surroundings, soft at its border."""

    azimuth_deg: float
    elevation_deg: float
    half_width_deg: float
    half_height_deg: float
    level: float


@dataclass(frozen=True)
class StrutScene:
    """Everything that decides the picture.  Lengths mm, angles degrees."""

    seed: int = 1
    # camera
    width_px: int = 3024
    height_px: int = 4032
    focal_px: float = 3000.0
    k1: float = 0.0
    distance_mm: float = 1000.0
    elevation_deg: float = 5.0  # of the ray at the collar, positive from above
    azimuth_deg: float = 5.0
    roll_deg: float = 0.0
    aim_mm: tuple[float, float, float] = (20.0, 0.0, -60.0)
    # strut
    extension_mm: float = 88.9
    piston_diameter_mm: float = 62.0
    collar_diameter_mm: float = 98.0
    cylinder_diameter_mm: float = 90.0
    chamfer_mm: float = 1.0
    collar_height_mm: float = 32.0
    band_height_mm: float = 18.0
    below_mm: float = 60.0
    band_rgb: tuple[float, float, float] = (0.42, 0.035, 0.03)
    band_hidden_deg: tuple[float, float] | None = None  # azimuths of a dirt patch over the band's edge
    collar_level: float = 0.35
    face_level: float = 0.18
    cylinder_level: float = 0.6
    # card
    card: str = "strip"
    card_side: int = 1
    card_gap_mm: float = 12.0
    card_low_mm: float = 25.0  # how far the card's lower end hangs below the band's upper edge
    stand_off_mm: float = 0.0  # printed face behind (+) or in front (-) of the piston's front line
    card_pitch_deg: float = 0.0
    card_yaw_deg: float = 0.0
    card_roll_deg: float = 0.0
    card_bend_radius_mm: float | None = None
    card_scale: tuple[float, float] = (1.0, 1.0)
    card_copy: int = 101
    # light
    sky: float = 0.55
    ground: float = 0.22
    horizon_softness_deg: float = 12.0
    lamps: tuple[Lamp, ...] = (
        Lamp(145, 25, 8, 20, 1.6),
        Lamp(-120, 10, 15, 40, 0.9),
        Lamp(180, -5, 14, 30, 0.08),
    )
    light: tuple[float, float, float] = (-0.4, -0.7, 0.6)
    chrome_f0: float = 0.6
    # camera electronics
    exposure: float = 0.85
    blur_px: float = 0.9
    noise: float = 0.006
    gamma: float = 1.0
    jpeg_quality: int | None = 88
    supersample: int = 2
    tags: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Truth:
    """What the picture was made from."""

    extension_mm: float
    elevation_deg: float
    px_per_mm: float
    from_px: tuple[float, float]
    to_px: tuple[float, float]
    scene: dict[str, Any]


def camera_pose(scene: StrutScene) -> tuple[Array, Array]:
    """Return rotation (3, 3) strut frame → camera frame, and the camera's place (3,) mm."""
    e, psi = np.radians([scene.elevation_deg, scene.azimuth_deg])
    centre = scene.distance_mm * np.array([np.cos(e) * np.sin(psi), -np.cos(e) * np.cos(psi), np.sin(e)])
    z = np.asarray(scene.aim_mm) - centre
    z /= np.linalg.norm(z)
    right = np.cross(z, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    down = np.cross(z, right)
    c, s = np.cos(np.radians(scene.roll_deg)), np.sin(np.radians(scene.roll_deg))
    return np.array([c * right + s * down, -s * right + c * down, z]), centre


def project(scene: StrutScene, points: Array) -> Array:
    """Project points (N, 3) of the strut frame to pixels (N, 2), distortion included."""
    rotation, centre = camera_pose(scene)
    p = (np.asarray(points, float) - centre) @ rotation.T
    u = p[:, :2] / p[:, 2:]
    u = u * (1 + scene.k1 * np.sum(u**2, axis=1, keepdims=True))
    return scene.focal_px * u + [(scene.width_px - 1) / 2, (scene.height_px - 1) / 2]


def card_frame(scene: StrutScene, card: Card) -> tuple[Array, Array]:
    """Return the card's origin (3,) and its axes as rows (x, y, into the card) in the strut frame."""
    side = 1 if scene.card_side > 0 else -1
    b, yaw, roll = np.radians([scene.card_pitch_deg, scene.card_yaw_deg, scene.card_roll_deg])
    rx = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    rz = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    ry = np.array([[np.cos(roll), 0, np.sin(roll)], [0, 1, 0], [-np.sin(roll), 0, np.cos(roll)]])
    axes = np.array([[1.0, 0, 0], [0, 0, -1.0], [0, 1.0, 0]]) @ (rz @ rx @ ry).T
    size = np.array([card.width_mm, card.height_mm]) * scene.card_scale
    near = scene.piston_diameter_mm / 2 + scene.card_gap_mm + size[0] / 2
    middle = np.array(
        [
            side * near,
            scene.stand_off_mm - scene.piston_diameter_mm / 2,
            -scene.extension_mm - scene.card_low_mm + size[1] / 2,
        ]
    )
    # The stand-off is what a straight edge laid on the card would show: along the card's normal,
    # from the card's plane to the piston's front line at mid-span.
    span_middle = np.array([0, 0, -scene.extension_mm / 2])
    behind = axes[2] @ (middle - span_middle) + scene.piston_diameter_mm / 2
    middle = middle + (scene.stand_off_mm - behind) * axes[2]
    return middle - axes[0] * size[0] / 2 - axes[1] * size[1] / 2, axes


def _smooth(x: Array) -> Array:
    x = np.clip(x, 0, 1)
    return x * x * (3 - 2 * x)


def _surroundings(scene: StrutScene, d: Array) -> Array:
    """Light level (N,) that comes from the directions d (N, 3)."""
    horizontal = np.hypot(d[:, 0], d[:, 1])
    elevation = np.degrees(np.arctan2(d[:, 2], horizontal))
    azimuth = np.degrees(np.arctan2(d[:, 0], d[:, 1]))
    level = scene.ground + (scene.sky - scene.ground) * _smooth(
        0.5 + elevation / (2 * scene.horizon_softness_deg)
    )
    for lamp in scene.lamps:
        da = np.abs((azimuth - lamp.azimuth_deg + 180) % 360 - 180)
        inside = _smooth((lamp.half_width_deg - da) / 3 + 0.5) * _smooth(
            (lamp.half_height_deg - np.abs(elevation - lamp.elevation_deg)) / 3 + 0.5
        )
        level += (lamp.level - level) * inside
    return level


def _cylinder(o: Array, d: Array, radius: float, slope: float = 0.0) -> Array:
    """Nearest positive t of rays with x² + y² = (radius + slope·z)²; inf where missed."""
    a = d[:, 0] ** 2 + d[:, 1] ** 2 - (slope * d[:, 2]) ** 2
    r0 = radius + slope * o[2]
    b = o[0] * d[:, 0] + o[1] * d[:, 1] - slope * d[:, 2] * r0
    c = o[0] ** 2 + o[1] ** 2 - r0**2
    disc = b * b - a * c
    return np.where(disc > 0, (-b - np.sqrt(np.maximum(disc, 0))) / a, np.inf)


class _Caster:
    def __init__(self, scene: StrutScene) -> None:
        self.scene = scene
        cards = {card.name: card for card in supplied_cards()}
        self.card = cards.get(scene.card)
        self.texture_scale = 12.0
        if self.card is not None:
            self.texture = card_texture(self.card, self.texture_scale, scene.card_copy)
            self.card_origin, self.card_axes = card_frame(scene, self.card)
        light = np.asarray(scene.light)
        self.light = light / np.linalg.norm(light)

    def _matt(self, normal: Array, albedo: float) -> Array:
        s = self.scene
        facing = np.maximum(normal @ self.light, 0)
        ambient = 0.5 * (s.sky + s.ground) + 0.5 * (s.sky - s.ground) * normal[:, 2]
        return albedo * (0.7 * ambient + 0.75 * facing)

    def card_hit(self, o: Array, d: Array) -> tuple[Array, Array]:
        """Return t (N,) and card coordinates (N, 2) mm; t is inf off the card."""
        n = self.card_axes[2]
        rel = self.card_origin - o
        t = (rel @ n) / (d @ n)
        xy = np.empty((len(d), 2))
        for _ in range(1 if self.scene.card_bend_radius_mm is None else 6):
            p = d * t[:, None] - rel
            xy[:, 0], xy[:, 1] = p @ self.card_axes[0], p @ self.card_axes[1]
            if self.scene.card_bend_radius_mm is not None:
                y = xy[:, 1] - self.card.height_mm / 2
                sag = y * y / (2 * self.scene.card_bend_radius_mm)
                t = (rel @ n + sag) / (d @ n)
        xy /= self.scene.card_scale
        inside = (xy >= 0).all(axis=1) & (xy[:, 0] < self.card.width_mm) & (xy[:, 1] < self.card.height_mm)
        return np.where(inside & (t > 0), t, np.inf), xy

    def _card_colour(self, xy: Array) -> Array:
        p = (xy * self.texture_scale - 0.5).astype(np.float32)
        value = cv2.remap(
            self.texture, p[None, :, 0], p[None, :, 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )[0]
        return value * self._matt(-self.card_axes[2][None], 1.0)

    def _chrome(self, p: Array, d: Array) -> Array:
        s = self.scene
        normal = np.zeros_like(p)
        normal[:, :2] = p[:, :2] / (s.piston_diameter_mm / 2)
        cosine = -np.sum(d * normal, axis=1)
        r = d + 2 * cosine[:, None] * normal
        light = _surroundings(s, r)
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -p[:, 2] / r[:, 2]
            hit = p + t[:, None] * r
        radius = np.hypot(hit[:, 0], hit[:, 1])
        face = (t > 0) & (radius < s.collar_diameter_mm / 2)
        light = np.where(face, self._matt(np.array([[0, 0, -1.0]]), s.face_level)[0], light)
        if self.card is not None:
            n = self.card_axes[2]
            with np.errstate(divide="ignore", invalid="ignore"):
                tc = ((self.card_origin - p) @ n) / (r @ n)
                q = p + tc[:, None] * r - self.card_origin
            x, y = q @ self.card_axes[0], q @ self.card_axes[1]
            seen = (tc > 0) & (x > 0) & (x < self.card.width_mm) & (y > 0) & (y < self.card.height_mm)
            light = np.where(seen, 0.5, light)
        return light * (s.chrome_f0 + (1 - s.chrome_f0) * (1 - np.clip(cosine, 0, 1)) ** 5)

    def cast(self, o: Array, d: Array) -> Array:
        """Linear RGB (N, 3) of rays from o (3,) along d (N, 3)."""
        s = self.scene
        out, best = np.empty((len(d), 3)), np.full(len(d), np.inf)
        widest = max(
            s.collar_diameter_mm / 2 + s.chamfer_mm, s.cylinder_diameter_mm / 2, s.piston_diameter_mm * 0.8
        )
        near = np.flatnonzero(np.isfinite(_cylinder(o, d, widest)))
        if len(near):
            out[near], best[near] = self._strut(o, d[near])
        if self.card is not None:
            t, xy = self.card_hit(o, d)
            hit = t < best
            if hit.any():
                best[hit] = t[hit]
                out[hit] = self._card_colour(xy[hit])[:, None]
        beside = np.isinf(best)
        if beside.any():
            out[beside] = _surroundings(s, d[beside])[:, None]
        return out

    def _strut(self, o: Array, d: Array) -> tuple[Array, Array]:
        """Linear RGB (N, 3) and distance (N,) of rays that may meet the strut; inf where they do not."""
        s = self.scene
        rp, rc = s.piston_diameter_mm / 2, s.collar_diameter_mm / 2
        rb, top = rc + s.chamfer_mm, s.chamfer_mm + s.collar_height_mm
        out = np.zeros((len(d), 3))
        best = np.full(len(d), np.inf)

        def take(t: Array, low: float, high: float, shade: Any) -> None:
            with np.errstate(invalid="ignore"):
                z = o[2] + np.where(np.isfinite(t), t, 0) * d[:, 2]
                hit = np.isfinite(t) & (t > 0) & (t < best) & (z >= low) & (z < high)
            if hit.any():
                best[hit] = t[hit]
                out[hit] = shade(o + t[hit, None] * d[hit], d[hit])

        def matt(albedo: float, radius: float, slope: float = 0.0) -> Any:
            def shade(p: Array, _: Array) -> Array:
                n = np.column_stack([p[:, :2] / np.hypot(p[:, 0], p[:, 1])[:, None], np.full(len(p), -slope)])
                n /= np.sqrt(1 + slope * slope)
                return self._matt(n, albedo)[:, None]

            return shade

        def piston(p: Array, dd: Array) -> Array:
            rgb = np.repeat(self._chrome(p, dd)[:, None], 3, axis=1)
            band = (p[:, 2] < -s.extension_mm) & (p[:, 2] > -s.extension_mm - s.band_height_mm)
            if s.band_hidden_deg is not None:
                azimuth = np.degrees(np.arctan2(p[:, 0], -p[:, 1]))
                dirt = (azimuth > s.band_hidden_deg[0]) & (azimuth < s.band_hidden_deg[1])
                dirt &= np.abs(p[:, 2] + s.extension_mm) < 4
                rgb[dirt] = 0.08
                band &= ~dirt
            if band.any():
                n = np.column_stack([p[band, :2] / rp, np.zeros(band.sum())])
                rgb[band] = self._matt(n, 1.0)[:, None] * np.asarray(s.band_rgb) + 0.01
            return rgb

        take(_cylinder(o, d, rp), -s.extension_mm - s.band_height_mm - s.below_mm, 0.5, piston)
        take(_cylinder(o, d, rb), s.chamfer_mm, top, matt(s.collar_level, rb))
        if s.chamfer_mm > 0:
            take(_cylinder(o, d, rc, 1.0), 0.0, s.chamfer_mm, matt(s.collar_level, rc, 1.0))
        take(_cylinder(o, d, s.cylinder_diameter_mm / 2), top, top + 400, matt(s.cylinder_level, 1.0))
        low = -s.extension_mm - s.band_height_mm - s.below_mm
        take(_cylinder(o, d, rp * 1.6), low - 60, low, matt(0.12, 1.0))
        for height, radius, level, up in ((0.0, rc, s.face_level, -1.0), (top, rb, s.collar_level, 1.0)):
            with np.errstate(divide="ignore"):
                t = (height - o[2]) / d[:, 2]
            p = o + np.where(np.isfinite(t), t, 0)[:, None] * d
            ring = np.hypot(p[:, 0], p[:, 1]) < radius
            shade_level = self._matt(np.array([[0, 0, up]]), level)[0]
            take(np.where(ring, t, np.inf), -1e9, 1e9, lambda p, _, v=shade_level: np.full((len(p), 3), v))
        return out, best


def _window(scene: StrutScene, caster: _Caster) -> tuple[int, int, int, int]:
    rc = scene.collar_diameter_mm / 2 + scene.chamfer_mm + 14
    low = -scene.extension_mm - scene.band_height_mm - 25
    high = scene.chamfer_mm + scene.collar_height_mm + 40
    points = [(x, y, z) for x in (-rc, rc) for y in (-rc, rc) for z in (low, high)]
    if caster.card is not None:
        for x in (-4, caster.card.width_mm + 4):
            for y in (-4, caster.card.height_mm + 4):
                points.append(caster.card_origin + x * caster.card_axes[0] + y * caster.card_axes[1])
    px = project(scene, np.array(points))
    limit = [scene.width_px, scene.height_px]
    x0, y0 = np.clip((px.min(axis=0) // 16 * 16).astype(int), 0, limit)
    x1, y1 = np.clip(((px.max(axis=0) + 16) // 16 * 16).astype(int), 0, limit)
    return int(x0), int(y0), int(x1), int(y1)


def _undistort(xy: Array, k1: float) -> Array:
    if k1 == 0:
        return xy
    rd = np.linalg.norm(xy, axis=1, keepdims=True)
    r = rd.copy()
    for _ in range(4):
        r -= (r * (1 + k1 * r * r) - rd) / (1 + 3 * k1 * r * r)
    return xy * (r / np.maximum(rd, 1e-12))


def cast_window(scene: StrutScene) -> tuple[Array, tuple[int, int]]:
    """Return the linear window (h, w, 3) after the lens's blur, and its corner (x0, y0)."""
    caster = _Caster(scene)
    rng = np.random.default_rng(scene.seed)
    rotation, centre = camera_pose(scene)
    x0, y0, x1, y1 = _window(scene, caster)
    ss = scene.supersample
    width, height = (x1 - x0) * ss, (y1 - y0) * ss
    image = np.empty((height, width, 3), np.float32)
    middle = np.array([(scene.width_px - 1) / 2, (scene.height_px - 1) / 2])
    rows = max(1, BLOCK // width)
    columns = np.arange(width)
    for top in range(0, height, rows):
        r = np.arange(top, min(top + rows, height))
        # Jitter inside each cell: unbiased edges even where they run along the grid.
        jitter = rng.random((len(r), width, 2))
        px = np.stack(np.broadcast_arrays(columns[None, :], r[:, None]), axis=-1) + jitter
        px = (px / ss - 0.5 + [x0, y0] - middle).reshape(-1, 2) / scene.focal_px
        u = _undistort(px, scene.k1)
        d = np.column_stack([u, np.ones(len(u))]) @ rotation
        d /= np.linalg.norm(d, axis=1, keepdims=True)
        image[r] = caster.cast(centre, d).reshape(len(r), width, 3)
    sigma = scene.blur_px * ss
    if sigma > 0:
        image = cv2.GaussianBlur(image, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)
    return cv2.resize(image, (width // ss, height // ss), interpolation=cv2.INTER_AREA), (x0, y0)


def develop(scene: StrutScene, linear: Array) -> Array:
    """Exposure, shot and read noise, tone curve, 8 bits, JPEG: linear (h, w, 3) → uint8 RGB."""
    rng = np.random.default_rng(scene.seed + 7)
    light = linear * scene.exposure
    light = light + rng.normal(size=light.shape) * scene.noise * np.sqrt(0.15 + 0.85 * np.clip(light, 0, 1))
    light = np.clip(light, 0, 1) ** (1 / scene.gamma)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    picture = np.round(255 * code).astype(np.uint8)
    if scene.jpeg_quality is not None:
        _, data = cv2.imencode(".jpg", picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, scene.jpeg_quality])
        picture = cv2.imdecode(data, cv2.IMREAD_COLOR)[:, :, ::-1]
    return picture


def render(scene: StrutScene) -> tuple[Array, Truth]:
    """Return the upright picture (H, W, 3) uint8 RGB and its truth."""
    linear, (x0, y0) = cast_window(scene)
    window = develop(scene, linear)
    picture = np.empty((scene.height_px, scene.width_px, 3), np.uint8)
    picture[:] = np.median(window.reshape(-1, 3), axis=0).astype(np.uint8)
    picture[y0 : y0 + window.shape[0], x0 : x0 + window.shape[1]] = window
    rotation, centre = camera_pose(scene)
    ends = []
    rings = ((-scene.extension_mm, scene.piston_diameter_mm / 2), (0.0, scene.collar_diameter_mm / 2))
    for z, radius in rings:
        front = np.array([centre[0], centre[1]]) / np.hypot(centre[0], centre[1]) * radius
        ends.append([*front, z])
    px = project(scene, np.array(ends))
    depth = (np.array([0, 0, -scene.extension_mm / 2]) - centre) @ rotation[2]
    truth = Truth(
        extension_mm=scene.extension_mm,
        elevation_deg=scene.elevation_deg,
        px_per_mm=scene.focal_px / depth,
        from_px=(float(px[0, 0]), float(px[0, 1])),
        to_px=(float(px[1, 0]), float(px[1, 1])),
        scene=asdict(scene),
    )
    return picture, truth
