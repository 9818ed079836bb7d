"""Photos from the gallery: kept at once, once; given to a leg by its tag or its person; questioned by their time."""

from datetime import UTC, datetime, timedelta

import pytest

from app.errors import Conflict, NotAllowed, NotFound, UsageError
from app.inspection import Role, TryState
from app.inspection.gathered import Gathered
from app.inspection.gathering import time_doubt
from tests.app.cli_files import ROOT
from tests.app.records_house import PASSWORD, STATED, House, open_house
from tests.app.serving.served import OTHER_PHOTO, PHOTO

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
LEGS = ROOT / "demo_images" / "legs"
WHY = "Taken on the ramp an hour ago."


def gathered(house: House, data: bytes = PHOTO) -> Gathered:
    return house.inspections.photo_gathered(house.mechanic, house.aircraft.id, data, "IMG_1.jpg")


def test_a_photo_is_kept_at_once_and_waits_for_its_leg(house: House) -> None:
    one = gathered(house)
    assert house.archive.photos.get(one.photo) == PHOTO
    again = open_house(house.ground)
    assert again.inspections.gathered(house.mechanic) == (one,)
    again.archive.close()
    assert house.inspections.gathered(house.mechanic) == (one,)
    assert house.archive.verify().faults == ()
    assert house.archive.verify().orphans == ()


def test_the_same_photo_sent_again_is_one_also_after_it_was_given(house: House) -> None:
    one = gathered(house)
    assert gathered(house) == one
    house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    assert gathered(house).id == one.id
    assert house.inspections.gathered(house.mechanic) == ()


def test_a_gathered_photo_becomes_the_photo_of_one_try_however_often_it_is_given(house: House) -> None:
    one = gathered(house)
    first = house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    assert (first.state, first.photo, first.photo_name) == (TryState.STORED, one.photo, "IMG_1.jpg")
    assert any(WHY in line and "does not tell when" in line for line in first.statements)
    again = house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    assert again.id == first.id
    assert [this.id for this in house.inspections.unfinished()] == [first.id]
    assert house.archive.verify().faults == ()


def test_giving_that_was_cut_off_before_its_last_step_goes_on_with_the_same_try(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = gathered(house)
    begin, calls = house.archive.records.begin, []

    def cut_off() -> object:
        calls.append(1)
        if len(calls) == 3:  # the try, its photo, and then the mark on what was gathered
            msg = "the power went"
            raise OSError(msg)
        return begin()

    monkeypatch.setattr(house.archive.records, "begin", cut_off)
    with pytest.raises(OSError, match="the power went"):
        house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    monkeypatch.undo()
    assert house.inspections.gathered(house.mechanic) == (one,)
    (stored,) = house.inspections.unfinished()
    again = house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    assert again.id == stored.id
    assert house.inspections.gathered(house.mechanic) == ()


def test_two_phones_on_one_leg_keep_both_photos_apart(house: House) -> None:
    other = house.people.enter("Mechanic 2", frozenset({Role.MECHANIC}), PASSWORD)
    mine = gathered(house)
    theirs = house.inspections.photo_gathered(other, house.aircraft.id, OTHER_PHOTO)
    first = house.inspections.give_to_leg(house.mechanic, mine.id, house.primary.id, STATED, why=WHY)
    second = house.inspections.give_to_leg(other, theirs.id, house.primary.id, STATED, why=WHY)
    assert first.id != second.id
    assert {one.photo for one in house.inspections.unfinished()} == {mine.photo, theirs.photo}


def test_a_photo_without_its_time_is_questioned_and_taken_with_a_reason(house: House) -> None:
    one = gathered(house)
    with pytest.raises(UsageError, match=r"does not tell when it was taken\. Say why it shows this leg"):
        house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED)
    assert house.inspections.gathered(house.mechanic) == (one,)
    assert house.inspections.unfinished() == ()


