"""`gearwitness calibrate PHOTO… --out CAMERA.json`: a camera from photos of the plate card."""

import argparse
import dataclasses
import json
from collections.abc import Sequence
from pathlib import Path

from app import console
from app.commands.files import check_new_json, load_photo, write_whole
from app.commands.numbers import BAR_MM, DOUBT_MM
from app.commands.points import point, two_apart
from app.errors import UsageError
from app.measuring.strut_request import check_bars, chosen_cards
from app.measuring.tire_request import Points
from vision.calibration import BAR_U_MM, FEWEST_VIEWS, calibrate, camera_json, gravity_offset
from vision.camera_file import CameraFile
from vision.results import Refusal, to_json
from vision.uncertainty import coverage_factor

HELP = "calibrate a camera on photos of the plate card"
CALIBRATED, REFUSED = 0, 3


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `calibrate` understands."""
    parser.set_defaults(run=run)
    add = parser.add_argument
    add(
        "photos", type=Path, nargs="+", metavar="PHOTO",
        help=f"{FEWEST_VIEWS} or more original photos of one card, at the distance of a strut, one zoom, the "
        "camera always held the same way, the card tilted 20 to 30 degrees to another side in each",
    )  # fmt: skip
    add("--out", type=Path, required=True, metavar="CAMERA.json", help="the file to write; a new one")
    add(
        "--card", type=Path, action="append", default=[], metavar="CARD.json",
        help="a scale card's definition; may be given several times; replaces the supplied cards",
    )  # fmt: skip
    add(
        "--check-bar", type=BAR_MM, nargs=2, metavar=("ALONG", "ACROSS"),
        help="measured lengths in mm of the card copy's check bars",
    )  # fmt: skip
    add("--check-bar-u", type=DOUBT_MM, metavar="MM", help="its standard uncertainty (default 0.15 mm)")
    add(
        "--plumb-photo", type=Path, metavar="PHOTO",
        help="an original photo of a still plumb line by the same phone: how far its own down is turned",
    )  # fmt: skip
    add("--plumb", type=point, nargs=2, metavar="X,Y", help="two points on its line, far apart")
    add("--json", action="store_true", help="print the calibration, or the refusal, as JSON")


def run(options: argparse.Namespace) -> int:
    """Calibrate, write the file, say what was found; return the exit status.

    Raises
    ------
    GearwitnessError
        Wrong use, or photos or data that cannot be read: nothing has been written or printed.
    """
    check_new_json(options.out)
    _check_photos(options.photos)
    if options.check_bar_u is not None and options.check_bar is None:
        msg = "--check-bar-u is the doubt of --check-bar, which is missing: give both, or neither"
        raise UsageError(msg)
    plumb = two_apart(options.plumb, "--plumb")
    if (options.plumb_photo is None) != (plumb is None):
        msg = (
            "--plumb-photo and --plumb belong together: give the photo and two points on its line, or neither"
        )
        raise UsageError(msg)
    cards = chosen_cards(options.card)
    bars = None if options.check_bar is None else (options.check_bar[0], options.check_bar[1])
    if bars is not None:
        check_bars(cards, bars)
    result = calibrate(
        map(load_photo, options.photos),
        cards,
        check_bar_mm=bars,
        check_bar_u_mm=options.check_bar_u or BAR_U_MM,
    )
    if plumb is not None and isinstance(result, CameraFile):
        result = _with_offset(result, options.plumb_photo, plumb)
    if isinstance(result, Refusal):
        console.say(json.dumps(to_json(result)) if options.json else _refused(result))
        return REFUSED
    text = json.dumps(camera_json(result), indent=1, allow_nan=False) + "\n"
    write_whole(options.out, text.encode())
    console.say(text.rstrip() if options.json else _found(result, options.out))
    return CALIBRATED


def _with_offset(camera: CameraFile, path: Path, plumb: Points) -> CameraFile | Refusal:
    photo = load_photo(path)
    facts = photo.facts
    fitted = camera.check_fits(facts.make, facts.model, facts.width_px, facts.height_px)
    if (facts.width_px, facts.height_px) != (camera.width_px, camera.height_px):
        msg = (
            f"{path} was taken with the phone held another way than the calibration's photos: hold it "
            "alike for both, as wheels will be photographed"
        )
        raise UsageError(msg)
    offset = gravity_offset(photo, fitted, plumb)
    if isinstance(offset, Refusal):
        return offset
    return dataclasses.replace(camera, gravity_offset_deg=round(offset, 2))


def _check_photos(paths: Sequence[Path]) -> None:
    """The same photo given twice would pass for two."""
    seen: dict[Path, Path] = {}
    for path in paths:
        other = seen.setdefault(path.resolve(), path)
        if other is not path:
            msg = f"{path} is given twice (as {other}): give each photo once"
            raise UsageError(msg)


def _refused(refusal: Refusal) -> str:
    return f"Calibration: refused, nothing was written.\n{refusal.reason}\n{refusal.advice}"


def _found(camera: CameraFile, out: Path) -> str:
    name = " ".join(filter(None, (camera.make, camera.model))) or "a camera that does not name itself"
    k = coverage_factor()
    return "\n".join(
        [
            f"Calibration of {name}, {camera.width_px} × {camera.height_px} px, {camera.date}",
            f"focal length {camera.f_px:.0f} ± {k * camera.f_u_px:.0f} px, with 95 % probability",
            f"principal point {camera.cx_px:.0f}, {camera.cy_px:.0f} px",
            f"distortion k1 {camera.k1:.4f} ± {k * camera.k1_u:.4f}",
            f"left on average {camera.rms_px:.2f} px",
            *_down(camera),
            f"Written to {out}: give it to `measure` with --camera, for this camera at this zoom only.",
        ]
    )


def _down(camera: CameraFile) -> list[str]:
    if camera.gravity_offset_deg is None:
        return []
    return [f"the phone's own down is turned by {camera.gravity_offset_deg:+.2f}° (added, counter-clockwise)"]
