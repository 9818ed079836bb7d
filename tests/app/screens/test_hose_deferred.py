"""Before a signatory defers a fault he is told which item will be open again for its photos."""

from app.inspection import ItemState
from tests.app.hose_house import flag, found, hose_item, open_hoses, searched
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import FAULT
from tests.app.screens.looking import Open, press, said, type_in

NOTE = "Hose shiny spots will be open again: two people judge what its photos raised before the sign-off."


def test_a_signatory_is_told_before_he_defers_and_the_item_is_open_again_after_it(
    open_page: Open, house: House
) -> None:
    opened = open_hoses(house)
    searched(opened, found(flag(150.0)))
    opened.use.answer(opened.mechanic, hose_item(opened).id, FAULT)
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    app = open_page("visit", opened.signatory, visit=opened.visit.id, case=case.discrepancy.id)
    assert NOTE in said(app)
    type_in(app, reference="list item 29-1", category="C", placard="none asked for", defer_password=PASSWORD)
    (landings,) = app.number_input
    landings.set_value(5000)
    press(app, "Sign this deferral")
    assert hose_item(opened).state is ItemState.TO_DO
