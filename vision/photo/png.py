"""PNG bytes to pixels (W3C PNG, third edition), refusing what is not whole.

The decoder sees the picture's own chunks only: texts and colour profiles, which can
be made to unpack to gigabytes, are left out.
"""

import zlib
from collections.abc import Iterator
from io import BytesIO
from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL.PngImagePlugin import PngImageFile

from vision.errors import PhotoError
from vision.photo.decoded import Decoded, to_rgb8
from vision.photo.limits import check_picture_size, damaged, truncated

KIND = "PNG"
SIGNATURE = b"\x89PNG\r\n\x1a\n"
_PICTURE = frozenset((b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"))


def _chunks(data: bytes) -> Iterator[tuple[bytes, int, int]]:
    """Yield name, start and end of each chunk (with length and check sum), up to IEND."""
    position = len(SIGNATURE)
    while position + 12 <= len(data):
        name = data[position + 4 : position + 8]
        end = position + 12 + int.from_bytes(data[position : position + 4], "big")
        if end > len(data):
            break
        yield name, position, end
        if name == b"IEND":
            return
        position = end
    raise truncated(KIND)


def decode_png(data: bytes) -> Decoded:
    """Decode a still PNG of any bit depth; alpha is laid on white.

    Parameters
    ----------
    data : bytes
        Beginning with the PNG signature.

    Raises
    ------
    PhotoError
        If the file is cut, damaged, too large or animated.
    """
    parts, exif = [SIGNATURE], b""
    for name, start, end in _chunks(data):
        if name == b"acTL":
            msg = "the PNG file is animated: one still photo was expected; send the photo itself"
            raise PhotoError(msg)
        if name == b"eXIf":
            exif = data[start + 8 : end - 4].removeprefix(b"Exif\0\0")
        if name in _PICTURE:
            if zlib.crc32(data[start + 4 : end - 4]) != int.from_bytes(data[end - 4 : end], "big"):
                raise damaged(KIND, f"wrong check sum of {name.decode()}")
            parts.append(data[start:end])
    header = parts[1] if len(parts) > 1 else b""
    if len(header) != 25 or header[4:8] != b"IHDR":
        raise damaged(KIND, "no header")
    width, height = int.from_bytes(header[8:12], "big"), int.from_bytes(header[12:16], "big")
    check_picture_size(width, height)
    # The 16-bit modes of one library are complete, the 8-bit modes of the other.
    decode = _by_opencv if header[16] == 16 else _by_pillow
    pixels = decode(b"".join(parts))
    if pixels.shape[:2] != (height, width):
        raise damaged(KIND, "the picture has another size than its header says")
    return Decoded(KIND, pixels, exif)


def _by_opencv(data: bytes) -> NDArray[np.uint8]:
    flags = cv2.IMREAD_UNCHANGED | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        samples = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
    except cv2.error as error:
        raise damaged(KIND, "the decoder stopped") from error
    if samples is None:
        raise damaged(KIND, "the decoder gave no picture")
    if samples.ndim == 3 and samples.shape[2] >= 3:
        samples = samples[..., [2, 1, 0, 3][: samples.shape[2]]]  # this decoder gives blue first
    return to_rgb8(cast("NDArray[np.uint16]", samples))


def _by_pillow(data: bytes) -> NDArray[np.uint8]:
    # The file class itself, because Image.open warns of large pictures through the
    # process-wide warnings; the size was checked by the caller.
    try:
        with PngImageFile(BytesIO(data)) as image:
            see_through = image.mode in ("LA", "RGBA", "PA") or "transparency" in image.info
            return to_rgb8(np.asarray(image.convert("RGBA" if see_through else "RGB")))
    except Exception as error:  # the library names no base class for what its decoders raise
        raise damaged(KIND, "the decoder stopped") from error
