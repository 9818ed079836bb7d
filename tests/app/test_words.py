"""How a result reads for a person."""

from dataclasses import replace

import pytest

from app.commands.words import describe, in_mm_and_inch, verdict_words
from tests.app.cli_files import READING
from vision.results import Limits, Verdict

BOTH = Limits(82.55, 95.25, "demo manual")


@pytest.mark.parametrize(
    ("value", "limits", "verdict", "words"),
    [
        (90.0, BOTH, Verdict.WITHIN, "Within the limits: 82.55 mm to 95.25 mm (3.250 to 3.750 in)."),
        (70.0, BOTH, Verdict.OUTSIDE, "Outside the limits, too low: 82.55 mm to 95.25 mm"),
        (99.0, BOTH, Verdict.OUTSIDE, "Outside the limits, too high: 82.55 mm to 95.25 mm"),
        (70.0, Limits(82.55), Verdict.OUTSIDE, "too low: at least 82.55 mm (3.250 in)."),
        (99.0, Limits(upper=95.25), Verdict.OUTSIDE, "too high: at most 95.25 mm (3.750 in)."),
        (95.0, BOTH, Verdict.UNDECIDED, "Undecided: too close to a limit for its uncertainty (82.55 mm to"),
        (95.0, BOTH, Verdict.UNDECIDED, "Measure this strut by hand with a rule."),
        (95.0, None, Verdict.UNDECIDED, "Undecided: the limits cannot be told. Measure this strut by hand"),
        (95.0, None, None, "There are no limits to hold it against."),
    ],
)
def test_a_verdict_is_a_sentence_with_its_limits(
    value: float, limits: Limits | None, verdict: Verdict | None, words: str
) -> None:
    assert words in verdict_words(replace(READING, value=value, limits=limits, verdict=verdict))


def test_an_angle_has_no_inches() -> None:
    angle = replace(READING, value=2.34, expanded_uncertainty=0.5, unit="deg")
    assert in_mm_and_inch(angle) == "2.3° ± 0.5°"


def test_a_leg_without_names_leaves_no_empty_places() -> None:
    from vision.leg import read_leg  # noqa: PLC0415 - used here alone

    leg = read_leg("", "LEG.toml")
    assert describe(READING, leg).startswith("Strut extension: 90.2 mm")
