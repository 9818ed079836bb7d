"""JPEG bytes to pixels (ITU-T T.81), refusing what is not whole.

The decoders fill what a cut file lacks with grey and say nothing that a program
can hear, so the markers are walked first: a JPEG whose first picture has no end
mark is cut.  What follows that mark (the further pictures of an MPO file, a
gain map, a film) is not looked at.
"""

import re
from dataclasses import dataclass
from io import BytesIO
from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL.JpegImagePlugin import JpegImageFile

from vision.photo.decoded import Decoded, to_rgb8
from vision.photo.limits import check_picture_size, damaged, truncated

KIND = "JPEG"
# In coded data 0xFF is followed by 0x00 (stuffing) or 0xD0-0xD7 (restart): anything else is a marker.
_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]")
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_KNOWN = frozenset((*range(0xC0, 0xD0), *range(0xDA, 0xF0), 0xFE))
_EOI, _SOS, _APP1 = 0xD9, 0xDA, 0xE1
# Only the colour transform of CMYK needs an application segment (APP14).
_APPS_NOT_DECODED = frozenset(range(0xE1, 0xEE))
# A photo has 1 scan, a progressive one about 10; thousands would keep a server busy for hours.
_MAX_SCANS = 100


@dataclass(frozen=True)
class JpegLayout:
    """Where the parts of the first picture lie (byte offsets, ends exclusive)."""

    width: int
    height: int
    components: int
    baseline: bool
    segments: tuple[tuple[int, int, int], ...]
    end: int


def read_layout(data: bytes) -> JpegLayout:
    """Walk the markers from the first to the end mark of the first picture.

    Raises
    ------
    PhotoError
        If the file ends before its end mark, or its segments contradict themselves.
    """
    segments: list[tuple[int, int, int]] = []
    frame: tuple[int, int, int, int] | None = None
    scans = 0
    position = 2
    while True:
        found = _MARKER.search(data, position)
        if found is None:
            raise truncated(KIND)
        start, marker = found.start(), data[found.end() - 1]
        if marker == _EOI:
            break
        if marker not in _KNOWN:
            raise damaged(KIND, f"unknown marker 0x{marker:02X}")
        length = int.from_bytes(data[start + 2 : start + 4], "big")
        position = start + 2 + length
        if len(data) < start + 4 or len(data) < position:
            raise truncated(KIND)
        if length < 2:
            raise damaged(KIND, "a segment without length")
        segments.append((marker, start, position))
        scans += marker == _SOS
        if marker in _FRAMES and frame is None:
            frame = _frame(marker, data[start + 4 : position])
    if frame is None or not 0 < scans <= _MAX_SCANS:
        raise damaged(KIND, "no picture in it" if scans <= _MAX_SCANS else "too many scans")
    marker, height, width, components = frame
    return JpegLayout(width, height, components, marker <= 0xC1, tuple(segments), found.end())


def _frame(marker: int, body: bytes) -> tuple[int, int, int, int]:
    if len(body) < 6:
        raise damaged(KIND, "a frame header without size")
    return marker, int.from_bytes(body[1:3], "big"), int.from_bytes(body[3:5], "big"), body[5]


def decode_jpeg(data: bytes) -> Decoded:
    """Decode the first picture of a JPEG or MPO file.

    Parameters
    ----------
    data : bytes
        Beginning with the marker 0xFFD8.

    Raises
    ------
    PhotoError
        If the file is cut, damaged, too large or of a kind of JPEG that no camera writes.
    """
    layout = read_layout(data)
    check_picture_size(layout.width, layout.height)
    first = memoryview(data)[: layout.end]
    pixels = _by_pillow(_without_apps(data, layout)) if layout.components == 4 else _by_opencv(first)
    if pixels.shape[:2] != (layout.height, layout.width):
        raise damaged(KIND, "the picture has another size than its header says")
    suspect = not layout.baseline or _last_block_is_void(pixels)
    if not _all_scans_there(data, layout) or (suspect and _data_ends_early(data, layout)):
        raise truncated(KIND)
    return Decoded(KIND, pixels, _exif(data, layout))


def _by_opencv(data: memoryview) -> NDArray[np.uint8]:
    flags = cv2.IMREAD_COLOR_RGB | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        pixels = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    except cv2.error as error:
        raise damaged(KIND, "the decoder stopped") from error
    if pixels is None or pixels.dtype != np.uint8:
        raise damaged(KIND, "the decoder gave no picture")
    return cast("NDArray[np.uint8]", pixels)


def _by_pillow(data: bytes) -> NDArray[np.uint8]:
    # The file class itself, because Image.open warns of large pictures through the
    # process-wide warnings; the size was checked by the caller.
    try:
        with JpegImageFile(BytesIO(data)) as image:
            return to_rgb8(np.asarray(image.convert("RGB")))
    except Exception as error:  # the library names no base class for what its decoders raise
        raise damaged(KIND, "the decoder stopped") from error


def _without_apps(data: bytes, layout: JpegLayout, tail: bytes = b"") -> bytes:
    """Return the first picture alone, its coded data followed by `tail`."""
    parts = [data[:2]]
    position = 2
    for marker, start, end in layout.segments:
        parts.append(data[position : start if marker in _APPS_NOT_DECODED else end])
        position = end
    return b"".join((*parts, data[position : layout.end - 2], tail, data[layout.end - 2 : layout.end]))


def _last_block_is_void(pixels: NDArray[np.uint8]) -> bool:
    """Tell whether the lower right corner is the mid grey with which a decoder fills what it lacks."""
    return bool(np.all(np.abs(pixels[-4:, -4:].astype(np.int16) - 128) <= 1))


def _data_ends_early(data: bytes, layout: JpegLayout) -> bool:
    """Tell whether an end mark stands where coded data should.

    Bits added before the end mark change nothing in a whole picture and fill a
    part of the hole in one that is not.  Costs two decodings; a progressive file shows
    its hole as coarse instead of grey, so there the picture cannot tell when to ask.
    """
    tail = bytes(np.random.default_rng(7).integers(0, 255, 256, dtype=np.uint8))
    as_is, longer = (_by_pillow(_without_apps(data, layout, extra)) for extra in (b"", tail))
    return not np.array_equal(as_is, longer)


def _all_scans_there(data: bytes, layout: JpegLayout) -> bool:
    """Tell whether the scans bring every coefficient of every component to its last bit (T.81, G.1.1)."""
    final: dict[int, set[int]] = {}
    for marker, start, end in layout.segments:
        if marker != _SOS:
            continue
        body = data[start + 4 : end]
        count = body[0] if body else 0
        if len(body) < 4 + 2 * count:
            return False
        first, last, bits = body[1 + 2 * count : 4 + 2 * count]
        # Only a progressive scan carries a part; some writers leave the three bytes zero otherwise.
        done = set(range(64)) if layout.baseline else set(range(first, last + 1)) if bits & 15 == 0 else set()
        for component in body[1 : 1 + 2 * count : 2]:
            final.setdefault(component, set()).update(done)
    return len(final) >= layout.components and all(len(done) >= 64 for done in final.values())


def _exif(data: bytes, layout: JpegLayout) -> bytes:
    for marker, start, end in layout.segments:
        if marker == _APP1 and data[start + 4 : start + 10] == b"Exif\0\0":
            return data[start + 10 : end]
    return b""
