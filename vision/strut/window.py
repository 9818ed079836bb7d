"""The strut's part of the photo in linear light, and a straightened view of it for searching.

Beside the colours there is the luma brought to linear light: JPEG keeps luma at
full size and colour at half, so luma is the sharper witness of where an edge is.
"""

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis, ring
from vision.edges import sample
from vision.photo import Photo
from vision.scale import CardFix
from vision.scale.tone import Wedge

Array = NDArray[np.float64]
Image = NDArray[np.float32]


LUMA = np.array([0.299, 0.587, 0.114])  # of JPEG's luma (ITU-R BT.601)


@dataclass(frozen=True)
class Window:
    """Light about the strut.

    Attributes
    ----------
    colour : (h, w, 3) float32
        Linear light divided by the card's white, channel by channel.
    luma : (h, w) float32
        Luma in linear light, divided by the card's white luma.
    corner : (2,) array
        Pixel of the photo at [0, 0].
    noise : float
        Standard deviation of a pixel's luma in mid-tones.
    white : (3,) array
        The card's white in linear light.
    gamma : float
        Exponent of the tone curve on top of the standard one.
    """

    colour: Image
    luma: Image
    corner: Array
    noise: float
    white: Array
    gamma: float

    @property
    def burnt(self) -> float:
        """Linear luma from which light may have been brighter than the camera can tell."""
        return float(_coded_luma(np.full(3, 0.95), self.gamma) / self._white_luma)

    def colours(self, pixels: Array) -> Array:
        """Colours at photo pixels (N, T, 2): (N, T, 3)."""
        local = pixels - self.corner
        return sample(self.colour, local[..., 0], local[..., 1])

    def lumas(self, pixels: Array) -> Array:
        """Linear luma at photo pixels (N, T, 2): (N, T)."""
        local = pixels - self.corner
        return sample(self.luma, local[..., 0], local[..., 1])[..., 0]

    def luma_of(self, colour: Array) -> Array:
        """Linear luma (...) that a balanced colour (..., 3) would have in the photo."""
        return np.asarray(_coded_luma(colour * self.white, self.gamma) / self._white_luma)

    @property
    def _white_luma(self) -> float:
        return float(_coded_luma(self.white, self.gamma))

    def inside(self, pixels: Array, margin: float = 3.0) -> NDArray[np.bool_]:
        """Which photo pixels (N, 2) lie in the window, `margin` px off its border."""
        local = pixels - self.corner
        h, w = self.luma.shape
        return np.asarray(
            (local > margin).all(axis=1) & (local[:, 0] < w - 1 - margin) & (local[:, 1] < h - 1 - margin)
        )


def _coded_luma(linear: Array, gamma: float) -> Array:
    """Linear light of the grey whose code is the luma of the coded colour (..., 3)."""
    base = np.clip(linear, 0, None) ** (1 / gamma)
    code = np.where(base <= 0.0031308, 12.92 * base, 1.055 * np.maximum(base, 1e-9) ** (1 / 2.4) - 0.055)
    luma = code @ LUMA
    back = np.where(luma <= 0.04045, luma / 12.92, ((luma + 0.055) / 1.055) ** 2.4)
    return np.asarray(back**gamma)


