"""The demo's photos: where they are, which leg they show, what is known to be true of them.

A folder of lists, each list a folder with NAME.jpg and NAME.truth.json; the
legs' data in ``legs``.  The truth file names its leg, tells the true extension
(None where there is none) and what is expected; ``options`` may hold what a
person would have told the measurement.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import app
from app.errors import UsageError
from app.measuring.strut_request import StrutRequest, check_bars, finite, told_by
from vision.card import supplied_cards
from vision.leg import load_leg

LISTS = ("reads_within", "reads_outside", "refuses")
_FOLDER = "demo_images"
OF_TIRES = "traced tire"
"""The tier that a truth file names where its photo is of a tire."""
_OTHER_TIERS = (OF_TIRES,)


@dataclass(frozen=True)
class DemoPhoto:
    """One photo with its truth; `expected` holds keys of the result as they should come out."""

    list_name: str
    name: str
    path: Path
    leg_file: str
    truth_mm: float | None
    expected: Mapping[str, Any]
    request: StrutRequest


def find_images(given: Path | None) -> Path:
    """Return the folder of the demo's photos: the one given, the clone's, or the current folder's.

    Raises
    ------
    UsageError
        There is none.
    """
    beside = Path(app.__file__).resolve().parent.parent / _FOLDER
    for folder in (given,) if given is not None else (beside, Path(_FOLDER)):
        if any((folder / name).is_dir() for name in LISTS):
            return folder
    where = given or f"{beside} and the current folder"
    msg = (
        f"no demo photos in {where} (folders {', '.join(LISTS)}): run it in a clone of the project, "
        f"which carries {_FOLDER}, or give their folder with --images"
    )
    raise UsageError(msg)


def read_photos(folder: Path) -> list[DemoPhoto]:
    """Return the struts' photos of all lists with everything but their pixels read and checked.

    Raises
    ------
    UsageError
        There is no photo of anything, or a truth file is missing or unusable.
    LegError
        A leg's data is unusable.
    """
    if not _all(folder):
        msg = f"{folder} holds no photo (*.jpg) in its lists {', '.join(LISTS)}: give another with --images"
        raise UsageError(msg)
    return [_photo(folder, path) for path in paths_of(folder, None)]


def paths_of(folder: Path, tier: str | None) -> list[Path]:
    """Return the photos whose truth file names this tier; None: those of struts, or of none."""
    return [path for path in _all(folder) if _tier(path) == tier]


def _all(folder: Path) -> list[Path]:
    return [path for name in LISTS for path in sorted((folder / name).glob("*.jpg"))]


def _tier(path: Path) -> str | None:
    try:
        tier = json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))["tier"]
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return tier if tier in _OTHER_TIERS else None


def _photo(folder: Path, path: Path) -> DemoPhoto:
    beside = path.with_suffix(".truth.json")
    try:
        truth = json.loads(beside.read_text(encoding="utf-8"))
        leg_file, length, expected = str(truth["leg_file"]), truth["extension_mm"], dict(truth["expected"])
        truth_mm = None if length is None else finite(length)
        told = told_by(truth.get("options") or {})
    except (OSError, ValueError, TypeError, KeyError) as error:
        msg = (
            f"{beside}: no usable truth ({type(error).__name__}: {error}): "
            "it needs leg_file, extension_mm and expected"
        )
        raise UsageError(msg) from error
    request = StrutRequest(load_leg(folder / "legs" / leg_file), supplied_cards(), **told)
    request.leg.require_strut()
    if request.check_bar_mm is not None:
        check_bars(request.cards, request.check_bar_mm)
    return DemoPhoto(path.parent.name, path.stem, path, leg_file, truth_mm, expected, request)
