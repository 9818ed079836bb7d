"""One place: the photo and the straight hose about it, five answers, none of them set beforehand."""

import streamlit as st

from app.inspection.rounds.hose_pair_rules import why_no_second
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_views import SearchedPhoto, SearchedPlace
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.search_pictures import row_html
from app.screens.visit_steps.searches.way import (
    JUDGED,
    Way,
    hose_words,
    limits_words,
    named,
    next_place,
    picture,
    told,
)
from app.screens.visit_steps.shared import tried

_LIMITS = "Whether it may stay is told by its damage limits, not by its looks in a photo."


def step(way: Way, this: SearchedPhoto, key: str) -> None:
    """Draw one place; showing it is what opens it."""
    place = next((one for one in (*this.places, *this.aside) if one.key == key), None)
    if place is None:
        complaint("there is no such place on this photo: go back to its list")
        way.link("To the places of this photo", draft=this.try_.id)
        return
    use, person = way.here.inspections, way.here.person
    if not place.opened:
        if not tried(lambda: use.open_place(person, this.try_.id, key)):
            return
        if place.kind == "aside":
            st.rerun()
    number = 1 + next((n for n, one in enumerate(this.places) if one.key == key), len(this.places))
    way.steps(2)
    _after(way, this)
    st.header(f"Place {number} of {len(this.places)}: {named(place)}", anchor=False)
    if told(place):
        note(told(place))
    with st.container(key="gw-judge"):
        with st.container():
            lines = st.checkbox("Line about the place", value=True, key="hose-lines")
            show(picture(way, this, place, lines=lines, words=f"place {number}"))
        with st.container():
            _answers(way, this, place)
            if place.kind == "flag" and place.judged is None:
                offered(way, this)
            _beside(way, this, number)


def offered(way: Way, this: SearchedPhoto) -> None:
    """Draw the way to a second photo where one can be held against this one."""
    if not way.second and not why_no_second(this):
        way.link("May be a reflection? Take a second photo", draft=this.try_.id, part="pair")


def _answers(way: Way, this: SearchedPhoto, place: SearchedPlace) -> None:
    if place.judged is not None:
        said = f"<b>{text(JUDGED[place.judged])}</b>{text(f': {place.text}' if place.text else '')}"
        show(f'<p class="gw-beside" role="status">Your answer: {said}. {_how_long(way)}</p>')
    if st.query_params.get("as") == Judged.WEAR.value:
        _as_wear(way, this, place)
        return
    with st.form(f"judge-{this.try_.id}-{place.key}", border=False):
        words = st.text_input("In your words (may be left out)", key=f"words-{this.try_.id}-{place.key}")
        pressed = [one for one in Judged if _answer(way, this, place, one)]
    if not pressed:
        return
    if pressed[0] is Judged.WEAR:
        kept = {"said": words} if words.strip() else {}
        way.go(draft=this.try_.id, place=place.key, **{"as": Judged.WEAR.value}, **kept)
    _store(way, this, place, pressed[0], words)


def _how_long(way: Way) -> str:
    if way.second:
        return "It can be changed until you store your judgements."
    return "It can be changed until it is signed, or is entered as something wrong."


def _answer(way: Way, this: SearchedPhoto, place: SearchedPlace, one: Judged) -> bool:
    key = f"judge-{this.try_.id}-{place.key}-{one}"
    return st.form_submit_button(f"**{JUDGED[one]}**: {way.words.answers[one]}", key=key, width="stretch")


def _as_wear(way: Way, this: SearchedPhoto, place: SearchedPlace) -> None:
    """Show the hose's own document first: what wear may be is written there."""
    hose = next(
        (one for one in way.here.inspections.hoses_of(way.item_id) if one.name == place.hose_name), None
    )
    cover = f", {hose.cover.replace('_', ' ')}" if hose and hose.cover else ""
    show(
        '<section class="gw-card" aria-label="Damage limits first"><h2>Damage limits first</h2>'
        f"<p>{text(hose_words(place.hose_name, way.words.this_unnamed) + cover)}</p>"
        f"<ul><li>{text(limits_words(hose))}</li><li>{text(_LIMITS)}</li></ul></section>"
    )
    with st.form(f"wear-{this.try_.id}-{place.key}", border=False):
        words = st.text_input(
            "What is worn, and how far", value=st.query_params.get("said", ""),
            key=f"wear-words-{this.try_.id}-{place.key}",
        )  # fmt: skip
        pressed = st.form_submit_button("It is wear", type="primary", width="stretch")
    if pressed:
        _store(way, this, place, Judged.WEAR, words)
    way.link("Another answer", draft=this.try_.id, place=place.key)


def _store(way: Way, this: SearchedPhoto, place: SearchedPlace, judged: Judged, words: str) -> None:
    use, person = way.here.inspections, way.here.person
    if not tried(lambda: use.judge(person, this.try_.id, place.key, judged, words)):
        return
    now = next(one for one in way.found().photos if one.try_.id == this.try_.id)
    after = next_place(now)
    if after is not None:
        way.go(draft=this.try_.id, place=after.key, after=place.key)
    if now.aside:
        way.go(draft=this.try_.id, part="aside", after=place.key)
    way.onward()


def _after(way: Way, this: SearchedPhoto) -> None:
    """What was judged last, above the place that followed by itself, with the way back to it."""
    last = next((one for one in this.places if one.key == st.query_params.get("after")), None)
    if last is None or last.judged is None:
        return
    with st.container(key="gw-just-answered"):
        show(
            f'<p class="gw-beside" role="status">Judged: {text(named(last))}, '
            f"<b>{text(JUDGED[last.judged])}</b></p>"
        )
        way.link("Change it", draft=this.try_.id, place=last.key)


def _beside(way: Way, this: SearchedPhoto, number: int) -> None:
    with st.container(horizontal=True, gap="small"):
        if number > 1:
            way.link("Place before", draft=this.try_.id, place=this.places[number - 2].key)
        if number < len(this.places):
            way.link("Place after", draft=this.try_.id, place=this.places[number].key)
        way.link("All places of this photo", draft=this.try_.id)


def listed(way: Way, this: SearchedPhoto) -> None:
    """Draw all places of a photo with what was judged, each with the way to it."""
    for number, one in enumerate(this.places, 1):
        with st.container(key=f"gw-place-{one.key}"):
            said = JUDGED[one.judged] if one.judged else "Not judged"
            head = f"{number}. {said}{f': {one.text}' if one.text else ''}"
            show(row_html(this.try_.id, one.key, head=head, what=named(one), beside=told(one), kind=way.kind))
            label = f"Change place {number}" if one.judged else f"Judge place {number}"
            way.link(label, key=f"to-{one.key}", draft=this.try_.id, place=one.key)
