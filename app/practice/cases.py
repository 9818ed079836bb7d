"""The scenes to practise on: the demo's rendered photos, each with the truth that it was rendered with."""

import hashlib
import json
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import app
from vision.errors import LegError
from vision.leg import load_leg
from vision.results import Limits

FOLDER = "demo_images"
_READ, _REFUSED = ("reads_within", "reads_outside"), ("refuses",)
Pixel = tuple[float, float]


@dataclass(frozen=True)
class Case:
    """One rendered scene.

    Attributes
    ----------
    is_usable : bool
        Whether the photo can give a value at all.
    truth_mm : float
        The extension it was rendered with.
    from_px, to_px : (x, y)
        Where its two ends are, px of the upright photo.
    size_px : (width, height)
        Of the upright photo.
    why_unusable : str
        Why it gives no value, as the truth names it; empty where it gives one.
    """

    name: str
    path: Path
    sha: str
    position: str
    plate: str
    limits: Limits
    is_usable: bool
    truth_mm: float
    from_px: Pixel
    to_px: Pixel
    size_px: tuple[int, int]
    why_unusable: str

    def length_mm(self, from_px: Pixel, to_px: Pixel) -> float:
        """Return the length between two placed points along the strut, by the scene's own scale.

        The scale is that between the scene's two ends; a point several millimetres off
        meets a scale that differs by less than a hundredth there.
        """
        along = (self.to_px[0] - self.from_px[0], self.to_px[1] - self.from_px[1])
        placed = (to_px[0] - from_px[0], to_px[1] - from_px[1])
        length = math.hypot(*along)
        return self.truth_mm * (placed[0] * along[0] + placed[1] * along[1]) / length**2


def cases(folder: Path | None = None) -> tuple[Case, ...]:
    """Return the scenes in their order by name; empty where the folder is not there."""
    beside = Path(app.__file__).resolve().parent.parent / FOLDER
    return _cases(folder or (beside if beside.is_dir() else Path(FOLDER).absolute()))


def photo_of(sha: str) -> bytes | None:
    """Return the photo of the scene that has this hash, None where none has."""
    found = next((one for one in cases() if one.sha == sha), None)
    if found is None:
        return None
    data = found.path.read_bytes()
    return data if hashlib.sha256(data).hexdigest() == sha else None


@cache
def _cases(folder: Path) -> tuple[Case, ...]:
    found = [
        _case(folder, path, is_usable=name in _READ)
        for name in (*_READ, *_REFUSED)
        for path in sorted((folder / name).glob("*.jpg"))
    ]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.name))


def _case(folder: Path, path: Path, *, is_usable: bool) -> Case | None:
    """Return a scene; None where its truth is not that of a strut with two ends and limits."""
    try:
        truth = json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))
        leg = load_leg(folder / "legs" / str(truth["leg_file"]))
        ends = tuple((float(truth[name][0]), float(truth[name][1])) for name in ("from_px", "to_px"))
        camera, length = truth["camera"], float(truth["extension_mm"])
        size = (int(camera["width_px"]), int(camera["height_px"]))
        cause = str(dict(truth["expected"]).get("cause", ""))
    except (OSError, ValueError, TypeError, KeyError, LegError):
        return None
    limits = None if leg.strut is None else leg.strut.limits().limits
    if leg.strut is None or limits is None:
        return None
    sha = hashlib.sha256(path.read_bytes()).hexdigest()
    return Case(
        path.stem, path, sha, leg.position, leg.strut.plate_text, limits, is_usable, length,
        ends[0], ends[1], size, cause.replace("-", " "),
    )  # fmt: skip
