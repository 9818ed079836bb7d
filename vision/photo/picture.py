"""The photo itself: bytes in, upright pixels and facts out."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import PhotoError
from vision.photo.decoded import Decoded
from vision.photo.exif import read_exif
from vision.photo.facts import PhotoFacts, gather, orientation_to_apply
from vision.photo.heif import decode_heif
from vision.photo.jpeg import decode_jpeg
from vision.photo.limits import check_file_size
from vision.photo.mixed import Places, mixed_at
from vision.photo.png import SIGNATURE, decode_png
from vision.photo.tone import SRGB, ToneCurve
from vision.photo.upright import turn

# Samples from here on may have been brighter than the camera can tell.
CLIPPED_FROM = 254
_MEAN = np.full((1, 3), 1 / 3, np.float32)
_WANTED = "a JPEG, HEIC or PNG photo was expected"
_OTHER_KINDS: tuple[tuple[int, bytes, str], ...] = (
    (0, b"GIF8", "a GIF animation"),
    (8, b"WEBP", "a WebP picture"),
    (0, b"BM", "a BMP picture"),
    (0, b"II*\0", "a TIFF or raw picture"),
    (0, b"MM\0*", "a TIFF or raw picture"),
    (0, b"%PDF", "a PDF document"),
    (0, b"PK\x03\x04", "a ZIP archive"),
    (4, b"ftypavi", "an AVIF picture"),
    (4, b"ftypqt", "a film"),
    (4, b"ftypmp4", "a film"),
    (4, b"ftypiso", "a film"),
)


@dataclass(frozen=True, eq=False)
class Photo:
    """An upright photo.

    Attributes
    ----------
    pixels : (H, W, 3) uint8 array
        RGB as coded in the file (gamma), read-only; pixel (x, y) is ``pixels[y, x]``.
    facts : PhotoFacts
        What the file says beside its pixels.

    Raises
    ------
    ValueError
        If `pixels` has another shape or type.
    """

    pixels: NDArray[np.uint8]
    facts: PhotoFacts

    def __post_init__(self) -> None:
        if self.pixels.ndim != 3 or self.pixels.shape[2] != 3 or self.pixels.dtype != np.uint8:
            msg = f"pixels have the shape (H, W, 3) and uint8, these {self.pixels.shape} {self.pixels.dtype}"
            raise ValueError(msg)
        pixels = np.ascontiguousarray(self.pixels).view()
        pixels.flags.writeable = False
        object.__setattr__(self, "pixels", pixels)

    def _window(self, x0: int, y0: int, x1: int, y1: int) -> NDArray[np.uint8]:
        # Clipped on both ends: a negative end would otherwise count from the far side.
        return self.pixels[max(y0, 0) : max(y1, 0), max(x0, 0) : max(x1, 0)]

    def linear(self, x0: int, y0: int, x1: int, y1: int, tone: ToneCurve = SRGB) -> NDArray[np.float32]:
        """Return a copy of a window in linear light.

        Parameters
        ----------
        x0, y0, x1, y1 : int
            Columns x0 to x1 - 1 and rows y0 to y1 - 1, clipped to the photo: pixel [0, 0] of the
            result is (max(x0, 0), max(y0, 0)), and a window outside is empty.
        tone : ToneCurve
            From samples to light.

        Returns
        -------
        (h, w, 3) float32 array
            In 0 to 1.
        """
        return tone.linear(self._window(x0, y0, x1, y1))

    def linear_at(self, x: Places, y: Places, tone: ToneCurve = SRGB) -> NDArray[np.float32]:
        """Return linear light at places between the pixels: bilinear, the border's light beyond the border.

        Light is mixed, not samples, as in a window of `linear`; but only the four pixels about each place
        are brought to light, which for a ring or a strip is a small part of the window about it.

        Parameters
        ----------
        x, y : (N, T) arrays
            px; T is at most 32 766, and so is the window that they span.
        tone : ToneCurve
            From samples to light.

        Returns
        -------
        (N, T, 3) float32 array
            In 0 to 1.
        """
        return mixed_at(self.pixels, x, y, tone.linear)

    def grey_at(self, x: Places, y: Places, tone: ToneCurve = SRGB) -> NDArray[np.float32]:
        """Return the mean (N, T) of the three colours' linear light at places; else as `linear_at`."""

        def grey(pixels: NDArray[np.uint8]) -> NDArray[np.float32]:
            return np.asarray(cv2.transform(tone.linear(pixels), _MEAN), np.float32)

        return mixed_at(self.pixels, x, y, grey)

    def clipped(self, x0: int, y0: int, x1: int, y1: int) -> NDArray[np.bool_]:
        """Return where any channel of a window (as for `linear`) is burnt out.

        Returns
        -------
        (h, w) bool array
        """
        return np.asarray(np.any(self._window(x0, y0, x1, y1) >= CLIPPED_FROM, axis=2), dtype=np.bool_)

    def reduced(self, factor: int) -> NDArray[np.uint8]:
        """Return the photo in grey, made smaller by a whole number.

        For searching only: the mean of gamma-coded samples is not the mean of light, which
        moves edges to the dark side.  Pixel x of the result is the mean of ``factor`` columns about
        ``factor * x + (factor - 1) / 2``, and so for y; a rest of rows or columns is left out.

        Parameters
        ----------
        factor : int, > 0
            Pixels of the photo for one of the result, along each side.

        Returns
        -------
        (H // factor, W // factor) uint8 array

        Raises
        ------
        ValueError
            If the factor is below 1 or above the shorter side.
        """
        height, width = self.pixels.shape[:2]
        if not 1 <= factor <= min(height, width):
            msg = f"a factor between 1 and the shorter side {min(height, width)} was expected, not {factor}"
            raise ValueError(msg)
        rows, columns = height // factor, width // factor
        grey = cv2.cvtColor(self.pixels[: rows * factor, : columns * factor], cv2.COLOR_RGB2GRAY)
        small = grey if factor == 1 else cv2.resize(grey, (columns, rows), interpolation=cv2.INTER_AREA)
        return np.asarray(small, dtype=np.uint8)


