"""Judged hoses in the archive's list and in their item's story."""

from app.inspection.rounds.model import Judged
from tests.app.hose_house import entered, hose_item, looked, open_hoses, sign_looks
from tests.app.records_house import House
from tests.app.screens.looking import Open, said


def test_a_searched_photo_is_told_by_its_flags_once_it_is_settled(open_page: Open, house: House) -> None:
    opened = open_hoses(house)
    this = entered(opened, Judged.REFLECTION)
    before = said(open_page("archive", opened.inspector, item=hose_item(opened).id))
    assert "Hose brake, 3 points along it" in before and "{" not in before
    assert "flag" not in before
    looked(opened, this, Judged.DIRT)
    sign_looks(opened)
    assert "Searched: 1 flag" in said(open_page("archive", opened.mechanic_2))
    story = said(open_page("archive", opened.mechanic_2, item=hose_item(opened).id))
    assert "Hose brake: 30 % of the surface of what the photo shows of it was searched" in story
    assert "No flag does not mean that nothing is there." in story
