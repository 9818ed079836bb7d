"""Two photos of flat, textured pieces in space, taken by a phone that was moved: everything known.

Textures are scikit-image's own pictures (in its wheel).  Each piece is a rectangle in
space; a camera pose gives its homography, so the true map between the two photos is known for each
pixel.  The second photo has another exposure, another gradient of light, noise and JPEG, and
where asked for, changes painted on the pieces.
"""

from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage import data

from vision.photo import Photo, read_photo

Array = NDArray[np.float64]
TEXTURES = ("brick", "gravel", "coffee", "coins", "camera", "astronaut", "chelsea", "rocket")


@cache
def texture(name: str) -> NDArray[np.float32]:
    """A texture in linear light, 0 to 1, RGB."""
    pixels = np.asarray(getattr(data, name)())
    if pixels.ndim == 2:
        pixels = np.repeat(pixels[:, :, None], 3, axis=2)
    return np.asarray((0.06 + 0.8 * pixels[..., :3] / 255.0) ** 2.2, np.float32)


@dataclass(frozen=True)
class Piece:
    """A rectangle in space: texture, centre (mm, camera frame of the first photo), size mm, tilt deg."""

    name: str
    centre: tuple[float, float, float]
    size: tuple[float, float]
    tilt: tuple[float, float] = (0.0, 0.0)

    def corners(self) -> Array:
        """(4, 3) mm, clockwise from top left."""
        w, h = self.size[0] / 2, self.size[1] / 2
        flat = np.array([[-w, -h, 0], [w, -h, 0], [w, h, 0], [-w, h, 0.0]])
        return flat @ rotation(*self.tilt, 0.0).T + np.array(self.centre)


@dataclass(frozen=True)
class Pose:
    """Where the camera is: shift mm, turn deg about x, y and z, from the first photo's camera frame."""

    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turn: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Light:
    """What the second photo's light and camera do differently."""

    gain: float = 1.0
    slope: tuple[float, float] = (0.0, 0.0)
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    blur: float = 0.7
    noise: float = 0.004
    quality: int = 92


@dataclass
class Taken:
    """A photo with, for each piece, the homography from texture pixels to photo pixels."""

    photo: Photo
    jpeg: bytes
    maps: list[Array]
    owner: NDArray[np.int8]
    changed: list[NDArray[np.bool_]] = field(default_factory=list)


def rotation(about_x: float, about_y: float, about_z: float) -> Array:
    x, y, z = np.radians([about_x, about_y, about_z])
    rx = np.array([[1, 0, 0], [0, np.cos(x), -np.sin(x)], [0, np.sin(x), np.cos(x)]])
    ry = np.array([[np.cos(y), 0, np.sin(y)], [0, 1, 0], [-np.sin(y), 0, np.cos(y)]])
    rz = np.array([[np.cos(z), -np.sin(z), 0], [np.sin(z), np.cos(z), 0], [0, 0, 1]])
    return np.asarray(rz @ ry @ rx)


def focal_px(size: tuple[int, int]) -> float:
    return 27 / 43.27 * float(np.hypot(*size))


def camera_map(piece: Piece, pose: Pose, size: tuple[int, int]) -> Array:
    """The homography from the piece's texture pixels to the photo's."""
    f = focal_px(size)
    K = np.array([[f, 0, (size[0] - 1) / 2], [0, f, (size[1] - 1) / 2], [0, 0, 1]])
    seen = (piece.corners() - np.array(pose.shift)) @ rotation(*pose.turn)
    px = seen @ K.T
    px = px[:, :2] / px[:, 2:]
    h, w = texture(piece.name).shape[:2]
    flat = np.array([[-0.5, -0.5], [w - 0.5, -0.5], [w - 0.5, h - 0.5], [-0.5, h - 0.5]])
    matrix, _ = cv2.findHomography(flat, px, 0)
    return np.asarray(matrix)


Seeded = list[tuple[int, NDArray[np.float32], NDArray[np.float32]]]


def take(
    pieces: list[Piece],
    pose: Pose,
    light: Light,
    size: tuple[int, int],
    rng: np.random.Generator,
    changes: Seeded | None = None,
) -> Taken:
    """One photo; `changes` are (piece, alpha, colour) painted on the piece's texture before it is taken."""
    w, h = size
    scene = np.full((h, w, 3), 0.03, np.float32)
    owner = np.full((h, w), -1, np.int8)
    maps, changed = [], []
    for index, piece in enumerate(pieces):
        surface = texture(piece.name)
        marks = [(alpha, colour) for number, alpha, colour in changes or [] if number == index]
        for alpha, colour in marks:
            surface = surface * (1 - alpha[..., None]) + colour * alpha[..., None]
        matrix = camera_map(piece, pose, size)
        maps.append(matrix)
        how = cv2.INTER_AREA if abs(np.linalg.det(matrix[:2, :2])) < 0.3 else cv2.INTER_CUBIC
        drawn = cv2.warpPerspective(surface, matrix, size, flags=how)
        there = cv2.warpPerspective(np.ones(surface.shape[:2], np.float32), matrix, size)
        scene = scene * (1 - there[..., None]) + drawn * there[..., None]
        owner[there > 0.5] = index
        for alpha, _ in marks:
            mark = cv2.warpPerspective(alpha, matrix, size) > 0.5
            changed.append(mark & (there > 0.99))
    changed = [
        mark & (owner == number)
        for mark, (number, _, _) in zip(changed, sorted_by_piece(changes), strict=True)
    ]
    y, x = np.mgrid[0:h, 0:w] / max(size)
    field_ = light.gain * np.exp(light.slope[0] * (x - 0.5) + light.slope[1] * (y - 0.4))
    scene = np.clip(scene * field_[..., None].astype(np.float32), 0, None) * np.array(
        light.balance, np.float32
    )
    scene = cv2.GaussianBlur(scene, (0, 0), light.blur)
    scene = scene + rng.normal(0, 1, scene.shape).astype(np.float32) * light.noise * np.sqrt(scene + 0.02)
    coded = np.clip(255 * np.clip(scene, 0, 1) ** (1 / 2.2), 0, 255).round().astype(np.uint8)
    _, jpeg = cv2.imencode(".jpg", coded[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, light.quality])
    return Taken(read_photo(jpeg.tobytes()), jpeg.tobytes(), maps, owner, changed)


