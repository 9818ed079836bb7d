"""When a photo was taken, by its file, without decoding its pixels where that can be done."""

from datetime import datetime

from vision.photo.exif import read_exif
from vision.photo.facts import taken_at_of
from vision.photo.picture import read_photo
from vision.photo.png import SIGNATURE

_TIFF = (b"II*\0", b"MM\0*")
_SEARCHED = 262_144
_JPEG = b"\xff\xd8\xff"


def taken_at(data: bytes) -> datetime | None:
    """Return when a photo was taken by its camera's clock.

    A JPEG's EXIF lies in its first segments (Exif 2.32, 4.5.4), a PNG's in its chunk
    eXIf; both are read straight away.  Other kinds are decoded.

    Parameters
    ----------
    data : bytes
        The file as it came.

    Returns
    -------
    datetime or None
        With its offset from UTC where the file tells it, else naive; None where the
        file tells no time.

    Raises
    ------
    PhotoError
        It is neither JPEG nor PNG, and cannot be read.
    """
    if data.startswith(_JPEG):
        return _behind(b"Exif\0\0", data[:_SEARCHED])
    if data.startswith(SIGNATURE):
        # Some writers keep the head that a JPEG's segment has.
        return _behind(b"eXIf", data) or _behind(b"eXIfExif\0\0", data)
    return read_photo(data).facts.taken_at


def _behind(name: bytes, data: bytes) -> datetime | None:
    """Read the EXIF that begins behind the first `name`; None where there is none."""
    places = [place for order in _TIFF if (place := data.find(name + order)) >= 0]
    return taken_at_of(read_exif(data[min(places) + len(name) :])) if places else None
