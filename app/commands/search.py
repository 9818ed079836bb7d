"""`gearwitness search hose PHOTO …`: places that a person should look at; surfaces in `search_surface`."""

import argparse
import json
from pathlib import Path

from app import console
from app.commands import search_surface
from app.commands.files import load_photo, write_whole
from app.commands.hose_words import describe_hoses
from app.commands.photo_options import camera_option, card_options, check_copy_out, leg_options, photo_options
from app.commands.points import place, place_of
from app.measuring.hose_request import HoseRequest
from app.measuring.strut_request import chosen_cards
from vision.camera_file import load_camera
from vision.hose import Searched, Tap, to_json
from vision.leg import load_leg

HELP = "search a photo for places that a person should look at"
SEARCHED, REFUSED = 0, 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `search` understands."""
    kinds = parser.add_subparsers(dest="kind", metavar="WHAT", required=True)
    text = "hoses for worn, shiny or frayed places; a photo shows one side, and no flag does not mean no wear"
    hose = kinds.add_parser("hose", help=text, description=f"Search {text}.", allow_abbrev=False)
    hose.set_defaults(run=run)
    photo_options(hose, "the places")
    leg_options(hose, required=False)
    add = hose.add_argument
    add(
        "--second", type=Path, metavar="PHOTO",
        help="the same hose, the phone moved by 100 mm or more along it: what slides is set aside",
    )  # fmt: skip
    add(
        "--tap", nargs="+", action="append", default=[], metavar="[NAME] X,Y",
        help="three to nine places along one hose in their order, in px of the upright photo, before them "
        "its name in LEG.toml where it has one; once for each hose. What nobody shows does not count as "
        "searched",
    )  # fmt: skip
    add(
        "--light-alone", action="store_true",
        help="search by the rules of light alone, without the network that was trained on rendered hoses",
    )  # fmt: skip
    card_options(hose)
    camera_option(hose)
    search_surface.configure(kinds)


def run(options: argparse.Namespace) -> int:
    """Search, write the annotated copy, print what was found; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or a photo or data that cannot be read: nothing has been printed.
    """
    check_copy_out(options, [options.second, options.leg, *options.card, options.camera])
    leg = None if options.leg is None else load_leg(options.leg, accept_units=options.accept_units)
    request = HoseRequest(
        leg,
        tuple(_tap(words) for words in options.tap),
        chosen_cards(options.card),
        None if options.camera is None else load_camera(options.camera),
        not options.light_alone,
    )
    photo = load_photo(options.photo)
    found = request.search(photo, None if options.second is None else load_photo(options.second))
    if options.annotated is not None:
        from vision.overlay import annotate_hoses  # noqa: PLC0415 - drawing is loaded only where it is asked for

        write_whole(options.annotated, annotate_hoses(photo, found))
    told = json.dumps(to_json(found), allow_nan=False) if options.json else describe_hoses(found)
    console.say(told)
    return SEARCHED if isinstance(found, Searched) else REFUSED


def _tap(words: list[str]) -> Tap:
    name = "" if place(words[0]) is not None else words[0]
    return Tap(tuple(place_of("--tap", word) for word in (words[1:] if name else words)), name)
