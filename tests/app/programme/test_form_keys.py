"""The keys that choose the form an item is answered on."""

import pytest

from app.errors import ProgrammeError
from app.programme import Method, read_programme, supplied_programme
from tests.app.rounds_house import programme

SUPPLIED = supplied_programme()


def test_only_a_count_says_what_is_counted_one_by_one() -> None:
    wrong = programme("hoses").replace('limit = "by_eye"', 'limit = "by_eye"\ncounts = "broken_wires"', 1)
    with pytest.raises(ProgrammeError, match="counts says nothing for a hand and eye"):
        read_programme(wrong, "wrong.toml")


@pytest.mark.parametrize(("key", "known"), [("counts", "broken_wires"), ("sequence", "leak")])
def test_an_unknown_form_names_the_nearest_known_one(key: str, known: str) -> None:
    wrong = programme("wires" if key == "counts" else "leaks").replace(
        f'{key} = "{known}"', f'{key} = "{known}x"'
    )
    with pytest.raises(ProgrammeError, match=f"the nearest known one is {known}"):
        read_programme(wrong, "wrong.toml")


def test_the_supplied_cables_tell_each_broken_wire_with_its_place() -> None:
    assert SUPPLIED.item("cable_wires").broken_wires
    assert [one.key for one in SUPPLIED.items if one.broken_wires] == ["cable_wires"]


def test_leaks_cracks_and_servicing_are_no_single_tick() -> None:
    sequences = {one.key: one.sequence for one in SUPPLIED.items if one.sequence}
    assert sequences == {
        "strut_leakage": "leak", "shimmy_leakage": "leak", "brake_leaks": "leak", "leaks": "leak",
        "cracks": "crack", "strut_fluid": "servicing", "shimmy_fluid": "servicing",
    }  # fmt: skip


def test_every_item_has_a_form_that_can_answer_it() -> None:
    from app.inspection.rounds.judging import quantity_of  # noqa: PLC0415 - only here
    from app.inspection.rounds.quantities import UNITS  # noqa: PLC0415

    for item in SUPPLIED.items:
        if item.method in (Method.GAUGE_READING, Method.PHOTO_MEASUREMENT):
            assert quantity_of(item) in UNITS, item.key


def test_pins_are_stated_before_a_hand_goes_near_the_gear_on_its_wheels() -> None:
    keys = [one.key for one in SUPPLIED.conditions[0].statements]
    assert "pins_in" in keys
