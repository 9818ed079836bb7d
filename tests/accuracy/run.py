"""One case measured, and many in two processes, resumable."""

import json
import time
import traceback
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path
from typing import Any

import cv2

from tests.accuracy.draw import Case, draw
from tests.scenes.analytic import StrutScene, render
from vision.card import supplied_cards
from vision.leg import Leg, read_leg
from vision.photo import Photo
from vision.photo.facts import PhotoFacts
from vision.photo.focal import focal_prior
from vision.results import Reading
from vision.strut import StandOff, measure_strut


def leg_of(scene: StrutScene, **changes: float) -> Leg:
    """The leg's data as the scene has them, limits ± 6.35 mm about the truth; changes are wrong data."""
    values = {
        "extension_mm": round(scene.extension_mm, 3),
        "lower_mm": round(scene.extension_mm - 6.35, 3),
        "upper_mm": round(scene.extension_mm + 6.35, 3),
        "piston_diameter_mm": scene.piston_diameter_mm,
        "collar_diameter_mm": scene.collar_diameter_mm,
        "cylinder_diameter_mm": scene.cylinder_diameter_mm,
    } | changes
    rows = "\n".join(f"{key} = {value}" for key, value in values.items())
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


def measure_case(case: Case) -> dict[str, Any]:
    """Render and measure one case; never raises, a crash is an answer of its own."""
    picture, truth = render(case.scene)
    photo = photo_of(picture, case.f35_told)
    leg = leg_of(case.scene)
    began = time.perf_counter()
    row: dict[str, Any] = {
        "seed": case.scene.seed,
        "cell": case.cell,
        "truth": truth.extension_mm,
        "px_per_mm": truth.px_per_mm,
        "elevation": truth.elevation_deg,
    }
    try:
        result = measure_strut(
            photo,
            leg,
            supplied_cards(),
            check_bar_mm=case.bars_told,
            stand_off=StandOff(*case.stand_off_told) if case.stand_off_told else None,
        )
    except Exception:
        return row | {"status": "crash", "trace": traceback.format_exc()}
    row["seconds"] = time.perf_counter() - began
    if isinstance(result, Reading):
        evidence = result.evidence
        return row | {
            "status": "reading",
            "error": result.value - truth.extension_mm,
            "U": result.expanded_uncertainty,
            "elevation_error": evidence["elevation_deg"] - truth.elevation_deg,
            "stand_off_error": evidence["stand_off_mm"] - case.scene.stand_off_mm,
            "chamfer": [evidence["chamfer_mm"], case.scene.chamfer_mm],
            "budget": {line.source: round(line.standard_uncertainty, 4) for line in result.budget[:6]},
        }
    return row | {"status": "refused", "cause": result.remedy.code, "detail": result.detail}


def _job(seed: int, fair: bool) -> dict[str, Any]:
    cv2.setNumThreads(1)
    return measure_case(draw(seed, fair))


def run_many(out: Path, seeds: range, fair: bool, processes: int = 2) -> Iterator[dict[str, Any]]:
    """Measure the cases not yet in `out` (JSON lines), appending each; yield all rows of these seeds."""
    kind = "fair" if fair else "wide"
    done: dict[int, dict[str, Any]] = {}
    if out.exists():
        for line in out.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            if row["cell"]["set"] == kind:
                done[row["seed"]] = row
    yield from (done[s] for s in seeds if s in done)
    missing = [s for s in seeds if s not in done]
    with ProcessPoolExecutor(processes) as pool, out.open("a", encoding="utf-8") as file:
        for future in as_completed([pool.submit(_job, s, fair) for s in missing]):
            row = future.result()
            file.write(json.dumps(row) + "\n")
            file.flush()
            yield row
