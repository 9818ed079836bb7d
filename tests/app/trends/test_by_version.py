import random
from xml.etree import ElementTree

import pytest
from scipy import special

from app.trends import HumanBy, Pair, Share, agreements, wear_by_grade
from vision.agreement import limits_of_agreement


def pair(
    machine: float, human: float, version: str = "0.1.0", by: HumanBy = HumanBy.RULE, u: float = 0.4
) -> Pair:
    return Pair(version, "demo leg", machine, u, human, 0.5, by)


def many(n: int = 20, bias: float = 0.1, version: str = "0.1.0", seed: int = 4) -> list[Pair]:
    draw = random.Random(seed)
    return [pair(88 + k / 10, 88 + k / 10 - bias + draw.gauss(0, 0.15), version) for k in range(n)]


def test_the_limits_are_those_of_the_study_of_the_same_pairs() -> None:
    pairs = many()
    (found,) = agreements(pairs)
    assert found.limits == limits_of_agreement([p.machine for p in pairs], [p.human for p in pairs])


def test_each_version_stands_by_itself_the_newest_first_and_rules_before_placings() -> None:
    pairs = [*many(3, version="0.9.0"), *many(3, version="0.10.0"), pair(88, 88, "0.10.0", HumanBy.PLACED)]
    assert [(one.version, one.by) for one in agreements([*pairs, pair(88, 88, "")])] == [
        ("0.10.0", HumanBy.RULE),
        ("0.10.0", HumanBy.PLACED),
        ("0.9.0", HumanBy.RULE),
        ("not told", HumanBy.RULE),
    ]


def test_two_pairs_give_counts_and_no_limits() -> None:
    (found,) = agreements(many(2))
    assert found.limits is None
    assert found.plot() is None
    assert found.covered.of == 2


def test_coverage_counts_human_values_within_the_machines_own_u() -> None:
    (found,) = agreements([pair(88.0, 88.3), pair(88.0, 88.5), pair(88.0, 89.0)])
    assert (found.covered.hits, found.agreeing.hits) == (1, 2)


def test_placings_on_the_same_photo_are_held_against_the_u_of_their_difference() -> None:
    one = Pair("0.1.0", "demo leg", 88.0, 0.4, 88.3, 0.5, HumanBy.PLACED, difference_u=0.2)
    assert not one.agrees
    assert one.is_covered


@pytest.mark.parametrize(("hits", "of"), [(0, 7), (7, 7), (19, 20), (1, 59), (480, 500)])
def test_the_interval_of_a_share_is_clopper_and_pearsons(hits: int, of: int) -> None:
    low, high = Share(hits, of).interval
    expected_low = 0.0 if hits == 0 else float(special.betaincinv(hits, of - hits + 1, 0.025))
    expected_high = 1.0 if hits == of else float(special.betaincinv(hits + 1, of - hits, 0.975))
    assert low == pytest.approx(expected_low, abs=1e-9)
    assert high == pytest.approx(expected_high, abs=1e-9)


def test_a_share_of_nothing_says_nothing() -> None:
    assert Share(0, 0).interval == (0.0, 1.0)


def test_the_plot_is_a_drawing_with_words() -> None:
    (found,) = agreements(many())
    svg = found.plot()
    assert svg is not None
    root = ElementTree.fromstring(svg)
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "program minus rule: 20 pairs"


def test_the_share_of_wear_is_told_for_each_grade() -> None:
    judged = [("b", "wear"), ("b", "reflection"), ("a", "cannot tell"), ("b", "wear")]
    assert {grade: (share.hits, share.of) for grade, share in wear_by_grade(judged).items()} == {
        "a": (0, 1),
        "b": (2, 3),
    }
