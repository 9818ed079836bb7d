"""The application that the server runs: Streamlit's pages behind our own routes and gate.

Streamlit looks for a call of `st.App` at this file's top level, and reads the
``.streamlit/config.toml`` that lies beside it.
"""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import streamlit as st

from app.bootstrap import the_house
from app.serving.routes import HANDLERS, layers, routes

_HOUSE = the_house()


@asynccontextmanager
async def _open(_: Any) -> AsyncIterator[dict[str, Any]]:
    """Start the house with the server, and end it with the server."""
    _HOUSE.start()
    try:
        yield {}
    finally:
        _HOUSE.stop()


app = st.App(
    Path(__file__).resolve().parent / "screens" / "entry.py",
    routes=routes(_HOUSE),
    middleware=layers(_HOUSE),
    lifespan=_open,
    exception_handlers=HANDLERS,
)
