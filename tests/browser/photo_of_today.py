"""The demo's photos as if they were taken now: theirs is the day on which the demo was made."""

from datetime import UTC, datetime
from pathlib import Path

_HEAD, _TAKEN = b"Exif\0\0", b"2026:03:14 "


def of_today(photo: Path, folder: Path) -> Path:
    """Return a copy of a photo, pixels untouched, whose EXIF has this minute in UTC, without a zone as before."""
    data = photo.read_bytes()
    now = f"{datetime.now(UTC):%Y:%m:%d %H:%M:%S}".encode()
    places = [at for at in range(len(data[:65_536])) if data.startswith(_TAKEN, at)]
    assert data.count(_HEAD) == 1 and places, f"{photo.name} does not tell the demo's day"
    changed = bytearray(data)
    for at in places:
        changed[at : at + len(now)] = now
    copy = folder / photo.name
    copy.write_bytes(changed)
    return copy
