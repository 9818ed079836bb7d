"""What a work record's pages are made from, gathered from the archive."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from app.errors import NotFound
from app.inspection.exchange import Exchange
from app.inspection.ports import Photos
from app.record.pdf import WorkRecord, work_record_pdf
from vision.errors import PhotoError
from vision.overlay.thumbnail import thumbnail

PICTURE_PX = 1100


def work_record(
    record: Mapping[str, Any], exchange: Exchange, photos: Photos, program: str, now: datetime
) -> bytes:
    """Return the PDF of a visit's work record as it stands now.

    Parameters
    ----------
    record : mapping
        Of `app.inspection.rounds.record.record_of`.
    program : str
        This program's version.

    Raises
    ------
    NotFound, ArchiveError
        The inspection is not there, its chain is damaged, or a stored file is.
    """
    bundle = exchange.bundle(record["inspection"]["id"])
    last = bundle.events[-1]
    key = bundle.signatures[-1].key_id if bundle.signatures else ""
    pictures = dict(_pictures(record, photos))
    return work_record_pdf(WorkRecord(record, last.hash, last.number, key, program, now, pictures))


def _pictures(record: Mapping[str, Any], photos: Photos) -> Iterator[tuple[str, bytes]]:
    """Small copies of the annotated photos; one that was deleted by a recorded act is left out."""
    for leg in record["legs"]:
        for item in leg["items"]:
            for one in item.get("tries", ()):
                sha = one.get("annotated")
                if not sha:
                    continue
                try:
                    yield sha, thumbnail(photos.get(sha), PICTURE_PX)
                except (NotFound, PhotoError):
                    continue
