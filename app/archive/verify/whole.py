"""All of a verification, in order."""

from collections.abc import Callable, Sequence

from sqlalchemy import Engine

from app.archive.chain import ARCHIVE, Head
from app.archive.keys import Signer
from app.archive.store import PhotoStore
from app.archive.verify.anchors import Anchors
from app.archive.verify.chains import walk_chains
from app.archive.verify.files import FileCheck
from app.archive.verify.found import Found, Progress, Verification
from app.archive.verify.heads import HeadSignatures
from app.archive.verify.rows import check_rows, check_signatures


def verify(
    looking: Engine,
    store: PhotoStore,
    kept: Signer | None,
    anchors: Sequence[str] = (),
    progress: Callable[[Progress], None] | None = None,
) -> Verification:
    """Return everything in the archive that is not as it was entered.

    Parameters
    ----------
    looking : Engine
        For transactions that only look, each at one consistent picture.
    kept : Signer or None
        The archive's key as it is kept beside it, where it is there.
    anchors : sequence of str
        Heads that were kept elsewhere, as `app.archive.verify.anchors.anchor_of` writes them.

    Raises
    ------
    UsageError
        An anchor is none.
    ArchiveError
        The photos cannot be read.
    """
    found, given = Found(), Anchors(anchors)
    tell = progress or (lambda _: None)
    # Files first: what is stored from now on may lack its row yet, and no row its file.
    with FileCheck(store) as files:
        with looking.connect() as connection, connection.begin():
            walk_chains(connection, found, HeadSignatures(connection, kept, found), given, tell)
            given.end(found)
            check_rows(connection, found, tell)
            check_signatures(connection, found)
        orphans, deleted = files.finish(found, tell)
    return Verification(
        tuple(found.faults),
        tuple(orphans),
        tuple(deleted),
        tuple(found.notes),
        found.ends.get(ARCHIVE, Head(0, "")),
        found.checked,
    )
