"""The calibrated camera that a photo was taken with: chosen before it, kept in its try, read by everybody.

What is kept is the calibration itself and not where it was found: measured again in years, the photo is
read with the same numbers.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from vision.camera_file import CameraFile, camera_json, load_camera, read_camera
from vision.errors import CameraError

CAMERA = "camera"
"""`Try.options["camera"]`: the contract's CAMERA.json; stored for years."""

FOLDER = "cameras"
"""Folder beside the database in which a shop lays the files that `calibrate` wrote."""


def cameras_in(home: Path) -> tuple[dict[str, dict[str, Any]], tuple[str, ...]]:
    """Return a shop's calibrations by what they are called, and what is wrong with the others."""
    found: dict[str, dict[str, Any]] = {}
    faults = []
    for path in sorted((home / FOLDER).glob("*.json")):
        try:
            camera = load_camera(path)
        except CameraError as error:
            faults.append(str(error))
            continue
        # By file: two phones of one model are two cameras.
        found[f"{path.stem}: {_words(camera)}"] = camera_json(camera)
    return found, tuple(faults)


def kept_camera(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return a calibration as it is kept in a try.

    Raises
    ------
    CameraError
        It is none.
    """
    return camera_json(read_camera(dict(told)))


def camera_words(told: Mapping[str, Any]) -> str:
    """Return which calibration was chosen, as a person reads it."""
    return _words(read_camera(dict(told)))


def _words(camera: CameraFile) -> str:
    whose = " ".join(filter(None, (camera.make, camera.model))) or "camera without a name"
    down = "" if camera.gravity_offset_deg is None else ", with its own down"
    size = f"{camera.width_px} × {camera.height_px} px"
    return f"{whose}, calibrated on {camera.date.isoformat()}, {size}{down}"
