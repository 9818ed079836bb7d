"""`gearwitness measure tire PHOTO --leg LEG.toml …`: one photo, one tire, several results."""

import argparse
import json

from app import console
from app.commands.card_told import bar_options, bars_of, require_values, stand_off_of, stand_off_options
from app.commands.files import load_photo, write_whole
from app.commands.photo_options import camera_option, card_options, check_copy_out, leg_options, photo_options
from app.commands.points import point, two_apart
from app.commands.tire_words import describe_tire
from app.errors import UsageError
from app.measuring.strut_request import check_bars, chosen_cards
from app.measuring.tire_request import Points, TireRequest
from vision.camera_file import load_camera
from vision.leg import load_leg
from vision.results import Reading, to_json
from vision.wheel.held_card import FEWEST_TAPS, STAND_OFF_U_MM

READING, REFUSED = 0, 3
TEXT = "the tire: its line against level, its slip on the rim, its diameter and how far it is squashed"


def configure(kinds: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `tire` to what `measure` measures."""
    tire = kinds.add_parser("tire", help=TEXT, description=f"Measure {TEXT}.", allow_abbrev=False)
    tire.set_defaults(run=run)
    photo_options(tire, "the results")
    leg_options(tire)
    card_options(tire)
    bar_options(tire)
    stand_off_options(tire, "the plane of the flange's edge", STAND_OFF_U_MM)
    add = tire.add_argument
    camera_option(tire)
    add(
        "--rim", type=point, nargs="+", metavar="X,Y",
        help="five or more points around the flange's outer edge, in px of the upright photo, "
        "where the wheel is not found by itself; beside a card three are enough",
    )  # fmt: skip
    add(
        "--ground", type=point, nargs=2, metavar="X,Y",
        help="two points on the line where the tire meets the ground, near its middle",
    )  # fmt: skip
    add(
        "--plumb", type=point, nargs=2, metavar="X,Y",
        help="two points on a plumb line beside the wheel, or on a building's upright edge",
    )  # fmt: skip
    add("--horizon", type=point, nargs=2, metavar="X,Y", help="two points far apart on the horizon")


def run(options: argparse.Namespace) -> int:
    """Measure, write the annotated copy, print the results; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or a photo or data that cannot be read: nothing has been printed.
    """
    check_copy_out(options, [options.leg, *options.card, options.camera])
    request = _request(options)
    photo = load_photo(options.photo)
    found = request.measure(photo)
    if options.annotated is not None:
        from vision.overlay import annotate_tire  # noqa: PLC0415 - drawing is loaded only where it is asked for

        write_whole(options.annotated, annotate_tire(photo, found.results, found.level_from))
    if options.json:
        told = {"results": [to_json(result) for result in found.results], "level_from": found.level_from}
        console.say(json.dumps(told, allow_nan=False))
    else:
        console.say(describe_tire(found, request.leg))
    return READING if all(isinstance(result, Reading) for result in found.results) else REFUSED


def _request(options: argparse.Namespace) -> TireRequest:
    require_values(options)
    leg = load_leg(options.leg, accept_units=options.accept_units)
    leg.require_tire()
    rim: Points | None = None if options.rim is None else tuple(options.rim)
    bars = bars_of(options.check_bar)
    # A card is looked for where anything is told of one; without `--card` it is one of those supplied.
    told = bool(options.card) or bars is not None or options.stand_off is not None
    cards = chosen_cards(options.card) if told else ()
    if bars is not None:
        check_bars(cards, bars)
    least, word = (FEWEST_TAPS, "three points beside a card") if told else (5, "five points")
    if rim is not None and len(rim) < least:
        msg = f"--rim takes {word} or more around the flange's outer edge, {len(rim)} came"
        raise UsageError(msg)
    return TireRequest(
        leg,
        camera=None if options.camera is None else load_camera(options.camera),
        rim_px=rim,
        ground_px=two_apart(options.ground, "--ground"),
        plumb_px=two_apart(options.plumb, "--plumb"),
        horizon_px=two_apart(options.horizon, "--horizon"),
        cards=cards,
        check_bar_mm=bars,
        check_bar_u_mm=options.check_bar_u,
        stand_off=stand_off_of(options.stand_off, options.stand_off_u, STAND_OFF_U_MM),
    )
