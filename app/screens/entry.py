"""The script that Streamlit runs, anew at every rerun: who is here, which page, nothing else."""

from functools import partial
from pathlib import Path

import streamlit as st

from app.bootstrap import the_house
from app.screens import (
    agreement,
    archive,
    compare,
    confirm,
    find,
    gathered,
    guide,
    hand,
    lists,
    practice,
    queue,
    round,
    trend,
    visit,
)
from app.screens.components import keep_typed
from app.screens.here import Here, Page, token
from app.screens.list_steps import password
from app.screens.parts.markup import complaint, show
from vision.errors import GearwitnessError

_ABOUT = ("aircraft", "visit", "step", "leg", "item", "what", "case", "draft", "try")
FOLDER = Path(__file__).resolve().parent

PAGES: dict[str, tuple[str, Page]] = {
    "round": ("Legs", round.page),
    "visit": ("Visit", visit.page),
    "queue": ("Waiting", queue.page),
    "confirm": ("Confirm", confirm.page),
    "hand": ("Hand measurement", hand.page),
    "lists": ("Lists", lists.page),
    "archive": ("Archive", archive.page),
    "find": ("Find", find.page),
    "trend": ("Over time", trend.page),
    "compare": ("Same view", compare.page),
    "agreement": ("Agreement", agreement.page),
    "gathered": ("From the gallery", gathered.page),
    "practice": ("Practice", practice.page),
    "guide": ("Guide", guide.page),
}


def run(opening: str = "round") -> None:
    """Draw the page that the address names for the person whose session the cookie is.

    Parameters
    ----------
    opening : str
        The page of the address without a path.
    """
    st.set_page_config(page_title="Gearwitness", page_icon=str(FOLDER / "static" / "icon.svg"), layout="wide")
    st.html(FOLDER / "style.css")
    house = the_house()
    # An open websocket outlives its session, so that is asked for at every run.
    person = house.people.person_of(token())
    if person is None:
        _signed_out()
        return
    pages: dict[str, st.Page] = {}
    here = Here(house, person, pages)
    for name, (title, page) in PAGES.items():
        pages[name] = st.Page(
            partial(_shown, page, here), title=title, url_path=name, default=name == opening
        )
    chosen = st.navigation(list(pages.values()), position="hidden")
    reset = house.people.pending_reset(person.id)
    if reset is not None and reset.changed_at is None:
        # A temporary password opens nothing but its own change.
        here.current = "lists"
        here.head(("Sheet", "Password"))
        password.step(here)
        return
    here.current = next(name for name, page in pages.items() if page == chosen)
    chosen.run()


def _shown(page: Page, here: Here) -> None:
    try:
        page(here)
        keep_typed(_scope(here))
    except GearwitnessError as refused:
        if not here.headed:
            here.head(("Sheet", "Not done"))
        complaint(str(refused))
        here.link("round", "To the legs")


def _scope(here: Here) -> str:
    """Return what the page is about, so that what was typed for one item comes up at no other."""
    about = (f"{name}={st.query_params[name]}" for name in _ABOUT if name in st.query_params)
    return " ".join((here.person.id, here.current, *about))


def _signed_out() -> None:
    st.title("Signed out", anchor=False)
    st.write("The session has ended. What was stored is kept.")
    show('<p><a class="gw-link" href="/sign-in">Sign in</a></p>')


if __name__ == "__main__":
    run()
