"""`gearwitness measure tire PHOTO --leg LEG.toml …`: one photo, one tire, several results."""

import argparse
import json

from app import console
from app.commands.files import load_photo, write_whole
from app.commands.photo_options import camera_option, check_copy_out, leg_options, photo_options
from app.commands.points import point, two_apart
from app.commands.tire_words import describe_tire
from app.errors import UsageError
from app.measuring.tire_request import Points, TireRequest
from vision.camera_file import load_camera
from vision.leg import load_leg
from vision.results import Reading, to_json

READING, REFUSED = 0, 3
TEXT = "the tire: its line against level, its slip on the rim, its diameter and how far it is squashed"


def configure(kinds: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `tire` to what `measure` measures."""
    tire = kinds.add_parser("tire", help=TEXT, description=f"Measure {TEXT}.", allow_abbrev=False)
    tire.set_defaults(run=run)
    photo_options(tire, "the results")
    leg_options(tire)
    add = tire.add_argument
    camera_option(tire)
    add(
        "--rim", type=point, nargs="+", metavar="X,Y",
        help="five or more points around the flange's outer edge, in px of the upright photo, "
        "where the wheel is not found by itself",
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
    check_copy_out(options, [options.leg, options.camera])
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
    leg = load_leg(options.leg, accept_units=options.accept_units)
    leg.require_tire()
    rim: Points | None = None if options.rim is None else tuple(options.rim)
    if rim is not None and len(rim) < 5:
        msg = f"--rim takes five points or more around the flange's outer edge, {len(rim)} came"
        raise UsageError(msg)
    return TireRequest(
        leg,
        camera=None if options.camera is None else load_camera(options.camera),
        rim_px=rim,
        ground_px=two_apart(options.ground, "--ground"),
        plumb_px=two_apart(options.plumb, "--plumb"),
        horizon_px=two_apart(options.horizon, "--horizon"),
    )
