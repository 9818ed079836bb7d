"""Who is looking, at which archive, and where the other pages are: what every page is given."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NoReturn

import streamlit as st

from app.bootstrap import House
from app.inspection import Inspections, Person
from app.screens.parts.header import title_block
from app.screens.parts.markup import show
from vision.errors import PhotoError
from vision.overlay.tiles import facts

NAVIGATION = (
    ("round", "Legs"),
    ("queue", "Waiting"),
    ("archive", "Archive"),
    ("find", "Find"),
    ("guide", "Guide"),
    ("lists", "Lists"),
)
"""The pages that every page leads to, and what they are called there."""


COOKIE = "gw_session"


def token() -> str:
    """Return the session's token that the browser sent, empty where it sent none."""
    return st.context.cookies.get(COOKIE, "")


@dataclass
class Here:
    """One person on one page in this run of the script.

    Attributes
    ----------
    current : str
        Name of the page that is drawn.
    headed : bool
        Whether the page has its title block.
    """

    house: House
    person: Person
    pages: Mapping[str, st.Page]
    current: str = ""
    headed: bool = False

    @property
    def inspections(self) -> Inspections:
        """The use cases."""
        return self.house.inspections

    def head(self, *cells: tuple[str, str]) -> None:
        """Draw the title block and the way to the other pages."""
        self.headed = True
        show(title_block(cells, self.person.name))
        with st.container(horizontal=True, gap="small", key="gw-nav"):
            for name, label in NAVIGATION:
                self.link(name, label, key=f"gw-nav-{name}")

    def link(self, page: str, label: str, *, key: str = "", **query: str) -> None:
        """Draw a link to a page; `key` tells links of the same words and the same target apart.

        Within a page it is a button: Streamlit's links leave the old query in the
        address there, and a reload would lead back.
        """
        if page != self.current or (not query and not st.query_params):
            st.page_link(self.pages[page], label=label, query_params=query)
        elif st.button(label, key=f"{key or label}-{query}", type="tertiary"):
            self.go(page, **query)

    def links(self, *links: tuple[str, str, dict[str, str]]) -> None:
        """Draw links to pages side by side: page, label, query."""
        with st.container(horizontal=True, gap="medium"):
            for page, label, query in links:
                self.link(page, label, **query)

    def go(self, page: str, **query: str) -> NoReturn:
        """Leave for another page."""
        st.switch_page(self.pages[page], query_params=query)

    def photo_size(self, sha: str) -> tuple[int, int]:
        """Return width and height of an upright photo in px, or (0, 0) where the bytes are no photo."""
        return _size(self.house, sha)

    def name_of(self, person_id: str) -> str:
        """Return a person's name."""
        return self.house.people.find(person_id).name


Page = Callable[[Here], None]


@st.cache_data(show_spinner=False, max_entries=500)
def _size(_house: House, sha: str) -> tuple[int, int]:
    """Decode once: the bytes behind a hash never change."""
    try:
        return facts(_house.archive.photos.get(sha))
    except PhotoError:
        return 0, 0
