"""Fourth and fifth step: what the photo gave, what may be done with it, and what follows once it is sent."""

import streamlit as st

from app.inspection import Basis, Place, Try, TryState
from app.inspection.rounds.photo_age import question_of
from app.screens.here import Here
from app.screens.parts.contract import result_of
from app.screens.parts.header import steps
from app.screens.parts.markup import complaint, show, text
from app.screens.parts.numbers import both_units, in_mm
from app.screens.parts.pictures import annotated_html, original_html
from app.screens.parts.reading import doubt_html, refusal_html, said_html
from app.screens.parts.words import when
from app.screens.round_steps import STEPS
from vision.errors import GearwitnessError
from vision.results import Reading, Result


def step(here: Here, work: Try) -> None:
    """Draw the reading, the refusal or the failure, and the deeds that are left."""
    place = here.inspections.place_of(work.item_id)
    here.head(("Aircraft", place.aircraft.registration), ("Leg", place.leg.position))
    sent = work.sent_at is not None
    show(steps(STEPS, 4 if sent else 3))
    st.title(_title(work), anchor=False)
    # On a phone one below the other; style.css puts the picture beside both on a wide screen.
    with st.container(key="gw-answer"):
        with st.container():
            if sent:
                _after(work)
            result = _answer(work, place)
        with st.container():
            _picture(here, work)
        with st.container():
            if sent:
                _onward(here, work, place)
            else:
                _deeds(here, work, place)
            if isinstance(result, Reading):
                show(doubt_html(result))


def _title(work: Try) -> str:
    if work.sent_at is not None:
        return "Sent"
    return {TryState.READ: "The photo's reading", TryState.REFUSED: "No reading from this photo"}.get(
        work.state, "This file could not be measured"
    )


def _answer(work: Try, place: Place) -> Result | None:
    if work.result is None:
        show(f'<p class="gw-advice">{text(work.failure or "It gave neither a reading nor a refusal.")}</p>')
        return None
    result = result_of(work.result)
    if isinstance(result, Reading):
        show(said_html(result, supporting=place.leg.basis is Basis.SUPPORTING))
        _own_beside(work, result)
    else:
        show(refusal_html(result))
    return result


def _own_beside(work: Try, reading: Reading) -> None:
    if work.own_hand_mm is None or work.own_hand_u_mm is None:
        return
    difference = reading.value - work.own_hand_mm
    own = both_units(work.own_hand_mm, work.own_hand_u_mm)
    show(f"<p>Your own rule reading, entered before: {text(own)}; photo minus rule {difference:+.2f} mm.</p>")


def _deeds(here: Here, work: Try, place: Place) -> None:
    if work.state is TryState.READ:
        question = question_of(work)
        if question:
            _explain(here, work, question)
        else:
            _send(here, work, "Send to be confirmed", primary=True)
        _again(here, place, "Photograph again", primary=bool(question))
        here.link("hand", "Measure by hand", item=work.item_id)
        return
    _again(here, place, "Photograph again", primary=True)
    if work.state is TryState.REFUSED:
        _send(here, work, "Leave it at no value: ask for a hand measurement", primary=False)
    here.link("hand", "Measure by hand", item=work.item_id)


def _send(here: Here, work: Try, label: str, *, primary: bool) -> None:
    kind = "primary" if primary else "secondary"
    if st.button(label, key=f"send-{work.id}", type=kind, width="stretch"):  # type: ignore[arg-type]
        try:
            here.inspections.send(here.person, work.id)
        except GearwitnessError as refused:
            complaint(str(refused))
        else:
            place = here.inspections.place_of(work.item_id)
            if work.state is TryState.READ and here.inspections.programme_of(place.inspection.id) is not None:
                # On a round nobody looks for his place in it: what was sent stands above the next item.
                here.go("visit", **next_item(here, place), after=work.item_id)
            st.rerun()


def _explain(here: Here, work: Try, question: str) -> None:
    """Ask why a photo whose time does not fit counts; without a reason it is not sent."""
    show(f'<p class="gw-advice" role="status">{text(question)}</p>')
    with st.form(f"time-{work.id}", border=False):
        reason = st.text_input("Why it shows this leg in the condition stated", key=f"time-why-{work.id}")
        if st.form_submit_button("State this reason", width="stretch"):
            try:
                here.inspections.explain_time(here.person, work.id, reason)
            except GearwitnessError as refused:
                complaint(str(refused))
            else:
                st.rerun()


def _again(here: Here, place: Place, label: str, *, primary: bool) -> None:
    kind = "primary" if primary else "secondary"
    if st.button(label, key=f"again-{place.leg.id}", type=kind, width="stretch"):  # type: ignore[arg-type]
        here.go("round", leg=place.leg.id)


def _after(work: Try) -> None:
    assert work.sent_at is not None
    reads = "A second person now reads the bare photo, then sees yours and signs."
    wants = "A hand measurement is asked for: the photo gave no value."
    show(
        f'<p class="gw-sent">Sent {text(when(work.sent_at))}. '
        f"{text(wants if work.result and work.result['status'] == 'refused' else reads)}</p>"
    )


def _onward(here: Here, work: Try, place: Place) -> None:
    item = {"item": work.item_id}
    if here.inspections.programme_of(place.inspection.id) is not None:
        if st.button("Go on with the round", key="round-on", type="primary", width="stretch"):
            here.go("visit", **next_item(here, place))
        here.links(
            ("hand", "Measure by hand", item),
            ("archive", "Everything on this item", item),
        )
        return
    here.links(
        ("round", "Next leg", {}),
        ("hand", "Measure by hand", item),
        ("archive", "Everything on this item", item),
    )


def next_item(here: Here, place: Place) -> dict[str, str]:
    """Return the address of the next item in the condition that is stated, else of the leg's round."""
    walk = here.inspections.walk(here.person, place.inspection.id, place.leg.id)
    stated = here.inspections.condition(place.inspection.id)
    at = next((number for number, one in enumerate(walk.stops) if one.item.id == place.item.id), -1)
    turned = walk.stops[at + 1 :] + walk.stops[: at + 1]
    for one in turned:
        if not one.answered and stated is not None and one.wanted.condition == stated.what:
            return {"visit": place.inspection.id, "item": one.item.id}
    return {"visit": place.inspection.id, "leg": place.leg.id}


def _picture(here: Here, work: Try) -> None:
    if work.annotated is not None:
        show(annotated_html(work.annotated, _alternative(work)))
    elif work.photo is not None:
        show(original_html(work.photo, here.photo_size(work.photo), "The photo as it was taken"))


def _alternative(work: Try) -> str:
    result = work.result and result_of(work.result)
    if isinstance(result, Reading):
        return f"Annotated copy of the photo: {in_mm(result.value, result.expanded_uncertainty)}"
    return "Annotated copy of the photo, without a value"
