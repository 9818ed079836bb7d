"""A second photo of the same hoses: offered where flags may be reflections, never forced."""

import streamlit as st

from app.inspection import Try
from app.inspection.rounds.hose_pair_rules import MOVE, SLIDES, why_no_second
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.search_views import SearchedItem, SearchedPhoto
from app.screens.parts.markup import note, show
from app.screens.parts.search_pictures import row_html
from app.screens.visit_steps.searches import photo
from app.screens.visit_steps.searches.searching import progress
from app.screens.visit_steps.searches.way import Way, named, told
from app.screens.visit_steps.shared import tried

HOW = (
    f"Move the phone {MOVE}, the same piece of hose in view: light mirrored in it moves, wear stays.",
    "A flash does not replace the move; use one only where local rules allow it.",
)
_MAY_BE_WRONG = (
    "This can be wrong, and true wear be among them: look at each, and bring back what you would judge "
    "yourself. Your own marks and what is judged stay."
)


def offer(way: Way, this: SearchedPhoto) -> None:
    """Draw what a second photo is for and how it is taken, and begin it."""
    way.steps(2)
    st.header(f"A second photo of what photo {this.number} shows", anchor=False)
    why = why_no_second(this)
    if way.second or why:
        note(why)
        way.link("To the places of this photo", draft=this.try_.id)
        return
    _refused_before(this)
    show("<ul class='gw-short'>" + "".join(f"<li>{one}</li>" for one in HOW) + "</ul>")
    note("What moved is set aside with its reason. Nothing else of this photo is searched.")
    use, person, begun = way.here.inspections, way.here.person, list[Try]()
    pressed = st.button("Take the second photo", key="pair-begin", type="primary", width="stretch")
    if pressed and tried(lambda: begun.append(use.begin_second_photo(person, this.try_.id))):
        way.go(draft=begun[0].id)
    way.link("Judge without it", draft=this.try_.id)


def _refused_before(this: SearchedPhoto) -> None:
    last = next((one.try_.result for one in reversed(this.seconds) if one.step == "refused"), None)
    if last:
        photo.refusal(last, "Not compared")


def step(way: Way, found: SearchedItem, first: SearchedPhoto, this: SearchedPhoto) -> None:
    """Draw where a second photo stands."""
    if this.step == "photo":
        photo.arrive(way, this, HOW)
    elif this.step == "show":
        photo.show_hoses(way, found, this, of=first)
    elif this.step == "searching":
        way.steps(2)
        st.header("Both photos are compared", anchor=False)
        progress(way, this)
    elif this.step == "done":
        _compared(way, first, this)
    else:
        _not_compared(way, found, first, this)


def _compared(way: Way, first: SearchedPhoto, this: SearchedPhoto) -> None:
    """Draw what slides between both photos, each with its picture and its reason."""
    way.steps(2)
    slid = [one for one in first.aside if one.aside_as == SLIDES]
    hidden = first.marking is None or question_of(this.try_)
    st.header("The second photo" if hidden else f"Set aside by the second photo: {len(slid)}", anchor=False)
    question = question_of(this.try_)
    if question:
        note("It sets nothing aside while its time is questioned.")
        if not way.second:
            photo.explain(way, this, question)
    elif first.marking is None:
        note(f"What it sets aside is shown once you have marked photo {first.number} as it is.")
    elif slid:
        note(_MAY_BE_WRONG)
    else:
        note("No flag moved, or the second photo does not show its place. All are judged by looking.")
    for one in slid:
        with st.container(key=f"gw-place-{one.key}"):
            show(row_html(first.try_.id, one.key, head="Slides", what=named(one), beside=told(one)))
            if st.button(f"Bring back flag {one.number}", key=f"back-{one.key}", width="stretch"):
                way.go(draft=first.try_.id, place=one.key)
    if st.button("Go on", key="pair-on", type="primary", width="stretch"):
        way.onward()


def _not_compared(way: Way, found: SearchedItem, first: SearchedPhoto, this: SearchedPhoto) -> None:
    """Draw why nothing was compared and what to do; nothing of the first photo has changed."""
    way.steps(2)
    st.header("Not compared", anchor=False)
    photo.refusal(this.try_.result or {"reason": this.try_.failure or "This photo was given up."}, "Why")
    note(f"Nothing of photo {first.number} has changed.")
    if not way.second and not why_no_second(first):
        if this.step == "refused":
            with st.expander("Show the hoses on this photo again"):
                photo.show_hoses(way, found, this, of=first, again=True)
        way.link("Take the second photo again", draft=first.try_.id, part="pair")
    if st.button("Judge without it", key="pair-on", type="primary", width="stretch"):
        way.onward()
