"""What was not searched, hose by hose: drawn along it, and acknowledged with how it was inspected instead."""

from typing import Any

import streamlit as st

from app.inspection.rounds.search_views import SearchCoverage, SearchedItem, SearchedPhoto
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.search_pictures import length_html, stretches
from app.screens.visit_steps.searches.way import Way, ask_finding, cautions
from app.screens.visit_steps.shared import tried

_ALL = "all of it"
_ROUND = "the side of it that no photo shows, along its whole length"


def step(way: Way, found: SearchedItem) -> None:
    """Draw every hose of the leg with its photos' blind stretches."""
    way.steps(3)
    st.header("What was not searched", anchor=False)
    st.write(
        "A photo shows one side. What it did not show, or not sharp enough, is inspected by you: "
        "say of each hose how."
    )
    cautions(way)
    for one in found.coverage:
        _hose(way, found, one)
    if all(one.acknowledged for one in found.coverage) and st.button(
        "Go on", key="cover-on", type="primary", width="stretch"
    ):
        way.onward()
    way.link("Another photo, from another side")


def _hose(way: Way, found: SearchedItem, one: SearchCoverage) -> None:
    with st.container(key=f"gw-hose-{found.coverage.index(one)}"):
        st.header((one.hose or "The hose").capitalize(), anchor=False)
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in one.lines) + "</ul>")
        on_photos = _on_photos(found, one.hose)
        beside = _ROUND if on_photos else _ALL
        blind, short = [beside], [beside]
        for photo, index, hose in on_photos:
            show(f'<p class="gw-note">Photo {photo.number}</p>{length_html(photo.try_.id, index, one.hose)}')
            seen = stretches(hose)
            blind += [f"photo {photo.number}, {words}" for words in seen]
            if seen:
                letters = ", ".join(words.partition(":")[0] for words in seen)
                short.append(f"photo {photo.number} {letters}")
        if one.acknowledged is not None:
            show(
                f'<p class="gw-beside">Inspected instead: {text(str(one.acknowledged.told.get("how", "")))}'
                f"{text(f'. {one.acknowledged.text}' if one.acknowledged.text else '')}</p>"
            )
            with st.expander("Say it anew"):
                _form(way, one, blind, short)
            return
        if one.outdated:
            note("A photo came since this was said: say it anew.")
        _form(way, one, blind, short)


def _on_photos(found: SearchedItem, name: str) -> list[tuple[SearchedPhoto, int, dict[str, Any]]]:
    return [
        (photo, index, hose)
        for photo in found.photos
        if photo.step in ("judge", "done") and photo.try_.result
        for index, hose in enumerate(photo.try_.result["hoses"])
        if hose["name"] == name or len(found.hoses) < 2
    ]


def _form(way: Way, one: SearchCoverage, blind: list[str], short: list[str]) -> None:
    key = f"{way.item_id}-{one.hose}-{len(blind)}"
    with st.form(f"cover-{key}", border=False):
        ticks = [
            st.checkbox(f"Inspected instead: {words}", key=f"blind-{key}-{n}")
            for n, words in enumerate(blind)
        ]
        how = st.text_input("How", key=f"how-{key}", placeholder="by hand with light and mirror, all round")
        finding, wet = ask_finding(f"cover-found-{key}", "What you found there")
        words = st.text_input("What is wrong and where, if anything", key=f"cover-words-{key}")
        pressed = st.form_submit_button(f"Acknowledge for {one.hose or 'this hose'}", width="stretch")
    if not pressed:
        return
    if not all(ticks):
        missing = next(words for words, tick in zip(blind, ticks, strict=True) if not tick)
        complaint(f"{missing} is not ticked: inspect it, or photograph the hose from there")
        return
    if finding is None:
        complaint("say what you found there")
        return
    where = f"{how.strip()}; one by one {'; '.join(short)}" if how.strip() else ""
    use, person = way.here.inspections, way.here.person
    if tried(lambda: use.acknowledge(person, way.item_id, one.hose, where, finding, words, wet=wet)):
        st.rerun()
