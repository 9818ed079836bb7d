"""Searching through what is settled, on files and on servers."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import delete, select, text, update

from app.archive import find_rows
from app.archive.find import ordered
from app.archive.tables_find import BY, found_rows, found_up_to
from app.errors import UsageError
from app.inspection import Item, ItemState
from app.inspection.finding import MOST_ROWS, FindFilter, FoundKind, FoundRow, FoundVerdict, Mark
from app.inspection.rounds.model import Judged
from tests.app.archive.many_rows import fill
from tests.app.hose_house import entered, looked, open_hoses, sign_looks
from tests.app.records_house import OUTSIDE, WITHIN, House, reading, refusal


def found(house: House, **asked: object) -> list[FoundRow]:
    return list(house.archive.finds.page(FindFilter(**asked)).rows)  # type: ignore[arg-type]


def test_what_is_confirmed_is_found_with_people_value_and_place(house: House) -> None:
    signed = house.confirmed(WITHIN)
    (row,) = found(house)
    place = house.inspections.place_of(house.item_of(signed).id)
    assert (row.id, row.kind, row.item_id) == (signed.try_id, FoundKind.PHOTO, place.item.id)
    assert (row.registration, row.position, row.key) == ("ZZ-GWT", "nose", "strut_extension")
    assert (row.person, row.second, row.at) == ("Mechanic", "Inspector", signed.signed_at)
    assert (row.value, row.expanded_u, row.unit, row.verdict) == (WITHIN, 0.4, "mm", FoundVerdict.WITHIN)


def test_what_somebody_may_have_to_read_blind_is_not_found(house: House) -> None:
    house.measured(OUTSIDE)
    house.sent(OUTSIDE)
    assert found(house) == []


def test_a_refusal_that_was_sent_is_found_with_its_reason(house: House) -> None:
    house.sent(refusal())
    (row,) = found(house, words="CARD")
    assert (row.verdict, row.value, row.second) == (FoundVerdict.REFUSED, None, None)


def test_hand_measurements_are_found_once_their_item_is_settled(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    assert [row.kind for row in found(house)] == [FoundKind.PHOTO]
    house.by_hand(house.mechanic, item, 89.0)
    hand, photo = found(house)
    assert (hand.kind, hand.value, hand.verdict, hand.photo) == (
        FoundKind.HAND,
        89.0,
        FoundVerdict.NONE,
        None,
    )
    assert photo.kind is FoundKind.PHOTO
    assert [row.id for row in found(house, words="steel rule 4")] == [hand.id]


def test_hand_measurements_vanish_again_while_another_photo_waits(house: House) -> None:
    # Whoever has to read that photo blind must not find them.
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    with house.archive.records.begin() as work:
        again = replace(work.get(Item, item.id), state=ItemState.WAITING)
        work.enter("test", house.mechanic, item.inspection_id, again)
    assert [row.kind for row in found(house)] == [FoundKind.PHOTO]


@pytest.fixture
def filled(house: House) -> House:
    """Three photos on two legs, newest last: within on the nose, outside and refused on the left main."""
    house.confirmed(WITHIN)
    house.confirmed(OUTSIDE, house.supporting)
    house.sent(refusal(), house.supporting)
    return house


@pytest.mark.parametrize(
    ("asked", "positions"),
    [
        ({"registration": "ZZ-GWT"}, ["left main", "left main", "nose"]),
        ({"registration": "ZZ-NONE"}, []),
        ({"position": "nose"}, ["nose"]),
        ({"registration": "ZZ-GWT", "position": "left main"}, ["left main", "left main"]),
        ({"registration": "ZZ-GWT", "position": "right main"}, []),
        ({"item": "strut_extension"}, ["left main", "left main", "nose"]),
        ({"item": "hose"}, []),
        ({"verdict": FoundVerdict.OUTSIDE}, ["left main"]),
        ({"grade": "c"}, []),
        ({"words": "img_1.JPG outside"}, ["left main", "left main"]),
        ({"words": "100%"}, []),
        ({"words": "no such"}, []),
    ],
)
def test_each_filter_narrows_and_all_must_hold(
    filled: House, asked: dict[str, object], positions: list[str]
) -> None:
    assert [row.position for row in found(filled, **asked)] == positions


def test_a_person_is_found_as_the_one_who_took_and_as_the_one_who_confirmed(filled: House) -> None:
    assert len(found(filled, person_id=filled.mechanic.id)) == 3
    assert len(found(filled, person_id=filled.inspector.id)) == 2
    assert found(filled, person_id=filled.inspector_2.id) == []


def test_since_takes_its_moment_in_and_until_does_not(filled: House) -> None:
    newest, middle, oldest = found(filled)
    assert found(filled, since=middle.at) == [newest, middle]
    assert found(filled, until=middle.at) == [oldest]


def test_the_gravest_grade_of_a_photos_flags_is_found(house: House) -> None:
    given = reading(WITHIN)
    given.result["evidence"]["flags"] = [{"grade": "a"}, {"grade": "c"}, {"grade": "b"}]
    house.placed(house.sent(given), WITHIN)
    shown = house.inspections.comparison(house.inspector, found_try(house))
    house.sign(house.inspector, shown)
    assert [row.grade for row in found(house, grade="c")] == ["c"]
    assert found(house, grade="a") == []


def test_judged_hoses_are_found_by_their_strongest_flag_once_both_have_signed(house: House) -> None:
    opened = open_hoses(house)
    this = entered(opened, Judged.REFLECTION)
    assert found(house) == []
    looked(opened, this, Judged.DIRT)
    sign_looks(opened)
    (row,) = found(house, grade="2")
    assert (row.id, row.verdict, row.value, row.second) == (this.id, FoundVerdict.NONE, None, "Inspector")
    assert found(house, grade="3") == []


def found_try(house: House) -> str:
    (waiting,) = house.inspections.queue(house.inspector_2)
    return waiting.try_id


def test_pages_follow_each_other_without_gap_or_repetition(house: House) -> None:
    fill(house.archive, [house.mechanic, house.inspector], 70, fleet=3)
    all_ = [row.id for row in house.archive.finds.page(FindFilter(), most=MOST_ROWS).rows]
    assert len(all_) == 70
    walked: list[str] = []
    mark = None
    while True:
        page = house.archive.finds.page(FindFilter(), mark, 20)
        walked += [row.id for row in page.rows]
        mark = page.older
        if mark is None:
            break
        house.confirmed(WITHIN) if len(walked) == 20 else None  # what comes in later moves nothing
    assert walked == all_


def test_a_person_in_both_parts_is_found_in_order_and_once(house: House) -> None:
    fill(house.archive, [house.mechanic, house.inspector], 60, fleet=3)
    mark, walked = None, []
    while True:
        page = house.archive.finds.page(FindFilter(person_id=house.inspector.id), mark, 7)
        walked += page.rows
        mark = page.older
        if mark is None:
            break
    assert walked == sorted(walked, key=lambda row: (row.at, row.id), reverse=True)
    assert len({row.id for row in walked}) == len(walked) > 20


@pytest.mark.parametrize("most", [0, MOST_ROWS + 1])
def test_a_page_has_some_rows_and_not_all(house: House, most: int) -> None:
    with pytest.raises(UsageError, match=f"a page of 1 to {MOST_ROWS} rows was expected, not {most}"):
        house.archive.finds.page(FindFilter(), most=most)


def test_a_mark_comes_back_from_the_address_as_it_was(filled: House) -> None:
    mark = filled.archive.finds.page(FindFilter(), most=1).older
    assert mark is not None
    assert Mark.read(str(mark)) == mark
    for wrong in ("", "x", "2024~1", f"{mark}'", "9" * 400):
        with pytest.raises(UsageError, match="is no place in the list"):
            Mark.read(wrong)


def test_rows_that_were_lost_or_of_another_form_are_made_again(filled: House) -> None:
    before = found(filled)
    with filled.archive.records.aside() as connection:
        connection.execute(delete(found_rows))
        connection.execute(update(found_up_to).values(form=find_rows.FORM - 1))
    assert found(filled) == before


def test_only_what_was_touched_is_made_again(filled: House) -> None:
    before = found(filled)
    with filled.archive.records.aside() as connection:
        connection.execute(update(found_rows).values(words="kept"))
    other = filled.inspections.enter_aircraft("ZZ-OTH", "Aster 210", "demo operator")
    leg = filled.inspections.enter_leg(
        other.id, "nose", filled.primary.toml.replace("ZZ-GWT", "ZZ-OTH"), filled.primary.basis
    )
    filled.confirmed(WITHIN, leg)
    assert len(found(filled)) == len(before) + 1
    assert len(found(filled, words="kept")) == len(before)


def test_the_keys_of_the_items_are_told(filled: House) -> None:
    assert filled.archive.finds.items() == ("strut_extension",)
    assert filled.archive.verify().faults == ()


def plan(house: House, **equal: object) -> str:
    """How the database means to find rows of many."""
    with house.archive.records.look() as r:
        since = [found_rows.c.at >= house.clock.at - timedelta(days=90)] if equal.pop("since", None) else []
        query = ordered([*(found_rows.c[name] == value for name, value in equal.items()), *since], None, 26)
        compiled = query.compile(r.connection, compile_kwargs={"literal_binds": False})
        explain = "EXPLAIN " if r.connection.dialect.name == "postgresql" else "EXPLAIN QUERY PLAN "
        bound = compiled.construct_params()
        found_ = r.connection.exec_driver_sql(explain + str(compiled), _params(r.connection, compiled, bound))
        return "\n".join(" ".join(map(str, row)) for row in found_)


def _params(connection, compiled, bound):  # type: ignore[no-untyped-def]
    done = {
        name: compiled._bind_processors[name](value) if name in compiled._bind_processors else value
        for name, value in bound.items()
    }
    if connection.dialect.name == "postgresql":
        return done
    return tuple(done[name] for name in compiled.positiontup)


def test_every_question_is_answered_by_an_index_in_the_order_of_time(house: House) -> None:
    fill(house.archive, [house.mechanic, house.inspector, house.inspector_2], 5000)
    assert len(found(house)) == 25
    with house.archive.records.aside() as connection:
        connection.execute(text("ANALYZE"))
    for name in (None, "since", *BY):
        equal: dict[str, object] = {}
        if name == "since":
            equal = {"since": True}
        elif name is not None:
            with house.archive.records.look() as r:
                equal = {name: r.connection.execute(select(found_rows.c[name]).limit(1)).scalar() or "c"}
        told = plan(house, **equal)
        assert "ix_found_rows_" in told, (name, told)
        assert "TEMP B-TREE" not in told, (name, told)
        assert "Seq Scan" not in told, (name, told)


def test_a_photo_is_found_by_the_beginning_of_its_hash(filled: House) -> None:
    newest, *_ = found(filled)
    assert newest.photo is not None
    assert found(filled, words=newest.photo[:12].upper()) == [newest]
    assert found(filled, words=newest.photo) == [newest]
    assert found(filled, words="0" * 12) == []


def test_a_very_long_text_is_searched_by_its_beginning(house: House) -> None:
    long = "\N{EURO SIGN}" * 5000
    assert len(find_rows.words_of("strut_extension", long)) == 600
