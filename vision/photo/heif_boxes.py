"""What a HEIF container says about itself (ISO/IEC 23008-12, 14496-12).

The decoder fills the missing end of a cut file with grey and does not tell; so
every box, and every place that the item location box points to, has to lie
inside the file.  The same walk finds the turns that belong to the picture.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from vision.photo.limits import damaged, truncated

KIND = "HEIF"
# Quarter turns against the clock of `irot`, as the EXIF orientation of the same turn.
_EXIF_OF_QUARTERS = (1, 8, 3, 6)
MIRRORED = 0


@dataclass(frozen=True)
class Box:
    """One box: its name and its body's place in the file (end exclusive)."""

    name: bytes
    start: int
    end: int


class _Cursor:
    """Reads big-endian numbers from the body of a box and never beyond it."""

    def __init__(self, data: bytes, box: Box) -> None:
        self._data, self._position, self._end = data, box.start, box.end
        word = self.number(4)
        self.version, self.flags = word >> 24, word & 0xFFFFFF

    def number(self, size: int) -> int:
        start, self._position = self._position, self._position + size
        if self._position > self._end:
            raise damaged(KIND, "a box ends before its content")
        return int.from_bytes(self._data[start : self._position], "big")


def _boxes(data: bytes, start: int, end: int, *, outermost: bool = False) -> Iterator[Box]:
    while start < end:
        if end - start < 8:
            raise truncated(KIND)
        size, name, head = int.from_bytes(data[start : start + 4], "big"), data[start + 4 : start + 8], 8
        if size == 1:
            size, head = int.from_bytes(data[start + 8 : start + 16], "big"), 16
        elif size == 0:
            size = end - start
        if size < head:
            raise damaged(KIND, "a box without size")
        if start + size > end:
            raise truncated(KIND) if outermost else damaged(KIND, "a box larger than the one it is in")
        yield Box(name, start + head, start + size)
        start += size


def _one(data: bytes, parent: Box, name: bytes, skip: int = 0) -> Box | None:
    return next((box for box in _boxes(data, parent.start + skip, parent.end) if box.name == name), None)


def read_turn(data: bytes) -> int | None:
    """Check that the file is whole and return the turn that belongs to the picture.

    Returns
    -------
    int or None
        The turn of the primary picture's own properties (which a decoder applies)
        as an EXIF orientation 1, 3, 6 or 8; `MIRRORED` for any with a mirror; None
        where the container says nothing about turns.

    Raises
    ------
    PhotoError
        If the file is cut or the container contradicts itself.
    """
    outer = list(_boxes(data, 0, len(data), outermost=True))
    meta = next((box for box in outer if box.name == b"meta"), None)
    if meta is None:
        raise damaged(KIND, "no description of a picture in it")
    location = _one(data, meta, b"iloc", 4)
    if location is None:
        raise damaged(KIND, "no place of a picture in it")
    _check_locations(data, location)
    return _turn_of(_properties(data, meta), data)


def _check_locations(data: bytes, box: Box) -> None:
    """Raise where an item's bytes would lie behind the end of the file."""
    cursor = _Cursor(data, box)
    sizes = cursor.number(2)
    offset_size, length_size, base_size = sizes >> 12, sizes >> 8 & 15, sizes >> 4 & 15
    index_size = sizes & 15 if cursor.version > 0 else 0
    wide = 4 if cursor.version == 2 else 2
    for _ in range(cursor.number(wide)):
        cursor.number(wide)
        method = cursor.number(2) & 15 if cursor.version > 0 else 0
        cursor.number(2)
        base = cursor.number(base_size)
        for _ in range(cursor.number(2)):
            cursor.number(index_size)
            offset, length = cursor.number(offset_size), cursor.number(length_size)
            if method == 0 and base + offset + length > len(data):
                raise truncated(KIND)


def _properties(data: bytes, meta: Box) -> list[Box]:
    """Return the properties of the primary picture in the order of their use."""
    primary, properties = _one(data, meta, b"pitm", 4), _one(data, meta, b"iprp", 4)
    if primary is None or properties is None:
        return []
    container, links = _one(data, properties, b"ipco"), _one(data, properties, b"ipma")
    if container is None or links is None:
        return []
    known = list(_boxes(data, container.start, container.end))
    cursor = _Cursor(data, primary)
    wanted = cursor.number(4 if cursor.version else 2)
    cursor = _Cursor(data, links)
    wide = 2 if cursor.flags & 1 else 1
    for _ in range(cursor.number(4)):
        item = cursor.number(4 if cursor.version else 2)
        # The highest bit marks a property as essential; the rest counts from one.
        indices = [cursor.number(wide) & (0x7FFF if wide == 2 else 0x7F) for _ in range(cursor.number(1))]
        if item == wanted:
            return [known[index - 1] for index in indices if 0 < index <= len(known)]
    return []


def _turn_of(properties: list[Box], data: bytes) -> int | None:
    names = [box.name for box in properties]
    if b"imir" in names:
        return MIRRORED
    turns = [data[box.start] & 3 for box in properties if box.name == b"irot" and box.end > box.start]
    return _EXIF_OF_QUARTERS[sum(turns) % 4] if turns else None