def read_photo(data: bytes) -> Photo:
    """Decode a photo and turn it upright.

    Parameters
    ----------
    data : bytes
        A whole JPEG (also CMYK, grey, or the first picture of an MPO), PNG or HEIC file, at most
        `limits.MAX_FILE_BYTES` long and `limits.MAX_PIXELS` large; its name does not matter.

    Returns
    -------
    Photo
        Upright, 8 bits, alpha laid on white.

    Raises
    ------
    PhotoError
        If the bytes are empty, no photo, of another kind, cut, damaged or too large.
    """
    data = bytes(data)
    check_file_size(data)
    decoded = _decode(data)
    pixels = turn(decoded.pixels, orientation_to_apply(decoded, read_exif(decoded.exif)))
    return Photo(pixels, gather(decoded, (pixels.shape[1], pixels.shape[0])))


def _decode(data: bytes) -> Decoded:
    """Choose the decoder by the file's first bytes."""
    if data.startswith(b"\xff\xd8"):
        return decode_jpeg(data)
    if data.startswith(SIGNATURE):
        return decode_png(data)
    for place, mark, name in _OTHER_KINDS:
        if data.startswith(mark, place):
            msg = f"the file is {name}: {_WANTED}; send the photo as the camera stored it"
            raise PhotoError(msg)
    if data.startswith(b"ftyp", 4):
        return decode_heif(data)
    if _is_text(data[:512]):
        msg = (
            f"the file holds text and no picture: {_WANTED}, whatever the file's name says; choose the photo"
        )
        raise PhotoError(msg)
    msg = f"the file is no photo of a known kind: {_WANTED}; send the photo as the camera stored it"
    raise PhotoError(msg)


def _is_text(start: bytes) -> bool:
    # A letter of several bytes may be cut at the end, so what cannot be decoded is left out there.
    text = start.decode("utf-8", errors="ignore")
    return len(text) > 0.9 * len(start) and all(letter.isprintable() or letter.isspace() for letter in text)
