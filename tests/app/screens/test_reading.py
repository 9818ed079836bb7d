import re

import pytest

from app.screens.parts.budget import NAMED, budget_bar
from app.screens.parts.contract import result_of
from app.screens.parts.limit_scale import limit_scale
from app.screens.parts.reading import SUPPORTING, reading_html, refusal_html
from app.screens.parts.verdict import MARKS, NO_VALUE, mark_html, mark_of
from tests.app.screens.results import reading, refusal, stored
from vision import notes
from vision.notes import Note
from vision.results import BudgetLine, Limits, Reading, Refusal, Verdict

OIL = "a right extension does not prove the oil level"


def shown(verdict: Verdict | None = Verdict.WITHIN, *, supporting: bool = False, **changed: object) -> str:
    return reading_html(reading(verdict, **changed), supporting=supporting)


def test_a_stored_reading_comes_back_as_it_was() -> None:
    assert result_of(stored(reading())) == reading()


def test_a_stored_refusal_keeps_the_sentences_that_were_said() -> None:
    back = result_of(stored(refusal()))
    assert isinstance(back, Refusal)
    assert (back.reason, back.advice) == (refusal().reason, refusal().advice)
    assert not back


def test_value_and_u_stand_in_mm_in_inch_and_to_the_sixteenth() -> None:
    text = shown()
    assert "86.23 mm ± 0.29 mm" in text
    assert "3.395 in ± 0.012 in" in text
    assert "nearest 1/16: 3 3/8 in" in text


def test_beside_a_reading_that_is_within_stand_the_oil_level_and_whose_doubt_u_is() -> None:
    text = shown()
    assert text.count(OIL) == 1
    assert text.count(notes.RESTING_STATE.text.replace("'", "&#x27;")) == 1


def test_they_stand_there_though_the_photo_had_no_remarks() -> None:
    assert OIL in shown(notes=())


@pytest.mark.parametrize("verdict", [Verdict.OUTSIDE, Verdict.UNDECIDED, None])
def test_elsewhere_they_are_remarks_like_others(verdict: Verdict | None) -> None:
    assert 'class="gw-beside"' not in shown(verdict)
    assert shown(verdict).count(OIL) == 1


@pytest.mark.parametrize("verdict", [Verdict.WITHIN, Verdict.OUTSIDE])
def test_a_supporting_leg_says_that_a_hand_measurement_stands_beside_it(verdict: Verdict) -> None:
    assert SUPPORTING in shown(verdict, supporting=True)
    assert SUPPORTING not in shown(verdict, supporting=False)


def test_every_verdict_has_its_own_shape_and_word() -> None:
    marks = [*MARKS.values(), NO_VALUE]
    assert set(MARKS) == {*Verdict, None}
    assert len({mark.shape for mark in marks}) == len({mark.word for mark in marks}) == len(marks)


def test_no_mark_speaks_of_the_aircraft_as_fit() -> None:
    words = " ".join(f"{mark.word} {mark.rest}" for mark in [*MARKS.values(), NO_VALUE]).lower()
    assert not any(word in words for word in ("airworthy", "safe", "ok", "pass", "fit"))


def test_the_shape_is_left_out_where_the_word_is_read_aloud() -> None:
    assert 'aria-hidden="true"' in mark_html(mark_of(reading()))
    assert "Within limits" in mark_html(mark_of(reading()))


def test_a_refusal_says_why_and_the_one_thing_to_do() -> None:
    text = refusal_html(refusal())
    assert "belongs to another leg" in text
    assert "tag 403" in text
    assert notes.WRONG_LEG.advice in text
    assert NO_VALUE.word in text


def test_what_a_document_or_remark_holds_is_never_markup() -> None:
    evil = "<img src=x onerror=alert(1)>"
    text = shown(limits=Limits(1.0, 99.0, evil), notes=(Note("x", evil),), budget=(BudgetLine(evil, 0.1),))
    assert "<img" not in text
    assert text.count("&lt;img") == 3


def places(text: str) -> dict[str, float]:
    found = re.findall(r'class="gw-(limit|value|doubt|allowed)" style="left:([\d.-]+)%', text)
    return {f"{name}{i}": float(left) for i, (name, left) in enumerate(found)}


def test_the_value_lies_between_its_limits_on_the_line() -> None:
    at = places(limit_scale(reading()))
    assert at["limit1"] < at["value4"] < at["limit2"]
    low, high, value = 82.55, 95.25, 86.23
    share = (at["value4"] - at["limit1"]) / (at["limit2"] - at["limit1"])
    assert share == pytest.approx((value - low) / (high - low), abs=2e-4)


@pytest.mark.parametrize("value", [20.0, 51.7, 82.0, 96.0, 300.0])
def test_a_value_far_outside_stays_on_the_line(value: float) -> None:
    for place in places(limit_scale(reading(Verdict.OUTSIDE, value))).values():
        assert 0 <= place <= 100


@pytest.mark.parametrize("limits", [Limits(80.0, None, ""), Limits(None, 95.0, "")])
def test_one_limit_alone_is_drawn_once_and_the_allowed_side_reaches_the_end(limits: Limits) -> None:
    text = limit_scale(reading(limits=limits))
    assert text.count('class="gw-limit"') == 1
    allowed = re.search(r'gw-allowed" style="left:([\d.]+)%;width:([\d.]+)%', text)
    assert allowed
    left, width = float(allowed[1]), float(allowed[2])
    assert left + width == pytest.approx(100) if limits.upper is None else left == 0


@pytest.mark.parametrize("limits", [None, Limits(None, None, "")])
def test_without_limits_there_is_no_line(limits: Limits | None) -> None:
    assert limit_scale(reading(None, limits=limits)) == ""


def shares(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"flex-grow:([\d.]+)", text)]


def test_the_parts_of_the_bar_are_shares_of_the_variance_the_largest_first() -> None:
    parts = shares(budget_bar(reading().budget, "mm"))
    assert sum(parts) == pytest.approx(1, abs=1e-3)
    assert parts[:NAMED] == sorted(parts[:NAMED], reverse=True)
    whole = sum(line.standard_uncertainty**2 for line in reading().budget)
    assert parts[0] == pytest.approx(0.09**2 / whole, abs=1e-4)


def test_small_sources_are_one_part_and_are_counted() -> None:
    assert "2 smaller sources" in budget_bar(reading().budget, "mm")
    assert len(shares(budget_bar(reading().budget, "mm"))) == NAMED + 1


def test_a_reading_without_a_budget_shows_none() -> None:
    assert budget_bar((), "mm") == ""
    assert isinstance(reading(budget=()), Reading)
    assert "gw-budget" not in shown(budget=())
