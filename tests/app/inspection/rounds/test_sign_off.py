"""Sign-off and the record: every gap named, and each attribute that the rules ask for in a field."""

from collections.abc import Callable
from datetime import date

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Role
from app.inspection.rounds.model import ALL_CLASSES, Meaning, OpenedKind, OutKind
from app.inspection.rounds.times import Times
from app.programme import ItemCondition
from tests.app.records_house import PASSWORD, WITHIN
from tests.app.rounds_house import FAULT, GOOD, ON_WHEELS, SWING, TIMES, RoundHouse

Open = Callable[..., RoundHouse]


def done(opened: RoundHouse) -> RoundHouse:
    """Answer and look at all that is done by eye on both legs."""
    for item in opened.use.items(opened.visit.id):
        if item.key == "hoses":
            opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.sign_work(opened.mechanic)
    for item in opened.use.to_look_at(opened.inspector, opened.visit.id):
        opened.use.look(opened.inspector, item.id, GOOD)
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)
    return opened


def gaps(opened: RoundHouse) -> list[str]:
    return [f"{one.where}: {one.what}" for one in opened.use.gaps(opened.visit.id)]


def test_a_whole_visit_is_signed_off_and_closed(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    assert gaps(opened) == []
    made = opened.whole()
    assert (made.person_id, made.landings) == (opened.signatory.id, TIMES.landings)
    assert opened.use.inspections()[0].closed_at is not None
    assert opened.house.archive.verify().faults == ()


def test_every_gap_is_named_with_its_leg(round_of: Open) -> None:
    opened = round_of("hoses")
    use, visit = opened.use, opened.visit.id
    use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    use.opened(opened.mechanic, visit, opened.house.primary.id, OpenedKind.CAP_OFF, "valve cap")
    use.count_out(opened.mechanic, visit, OutKind.PHONE, "phone 2", 1)
    seen = use.handover_list(visit).record_hash
    use.hand_over(opened.mechanic, visit, opened.mechanic_2.id, PASSWORD, seen)
    assert gaps(opened) == [
        "left main: Hoses: not inspected",
        "nose: Hoses: answered and not signed",
        "aircraft: opened: cap off, valve cap",
        "aircraft: out: 1 of 1 phone 2",
        "aircraft: a handover is given and not taken",
    ]


def test_an_item_that_waits_is_a_gap(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    assert "nose: Hoses: waits for its second look" in gaps(opened)


def test_a_trainees_answer_without_its_supervisor_is_a_gap(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.trainee, opened.item("hoses").id, GOOD, supervisor_id=opened.mechanic.id)
    opened.sign_work(opened.trainee)
    assert "nose: Hoses: answered, and not signed by its supervisor" in gaps(opened)


def test_a_discrepancy_and_an_action_not_looked_at_are_gaps(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    assert "nose: discrepancy open: Hoses: rubbed through to the braid." in gaps(opened)
    opened.act(opened.use.cases(opened.visit.id)[0].discrepancy.id)
    assert "nose: Re-inspection: Hoses: not inspected" in gaps(opened)
    assert "nose: not looked at again after its action: Hoses: rubbed through to the braid." in gaps(opened)


def test_a_fault_that_is_not_signed_is_a_gap(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, FAULT)
    assert "nose: Hoses: what was found is not signed" in gaps(opened)


def test_a_strut_photo_that_was_not_sent_is_a_gap(round_of: Open) -> None:
    opened = done(round_of("hoses", strut=True))
    opened.house.measured(WITHIN)
    assert gaps(opened) == [
        "left main: Strut extension: not inspected",
        "nose: Strut extension: a reading was not sent",
    ]


def test_an_aircraft_that_is_left_in_the_swing_is_a_gap(round_of: Open) -> None:
    opened = done(round_of("hoses", "locks"))
    opened.stand(ItemCondition.SWING, SWING)
    assert "aircraft: it is not stated how the aircraft was left: restored, or on its wheels" in gaps(opened)


@pytest.mark.parametrize("kind", OutKind)
def test_no_open_count_lets_the_sign_off_pass(round_of: Open, kind: OutKind) -> None:
    opened = done(round_of("hoses"))
    out = opened.use.count_out(opened.mechanic, opened.visit.id, kind, "number 1", 1)
    with pytest.raises(Conflict, match="Not complete, so nothing was signed: aircraft: out: 1 of 1"):
        opened.whole()
    opened.use.count_in(opened.mechanic, out.id, 1)
    opened.whole()


def test_neither_inspector_nor_mechanic_nor_administrator_signs_off(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    for person, words in (
        (opened.mechanic, "This takes an authorised signatory"),
        (opened.inspector, "This takes an authorised signatory"),
        (opened.administrator, "An administrator signs nothing"),
    ):
        with pytest.raises(NotAllowed, match=words):
            opened.whole(person)


def test_nobody_signs_off_his_own_work(round_of: Open) -> None:
    opened = round_of("hoses")
    both = opened.house.people.enter(
        "Signatory 2", frozenset({Role.AUTHORISED_SIGNATORY, Role.MECHANIC}), PASSWORD
    )
    opened.use.authorise(
        opened.administrator,
        both.id,
        Role.AUTHORISED_SIGNATORY,
        ALL_CLASSES,
        date(2024, 1, 1),
        date(2025, 1, 1),
    )
    with pytest.raises(NotAllowed, match="kind and number of your certificate"):
        opened.whole(both)
    opened.use.enter_certificate(opened.administrator, both.id, "mechanic", "M-2")
    opened.opened_by(both)
    opened.use.answer(both, opened.item("hoses").id, GOOD)
    with pytest.raises(NotAllowed, match="Nobody signs off his own work"):
        opened.whole(both)


def test_a_record_that_changed_since_it_was_shown_is_not_signed(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    seen = opened.use.whole(opened.visit.id, TIMES).record_hash
    other = Times(TIMES.total_time_h + 1, TIMES.cycles, TIMES.landings)
    with pytest.raises(Conflict, match="The record has changed since you looked"):
        opened.use.sign_off(opened.signatory, opened.visit.id, other, PASSWORD, seen)
    opened.stand(ItemCondition.ON_WHEELS, ON_WHEELS)
    with pytest.raises(Conflict, match="The record has changed since you looked"):
        opened.use.sign_off(opened.signatory, opened.visit.id, TIMES, PASSWORD, seen)


@pytest.mark.parametrize(
    "times", [Times(0, 1, 1), Times(float("nan"), 1, 1), Times(1, -1, 1), Times(1, 1, -1)]
)
def test_times_are_those_of_a_log(round_of: Open, times: Times) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match="type them from the log"):
        opened.use.whole(opened.visit.id, times)


def test_a_visit_that_is_signed_off_does_not_change(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    opened.whole()
    answer = opened.use.record(opened.visit.id)["legs"][0]["items"][0]["answers"][0]
    for act in (
        lambda: opened.use.answer(
            opened.mechanic, answer["item_id"], GOOD, corrects=answer["id"], reason="late"
        ),
        lambda: opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.PIN, "x", 1),
        lambda: opened.stand(ItemCondition.ON_WHEELS, ON_WHEELS),
        opened.whole,
    ):
        with pytest.raises(Conflict, match="signed off and does not change any more"):
            act()


def test_it_is_signed_off_and_not_just_closed(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    with pytest.raises(Conflict, match="an authorised signatory signs it off"):
        opened.use.close_inspection(opened.mechanic, opened.visit.id)


@pytest.fixture
def record(round_of: Open):  # type: ignore[no-untyped-def]
    """The record of a signed-off visit with one carried, deferred discrepancy."""
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, FAULT)
    opened.sign_work(opened.mechanic)
    opened.defer(opened.use.cases(opened.visit.id)[0].discrepancy.id)
    opened.use.answer(opened.mechanic, opened.item("hoses", opened.house.supporting.id).id, GOOD)
    opened.sign_work(opened.mechanic)
    opened.look(opened.item("hoses", opened.house.supporting.id))
    opened.whole()
    return opened.use.record(opened.visit.id)


def signed_off(record):  # type: ignore[no-untyped-def]
    (found,) = (one for one in record["signatures"] if one["meaning"] == "sign_off")
    return found


def answered(record):  # type: ignore[no-untyped-def]
    """Every answer of the record, by what was found."""
    found = [one for leg in record["legs"] for item in leg["items"] for one in item["answers"]]
    return {one["finding"]: one for one in found}


# 14 CFR 43.9(a) and 43.11(a), (b) (read in substance, check values): what an entry holds, and what the
# record of this very visit has there, or why it does not.
ENTRY = {
    "43.9(a)(1) description of work": (
        lambda r: (answered(r)["fault"]["text"], answered(r)["good"]["text"]),
        ("rubbed through to the braid", ""),
    ),
    "43.9(a)(1) reference to data": (lambda r: r["programme"]["document"], "written for the tests"),
    "43.9(a)(2) date of completion": (lambda r: r["sign_off"]["at"][:10], "2024-05-01"),
    "43.9(a)(3) name of who did it": (
        lambda r: {r["people"][one["person_id"]]["name"] for one in answered(r).values()}, {"Mechanic"},
    ),
    "43.9(a)(4) signature, number and kind of certificate": (
        lambda r: signed_off(r)["certificate"], "repairman R-Signatory",
    ),
    "43.11(a)(1) type and extent": (
        lambda r: (r["programme"]["name"], r["programme"]["revision"], len(r["legs"]), r["programme"]["excluded"]),
        ("Small programme", "tests", 2, []),
    ),
    "43.11(a)(2) total time in service": (lambda r: r["sign_off"]["total_time_h"], TIMES.total_time_h),
    "43.11(a)(3) signature": (
        lambda r: (signed_off(r)["person_id"], signed_off(r)["id"])
        == (r["sign_off"]["person_id"], r["sign_off"]["signature_id"]),
        True,
    ),
    "43.11(a)(4), (5) the statement is the signer's, and named as not said here": (
        lambda r: [number for number in ("43.9", "43.11") if number in r["not_said"]], ["43.9", "43.11"],
    ),
    "43.11(b) list of discrepancies for the owner": (
        lambda r: [(one["leg"], one["text"], one["deferral"]["reference"]) for one in r["owner_list"]],
        [("nose", "Hoses: rubbed through to the braid.", "list item 32-1")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("line", ENTRY)
def test_what_an_entry_holds_is_in_the_record_or_named_as_left_out(record, line: str) -> None:  # type: ignore[no-untyped-def]
    told, expected = ENTRY[line]
    assert told(record) == expected


# Attributes of an electronic signature, AC 120-78B (from memory for the list, check values).  "A change
# needs a new signature" and "archivable" have tests of their own below; "a deliberate act" is that each
# is made by its signer's password (test_must_fail).
SIGNATURE = {
    "unique to its signer": lambda s, r: r["people"][s["person_id"]]["name"],
    "told what is signed: the hash of what was shown": lambda s, r: len(s["signed_hash"]) == 64,
    "bound to the record and permanent: in the chain": lambda s, r: len(s["event_hash"]) == 64,
    "with its meaning": lambda s, r: s["meaning"] in set(Meaning),
    "dated": lambda s, r: s["at"].startswith("2024-05-01"),
}


@pytest.mark.parametrize("attribute", SIGNATURE)
def test_each_signature_has_what_an_electronic_one_needs(record, attribute: str) -> None:  # type: ignore[no-untyped-def]
    assert [one["meaning"] for one in record["signatures"]] == [
        "performed", "deferral", "performed", "second_look", "sign_off",
    ]  # fmt: skip
    assert all(SIGNATURE[attribute](one, record) for one in record["signatures"])


def test_no_two_signatures_share_what_they_are_bound_to(record) -> None:  # type: ignore[no-untyped-def]
    for name in ("id", "signed_hash", "event_hash"):
        assert len({one[name] for one in record["signatures"]}) == len(record["signatures"])


def test_a_change_needs_a_new_signature_and_leaves_the_earlier_ones(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    opened.whole()
    before = opened.use.record(opened.visit.id)["signatures"]
    old = answered(opened.use.record(opened.visit.id))["good"]
    told = (opened.mechanic, old["id"], FAULT, "seen later")
    seen = opened.use.propose_correction(*told).record_hash
    opened.use.correct(*told, PASSWORD, seen)
    after = opened.use.record(opened.visit.id)["signatures"]
    assert after[: len(before)] == before
    assert [one["meaning"] for one in after[len(before) :]] == ["corrected"]


def test_the_record_never_calls_the_aircraft_fit(record) -> None:  # type: ignore[no-untyped-def]
    assert "airworthy" not in str(record).lower()


def test_the_record_is_what_was_signed_but_for_what_came_with_the_signature(round_of: Open) -> None:
    opened = done(round_of("hoses"))
    shown = opened.use.whole(opened.visit.id, TIMES).record
    opened.whole()
    record = opened.use.record(opened.visit.id)
    changed = {key for key in record if key not in shown or record[key] != shown[key]}
    assert changed == {"sign_off", "signatures"}


def test_the_record_names_who_looked_and_from_where(record) -> None:  # type: ignore[no-untyped-def]
    looks = [one for leg in record["legs"] for item in leg["items"] for one in item["looks"]]
    assert [one["seen_from"] for one in looks] == ["aircraft"]
    assert record["people"][looks[0]["person_id"]] == {
        "name": "Inspector", "roles": ["inspector"], "certificate": "repairman R-Inspector",
    }  # fmt: skip
