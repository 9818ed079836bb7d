"""All that is told to the strut measurement beside the photo, checked before the photo is opened."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

import vision.strut
from app.errors import UsageError
from app.measuring.fitted import fitted
from vision.camera_file import CameraFile
from vision.card import Card, load_card, supplied_cards
from vision.leg import Leg
from vision.photo import Photo
from vision.results import Result
from vision.scale.told import Bars, StandOff

DEFAULT_STAND_OFF_U_MM = 1.0
# A printer that fits a page of another format shrinks it by up to 6 %; beyond this it is a slip.
_BAR_SHARE = 0.10
_OPTIONS = {"check_bar_mm", "stand_off_mm", "stand_off_u_mm", "pressure_kpa", "pressure_u_kpa"}


@dataclass(frozen=True)
class StrutRequest:
    """What is known of one leg, its card and the camera; lengths mm, pressures kPa, u standard."""

    leg: Leg
    cards: Sequence[Card]
    check_bar_mm: Bars | None = None
    check_bar_u_mm: float | None = None
    stand_off: StandOff | None = None
    pressure_kpa: float | None = None
    pressure_u_kpa: float | None = None
    camera: CameraFile | None = None

    def measure(self, photo: Photo) -> Result:
        """Return the strut's extension on a photo, or why there is none.

        Raises
        ------
        CameraError
            The calibration is of another camera or picture size.
        LegError
            The leg's data lacks what the measurement needs.
        """
        return vision.strut.measure_strut(
            photo,
            self.leg,
            self.cards,
            camera=fitted(self.camera, photo),
            check_bar_mm=self.check_bar_mm,
            check_bar_u_mm=self.check_bar_u_mm,
            stand_off=self.stand_off,
            pressure_kpa=self.pressure_kpa,
            pressure_u_kpa=self.pressure_u_kpa,
        )


def chosen_cards(paths: Sequence[Path]) -> tuple[Card, ...]:
    """Return the cards of these files, or the supplied ones where none is given.

    Raises
    ------
    CardError
        A definition cannot be read or contradicts itself.
    UsageError
        Two cards share marker ids: which of them is in the photo could not be told.
    """
    if not paths:
        return supplied_cards()
    cards = tuple(load_card(path) for path in paths)
    for (path, card), (other_path, other) in combinations(zip(paths, cards, strict=True), 2):
        shared = sorted(set(card.marker_ids) & set(other.marker_ids))
        if shared:
            ids = ", ".join(map(str, shared))
            msg = f"{path} and {other_path} share the marker ids {ids}: give one, or ids of its own to each"
            raise UsageError(msg)
    return cards


def told_by(options: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a person told beside the photo as keywords of `StrutRequest`.

    Parameters
    ----------
    options : mapping
        Plain JSON values: ``check_bar_mm`` [along, across or nothing], ``stand_off_mm`` and its
        standard uncertainty ``stand_off_u_mm``, ``pressure_kpa`` and ``pressure_u_kpa``; each may be
        missing.

    Raises
    ------
    ValueError
        A key is unknown, or a value is not a finite number in its range.
    """
    return dict(_told(options))


def _told(options: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    unknown = sorted(set(options) - _OPTIONS)
    if unknown:
        msg = f"options knows {', '.join(sorted(_OPTIONS))}, not {', '.join(unknown)}"
        raise ValueError(msg)
    if "check_bar_mm" in options:
        along, *across = map(finite, options["check_bar_mm"])
        if len(across) > 1:
            msg = f"check_bar_mm takes one or two lengths, not {options['check_bar_mm']}"
            raise ValueError(msg)
        yield "check_bar_mm", (along, across[0] if across else None)
    if "stand_off_mm" in options:
        u = finite(options.get("stand_off_u_mm", DEFAULT_STAND_OFF_U_MM))
        if u <= 0:
            msg = f"stand_off_u_mm is a standard uncertainty above 0, not {u:g}"
            raise ValueError(msg)
        yield "stand_off", StandOff(finite(options["stand_off_mm"]), u)
    yield from ((key, finite(options[key])) for key in ("pressure_kpa", "pressure_u_kpa") if key in options)


def finite(value: object) -> float:
    """Return a JSON number as float.

    Raises
    ------
    ValueError
        It is no number, or none that is finite.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        msg = f"a finite number was expected, not {value!r}"
        raise ValueError(msg)
    return float(value)


def check_bars(cards: Sequence[Card], measured: Bars, named: str = "--check-bar") -> None:
    """Check that measured check bars can be those of one of the cards; `named` is what a person calls them.

    Raises
    ------
    UsageError
        They are those of none: inches, centimetres, or along and across swapped.
    """
    printed = [(card.name, card.check_bars_mm) for card in cards if card.check_bars_mm is not None]
    if any(_could_be(measured, bars) for _, bars in printed):
        return
    got = " and ".join(f"{length:g}" for length in measured if length is not None)
    known = "; ".join(f"{name} {along:g} and {across:g} mm" for name, (along, across) in printed)
    msg = (
        f"{named} {got} mm belongs to none of the cards ({known or 'they have no check bars'}): "
        "measure along first, then across, in mm, on a copy printed at 100 %"
    )
    raise UsageError(msg)


def _could_be(measured: Bars, printed: tuple[float, float]) -> bool:
    pairs = zip(measured, printed, strict=True)
    return all(length is None or abs(length / bar - 1) <= _BAR_SHARE for length, bar in pairs)
