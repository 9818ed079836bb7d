"""Small photo files of known content, made in the test's own process."""

import io
import struct
import zlib
from collections.abc import Mapping, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

SHORT, LONG, ASCII, RATIONAL, UNDEFINED, SIGNED_RATIONAL = 3, 4, 2, 5, 7, 10
Value = tuple[int, int, bytes]


def smooth_picture(width: int, height: int, seed: int = 11) -> NDArray[np.uint8]:
    """Return soft random colours, of which no two sides or channels are alike."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 236, (6, 8, 3), dtype=np.uint8)
    return np.asarray(cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC))


def mean_difference(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    """Return the mean absolute difference in levels of 255."""
    return float(np.abs(one.astype(float) - other.astype(float)).mean())


def encoded(
    pixels: NDArray[np.uint8], kind: str = "JPEG", *, mode: str | None = None, **options: object
) -> bytes:
    """Return the bytes of a file written by Pillow (or pillow-heif, once registered)."""
    stream = io.BytesIO()
    image = Image.fromarray(pixels)
    (image.convert(mode) if mode else image).save(stream, kind, **options)
    return stream.getvalue()


def text(value: str) -> Value:
    raw = value.encode() + b"\0"
    return ASCII, len(raw), raw


def short(value: int) -> Value:
    return SHORT, 1, struct.pack(">H", value)


def ratio(top: int, bottom: int) -> Value:
    return RATIONAL, 1, struct.pack(">II", top, bottom)


def directory(fields: Mapping[int, Value], offset: int) -> bytes:
    """Return a big-endian TIFF directory that begins at `offset` of its block."""
    head, body = struct.pack(">H", len(fields)), b""
    place = offset + 2 + 12 * len(fields) + 4
    for tag, (kind, count, raw) in sorted(fields.items()):
        head += struct.pack(">HHI", tag, kind, count)
        if len(raw) <= 4:
            head += raw.ljust(4, b"\0")
        else:
            head += struct.pack(">I", place + len(body))
            body += raw + b"\0" * (len(raw) % 2)
    return head + b"\0\0\0\0" + body


def exif_block(main: Mapping[int, Value], photo: Mapping[int, Value] | None = None) -> bytes:
    """Return an EXIF block as files carry it, "Exif" in front."""
    main = dict(main)
    if photo:
        main[0x8769] = (LONG, 1, b"\0\0\0\0")
        main[0x8769] = (LONG, 1, struct.pack(">I", 8 + len(directory(main, 8))))
    first = directory(main, 8)
    second = directory(photo, 8 + len(first)) if photo else b""
    return b"Exif\0\0MM\0*" + struct.pack(">I", 8) + first + second


def maker_note(vector_g: Sequence[float]) -> Value:
    """Return a note with a gravity vector, laid out as one phone maker does."""
    raw = b"".join(struct.pack(">ii", round(value * 100_000), 100_000) for value in vector_g)
    note = b"Some phone\0\0MM" + directory({0x0008: (SIGNED_RATIONAL, 3, raw)}, 14)
    return UNDEFINED, len(note), note


def png_chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def raw_png(
    samples: NDArray[np.unsignedinteger], colour: int, extra: bytes = b"", size: tuple[int, int] | None = None
) -> bytes:
    """Return a PNG of (H, W, n) samples, written chunk by chunk after the standard."""
    height, width = samples.shape[:2]
    depth = samples.dtype.itemsize * 8
    rows = samples.astype(samples.dtype.newbyteorder(">"))
    data = b"".join(b"\0" + row.tobytes() for row in rows)
    said = size or (width, height)
    return (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", struct.pack(">IIBBBBB", *said, depth, colour, 0, 0, 0))
        + extra
        + png_chunk(b"IDAT", zlib.compress(data))
        + png_chunk(b"IEND", b"")
    )
