"""The application that the server runs: Streamlit's pages behind our own routes and gate.

Streamlit looks for a call of `st.App` at this file's top level, and reads the
``.streamlit/config.toml`` that lies beside it.
"""

import gc
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import streamlit as st

from app.bootstrap import the_house
from app.screens import entry
from app.serving.routes import HANDLERS, layers, routes

_HOUSE = the_house()


@asynccontextmanager
async def _open(_: Any) -> AsyncIterator[dict[str, Any]]:
    """Start the house with the server, and end it with the server."""
    _HOUSE.start()
    set_aside()
    try:
        yield {}
    finally:
        _HOUSE.stop()


def set_aside() -> None:
    """Take what was loaded until now out of the reach of the garbage collection, as it stays until the end.

    Streamlit collects the garbage of all generations after every run of a page.  That keeps the
    memory small, but it looks through every module, class and table definition that is loaded,
    some 200 000 objects, and holds up everybody's pages meanwhile: 0.1 s to 0.4 s for each tap.
    """
    gc.collect()
    gc.freeze()


app = st.App(
    Path(entry.__file__),
    routes=routes(_HOUSE),
    middleware=layers(_HOUSE),
    lifespan=_open,
    exception_handlers=HANDLERS,
)
