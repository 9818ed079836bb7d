"""CAMERA.json: one calibrated camera, read with every number checked.

Pixels are of the upright pictures that were calibrated on (x right, y down,
centres at integers).
"""

import dataclasses
import datetime
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from vision.errors import CameraError

_LARGEST_FILE = 100_000
_FOCAL_WINDOW = (0.3, 20.0)
"""Focal length over the long side: from a 118° fisheye to a long lens; beyond is a slip."""


@dataclass(frozen=True)
class CameraFile:
    """A camera's calibration.

    Attributes
    ----------
    make, model : str
        As its photos say; empty where they say nothing.
    width_px, height_px : int
        Size of the upright pictures of the calibration.
    f_px, f_u_px : float
        Focal length and its standard uncertainty.
    cx_px, cy_px : float
        Principal point.
    k1, k1_u : float
        First radial coefficient, of the normalised radius squared, and its
        standard uncertainty.
    gravity_offset_deg : float or None
        Added to the roll that the phone's gravity vector tells with the phone held as
        in the calibration; None: not determined, or the phone is held another way.
    date : datetime.date
        Day of the calibration.
    rms_px : float
        Reprojection error.
    """

    make: str
    model: str
    width_px: int
    height_px: int
    f_px: float
    f_u_px: float
    cx_px: float
    cy_px: float
    k1: float
    k1_u: float
    gravity_offset_deg: float | None
    date: datetime.date
    rms_px: float

    def check_fits(
        self,
        make: str | None,
        model: str | None,
        width_px: int,
        height_px: int,
        quarter_turns: int | None = None,
    ) -> "CameraFile":
        """Return the calibration as it lies in a photo of this camera and size.

        A camera held the other way gives pictures of swapped sides.  A picture
        turned a quarter clockwise moves (x, y) to (height − 1 − y, x), one
        turned counter-clockwise to (y, width − 1 − x); the principal point
        follows it.  Focal length and k1 do not change.  The gravity offset is
        left out there: a phone tells down by other axes of its sensor when it is
        held the other way, and each has its own bias.
        Where the sides are swapped but nobody knows which way, the midpoint of
        the two, the picture's centre, is taken: it is wrong by the principal
        point's own distance from the centre, and no more.

        Parameters
        ----------
        make, model : str or None
            As the photo says; what the photo or the file does not say is not
            compared, what both say must be the same but for case and spaces.
        width_px, height_px : int
            Size of the upright photo.
        quarter_turns : int or None
            Quarter turns clockwise from the calibration's pictures to this
            photo; None: not known.  Unknown with the sides not swapped, the
            camera is taken to have been held as in the calibration.

        Raises
        ------
        CameraError
            Another camera, another size (a photo scaled down or cropped has
            another focal length in pixels), or turns that do not give the size.
        """
        for what, own, photo in (("make", self.make, make), ("model", self.model, model)):
            if own and photo and _plain(own) != _plain(photo):
                msg = f"the calibration is of {what} {own!r}, the photo of {photo!r}: give that camera's file"
                raise CameraError(msg)
        swapped = (width_px, height_px) == (self.height_px, self.width_px)
        if not swapped and (width_px, height_px) != (self.width_px, self.height_px):
            msg = (
                f"the calibration is of pictures of {self.width_px} × {self.height_px} px, "
                f"the photo has {width_px} × {height_px}: send the original photo, or calibrate at that size"
            )
            raise CameraError(msg)
        if quarter_turns is None and swapped and self.width_px != self.height_px:
            centre = ((width_px - 1) / 2, (height_px - 1) / 2)
            return dataclasses.replace(
                self, width_px=width_px, height_px=height_px, cx_px=centre[0], cy_px=centre[1],
                gravity_offset_deg=None,
            )  # fmt: skip
        turned = self._turned(quarter_turns or 0)
        if (turned.width_px, turned.height_px) != (width_px, height_px):
            msg = f"{quarter_turns} quarter turns do not give a photo of {width_px} × {height_px} px"
            raise CameraError(msg)
        return turned

    def _turned(self, quarter_turns: int) -> "CameraFile":
        turned = self
        for _ in range(quarter_turns % 4):
            turned = dataclasses.replace(
                turned,
                width_px=turned.height_px,
                height_px=turned.width_px,
                cx_px=turned.height_px - 1 - turned.cy_px,
                cy_px=turned.cx_px,
                gravity_offset_deg=None,
            )
        return turned


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def load_camera(path: str | Path) -> CameraFile:
    """Return the calibration in a CAMERA.json.

    Raises
    ------
    CameraError
        The file cannot be read, is no JSON object, lacks a key (all missing
        ones are named), or a value is of the wrong type or impossible.
    """
    path = Path(path)
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST_FILE + 1)
        raw = json.loads(data.decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError) as error:
        msg = f"{path.name}: the camera file cannot be read ({error}): give the JSON that `calibrate` wrote"
        raise CameraError(msg) from error
    try:
        return read_camera(raw)
    except CameraError as error:
        msg = f"{path.name}: {error}"
        raise CameraError(msg) from error


