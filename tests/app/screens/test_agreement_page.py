from app.inspection.history import History
from app.screens.agreement import csv_of, pairs_of
from app.trends import HumanBy
from tests.app.records_house import WITHIN, House
from tests.app.screens.history import visited
from tests.app.screens.looking import Open, said


def pairs(house: House) -> list[tuple[HumanBy, float, float]]:
    past = History(house.archive.records).of_all(house.mechanic, "strut_extension")
    return [(one.by, one.machine, one.human) for one in pairs_of(past)]


def test_each_way_of_human_reading_is_a_pair(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting, blind=88.7))
    house.by_hand(house.mechanic, item, 89.0)
    assert pairs(house) == [(HumanBy.PLACED, WITHIN, 88.7), (HumanBy.RULE, WITHIN, 89.0)]


def test_what_waits_is_no_pair(house: House) -> None:
    house.placed(house.sent(WITHIN), WITHIN)
    assert pairs(house) == []


def test_the_page_tells_limits_coverage_and_gives_the_pairs(open_page: Open, house: House) -> None:
    for value in (90.0, 89.0, 88.0, 87.5):
        visited(house, value)
    text = said(open_page("agreement", house.inspector))
    assert "Software not told, against points placed on the same photo" in text
    assert "4 of 4 (95 %: 40% to 100%)" in text
    assert "Shown to hold 95 % of differences" in text
    assert "data:image/svg+xml;base64," in text
    assert "0 pairs of photo and rule" in text
    assert "what two people judged on their photos stands with each item" in text


def test_nothing_to_compare_is_told(open_page: Open, house: House) -> None:
    assert "No settled reading has a person" in said(open_page("agreement", house.mechanic))


def test_the_pairs_are_a_table_for_other_programs(house: House) -> None:
    signed = house.confirmed(WITHIN, blind=88.7)
    past = History(house.archive.records).of_all(house.mechanic, "strut_extension")
    head, row = csv_of(list(pairs_of(past))).splitlines()
    assert head == "try,software,by,program_mm,program_U_mm,person_mm,person_U_mm"
    assert row == f"{signed.try_id},,placed,88.9,0.4,88.7,0.6"
