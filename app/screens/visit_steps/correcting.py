"""A visit that is signed off: what was corrected since, a new answer in place of one, its second look."""

from dataclasses import dataclass

import streamlit as st

from app.inspection import Inspection, Role
from app.inspection.rounds.batches import Line
from app.inspection.rounds.correcting import Correction, CorrectionState
from app.inspection.rounds.given import Given
from app.inspection.rounds.model import Finding
from app.inspection.rounds.proposing import Proposed
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.forms import answer_form
from app.screens.visit_steps.shared import back, finding_words, head, listing, reading_words, sign, tried

STATES = {
    CorrectionState.WAITS: "Waits for its second look",
    CorrectionState.CONFIRMED: "Seen by a second person",
    CorrectionState.DISCREPANCY: "A discrepancy stands for it",
    CorrectionState.SUPERSEDED: "Corrected again",
}
_FORM = "correcting"
"""Where the page keeps what was typed until it is signed; nothing of it is entered before."""


@dataclass(frozen=True)
class _Typed:
    answer_id: str
    given: Given
    place: str


def listed(here: Here, visit: Inspection) -> None:
    """Draw what was corrected on a signed visit, each earlier entry struck through, and the ways on."""
    found = here.inspections.corrections(here.person, visit.id)
    if found:
        st.header(f"Corrected after sign-off ({len(found)})", anchor=False)
        listing([_row(here, one) for one in found])
    may_look = here.person.roles & {Role.INSPECTOR, Role.REQUIRED_INSPECTION}
    for one in found:
        if one.state is CorrectionState.WAITS and may_look:
            label = f"Look a second time: {one.now.title}, {one.now.leg}"
            if st.button(label, key=f"second-{one.answer.id}", width="stretch"):
                here.go("visit", visit=visit.id, step="correct", look=one.answer.id)
    if here.person.is_worker and st.button("Correct an entry", key="to-correct", width="stretch"):
        here.go("visit", visit=visit.id, step="correct")


def step(here: Here, visit: Inspection, answer_id: str | None, look_id: str | None) -> None:
    """Draw the entries that stand, or the form for one of them, or a second look."""
    if look_id:
        _second(here, visit, look_id)
        return
    lines = here.inspections.standing(here.person, visit.id)
    chosen = next((one for one in lines if one.id == answer_id), None)
    head(here, visit, "Correction", "" if chosen is None else chosen.leg)
    if chosen is None:
        _choose(here, visit, lines)
    else:
        _correct(here, visit, chosen)
    back(here, visit)


def _choose(here: Here, visit: Inspection, lines: tuple[Line, ...]) -> None:
    st.title("Which entry is wrong?", anchor=False)
    st.write("The earlier entry stays, struck through. The new one stands beside it with your reason.")
    by_leg: dict[str, list[Line]] = {}
    for one in lines:
        by_leg.setdefault(one.leg, []).append(one)
    for leg, of_leg in by_leg.items():
        st.header(leg.capitalize(), anchor=False)
        for one in of_leg:
            if st.button(f"{one.title}: {_said(one)}", key=f"entry-{one.id}", type="tertiary"):
                here.go("visit", visit=visit.id, step="correct", answer=one.id)


def _correct(here: Here, visit: Inspection, line: Line) -> None:
    use, person = here.inspections, here.person
    st.title(f"Correct: {line.title}", anchor=False)
    show(f'<p class="gw-beside">Signed off: <s>{text(_said(line))}</s></p>')
    reason = st.text_input("Why it is corrected", key=f"why-{line.id}")
    _form(here, visit, line.id, line.item_id)
    typed = _typed(line.id)
    if typed is None:
        return
    proposed: list[Proposed] = []
    if not tried(
        lambda: proposed.append(use.propose_correction(person, line.id, typed.given, reason, typed.place))
    ):
        return
    _shown(proposed[0], f"Reason: {proposed[0].record['reason']}")

    def act(password: str) -> None:
        seen = proposed[0].record_hash
        use.correct(person, line.id, typed.given, reason, password, seen, typed.place)
        _done(here, visit)

    sign(here, "correct", proposed[0].record_hash, "Sign the correction", act)


def _second(here: Here, visit: Inspection, answer_id: str) -> None:
    use, person = here.inspections, here.person
    waiting = [
        one
        for one in use.corrections(person, visit.id)
        if one.answer.id == answer_id and one.state is CorrectionState.WAITS
    ]
    head(here, visit, "Second look", waiting[0].now.leg if waiting else "")
    if not waiting:
        st.title("Nothing waits here", anchor=False)
        back(here, visit)
        return
    st.title(f"Second look: {waiting[0].now.title}", anchor=False)
    st.write("This was corrected after the sign-off. Look at the aircraft yourself, then answer.")
    _form(here, visit, answer_id, waiting[0].now.item_id)
    typed = _typed(answer_id)
    proposed: list[Proposed] = []
    if typed is not None and tried(
        lambda: proposed.append(use.propose_second(person, answer_id, typed.given))
    ):
        _shown(proposed[0], "Seen at the aircraft")

        def act(password: str) -> None:
            use.second(person, answer_id, typed.given, password, proposed[0].record_hash)
            _done(here, visit)

        sign(here, "second", proposed[0].record_hash, "Sign your second look", act)
    back(here, visit)


def _form(here: Here, visit: Inspection, answer_id: str, item_id: str) -> None:
    use = here.inspections
    stop = use.stop(here.person, item_id)
    (leg,) = (one for one in use.legs(visit.aircraft_id) if one.id == stop.item.leg_id)

    def enter(given: Given, place: str) -> None:
        st.session_state[_FORM] = _Typed(answer_id, given, place)

    answer_form(here, stop, leg, enter)


def _typed(answer_id: str) -> _Typed | None:
    found: _Typed | None = st.session_state.get(_FORM)
    return found if found is not None and found.answer_id == answer_id else None


def _done(here: Here, visit: Inspection) -> None:
    st.session_state.pop(_FORM, None)
    here.go("visit", visit=visit.id)


def _shown(proposed: Proposed, beside: str) -> None:
    """Draw what is signed."""
    st.header("You sign", anchor=False)
    now = proposed.record["now"]
    said = " · ".join(part for part in (now["text"], reading_words(now["reading"])) if part)
    words = finding_words(Finding(now["finding"]), now["reading"])
    show(f'<p class="gw-beside">{text(words)}{text(f": {said}") if said else ""}</p>')
    note(beside)


def _said(one: Line) -> str:
    said = " · ".join(part for part in (one.text, reading_words(one.reading)) if part)
    words = finding_words(one.finding, one.reading)
    return f"{words}: {said}" if said else words


def _row(here: Here, one: Correction) -> str:
    who = f"{here.name_of(one.answer.person_id)}, {when(one.answer.at)}: {one.answer.reason}"
    return (
        f"<li><div><b>{text(one.now.title)}</b><small>{text(one.now.leg)}</small></div><div></div>"
        f'<div class="gw-said"><s>{text(_said(one.was))}</s><br><b>{text(_said(one.now))}</b><br>'
        f"Corrected after sign-off by {text(who)}<br>{text(STATES[one.state])}</div></li>"
    )
