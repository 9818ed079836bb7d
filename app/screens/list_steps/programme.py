"""Programmes: a shop's file checked and kept, who follows it, and what is fitted on each leg."""

import streamlit as st

from app.inspection import Aircraft, LegEntry
from app.programme import Feature, read_programme, supplied_text
from app.screens.here import Here
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import tried
from vision.errors import GearwitnessError


def step(here: Here) -> None:
    """Draw the programmes, who follows them, and the questions about the legs."""
    st.title("Programmes", anchor=False)
    use = here.inspections
    for one in use.programmes():
        show(
            f'<div class="gw-row"><b>{text(one.name)}</b>'
            f"<span>revision {text(one.revision or 'not told')}</span>"
            f"<small>version {text(one.version[:12])}, {text(when(one.entered_at))}</small></div>"
        )
    _enter(here)
    for aircraft in use.aircraft():
        _aircraft(here, aircraft)


def _enter(here: Here) -> None:
    with st.expander("Enter a programme"), st.form("programme", border=False):
        note("A TOML file; each fault is named with its line, its cause and what to write instead.")
        toml = st.text_area("The file's text", value=supplied_text(), height=240, key="programme-toml")
        pressed = st.form_submit_button("Check it and keep it", width="stretch")
    if not pressed:
        return
    try:
        here.inspections.enter_programme(here.person, toml, "the text")
    except GearwitnessError as faulty:
        complaint("; ".join(line.strip() for line in str(faulty).splitlines()))
        return
    st.rerun()


def _aircraft(here: Here, aircraft: Aircraft) -> None:
    use = here.inspections
    st.header(aircraft.registration, anchor=False)
    entries = use.programmes()
    now = use.programme_followed(aircraft.id)
    note("Its next visit follows no programme." if now is None else f"Its next visit follows {now.name}.")
    with st.expander("Follow a programme"), st.form(f"follow-{aircraft.id}", border=False):
        chosen = st.selectbox(
            "Programme", entries, format_func=lambda it: f"{it.name}, {it.revision}, {it.version[:12]}",
            index=None, key=f"followed-{aircraft.id}",
        )  # fmt: skip
        if (
            st.form_submit_button("Follow it from the next visit on", width="stretch")
            and chosen is not None
            and tried(lambda: use.follow(here.person, aircraft.id, chosen.id))
        ):
            st.rerun()
    if now is None:
        return
    features = read_programme(now.toml, now.name).features
    for leg in use.legs(aircraft.id):
        _fitted(here, leg, features)


def _fitted(here: Here, leg: LegEntry, features: tuple[Feature, ...]) -> None:
    answers = here.inspections.features_of(leg.id)
    left = sum(one.key not in answers for one in features)
    label = f"{leg.position.capitalize()}: what is fitted" + (f" ({left} to answer)" if left else "")
    with st.expander(label), st.form(f"features-{leg.id}", border=False):
        told = {}
        for one in features:
            known = answers.get(one.key)
            chosen = st.selectbox(
                one.question, one.answers, index=one.answers.index(known) if known in one.answers else None,
                format_func=lambda it: it.replace("_", " "), key=f"feature-{leg.id}-{one.key}",
            )  # fmt: skip
            if chosen:
                told[one.key] = chosen
        if st.form_submit_button("Keep these answers", width="stretch") and tried(
            lambda: here.inspections.answer_features(here.person, leg.id, told)
        ):
            st.rerun()
