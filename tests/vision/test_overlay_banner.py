"""What the banner says, how large, how clear, and that nothing runs off the sheet."""

import itertools

import numpy as np
import pytest

from tests.vision.overlay_cases import LIMITS, reading, refusal
from vision import notes
from vision.notes import NOTES, REMEDIES, Note, Remedy
from vision.overlay.banner import STANDING, VALUE_CAP_SHARE, banner, limits_text
from vision.overlay.foot import foot
from vision.overlay.lettering import has_glyph, length, plain, wrap
from vision.overlay.limit_scale import draw_limit_scale, scale_range
from vision.overlay.palette import AMBER, BLUE_GREEN, GREY, INK, PAPER, SOFT_INK, VERMILION, Colour
from vision.overlay.strip import Strip
from vision.overlay.verdict_mark import MARKS, NOT_MEASURED, VerdictMark, draw_shape, mark_of
from vision.results import Limits, Result, Verdict

WIDTHS = [480, 640, 948, 2400]
ALL_MARKS = [*MARKS.values(), NOT_MEASURED]


def text_of(strip: Strip) -> str:
    return " ".join(word.text for word in strip.words)


def luminance(colour: Colour) -> float:
    """Relative luminance, WCAG 2.1 (from memory)."""
    coded = np.array(colour) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio, WCAG 2.1 (from memory)."""
    low, high = sorted([luminance(one), luminance(other)])
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_its_known_extremes() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21, abs=1e-9)
    # #767676 is the well known lightest grey of 4.5:1 on white (from memory).
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("colour", [INK, SOFT_INK])
def test_letters_stand_out_from_paper_seven_to_one(colour: Colour) -> None:
    assert contrast(colour, PAPER) >= 7


def test_the_painted_value_is_ink_on_paper() -> None:
    strip = banner(reading(), 948)
    word = next(word for word in strip.words if word.text.startswith("84.10"))
    left, top, right, bottom = (round(side) for side in word.box)
    painted = strip.paint()[top:bottom, left:right].reshape(-1, 3)
    darkest, lightest = painted[painted.sum(axis=1).argmin()], painted[painted.sum(axis=1).argmax()]
    assert contrast(tuple(darkest.tolist()), tuple(lightest.tolist())) >= 7


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("value", [84.1, -84.1, 12345.678, 1234567.89, 1e22])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_value_is_an_eighteenth_of_the_width_high_at_least(width: int, value: float, unit: str) -> None:
    strip = banner(reading(value=value), width, unit)
    digits = [word for word in strip.words if word.weight]
    assert digits
    for word in digits:
        _, top, _, bottom = word.box
        assert bottom - top >= width / 18
    assert pytest.approx(1 / 18) == VALUE_CAP_SHARE


def test_value_and_interval_are_told_in_both_units() -> None:
    # By hand: 84.1 mm / 25.4 is 3.31102 in, 0.243 mm is 0.00957 in; U is rounded up.
    text = text_of(banner(reading(), 948))
    assert "84.10 mm ± 0.25 mm" in text
    assert "3.311 in ± 0.010 in (95 % interval)" in text


def test_the_unit_asked_for_comes_first() -> None:
    words = banner(reading(), 948, "in").words
    first = next(word for word in words if "±" in word.text)
    assert first.text == "3.311 in ± 0.010 in"
    assert "Limits 3.1252 in to 3.5626 in" in text_of(banner(reading(), 948, "in"))


def test_an_angle_has_no_inches() -> None:
    result = reading(name="pressure_line_angle", unit="deg", value=1.25, limits=Limits(-3, 3, "doc"))
    text = text_of(banner(result, 948))
    assert "1.25° ± 0.25°" in text
    assert "Limits -3° to 3°" in text
    assert " in " not in text


@pytest.mark.parametrize(
    ("limits", "text"),
    [
        (LIMITS, "Limits 79.38 mm to 90.49 mm"),
        (Limits(79.38, None), "Limit: at least 79.38 mm"),
        (Limits(None, 90.49), "Limit: at most 90.49 mm"),
        (Limits(), ""),
    ],
)
def test_limits_are_told_as_given(limits: Limits, text: str) -> None:
    assert limits_text(limits, "mm") == text


@pytest.mark.parametrize("result", [*map(reading, (*Verdict, None)), refusal()])
def test_every_sheet_says_that_it_is_no_release(result: Result) -> None:
    text = text_of(banner(result, 948))
    assert STANDING == "Photo reading: to be confirmed by a person. Not a release."
    assert STANDING in text
    assert "airworth" not in text.lower()


@pytest.mark.parametrize(
    ("result", "word", "shape", "colour"),
    [
        (reading(Verdict.WITHIN), "Within limits", "disc", BLUE_GREEN),
        (reading(Verdict.OUTSIDE), "Outside limits", "diamond", VERMILION),
        (reading(Verdict.UNDECIDED), "Undecided", "triangle", AMBER),
        (reading(None), "Not judged", "bar", GREY),
        (refusal(), "Not measured", "hollow square", GREY),
    ],
)
def test_each_verdict_has_its_word_shape_and_colour(
    result: Result, word: str, shape: str, colour: Colour
) -> None:
    mark = mark_of(result)
    assert (mark.word, mark.shape, mark.colour) == (word, shape, colour)
    strip = banner(result, 948)
    assert word in text_of(strip)
    assert (strip.paint() == colour).all(axis=2).sum() > 300


def painted(mark: VerdictMark) -> np.ndarray:
    image = np.full((100, 100, 3), PAPER, np.uint8)
    draw_shape(image, mark, 50, 50, 70)
    return np.any(image != np.array(PAPER), axis=2)


@pytest.mark.parametrize(
    "pair", list(itertools.combinations(ALL_MARKS, 2)), ids=lambda p: p[0].word + p[1].word
)
def test_shapes_differ_without_their_colour(pair: tuple[VerdictMark, VerdictMark]) -> None:
    one, other = map(painted, pair)
    assert (one ^ other).sum() > 0.2 * (one | other).sum()


def test_a_refusal_shape_is_hollow() -> None:
    shape = painted(NOT_MEASURED)
    assert not shape[50, 50]
    assert shape[50, 22]


def test_a_refusal_tells_reason_and_remedy() -> None:
    text = text_of(banner(refusal(), 948))
    assert "Too little of the band's upper edge is clear. (12 % is clear)" in text
    assert "What to do: Clear the view of the band's upper edge and photograph again." in text


def test_within_always_says_extension_only_even_if_the_note_is_missing() -> None:
    assert notes.EXTENSION_ONLY.text in text_of(banner(reading(notes=()), 948))
    assert notes.EXTENSION_ONLY.text not in text_of(banner(reading(Verdict.OUTSIDE), 948))


LONG = "Überprüfungs-Anweisung " * 12 + "X" * 300
LONG_RESULTS = [
    reading(limits=Limits(79.38, 90.49, LONG)),
    reading(name="a_" * 200, value=1e22),
    reading(Verdict.UNDECIDED, notes=tuple(Note(f"n{i}", LONG) for i in range(12))),
    refusal(remedy=Remedy("long", LONG, LONG), detail=LONG, name="N" * 200),
    *(refusal(remedy=remedy, detail="") for remedy in REMEDIES.values()),
    reading(notes=tuple(NOTES.values())),
]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("result", LONG_RESULTS, ids=range(len(LONG_RESULTS)))
def test_no_text_runs_off_the_sheet_or_into_another(result: Result, width: int) -> None:
    for strip in (banner(result, width), foot(result, width)):
        boxes = [word.box for word in strip.words]
        for left, top, right, bottom in boxes:
            assert left >= 0
            assert right <= width
            assert top >= 0
            assert bottom <= strip.height
        for one, other in itertools.combinations(boxes, 2):
            apart = (
                one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] + 1 or other[3] <= one[1] + 1
            )
            assert apart


def test_no_sentence_of_the_registry_is_cut() -> None:
    for remedy in REMEDIES.values():
        text = text_of(banner(refusal(remedy=remedy, detail=""), 640))
        assert plain(remedy.reason) in text
        assert plain(remedy.advice) in text


def test_remarks_stand_at_the_foot_and_those_left_out_are_counted() -> None:
    remarks = tuple(Note(f"n{i}", f"Remark {i}.") for i in range(11))
    text = text_of(foot(reading(notes=remarks), 948))
    assert "Remark 7." in text
    assert "Remark 8." not in text
    assert "and 3 more remarks in the record" in text


def test_wrapped_lines_hold_every_word_and_fit() -> None:
    lines = wrap(LONG, 30, 400, most_lines=99)
    assert "".join(lines).replace(" ", "") == plain(LONG).replace(" ", "")
    assert max(length(line, 30) for line in lines) <= 400


def test_what_is_cut_ends_in_dots() -> None:
    lines = wrap(LONG, 30, 400, most_lines=3)
    assert len(lines) == 3
    assert lines[-1].endswith("…")


def test_letters_that_the_font_lacks_are_never_drawn_as_nothing() -> None:
    assert plain("84 × 2 – ½ in ≤ 5 µm Änderung Ж\x07\n中") == "84 x 2 - 1/2 in at most 5 um Anderung ? ?"
    for letter in "±°0123456789abcxyzABCXYZ.,:;()/%'\"…":
        assert has_glyph(letter)
        assert plain(letter) == letter


def test_every_sentence_of_the_registry_has_all_its_letters() -> None:
    sentences = [note.text for note in NOTES.values()]
    sentences += [text for remedy in REMEDIES.values() for text in (remedy.reason, remedy.advice)]
    assert [text for text in sentences if "?" in plain(text) and "?" not in text] == []


@pytest.mark.parametrize(
    ("value", "limits"),
    [(84.0, LIMITS), (100.0, LIMITS), (84.0, Limits(79.0, None)), (84.0, Limits(None, 79.0))],
)
def test_the_scale_shows_interval_and_limits_in_order(value: float, limits: Limits) -> None:
    low, high = scale_range(value, 2.0, limits)
    image = np.full((60, 400, 3), PAPER, np.uint8)
    draw_limit_scale(image, (0, 0, 399, 59), value, 2.0, limits)
    ink = (np.abs(image.astype(int) - INK) < 30).all(axis=2)
    posts = [limit for limit in (limits.lower, limits.upper) if limit is not None]
    found = np.flatnonzero(ink[2])
    for post in posts:
        assert np.abs(found - (post - low) / (high - low) * 399).min() <= 1
    # Just below the middle line there is the interval's bar between the posts.
    bar = ink[33]
    for end, step in ((value - 2.0, 3), (value + 2.0, -3)):
        at = (end - low) / (high - low) * 399
        assert bar[round(at) + step]
        assert not bar[round(at) - step]
