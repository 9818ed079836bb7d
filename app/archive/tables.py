"""The tables, with what the schema itself refuses.

Each dataclass of the model has a table with a column for each field; `KINDS` says
which.  The schema is made by the migrations; a test holds both together.
"""

from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from app.archive.columns import Named, Plain, Utc, roles
from app.archive.tables_devices import device_keys_in, device_kinds, practice_answers_in
from app.archive.tables_round import round_kinds
from app.inspection import model

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)

_ID = String(32)
_HASH = String(64)


def _id() -> Column[str]:
    return Column("id", _ID, primary_key=True)


def _ref(name: str, target: str, null: bool = False, index: bool = True) -> Column[str]:
    return Column(name, _ID, ForeignKey(f"{target}.id"), nullable=null, index=index)


def _need(name: str, kind: Any) -> Column[Any]:
    return Column(name, kind, nullable=False)


def _file(name: str, index: bool = False) -> Column[str]:
    """Return a column with the hash of a photo's file; `verify` looks for the file by this mark."""
    return Column(name, _HASH, index=index, info={"file": True})


persons = Table(
    "persons",
    metadata,
    _id(),
    _need("name", Text),
    _need("roles", Plain(roles)),
)

sign_ins = Table(
    "sign_ins",
    metadata,
    Column("person_id", _ID, ForeignKey("persons.id"), primary_key=True),
    Column("name_key", String(100), nullable=False, unique=True),
    _need("password_hash", Text),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", _HASH, primary_key=True),
    _ref("person_id", "persons"),
    _need("begun_at", Utc),
    _need("expires_at", Utc),
    _ref("device_id", "devices", null=True),
)

wrong_tries = Table(
    "wrong_tries",
    metadata,
    Column("name_key", String(100), primary_key=True),
    _need("wrong", Integer),
    _need("last_at", Utc),
)

aircraft = Table(
    "aircraft",
    metadata,
    _id(),
    Column("registration", Text, nullable=False, unique=True),
    _need("kind", Text),
    _need("operator", Text),
)

legs = Table(
    "legs",
    metadata,
    _id(),
    _ref("aircraft_id", "aircraft", index=False),
    _need("position", Text),
    _need("toml", Text),
    _need("basis", Named(model.Basis)),
    UniqueConstraint("aircraft_id", "position"),
)

inspections = Table(
    "inspections",
    metadata,
    _id(),
    _ref("aircraft_id", "aircraft", index=False),
    _ref("opened_by", "persons", index=False),
    _need("opened_at", Utc),
    Column("closed_at", Utc),
)
# An aircraft has one open inspection at most.
_OPEN = text("closed_at IS NULL")
Index(
    "uq_inspections_open", inspections.c.aircraft_id, unique=True, sqlite_where=_OPEN, postgresql_where=_OPEN
)

items = Table(
    "items",
    metadata,
    _id(),
    _ref("inspection_id", "inspections", index=False),
    _ref("leg_id", "legs", index=False),
    _need("key", String(80)),
    Column("state", Named(model.ItemState), nullable=False, index=True),
    _need("hands_wanted", Integer),
    _need("hand_round", Integer),
    UniqueConstraint("inspection_id", "leg_id", "key"),
    CheckConstraint("(state = 'hand_wanted') = (hands_wanted > 0)", name="hands_wanted"),
)

tries = Table(
    "tries",
    metadata,
    _id(),
    _ref("item_id", "items"),
    _ref("performer_id", "persons", index=False),
    _need("begun_at", Utc),
    _need("statements", Plain(tuple)),
    _need("options", Plain()),
    Column("state", Named(model.TryState), nullable=False, index=True),
    _need("stage", Text),
    _file("photo", index=True),
    _need("photo_name", Text),
    Column("result", Plain()),
    _file("annotated", index=True),
    Column("failure", Text),
    Column("own_hand_mm", Double),
    Column("own_hand_u_mm", Double),
    Column("sent_at", Utc),
    # What a confirmation refers to, so that performer and confirmer can be compared there.
    UniqueConstraint("id", "performer_id"),
    CheckConstraint("(photo IS NULL) = (state = 'awaiting_photo')", name="photo"),
    CheckConstraint(
        "(result IS NOT NULL) = (state IN ('read', 'refused', 'sent', 'settled'))", name="result"
    ),
    CheckConstraint("(sent_at IS NOT NULL) = (state IN ('sent', 'settled'))", name="sent"),
    CheckConstraint("(failure IS NOT NULL) = (state = 'failed')", name="failure"),
    CheckConstraint("(own_hand_mm IS NULL) = (own_hand_u_mm IS NULL)", name="own_hand"),
)
# One reading of an item waits at most.
_SENT = text("state = 'sent'")
Index("uq_tries_sent", tries.c.item_id, unique=True, sqlite_where=_SENT, postgresql_where=_SENT)