def sorted_by_piece(changes: Seeded | None) -> Seeded:
    return sorted(changes or [], key=lambda one: one[0])


def drawn_pieces(rng: np.random.Generator) -> list[Piece]:
    """A wall, a leaning board before it and a box nearer still, each with a texture of its own."""
    names = list(rng.permutation(TEXTURES)[:3])
    return [
        Piece(names[0], (0, 0, 760 + rng.uniform(-40, 40)), (1100, 1000), tuple(rng.uniform(-8, 8, 2))),
        Piece(
            names[1],
            (rng.uniform(-170, -110), rng.uniform(-40, 40), 640 + rng.uniform(-40, 30)),
            (210, 300),
            (rng.uniform(-15, 15), rng.uniform(-20, 20)),
        ),
        Piece(
            names[2],
            (rng.uniform(90, 150), rng.uniform(-50, 50), 580 + rng.uniform(-40, 30)),
            (190, 230),
            (rng.uniform(-10, 10), rng.uniform(-12, 12)),
        ),
    ]


def retake(rng: np.random.Generator) -> Pose:
    """Within 30 mm and 10° of the first photo."""
    way = rng.normal(size=3)
    axis = rng.normal(size=3)
    shift = way / np.linalg.norm(way) * rng.uniform(5, 30)
    turn = axis / np.linalg.norm(axis) * rng.uniform(1, 10)
    return Pose(tuple(shift), tuple(turn))


def other_light(rng: np.random.Generator) -> Light:
    """Exposure by up to a stop and a half, light from another side, another white balance, JPEG 80 to 95."""
    return Light(
        float(np.exp(rng.uniform(-0.9, 0.45))),
        tuple(rng.uniform(-1.2, 1.2, 2)),
        tuple(rng.uniform(0.85, 1.15, 3)),
        float(rng.uniform(0.5, 1.1)),
        float(rng.uniform(0.003, 0.008)),
        int(rng.integers(80, 96)),
    )


def seeded(
    rng: np.random.Generator, piece: Piece, number: int, across_px: float, size: tuple[int, int]
) -> tuple[int, NDArray[np.float32], NDArray[np.float32]]:
    """A stain, a bright rub, a scratch or a lost piece, `across_px` of the photo across."""
    surface = texture(piece.name)
    h, w = surface.shape[:2]
    matrix = camera_map(piece, Pose(), size)
    for _ in range(200):
        at = np.array([rng.uniform(0.15, 0.85) * w, rng.uniform(0.15, 0.85) * h])
        px = matrix @ [*at, 1]
        px = px[:2] / px[2]
        if 0.15 * size[0] < px[0] < 0.85 * size[0] and 0.15 * size[1] < px[1] < 0.85 * size[1]:
            break
    step = matrix @ [at[0] + 1, at[1], 1]
    scale = float(np.linalg.norm(step[:2] / step[2] - px))
    r = across_px / scale / 2
    y, x = np.mgrid[0:h, 0:w]
    kind = rng.integers(0, 4)
    angle = rng.uniform(0, np.pi)
    along = (x - at[0]) * np.cos(angle) + (y - at[1]) * np.sin(angle)
    aside = -(x - at[0]) * np.sin(angle) + (y - at[1]) * np.cos(angle)
    if kind == 2:  # a scratch is a quarter as wide as it is long
        away = np.maximum(np.abs(along) / r, np.abs(aside) / (r / 4))
    else:
        away = np.hypot(along, aside * rng.uniform(1.0, 1.4)) / r
    alpha = np.clip((1 - away) * max(r, 1.0) + 0.5, 0, 1).astype(np.float32)
    before = float(np.average(surface.mean(axis=2), weights=alpha + 1e-9))
    if kind == 3:  # a piece of the surface from elsewhere on it
        colour = np.roll(surface, (h // 3, w // 3), axis=(0, 1))
        inside = alpha > 0.5
        if np.abs(np.log(colour[inside].mean(axis=1)) - np.log(surface[inside].mean(axis=1))).mean() > 0.4:
            return number, alpha, colour  # else nobody would see that another piece is there
    # Clearly visible: at least half as bright again, or at most two thirds.
    level = (
        before * rng.uniform(0.25, 0.6)
        if kind == 0 or before > 0.4
        else before * rng.uniform(1.7, 2.6) + 0.05
    )
    return number, alpha, np.full_like(surface, min(level, 0.95))
