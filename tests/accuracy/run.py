"""One case measured, and many in two processes, resumable."""

import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.accuracy.draw import Case, draw
from tests.accuracy.hard import draw_kind
from tests.accuracy.jobs import Row, run_jobs
from tests.scenes.analytic import StrutScene, render
from vision.camera_file import CameraFile
from vision.card import supplied_cards
from vision.errors import CardError, LegError
from vision.leg import Leg, read_leg
from vision.photo import Photo
from vision.photo.facts import PhotoFacts
from vision.photo.focal import focal_prior
from vision.results import Reading, Result
from vision.strut import StandOff, measure_strut


def leg_of(scene: StrutScene, **changes: float | None) -> Leg:
    """The leg's data as the scene has them, limits ± 6.35 mm about the truth.

    Changes are wrong or further data; None leaves a key out.
    """
    values = {
        "extension_mm": round(scene.extension_mm, 3),
        "lower_mm": round(scene.extension_mm - 6.35, 3),
        "upper_mm": round(scene.extension_mm + 6.35, 3),
        "piston_diameter_mm": scene.piston_diameter_mm,
        "collar_diameter_mm": scene.collar_diameter_mm,
        "cylinder_diameter_mm": scene.cylinder_diameter_mm,
    } | changes
    rows = "\n".join(f"{key} = {value}" for key, value in values.items() if value is not None)
    return read_leg(
        f'aircraft = "scene"\nposition = "left main"\ndocument = "scene"\n[strut]\n'
        f'measured_from = "band"\nmeasured_to = "collar"\n{rows}\n',
        "scene",
    )


def photo_of(picture: Any, f35: float | None) -> Photo:
    """A photo of a rendered picture whose file would state this 35 mm focal length."""
    height, width = picture.shape[:2]
    facts = PhotoFacts(
        format="JPEG",
        width_px=width,
        height_px=height,
        make="Rendered",
        model="synthetic scene",
        focal_35mm=f35,
        focal=focal_prior((width, height), f35),
    )
    return Photo(picture, facts)


def measured(
    photo: Photo,
    leg: Callable[[], Leg],
    *,
    stand_off: tuple[float, float] | None = None,
    bars: tuple[float, float | None] | None = None,
    camera: CameraFile | None = None,
) -> tuple[Result | None, Row]:
    """Measure one photo; never raises, a crash is an answer of its own.

    Returns the result and what a row says of it, without the truth: ``status`` is ``"reading"``,
    ``"refused"`` or ``"crash"``.  Data that the program does not take count as refused, cause ``data``.
    """
    began = time.perf_counter()
    try:
        told = StandOff(*stand_off) if stand_off else None
        result = measure_strut(
            photo, leg(), supplied_cards(), camera=camera, check_bar_mm=bars, stand_off=told
        )
    except (LegError, CardError) as error:
        return None, {"status": "refused", "cause": "data", "detail": str(error)}
    except Exception:
        return None, {"status": "crash", "trace": traceback.format_exc()}
    row: Row = {"seconds": time.perf_counter() - began, "notes": [note.code for note in result.notes]}
    if not isinstance(result, Reading):
        row |= {"status": "refused", "cause": result.remedy.code, "detail": result.detail}
        return result, row
    limits = result.limits
    return result, row | {
        "status": "reading",
        "value": result.value,
        "U": result.expanded_uncertainty,
        "verdict": str(result.verdict) if result.verdict else None,
        "limits": [limits.lower, limits.upper] if limits else None,
        "evidence": {
            key: result.evidence[key]
            for key in ("elevation_deg", "stand_off_mm", "chamfer_mm", "px_per_mm")
            if key in result.evidence
        },
        "budget": {line.source: round(line.standard_uncertainty, 4) for line in result.budget[:6]},
    }


def measure_picture(case: Case, photo: Photo, px_per_mm: float) -> tuple[Result | None, Row]:
    """Measure an analytic case whose picture is there already."""
    scene = case.scene
    result, found = measured(
        photo,
        lambda: leg_of(scene, **case.leg_changes),
        stand_off=case.stand_off_told,
        bars=case.bars_told,
    )
    truth = scene.extension_mm + case.truth_offset_mm
    row: Row = {
        "seed": scene.seed,
        "cell": case.cell,
        "truth": truth,
        "px_per_mm": px_per_mm,
        "elevation": scene.elevation_deg,
    } | found
    if case.features:
        row["features"] = list(case.features)
    if found["status"] == "reading":
        evidence = found["evidence"]
        row |= {
            "error": found["value"] - truth,
            "elevation_error": evidence["elevation_deg"] - scene.elevation_deg,
            "stand_off_error": evidence["stand_off_mm"] - scene.stand_off_mm,
            "chamfer": [evidence["chamfer_mm"], scene.chamfer_mm],
        }
    return result, row


def photo_and_scale(case: Case) -> tuple[Photo, float]:
    """The case's photo, and its true px/mm at mid-span."""
    picture, truth = render(case.scene)
    return photo_of(picture, case.f35_told), truth.px_per_mm


def measure_case(case: Case) -> Row:
    """Render and measure one case; never raises, a crash is an answer of its own."""
    return measure_picture(case, *photo_and_scale(case))[1]


def _job(kind: str, seed: int) -> Row:
    return measure_case(draw_kind(kind, seed))


def run_set(out: Path, seeds: range, kind: str, processes: int = 2) -> Iterator[tuple[Row, bool]]:
    """Measure the cases of a set that are not yet in `out`; yield all rows, and which are new."""
    wanted = {(kind, seed): (kind, seed) for seed in seeds}
    return run_jobs(out, wanted, _job, lambda row: (row["cell"].get("set"), row.get("seed")), processes)


def run_many(out: Path, seeds: range, fair: bool, processes: int = 2) -> Iterator[Row]:
    """Measure the fair or wide cases not yet in `out` (JSON lines), appending each; yield all rows."""
    for row, _ in run_set(out, seeds, "fair" if fair else "wide", processes):
        yield row


__all__ = [
    "draw",
    "leg_of",
    "measure_case",
    "measure_picture",
    "measured",
    "photo_and_scale",
    "photo_of",
    "run_many",
    "run_set",
]
