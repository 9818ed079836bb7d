"""A small bounds-checked reader of TIFF directories (TIFF 6.0, Exif 2.32).

Own code, because the well-kept reader hands makers' notes on unread, and speaks of
damaged EXIF through the process-wide warnings, which threads cannot share.  It
never raises: what cannot be read is absent.
"""

import math
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

# Bytes a value and how `struct` reads it, by TIFF type; a rational is two of them.
_TYPES: dict[int, tuple[int, str]] = {
    1: (1, "B"), 2: (1, "s"), 3: (2, "H"), 4: (4, "I"), 5: (8, "II"), 6: (1, "b"), 7: (1, "s"),
    8: (2, "h"), 9: (4, "i"), 10: (8, "ii"), 11: (4, "f"), 12: (8, "d"), 13: (4, "I"),
}  # fmt: skip
_RATIONALS = (5, 10)
_MAX_ENTRIES = 1000
_EXIF_POINTER = 0x8769


@dataclass(frozen=True)
class Field:
    """One entry of a directory: TIFF type, number of values, their bytes, byte order."""

    kind: int
    count: int
    raw: bytes
    order: str

    def numbers(self) -> tuple[float, ...]:
        """Return the values; a rational with denominator 0 is NaN, text has none."""
        size, code = _TYPES[self.kind]
        if code == "s":
            return ()
        values = struct.iter_unpack(self.order + code, self.raw[: self.count * size])
        if self.kind in _RATIONALS:
            return tuple(top / bottom if bottom else math.nan for top, bottom in values)
        return tuple(float(value) for (value,) in values)

    def text(self) -> str:
        """Return the value as one line of printable text, at most 200 characters."""
        raw = self.raw.split(b"\0", 1)[0]
        try:
            decoded = raw.decode("utf-8")
        except UnicodeDecodeError:
            decoded = raw.decode("latin-1")
        return "".join(letter for letter in decoded if letter.isprintable()).strip()[:200]


Directory = Mapping[int, Field]
_NOTHING: Directory = MappingProxyType({})


def read_directory(data: bytes, order: str, offset: int) -> Directory:
    """Return the entries of the directory at `offset`, by tag.

    Parameters
    ----------
    data : bytes
        The block that the directory's offsets count from.
    order : str
        ``"<"`` or ``">"``.
    offset : int
        Of the directory's number of entries.
    """
    if not 0 <= offset <= len(data) - 2:
        return _NOTHING
    (count,) = struct.unpack_from(order + "H", data, offset)
    fields: dict[int, Field] = {}
    for index in range(min(count, _MAX_ENTRIES)):
        entry = offset + 2 + 12 * index
        if entry + 12 > len(data):
            break
        tag, kind, number, place = struct.unpack_from(order + "HHII", data, entry)
        size = _TYPES.get(kind, (0, ""))[0] * number
        start = entry + 8 if size <= 4 else place
        if 0 < size <= len(data) - start:
            fields.setdefault(tag, Field(kind, number, data[start : start + size], order))
    return fields


@dataclass(frozen=True)
class Exif:
    """The main and the photo directory of a photo's EXIF; empty where there is none."""

    main: Directory = field(default_factory=lambda: _NOTHING)
    photo: Directory = field(default_factory=lambda: _NOTHING)

    def number(self, tag: int) -> float | None:
        """Return the first value of a tag, None where absent or not finite."""
        entry = self.photo.get(tag) or self.main.get(tag)
        values = entry.numbers() if entry else ()
        return values[0] if values and math.isfinite(values[0]) else None

    def text(self, tag: int) -> str:
        """Return a tag's text, empty where absent."""
        entry = self.main.get(tag) or self.photo.get(tag)
        return entry.text() if entry else ""


def byte_order(mark: bytes) -> str | None:
    """Return ``"<"`` or ``">"`` for the two letters of a TIFF byte order mark."""
    return {b"II": "<", b"MM": ">"}.get(mark)


def read_exif(block: bytes) -> Exif:
    """Read a TIFF block; a broken one gives what can be read of it.

    Parameters
    ----------
    block : bytes
        Beginning with the byte order mark.
    """
    order = byte_order(block[:2])
    if order is None or len(block) < 8:
        return Exif()
    main = read_directory(block, order, struct.unpack_from(order + "I", block, 4)[0])
    pointer = main.get(_EXIF_POINTER)
    place = pointer.numbers() if pointer else ()
    photo = read_directory(block, order, int(place[0])) if place and math.isfinite(place[0]) else _NOTHING
    return Exif(main, photo)
