"""`gearwitness measure strut PHOTO --leg LEG.toml …`: one photo, one result; tires `measure_tire`."""

import argparse
import json

from app import console
from app.commands import measure_tire
from app.commands.files import load_photo, write_whole
from app.commands.numbers import BAR_MM, DOUBT_MM, PRESSURE_DOUBT_KPA, PRESSURE_KPA, STAND_OFF_MM
from app.commands.photo_options import camera_option, card_options, check_copy_out, leg_options, photo_options
from app.commands.words import describe
from app.errors import UsageError
from app.measuring.strut_request import (
    DEFAULT_STAND_OFF_U_MM,
    Bars,
    StrutRequest,
    check_bars,
    chosen_cards,
)
from vision.camera_file import load_camera
from vision.leg import load_leg
from vision.results import Reading, to_json
from vision.strut import StandOff

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
    add(
        "--check-bar", type=BAR_MM, nargs="+", metavar=("ALONG", "ACROSS"),
        help="measured lengths in mm of the card copy's check bars; ACROSS may be left out",
    )  # fmt: skip
    add("--check-bar-u", type=DOUBT_MM, metavar="MM", help="its standard uncertainty (default 0.15 mm)")
    add(
        "--pressure-kpa",
        type=PRESSURE_KPA,
        metavar="P",
        help="the strut's pressure, for a plate with a chart",
    )
    add("--pressure-u", type=PRESSURE_DOUBT_KPA, metavar="U", help="its standard uncertainty in kPa")
    add(
        "--stand-off", type=STAND_OFF_MM, metavar="MM",
        help="card's printed face behind (+) or in front (-) of the piston's front line, where known",
    )  # fmt: skip
    add(
        "--stand-off-u", type=DOUBT_MM, metavar="MM",
        help=f"its standard uncertainty (default {DEFAULT_STAND_OFF_U_MM} mm)",
    )  # fmt: skip
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
    for doubt, value in (
        ("check_bar_u", "check_bar"), ("pressure_u", "pressure_kpa"), ("stand_off_u", "stand_off")
    ):  # fmt: skip
        if getattr(options, doubt) is not None and getattr(options, value) is None:
            names = [f"--{name.replace('_', '-')}" for name in (doubt, value)]
            msg = f"{names[0]} is the doubt of {names[1]}, which is missing: give both, or neither"
            raise UsageError(msg)
    leg = load_leg(options.leg, accept_units=options.accept_units)
    leg.require_strut()
    cards = chosen_cards(options.card)
    bars = _bars(options.check_bar)
    if bars is not None:
        check_bars(cards, bars)
    return StrutRequest(
        leg,
        cards,
        check_bar_mm=bars,
        check_bar_u_mm=options.check_bar_u,
        stand_off=_stand_off(options.stand_off, options.stand_off_u),
        pressure_kpa=options.pressure_kpa,
        pressure_u_kpa=options.pressure_u,
        camera=None if options.camera is None else load_camera(options.camera),
    )


def _bars(given: list[float] | None) -> Bars | None:
    if given is None:
        return None
    if len(given) > 2:
        msg = f"--check-bar takes one or two lengths, {len(given)} came: write ALONG, then ACROSS"
        raise UsageError(msg)
    return given[0], given[1] if len(given) == 2 else None


def _stand_off(value: float | None, u: float | None) -> StandOff | None:
    return None if value is None else StandOff(value, DEFAULT_STAND_OFF_U_MM if u is None else u)
