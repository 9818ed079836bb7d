"""The demo photos of struts: every reading within max(0.5 mm, U) of the truth, every refusal for its own cause."""

import json
from pathlib import Path
from typing import Any

import pytest

from vision.card import supplied_cards
from vision.leg import load_leg
from vision.photo import read_photo
from vision.results import Reading, Refusal, Result
from vision.strut import measure_strut

FOLDER = Path(__file__).parent.parent / "demo_images"
TRUTHS = [
    path
    for path in sorted(FOLDER.glob("re*/*.truth.json"))
    if "extension_mm" in json.loads(path.read_text(encoding="utf-8"))
]


def measured(path: Path) -> tuple[dict[str, Any], Result]:
    truth = json.loads(path.read_text(encoding="utf-8"))
    photo = read_photo(path.with_name(path.name.replace(".truth.json", ".jpg")).read_bytes())
    leg = load_leg(FOLDER / "legs" / Path(truth["leg_file"]).name)
    return truth, measure_strut(photo, leg, supplied_cards())


def cases(folder: str) -> list[Any]:
    found = []
    for path in TRUTHS:
        if path.parent.name.startswith(folder):
            found.append(pytest.param(path, id=path.name.removesuffix(".truth.json")))
    return found


@pytest.mark.parametrize("path", cases("reads"))
def test_a_photo_that_reads_is_right_within_half_a_millimetre_or_its_own_u(path: Path) -> None:
    truth, result = measured(path)
    assert isinstance(result, Reading)
    assert result.verdict == truth["expected"]["verdict"]
    assert abs(result.value - truth["extension_mm"]) <= max(0.5, result.expanded_uncertainty)


@pytest.mark.parametrize("path", cases("refuses"))
def test_a_photo_that_cannot_be_read_is_refused_for_its_own_cause(path: Path) -> None:
    truth, result = measured(path)
    assert isinstance(result, Refusal)
    assert result.remedy.code == truth["expected"]["cause"]
    assert result.advice
