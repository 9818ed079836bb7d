"""Photos with truth files (their form: docstring of `tests.accuracy`), measured as they are."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.accuracy.jobs import Row, run_jobs
from tests.accuracy.run import measured
from vision.camera_file import CameraFile, load_camera
from vision.errors import GearwitnessError
from vision.leg import Leg, load_leg, read_leg
from vision.overlay import annotate
from vision.photo import Photo, read_photo
from vision.results import Result

KINDS = (".jpg", ".jpeg", ".png", ".heic", ".heif")
TOLD_U_MM = 1.0
OTHER_TIERS = ("traced tire", "traced hose")  # what a truth file names where its photo is of no strut


def find_photos(folder: Path) -> list[Path]:
    """Every photo of a strut below a folder that has a truth file beside it, in order."""
    photos = [path for path in folder.rglob("*") if path.suffix.lower() in KINDS]
    return sorted(path for path in photos if _is_of_strut(truth_path(path)))


def _is_of_strut(truth: Path | None) -> bool:
    if truth is None:
        return False
    try:
        told = json.loads(truth.read_text(encoding="utf-8"))
    except json.JSONDecodeError:
        return True  # said so where it is read
    return not isinstance(told, dict) or told.get("tier") not in OTHER_TIERS


def truth_path(photo: Path) -> Path | None:
    """The truth file beside a photo, or None."""
    for name in (f"{photo.stem}.truth.json", f"{photo.name}.truth.json"):
        if (photo.parent / name).exists():
            return photo.parent / name
    return None


def read_truth(photo: Path) -> dict[str, Any]:
    """The truth file beside a photo.

    Raises
    ------
    ValueError
        It is absent, no JSON object, or lacks what is required.
    """
    path = truth_path(photo)
    if path is None:
        msg = f"{photo}: no truth file beside it; write {photo.stem}.truth.json"
        raise ValueError(msg)
    try:
        truth = json.loads(path.read_text(encoding="utf-8"))
    except json.JSONDecodeError as error:
        msg = f"{path}: not JSON ({error}); see the docstring of tests.accuracy"
        raise ValueError(msg) from error
    if not isinstance(truth, dict) or not {"extension_mm", "truth_mm"} & set(truth):
        msg = f'{path}: "extension_mm" (a number, or null where nothing can be read) is missing'
        raise ValueError(msg)
    if not {"leg", "leg_file"} & set(truth):
        msg = (
            f'{path}: the leg\'s data are missing: give LEG.toml as text in "leg", or its path in "leg_file"'
        )
        raise ValueError(msg)
    return truth


def measure_photo(photo: Path, top: Path) -> Row:
    """Measure one photo of a folder; its row names it by its path below that folder's parent."""
    return _measure(photo, top)[2]


def _measure(path: Path, top: Path) -> tuple[Photo | None, Result | None, Row]:
    truth = read_truth(path)
    name = str(path.relative_to(top))
    expected = truth.get("expected") or {}
    value = truth.get("extension_mm", truth.get("truth_mm"))
    fair = bool(truth.get("fair", expected.get("status") != "refused" and value is not None))
    prefix = truth.get("tier", "photos")
    row: Row = {
        "name": name,
        "file": str(path.resolve()),
        "top": str(top.resolve()),
        "cell": {"set": f"{prefix} fair" if fair else f"{prefix} {truth.get('others', 'other')}"}
        | _cells(truth)
        | dict(truth.get("cell") or {}),
        "truth": value,
        "truth_u": float(truth.get("truth_u_mm", 0.0)),
        "elevation": truth.get("elevation_deg"),
        "features": list(truth.get("features", ())),
    }
    try:
        photo = read_photo(path.read_bytes())
    except GearwitnessError as error:
        return None, None, row | {"status": "refused", "cause": "photo", "detail": str(error)}
    result, found = measured(
        photo,
        lambda: leg_of_truth(truth, path, top),
        stand_off=_pair(truth.get("stand_off_mm"), TOLD_U_MM),
        bars=_pair(truth.get("check_bars_mm"), None),
        camera=_camera(truth, photo, path, top),
    )
    row |= found
    if found["status"] == "reading" and value is not None:
        row["error"] = found["value"] - value
    return photo, result, row | _unlike(row, expected, value)


def _camera(truth: dict[str, Any], photo: Photo, path: Path, top: Path) -> CameraFile | None:
    if truth.get("camera_file") is None:
        return None
    height, width = photo.pixels.shape[:2]
    found = load_camera(_beside(truth["camera_file"], path, top))
    return found.check_fits(photo.facts.make, photo.facts.model, width, height)


def _cells(truth: dict[str, Any]) -> dict[str, str]:
    """Names to report by that any truth file may allow."""
    cells = {"stand-off": "told" if truth.get("stand_off_mm") is not None else "not told"}
    cells["bars"] = "measured" if truth.get("check_bars_mm") is not None else "not measured"
    if truth.get("elevation_deg") is not None:
        cells["elevation"] = f"{int(truth['elevation_deg'] // 5 * 5):+d}°"
    length = truth.get("extension_mm", truth.get("truth_mm"))
    if length is not None:
        cells["extension"] = f"{int(length // 50 * 50)} mm"
    return cells


def _pair(value: Any, second: float | None) -> Any:
    """A pair as told, or one number with its second."""
    if value is None:
        return None
    return (float(value), second) if isinstance(value, (int, float)) else tuple(value)


def _unlike(row: Row, expected: dict[str, Any], value: float | None) -> Row:
    """What came otherwise than the truth file expects, or than a photo without a truth allows."""
    if value is None and row["status"] == "reading":
        return {"unlike": "a reading where nothing can be read"}
    for key in ("status", "cause", "verdict"):
        if key in expected and key in row and expected[key] != row[key]:
            return {"unlike": f"{key} {row[key]}, expected {expected[key]}"}
    return {}


def leg_of_truth(truth: dict[str, Any], photo: Path, top: Path) -> Leg:
    """The leg's data that a truth file gives as text or path."""
    if "leg_file" in truth and not isinstance(truth.get("leg"), str):
        return load_leg(_beside(truth["leg_file"], photo, top))
    text = str(truth["leg"])
    if "\n" in text or "=" in text:
        return read_leg(text, f"{photo.name}'s truth file")
    return load_leg(_beside(text, photo, top))


def _beside(name: str, photo: Path, top: Path) -> Path:
    """A path named in a truth file: absolute, or beside the photo or a folder above it, up to top's parent."""
    folder, last = photo.resolve().parent, top.resolve().parent
    while True:
        for candidate in (folder / name, folder / "legs" / Path(name).name):
            if candidate.is_file():
                return candidate
        if folder in (last, folder.parent):
            msg = f"{photo}: {name} lies neither beside it nor in a folder legs, up to {last}"
            raise FileNotFoundError(msg)
        folder = folder.parent


def run_photos(out: Path, top: Path, processes: int) -> Iterator[tuple[Row, bool]]:
    """Measure the photos below a folder that are not yet in `out`; yield all rows, and which are new."""
    wanted = {str(path.relative_to(top)): (path, top) for path in find_photos(top)}
    return run_jobs(out, wanted, measure_photo, lambda row: row.get("name"), processes)


def draw_photo(row: Row) -> bytes | None:
    """The annotated copy of a photo of this run, measured again; None where it is no longer there."""
    path = Path(row["file"])
    if not path.exists():
        return None
    photo, result, _ = _measure(path, Path(row["top"]))
    return None if photo is None or result is None else annotate(photo, result)
