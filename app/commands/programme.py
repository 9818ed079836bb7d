"""`gearwitness programme show|check`: an inspection programme listed in walk-round order, or checked."""

import argparse
from itertools import groupby
from pathlib import Path

from app import console
from app.programme import Item, Method, Programme, load_programme, supplied_programme

HELP = "show an inspection programme, or check one that you wrote"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `programme` understands."""
    kinds = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    show = kinds.add_parser("show", help="list its items in walk-round order", allow_abbrev=False)
    show.add_argument(
        "file", type=Path, nargs="?", metavar="FILE", help="a programme (default: the supplied one)"
    )
    show.set_defaults(run=_show)
    check = kinds.add_parser("check", help="tell every fault with its line", allow_abbrev=False)
    check.add_argument("file", type=Path, metavar="FILE")
    check.set_defaults(run=_check)


def _show(options: argparse.Namespace) -> int:
    console.say(listing(supplied_programme() if options.file is None else load_programme(options.file)))
    return 0


def _check(options: argparse.Namespace) -> int:
    programme = load_programme(options.file)
    console.say(f"{options.file}: {len(programme.items)} items, no fault; version {programme.version[:12]}")
    return 0


def listing(programme: Programme) -> str:
    """Return a programme as lines of text: conditions, groups, items, and what is left out."""
    lines = [f"{programme.name} ({programme.revision}), version {programme.version[:12]}", programme.document]
    titles = {group.key: group.title for group in programme.groups}
    for condition, items in groupby(programme.items, lambda item: item.condition):
        lines += ["", condition.value.replace("_", " ").upper()]
        for group, members in groupby(items, lambda item: item.group):
            lines.append(f"  {titles[group]}")
            lines += [f"    {item.title} ({_how(item)})" for item in members]
    lines += ["", "NOT IN THIS PROGRAMME", *(f"  {one.title}: {one.reason}" for one in programme.excluded)]
    return "\n".join(lines)


def _how(item: Item) -> str:
    how = item.method.value.replace("_", " ")
    beside = item.method is Method.HAND_AND_EYE and item.searches
    return f"{how}, photos may be searched beside it" if beside else how
