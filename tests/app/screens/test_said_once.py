"""The lists of a visit in plain words: one item waits, a card is a card once, a count has its title once."""

from app.inspection.rounds.model import OutKind
from tests.app.records_house import House
from tests.app.rounds_house import counted, open_round, programme
from tests.app.screens.looking import Open, said
from tests.app.screens.test_visit import go


def test_the_handover_and_what_is_out_say_nothing_twice(open_page: Open, house: House) -> None:
    opened = open_round(house, programme("hoses", "bolts"))
    opened.answer("hoses")
    opened.answer("bolts", counted(5))
    opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.CARD, "card 3", 1)
    listed = said(go(open_page, opened, step="handover"))
    assert "nose: 1 item waits for the second person" in listed
    assert "left main: 2 items to do" in listed
    assert "nose leg, Bolts: counted 5" in listed
    assert "Out: 1 of 1 card 3" in listed
    assert "<b>Scale card 3</b>" in said(go(open_page, opened, step="open"))
