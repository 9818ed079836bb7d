"""What every command on one photo is told alike: the photo, its leg's data, and how the answer comes out."""

import argparse
from collections.abc import Iterable
from pathlib import Path

from app.commands.files import check_picture_out


def photo_options(parser: argparse.ArgumentParser, drawn: str) -> None:
    """Add the photo, `--json` and `--annotated`; `drawn` tells what is drawn on the copy."""
    add = parser.add_argument
    add("photo", type=Path, metavar="PHOTO", help="the original JPEG, HEIC or PNG file")
    add("--json", action="store_true", help="print what was found as JSON")
    add(
        "--annotated", type=Path, metavar="OUT.jpg",
        help=f"write a copy of the photo with {drawn} drawn on it",
    )  # fmt: skip


def leg_options(parser: argparse.ArgumentParser, *, required: bool = True) -> None:
    """Add `--leg` and `--accept-units`."""
    add = parser.add_argument
    add("--leg", type=Path, required=required, metavar="LEG.toml", help="the leg's data")
    add("--accept-units", action="store_true", help="take values of LEG.toml that look like another unit")


def card_options(parser: argparse.ArgumentParser) -> None:
    """Add `--card`."""
    parser.add_argument(
        "--card", type=Path, action="append", default=[], metavar="CARD.json",
        help="a scale card's definition; may be given several times; replaces the supplied cards",
    )  # fmt: skip


def camera_option(parser: argparse.ArgumentParser) -> None:
    """Add `--camera`."""
    parser.add_argument("--camera", type=Path, metavar="CAMERA.json", help="the camera's calibration")


def check_copy_out(options: argparse.Namespace, inputs: Iterable[Path | None]) -> None:
    """Check, before anything is measured, that the annotated copy can be written where it was asked for.

    Parameters
    ----------
    inputs : iterable of Path or None
        Files that are read beside the photo; the copy must be none of them.

    Raises
    ------
    UsageError
        As of `check_picture_out`.
    """
    if options.annotated is not None:
        check_picture_out(options.annotated, [options.photo, *(path for path in inputs if path is not None)])
