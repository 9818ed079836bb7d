"""The fast tier for wheels: rim, bulged tire, ground, line and creep mark cast in numpy with known truth.

The scene and its frame stand in `wheel_scene.py`.
"""

import cv2
import numpy as np

from tests.scenes.card_texture import card_texture
from tests.scenes.wheel_light import develop
from tests.scenes.wheel_scene import (
    WheelScene,
    WheelTruth,
    at_bead,
    clock_direction,
    pose,
    section_at,
    sidewall_depth,
    truth_of,
)
from vision.camera import rotation_from_vector
from vision.card import supplied_cards

Array = np.ndarray
ARRIVED_MM = 1e-9
FINE = 4  # samples along each side of a pixel that an edge crosses


class _Caster:
    def __init__(self, scene: WheelScene) -> None:
        self.scene = scene
        self.rotation, self.place = pose(scene)
        rng = np.random.default_rng(scene.seed + 99)
        self.boxes = rng.uniform([-1, -1, 0.05, 0.05, 0.1], [1, 0.4, 0.5, 0.4, 0.9], (scene.clutter, 5))
        self.mottle = cv2.GaussianBlur(rng.normal(size=(512, 512)).astype(np.float32), (0, 0), 1.5)
        self.mottle /= self.mottle.std()
        g = np.radians(scene.camber_deg)
        self.up = np.array([0.0, -np.cos(g), np.sin(g)])
        if scene.card_at_mm is not None:
            self.card = next(card for card in supplied_cards() if card.name == "plate")
            self.texture = card_texture(self.card, 8.0)

    def cast(self, px: Array) -> Array:
        """Linear RGB (N, 3) of the pixels (N, 2)."""
        s = self.scene
        d = (px - [(s.width_px - 1) / 2, (s.height_px - 1) / 2]) / s.focal_px
        if s.k1:
            rd = np.linalg.norm(d, axis=1, keepdims=True)
            r = rd.copy()
            for _ in range(5):
                r -= (r * (1 + s.k1 * r * r) - rd) / (1 + 3 * s.k1 * r * r)
            d = d * r / np.maximum(rd, 1e-12)
        rays = np.column_stack([d, np.ones(len(d))]) @ self.rotation
        out = self._wall(d)
        ground_t = self._ground(rays, out)
        flat = self.place[:2] - rays[:, :2] * (self.place[2] / rays[:, 2])[:, None]
        self._tire(rays, ground_t, out)
        flat = self._on_lip(rays, flat)
        rim = np.hypot(flat[:, 0], flat[:, 1]) < s.flange_radius
        out[rim] = self._rim(flat[rim])
        self._cap(rays, out)
        if s.hidden_clock_deg is not None:
            clock = np.degrees(np.arctan2(flat[:, 0], -flat[:, 1])) % 360
            a, b = s.hidden_clock_deg
            hidden = ((clock - a) % 360 < (b - a) % 360) & (np.hypot(flat[:, 0], flat[:, 1]) > 40)
            out[hidden] = 0.2
        if s.card_at_mm is not None:
            self._lay_card(rays, out)
        if s.plumb_at_mm is not None:
            self._hang_line(rays, out)
        return out

    def _on_lip(self, rays: Array, flat: Array) -> Array:
        """Places where rays meet the rim's lip; inside it the rim lies in the flange's plane."""
        s = self.scene
        if not s.lip_round_mm:
            return flat
        near = np.abs(np.hypot(flat[:, 0], flat[:, 1]) / s.flange_radius - (1 + s.second_circle) / 2)
        index = np.flatnonzero(near < (1 - s.second_circle) / 2 + 0.1)
        d = rays[index]
        z = np.full(len(index), -s.lip_round_mm)
        xy = flat[index]
        for _ in range(8):
            xy = self.place[:2] + d[:, :2] * ((z - self.place[2]) / d[:, 2])[:, None]
            left = np.clip(np.hypot(xy[:, 0], xy[:, 1]) - s.flange_radius + s.lip_round_mm, 0, s.lip_round_mm)
            z = -np.sqrt(s.lip_round_mm**2 - left**2)
        r = np.hypot(xy[:, 0], xy[:, 1])
        out = flat.copy()
        # Where the lip's face ends, its step hides what lies behind.
        seen = r > s.second_circle * s.flange_radius
        out[index[seen]] = xy[seen]
        return out

    def _wall(self, d: Array) -> Array:
        level = self.scene.wall_level * (1 + 0.15 * d[:, 0] - 0.2 * d[:, 1])
        for x, y, w, h, value in self.boxes:
            inside = (np.abs(d[:, 0] - x * 0.4) < w * 0.3) & (np.abs(d[:, 1] - y * 0.4) < h * 0.3)
            level = np.where(inside, value, level)
        return np.repeat(level[:, None], 3, axis=1)

    def _ground(self, rays: Array, out: Array) -> Array:
        s = self.scene
        foot = np.array([0.0, s.loaded_radius_mm, 0.0])
        with np.errstate(divide="ignore"):
            t = ((foot - self.place) @ self.up) / (rays @ self.up)
        hit = (t > 0) & (t < 2.5 * s.distance_mm)
        p = self.place + t[hit, None] * rays[hit]
        grain = self._grain(p[:, 0], p[:, 2])
        shadow = np.exp(-(((p[:, 2] - s.section[3]) / 90) ** 2) - (p[:, 0] / 260) ** 2)
        shadow = np.maximum(shadow, self._crevice(p))
        if s.hard_shadow_mm is not None:
            front = s.section[3] - s.section_width_mm / 2 - s.hard_shadow_mm
            shadow = np.maximum(shadow, 1.2 * (p[:, 2] > front + 0.1 * p[:, 0]))
        dark = np.maximum(1 - 0.5 * shadow, 0.08)
        out[hit] = (s.ground_level * (1 + 0.08 * grain) * dark)[:, None]
        return np.where(hit, t, np.inf)

    def _crevice(self, p: Array) -> Array:
        """How dark the ground is close before the contact: the tire's overhang takes its light."""
        s = self.scene
        if not s.crevice_mm:
            return np.zeros(len(p))
        half = np.sqrt(max((s.outside_diameter_mm / 2) ** 2 - s.loaded_radius_mm**2, 1.0))
        x = np.clip(p[:, 0], -0.98 * half, 0.98 * half)
        front = np.nan_to_num(sidewall_depth(s, x, np.full(len(p), s.loaded_radius_mm)), nan=s.section[3])
        back = 2 * s.section[3] - front
        along = np.maximum(np.maximum(front - p[:, 2], p[:, 2] - back), 0)
        away = np.hypot(along, np.maximum(np.abs(p[:, 0]) - half, 0))
        return np.asarray(1.8 * np.exp(-away / s.crevice_mm))

    def _grain(self, a: Array, b: Array) -> Array:
        i, j = (a * 0.8).astype(int) % 512, (b * 0.8).astype(int) % 512
        return self.mottle[i, j]

    def _tire(self, rays: Array, ground_t: Array, out: Array) -> None:
        """Newton steps from before the tire: the section is convex, so they stop at its near side."""
        s = self.scene
        _, _, width, depth = s.section
        near = np.flatnonzero(self._may_meet(rays))
        d, t = rays[near], (depth - 1.25 * width - self.place[2]) / rays[near, 2]
        value = np.empty(len(t))
        going = np.arange(len(t))  # who has not arrived: where the next step is nothing, so are all after it
        for _ in range(12):
            on, at = d[going], t[going]
            here = self._value(self.place + at[:, None] * on)
            slope = (self._value(self.place + (at + 0.05)[:, None] * on) - here) / 0.05
            step = np.clip(np.where(slope < -1e-9, -here / np.minimum(slope, -1e-9), 0), -20, 60) * 0.999
            value[going], t[going] = here, at + step
            going = going[np.abs(step) > ARRIVED_MM]
        hit = (np.abs(value) < 2e-3) & (t < ground_t[near])
        p = (self.place + t[:, None] * d)[hit]
        out[near[hit]] = self._rubber(p)

    def _value(self, p: Array) -> Array:
        s = self.scene
        r = np.hypot(p[:, 0], p[:, 1])
        middle, half, width = section_at(s, p[:, 0], p[:, 1], r)
        z = p[:, 2] + at_bead(s, middle, half, r)
        a, b = (r - middle) / half, (z - s.section[3]) / width
        return np.abs(a) ** s.exponent + np.abs(b) ** s.exponent - 1

    def _may_meet(self, rays: Array) -> Array:
        s = self.scene
        z = np.array([s.section[3] - 1.2 * s.section[2], s.section[3] + 0.5 * s.section[2]])
        t = (z - self.place[2]) / rays[:, 2:]
        reach = s.outside_diameter_mm / 2 + 3
        p = self.place[:2] + t[:, :, None] * rays[:, None, :2]
        return (np.hypot(p[..., 0], p[..., 1]) < reach).any(axis=1)

    def _rubber(self, p: Array) -> Array:
        s = self.scene
        x, y = p[:, 0], p[:, 1]
        r = np.hypot(x, y)
        facing = np.clip((s.section[3] - p[:, 2]) / s.section[2], 0, 1)
        light = s.rubber_level * (0.6 + 0.5 * facing) * (1 + 0.05 * self._grain(3 * x, 3 * y))
        if s.rib:
            ring = s.flange_radius + s.rib * (s.outside_diameter_mm / 2 - s.flange_radius)
            light = light * (1 + 0.6 * (np.abs(r - ring) < 1.2))
        rgb = np.repeat(light[:, None], 3, axis=1)
        for radius in (s.line_radius, s.second_line_radius):
            if s.line_angle_deg is None or radius is None:
                continue
            at = self._line_centre(radius)
            a = np.radians(s.line_angle_deg)
            u = (x - at[0]) * np.cos(a) - (y - at[1]) * np.sin(a)
            v = (x - at[0]) * np.sin(a) + (y - at[1]) * np.cos(a)
            on = (np.abs(u) < s.line_length_mm / 2) & (np.abs(v) < s.line_width_mm / 2)
            rgb[on & (p[:, 2] < s.section[3])] = s.line_level
        if s.mark_parts in ("both", "tire"):
            for clock in self._marks():
                on = self._stripe(x, y, clock, s.creep_deg) & (r < s.flange_radius + s.mark_length_mm)
                rgb[on] = s.mark_rgb
        self._remnant("tire", x, y, r < s.flange_radius + s.mark_length_mm, rgb)
        return rgb

    def _remnant(self, part: str, x: Array, y: Array, near: Array, rgb: Array) -> None:
        if self.scene.remnant is None or self.scene.remnant[1] not in (part, "both"):
            return
        clock, _, strength, width = self.scene.remnant
        on = self._stripe(x, y, clock, 0.0, width) & near
        rgb[on] = (1 - strength) * rgb[on] + strength * np.array(self.scene.mark_rgb)

    def _line_centre(self, radius: float) -> Array:
        s = self.scene
        r = s.flange_radius + radius * (s.outside_diameter_mm / 2 - s.flange_radius)
        return r * clock_direction(s.line_clock_deg)

    def _marks(self) -> list[float]:
        s = self.scene
        return [c for c in (s.mark_clock_deg, s.second_mark_clock_deg) if c is not None]

    def _stripe(
        self, x: Array, y: Array, clock: float, crept: float = 0.0, width: float | None = None
    ) -> Array:
        """Where a stripe lies that was painted straight over the edge at a clock, its part crept since."""
        a = np.radians(crept)
        x, y = x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a)
        along = clock_direction(clock)
        across = np.array([-along[1], along[0]])
        out = x * along[0] + y * along[1]
        skew = np.tan(np.radians(self.scene.mark_skew_deg)) * (out - self.scene.flange_radius)
        half = (self.scene.mark_width_mm if width is None else width) / 2
        return (np.abs(x * across[0] + y * across[1] - skew) < half) & (out > 0)

    def _rim(self, xy: Array) -> Array:
        s = self.scene
        x, y = xy[:, 0], xy[:, 1]
        r = np.hypot(x, y) / s.flange_radius
        light = np.where(r > s.second_circle, s.rim_level, 0.75 * s.rim_level)
        light = np.where(r > max(s.lip, s.second_circle), 1.15 * light, light) if s.lip else light
        light = np.where(r < s.hub_circle, 1.1 * s.rim_level, light)
        hole = np.abs((np.degrees(np.arctan2(y, x)) + 15) % 45 - 22.5) < 7
        light = np.where(hole & (np.abs(r - 0.62) < 0.07), 0.05, light)
        light = light * (1 + s.rim_shade * (x - y) / s.flange_radius)
        rgb = np.repeat(light[:, None], 3, axis=1)
        if s.mark_parts in ("both", "rim"):
            for clock in self._marks():
                on = self._stripe(x, y, clock) & (r * s.flange_radius > s.flange_radius - s.mark_length_mm)
                rgb[on] = s.mark_rgb
        self._remnant("rim", x, y, r * s.flange_radius > s.flange_radius - s.mark_length_mm, rgb)
        return np.asarray(rgb * self._turned_away(x, y)[:, None])

    def _turned_away(self, x: Array, y: Array) -> Array:
        """Light left on the lip's rounding, which turns away to the dark rubber; sooner where it looks down."""
        s = self.scene
        if not s.lip_round_mm:
            return np.ones(len(x))
        r = np.hypot(x, y)
        left = np.clip((r - s.flange_radius + s.lip_round_mm) / s.lip_round_mm, 0, 1)
        round_deg = np.degrees(np.arccos(left))  # 0 on the widest circle, 90 on the face
        dark = s.lip_dark_deg * (1 + 0.25 * y / np.maximum(r, 1e-9))
        return np.asarray(0.08 + 0.92 / (1 + np.exp(-(round_deg - dark) / 7.0)))

    def _cap(self, rays: Array, out: Array) -> None:
        s = self.scene
        if not s.cap_depth_mm:
            return
        flat = self.place[:2] - rays[:, :2] * ((self.place[2] + s.cap_depth_mm) / rays[:, 2])[:, None]
        on = np.hypot(flat[:, 0], flat[:, 1]) < s.second_circle * s.flange_radius
        x, y = flat[on].T
        out[on] = (0.7 * s.rim_level * (1 + s.rim_shade * (x + y) / s.flange_radius))[:, None]

    def _hang_line(self, rays: Array, out: Array) -> None:
        """A dark cord hanging along gravity at x and depth z."""
        s = self.scene
        assert s.plumb_at_mm is not None
        x0, z0 = s.plumb_at_mm
        t = (z0 - self.place[2]) / rays[:, 2]
        p = self.place + t[:, None] * rays
        slope = np.tan(np.radians(s.ground_slope_deg))
        on = (np.abs(p[:, 0] - x0 - slope * p[:, 1]) < 1.2) & (p[:, 1] < s.loaded_radius_mm - 30)
        out[on] = 0.02

    def _lay_card(self, rays: Array, out: Array) -> None:
        s = self.scene
        at = np.asarray(s.card_at_mm)
        lean = rotation_from_vector(np.radians([*s.card_lean_deg, 0.0]))
        normal = lean[:, 2]
        p = self.place + ((at - self.place) @ normal / (rays @ normal))[:, None] * rays - at
        flat = p @ lean
        a = np.radians(s.card_turn_deg)
        x = (flat[:, 0] * np.cos(a) - flat[:, 1] * np.sin(a)) / s.card_print[0] + self.card.width_mm / 2
        y = (flat[:, 0] * np.sin(a) + flat[:, 1] * np.cos(a)) / s.card_print[1] + self.card.height_mm / 2
        on = (x > 0) & (y > 0) & (x < self.card.width_mm) & (y < self.card.height_mm)
        if not on.any():
            return
        at_px = (np.column_stack([x[on], y[on]]) * 8 - 0.5).astype(np.float32)
        # In parts: OpenCV maps no more than 32 767 rows at once.
        seen = [
            cv2.remap(
                self.texture, part[:, :1], part[:, 1:], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
            )
            for part in np.array_split(at_px, len(at_px) // 30_000 + 1)
        ]
        out[on] = 0.85 * np.concatenate(seen)


def cast_picture(scene: WheelScene) -> Array:
    """Return the linear picture (H, W, 3) after the lens's blur."""
    caster = _Caster(scene)
    h, w = scene.height_px, scene.width_px
    yy, xx = np.mgrid[0:h, 0:w].astype(float)
    pixels = np.column_stack([xx.ravel(), yy.ravel()])
    picture = np.concatenate([caster.cast(part) for part in np.array_split(pixels, 24)])
    image = picture.reshape(h, w, 3).astype(np.float32)
    grey = image.mean(axis=2)
    box = np.ones((3, 3), np.uint8)
    edge = (cv2.dilate(grey, box) - cv2.erode(grey, box)) > 0.035 + 0.1 * grey
    at = pixels[edge.ravel()]
    if len(at):
        rng = np.random.default_rng(scene.seed)
        total = np.zeros((len(at), 3))
        for i in range(FINE):
            for j in range(FINE):
                # Jitter inside each cell: unbiased edges even where they run along the grid.
                shift = (np.array([i, j]) + rng.random((len(at), 2))) / FINE - 0.5
                total += caster.cast(at + shift)
        image[edge] = total / FINE**2
    if scene.blur_px > 0:
        image = cv2.GaussianBlur(image, (0, 0), scene.blur_px, borderType=cv2.BORDER_REPLICATE)
    return image


def render(scene: WheelScene) -> tuple[Array, WheelTruth]:
    """Return the upright picture (H, W, 3) uint8 RGB and its truth."""
    return develop(scene, cast_picture(scene)), truth_of(scene)  # type: ignore[arg-type]
