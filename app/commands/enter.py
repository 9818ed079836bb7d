"""`gearwitness enter person|leg`: who works with an archive, and which legs there are.

Whoever can run this on the archive's machine can read its files too, so it asks
for no sign-in; the pages never enter people.
"""

import argparse
import getpass
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from app import console
from app.commands.server import chosen
from app.errors import UsageError
from app.inspection.model import Aircraft, Basis, Role
from vision.leg import load_leg

if TYPE_CHECKING:
    from app.bootstrap import House

HELP = "enter a person or a leg that `serve` then knows"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `enter` understands."""
    kinds = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    person = kinds.add_parser("person", help="a person, whose password is asked for", allow_abbrev=False)
    person.add_argument("name", metavar="NAME")
    person.add_argument(
        "--role", action="append", required=True, choices=[role.value for role in Role],
        help="what the person may do; twice for both",
    )  # fmt: skip
    person.set_defaults(run=_enter_person)
    leg = kinds.add_parser("leg", help="a leg by its data", allow_abbrev=False)
    leg.add_argument("leg", type=Path, metavar="LEG.toml")
    leg.add_argument("--type", metavar="TYPE", help="the aircraft's type, for its first leg")
    leg.add_argument("--operator", metavar="NAME", help="the aircraft's operator, for its first leg")
    leg.set_defaults(run=_enter_leg)
    for kind in (person, leg):
        kind.add_argument(
            "--home", type=Path, metavar="DIR", help="folder of the archive (default ~/gearwitness)"
        )


def _enter_person(options: argparse.Namespace) -> int:
    from app.bootstrap import build  # noqa: PLC0415 - brings the database with it

    house = build(chosen(None, options.home, demo=False))
    try:
        # The archive is opened first: nobody types a password for nothing.
        roles = frozenset(Role(role) for role in options.role)
        entered = house.people.enter(options.name, roles, _password(options.name))
    finally:
        house.archive.close()
    console.say(f"Entered {entered.name}: {', '.join(sorted(role.value for role in entered.roles))}")
    return 0


def _password(name: str) -> str:
    """Return what is typed twice, or the first line of standard input where nobody sits before it."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    typed = getpass.getpass(f"Password of {name}: ")
    if getpass.getpass("Once more: ") != typed:
        msg = "the two passwords differ: type the same one twice"
        raise UsageError(msg)
    return typed


def _enter_leg(options: argparse.Namespace) -> int:
    from app.bootstrap import build  # noqa: PLC0415 - brings the database with it

    leg = load_leg(options.leg)
    text = options.leg.read_text(encoding="utf-8-sig")
    house = build(chosen(None, options.home, demo=False))
    try:
        there = {one.registration: one for one in house.inspections.aircraft()}
        aircraft = there.get(leg.aircraft)
        if aircraft is None:
            leg.require_strut()  # before the aircraft is entered for a leg that cannot be
            aircraft = _first_leg(options, leg.aircraft, house)
        # A leg's photo readings support a hand measurement until its study is approved.
        house.inspections.enter_leg(aircraft.id, leg.position, text, Basis.SUPPORTING)
    finally:
        house.archive.close()
    console.say(
        f"Entered {leg.aircraft}, {leg.position}: supporting, a hand measurement stands beside each photo"
    )
    return 0


def _first_leg(options: argparse.Namespace, registration: str, house: "House") -> Aircraft:
    """Enter the aircraft of a first leg."""
    for told, flag in ((options.type, "--type"), (options.operator, "--operator")):
        if told is None:
            msg = f"{registration} is not in the archive yet: give its {flag[2:]} with {flag}"
            raise UsageError(msg)
    return house.inspections.enter_aircraft(registration, options.type, options.operator)
