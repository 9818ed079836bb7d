"""What the browser sends is read as places of the photo that is shown, or not at all."""

import pytest

from app.screens.components import place_points, place_some
from app.screens.components.placing.widget import read_places, read_some

SHA = "a" * 64
NOTHING = (None, None)


def sent(*points: object, photo: str = SHA) -> dict[str, object]:
    return {"photo": photo, "points": list(points)}


def test_places_inside_the_photo_are_read() -> None:
    assert read_places(sent([0, 1.25], [-0.5, 79.5]), SHA, 60, 80, 2) == ((0.0, 1.25), (-0.5, 79.5))


@pytest.mark.parametrize(
    "value",
    [
        None,
        [],
        "places",
        {"photo": SHA},
        sent(),
        sent([1, 2]),
        sent([1, 2], [3, 4], [5, 6]),
        sent([1, 2], [3]),
        sent([1, 2], None),
        sent([1, 2], [3, "4"]),
        sent([1, 2], [3, True]),
        sent([1, 2], [3, float("nan")]),
        sent([1, 2], [3, float("inf")]),
        sent([1, 2], [59.51, 4]),
        sent([1, 2], [3, -0.51]),
    ],
)
def test_half_a_reading_or_a_place_outside_the_photo_is_none(value: object) -> None:
    assert read_places(value, SHA, 60, 80, 2) == NOTHING


def test_places_of_another_photo_are_none_of_this_one() -> None:
    assert read_places(sent([1, 2], [3, 4], photo="b" * 64), SHA, 60, 80, 2) == NOTHING


@pytest.mark.parametrize(
    ("sha", "width", "labels", "complaint"),
    [
        ("../x", 60, ("one",), "SHA-256 of 64 hexadecimal digits was expected"),
        (SHA, 0, ("one",), "at least 1 × 1 px was expected, not 0 × 80"),
        (SHA, 60, (), "one label or more was expected"),
        (SHA, 60, "one", "one label or more was expected"),
    ],
)
def test_a_wrong_parameter_is_named(sha: str, width: int, labels: tuple[str, ...], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        place_points(sha, width, 80, labels, key="places")


@pytest.mark.parametrize(("count", "read"), [(0, 0), (1, 1), (3, 3), (4, 0)])
def test_as_many_places_as_may_be_set_are_read_and_no_more(count: int, read: int) -> None:
    points = [[float(one), 2.0] for one in range(count)]
    assert read_some(sent(*points), SHA, 60, 80, 1, 3) == tuple(map(tuple, points[:read]))


@pytest.mark.parametrize("value", [None, sent([1, 2], [99, 2]), sent([1, 2], photo="b" * 64)])
def test_some_places_are_none_where_one_of_them_is_no_place_of_this_photo(value: object) -> None:
    assert read_some(value, SHA, 60, 80, 1, 3) == ()


@pytest.mark.parametrize(("most", "fine"), [(1, 0.4), (3, 0.0)])
def test_what_leaves_no_choice_is_no_asking_for_some_places(most: int, fine: float) -> None:
    with pytest.raises(ValueError, match="1 <= least < most and fine > 0 were expected"):
        place_some(SHA, 60, 80, "place", most, key="some", fine=fine)
