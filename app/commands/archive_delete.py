"""`gearwitness archive delete-photos`: photos of closed inspections go, by an act that is recorded."""

import argparse
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from app import console
from app.commands.archive_parts import add_home, asked_password, date, one_inspection
from app.commands.server import chosen
from app.errors import NotAllowed, UsageError
from app.inspection.model import Person

if TYPE_CHECKING:
    from app.bootstrap import House

HELP = "delete photos of closed inspections by a recorded act; entries, hashes and chains stay"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `archive delete-photos` understands."""
    parser.set_defaults(run=run)
    add_home(parser)
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("--inspection", action="append", metavar="ID", help="may be given often")
    which.add_argument(
        "--opened-before", type=date, metavar="DATE", help="all inspections opened before this day, UTC"
    )
    parser.add_argument("--who", metavar="NAME", help="who deletes; the person's password is asked for")
    parser.add_argument("--why", metavar="TEXT", help="the reason")
    parser.add_argument("--rule", metavar="TEXT", help="the rule that allows it, by its number")
    parser.add_argument("--dry-run", action="store_true", help="only say what would be deleted")


def run(options: argparse.Namespace) -> int:
    """Delete, or say what would be; return 0.

    Raises
    ------
    UsageError
        It is not said who, why and by which rule.
    NotAllowed
        An inspection is open, or the password is wrong.
    """
    from app.archive.exchange.deleting import delete, plan  # noqa: PLC0415 - brings the database with it
    from app.bootstrap import build, require_archive  # noqa: PLC0415

    told = [(options.who or "").strip(), (options.why or "").strip(), (options.rule or "").strip()]
    if not options.dry_run and not all(told):
        msg = "the act has to be recorded: give --who, --why and --rule, or only look with --dry-run"
        raise UsageError(msg)
    settings = chosen(None, options.home, demo=False)
    require_archive(settings)
    house = build(settings)
    try:
        archive = house.archive
        planned = plan(archive.records, archive.photos, _wanted(options, house))
        for sha, why in planned.kept.items():
            console.say(f"stays: {sha} ({why})")
        for sha in (*planned.left, *planned.photos):
            console.say(f"{'would go' if options.dry_run else 'goes'}: {sha}")
        if options.dry_run or not (planned.photos or planned.left):
            console.say("Nothing was deleted.")
            return 0
        who = _who(house, told[0])
        removed = delete(archive.records, archive.photos, planned, who, told[1], told[2])
    finally:
        house.archive.close()
    console.say(f"{len(removed)} files were deleted by a recorded act; their hashes stay in the archive.")
    return 0


def _wanted(options: argparse.Namespace, house: "House") -> list[str]:
    from app.archive.exchange import SqlExchange  # noqa: PLC0415

    if options.inspection:
        listed = SqlExchange(house.archive.records).listed()
        return [one_inspection(begins, listed) for begins in dict.fromkeys(options.inspection)]
    before = datetime.combine(options.opened_before, datetime.min.time(), UTC)
    return [
        one.id
        for one in house.inspections.inspections()
        if one.opened_at < before and one.closed_at is not None
    ]


def _who(house: "House", name: str) -> Person:
    found = [person for person in house.people.everyone() if person.name == name]
    if len(found) != 1:
        msg = f"there is no person {name!r} in the archive: give the name as it was entered"
        raise UsageError(msg)
    if not house.people.check_password(found[0], asked_password(name)):
        msg = "That is not this person's password, so nothing was deleted: type it again."
        raise NotAllowed(msg)
    return found[0]
