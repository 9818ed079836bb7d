import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.model import Basis, BlindReading, Outcome
from app.inspection.rules import (
    HandJudged,
    PhotoReading,
    Settlement,
    agrees,
    blind_agrees,
    outcome_of,
    photo_reading,
    settle_by_hand,
    stands_beside,
    was_read,
)
from tests.app.records_house import LIMITS, OUTSIDE, UNDECIDED, WITHIN, reading, refusal
from vision.results import Limits, Verdict
from vision.verdict import judge

LENGTH = st.floats(1, 500)
DOUBT = st.floats(0.01, 5)


def photo(value: float, u: float = 0.4, limits: Limits = LIMITS) -> PhotoReading:
    return PhotoReading(value, u, judge(value, u, limits) or Verdict.UNDECIDED, limits)


def hand(value: float, u: float = 0.5, by_inspector: bool = False) -> HandJudged:
    return HandJudged(value, u, judge(value, u, LIMITS) or Verdict.UNDECIDED, by_inspector)


def blind(value: float, u: float, difference_u: float) -> BlindReading:
    return BlindReading("b", "t", "p", (0, 0), (0, 9), value, u, difference_u, None)  # type: ignore[arg-type]


# hands: none there; one that stands beside the within reading; one that does not.
HANDS = {
    "none": [],
    "beside": [hand(WITHIN + 0.3)],
    "against": [hand(WITHIN + 2)],
    "both": [hand(WITHIN), hand(85.0)],
}


def expected(verdict: str, agreed: bool, besides: bool, basis: Basis, hands: str) -> Outcome:
    # Written out, so that it is not the rule once more: all that is not in here asks for hands.
    told = {
        ("outside", True): Outcome.OUTSIDE_DISCREPANCY,
        ("within", True, False, Basis.PRIMARY, "none"): Outcome.WITHIN_CLOSED,
        ("within", True, False, Basis.PRIMARY, "beside"): Outcome.WITHIN_CLOSED,
        ("within", True, False, Basis.SUPPORTING, "none"): Outcome.WITHIN_HAND_WANTED,
        ("within", True, False, Basis.SUPPORTING, "beside"): Outcome.WITHIN_CLOSED,
    }
    whole = told.get((verdict, agreed, besides, basis, hands), Outcome.HAND_WANTED)
    return told.get((verdict, agreed), whole)


@pytest.mark.parametrize(
    ("verdict", "agreed", "besides", "basis", "hands"),
    list(product(["within", "outside", "undecided"], [True, False], [False, True], Basis, HANDS)),
)
def test_every_row_of_the_outcome_table(
    verdict: str, agreed: bool, besides: bool, basis: Basis, hands: str
) -> None:
    value = {"within": WITHIN, "outside": OUTSIDE, "undecided": UNDECIDED}[verdict]
    assert photo(value).verdict == verdict
    assert outcome_of(photo(value), agreed, basis, HANDS[hands], besides) is expected(
        verdict, agreed, besides, basis, hands
    )


@given(LENGTH, DOUBT, st.booleans(), st.sampled_from(Basis), st.lists(st.tuples(LENGTH, DOUBT), max_size=3), st.booleans())  # fmt: skip
def test_nothing_but_an_agreed_reading_within_and_all_hands_beside_it_closes(
    value: float, u: float, agreed: bool, basis: Basis, hands: list[tuple[float, float]], besides: bool
) -> None:
    taken = [hand(*one) for one in hands]
    got = outcome_of(photo(value, u), agreed, basis, taken, besides)
    if got is Outcome.WITHIN_CLOSED:
        assert agreed
        assert not besides
        assert LIMITS.lower <= value - u < value + u <= LIMITS.upper
        assert all(LIMITS.lower <= one.value_mm <= LIMITS.upper for one in taken)
        assert taken or basis is Basis.PRIMARY


@given(LENGTH, DOUBT, LENGTH, DOUBT)
def test_agreement_is_mutual_and_its_border_is_the_root_sum_of_squares(
    a: float, u: float, b: float, v: float
) -> None:
    assert agrees(a, u, b, v) == agrees(b, v, a, u)
    border = math.hypot(u, v)
    assert agrees(a, u, a + border * 0.999, v)
    assert not agrees(a, u, a + border * 1.001, v)


def test_a_blind_reading_is_held_to_the_doubt_of_the_difference_and_not_to_the_shared_scale() -> None:
    # both U are 1 mm for the scale's sake; the edges explain 0.3 mm
    assert blind_agrees(photo(88.9, 1.0), blind(89.19, 1.0, 0.3))
    assert not blind_agrees(photo(88.9, 1.0), blind(89.3, 1.0, 0.3))


