from dataclasses import replace

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Discrepancy, Item, ItemState, Measured, Outcome, TryState
from app.inspection.canonical import canonical, sha256
from tests.app.records_house import (
    OUTSIDE,
    PASSWORD,
    STATED,
    UNDECIDED,
    WITHIN,
    House,
    reading,
    refusal,
)


def discrepancies(house: House, item: Item) -> list[Discrepancy]:
    story = house.inspections.item_story(house.mechanic, item.id)
    return [one for _, one in story.entries if isinstance(one, Discrepancy)]


def test_a_primary_legs_agreed_within_closes_the_item(house: House) -> None:
    signed = house.confirmed(WITHIN)
    assert (signed.outcome, signed.agrees) == (Outcome.WITHIN_CLOSED, True)
    assert house.item_of(signed).state is ItemState.CLOSED
    assert house.inspections.try_of(house.inspector, signed.try_id).state is TryState.SETTLED


def test_a_supporting_legs_within_wants_a_hand_measurement_beside_it(house: House) -> None:
    signed = house.confirmed(WITHIN, house.supporting)
    assert signed.outcome is Outcome.WITHIN_HAND_WANTED
    item = house.item_of(signed)
    assert (item.state, item.hands_wanted) == (ItemState.HAND_WANTED, 1)


def test_a_supporting_legs_within_closes_with_the_performers_own_rule_reading_beside_it(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.supporting.id, STATED)
    house.inspections.own_hand_reading(house.mechanic, begun.id, 89.1, 0.5)
    house.inspections.photo_arrived(house.mechanic, begun.id, b"a photo")
    house.inspections.measured(begun.id, reading(WITHIN))
    shown = house.placed(house.inspections.send(house.mechanic, begun.id), WITHIN)
    assert [(hand.value_mm, hand.person_id) for hand in shown.hands] == [(89.1, house.mechanic.id)]
    assert house.sign(house.inspector, shown).outcome is Outcome.WITHIN_CLOSED


def test_an_outside_opens_a_discrepancy_with_place_photo_and_text(house: House) -> None:
    signed = house.confirmed(OUTSIDE)
    assert signed.outcome is Outcome.OUTSIDE_DISCREPANCY
    item = house.item_of(signed)
    (found,) = discrepancies(house, item)
    photo = house.inspections.try_of(house.mechanic, signed.try_id).photo
    assert (item.state, found.place, found.photo) == (ItemState.DISCREPANCY, "nose leg, strut", photo)
    assert found.text == (
        "Strut extension 97.0 mm ± 0.4 mm, read on the photo and confirmed, is outside its limits: "
        "82.55 mm to 95.25 mm."
    )


def test_an_undecided_asks_two_people_for_the_rule(house: House) -> None:
    signed = house.confirmed(UNDECIDED)
    assert signed.outcome is Outcome.HAND_WANTED
    assert house.item_of(signed).hands_wanted == 2


@pytest.mark.parametrize("value", [WITHIN, OUTSIDE, UNDECIDED])
def test_a_disagreement_asks_two_people_for_the_rule_whatever_was_read(house: House, value: float) -> None:
    signed = house.confirmed(value, blind=value + 0.6)
    assert (signed.agrees, signed.outcome) == (False, Outcome.HAND_WANTED)
    assert signed.difference_mm == pytest.approx(0.6, abs=1e-9)
    assert signed.combined_u_mm == 0.5  # the difference's own, less than both U together
    assert discrepancies(house, house.item_of(signed)) == []


@pytest.mark.parametrize("sent", [True, False], ids=["outside confirmed", "outside not even sent"])
def test_a_within_after_an_outside_asks_two_people_for_the_rule(house: House, sent: bool) -> None:
    if sent:
        house.confirmed(OUTSIDE)
    else:
        house.measured(OUTSIDE)
    signed = house.confirmed(WITHIN)
    assert signed.outcome is Outcome.HAND_WANTED
    item = house.item_of(signed)
    assert (item.state, item.hands_wanted) == (ItemState.HAND_WANTED, 2)


