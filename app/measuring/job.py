"""One photo measured from bytes: what the worker process does."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from app.inspection.model import Measured
from app.inspection.rounds.hose_pair_rules import FIRST
from app.inspection.rounds.search_kinds import HOSES, SURFACES
from app.inspection.rounds.tire_camera import CAMERA
from app.inspection.rounds.tire_rules import TIRE, Shown
from app.measuring.hose_pair import COMPARING, held_against, taps_of
from app.measuring.hose_request import HoseRequest
from app.measuring.software import signed
from app.measuring.strut_request import StrutRequest, check_bars, told_by
from app.measuring.surface_request import SurfaceRequest
from app.measuring.tire_request import TireRequest
from vision.camera_file import read_camera
from vision.card import supplied_cards
from vision.errors import LegError
from vision.hose import to_json as hose_json
from vision.leg import read_leg
from vision.overlay import annotate, annotate_hoses, annotate_surface, annotate_tire
from vision.photo import read_photo
from vision.results import to_json
from vision.surface import to_json as surface_json

READING, MEASURING, DRAWING = "reading the photo", "measuring the strut", "drawing the result"
"""The stages in their order, as a person is told them."""

MEASURING_TIRE = "measuring the tire"
"""The second stage of a tire's photo."""

SEARCHING_HOSES = "searching the hoses"
"""The second stage of a photo of hoses."""

SEARCHING_SURFACE = "searching the surface"
"""The second stage of a photo of a surface."""

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Asked:
    """What is to be measured: the photo's bytes, the leg's data as entered, what was told beside it.

    `draw` tells whether the result is wanted drawn on a copy too.
    """

    photo: bytes
    leg_toml: str
    options: Mapping[str, Any]
    draw: bool = True


def work(asked: Asked, tell: Tell) -> Measured:
    """Measure one photo and draw the result on a copy; `tell` gets each stage as it begins.

    Raises
    ------
    GearwitnessError
        The photo, the leg's data or what was told beside it cannot be used.
    """
    tell(READING)
    if asked.options.get("what") == TIRE:
        return _tire(asked, tell)
    if asked.options.get("what") == HOSES.what:
        return _hoses(asked, tell)
    if asked.options.get("what") == SURFACES.what:
        return _surface(asked, tell)
    request = _request(asked)
    photo = read_photo(asked.photo)
    tell(MEASURING)
    result = request.measure(photo)
    if not asked.draw:
        return Measured(signed(to_json(result)))
    tell(DRAWING)
    return Measured(signed(to_json(result)), annotate(photo, result))


def _tire(asked: Asked, tell: Tell) -> Measured:
    """Measure a tire: the result that the item asks for, with all others beside it."""
    leg = read_leg(asked.leg_toml, "the leg's data")
    leg.require_tire()
    photo = read_photo(asked.photo)
    tell(MEASURING_TIRE)
    told = asked.options.get(CAMERA)
    camera = None if told is None else read_camera(told)
    found = TireRequest(leg, camera, **_shown(asked.options)).measure(photo)
    wanted = [one for one in found.results if one.name == asked.options.get("asked")]
    if not wanted:
        name = asked.options.get("asked")
        msg = f"the leg's data do not ask for {name}: have them entered, or measure by gauge"
        raise LegError(msg)
    told = signed(to_json(wanted[0])) | {
        "results": [to_json(one) for one in found.results],
        "level_from": found.level_from,
    }
    if not asked.draw:
        return Measured(told)
    tell(DRAWING)
    return Measured(told, annotate_tire(photo, found.results, found.level_from))


def _hoses(asked: Asked, tell: Tell) -> Measured:
    """Search the hoses that a person showed on the photo."""
    leg = read_leg(asked.leg_toml, "the leg's data")
    taps = taps_of(asked.options)
    if not taps:
        msg = "no hose is shown on this photo, so nothing of it would count as searched: show which it is"
        raise LegError(msg)
    photo = read_photo(asked.photo)
    if FIRST in asked.options:
        tell(COMPARING)
        return Measured(signed(held_against(photo, leg, asked.options)))
    tell(SEARCHING_HOSES)
    found = HoseRequest(leg, taps).search(photo)
    told = signed({"name": HOSES.result} | hose_json(found))
    if not asked.draw:
        return Measured(told)
    tell(DRAWING)
    return Measured(told, annotate_hoses(photo, found))


def _surface(asked: Asked, tell: Tell) -> Measured:
    """Search the region of a surface that a person showed on the photo."""
    leg = read_leg(asked.leg_toml, "the leg's data")
    region = [(float(x), float(y)) for x, y in asked.options.get(SURFACES.shown, ())]
    if not region:
        msg = "no region is shown on this photo, so nothing of it would count as searched: show its corners"
        raise LegError(msg)
    photo = read_photo(asked.photo)
    tell(SEARCHING_SURFACE)
    found = SurfaceRequest(region, leg=leg).search(photo)
    told = signed({"name": SURFACES.result} | surface_json(found))
    if not asked.draw:
        return Measured(told)
    tell(DRAWING)
    return Measured(told, annotate_surface(photo, found))


def _shown(options: Mapping[str, Any]) -> dict[str, Any]:
    """What a person showed on a tire's photo, as `TireRequest` takes it."""
    return {
        one.value: tuple((float(x), float(y)) for x, y in options[one]) for one in Shown if one in options
    }


def _request(asked: Asked) -> StrutRequest:
    leg = read_leg(asked.leg_toml, "the leg's data")
    leg.require_strut()
    cards = supplied_cards()
    try:
        told = told_by(asked.options)
    except (ValueError, TypeError) as error:
        msg = f"what was told beside the photo cannot be used ({error}): enter it again in a new try"
        raise LegError(msg) from error
    request = StrutRequest(leg, cards, **told)
    if request.check_bar_mm is not None:
        check_bars(cards, request.check_bar_mm, "a check bar of")
    return request