def test_a_blind_reading_never_gets_more_room_than_both_uncertainties_give() -> None:
    assert not blind_agrees(photo(88.9, 0.3), blind(89.5, 0.4, 50.0))


@pytest.mark.parametrize(
    ("value", "beside"),
    [(94.7, True), (94.2, True), (95.3, False), (94.0, False)],
    ids=["alike", "just agrees", "agrees, but beyond the limit as written", "too far away"],
)
def test_a_hand_measurement_stands_beside_where_it_agrees_and_is_itself_within(
    value: float, beside: bool
) -> None:
    assert photo(94.8).verdict is Verdict.WITHIN
    assert stands_beside(hand(value, 0.6), photo(94.8)) is beside


@pytest.mark.parametrize(
    ("limits", "value", "beside"),
    [(Limits(None, 90.0), 89.9, True), (Limits(None, 90.0), 90.1, False), (Limits(88.0, None), 89.5, True)],
)
def test_one_sided_limits_hold_a_hand_measurement_on_their_one_side(
    limits: Limits, value: float, beside: bool
) -> None:
    assert stands_beside(hand(value), photo(89.5, 0.4, limits)) is beside


WITHIN_BY_INSPECTOR, WITHIN_BY_MECHANIC = hand(89.0, by_inspector=True), hand(88.8)


@pytest.mark.parametrize(
    ("wanted", "hands", "follows"),
    [
        (1, [WITHIN_BY_MECHANIC], Settlement.CLOSED),
        (1, [hand(92.0)], Settlement.ANOTHER_PERSON),
        (1, [hand(97.0)], Settlement.ANOTHER_PERSON),
        (2, [WITHIN_BY_INSPECTOR], Settlement.ANOTHER_PERSON),
        (2, [WITHIN_BY_MECHANIC, hand(89.1)], Settlement.ANOTHER_PERSON),
        (2, [WITHIN_BY_MECHANIC, WITHIN_BY_INSPECTOR], Settlement.CLOSED),
        (2, [WITHIN_BY_MECHANIC, hand(89.9, by_inspector=True)], Settlement.ANEW),
        (2, [hand(97.0), hand(97.2, by_inspector=True)], Settlement.DISCREPANCY),
        (2, [hand(95.6), hand(96.0, by_inspector=True)], Settlement.DISCREPANCY),
        (2, [hand(95.0), hand(95.1, by_inspector=True)], Settlement.ANEW),
        (2, [WITHIN_BY_MECHANIC, hand(88.9), hand(97.0, by_inspector=True)], Settlement.ANEW),
    ],
    ids=[
        "one wanted, beside the photo",
        "one wanted, against the photo",
        "one wanted, outside",
        "two wanted, one there",
        "two mechanics and no inspector",
        "two agree within",
        "two disagree",
        "two agree outside",
        "two agree, one of them outside",
        "two agree, undecided",
        "of three, one disagrees",
    ],
)  # fmt: skip
def test_what_hand_measurements_settle(wanted: int, hands: list[HandJudged], follows: Settlement) -> None:
    assert settle_by_hand(wanted, hands, photo(WITHIN)) is follows


def test_one_hand_measurement_without_a_confirmed_photo_reading_settles_nothing() -> None:
    assert settle_by_hand(1, [WITHIN_BY_INSPECTOR], None) is Settlement.ANOTHER_PERSON


def test_a_result_is_taken_apart_as_the_contract_states_it() -> None:
    assert photo_reading(reading(88.9).result) == photo(88.9)
    assert photo_reading(refusal().result) is None
    assert photo_reading(None) is None


def test_a_reading_without_a_verdict_counts_as_undecided() -> None:
    told = reading(88.9).result | {"verdict": None, "limits": None}
    found = photo_reading(told)
    assert found is not None
    assert (found.verdict, found.limits) == (Verdict.UNDECIDED, Limits(None, None, ""))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"value": math.nan}, "finite"),
        ({"value": None}, "finite"),
        ({"value": True}, "finite"),
        ({"expanded_uncertainty": 0.0}, "U above 0"),
        ({"unit": "deg"}, "in mm"),
    ],
)
def test_a_result_that_is_no_length_is_not_taken(changed: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        photo_reading(reading(88.9).result | changed)


def test_a_searched_photo_was_read_and_its_lists_are_asked_for() -> None:
    searched = {"status": "searched", "flags": [], "set_aside": [], "hoses": []}
    assert was_read(searched)
    assert not was_read({"status": "refused"})
    for name in ("flags", "set_aside", "hoses"):
        with pytest.raises(ValueError, match="what was searched has lists"):
            was_read(searched | {name: None})
    with pytest.raises(ValueError, match="a reading, searched or refused, got 'maybe'"):
        was_read({"status": "maybe"})