blind_readings = Table(
    "blind_readings",
    metadata,
    _id(),
    _ref("try_id", "tries", index=False),
    _ref("person_id", "persons", index=False),
    _need("from_px", Plain(tuple)),
    _need("to_px", Plain(tuple)),
    _need("value_mm", Double),
    _need("expanded_u_mm", Double),
    _need("difference_u_mm", Double),
    _need("at", Utc),
    UniqueConstraint("try_id", "person_id"),
    UniqueConstraint("id", "try_id", "person_id"),
)

hand_readings = Table(
    "hand_readings",
    metadata,
    _id(),
    _ref("item_id", "items", index=False),
    _ref("person_id", "persons", index=False),
    _need("value_mm", Double),
    _need("expanded_u_mm", Double),
    _need("instrument", Text),
    _need("at", Utc),
    _need("round", Integer),
    UniqueConstraint("item_id", "round", "person_id"),
    CheckConstraint("value_mm > 0 AND expanded_u_mm > 0", name="positive"),
)

confirmations = Table(
    "confirmations",
    metadata,
    _id(),
    Column("try_id", _ID, nullable=False, unique=True),
    _need("confirmer_id", _ID),
    _need("performer_id", _ID),
    _need("blind_reading_id", _ID),
    _need("agrees", Boolean),
    _need("difference_mm", Double),
    _need("combined_u_mm", Double),
    _need("outcome", Named(model.Outcome)),
    _need("signed_at", Utc),
    _need("signed_hash", _HASH),
    Column("event_hash", _HASH, ForeignKey("events.hash"), nullable=False),
    # Nobody confirms his own work, and nobody confirms what he has not read himself.
    CheckConstraint("confirmer_id <> performer_id", name="another_person"),
    ForeignKeyConstraint(["try_id", "performer_id"], ["tries.id", "tries.performer_id"]),
    ForeignKeyConstraint(
        ["blind_reading_id", "try_id", "confirmer_id"],
        ["blind_readings.id", "blind_readings.try_id", "blind_readings.person_id"],
    ),
)

discrepancies = Table(
    "discrepancies",
    metadata,
    _id(),
    _ref("item_id", "items"),
    _ref("try_id", "tries", null=True, index=False),
    _need("place", Text),
    _need("text", Text),
    _file("photo"),
    _ref("opened_by", "persons", index=False),
    _need("opened_at", Utc),
    _need("state", Named(model.DiscrepancyState)),
)

events = Table(
    "events",
    metadata,
    Column("chain", String(32), primary_key=True),
    Column("number", Integer, primary_key=True),
    _need("previous", _HASH),
    Column("hash", _HASH, nullable=False, unique=True),
    _need("body", LargeBinary),
)

heads = Table(
    "heads",
    metadata,
    Column("chain", String(32), primary_key=True),
    _need("number", Integer),
    _need("hash", _HASH),
)

# Public keys that this archive was signed with, by the SHA-256 of the key's 32 bytes.
archive_keys = Table(
    "archive_keys",
    metadata,
    Column("id", _HASH, primary_key=True),
    _need("public", _HASH),
    _need("entered_at", Utc),
)

# What each transaction signed: the archive chain's head as it left it.
head_signatures = Table(
    "head_signatures",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    _need("hash", _HASH),
    Column("key_id", _HASH, ForeignKey("archive_keys.id"), nullable=False),
    _need("signature", String(128)),
)

KINDS: dict[type[Any], Table] = {
    model.Person: persons,
    model.Aircraft: aircraft,
    model.LegEntry: legs,
    model.Inspection: inspections,
    model.Item: items,
    model.Try: tries,
    model.BlindReading: blind_readings,
    model.HandReading: hand_readings,
    model.Confirmation: confirmations,
    model.Discrepancy: discrepancies,
    **round_kinds(metadata),
    **device_kinds(metadata),
}
"""Which dataclass stands in which table."""

device_keys = device_keys_in(metadata)
practice_answers = practice_answers_in(metadata)
