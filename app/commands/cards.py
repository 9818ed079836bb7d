"""`gearwitness cards --out DIR`: the scale cards and leg tags, ready to print."""

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

from app import console
from app.commands.files import make_folder, write_whole
from app.commands.numbers import copy_number
from app.errors import UsageError
from vision.card import supplied_cards, to_json
from vision.card.leg_tags import leg_tag_pdf
from vision.card.sheet import card_pdf

HELP = "write the scale cards and leg tags as PDF, to be printed at true size"
CAUTION = (
    "Print at 100 % (actual size), then measure both check bars of each card with a steel rule\n"
    "and pass the lengths with --check-bar ALONG ACROSS."
)
# One page of tags; a person writes on each which leg it hangs on, and its number into LEG.toml.
_TAGS = [(number, "aircraft, leg:                         ") for number in range(400, 412)]


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `cards` understands."""
    parser.set_defaults(run=run)
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write to")
    parser.add_argument(
        "--copy", type=copy_number, default=101, metavar="N",
        help="number of this copy of each card, 100 to 399 (default 101); every print has its own",
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Write the files and print their names; return the exit status.

    Raises
    ------
    UsageError
        The folder cannot be used, or a definition there was changed.
    """
    made = dict(_files(options.copy))
    make_folder(options.out)
    for name, data in made.items():
        _keep_own_definition(options.out / name, data)
    for name, data in made.items():
        write_whole(options.out / name, data)
    names = "\n".join(f"  {options.out / name}" for name in made)
    console.say(f"Written, copy {options.copy}:\n{names}\n{CAUTION}")
    return 0


def _files(copy: int) -> Iterator[tuple[str, bytes]]:
    for card in supplied_cards():
        yield f"{card.name}-{copy}.pdf", card_pdf(card, [copy])
        yield f"{card.name}.json", (json.dumps(to_json(card), indent=1) + "\n").encode()
    yield "leg-tags.pdf", leg_tag_pdf(_TAGS)


def _keep_own_definition(path: Path, data: bytes) -> None:
    """A shop makes its own card by editing the JSON: that work is not written over."""
    if path.suffix == ".json" and path.exists() and path.read_bytes() != data:
        msg = f"{path} differs from the supplied card: rename it, or write to another folder"
        raise UsageError(msg)
