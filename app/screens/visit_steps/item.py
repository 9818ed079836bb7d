"""One item at the aircraft: what to do, its cautions, its answer in one tap where there is nothing to say."""

import streamlit as st

from app.inspection import STRUT_EXTENSION, Aircraft, Inspection, ItemState, LegEntry
from app.inspection.rounds.given import Given
from app.inspection.rounds.walking import Stop, Walk
from app.programme import SeenBy
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.round_steps.condition import before_photo
from app.screens.visit_steps import tire
from app.screens.visit_steps.forms import answer_form
from app.screens.visit_steps.just_answered import MISTAP, just_answered
from app.screens.visit_steps.leg import progress_html
from app.screens.visit_steps.searches import overview as hoses
from app.screens.visit_steps.shared import back, finding_words, head, reading_words, tried
from app.screens.visit_steps.stepping import servicing
from app.screens.visit_steps.tire_gauge import loss_words


def step(here: Here, visit: Inspection, item_id: str) -> None:
    """Draw an item of its leg's round."""
    stop = here.inspections.stop(here.person, item_id)
    walk = here.inspections.walk(here.person, visit.id, stop.item.leg_id)
    aircraft = head(here, visit, "Item", walk.leg.position)
    of_its_own = hoses.is_step_of_its_own(here, stop)
    if not of_its_own:
        show(progress_html(walk))
        just_answered(here, visit, walk)
    number = next(i for i, one in enumerate(walk.stops, 1) if one.item.id == item_id)
    note(f"{number} of {len(walk.stops)} · {stop.group.title} · {stop.wanted.condition.replace('_', ' ')}")
    st.title(stop.title, anchor=False)
    if not of_its_own:
        show(guide_html(here, stop))
    if stop.item.key == STRUT_EXTENSION:
        _strut(here, aircraft, walk.leg, stop)
    elif stop.item.state is ItemState.DISCREPANCY:
        show(
            '<p class="gw-beside">Something was found wrong here. What is done about it is entered there:</p>'
        )
        here.link("visit", "To the discrepancies", visit=visit.id, step="cases")
    elif stop.answered and not hoses.is_looked_through(here, stop):
        _answered(here, visit, stop, walk)
        hoses.answered(here, visit, stop)
    else:
        if stop.wanted.sequence == "servicing":
            servicing(here, visit, stop.item.id)
        below = hoses.step(here, visit, stop)
        if below is None:
            below = tire.step(here, visit, stop, walk.leg, lambda: _next(here, visit, stop, walk))
        if below is not tire.Below.NONE:
            _answer(here, visit, stop, walk, with_reading=below is tire.Below.ALL)
    _onward(here, visit, stop, walk)


def guide_html(here: Here, stop: Stop) -> str:
    """Return what to do and the cautions; a caution is drawn open the first time, then folded."""
    seen: set[str] = st.session_state.setdefault("cautions-seen", set())
    folded = []
    for one in here.inspections.cautions_of(stop.item.id):
        is_open = "" if one.key in seen else " open"
        folded.append(
            f"<details{is_open}><summary>{text(one.title)}</summary><p>{text(one.text)}</p></details>"
        )
        seen.add(one.key)
    guide = "".join(f"<li>{text(line)}</li>" for line in stop.wanted.guide)
    limit = f'<p class="gw-note">Limit: {text(stop.wanted.limit_of)}</p>' if stop.wanted.limit_of else ""
    who = (
        '<p class="gw-note">A required inspection: seen at the aircraft by who is authorised for it.</p>'
        if stop.wanted.seen_by is SeenBy.REQUIRED_INSPECTION
        else ""
    )
    cautions = f'<div class="gw-folded">{"".join(folded)}</div>'
    return f'<div class="gw-item">{cautions}<ul>{guide}</ul>{limit}{who}</div>'


