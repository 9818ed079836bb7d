"""Hits, misses, and how often a wrong value of the machine was followed; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.practice.model import Answer, Choice
from vision.units import INCH_MM

HIT_MM = INCH_MM / 32
"""A reading this near the truth is a hit: half a division of a rule in 1/16 in."""


@dataclass(frozen=True)
class Score:
    """Counts over a person's answers; each pair is (how many, of how many)."""

    readings_hit: tuple[int, int]
    wrong_followed: tuple[int, int]
    right_refused: tuple[int, int]
    unusable_found: tuple[int, int]
    usable_refused: tuple[int, int]


def is_hit(answer: Answer) -> bool:
    """Tell whether the person's own reading is a hit."""
    return answer.placed_mm is not None and abs(answer.placed_mm - answer.truth_mm) <= HIT_MM


def is_right(answer: Answer) -> bool:
    """Tell whether what was chosen is what the truth asks for."""
    if not answer.is_usable:
        return answer.choice is Choice.NO_VALUE
    return answer.choice is (Choice.HAND if answer.shown_is_wrong else Choice.STANDS)


def score(answers: Sequence[Answer]) -> Score:
    """Return the counts.

    A wrong value counts as shown only where the person came so far as to see it.
    """
    read = [one for one in answers if one.is_usable and one.placed_mm is not None]
    seen = [one for one in answers if one.choice is not Choice.NO_VALUE]
    wrong = [one for one in seen if one.shown_is_wrong]
    right = [one for one in seen if not one.shown_is_wrong]
    usable = [one for one in answers if one.is_usable]
    unusable = [one for one in answers if not one.is_usable]
    return Score(
        (sum(map(is_hit, read)), len(read)),
        (sum(one.choice is Choice.STANDS for one in wrong), len(wrong)),
        (sum(one.choice is Choice.HAND for one in right), len(right)),
        (sum(one.choice is Choice.NO_VALUE for one in unusable), len(unusable)),
        (sum(one.choice is Choice.NO_VALUE for one in usable), len(usable)),
    )
