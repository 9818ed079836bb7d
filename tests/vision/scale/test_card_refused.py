"""Photos in which the card cannot serve, each refused with the advice that helps."""

import numpy as np
import pytest

from tests.vision.scale.card_photos import (
    CAMERA,
    SIZE,
    CardScene,
    known,
    photo_of_card,
    photo_of_light,
)
from vision import notes
from vision.card import supplied_cards
from vision.results import Refusal
from vision.scale import CardFix, find_card

STRIP, PLATE = supplied_cards()
SQUARE_ON = CardScene(rotation=(0.0, 0.0, 0.0), middle_mm=(0.0, 0.0, 520.0))


def answer(scene: CardScene) -> CardFix | Refusal:
    return find_card(photo_of_card(STRIP, scene, 43), [STRIP, PLATE], CAMERA, known)


def refusal(scene: CardScene) -> Refusal:
    result = answer(scene)
    assert isinstance(result, Refusal)
    return result


@pytest.mark.parametrize("radius", [-350.0, -800.0, 350.0, 800.0])
def test_a_curled_card_is_refused(radius: float) -> None:
    result = refusal(CardScene(bend_radius_mm=radius))
    assert result.remedy is notes.CARD_BENT
    assert "flat card copy printed at 100 %" in result.advice


@pytest.mark.parametrize("radius", [-350.0, 350.0])
def test_a_curled_card_is_refused_also_when_seen_square_on(radius: float) -> None:
    assert refusal(CardScene(SQUARE_ON.rotation, SQUARE_ON.middle_mm, radius)).remedy is notes.CARD_BENT


@pytest.mark.parametrize("radius", [-8000.0, 8000.0])
def test_the_bend_that_a_stiff_card_may_have_is_accepted(radius: float) -> None:
    assert isinstance(answer(CardScene(bend_radius_mm=radius)), CardFix)


def test_a_card_half_out_of_the_picture_is_refused() -> None:
    result = refusal(CardScene(middle_mm=(8.0, 180.0, 520.0)))
    assert result.remedy is notes.CARD_PARTLY_SEEN
    assert "whole card in view" in result.advice
    assert "40% of its features" in result.reason


def test_a_card_seen_too_obliquely_is_refused() -> None:
    result = refusal(CardScene(rotation=(0.6, 0.3, 0.0)))
    assert result.remedy is notes.TOO_OBLIQUE
    assert "37° off square" in result.reason


def test_a_photo_without_a_card_is_refused() -> None:
    light = 0.3 + np.random.default_rng(44).normal(0, 0.05, SIZE[::-1])
    result = find_card(photo_of_light(light), [STRIP, PLATE], CAMERA, known)
    assert isinstance(result, Refusal)
    assert result.remedy is notes.NO_CARD
    assert result.reason == "No scale card was found."


def test_a_card_that_nobody_asked_for_is_no_card() -> None:
    result = find_card(photo_of_card(STRIP, CardScene(), 45), [PLATE], CAMERA, known)
    assert isinstance(result, Refusal)
    assert result.remedy is notes.NO_CARD
