"""`gearwitness measure strut PHOTO --leg LEG.toml …`: one photo, one result; tires `measure_tire`."""

import argparse
import json

from app import console
from app.commands import measure_tire
from app.commands.card_told import (
    OF_CARD,
    bar_options,
    bars_of,
    require_values,
    stand_off_of,
    stand_off_options,
)
from app.commands.files import load_photo, write_whole
from app.commands.numbers import PRESSURE_DOUBT_KPA, PRESSURE_KPA
from app.commands.photo_options import camera_option, card_options, check_copy_out, leg_options, photo_options
from app.commands.words import describe
from app.measuring.strut_request import (
    DEFAULT_STAND_OFF_U_MM,
    StrutRequest,
    check_bars,
    chosen_cards,
)
from vision.camera_file import load_camera
from vision.leg import load_leg
from vision.results import Reading, to_json

HELP = "measure on a photo"
READING, REFUSED = 0, 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `measure` understands."""
    kinds = parser.add_subparsers(dest="kind", metavar="WHAT", required=True)
    text = "the strut's extension: from the red band on the piston to the collar"
    strut = kinds.add_parser("strut", help=text, description=f"Measure {text}.", allow_abbrev=False)
    strut.set_defaults(run=run)
    photo_options(strut, "the result")
    leg_options(strut)
    card_options(strut)
    add = strut.add_argument
    bar_options(strut)
    add(
        "--pressure-kpa",
        type=PRESSURE_KPA,
        metavar="P",
        help="the strut's pressure, for a plate with a chart",
    )
    add("--pressure-u", type=PRESSURE_DOUBT_KPA, metavar="U", help="its standard uncertainty in kPa")
    stand_off_options(strut, "the piston's front line", DEFAULT_STAND_OFF_U_MM)
    camera_option(strut)
    measure_tire.configure(kinds)


def run(options: argparse.Namespace) -> int:
    """Measure, write the annotated copy, print the result; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or a photo or data that cannot be read: nothing has been printed.
    """
    check_copy_out(options, [options.leg, *options.card, options.camera])
    request = _request(options)
    photo = load_photo(options.photo)
    result = request.measure(photo)
    if options.annotated is not None:
        from vision.overlay import annotate  # noqa: PLC0415 - drawing is loaded only where it is asked for

        write_whole(options.annotated, annotate(photo, result))
    if options.json:
        console.say(json.dumps(to_json(result), allow_nan=False))
    else:
        console.say(describe(result, request.leg))
    return READING if isinstance(result, Reading) else REFUSED


def _request(options: argparse.Namespace) -> StrutRequest:
    require_values(options, (*OF_CARD, ("pressure_u", "pressure_kpa")))
    leg = load_leg(options.leg, accept_units=options.accept_units)
    leg.require_strut()
    cards = chosen_cards(options.card)
    bars = bars_of(options.check_bar)
    if bars is not None:
        check_bars(cards, bars)
    return StrutRequest(
        leg,
        cards,
        check_bar_mm=bars,
        check_bar_u_mm=options.check_bar_u,
        stand_off=stand_off_of(options.stand_off, options.stand_off_u, DEFAULT_STAND_OFF_U_MM),
        pressure_kpa=options.pressure_kpa,
        pressure_u_kpa=options.pressure_u,
        camera=None if options.camera is None else load_camera(options.camera),
    )
