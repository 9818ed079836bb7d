"""What was not searched, of each hose or of the surface: drawn, and acknowledged with what was done."""

from typing import Any

import streamlit as st

from app.inspection.rounds.search_views import SearchCoverage, SearchedItem, SearchedPhoto
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.search_pictures import length_html, region_html, stretches
from app.screens.visit_steps.searches.way import Way, ask_finding, cautions
from app.screens.visit_steps.shared import tried

_ALL = "all of it"
_ROUND = "the side of it that no photo shows, along its whole length"
_BEYOND = "all of it that lies in no photo's region"


def step(way: Way, found: SearchedItem) -> None:
    """Draw every hose of the leg, or the surface, with what its photos did not search."""
    way.steps(3)
    st.header("What was not searched", anchor=False)
    st.write(way.words.uncovered)
    cautions(way)
    for one in found.coverage:
        _thing(way, found, one)
    if all(one.acknowledged for one in found.coverage) and st.button(
        "Go on", key="cover-on", type="primary", width="stretch"
    ):
        way.onward()
    way.link(way.words.another)


def _thing(way: Way, found: SearchedItem, one: SearchCoverage) -> None:
    with st.container(key=f"gw-hose-{found.coverage.index(one)}"):
        st.header((one.hose or way.words.unnamed).capitalize(), anchor=False)
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in one.lines) + "</ul>")
        blind, short = _along_hose(found, one.hose) if way.kind.of_leg else _on_surface(found)
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


def _along_hose(found: SearchedItem, name: str) -> tuple[list[str], list[str]]:
    """Draw a hose along each photo; return what was not searched, to be ticked, and shorter, to be kept."""
    on_photos = _on_photos(found, name)
    beside = _ROUND if on_photos else _ALL
    blind, short = [beside], [beside]
    for photo, index, hose in on_photos:
        show(f'<p class="gw-note">Photo {photo.number}</p>{length_html(photo.try_.id, index, name)}')
        seen = stretches(hose)
        blind += [f"photo {photo.number}, {words}" for words in seen]
        if seen:
            letters = ", ".join(words.partition(":")[0] for words in seen)
            short.append(f"photo {photo.number} {letters}")
    return blind, short


def _on_surface(found: SearchedItem) -> tuple[list[str], list[str]]:
    """Draw the region of each photo; return as `_along_hose`."""
    seen = [one for one in found.photos if one.step in ("judge", "done")]
    told = [(photo, (photo.try_.result or {}).get("surface")) for photo in seen]
    surfaces = [(photo, surface) for photo, surface in told if surface]
    beyond = _BEYOND if surfaces else _ALL
    blind, short = [beyond], [beyond]
    for photo, surface in surfaces:
        show(f'<p class="gw-note">Photo {photo.number}</p>{region_html(photo.try_.id)}')
        if surface["not_searched_px"]:
            blind.append(f"photo {photo.number}, the crossed squares")
            short.append(f"photo {photo.number}, crossed")
    return blind, short


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
        how = st.text_input("How", key=f"how-{key}", placeholder=way.words.how_example)
        finding, wet = ask_finding(f"cover-found-{key}", "What you found there")
        words = st.text_input("What is wrong and where, if anything", key=f"cover-words-{key}")
        pressed = st.form_submit_button(
            way.words.acknowledge.format(one.hose or "this hose"), width="stretch"
        )
    if not pressed:
        return
    if not all(ticks):
        missing = next(words for words, tick in zip(blind, ticks, strict=True) if not tick)
        complaint(f"{missing} is not ticked: {way.words.from_there}")
        return
    if finding is None:
        complaint("say what you found there")
        return
    where = f"{how.strip()}; one by one {'; '.join(short)}" if how.strip() else ""
    use, person = way.here.inspections, way.here.person
    if tried(lambda: use.acknowledge(person, way.item_id, one.hose, where, finding, words, wet=wet)):
        st.rerun()
