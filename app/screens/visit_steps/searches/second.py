"""The second person: the same way on his own, without a word of the first; then both side by side."""

import streamlit as st

from app.inspection import Inspection
from app.inspection.rounds.looks import Compared
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_kinds import HOSES, SearchKind, kind_judged
from app.inspection.rounds.search_views import ComparedPlace, SearchedItem
from app.inspection.rounds.walking import Stop
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.parts.search_pictures import small_html
from app.screens.visit_steps.searches.overview import routed
from app.screens.visit_steps.searches.way import JUDGED, Way, following, named
from app.screens.visit_steps.shared import is_judged


def step(here: Here, visit: Inspection, stop: Stop) -> bool:
    """Draw the second person's way where the item was answered on photos; return whether it was."""
    if st.query_params.get("at") == "aircraft" or here.inspections.search_locks(stop.item.id) is None:
        return False
    way = Way(here, visit, stop, second=True)
    found = way.found()
    if not (found.second and found.answered):
        if found.barred:
            show(f'<p class="gw-beside">{text(found.barred)}</p>')
        return False
    if found.look is not None:
        note("You have looked at this: it waits for your signature.")
        return True
    if routed(way, found):
        return True
    st.write(
        "You judge the same photos on your own: mark what you see on the bare one, then place by place. "
        "Nothing that another person said is shown before yours is stored."
    )
    if found.looks_himself:
        st.write("Then you look at the aircraft yourself, by hand, with light and mirror, and enter it.")
    if st.button("Begin" if not _begun(found) else "Go on", key="second-on", type="primary", width="stretch"):
        way.go(**following(found))
    way.link(way.words.at_the_aircraft, at="aircraft")
    return True


def _begun(found: SearchedItem) -> bool:
    return any(one.marking is not None for one in found.photos)


def beside(here: Here, both: Compared) -> None:
    """Draw both persons' judgements of every place, for who has given his own."""
    if not is_judged(both.first.reading):
        return
    rows = here.inspections.compared_search(here.person, both.mine.id).rows
    if rows:
        st.header(f"{both.first.title}, {both.first.leg}", anchor=False)
        kind = kind_judged(both.first.reading) or HOSES
        show(f'<ul class="gw-readings gw-both">{"".join(_row(kind, one) for one in rows)}</ul>')


def _row(kind: SearchKind, one: ComparedPlace) -> str:
    picture = small_html(one.try_id, one.place.key, named(one.place), kind=kind)
    return (
        f'<li><div class="gw-thumb">{picture}</div>'
        f"<div><small>First</small><b>{text(_said(one.first))}</b>"
        f"<small>You</small><b>{text(_said(one.mine))}</b></div>"
        f'<div class="gw-said">{text(named(one.place))}</div></li>'
    )


def _said(judged: Judged | None) -> str:
    return "not judged" if judged is None else JUDGED[judged]
