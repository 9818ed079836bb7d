"""The tire's surface, from the analytic tier's section: its body, and things laid or raised upon it."""

import numpy as np

from tests.scenes.physical.meshes import Array, Mesh, grid
from tests.scenes.wheel_scene import WheelScene, at_bead, section_at, sidewall_depth

TURNS = 1440
LIFT_MM = 0.05  # paint above rubber: less than the tracing's own doubt about a pixel


def body(wheel: WheelScene, grooves: int = 0, around: int = 260) -> Mesh:
    """The whole tire, cut by circumferential grooves; u runs round by clock angle, v from the near bead to the far.

    Below the ground's plane it goes on as the analytic one does; the floor hides it.
    """
    clock = np.linspace(0, 2 * np.pi, TURNS + 1)[None, :]
    turn = np.linspace(0, 2 * np.pi, around + 1)[:, None]
    x, y = np.sin(clock) + 0 * turn, -np.cos(clock) + 0 * turn
    middle, half, _ = section_at(wheel, x, y, np.ones_like(x))
    power = 2 / wheel.exponent
    a = -np.sign(np.cos(turn)) * np.abs(np.cos(turn)) ** power
    b = -np.sign(np.sin(turn)) * np.abs(np.sin(turn)) ** power
    r = middle + half * a
    middle, half, width = section_at(wheel, x * r, y * r, r)
    z = wheel.section[3] + width * b
    z = z - np.where(b < 0, at_bead(wheel, middle, half, r), 0.0)
    r = r - 6.0 * _groove(b, grooves) * (a > 0)
    return grid(np.stack([x * r, y * r, z], -1))


def _groove(b: Array, count: int) -> Array:
    """1 in the grooves: even numbers leave a rib in the middle, where the outline is grazed."""
    if not count:
        return np.zeros_like(b)
    at = (np.arange(count) - (count - 1) / 2) * 1.1 / count
    return np.asarray(np.min(np.abs(b[..., None] - at), axis=-1) < 0.035, float)


def normals(wheel: WheelScene, x: Array, y: Array) -> Array:
    """Unit normals (…, 3) of the near sidewall over x, y, towards the viewer."""
    step = 0.01
    z = sidewall_depth(wheel, x, y)
    dx = (sidewall_depth(wheel, x + step, y) - z) / step
    dy = (sidewall_depth(wheel, x, y + step) - z) / step
    normal = np.stack([dx, dy, -np.ones_like(dx)], -1)
    return np.asarray(normal / np.linalg.norm(normal, axis=-1, keepdims=True))


def laid(wheel: WheelScene, xy: Array, height_mm: float | Array = LIFT_MM) -> Mesh:
    """A sheet over places (rows, columns, 2) of the wheel's plane, so high above the sidewall."""
    x, y = xy[..., 0], xy[..., 1]
    points = np.stack([x, y, sidewall_depth(wheel, x, y)], -1)
    high = np.broadcast_to(height_mm, x.shape)[..., None]
    return grid(points + high * normals(wheel, x, y))


def raised(wheel: WheelScene, xy: Array, height_mm: float) -> Mesh:
    """`laid` with a bevel: its border lies on the rubber."""
    rows, columns = xy.shape[:2]
    inside = np.minimum(_ramp(rows)[:, None], _ramp(columns)[None, :])
    return laid(wheel, xy, LIFT_MM + height_mm * inside)


def _ramp(count: int) -> Array:
    k = np.arange(count)
    return np.clip(np.minimum(k, k[::-1]) / 2.0, 0, 1)


def bar(centre: Array, angle_deg: float, length: float, width: float) -> Array:
    """Places (rows, columns, 2) of a straight bar in the wheel's plane, counter-clockwise off level."""
    a = np.radians(angle_deg)
    u = np.linspace(-length / 2, length / 2, max(12, round(length / 0.6)))
    v = np.linspace(-width / 2, width / 2, max(9, round(width / 0.4)))
    u, v = np.meshgrid(u, v)
    return np.stack(
        [centre[0] + u * np.cos(a) + v * np.sin(a), centre[1] - u * np.sin(a) + v * np.cos(a)], -1
    )


def stripe(clock_deg: float, radii: Array, half: float, skew: float, about: float) -> Array:
    """Places (rows, columns, 2) of a stripe over an edge: a row on each of the radii (rows,).

    `skew` is its slope off radial, about the radius `about`.
    """
    radius = radii[:, None]
    share = np.linspace(-1, 1, 33)[None, :]
    out = radius + 0 * share
    for _ in range(4):
        across = half * share + skew * (out - about)
        out = np.sqrt(np.maximum(radius**2 - across**2, 0))
    c = np.radians(clock_deg)
    along, side = np.array([np.sin(c), -np.cos(c)]), np.array([np.cos(c), np.sin(c)])
    return np.asarray(out[..., None] * along + across[..., None] * side)


def turned(xy: Array, counter_clockwise_deg: float) -> Array:
    """Places after a turn about the axle, counter-clockwise as seen (y runs down)."""
    a = np.radians(counter_clockwise_deg)
    x, y = xy[..., 0], xy[..., 1]
    return np.stack([x * np.cos(a) + y * np.sin(a), -x * np.sin(a) + y * np.cos(a)], -1)


def ring(radius: float, width: float) -> Array:
    """Places (rows, columns, 2) of a ring about the axle."""
    clock = np.linspace(0, 2 * np.pi, TURNS + 1)
    r = radius + np.linspace(-width / 2, width / 2, 9)[:, None]
    return np.stack([r * np.sin(clock), -r * np.cos(clock)], -1)


def on_tire(wheel: WheelScene, xy: Array) -> Array:
    """Places drawn in towards the axle where the squashed section ends before them; the floor hides those."""
    r = np.linalg.norm(xy, axis=-1)
    middle, half, _ = section_at(wheel, xy[..., 0], xy[..., 1], r)
    return np.asarray(xy * np.minimum(1.0, (middle + 0.985 * half) / r)[..., None])
