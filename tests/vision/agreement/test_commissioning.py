"""The paired study: what it shows, what it lacks, and that a promise of U that is not kept is found."""

import math
from dataclasses import replace

import numpy as np
import pytest

from vision.agreement import Pair, commissioning_study


def pairs(n: int = 24, bias: float = 0.0, sd: float = 0.15, u: float = 0.25, seed: int = 5) -> list[Pair]:
    """Struts from 78 to 91 mm, hand and photo by two people each, never the same one."""
    rng = np.random.default_rng(seed)
    return [
        Pair(
            f"strut {i % 3}",
            hand := 78 + 13 * i / (n - 1),
            0.3,
            "AB"[i % 2],
            float(hand + bias + rng.normal(0, sd)),
            u,
            "CD"[i % 2],
        )
        for i in range(n)
    ]


def test_a_good_study_of_enough_struts_and_people_carries() -> None:
    study = commissioning_study(pairs(), allowed_mm=0.8, span_mm=11.1)
    assert study.gaps == ()
    assert study.carries
    assert study.covered == 24


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (pairs(12), "12 pairs are too few"),
        ([replace(p, strut="one") for p in pairs()], "all pairs are of one strut"),
        ([replace(p, photo_by="C") for p in pairs()], "2 people measured by hand and 1 took photos"),
        ([replace(p, photo_by=p.hand_by) for p in pairs()], "in 24 pairs one person did both"),
        (
            [replace(p, hand_mm=84 + p.hand_mm % 2, photo_mm=84 + p.hand_mm % 2 + 0.1) for p in pairs()],
            "the limits lie 11.1 mm apart",
        ),
        (pairs(bias=0.9), "are shown to lie within"),
        (pairs(sd=0.6), "pairs agree within their combined uncertainty"),
        ([replace(p, photo_mm=84 + (p.hand_mm - 84) * 1.08) for p in pairs()], "between the limits"),
    ],
)
def test_each_thing_lacking_is_named(made: list[Pair], says: str) -> None:
    study = commissioning_study(made, allowed_mm=0.8, span_mm=11.1)
    assert not study.carries
    assert any(says in gap for gap in study.gaps), study.gaps


def test_pairs_outside_their_uncertainty_are_listed_and_the_chance_is_binomial() -> None:
    made = pairs(sd=0.01)
    made[3] = replace(made[3], photo_mm=made[3].hand_mm + 0.5)
    made[9] = replace(made[9], photo_mm=made[9].hand_mm - 0.5)
    study = commissioning_study(made, allowed_mm=0.8, span_mm=11.1)
    assert study.uncovered == (made[3], made[9])
    # Chance of 22 or fewer of 24 at 95 %, summed by hand.
    more = 24 * 0.95**23 * 0.05 + 0.95**24
    assert study.coverage_chance == pytest.approx(1 - more)


def test_combined_uncertainty_is_the_root_of_the_squares() -> None:
    assert replace(pairs()[0], hand_u_mm=0.3, photo_u_mm=0.4).combined_u_mm == pytest.approx(0.5)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_impossible_numbers_are_an_error_that_names_the_strut(wrong: float) -> None:
    made = pairs()
    with pytest.raises(ValueError, match="strut 2: lengths and expanded"):
        commissioning_study([*made[:2], replace(made[2], photo_u_mm=wrong)], allowed_mm=0.8, span_mm=11.0)
    with pytest.raises(ValueError, match="positive lengths"):
        commissioning_study(made, allowed_mm=wrong, span_mm=11.0)


def test_two_pairs_are_no_study() -> None:
    with pytest.raises(ValueError, match="3 pairs or more"):
        commissioning_study(pairs()[:2], allowed_mm=0.8, span_mm=11.0)
