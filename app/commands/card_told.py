"""What commands are told alike of a card beside the photo: its bars as measured, and how far off it is."""

import argparse
from collections.abc import Iterable

from app.commands.numbers import BAR_MM, DOUBT_MM, STAND_OFF_MM
from app.errors import UsageError
from vision.scale.told import Bars, StandOff

OF_CARD = (("check_bar_u", "check_bar"), ("stand_off_u", "stand_off"))
"""Doubts and what they are the doubts of."""


def bar_options(parser: argparse.ArgumentParser) -> None:
    """Add `--check-bar` and `--check-bar-u`."""
    add = parser.add_argument
    add(
        "--check-bar", type=BAR_MM, nargs="+", metavar=("ALONG", "ACROSS"),
        help="measured lengths in mm of the card copy's check bars; ACROSS may be left out",
    )  # fmt: skip
    add("--check-bar-u", type=DOUBT_MM, metavar="MM", help="its standard uncertainty (default 0.15 mm)")


def stand_off_options(parser: argparse.ArgumentParser, of_what: str, default_u_mm: float) -> None:
    """Add `--stand-off` and `--stand-off-u`; `of_what` tells behind or before what the card is."""
    add = parser.add_argument
    add(
        "--stand-off", type=STAND_OFF_MM, metavar="MM",
        help=f"card's printed face behind (+) or in front (-) of {of_what}, where known",
    )  # fmt: skip
    add(
        "--stand-off-u", type=DOUBT_MM, metavar="MM",
        help=f"its standard uncertainty (default {default_u_mm} mm)",
    )  # fmt: skip


def require_values(options: argparse.Namespace, doubts: Iterable[tuple[str, str]] = OF_CARD) -> None:
    """Check that no doubt was given without the value that it is the doubt of.

    Raises
    ------
    UsageError
        One was.
    """
    for doubt, value in doubts:
        if getattr(options, doubt) is not None and getattr(options, value) is None:
            names = [f"--{name.replace('_', '-')}" for name in (doubt, value)]
            msg = f"{names[0]} is the doubt of {names[1]}, which is missing: give both, or neither"
            raise UsageError(msg)


def bars_of(given: list[float] | None) -> Bars | None:
    """Return measured check bars as (along, across or None).

    Raises
    ------
    UsageError
        There are more than two lengths.
    """
    if given is None:
        return None
    if len(given) > 2:
        msg = f"--check-bar takes one or two lengths, {len(given)} came: write ALONG, then ACROSS"
        raise UsageError(msg)
    return given[0], given[1] if len(given) == 2 else None


def stand_off_of(value: float | None, u: float | None, default_u_mm: float) -> StandOff | None:
    """Return a told stand-off with its doubt, or None where none was told."""
    return None if value is None else StandOff(value, default_u_mm if u is None else u)