def _strut(here: Here, aircraft: Aircraft, leg: LegEntry, stop: Stop) -> None:
    if stop.answered:
        show('<p class="gw-beside">Photographed or measured: see its own pages.</p>')
        if st.button("Photograph the strut", type="primary", width="stretch", key="to-photo"):
            here.go("round", leg=stop.item.leg_id)
    elif here.person.is_mechanic:
        st.header("Before the photo", anchor=False)
        before_photo(here, aircraft, leg)
    here.links(
        ("hand", "Measure by hand", {"item": stop.item.id}),
        ("archive", "Everything on this item", {"item": stop.item.id}),
    )


def _answer(here: Here, visit: Inspection, stop: Stop, walk: Walk, *, with_reading: bool = True) -> None:
    supervisor = _supervisor(here)

    def enter(given: Given, place: str) -> None:
        done = tried(
            lambda: here.inspections.answer(
                here.person, stop.item.id, given, place=place, supervisor_id=supervisor
            )
        )
        if done:
            _next(here, visit, stop, walk)

    answer_form(here, stop, walk.leg, enter, with_reading=with_reading)


def _supervisor(here: Here) -> str:
    if here.person.is_worker:
        return ""
    people = [one for one in here.house.people.everyone() if one.is_worker]
    chosen = st.selectbox(
        "Under whose supervision", people, format_func=lambda one: one.name, index=None, key="supervisor"
    )
    return chosen.id if chosen else ""


def _answered(here: Here, visit: Inspection, stop: Stop, walk: Walk) -> None:
    if stop.mine is None:
        show(
            '<p class="gw-beside">Another person has answered this. '
            "His answer is shown after the second look.</p>"
        )
        return
    said = " · ".join(part for part in (stop.mine.text, reading_words(stop.mine.reading)) if part)
    found = finding_words(stop.mine.finding, stop.mine.reading)
    show(f'<p class="gw-beside">Your answer: {text(found)}. {text(said)}</p>')
    lost = loss_words(here, stop)
    if lost:
        note(lost)
    undoing = st.query_params.get("undo") == stop.mine.id
    with st.expander("Correct this answer", expanded=undoing):
        note("The earlier answer stays on the record; the new one supersedes it.")
        reason = st.text_input(
            "Why it is corrected", value=MISTAP if undoing else "", key=f"why-{stop.mine.id}-{undoing}"
        )
        mine = stop.mine

        def enter(given: Given, place: str) -> None:
            done = tried(
                lambda: here.inspections.answer(
                    here.person,
                    stop.item.id,
                    given,
                    corrects=mine.id,
                    reason=reason,
                    place=place,
                    supervisor_id=mine.supervisor_id or "",
                )
            )
            if done and undoing:  # back to where the round stood
                _next(here, visit, stop, walk)
            if done:
                st.rerun()

        answer_form(here, stop, walk.leg, enter)


def _next(here: Here, visit: Inspection, stop: Stop, walk: Walk) -> None:
    """Go on to the next item of the same condition; at its end back to the leg."""
    places = [one.item.id for one in walk.stops]
    at = places.index(stop.item.id)
    turned = walk.stops[at + 1 :] + walk.stops[:at]
    same = [one for one in turned if not one.answered and one.wanted.condition is stop.wanted.condition]
    if same:
        here.go("visit", visit=visit.id, item=same[0].item.id, after=stop.item.id)
    here.go("visit", visit=visit.id, leg=walk.leg.id, after=stop.item.id)


def _onward(here: Here, visit: Inspection, stop: Stop, walk: Walk) -> None:
    places = [one.item.id for one in walk.stops]
    at = places.index(stop.item.id)
    with st.container(horizontal=True, gap="small"):
        if at and st.button("Before", key="before", type="tertiary"):
            here.go("visit", visit=visit.id, item=places[at - 1])
        if at + 1 < len(places) and st.button("Skip, come back later", key="skip", type="tertiary"):
            here.go("visit", visit=visit.id, item=places[at + 1])
    back(here, visit, leg=walk.leg.id)
