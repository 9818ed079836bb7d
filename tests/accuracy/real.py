"""``python -m tests.accuracy real``: hose and surface search on photographs that packages carry.

None of them shows worn landing gear, so what is flagged is looked at by a person: the command writes an
annotated copy of each case into ``--out`` and counts.  scikit-image's photos are there with the test extra;
scikit-learn's are taken where it is installed, else from ``--images``, the folder of its pictures.
"""

import argparse
import importlib.util
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as changed
from pathlib import Path

import cv2
import numpy as np

from vision.hose import Searched as HosesSearched
from vision.hose import Tap, search_hoses
from vision.overlay import annotate_hoses, annotate_surface
from vision.photo import Photo, read_photo
from vision.results import Refusal
from vision.surface import Searched as SurfaceSearched
from vision.surface import search_surface

Points = tuple[tuple[float, float], ...]
PACKAGES = {"skimage": "data", "sklearn": "datasets/images"}


@dataclass(frozen=True)
class Case:
    """A photo of a package and what a person shows on it, px of the file; `zoom` enlarges it first."""

    name: str
    package: str
    file: str
    hose: Points = ()
    region: Points = ()
    zoom: int = 1


BRAKE_HOSE = ((501.0, 262.0), (505.0, 281.0), (515.0, 298.0), (530.0, 312.0))
FORK_TUBE = ((497.0, 206.0), (508.0, 232.0), (519.0, 258.0), (530.0, 283.0))
EXHAUST = ((470.0, 312.0), (456.0, 342.0), (433.0, 362.0), (402.0, 372.0))
HOSES = (
    Case("brake hose, 5 px", "skimage", "motorcycle_left.png", hose=BRAKE_HOSE),
    Case("brake hose, enlarged", "skimage", "motorcycle_left.png", hose=BRAKE_HOSE, zoom=4),
    Case("fork tube, 12 px", "skimage", "motorcycle_left.png", hose=FORK_TUBE),
    Case("fork tube, enlarged", "skimage", "motorcycle_left.png", hose=FORK_TUBE, zoom=4),
    Case("exhaust pipe, enlarged", "skimage", "motorcycle_left.png", hose=EXHAUST, zoom=4),
    Case("motorcycle, nothing shown", "skimage", "motorcycle_left.png", zoom=2),
    Case("motorcycle, right, nothing shown", "skimage", "motorcycle_right.png", zoom=2),
    Case("temple roof, nothing shown", "sklearn", "china.jpg", zoom=2),
    Case("flower, nothing shown", "sklearn", "flower.jpg", zoom=2),
    Case("cup, nothing shown", "skimage", "coffee.png", zoom=2),
    Case("rocket, nothing shown", "skimage", "rocket.jpg", zoom=2),
)
SURFACES = (
    Case(
        "tank's red paint", "skimage", "motorcycle_left.png", region=((330.0, 190.0), (440.0, 238.0)), zoom=4
    ),
    Case(
        "mudguard's red paint",
        "skimage",
        "motorcycle_left.png",
        region=((545.0, 272.0), (625.0, 308.0)),
        zoom=4,
    ),
    Case("floor", "skimage", "motorcycle_left.png", region=((60.0, 400.0), (310.0, 490.0)), zoom=2),
    Case("door", "skimage", "motorcycle_left.png", region=((184.0, 4.0), (284.0, 86.0)), zoom=2),
    Case("carton", "skimage", "motorcycle_left.png", region=((530.0, 32.0), (584.0, 84.0)), zoom=4),
    Case("sky", "sklearn", "china.jpg", region=((20.0, 10.0), (620.0, 90.0)), zoom=2),
    Case("petals", "sklearn", "flower.jpg", region=((250.0, 90.0), (420.0, 260.0)), zoom=2),
    Case("table of planks", "skimage", "coffee.png", region=((10.0, 10.0), (150.0, 120.0)), zoom=2),
    Case("brick", "skimage", "brick.png", region=((20.0, 20.0), (490.0, 490.0))),
    Case("gravel", "skimage", "gravel.png", region=((20.0, 20.0), (490.0, 490.0))),
)


def folder_of(package: str, images: Path | None = None) -> Path | None:
    """Where a package keeps its photos; None where it is not installed and no folder was told."""
    if package == "sklearn" and images is not None:
        return images
    spec = importlib.util.find_spec(package)
    return None if spec is None or spec.origin is None else Path(spec.origin).parent / PACKAGES[package]


def photo_of(case: Case, folder: Path) -> Photo:
    """The case's photo, enlarged where it says so."""
    content = (folder / case.file).read_bytes()
    photo = read_photo(content)
    if case.zoom == 1:
        return photo
    height, width = (case.zoom * side for side in photo.pixels.shape[:2])
    pixels = cv2.resize(photo.pixels, (width, height), interpolation=cv2.INTER_CUBIC)
    return changed(photo, pixels=pixels, facts=changed(photo.facts, width_px=width, height_px=height))


def searched(case: Case, photo: Photo) -> HosesSearched | SurfaceSearched | Refusal:
    """Search what the person showed."""
    if case.region:
        return search_surface(photo, _enlarged(case.region, case.zoom))
    taps = [Tap(_enlarged(case.hose, case.zoom))] if case.hose else []
    return search_hoses(photo, taps=taps)


def _enlarged(points: Points, zoom: int) -> Points:
    return tuple(((x + 0.5) * zoom - 0.5, (y + 0.5) * zoom - 0.5) for x, y in points)


def main(argv: Sequence[str]) -> int:
    """Search every case, write annotated copies, print what came of each."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy real", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for annotated copies")
    parser.add_argument("--images", type=Path, help="folder of scikit-learn's pictures")
    asked = parser.parse_args(argv)
    asked.out.mkdir(parents=True, exist_ok=True)
    for case in (*HOSES, *SURFACES):
        folder = folder_of(case.package, asked.images)
        if folder is None or not (folder / case.file).exists():
            print(f"{case.name}: left out, {case.package} does not carry {case.file} here")
            continue
        photo = photo_of(case, folder)
        found = searched(case, photo)
        print(f"{case.name}: {_told(found)}", flush=True)
        draw = annotate_surface if case.region else annotate_hoses
        copy = asked.out / f"{case.name.replace(' ', '_').replace(',', '')}.jpg"
        copy.write_bytes(draw(photo, found))  # type: ignore[arg-type]
    return 0


def _told(found: HosesSearched | SurfaceSearched | Refusal) -> str:
    if isinstance(found, Refusal):
        return f"refused, {found.remedy.code}"
    kinds = sorted(flag.kind for flag in found.set_aside)
    if isinstance(found, SurfaceSearched):
        share = found.coverage.share
    else:
        share = float(np.mean([hose.coverage.seen.mean() for hose in found.hoses]))
    return f"{len(found.flags)} flags {[f.grade for f in found.flags]}, {share:.0%} searched, aside {kinds}"


__all__ = ["HOSES", "SURFACES", "Case", "folder_of", "main", "photo_of", "searched"]