def camera_json(camera: CameraFile) -> dict[str, Any]:
    """Return the contract's CAMERA.json; `read_camera` reads it."""
    values = {name: getattr(camera, name) for name in CameraFile.__dataclass_fields__}
    return values | {"date": camera.date.isoformat()}


def read_camera(raw: object) -> CameraFile:
    """Return the calibration that plain JSON values tell.

    Raises
    ------
    CameraError
        As `load_camera`, without the file's name.
    """
    if not isinstance(raw, dict):
        msg = "holds no JSON object: give the JSON that `calibrate` wrote"
        raise CameraError(msg)
    # A calibration without a phone's gravity vector has no offset to tell.
    values = {"gravity_offset_deg": None} | raw
    missing = [name for name in _READERS if name not in values]
    if missing:
        msg = f"lacks {', '.join(missing)}: calibrate again, or add what is missing"
        raise CameraError(msg)
    camera = CameraFile(**{name: reader(name, values[name]) for name, reader in _READERS.items()})
    _check(camera)
    return camera


def _fail(name: str, value: object, expected: str) -> CameraError:
    return CameraError(f"{name} = {value!r} is not {expected}: calibrate again, or correct it")


def _text(name: str, value: object) -> str:
    if not isinstance(value, str):
        raise _fail(name, value, "a text")
    return value.strip()


def _size(name: str, value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100_000:
        raise _fail(name, value, "a whole number of pixels above 0")
    return value


def _number(name: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not abs(value) < 1e9:
        raise _fail(name, value, "a finite number")
    return float(value)


def _not_negative(name: str, value: object) -> float:
    real = _number(name, value)
    if real < 0:
        raise _fail(name, value, "0 or more")
    return real


def _number_or_none(name: str, value: object) -> float | None:
    return None if value is None else _number(name, value)


def _date(name: str, value: object) -> datetime.date:
    try:
        return datetime.datetime.fromisoformat(_text(name, value)).date()
    except ValueError as error:
        raise _fail(name, value, "a date like 2025-01-31") from error


_READERS: Mapping[str, Callable[[str, object], Any]] = {
    "make": _text,
    "model": _text,
    "width_px": _size,
    "height_px": _size,
    "f_px": _number,
    "f_u_px": _not_negative,
    "cx_px": _number,
    "cy_px": _number,
    "k1": _number,
    "k1_u": _not_negative,
    "gravity_offset_deg": _number_or_none,
    "date": _date,
    "rms_px": _not_negative,
}


def _check(camera: CameraFile) -> None:
    long_side = max(camera.width_px, camera.height_px)
    low, high = (factor * long_side for factor in _FOCAL_WINDOW)
    if not low <= camera.f_px <= high:
        raise _fail("f_px", camera.f_px, f"a focal length of such a picture ({low:.0f} to {high:.0f} px)")
    if camera.f_u_px >= camera.f_px / 2:
        raise _fail("f_u_px", camera.f_u_px, "a standard uncertainty in pixels, well below f_px")
    for name, value, side in (
        ("cx_px", camera.cx_px, camera.width_px),
        ("cy_px", camera.cy_px, camera.height_px),
    ):
        if not 0.25 * side <= value <= 0.75 * side:
            raise _fail(name, value, f"near the middle of {side} px")
    if abs(camera.k1) > 1:
        raise _fail("k1", camera.k1, "a radial coefficient between -1 and 1")
