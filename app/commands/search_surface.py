"""`gearwitness search surface PHOTO --region X,Y X,Y …`: places on a surface that a person should look at.

How the region is told was left open: two points are opposite corners of an upright rectangle, three and more
the corners of a polygon in their order round, all in px of the upright photo.
"""

import argparse
import json
from pathlib import Path

from app import console
from app.commands.files import load_photo, write_whole
from app.commands.photo_options import camera_option, card_options, check_copy_out, leg_options, photo_options
from app.commands.points import place_of
from app.commands.surface_words import describe_surface
from app.measuring.strut_request import chosen_cards
from app.measuring.surface_request import SurfaceRequest
from vision.camera_file import load_camera
from vision.leg import load_leg
from vision.surface import Searched, to_json

SEARCHED, REFUSED = 0, 3
TEXT = (
    "a painted or bare surface for rub marks; it only flags, and no flag does not mean no wear. "
    "Pits and flaking of chrome are looked for by hand and eye"
)


def configure(kinds: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `surface` to what `search` searches."""
    surface = kinds.add_parser("surface", help=TEXT, description=f"Search {TEXT}.", allow_abbrev=False)
    surface.set_defaults(run=run)
    photo_options(surface, "the places")
    leg_options(surface, required=False)
    add = surface.add_argument
    add(
        "--region", nargs="+", required=True, metavar="X,Y",
        help="the surface, in px of the upright photo: two opposite corners, or three corners and more in "
        "their order round",
    )  # fmt: skip
    add(
        "--second", type=Path, metavar="PHOTO",
        help="the same surface, the phone moved sideways by a tenth of its distance or more: what slides is "
        "set aside",
    )  # fmt: skip
    card_options(surface)
    camera_option(surface)


def run(options: argparse.Namespace) -> int:
    """Search, write the annotated copy, print what was found; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or a photo or data that cannot be read: nothing has been printed.
    """
    check_copy_out(options, [options.second, options.leg, *options.card, options.camera])
    request = SurfaceRequest(
        [place_of("--region", word) for word in options.region],
        chosen_cards(options.card),
        None if options.camera is None else load_camera(options.camera),
        None if options.leg is None else load_leg(options.leg, accept_units=options.accept_units),
    )
    photo = load_photo(options.photo)
    found = request.search(photo, None if options.second is None else load_photo(options.second))
    if options.annotated is not None:
        from vision.overlay import annotate_surface  # noqa: PLC0415 - drawing is loaded only where it is asked for

        write_whole(options.annotated, annotate_surface(photo, found))
    told = json.dumps(to_json(found), allow_nan=False) if options.json else describe_surface(found)
    console.say(told)
    return SEARCHED if isinstance(found, Searched) else REFUSED
