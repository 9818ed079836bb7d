"""Rays of the fast tier: what light comes back from strut, card and surroundings."""

from collections.abc import Callable

import cv2
import numpy as np

from tests.scenes.card_texture import card_texture
from tests.scenes.strut_camera import card_frame
from tests.scenes.strut_light import horizon, with_lamps
from tests.scenes.strut_scene import StrutScene
from vision.card import supplied_cards

Array = np.ndarray
Shade = Callable[[Array, Array], Array]
Take = Callable[[Array, float, float, Shade], None]


def cylinder_hit(o: Array, d: Array, radius: float, slope: float = 0.0) -> Array:
    """Nearest positive t of rays with x² + y² = (radius + slope·z)²; inf where missed."""
    a = d[:, 0] ** 2 + d[:, 1] ** 2 - (slope * d[:, 2]) ** 2
    r0 = radius + slope * o[2]
    b = o[0] * d[:, 0] + o[1] * d[:, 1] - slope * d[:, 2] * r0
    c = o[0] ** 2 + o[1] ** 2 - r0**2
    disc = b * b - a * c
    return np.where(disc > 0, (-b - np.sqrt(np.maximum(disc, 0))) / a, np.inf)


class Caster:
    """One scene, ready to be cast; the methods are what the hard scenes change."""

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

    def surroundings(self, d: Array) -> Array:
        """Light level (N,) that comes from the directions d (N, 3)."""
        return with_lamps(self.scene, d, horizon(self.scene, d))

    def background(self, d: Array) -> Array:
        """Linear light (N, 1) or RGB (N, 3) where a ray meets nothing."""
        return self.surroundings(d)[:, None]

    def matt(self, normal: Array, albedo: float) -> Array:
        """Light (N,) of a matt surface with unit normals (N, 3)."""
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

    def card_colour(self, xy: Array) -> Array:
        """Light (N,) of the card's face at card coordinates (N, 2)."""
        p = (xy * self.texture_scale - 0.5).astype(np.float32)
        value = cv2.remap(
            self.texture, p[None, :, 0], p[None, :, 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )[0]
        return value * self.matt(-self.card_axes[2][None], 1.0)

    def chrome(self, p: Array, d: Array) -> Array:
        """Linear RGB (N, 3) of chrome at p (N, 3), seen along d (N, 3): what it mirrors."""
        s = self.scene
        normal = np.zeros_like(p)
        normal[:, :2] = p[:, :2] / (s.piston_diameter_mm / 2)
        cosine = -np.sum(d * normal, axis=1)
        r = d + 2 * cosine[:, None] * normal
        light = self.surroundings(r)
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -p[:, 2] / r[:, 2]
            hit = p + t[:, None] * r
        radius = np.hypot(hit[:, 0], hit[:, 1])
        face = (t > 0) & (radius < s.collar_diameter_mm / 2)
        light = np.where(face, self.matt(np.array([[0, 0, -1.0]]), s.face_level)[0], light)
        if self.card is not None:
            n = self.card_axes[2]
            with np.errstate(divide="ignore", invalid="ignore"):
                tc = ((self.card_origin - p) @ n) / (r @ n)
                q = p + tc[:, None] * r - self.card_origin
            x, y = q @ self.card_axes[0], q @ self.card_axes[1]
            seen = (tc > 0) & (x > 0) & (x < self.card.width_mm) & (y > 0) & (y < self.card.height_mm)
            light = np.where(seen, 0.5, light)
        light = light * (s.chrome_f0 + (1 - s.chrome_f0) * (1 - np.clip(cosine, 0, 1)) ** 5)
        return self.mirrored(p, r, np.repeat(light[:, None], 3, axis=1))

    def mirrored(self, p: Array, r: Array, rgb: Array) -> Array:
        """Colours (N, 3) that chrome at p gives along the mirrored rays r: here as they are."""
        return rgb

    def band_rgb(self, p: Array) -> Array:
        """Reflectance (3,) or (N, 3) of the band at p (N, 3)."""
        return np.asarray(self.scene.band_rgb)

    def piston(self, p: Array, dd: Array) -> Array:
        """Linear RGB (N, 3) of the piston: chrome, the band, dirt over its edge."""
        s = self.scene
        rgb = self.chrome(p, dd)
        band = (p[:, 2] < -s.extension_mm) & (p[:, 2] > -s.extension_mm - s.band_height_mm)
        if s.band_hidden_deg is not None:
            azimuth = np.degrees(np.arctan2(p[:, 0], -p[:, 1]))
            dirt = (azimuth > s.band_hidden_deg[0]) & (azimuth < s.band_hidden_deg[1])
            dirt &= np.abs(p[:, 2] + s.extension_mm) < 4
            rgb[dirt] = 0.08
            band &= ~dirt
        if band.any():
            n = np.column_stack([p[band, :2] / (s.piston_diameter_mm / 2), np.zeros(band.sum())])
            rgb[band] = self.matt(n, 1.0)[:, None] * self.band_rgb(p[band]) + 0.01
        return rgb

    def round_wall(self, albedo: float, slope: float = 0.0) -> Shade:
        """How a matt cylinder or cone about the axis is shaded."""

        def shade(p: Array, _: Array) -> Array:
            n = np.column_stack([p[:, :2] / np.hypot(p[:, 0], p[:, 1])[:, None], np.full(len(p), -slope)])
            n /= np.sqrt(1 + slope * slope)
            return self.matt(n, albedo)[:, None]

        return shade

    def collar_wall(self, slope: float) -> Shade:
        """How the collar's wall (slope 0) and its chamfer (slope 1) are shaded."""
        return self.round_wall(self.scene.collar_level, slope)

    def cast(self, o: Array, d: Array) -> Array:
        """Linear RGB (N, 3) of rays from o (3,) along d (N, 3)."""
        s = self.scene
        out, best = np.empty((len(d), 3)), np.full(len(d), np.inf)
        widest = max(
            s.collar_diameter_mm / 2 + s.chamfer_mm, s.cylinder_diameter_mm / 2, s.piston_diameter_mm * 0.8
        )
        near = np.flatnonzero(np.isfinite(cylinder_hit(o, d, widest)))
        if len(near):
            out[near], best[near] = self._strut(o, d[near])
        if self.card is not None:
            t, xy = self.card_hit(o, d)
            hit = t < best
            if hit.any():
                best[hit] = t[hit]
                out[hit] = self.card_colour(xy[hit])[:, None]
        self.things(o, d, out, best)
        beside = np.isinf(best)
        if beside.any():
            out[beside] = self.background(d[beside])
        return out

    def things(self, o: Array, d: Array, out: Array, best: Array) -> None:
        """Lay other bodies over the colours (N, 3) and distances (N,): here none."""

    def on_strut(self, o: Array, d: Array, take: Take) -> None:
        """Give other bodies about the axis to `take`: here none."""

    def _strut(self, o: Array, d: Array) -> tuple[Array, Array]:
        """Linear RGB (N, 3) and distance (N,) of rays that may meet the strut; inf where they do not."""
        s = self.scene
        rp, rc = s.piston_diameter_mm / 2, s.collar_diameter_mm / 2
        rb, top = rc + s.chamfer_mm, s.chamfer_mm + s.collar_height_mm
        out = np.zeros((len(d), 3))
        best = np.full(len(d), np.inf)

        def take(t: Array, low: float, high: float, shade: Shade) -> None:
            with np.errstate(invalid="ignore"):
                z = o[2] + np.where(np.isfinite(t), t, 0) * d[:, 2]
                hit = np.isfinite(t) & (t > 0) & (t < best) & (z >= low) & (z < high)
            if hit.any():
                best[hit] = t[hit]
                out[hit] = shade(o + t[hit, None] * d[hit], d[hit])

        take(cylinder_hit(o, d, rp), -s.extension_mm - s.band_height_mm - s.below_mm, 0.5, self.piston)
        take(cylinder_hit(o, d, rb), s.chamfer_mm, top, self.collar_wall(0.0))
        if s.chamfer_mm > 0:
            take(cylinder_hit(o, d, rc, 1.0), 0.0, s.chamfer_mm, self.collar_wall(1.0))
        take(
            cylinder_hit(o, d, s.cylinder_diameter_mm / 2), top, top + 400, self.round_wall(s.cylinder_level)
        )
        low = -s.extension_mm - s.band_height_mm - s.below_mm
        take(cylinder_hit(o, d, rp * 1.6), low - 60, low, self.round_wall(0.12))
        for height, radius, level, up in ((0.0, rc, s.face_level, -1.0), (top, rb, s.collar_level, 1.0)):
            with np.errstate(divide="ignore"):
                t = (height - o[2]) / d[:, 2]
            p = o + np.where(np.isfinite(t), t, 0)[:, None] * d
            ring = np.hypot(p[:, 0], p[:, 1]) < radius
            shade_level = self.matt(np.array([[0, 0, up]]), level)[0]
            take(np.where(ring, t, np.inf), -1e9, 1e9, lambda p, _, v=shade_level: np.full((len(p), 3), v))
        self.on_strut(o, d, take)
        return out, best
