"""How far the search of a photo is."""

from typing import NoReturn

import streamlit as st

from app.inspection import Try
from app.inspection.rounds.search_views import SearchedPhoto
from app.screens.parts.markup import note, show, text
from app.screens.parts.words import TRY_STATES
from app.screens.visit_steps.searches.way import Way, photo_of, second_of
from app.screens.visit_steps.shared import tried


def give_up(way: Way, this: SearchedPhoto) -> None:
    """Offer to give up a photo on which nothing is shown yet."""
    use, person = way.here.inspections, way.here.person
    pressed = st.button("Give this photo up", key=f"give-up-{this.try_.id}", type="tertiary")
    if pressed and tried(lambda: use.give_up_photo(person, this.try_.id)):
        way.go()


def shown_by_another(way: Way, this: SearchedPhoto, title: str, *, again: bool) -> bool:
    """Head the page on which a photo's taker shows what to search; tell another that it is not his."""
    way.steps(0)
    st.header(title, anchor=False)
    if this.try_.performer_id == way.here.person.id:
        return False
    note(way.words.not_mine)
    if not again:
        give_up(way, this)
    return True


def submit(way: Way, begun: Try) -> NoReturn:
    """Have a photo searched, and go where its progress is told."""
    way.here.house.jobs.submit(begun.id)
    way.go(draft=begun.id)


def progress(way: Way, this: SearchedPhoto) -> None:
    """Draw how far the search is, and go on by itself when it is done."""
    here = way.here

    @st.fragment(run_every=0.7)
    def drawn() -> None:
        now = here.inspections.searched_item(here.person, way.item_id)
        _, beside = second_of(now, this.try_.id) or (None, None)
        one = photo_of(now, this.try_.id) or beside
        if one is None or one.step != this.step:
            st.rerun()
        before = here.house.jobs.before(this.try_.id)
        stage = one.try_.stage or (f"{before} before yours" if before else TRY_STATES[one.try_.state])
        words = text(stage[:1].upper() + stage[1:])
        show(f'<p class="gw-working" role="status"><i aria-hidden="true"></i>{words}</p>')

    drawn()
