"""What only looks at an archive: the use cases for commands, and a visit's work record as a file."""

from app.archive import Archive
from app.archive.exchange import SqlExchange
from app.bootstrap.house import House
from app.inspection import Inspections, Person, SystemClock
from app.measuring.software import software
from app.measuring.worker import Worker
from app.people import People
from app.record.work import work_record


def read_only(archive: Archive) -> Inspections:
    """Return the use cases of an archive where nothing is measured."""
    clock = SystemClock()
    return Inspections(archive.records, archive.photos, clock, Worker(), People(archive.people, clock, 1.0))


def paper(house: House, inspection_id: str, person: Person) -> bytes:
    """Return the PDF of a visit's work record as it stands now, for who reads it.

    Raises
    ------
    NotFound, ArchiveError
        There is no such inspection, or the archive is damaged.
    """
    record = house.inspections.record(inspection_id, person)
    exchange = SqlExchange(house.archive.records)
    return work_record(record, exchange, house.archive.photos, software(), SystemClock().now())
