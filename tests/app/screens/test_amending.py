"""Times are put right and a reading is withdrawn on a signed visit's page, as people press it."""

from tests.app.inspection.rounds.test_amending import TYPED, WHY, put_right, signed, withdraw
from tests.app.rounds_house import RoundHouse
from tests.app.screens.looking import Open, labels, press, said
from tests.app.screens.test_visit import go, sign, type_into

__all__ = ["signed"]


def number(app, label: str, value: float):  # type: ignore[no-untyped-def]
    (field,) = (one for one in app.number_input if one.label == label)
    return field.set_value(value).run()


def test_a_signatory_puts_the_times_right_and_the_old_ones_stay(open_page: Open, signed: RoundHouse) -> None:
    app = press(go(open_page, signed, signed.signatory), "Put the times right")
    assert "Sign the times" not in labels(app)
    for label, value in (("Total time in service, h", 5000.5), ("Cycles", 70), ("Landings", 80)):
        app = number(app, label, value)
    type_into(app, "Why they are put right", TYPED)
    app = sign(app.run(), "Sign the times")
    words = said(app)
    assert "<b>5000.5 h, 70 cycles, 80 landings</b>" in words
    assert words.count("<s>") == 1
    assert TYPED in words


def test_who_signs_nothing_off_has_no_way_to_the_times(open_page: Open, signed: RoundHouse) -> None:
    for person in (signed.mechanic, signed.administrator):
        assert "Put the times right" not in labels(go(open_page, signed, person))
    put_right(signed)
    assert TYPED in said(go(open_page, signed))


def test_a_reading_is_withdrawn_with_its_reason(open_page: Open, signed: RoundHouse) -> None:
    app = press(go(open_page, signed), "Withdraw a photo's or a hand's reading")
    app = press(app, "Strut extension, nose")
    assert "Sign the withdrawal" not in labels(app)
    type_into(app, "Why it does not stand", WHY)
    app = sign(app.run(), "Sign the withdrawal", "not the password")
    assert "password" in said(app)
    app = sign(app, "Sign the withdrawal")
    (case,) = signed.use.cases(signed.visit.id)
    assert WHY in case.discrepancy.text
    app = press(app, "Withdraw a photo's or a hand's reading")
    assert "Strut extension, nose" not in labels(app)
    assert "Strut extension, left main" in labels(app)


def test_a_withdrawn_reading_is_struck_wherever_it_is_listed(open_page: Open, signed: RoundHouse) -> None:
    pages = ("archive", "find")
    before = {page: said(open_page(page, signed.mechanic)) for page in pages}
    made = withdraw(signed)
    for page in pages:
        words = said(open_page(page, signed.mechanic))
        assert words.count("<s>") == 1, page
        assert f"After the sign-off: {WHY}" in words
        assert words.count("gw-disc") == before[page].count("gw-disc") - 1, "its verdict is not told again"
    assert f"withdrawn after the sign-off: {WHY}" in said(
        open_page("archive", signed.mechanic, item=made.item_id)
    )
