"""Which pieces of marks belong together: the rules alone, without a picture."""

from dataclasses import replace

import numpy as np

from vision import notes
from vision.results import Refusal
from vision.tire.mark_parts import Part, apart, choose

RED = np.array([0.5, 0.04, 0.03])
RIM = Part("rim", 60.0, 25.0, np.zeros(3), 0.5, True, RED, np.full(3, 0.5))
TIRE = replace(RIM, on="tire", clock_deg=57.0, ring=np.full(3, 0.045))


def remedy(found: object) -> notes.Remedy:
    assert isinstance(found, Refusal)
    return found.remedy


def test_one_part_on_either_side_is_a_mark() -> None:
    assert choose([TIRE], [RIM]) == (TIRE, RIM, ())


def test_nothing_is_no_mark() -> None:
    assert remedy(choose([], [])) == notes.MARK_NOT_FOUND


def test_a_part_on_one_side_only_is_named_with_its_place() -> None:
    found = choose([], [RIM])
    assert remedy(found) == notes.MARK_ONE_SIDED
    assert "on the rim only, at 60°" in found.reason  # type: ignore[union-attr]


def test_parts_too_far_apart_are_a_question() -> None:
    assert remedy(choose([replace(TIRE, clock_deg=10.0)], [RIM])) == notes.MARKS_SEVERAL


def test_paint_of_another_colour_is_another_mark() -> None:
    blue = replace(TIRE, own=np.array([0.03, 0.05, 0.5]))
    assert remedy(choose([blue], [RIM])) == notes.MARKS_SEVERAL


def test_two_pairs_are_a_question() -> None:
    pair = [replace(TIRE, clock_deg=200.0), replace(RIM, clock_deg=201.0)]
    assert remedy(choose([TIRE, pair[0]], [RIM, pair[1]])) == notes.MARKS_SEVERAL


def test_a_second_part_near_the_mark_is_a_question_however_faint() -> None:
    near = replace(TIRE, clock_deg=75.0, strength=0.1)
    assert remedy(choose([TIRE, near], [RIM])) == notes.MARKS_SEVERAL


def test_a_faint_part_far_away_is_a_remnant() -> None:
    far = replace(TIRE, clock_deg=240.0, strength=0.1)
    assert choose([TIRE, far], [RIM]) == (TIRE, RIM, (far,))


def test_bolts_and_letters_without_colour_are_not_counted() -> None:
    letter = replace(TIRE, clock_deg=300.0, coloured=False)
    bolt = replace(RIM, clock_deg=120.0, coloured=False, own=np.full(3, 0.05))
    assert choose([TIRE, letter], [RIM, bolt]) == (TIRE, RIM, ())


def test_angles_are_apart_by_the_short_way() -> None:
    assert apart(350.0, 10.0) == -20.0
    assert apart(10.0, 350.0) == 20.0


def test_a_part_far_darker_is_not_the_same_paint() -> None:
    assert remedy(choose([replace(TIRE, own=RED / 6)], [RIM])) == notes.MARKS_SEVERAL


def test_a_part_that_faces_elsewhere_and_is_darker_by_half_is_the_same_paint() -> None:
    assert not isinstance(choose([replace(TIRE, own=RED / 2.3)], [RIM]), Refusal)
