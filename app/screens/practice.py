"""Practice: a rendered scene read by oneself first, then a machine's value; scored at once.

Nothing here enters a record.  ``/practice`` shows the case whose turn it is,
``/practice?answered=…`` what the last answer came to.
"""

import streamlit as st

from app.practice import HIT_MM, Answer, Case, Choice, Practice, Score
from app.practice.scoring import is_hit, is_right
from app.screens.components import STRUT_LABELS, place_points
from app.screens.here import Here
from app.screens.parts.markup import complaint, facts, note, show, text
from app.screens.parts.numbers import both_units, limits_words, one_length
from vision.errors import GearwitnessError
from vision.units import format_mm

NOT_A_RECORD = "Practice: a rendered scene, not an aircraft. Nothing here enters a record."


def page(here: Here) -> None:
    """Draw the case whose turn it is, or what the last answer came to."""
    here.head(("Sheet", "Practice"))
    practice = Practice(here.house.archive.practice)
    last = practice.last(here.person.id)
    show(f'<p class="gw-beside" role="note">{text(NOT_A_RECORD)}</p>')
    if last is not None and st.query_params.get("answered") == last.id:
        _result(here, practice, last)
        return
    case = practice.next_case(here.person.id)
    if case is None:
        st.title("Practice", anchor=False)
        st.write(
            "The pictures to practise on are not on this machine: they come with a clone of the project."
        )
        return
    _case(here, practice, case)
    _score(practice.score(here.person.id))


def _case(here: Here, practice: Practice, case: Case) -> None:
    """Draw the bare scene, and after the own reading what a machine is said to have read."""
    st.title("Read it yourself first", anchor=False)
    show(
        facts(
            [
                ("Leg", case.position.capitalize()),
                ("Plate", case.plate),
                ("Limits", limits_words(case.limits)),
            ]
        )
    )
    turn = f"practice-{case.name}-{_turn(practice, here)}"
    places = place_points(case.sha, *case.size_px, STRUT_LABELS, key=turn, keep_as=f"{turn}-{here.person.id}")
    first, second = places[0], places[1]
    if first is None or second is None:
        with st.expander("The photo gives no value"):
            note("No card, card bent or out of place, shaken, glare, from aside, or another leg's tag.")
            if st.button("It gives no value", key=f"none-{turn}", width="stretch"):
                _answered(here, practice, case, Choice.NO_VALUE, None)
        return
    shown = practice.shown(here.person.id, case)
    mine = case.length_mm(first, second)
    show(
        facts(
            [
                ("Your reading", both_units(mine, HIT_MM)),
                ("A machine says", both_units(shown.value_mm, shown.u_mm)),
            ]
        )
    )
    note("It is wrong now and then. What would you sign?")
    for choice, label in (
        (Choice.STANDS, "It stands"),
        (Choice.HAND, "A hand measurement is wanted"),
        (Choice.NO_VALUE, "The photo gives no value"),
    ):
        if st.button(label, key=f"{choice}-{turn}", width="stretch"):
            _answered(here, practice, case, choice, (first, second))


def _turn(practice: Practice, here: Here) -> str:
    last = practice.last(here.person.id)
    return "first" if last is None else last.id[:8]


def _answered(
    here: Here,
    practice: Practice,
    case: Case,
    choice: Choice,
    placed: tuple[tuple[float, float], tuple[float, float]] | None,
) -> None:
    try:
        made = practice.answer(here.person.id, case.name, choice, placed)
    except GearwitnessError as refused:
        complaint(str(refused))
        return
    here.go("practice", answered=made.id)


def _result(here: Here, practice: Practice, answer: Answer) -> None:
    """Draw what an answer came to: the truth, the own reading, the machine's value, in words."""
    case = practice.case_of(answer)
    st.title("Right" if is_right(answer) else "Not right", anchor=False)
    st.write(_said(answer, "" if case is None else case.why_unusable))
    rows = [("Truth of the scene", one_length(answer.truth_mm))]
    if answer.placed_mm is not None and answer.is_usable:
        off = answer.placed_mm - answer.truth_mm
        hit = "a hit" if is_hit(answer) else f"a miss: more than {format_mm(HIT_MM)} off"
        rows.append(("Your reading", f"{format_mm(answer.placed_mm)}, {off:+.1f} mm: {hit}"))
    if answer.choice is not Choice.NO_VALUE:
        wrong = "wrong on purpose" if answer.shown_is_wrong else "right"
        rows.append(("The machine's value", f"{format_mm(answer.shown_mm)}: {wrong}"))
    show(facts(rows))
    if st.button("Next case", type="primary", width="stretch"):
        here.go("practice")
    _score(practice.score(here.person.id))


def _said(answer: Answer, why: str) -> str:
    if not answer.is_usable:
        cause = f" ({why})" if why else ""
        found = answer.choice is Choice.NO_VALUE
        return f"This photo can give no value{cause}{', and you saw it' if found else ''}."
    if answer.choice is Choice.NO_VALUE:
        return "This photo can be read."
    if answer.shown_is_wrong:
        followed = answer.choice is Choice.STANDS
        return (
            "The machine's value was wrong, and you let it stand: your own reading showed the difference."
            if followed
            else "The machine's value was wrong, and you did not follow it."
        )
    return (
        "The machine's value was right, and you let it stand."
        if answer.choice is Choice.STANDS
        else "The machine's value was right: the hand measurement would have shown it."
    )


def _score(found: Score) -> None:
    """Draw the person's counts so far, each with what it is out of."""
    st.header("So far", anchor=False)
    rows = [
        (f"Readings within {format_mm(HIT_MM)} (1/32 in) of the truth", found.readings_hit),
        ("Wrong machine values followed", found.wrong_followed),
        ("Right machine values not followed", found.right_refused),
        ("Photos without a value recognised", found.unusable_found),
        ("Photos with a value called useless", found.usable_refused),
    ]
    show(facts([(label, f"{count} of {total}") for label, (count, total) in rows]))