@pytest.mark.parametrize(
    ("taken", "opened", "words"),
    [
        (NOW - timedelta(hours=1), NOW - timedelta(hours=2), ""),
        (NOW - timedelta(hours=11), None, ""),
        (NOW - timedelta(hours=3), NOW - timedelta(hours=2), "this visit was opened"),
        (NOW - timedelta(hours=13), None, "more than 12 hours ago"),
        (NOW + timedelta(minutes=6), None, "still to come"),
        (NOW.replace(tzinfo=None), NOW - timedelta(hours=2), "whose zone it does not tell"),
        (None, None, "does not tell when"),
    ],
)
def test_the_time_of_a_photo_is_questioned_where_it_is_outside_the_visit(
    taken: datetime | None, opened: datetime | None, words: str
) -> None:
    found = time_doubt(taken, opened, NOW)
    assert (words in found) if words else found == ""


def _demo_leg(name: str) -> str:
    return (LEGS / name).read_text(encoding="utf-8").replace("ZZ-GWT", "ZZ-GWX")


def test_the_tag_in_the_picture_names_the_leg_and_no_other_leg_takes_it(house: House) -> None:
    photo = (ROOT / "demo_images" / "reads_within" / "left_main_sun.jpg").read_bytes()
    use = house.inspections
    aircraft = use.enter_aircraft("ZZ-GWX", "Aster 210", "demo operator")
    tagged, other = (
        use.enter_leg(aircraft.id, position, _demo_leg(name), house.primary.basis)
        for position, name in (("left main", "left_main.toml"), ("nose", "nose.toml"))
    )
    one = use.photo_gathered(house.mechanic, aircraft.id, photo)
    assert use.look_at_gathered(house.mechanic, one.id).leg_ids == (tagged.id,)
    with pytest.raises(Conflict, match="another leg's, not that of the nose"):
        use.give_to_leg(house.mechanic, one.id, other.id, STATED, why=WHY)
    assert use.give_to_leg(house.mechanic, one.id, tagged.id, STATED, why=WHY).photo == one.photo


def test_what_is_set_aside_keeps_its_reason_and_is_given_to_no_leg(house: House) -> None:
    one = gathered(house)
    with pytest.raises(UsageError, match="The reason has to be told"):
        house.inspections.set_gathered_aside(house.mechanic, one.id, " ")
    assert house.inspections.set_gathered_aside(house.mechanic, one.id, "Not this aircraft.").set_aside
    assert house.inspections.gathered(house.mechanic) == ()
    with pytest.raises(Conflict, match="set aside"):
        house.inspections.give_to_leg(house.mechanic, one.id, house.primary.id, STATED, why=WHY)
    assert house.archive.photos.get(one.photo) == PHOTO
    assert house.archive.verify().faults == ()


def test_nobody_else_uses_a_gathered_photo(house: House) -> None:
    one, use = gathered(house), house.inspections
    other = house.people.enter("Mechanic 2", frozenset({Role.MECHANIC}), PASSWORD)
    assert use.gathered(other) == ()
    assert not use.has_gathered(other, one.photo)
    for act in (
        lambda: use.give_to_leg(other, one.id, house.primary.id, STATED, why=WHY),
        lambda: use.set_gathered_aside(other, one.id, "x"),
        lambda: use.look_at_gathered(other, one.id),
    ):
        with pytest.raises(NotAllowed, match="added by another person"):
            act()


def test_what_cannot_be_gathered_is_refused_in_words(house: House) -> None:
    use = house.inspections
    with pytest.raises(NotAllowed, match="taken by a mechanic"):
        use.photo_gathered(house.inspector, house.aircraft.id, PHOTO)
    with pytest.raises(UsageError, match="arrived empty"):
        use.photo_gathered(house.mechanic, house.aircraft.id, b"")
    with pytest.raises(NotFound):
        use.photo_gathered(house.mechanic, "x", PHOTO)
    other = use.enter_aircraft("ZZ-OTH", "Aster 210", "demo operator")
    elsewhere = use.photo_gathered(house.mechanic, other.id, PHOTO)
    with pytest.raises(Conflict, match="added for another aircraft"):
        use.give_to_leg(house.mechanic, elsewhere.id, house.primary.id, STATED, why=WHY)