@dataclass(frozen=True)
class Straightened:
    """The plane through the axis that faces the camera, resampled: x right, axis up.

    Outside the photo all values are -1.  Row j and column i lie at ``x = x_min + i / k``, ``s = s_max - j / k`` (mm).
    """

    window: Window
    shape: tuple[int, int]
    k: float
    x_min: float
    s_max: float
    to_photo: Array
    axis: Axis
    camera: Camera

    @cached_property
    def colour(self) -> Image:
        """White-balanced linear light (rows, columns, 3); resampled when first asked for, as `luma` (rows, columns) is."""
        return self._resampled(self.window.colour)

    @cached_property
    def luma(self) -> Image:
        """Linear luma (rows, columns)."""
        return self._resampled(self.window.luma)

    def _resampled(self, image: Image) -> Image:
        move = np.eye(3)
        move[:2, 2] = -self.window.corner
        warped = cv2.warpPerspective(
            image,
            move @ self.to_photo,
            self.shape[::-1],
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(-1.0, -1.0, -1.0),
        )
        return np.asarray(warped, np.float32)

    @property
    def x_mm(self) -> Array:
        """The columns' lateral places, mm."""
        return np.asarray(self.x_min + np.arange(self.shape[1]) / self.k)

    @property
    def s_mm(self) -> Array:
        """The rows' axial places, mm."""
        return np.asarray(self.s_max - np.arange(self.shape[0]) / self.k)

    def photo_pixels(self, x_mm: Array, s_mm: Array) -> Array:
        """Photo pixels (..., 2) of places on the plane, mm (the pinhole's view, lens bend left out)."""
        column, row = (x_mm - self.x_min) * self.k, (self.s_max - s_mm) * self.k
        p = np.stack([column, row, np.ones_like(column)], axis=-1) @ self.to_photo.T
        return np.asarray(p[..., :2] / p[..., 2:])

    def places(self, pixels: Array) -> tuple[Array, Array]:
        """Return the places (x_mm, s_mm) on the plane of photo pixels (N, 2)."""
        p = np.column_stack([pixels, np.ones(len(pixels))]) @ np.linalg.inv(self.to_photo).T
        p = p[:, :2] / p[:, 2:]
        return np.asarray(self.x_min + p[:, 0] / self.k), np.asarray(self.s_max - p[:, 1] / self.k)

    def ring_course(self, s: float, radius: float, far: bool = False) -> Array:
        """Axial places (columns,) where a ring crosses the columns; nan beside the ring."""
        azimuth = np.radians(np.linspace(-88, 88, 61))
        if far:
            azimuth = np.pi - azimuth
        return self._course(ring(self.axis, s, radius, azimuth))

    def mirrored_rim_course(self, s: float, mirror: float, rim: float, tan_below: float) -> Array:
        """Axial places (columns,) where a chrome cylinder shows the image of a rim that stands out from it.

        A ray that meets the cylinder of radius `mirror` at azimuth φ leaves at 2 φ
        and crosses the rim's radius after D = √(rim² - mirror² sin² φ) - mirror cos φ,
        having climbed D tan(below) to the rim's plane at s.
        """
        azimuth = np.radians(np.linspace(-80, 80, 61))
        travel = np.sqrt(rim**2 - (mirror * np.sin(azimuth)) ** 2) - mirror * np.cos(azimuth)
        points = ring(self.axis, s, mirror, azimuth) - np.outer(travel * tan_below, self.axis.direction)
        return self._course(points)

    def _course(self, points: Array) -> Array:
        x, place = self.places(self.camera.project(points))
        order = np.argsort(x)
        return np.asarray(np.interp(self.x_mm, x[order], place[order], left=np.nan, right=np.nan))


def cut_window(photo: Photo, fix: CardFix, pixels: Array) -> Window | None:
    """Cut the bounding box of photo pixels (N, 2); None where it lies beside the photo."""
    limit = np.array(photo.pixels.shape[1::-1])
    low = np.clip(np.floor(pixels.min(axis=0)).astype(int) - 4, 0, limit)
    high = np.clip(np.ceil(pixels.max(axis=0)).astype(int) + 5, 0, limit)
    if (high - low < 16).any():
        return None
    coded = photo.pixels[low[1] : high[1], low[0] : high[0]]
    tone, white = fix.wedge.tone, np.maximum(fix.wedge.white, 1e-3)
    # Eighths of a code, rounded: the codes of luma are finer than those of the channels.
    grey = cv2.transform(coded.astype(np.float32), (8 * LUMA[None]).astype(np.float32))
    steps = np.interp(np.arange(0, 255.01, 0.125), np.arange(256), tone.lut)
    steps = (steps / _coded_luma(white, fix.wedge.gamma)).astype(np.float32)
    luma = steps.take(np.rint(grey).astype(np.uint16), mode="clip")
    # Neighbouring differences, robustly: edges are few, noise is everywhere.
    difference = luma[::3, 1:] - luma[::3, :-1]
    noise = 1.4826 * float(np.median(np.abs(difference))) / np.sqrt(2)
    return Window(
        balanced(coded, fix.wedge),
        np.asarray(luma, np.float32),
        low.astype(float),
        max(noise, 1.5e-3),
        white,
        fix.wedge.gamma,
    )


def balanced(coded: NDArray[np.uint8], wedge: Wedge) -> Image:
    """Linear light (h, w, 3) of coded pixels as a share of the card's white."""
    white = np.maximum(wedge.white, 1e-3).astype(np.float32)
    table = np.ascontiguousarray((wedge.tone.lut[:, None] / white)[None], np.float32)
    return np.asarray(cv2.LUT(coded, table), np.float32)


def straighten(
    window: Window, camera: Camera, axis: Axis, x_half: float, s_min: float, s_max: float
) -> Straightened:
    """Resample the plane through the axis at about one photo pixel per column."""
    depth = float(np.linalg.norm(axis.point))
    k = camera.f_px / depth
    width, height = int(2 * x_half * k) + 1, int((s_max - s_min) * k) + 1
    lens = camera.without_distortion()
    corners = np.array([[-x_half, s_max], [x_half, s_max], [x_half, s_min], [-x_half, s_min]])
    points = axis.point + corners[:, 1:] * axis.direction + corners[:, :1] * axis.lateral
    photo_px = lens.project(points).astype(np.float32)
    columns = np.column_stack([(corners[:, 0] + x_half) * k, (s_max - corners[:, 1]) * k])
    to_photo = np.asarray(cv2.getPerspectiveTransform(columns.astype(np.float32), photo_px), float)
    return Straightened(window, (height, width), k, -x_half, s_max, to_photo, axis, camera)