def test_a_hand_measurement_that_contradicts_keeps_also_a_primary_leg_open(house: House) -> None:
    sent = house.sent(WITHIN)
    house.by_hand(house.mechanic, sent.item_id, 94.0)
    assert house.sign(house.inspector, house.placed(sent, WITHIN)).outcome is Outcome.HAND_WANTED


def test_nobody_confirms_his_own_work(house: House) -> None:
    measured = house.measured(WITHIN, person=house.inspector_2)
    house.inspections.send(house.inspector_2, measured.id)
    for act in (
        lambda: house.inspections.bare(house.inspector_2, measured.id),
        lambda: house.inspections.place(house.inspector_2, measured.id, (1, 1), (1, 890)),
        lambda: house.inspections.confirm(house.inspector_2, measured.id, PASSWORD, "any"),
    ):
        with pytest.raises(NotAllowed, match="Nobody confirms his own work"):
            act()
    assert house.inspections.queue(house.inspector_2) == ()
    assert [one.try_id for one in house.inspections.queue(house.inspector)] == [measured.id]


def test_who_took_another_photo_of_the_strut_knows_its_reading_and_does_not_confirm(house: House) -> None:
    house.measured(WITHIN, person=house.inspector_2)
    sent = house.sent(WITHIN)
    with pytest.raises(NotAllowed, match="You photographed this strut yourself"):
        house.inspections.place(house.inspector_2, sent.id, (1, 1), (1, 890))
    assert house.inspections.queue(house.inspector_2) == ()


@pytest.mark.parametrize("result", [None, refusal()], ids=["begun and left", "refused"])
def test_whose_own_photo_was_not_read_knows_nothing_and_may_confirm(
    house: House, result: Measured | None
) -> None:
    if result is None:
        house.inspections.begin_try(house.inspector_2, house.primary.id, STATED)
    else:
        house.measured(result, person=house.inspector_2)
    sent = house.sent(WITHIN)
    assert not house.inspections.may_see_annotated(house.inspector_2, sent.annotated or "")
    with pytest.raises(NotAllowed, match="Read the photo yourself first"):
        house.inspections.comparison(house.inspector_2, sent.id)
    shown = house.placed(sent, WITHIN, house.inspector_2)
    assert house.sign(house.inspector_2, shown).outcome is Outcome.WITHIN_CLOSED


def test_a_mechanic_confirms_nothing(house: House) -> None:
    sent = house.sent(WITHIN)
    with pytest.raises(NotAllowed, match="Only an inspector"):
        house.inspections.queue(house.mechanic)
    with pytest.raises(NotAllowed, match="Only an inspector"):
        house.inspections.confirm(house.mechanic, sent.id, PASSWORD, "any")


def test_without_ones_own_placing_nothing_is_shown_and_nothing_is_signed(house: House) -> None:
    sent = house.sent(WITHIN)
    shown = house.placed(sent, WITHIN, house.inspector_2)
    with pytest.raises(NotAllowed, match="Read the photo yourself first"):
        house.inspections.comparison(house.inspector, sent.id)
    with pytest.raises(NotAllowed, match="Read the photo yourself first"):
        house.sign(house.inspector, shown)
    assert house.item(sent.item_id).state is ItemState.WAITING


def test_the_bare_photo_and_the_queue_hold_nothing_of_the_result(house: House) -> None:
    sent = house.sent(WITHIN)
    told = repr(house.inspections.bare(house.inspector, sent.id)) + repr(
        house.inspections.queue(house.inspector)
    )
    assert sent.photo in told
    assert str(sent.annotated) not in told
    # the leg's data states the plate's value, so the reading's own words are looked for
    assert not any(word in told for word in ("within", "expanded_uncertainty", "px_per_mm"))


def test_one_places_once(house: House) -> None:
    sent = house.sent(WITHIN)
    first = house.placed(sent, 90.0).blind
    with pytest.raises(Conflict, match="and they stay"):
        house.placed(sent, WITHIN)
    assert house.inspections.bare(house.inspector, sent.id).mine == first


