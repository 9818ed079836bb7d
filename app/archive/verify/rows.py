"""Are the rows what the events say, and is each signature on the record that it was given for."""

from typing import Any

from sqlalchemy import Connection, select

from app.archive.replay import actual, digest
from app.archive.tables import KINDS, confirmations, hand_readings
from app.archive.verify.found import Found, Progress, Tell
from app.inspection.canonical import plain
from app.inspection.rounds.model import Signature

_EVERY = 500
signatures = KINDS[Signature]


def check_rows(connection: Connection, found: Found, tell: Tell) -> None:
    """Compare every row with what the events say of it; keep which files the rows refer to."""
    for name, id_, row, files in actual(connection):
        if found.count("rows") % _EVERY == 0:
            tell(Progress("rows", found.checked["rows"], 0))
        for column, sha in files.items():
            found.files.setdefault(sha, f"{column} of {name} {id_}")
        expected = found.rows.pop(name, id_)
        if expected is None:
            found.add(f"{name} {id_}", "no event tells of this row")
            continue
        fields, last = expected
        wrong = sorted(field for field in row.keys() | fields.keys() if row.get(field) != fields.get(field))
        if wrong:
            found.add(f"{name} {id_}", f"not what the events say in {', '.join(wrong)}", f"after {last}")
    for name, id_, last in found.rows.left():
        found.add(f"{name} {id_}", "the events tell of this row, and it is gone", f"after {last}")


def check_signatures(connection: Connection, found: Found) -> None:
    """Compare every confirmation and hand measurement with the signature that it was given."""
    told_in = ("id", "event_hash", "confirmer_id", "signed_hash", "try_id", "blind_reading_id")
    for row in connection.execute(select(*(confirmations.c[name] for name in told_in))):
        signed = found.signed.get(row.event_hash)
        where = f"confirmations {row.id}"
        if signed is None:
            found.add(where, "no event holds its signature")
        elif signed != (row.confirmer_id, row.signed_hash, row.try_id, row.blind_reading_id):
            found.add(where, "it is not what was signed")
    _check_hands(connection, found)
    _check_rounds(connection, found)


def _check_hands(connection: Connection, found: Found) -> None:
    for row in connection.execute(select(hand_readings)):
        signed = found.hands.get(row.id)
        if signed is None:
            found.add(f"hand_readings {row.id}", "no event holds its signature")
        elif signed != digest(_as_signed(row)):
            found.add(f"hand_readings {row.id}", "it is not what was signed")


def _check_rounds(connection: Connection, found: Found) -> None:
    """The signatures of a round: each is the signature of its person on what its event holds."""
    for row in connection.execute(select(signatures)):
        signed = found.signed.get(row.event_hash)
        if signed is None:
            found.add(f"signatures {row.id}", "no event holds its signature")
        elif (signed.by, signed.signed) != (row.person_id, row.signed_hash):
            found.add(f"signatures {row.id}", "it is not what was signed")


def _as_signed(row: Any) -> dict[str, Any]:
    return {name: plain(value) for name, value in row._mapping.items() if name != "id"}
