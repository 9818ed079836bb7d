"""The bodies and lights that only the hard scenes have (`tests.scenes.extras`)."""

import numpy as np

from tests.scenes.caster import Array, Caster, Shade, Take, cylinder_hit
from tests.scenes.extras import Board, Extras
from tests.scenes.strut_light import azimuth_of, horizon, smooth, with_lamps
from tests.scenes.strut_scene import StrutScene

RED_THING = np.array([0.5, 0.04, 0.035])
SLOT_MM = 8.0
LIP_LEVEL = 0.05  # black rubber
SLOT_LEVEL = 0.25  # of the wall's light: a recess 2.5 mm deep


class HardCaster(Caster):
    """A strut with everything that its scene's extras name."""

    def __init__(self, scene: StrutScene) -> None:
        super().__init__(scene)
        self.extras = scene.extras or Extras()
        side, fore = np.radians(self.extras.rake_deg)
        about_y = np.array([[np.cos(side), 0, np.sin(side)], [0, 1, 0], [-np.sin(side), 0, np.cos(side)]])
        about_x = np.array([[1, 0, 0], [0, np.cos(fore), -np.sin(fore)], [0, np.sin(fore), np.cos(fore)]])
        self.lean = about_y @ about_x
        rng = np.random.default_rng([scene.seed, 5])
        self.waves = rng.uniform([2, 0.05, 0, 0], [14, 0.6, 2 * np.pi, 2 * np.pi], (10, 4))

    def surroundings(self, d: Array) -> Array:
        """As ever, but the horizon lies level in the world, and the far background may be split."""
        level = horizon(self.scene, d @ self.lean.T)
        if self.extras.split is not None:
            border, other = self.extras.split
            off = (azimuth_of(d) - border + 180) % 360 - 180
            # A twentieth of a degree is 3 px of a phone's picture: a wall's edge, a little out of focus.
            level += (other - level) * smooth(off / 0.05 + 0.5) * (off < 60)
        return with_lamps(self.scene, d, level)

    def background(self, d: Array) -> Array:
        """RGB (N, 3): what is far away, with the red thing in it."""
        return self._reddened(d, np.repeat(self.surroundings(d)[:, None], 3, axis=1))

    def mirrored(self, p: Array, r: Array, rgb: Array) -> Array:
        """Mirrored things, then the oil that lies on the chrome."""
        rgb = self._reddened(r, rgb)
        for board in self.extras.boards:
            with np.errstate(divide="ignore", invalid="ignore"):
                t = (board.centre_mm[1] - p[:, 1]) / r[:, 1]
                seen = (t > 0) & _inside(board, p + t[:, None] * r)
            rgb[seen] = 0.6 * self.matt(np.array([[0, -1.0, 0]]), 1.0)[0] * np.asarray(board.rgb)
        for ring in self.extras.oil:
            rgb[np.abs(p[:, 2] - ring.z_mm) < ring.height_mm / 2] *= np.asarray(ring.rgb)
        return rgb

    def band_rgb(self, p: Array) -> Array:
        """The band's reflectance under patches of grime."""
        clean = np.asarray(self.scene.band_rgb)
        if self.extras.band_dirt == 0:
            return clean
        azimuth = np.arctan2(p[:, 0], -p[:, 1])[:, None]
        around, along, turn, shift = self.waves.T
        patches = np.sin(np.round(around) * azimuth + turn) * np.sin(along * p[:, 2:] + shift)
        cover = self.extras.band_dirt * smooth(0.5 + 0.45 * patches.sum(axis=1))[:, None]
        return clean * (1 - cover) + np.array([0.07, 0.05, 0.04]) * cover

    def collar_wall(self, slope: float) -> Shade:
        """The wall with its spanner slots, which are dark; the chamfer has them where they run through."""
        plain = super().collar_wall(slope)
        if self.extras.slots == 0 or (slope > 0 and not self.extras.slots_through_rim):
            return plain
        s = self.scene
        share = self.extras.slots * SLOT_MM / (np.pi * s.collar_diameter_mm)
        from_z = 0.0 if self.extras.slots_through_rim else s.chamfer_mm + 0.35 * s.collar_height_mm

        def shade(p: Array, d: Array) -> Array:
            turn = (np.arctan2(p[:, 0], -p[:, 1]) * self.extras.slots / (2 * np.pi) + 0.3) % 1.0
            slot = (np.abs(turn - 0.5) < share / 2) & (p[:, 2] >= from_z)
            return plain(p, d) * np.where(slot, SLOT_LEVEL, 1.0)[:, None]

        return shade

    def on_strut(self, o: Array, d: Array, take: Take) -> None:
        """The wiper's lip: a short rubber sleeve below the rim, its lower end flat."""
        if self.extras.lip_mm <= 0:
            return
        radius = self.scene.piston_diameter_mm / 2 + self.extras.lip_over_mm
        take(cylinder_hit(o, d, radius), -self.extras.lip_mm, 0.0, self.round_wall(LIP_LEVEL))
        with np.errstate(divide="ignore"):
            t = (-self.extras.lip_mm - o[2]) / d[:, 2]
        p = o + np.where(np.isfinite(t), t, 0)[:, None] * d
        end = np.hypot(p[:, 0], p[:, 1]) < radius
        level = self.matt(np.array([[0, 0, -1.0]]), LIP_LEVEL)[0]
        take(np.where(end, t, np.inf), -1e9, 1e9, lambda p, _: np.full((len(p), 3), level))

    def things(self, o: Array, d: Array, out: Array, best: Array) -> None:
        """Boards before or beside the strut."""
        for board in self.extras.boards:
            with np.errstate(divide="ignore", invalid="ignore"):
                t = (board.centre_mm[1] - o[1]) / d[:, 1]
                hit = (t > 0) & (t < best)
            hit[hit] = _inside(board, o + t[hit, None] * d[hit])
            best[hit] = t[hit]
            out[hit] = self.matt(np.array([[0, -1.0, 0]]), 1.0)[0] * np.asarray(board.rgb)

    def _reddened(self, d: Array, rgb: Array) -> Array:
        if self.extras.red_patch is None:
            return rgb
        azimuth, elevation, half = self.extras.red_patch
        up = np.degrees(np.arctan2(d[:, 2], np.hypot(d[:, 0], d[:, 1])))
        away = np.abs((azimuth_of(d) - azimuth + 180) % 360 - 180)
        red = (away < half) & (np.abs(up - elevation) < half)
        rgb[red] = RED_THING
        return rgb


def _inside(board: Board, p: Array) -> Array:
    """Whether points (N, 3) of a board's plane lie on it, (N,)."""
    c, s = np.cos(np.radians(board.turn_deg)), np.sin(np.radians(board.turn_deg))
    x, z = p[:, 0] - board.centre_mm[0], p[:, 2] - board.centre_mm[2]
    along, across = np.abs(c * x + s * z), np.abs(-s * x + c * z)
    return (along < board.half_mm[0]) & (across < board.half_mm[1])
