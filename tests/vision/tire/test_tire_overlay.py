"""A tire's sheet: a JPEG that calls itself a copy, whatever the evidence holds; and its words."""

import io
from dataclasses import replace

import pytest
from PIL import Image

from tests.vision.tire.tire_scene import SCENE, measured, photo_of, reading
from vision import notes
from vision.overlay import MAX_SIDE_PX, annotate_tire
from vision.overlay.tire_marks import usable_tire_marks
from vision.overlay.tire_rows import line_mark, tire_banner
from vision.results import Refusal, Result, Verdict


def words(results: list[Result]) -> str:
    return " ".join(word.text for word in tire_banner(results, "ground contact", 1000, "mm").words)


def test_the_sheet_is_a_jpeg_that_calls_itself_a_copy_and_keeps_to_the_longest_side() -> None:
    found = measured(SCENE)
    picture = Image.open(io.BytesIO(annotate_tire(photo_of(SCENE), found.results, found.level_from)))
    assert picture.format == "JPEG"
    assert max(picture.size) <= MAX_SIDE_PX
    assert picture.getexif()[0x010E] == "Annotated copy, not the original"


def test_the_line_is_answered_yes_no_or_cannot_tell() -> None:
    line = reading("pressure_line_angle")
    told = {verdict: line_mark(replace(line, verdict=verdict), "ground").word for verdict in Verdict}
    assert told == {
        Verdict.WITHIN: "Parallel: yes", Verdict.OUTSIDE: "Parallel: no",
        Verdict.UNDECIDED: "Parallel: cannot tell",
    }  # fmt: skip
    assert line_mark(replace(line, verdict=Verdict.WITHIN), "gravity").word == "Level: yes"


def test_every_quantity_and_the_witness_of_level_are_told() -> None:
    text = words(list(measured(SCENE).results))
    for part in ("Pressure line angle", "Creep arc", "Outside diameter", "Loaded radius", "Deflection"):
        assert part in text
    assert "level from ground contact" in text
    assert "Not a release" in text


def test_one_cause_is_told_once() -> None:
    refused: list[Result] = [Refusal(name, notes.WHEEL_NOT_FOUND) for name in ("creep_arc", "deflection")]
    assert words(refused).count("No wheel was found") == 1


def test_evidence_that_is_broken_is_left_out() -> None:
    marks = usable_tire_marks(
        [{"flange_px": [[1, 2]], "axle_px": "no", "line_px": [[0, 0], [1e9, 0]]}], 100, 100
    )
    assert (marks.flange, marks.axle, marks.line) == (None, None, None)


def test_a_sheet_of_nothing_is_an_error() -> None:
    with pytest.raises(ValueError, match="at least one result"):
        annotate_tire(photo_of(SCENE), [], None)