@pytest.mark.parametrize("point", [(float("nan"), 1.0), (1.0, float("inf")), (1.0,), None, ("a", "b")])
def test_a_point_is_two_numbers(house: House, point: tuple[float, float]) -> None:
    sent = house.sent(WITHIN)
    with pytest.raises(UsageError, match="A point is two numbers"):
        house.inspections.place(house.inspector, sent.id, point, (1.0, 2.0))


def test_a_wrong_password_signs_nothing(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), WITHIN)
    with pytest.raises(NotAllowed, match="not your password, so nothing was signed"):
        house.inspections.confirm(house.inspector, shown.try_.id, "wrong", shown.record_hash or "")
    assert house.item(shown.place.item.id).state is ItemState.WAITING


def test_what_has_changed_since_it_was_seen_is_not_signed(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), WITHIN)
    house.by_hand(house.mechanic, shown.place.item, 89.0)
    with pytest.raises(Conflict, match="have changed since you looked"):
        house.sign(house.inspector, shown)
    again = house.inspections.comparison(house.inspector, shown.try_.id)
    assert house.sign(house.inspector, again).outcome is Outcome.WITHIN_CLOSED


def test_the_second_to_sign_is_told_who_was_first(house: House) -> None:
    sent = house.sent(WITHIN)
    first, second = house.placed(sent, WITHIN), house.placed(sent, 89.0, house.inspector_2)
    house.sign(house.inspector, first)
    with pytest.raises(Conflict, match=r"^Inspector confirmed this reading at 2024-05-01 08:\d\d UTC"):
        house.sign(house.inspector_2, second)


def test_what_was_not_sent_is_not_confirmed(house: House) -> None:
    measured = house.measured(WITHIN)
    with pytest.raises(Conflict, match="does not wait for a confirmation"):
        house.inspections.bare(house.inspector, measured.id)


def test_a_signature_binds_to_all_that_was_shown(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), 89.0)
    signed = house.sign(house.inspector, shown)
    assert signed.signed_hash == shown.record_hash == sha256(canonical(shown.record))
    record = shown.record
    assert record["try"]["result"] == reading(WITHIN).result
    assert record["try"]["photo"] == sha256(b"photo 1")
    assert record["blind"]["value_mm"] == pytest.approx(89.0, abs=1e-9)
    assert record["leg"]["toml_sha256"] == sha256(house.primary.toml.encode())
    assert (record["agrees"], record["outcome"]) == (True, "within_closed")


def test_the_same_record_is_shown_after_it_was_signed(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), 89.0)
    signed = house.sign(house.inspector, shown)
    later = house.inspections.comparison(house.mechanic, shown.try_.id)
    assert (later.confirmation, later.blind, later.outcome) == (signed, shown.blind, shown.outcome)


def test_the_performer_sees_his_own_reading_without_a_placing(house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, WITHIN)
    shown = house.inspections.comparison(house.mechanic, sent.id)
    assert (shown.try_, shown.blind, shown.outcome, shown.record_hash) == (sent, None, None, None)


def test_a_settled_refusal_is_shown_to_everybody(house: House) -> None:
    sent = house.sent(refusal())
    assert house.inspections.comparison(house.inspector, sent.id).try_ == sent


def test_the_queue_is_sorted_by_time_and_never_by_verdict(house: House) -> None:
    late, early = house.measured(OUTSIDE), house.measured(WITHIN, house.supporting)
    house.inspections.send(house.mechanic, early.id)
    house.inspections.send(house.mechanic, late.id)
    queue = house.inspections.queue(house.inspector)
    assert [one.try_id for one in queue] == [early.id, late.id]
    assert [one.sent_at for one in queue] == sorted(one.sent_at for one in queue)


def test_what_is_settled_leaves_the_queue(house: House) -> None:
    house.confirmed(WITHIN)
    assert house.inspections.queue(house.inspector) == ()


def test_somebody_without_the_role_is_refused_though_he_once_had_it(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), WITHIN)
    with pytest.raises(NotAllowed, match="Only an inspector"):
        house.sign(replace(house.inspector, roles=frozenset()), shown)
