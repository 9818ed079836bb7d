"""Judged surfaces in the archive's list, in their item's story and in the record of an open visit."""

from app.inspection.rounds.model import Judged
from tests.app.hose_house import sign_looks
from tests.app.records_house import House
from tests.app.screens.looking import Open, said
from tests.app.surface_house import entered, looked, open_surface, surface_item


def test_a_searched_surface_is_told_by_its_flags_once_it_is_settled(open_page: Open, house: House) -> None:
    opened = open_surface(house)
    this = entered(opened, Judged.REFLECTION)
    before = said(open_page("archive", opened.inspector, item=surface_item(opened).id))
    assert "corners at 100, 100; 700, 500 px" in before and "{" not in before
    assert "flag" not in before
    looked(opened, this, Judged.DIRT)
    sign_looks(opened)
    assert "Searched: 1 flag" in said(open_page("archive", opened.mechanic_2))
    story = said(open_page("archive", opened.mechanic_2, item=surface_item(opened).id))
    assert "80 % of the region shown on it was searched" in story
    assert "No flag does not mean that nothing is there." in story


def test_an_open_visits_record_tells_the_second_person_nothing_of_it(house: House) -> None:
    opened = open_surface(house)
    entered(opened, Judged.DIRT)
    told = {
        person.name: str(opened.use.record(opened.visit.id, person)["legs"])
        for person in (opened.mechanic, opened.inspector)
    }
    assert "1 × dirt" in told["Mechanic"]
    assert "dirt" not in told["Inspector"] and "smoother than" not in told["Inspector"]
