"""The tables of phones, of identities at a provider, of photos not yet told of which leg, and of practice."""

from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from app.archive.columns import Named, Utc
from app.archive.columns_round import HASH, ID, id_, need, ref
from app.inspection.gathered import Gathered
from app.people.devices_model import Device
from app.people.links_model import IdentityLink
from app.practice.model import Choice


def device_kinds(metadata: MetaData) -> dict[type[Any], Table]:
    """Enter the tables into the schema's metadata; return which dataclass stands in which."""
    devices = Table(
        "devices",
        metadata,
        id_(),
        need("name", Text),
        ref("person_id", "persons"),
        need("registered_at", Utc),
        need("expires_at", Utc),
        Column("ended_at", Utc),
        ref("ended_by", "persons", null=True),
        CheckConstraint("(ended_by IS NULL) = (ended_at IS NULL)", name="ended"),
    )
    gathered = Table(
        "gathered",
        metadata,
        id_(),
        ref("person_id", "persons", index=True),
        ref("aircraft_id", "aircraft"),
        Column("photo", HASH, nullable=False, index=True, info={"file": True}),
        need("photo_name", Text),
        need("at", Utc),
        ref("try_id", "tries", null=True),
        Column("set_aside", Text),
        # The same picture sent again by the same person is the same picture.
        UniqueConstraint("person_id", "aircraft_id", "photo"),
        CheckConstraint("try_id IS NULL OR set_aside IS NULL", name="one_end"),
    )
    return {Device: devices, Gathered: gathered, IdentityLink: _identity_links(metadata)}


def _identity_links(metadata: MetaData) -> Table:
    links = Table(
        "identity_links",
        metadata,
        id_(),
        need("issuer", Text),
        need("subject", Text),
        ref("person_id", "persons"),
        need("linked_at", Utc),
        Column("ended_at", Utc),
        ref("ended_by", "persons", null=True),
        CheckConstraint("(ended_by IS NULL) = (ended_at IS NULL)", name="ended"),
    )
    # An identity is one person's at a time.
    counting = text("ended_at IS NULL")
    Index(
        "uq_identity_links_counting",
        links.c.issuer,
        links.c.subject,
        unique=True,
        sqlite_where=counting,
        postgresql_where=counting,
    )
    return links


def device_keys_in(metadata: MetaData) -> Table:
    """Enter the table of devices' tokens, which are no part of the record; return it."""
    return Table(
        "device_keys",
        metadata,
        Column("device_id", ID, ForeignKey("devices.id"), primary_key=True),
        Column("token_hash", String(64), nullable=False, unique=True),
        Column("seen_at", Utc),
    )


def practice_answers_in(metadata: MetaData) -> Table:
    """Enter the table of practice, which no record and no event refers to; return it."""
    return Table(
        "practice_answers",
        metadata,
        id_(),
        ref("person_id", "persons", index=True),
        need("case", Text),
        need("at", Utc),
        need("is_usable", Boolean),
        need("truth_mm", Double),
        need("shown_mm", Double),
        need("shown_is_wrong", Boolean),
        Column("placed_mm", Double),
        need("choice", Named(Choice)),
        CheckConstraint("placed_mm IS NOT NULL OR choice = 'no_value'", name="read_first"),
    )
