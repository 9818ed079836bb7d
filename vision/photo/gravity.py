"""The direction of gravity that some phones write beside the photo.

One phone maker's note is a TIFF directory behind a name of 12 bytes and a byte
order mark, its offsets counted from the note's own start; tag 0x0008 holds three
signed rationals in g, in the frame of the phone: x to the right and y up on the
screen of the upright phone, z out of the screen.  The camera looks along -z, and
its stored picture (orientation 1) has the phone's right side up.
"""

import numpy as np
from numpy.typing import NDArray

from vision.photo.exif import byte_order, read_directory

_TAG, _SIGNED_RATIONAL = 0x0008, 10
# A phone at rest feels 1 g; further off it was shaken, or the tag means something else.
_LENGTH_G = (0.9, 1.1)
# Looking steeper than this up or down, "level" in the picture is undefined.
_MAX_PITCH_DEG = 60.0
# The main axis of the note and its sign for each orientation tag, seen on phone photos.
_AXIS_OF_TAG: dict[int, tuple[int, int]] = {1: (0, -1), 6: (1, -1), 3: (0, 1), 8: (1, 1)}


def note_vector(note: bytes) -> NDArray[np.float64] | None:
    """Return the note's vector in the phone's frame, in g, or None without a sound one.

    Parameters
    ----------
    note : bytes
        The whole maker note, as it stands in the EXIF.
    """
    order = byte_order(note[12:14])
    if order is None:
        return None
    entry = read_directory(note, order, 14).get(_TAG)
    if entry is None or entry.kind != _SIGNED_RATIONAL or entry.count != 3:
        return None
    vector = np.array(entry.numbers())
    length = float(np.linalg.norm(vector))
    return vector if _LENGTH_G[0] <= length <= _LENGTH_G[1] else None


def upright_gravity(note: bytes, tag: int, turned: int) -> tuple[float, float, float] | None:
    """Return the direction of gravity in the upright photo, or None if it cannot be told.

    Used only where the note's main axis fits the orientation tag (1: -x, 6: -y, 3: +x,
    8: +y) and the tag is the turn that the pixels got: phones were seen that turn
    the pixels, write orientation 1, and leave the vector as the sensor felt it.

    Parameters
    ----------
    note : bytes
        The whole maker note.
    tag, turned : int
        The EXIF orientation, and the one by which the picture was really turned.

    Returns
    -------
    tuple of three float, or None
        Unit vector, x right, y down, z into the scene; straight down is (0, 1, 0) in a
        photo taken with a level camera.
    """
    vector = note_vector(note)
    if vector is None or tag != turned or tag not in _AXIS_OF_TAG:
        return None
    vector = vector / np.linalg.norm(vector)
    axis, sign = _AXIS_OF_TAG[tag]
    main = int(np.argmax(np.abs(vector[:2])))
    too_steep = abs(vector[2]) > np.sin(np.radians(_MAX_PITCH_DEG))
    if too_steep or main != axis or np.sign(vector[main]) != sign:
        return None
    right, down, into = -vector[1], -vector[0], -vector[2]
    x, y = {1: (right, down), 6: (-down, right), 3: (-right, -down), 8: (down, -right)}[tag]
    return float(x), float(y), float(into)
