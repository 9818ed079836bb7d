"""A length that a person types, with its unit: ``84.1 mm``, ``3 5/16 in``."""

import streamlit as st

from vision.units import parse_length_mm

HOW = 'With its unit, e.g. "84.1 mm" or "3 5/16 in".'


def length_input(label: str, *, key: str, placeholder: str = "", bound: bool = False) -> str:
    """Draw a field for a length; `bound` keeps what stands in it in the address over a reload."""
    return st.text_input(
        label,
        key=key,
        placeholder=placeholder or "84.1 mm or 3 5/16 in",
        autocomplete="off",
        bind="query-params" if bound else None,
    )


def read_length(what: str, typed: str, *, above_zero: bool = True) -> float:
    """Return the typed length in mm.

    Raises
    ------
    ValueError
        It is no length with a unit, or not above zero where it has to be.
    """
    if not typed.strip():
        msg = f"{what} is missing: write it with its unit, e.g. 84.1 mm or 3 5/16 in"
        raise ValueError(msg)
    mm = parse_length_mm(typed)
    if above_zero and mm <= 0:
        msg = f"{what} has to be above 0, and {typed.strip()} is not"
        raise ValueError(msg)
    return mm
