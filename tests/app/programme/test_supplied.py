"""The supplied programme: what it must cover, in which order, with which cautions.

The list of subjects is 14 CFR 43 Appendix D(e) (read, in check values) widened by
AC 43.13-1B chapter 9 and by common practice, no source.
"""

import pytest

from app.programme import ItemCondition, Method, SeenFrom, supplied_programme

PROGRAMME = supplied_programme()
KEYS = {item.key for item in PROGRAMME.items}
SUBJECTS = {
    "attachments and trunnions": {"attachments", "trunnions"},
    "strut": {"strut_extension", "strut_leakage", "strut_pressure", "strut_chrome", "strut_gland"},
    "torque links and their play": {"torque_links", "torque_link_play"},
    "shimmy damper with and without reservoir": {"shimmy_fluid", "shimmy_sealed"},
    "steering and centring": {"steering", "centring"},
    "axle, wheel, bolts, bearings": {"axle", "wheel", "tie_bolts", "wheel_bearings"},
    "tire": {"tire_line", "tire_pressure", "tire_creep", "tire_tread", "tire_cuts"},
    "brake": {"brake_wear", "brake_lines", "brake_leaks"},
    "hoses and tubes": {"hose_shiny_spots", "hoses", "tubes", "line_clearance", "line_clamps", "leaks"},
    "cables": {"cable_wires", "pulleys", "fair_leads", "cable_tension"},
    "fasteners": {"pins_and_wire", "thread_protrusion", "turnbuckles"},
    "doors": {"doors", "door_rods", "covers"},
    "well and electrics": {"wheel_well", "wiring", "bonding", "switches"},
    "locks": {"up_lock", "down_lock"},
    "structure": {"cracks", "corrosion", "finish"},
    "raised": {"looseness", "worn_holes", "straightness"},
    "swing": {
        "swing_cycles", "swing_clearances", "swing_locks", "swing_indication", "swing_warning",
        "alternate_extension",
    },
    "restored": {"restored_pins", "restored_locks"},
    "lubrication and history": {"lubrication", "landings", "hard_landing_history"},
}  # fmt: skip


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_subject_has_its_items(subject: str) -> None:
    assert SUBJECTS[subject] <= KEYS


def test_conditions_follow_each_other_and_are_never_returned_to() -> None:
    order = [condition.key for condition in PROGRAMME.conditions]
    assert order == list(ItemCondition)
    ranks = [order.index(item.condition) for item in PROGRAMME.items]
    assert ranks == sorted(ranks)


def test_every_item_names_its_source_and_tells_what_to_look_at() -> None:
    assert all(item.sources and item.guide for item in PROGRAMME.items)


def test_a_second_look_is_at_the_aircraft_unless_the_item_is_photographed() -> None:
    for item in PROGRAMME.items:
        if item.seen_from is SeenFrom.PHOTO:
            assert item.method in (Method.PHOTO_MEASUREMENT, Method.PHOTO_SEARCH), item.key


def test_surfaces_are_searched_beside_the_eye_where_paint_rubs_and_never_on_chrome() -> None:
    searched = {item.key: item for item in PROGRAMME.items if "surface" in item.searches}
    assert set(searched) == {"braces", "doors", "wheel_well", "finish"}
    for item in searched.values():
        assert item.method is Method.HAND_AND_EYE and item.seen_from is SeenFrom.AIRCRAFT, item.key
        assert "phones_and_cards" in item.cautions, item.key


def test_every_caution_is_used() -> None:
    used = {key for item in PROGRAMME.items for key in item.cautions} | set(PROGRAMME.opening)
    used |= {key for condition in PROGRAMME.conditions for key in condition.cautions}
    assert {caution.key for caution in PROGRAMME.cautions} == used


def test_the_work_that_can_hurt_carries_its_caution() -> None:
    cautions = {item.key: set(item.cautions) for item in PROGRAMME.items}
    assert "strut_gas" in cautions["strut_pressure"]
    assert "hot_tire" in cautions["tire_pressure"]
    assert all(cautions[key] for key in ("cable_wires", "cracks", "brake_leaks", "hoses"))


def test_nothing_calls_the_aircraft_fit_to_fly() -> None:
    from app.programme import supplied_text  # noqa: PLC0415 - only here

    assert "airworthy" not in supplied_text().lower()
