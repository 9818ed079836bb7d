"""What a person wants left out of an export, and the copies that then stand for the originals."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from app.errors import UsageError
from vision.overlay.copies import Rectangle, bare_copy

_BLANK = re.compile(r"(?P<photo>[0-9a-f]{8,64})=(?P<box>-?\d{1,6},-?\d{1,6},\d{1,6},\d{1,6})", re.ASCII)
PLACE, FACES = "place", "place and faces"


@dataclass(frozen=True)
class Wishes:
    """What is left out.

    Attributes
    ----------
    place : bool
        Where the photos were taken: no original goes out, of each a copy without it.
    blank : mapping
        Rectangles that a person outlined, by the beginning of a photo's SHA-256; the program does not
        look for faces itself, because one that it missed would be published.
    """

    place: bool = False
    blank: Mapping[str, tuple[Rectangle, ...]] = field(default_factory=dict)

    def rectangles(self, sha: str) -> tuple[Rectangle, ...]:
        """Return what is to be blanked on a photo."""
        return tuple(box for begins, boxes in self.blank.items() if sha.startswith(begins) for box in boxes)

    def removes(self, sha: str) -> str:
        """Return what is removed from a photo, "" where its original goes out."""
        if self.rectangles(sha):
            return FACES
        return PLACE if self.place else ""


def copy_of(data: bytes, sha: str, wishes: Wishes) -> bytes:
    """Return the copy that goes out instead of an original.

    Raises
    ------
    PhotoError
        The bytes are no photo, or a rectangle lies outside it.
    """
    return bare_copy(data, sha, wishes.rectangles(sha))


def read_blanks(told: list[str]) -> dict[str, tuple[Rectangle, ...]]:
    """Return the rectangles that a command line names as PHOTO=X,Y,W,H.

    Raises
    ------
    UsageError
        One is not of this form.
    """
    found: dict[str, tuple[Rectangle, ...]] = {}
    for one in told:
        match = _BLANK.fullmatch(one)
        if match is None:
            msg = (
                f"{one!r} is not PHOTO=X,Y,W,H: give at least 8 digits of the photo's SHA-256 and the "
                "rectangle in pixels of the upright photo, e.g. 3f2a9c1b=1200,300,180,220"
            )
            raise UsageError(msg)
        x, y, wide, high = map(int, match["box"].split(","))
        found[match["photo"]] = (*found.get(match["photo"], ()), (x, y, wide, high))
    return found
