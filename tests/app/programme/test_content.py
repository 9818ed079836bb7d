"""What the supplied programme must hold: Appendix D(e) line by line, no limits of ours, legs by their kind."""

import re

import pytest

from app.programme import ItemCondition, LimitKind, Method, SeenBy, SeenFrom, supplied_programme

PROGRAMME = supplied_programme()
# 14 CFR 43 Appendix D(e), lines (1) to (10) (read): what each asks for, and where it is answered.
APPENDIX_D = {
    "(1) all units: condition, attachment": {"attachments", "bolts_and_fittings", "approach"},
    "(2) shock absorbing devices: oleo fluid level": {"strut_fluid", "strut_leakage"},
    "(3) linkages, trusses, members: wear, fatigue, distortion": {"braces", "worn_holes", "straightness"},
    "(4) retracting and locking mechanism: operation": {"retraction", "swing_cycles", "swing_locks"},
    "(5) hydraulic lines: leakage": {"leaks", "brake_leaks"},
    "(6) electrical system: chafing, operation of switches": {"wiring", "switches", "swing_indication"},
    "(7) wheels: cracks, defects, bearings": {"wheel", "wheel_bearings", "axle"},
    "(8) tires: wear and cuts": {"tire_tread", "tire_cuts"},
    "(9) brakes: adjustment": {"brake_release", "brake_wear"},
    "(10) floats and skis": {"floats_and_skis"},
}
SHIMMY = {
    "reservoir": {"shimmy_mounting", "shimmy_leakage", "shimmy_fluid"},
    "sealed": {"shimmy_mounting", "shimmy_leakage", "shimmy_sealed"},
    "friction": {"shimmy_mounting", "shimmy_friction"},
    "none": set(),
}


@pytest.mark.parametrize("line", APPENDIX_D)
def test_every_line_of_appendix_d_is_an_item_or_left_out_by_name(line: str) -> None:
    answered = {item.key: item.sources for item in PROGRAMME.items}
    left_out = {one.key: (one.reason,) for one in PROGRAMME.excluded}
    number = line.split(maxsplit=1)[0]
    assert APPENDIX_D[line] <= set(answered) | set(left_out)
    sources = [text for key in APPENDIX_D[line] for text in (answered | left_out)[key]]
    assert any(f"43 App. D(e){number}" in text for text in sources)


def test_items_hold_no_numbers_for_they_could_be_taken_for_limits() -> None:
    words = {
        item.key: " ".join((item.title, item.limit_of, item.counted, item.instrument, *item.guide))
        for item in PROGRAMME.items
    }
    assert [key for key, text in words.items() if re.search(r"\d", text)] == []


@pytest.mark.parametrize("kind", SHIMMY)
def test_each_shimmy_damper_has_its_own_items(kind: str) -> None:
    items = PROGRAMME.items_for({"shimmy_damper": kind})
    assert {item.key for item in items if item.group == "shimmy"} == SHIMMY[kind]


def test_a_question_without_an_answer_leaves_every_item_in() -> None:
    assert PROGRAMME.items_for({}) == PROGRAMME.items
    assert PROGRAMME.unanswered({}) == PROGRAMME.features
    assert PROGRAMME.unanswered({one.key: one.answers[0] for one in PROGRAMME.features}) == ()


def test_an_item_tells_what_data_the_leg_lacks() -> None:
    item = PROGRAMME.item("tire_pressure")
    either = ("tire.pressure_lower_kPa", "tire.pressure_upper_kPa")
    assert item.lacking(()) == (either, ("tire.pressure_state",))
    assert item.lacking({"tire.pressure_upper_kPa", "tire.pressure_state"}) == ()


def test_required_inspections_are_seen_at_the_aircraft() -> None:
    required = {
        item.key: item.seen_from for item in PROGRAMME.items if item.seen_by is SeenBy.REQUIRED_INSPECTION
    }
    assert {"swing_locks", "alternate_extension", "restored_locks"} <= set(required)
    assert set(required.values()) == {SeenFrom.AIRCRAFT}


def test_work_that_is_raised_swung_or_restored_carries_its_caution() -> None:
    conditions = {one.key: set(one.cautions) for one in PROGRAMME.conditions}
    assert conditions[ItemCondition.RAISED_AND_PINNED] == {"jacks"}
    assert conditions[ItemCondition.SWING] == {"jacks", "swing"}
    for item in PROGRAMME.items:
        assert item.cautions or item.condition is ItemCondition.ON_WHEELS, item.key
        assert item.condition is not ItemCondition.SWING or "swing" in item.cautions, item.key


def test_stored_values_are_frozen() -> None:
    frozen = {
        ItemCondition: ["on_wheels", "raised_and_pinned", "swing", "restored"],
        Method: ["photo_measurement", "photo_search", "gauge_reading", "count", "hand_and_eye"],
        LimitKind: ["leg_data", "document", "by_eye"],
        SeenBy: ["inspector", "required_inspection"],
        SeenFrom: ["aircraft", "photo"],
    }
    assert {kind: [one.value for one in kind] for kind in frozen} == frozen
