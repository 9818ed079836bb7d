"""What must not go through in a whole inspection, and which test proves it where: in the use cases, on a screen."""

import importlib
from types import ModuleType

import pytest

HERE = "tests.app.inspection.rounds"
SCREENS = "tests.app.screens"
PROVED: dict[str, tuple[tuple[str, str], ...]] = {
    "own work": (
        (f"{HERE}.test_answers", "test_nobody_looks_a_second_time_at_his_own_work"),
        ("tests.app.inspection.test_confirming", "test_nobody_confirms_his_own_work"),
        (f"{HERE}.test_sign_off", "test_nobody_signs_off_his_own_work"),
        (f"{SCREENS}.test_visit", "test_ones_own_work_is_not_offered_for_a_second_look_and_refused"),
        (f"{SCREENS}.test_confirm", "test_nobody_confirms_his_own_work_on_the_screen"),
    ),
    "no blind reading": (
        (f"{HERE}.test_answers", "test_a_second_look_is_signed_only_after_an_answer_of_ones_own"),
        ("tests.app.inspection.test_confirming", "test_without_ones_own_placing_nothing_is_shown_and_nothing_is_signed"),
        (f"{SCREENS}.test_visit", "test_the_second_person_sees_nothing_of_the_first_answer_before_his_own"),
        (f"{SCREENS}.test_confirm", "test_there_is_nothing_to_sign_with_before_the_own_reading"),
    ),
    "open item": (
        (f"{HERE}.test_sign_off", "test_every_gap_is_named_with_its_leg"),
        (f"{HERE}.test_sign_off", "test_an_item_that_waits_is_a_gap"),
        (f"{SCREENS}.test_visit", "test_what_is_missing_is_named_and_only_a_signatory_signs_off"),
    ),
    "open discrepancy": (
        (f"{HERE}.test_sign_off", "test_a_discrepancy_and_an_action_not_looked_at_are_gaps"),
        (f"{SCREENS}.test_must_fail", "test_an_open_discrepancy_is_named_and_leaves_nothing_to_sign"),
    ),
    "open count": (
        (f"{HERE}.test_handover", "test_what_is_out_blocks_the_swing_until_all_of_it_is_back"),
        (f"{HERE}.test_sign_off", "test_no_open_count_lets_the_sign_off_pass"),
        (f"{SCREENS}.test_must_fail", "test_an_open_count_is_named_before_the_sign_off_and_blocks_the_swing"),
    ),
    "overdue instrument": (
        (f"{HERE}.test_answers", "test_an_overdue_or_withdrawn_instrument_reads_nothing"),
        (f"{SCREENS}.test_visit", "test_a_gauge_is_read_on_its_form_and_an_overdue_one_refused"),
    ),
    "overdue authorisation": (
        (f"{HERE}.test_answers", "test_an_authorisation_counts_only_within_its_days"),
        (f"{SCREENS}.test_must_fail", "test_an_overdue_authorisation_looks_at_nothing"),
    ),
    "overdue card": (
        (f"{HERE}.test_photo_item", "test_a_card_that_is_unknown_overdue_or_damaged_measures_nothing"),
        (f"{SCREENS}.test_must_fail", "test_an_overdue_card_photographs_nothing"),
    ),
    "wrong condition": (
        (f"{HERE}.test_answers", "test_an_item_is_refused_in_another_condition_than_its_own"),
        (f"{HERE}.test_photo_item", "test_the_strut_is_photographed_on_its_wheels_only"),
        (f"{SCREENS}.test_visit", "test_a_wrong_condition_says_so_and_answers_nothing"),
    ),
    "stale photo": (
        (f"{HERE}.test_photo_age", "test_a_photo_that_is_older_than_the_visit_is_refused_and_not_kept"),
        (f"{HERE}.test_photo_age", "test_a_photo_of_before_the_condition_is_sent_only_with_a_reason"),
        (f"{HERE}.test_photo_item", "test_the_very_photo_of_an_earlier_visit_is_stale"),
        (f"{SCREENS}.test_must_fail", "test_a_stale_photo_is_not_sent_before_its_person_has_said_why"),
    ),
    "wrong-leg photo": (
        ("tests.app.inspection.test_tries", "test_a_leg_tag_mismatch_is_the_measurements_refusal_and_the_try_stays"),
        (f"{HERE}.test_photo_item", "test_the_very_photo_of_another_leg_is_refused"),
        (f"{SCREENS}.test_must_fail", "test_another_legs_photo_gives_no_reading_to_be_sent"),
    ),
    "wrong password": (
        (f"{HERE}.test_answers", "test_a_wrong_password_signs_nothing"),
        ("tests.app.inspection.test_confirming", "test_a_wrong_password_signs_nothing"),
        (f"{SCREENS}.test_visit", "test_a_batch_is_shown_item_by_item_and_signed"),
        (f"{SCREENS}.test_confirm", "test_a_wrong_password_signs_nothing"),
    ),
    "two at once": (
        (f"{HERE}.test_answers", "test_two_second_people_at_once_leave_one_signature"),
        (f"{HERE}.test_answers", "test_two_answers_at_once_leave_one"),
        (f"{SCREENS}.test_must_fail", "test_two_at_once_leave_one_signature"),
        (f"{SCREENS}.test_confirm", "test_who_comes_second_is_told_who_signed"),
    ),
    "replayed signature on changed content": (
        (f"{HERE}.test_answers", "test_a_signature_is_not_replayed_on_a_corrected_answer"),
        (f"{HERE}.test_discrepancies", "test_an_action_is_signed_as_it_was_shown"),
        (f"{HERE}.test_sign_off", "test_a_record_that_changed_since_it_was_shown_is_not_signed"),
        (f"{SCREENS}.test_must_fail", "test_a_signature_is_not_given_to_what_changed_since_it_was_shown"),
    ),
    "administrator signing": (
        (f"{HERE}.test_answers", "test_an_administrator_answers_nothing_looks_at_nothing_and_signs_nothing"),
        (f"{HERE}.test_sign_off", "test_neither_inspector_nor_mechanic_nor_administrator_signs_off"),
        (f"{SCREENS}.test_must_fail", "test_an_administrator_is_offered_nothing_to_sign"),
    ),
    "outside then within without action": (
        (f"{HERE}.test_discrepancies", "test_a_reading_outside_then_within_without_an_action_is_refused"),
        ("tests.app.inspection.test_confirming", "test_a_within_after_an_outside_asks_two_people_for_the_rule"),
        (f"{SCREENS}.test_must_fail", "test_what_was_outside_is_not_answered_again_without_an_action"),
    ),
}  # fmt: skip


def module(name: str) -> ModuleType:
    return importlib.import_module(name)


@pytest.mark.parametrize("fault", PROVED)
def test_each_fault_is_proved_by_tests_that_are_there(fault: str) -> None:
    for where, name in PROVED[fault]:
        assert callable(getattr(module(where), name, None)), f"{where} has no {name}"


@pytest.mark.parametrize("fault", PROVED)
def test_each_fault_is_proved_in_the_use_cases_and_on_a_screen(fault: str) -> None:
    rooms = {where.startswith(SCREENS) for where, _ in PROVED[fault]}
    assert rooms == {True, False}
