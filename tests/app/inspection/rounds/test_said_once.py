"""No word is said twice, and one item waits where three wait."""

import pytest

from app.inspection.rounds.said_once import named, number_of, placed


@pytest.mark.parametrize(
    ("kind", "name", "said"),
    [
        ("Scale card", "card 3", "Scale card 3"),
        ("phone", "Phone 2", "phone 2"),
        ("Tool", "torque wrench 4", "Tool torque wrench 4"),
        ("Scale card", "cardboard", "Scale card cardboard"),
        ("phone", "", "phone"),
    ],
)
def test_a_name_that_begins_with_its_kind_says_it_once(kind: str, name: str, said: str) -> None:
    assert named(kind, name) == said


@pytest.mark.parametrize(
    ("place", "text", "said"),
    [
        ("nose leg, Bolts", "Bolts: counted 5.", "nose leg, Bolts: counted 5."),
        ("behind the clamp", "Bolts: counted 5.", "behind the clamp: Bolts: counted 5."),
        ("nose leg, Bolts", "counted 5.", "nose leg, Bolts: counted 5."),
    ],
)
def test_a_title_that_ends_the_place_is_said_once(place: str, text: str, said: str) -> None:
    assert placed(place, text) == said


def test_one_item_waits_and_three_wait() -> None:
    assert number_of(1, "item waits", "items wait") == "1 item waits"
    assert number_of(3, "item waits", "items wait") == "3 items wait"
