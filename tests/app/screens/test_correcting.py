"""An entry is corrected on a signed visit's page, as people press it."""

from tests.app.inspection.rounds.test_correcting import WHY, correct
from tests.app.inspection.rounds.test_sign_off import done
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse, open_round, programme
from tests.app.screens.looking import Open, labels, press, said
from tests.app.screens.test_visit import go, sign, type_into


def signed(house: House) -> RoundHouse:
    opened = done(open_round(house, programme("hoses")))
    opened.whole()
    return opened


def test_an_entry_is_corrected_and_both_stay_on_the_page(open_page: Open, house: House) -> None:
    opened = signed(house)
    app = press(go(open_page, opened), "Correct an entry")
    assert "Which entry is wrong?" in said(app)
    entry = next(one for one in app.button if one.label == "Hoses: Nothing wrong")
    app = entry.click().run()
    type_into(app, "Why it is corrected", WHY)
    type_into(app, "What is wrong", "clamp loose")
    app = press(app, "Open a discrepancy")
    assert "clamp loose" in said(app)
    app = sign(app, "Sign the correction")
    assert "Corrected after sign-off (1)" in said(app)
    assert "<s>Nothing wrong</s>" in said(app)
    assert "A discrepancy stands for it" in said(app)
    (case,) = opened.use.cases(opened.visit.id)
    assert "clamp loose" in case.discrepancy.text


def test_without_a_reason_or_with_a_wrong_password_the_page_says_so(open_page: Open, house: House) -> None:
    opened = signed(house)
    answer = opened.use.standing(opened.mechanic, opened.visit.id)[0].id
    app = press(go(open_page, opened, step="correct", answer=answer), "Nothing wrong")
    assert "The reason of the correction" in said(app)
    type_into(app, "Why it is corrected", WHY)
    app = sign(app.run(), "Sign the correction", "not the password")
    assert "password" in said(app)
    assert opened.use.corrections(opened.mechanic, opened.visit.id) == ()


def test_the_second_person_answers_before_he_is_shown_what_was_corrected(
    open_page: Open, house: House
) -> None:
    opened = signed(house)
    made = correct(opened)
    app = press(go(open_page, opened, opened.inspector), "Look a second time: Hoses, nose")
    assert made.text not in said(app)
    app = press(app, "Nothing wrong")
    app = sign(app, "Sign your second look", PASSWORD)
    assert "Seen by a second person" in said(app)


def test_an_administrator_has_no_way_to_it(open_page: Open, house: House) -> None:
    opened = signed(house)
    assert "Correct an entry" not in labels(go(open_page, opened, opened.administrator))
