"""`gearwitness demo`: the program on an invented aircraft; --measure-only: its photos against their truth."""

import argparse
import json
import tempfile
import time
from itertools import count
from pathlib import Path

from app import console
from app.commands.demo_hoses import (
    HosePhoto,
    HoseRow,
    hose_object,
    hose_summary,
    hose_table,
    read_hoses,
)
from app.commands.demo_photos import LISTS, DemoPhoto, find_images, read_photos
from app.commands.demo_table import Row, summary, table, to_object
from app.commands.demo_tires import (
    TirePhoto,
    TireRow,
    read_tires,
    rows_of,
    tire_object,
    tire_outcome,
    tire_summary,
    tire_table,
)
from app.commands.files import load_photo, make_folder, write_whole
from app.commands.serve import add_server_options
from app.commands.server import chosen, run_server
from app.errors import UsageError

HELP = "try the program on an invented aircraft, or measure its photos and compare with what is true"
NOTICE = "The demo's pictures are rendered scenes of an invented aircraft with known truth, no photographs."
_DEFAULT_OUT = "gearwitness-demo"
# What belongs to one way only, by its name here and on the command line.
_OF_MEASURING, _OF_SERVING = {"out": "--out"}, {"port": "--port", "home": "--home"}


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `demo` understands."""
    parser.set_defaults(run=run)
    parser.add_argument(
        "--measure-only", action="store_true",
        help="measure all demo photos, write a table and annotated images, and end",
    )  # fmt: skip
    parser.add_argument(
        "--out", type=Path, metavar="DIR",
        help=f"folder to write to (default a new folder {_DEFAULT_OUT} in the current one)",
    )  # fmt: skip
    parser.add_argument(
        "--images", type=Path, metavar="DIR", help="folder of the demo's photos (default: found by itself)"
    )
    add_server_options(parser, "folder to keep the demo in (default: a new one that is removed at the end)")


def run(options: argparse.Namespace) -> int:
    """Serve the demo until it is stopped, or measure its photos; return the exit status.

    Raises
    ------
    GearwitnessError
        No photos, no folder to write to, data that cannot be read, or a port that is taken.
    """
    foreign = _OF_SERVING if options.measure_only else _OF_MEASURING
    for name, flag in foreign.items():
        if getattr(options, name) is not None:
            way = "with" if options.measure_only else "without"
            msg = f"{flag} says nothing {way} --measure-only: leave one of them out"
            raise UsageError(msg)
    images = find_images(options.images)
    return _measure(options, images) if options.measure_only else _serve(options, images)


def _serve(options: argparse.Namespace, images: Path) -> int:
    from app.bootstrap.demo import PASSWORD, PEOPLE  # noqa: PLC0415 - brings the database with it

    names = ", ".join(name for name, _ in PEOPLE)
    told = (
        f"Sign in as {names}; password: {PASSWORD}. Photos to try it with: {images}\n"
        "Three of them are measured first, which takes a few seconds.\n"
    )
    if options.home is not None:
        return run_server(chosen(options.port, options.home, demo=True), images, told)
    with tempfile.TemporaryDirectory(prefix="gearwitness-demo-") as home:
        return run_server(chosen(options.port, Path(home), demo=True), images, told)


def _measure(options: argparse.Namespace, images: Path) -> int:
    struts, tires, hoses = read_photos(images), read_tires(images), read_hoses(images)
    out = _out(options.out, images)
    rows: list[Row] = []
    of_tires: list[TireRow] = []
    of_hoses: list[HoseRow] = []
    photos: list[DemoPhoto | TirePhoto | HosePhoto] = [*struts, *tires, *hoses]
    for number, photo in enumerate(photos, 1):
        start = time.perf_counter()
        if isinstance(photo, TirePhoto):
            of_tires += _tire_measured(photo, out)
            told = tire_outcome([row for row in of_tires if row.photo is photo])
        elif isinstance(photo, HosePhoto):
            of_hoses.append(_hose_searched(photo, out))
            told = of_hoses[-1].outcome
        else:
            row = _measured(photo, out)
            rows.append(row)
            told = f"{row.value}, {row.outcome}" if row.result else row.outcome
        console.complain(
            f"[{number}/{len(photos)}] {photo.list_name}/{photo.name}: {told} "
            f"({time.perf_counter() - start:.1f} s)"
        )
    parts = [f"{table(rows)}\n\n{summary(rows)}"] if rows else []
    parts += [f"{tire_table(of_tires)}\n\n{tire_summary(of_tires)}"] if of_tires else []
    parts += [f"{hose_table(of_hoses)}\n\n{hose_summary(of_hoses)}"] if of_hoses else []
    text = "\n\n".join(parts) + f"\n{NOTICE}\n"
    write_whole(out / "results.md", f"# Demo photos measured\n\n{text}".encode())
    told_of = [*map(to_object, rows), *map(tire_object, of_tires), *map(hose_object, of_hoses)]
    write_whole(out / "results.json", f"{json.dumps(told_of, indent=1, allow_nan=False)}\n".encode())
    console.say(f"{text}Table and annotated images: {out}")
    return 0


def _measured(photo: DemoPhoto, out: Path) -> Row:
    from vision.overlay import annotate  # noqa: PLC0415 - drawing is loaded only where it is asked for

    picture = load_photo(photo.path)
    result = photo.request.measure(picture)
    _keep(photo, annotate(picture, result), out)
    return Row(photo, result)


def _tire_measured(photo: TirePhoto, out: Path) -> list[TireRow]:
    from vision.overlay import annotate_tire  # noqa: PLC0415 - drawing is loaded only where it is asked for

    picture = load_photo(photo.path)
    found = photo.request.measure(picture)
    _keep(photo, annotate_tire(picture, found.results, found.level_from), out)
    return rows_of(photo, found)


def _hose_searched(photo: HosePhoto, out: Path) -> HoseRow:
    from vision.overlay import annotate_hoses  # noqa: PLC0415 - drawing is loaded only where it is asked for

    picture = load_photo(photo.path)
    found = photo.request.search(picture)
    _keep(photo, annotate_hoses(picture, found), out)
    return HoseRow(photo, found)


def _keep(photo: DemoPhoto | TirePhoto | HosePhoto, annotated: bytes, out: Path) -> None:
    make_folder(out / photo.list_name)
    write_whole(out / photo.list_name / f"{photo.name}.annotated.jpg", annotated)


def _out(given: Path | None, images: Path) -> Path:
    """Return the folder to write to, made if need be and never among the demo's own photos."""
    if given is None:
        names = (_DEFAULT_OUT if n == 1 else f"{_DEFAULT_OUT}-{n}" for n in count(1))
        given = next(Path(name) for name in names if not Path(name).exists())
    originals = images.resolve()
    if originals in (given.resolve(), *given.resolve().parents):
        msg = f"{given} lies among the demo's own photos ({', '.join(LISTS)}): write elsewhere"
        raise UsageError(msg)
    make_folder(given)
    return given
