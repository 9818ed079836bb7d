"""The tables of what people see on searched photos and how they judge each place (see `tables_round`).

Nobody is shown a flag of a photo that he has not marked himself, and nobody judges what
he has not opened: both stand in the foreign keys.
"""

from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKeyConstraint,
    Index,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from app.archive.columns import Named, Plain, Utc
from app.archive.columns_round import ID, id_, need, ref
from app.inspection.rounds import model

_PLACE = String(60)


def judged_kinds(metadata: MetaData) -> dict[type[Any], Table]:
    """Enter the tables into the schema's metadata; return which dataclass stands in which."""
    markings = Table(
        "bare_markings",
        metadata,
        id_(),
        ref("try_id", "tries"),
        ref("person_id", "persons"),
        need("marks", Plain(tuple)),
        need("none_seen", Boolean),
        need("at", Utc),
        UniqueConstraint("try_id", "person_id"),
        UniqueConstraint("id", "try_id", "person_id"),
        # Who marks nothing states that he saw none; who states it has marked nothing.
        CheckConstraint("none_seen = (marks = '[]')", name="seen"),
    )
    opened = Table(
        "places_opened",
        metadata,
        id_(),
        need("try_id", ID),
        need("person_id", ID),
        need("place", _PLACE),
        need("marking_id", ID),
        need("at", Utc),
        UniqueConstraint("try_id", "person_id", "place"),
        UniqueConstraint("id", "try_id", "person_id", "place"),
        CheckConstraint("place <> ''", name="place"),
        ForeignKeyConstraint(
            ["marking_id", "try_id", "person_id"],
            ["bare_markings.id", "bare_markings.try_id", "bare_markings.person_id"],
        ),
    )
    judgings = Table(
        "judgings",
        metadata,
        id_(),
        need("try_id", ID),
        need("person_id", ID),
        need("place", _PLACE),
        need("opened_id", ID),
        need("judged", Named(model.Judged)),
        need("text", Text),
        need("at", Utc),
        UniqueConstraint("try_id", "person_id", "place"),
        UniqueConstraint("id", "person_id"),
        CheckConstraint("judged IN ('wear', 'reflection', 'dirt', 'fluid', 'cannot_tell')", name="judged"),
        ForeignKeyConstraint(
            ["opened_id", "try_id", "person_id", "place"],
            ["places_opened.id", "places_opened.try_id", "places_opened.person_id", "places_opened.place"],
        ),
    )
    hands = Table(
        "hose_hands",
        metadata,
        id_(),
        ref("item_id", "items", index=True),
        ref("person_id", "persons"),
        need("kind", Named(model.HandKind)),
        need("hose", Text),
        Column("judging_id", ID, unique=True),
        need("finding", Named(model.Finding)),
        need("text", Text),
        need("told", Plain()),
        need("at", Utc),
        CheckConstraint("(kind = 'settles') = (judging_id IS NOT NULL)", name="settles"),
        CheckConstraint("hose = '' OR kind = 'not_searched'", name="hose"),
        CheckConstraint("finding = 'good' OR (finding = 'fault' AND text <> '')", name="finding"),
        # Only who could not tell settles it.
        ForeignKeyConstraint(["judging_id", "person_id"], ["judgings.id", "judgings.person_id"]),
    )
    once = text("judging_id IS NULL")
    Index(
        "uq_hose_hands_once",
        hands.c.item_id,
        hands.c.person_id,
        hands.c.kind,
        hands.c.hose,
        unique=True,
        sqlite_where=once,
        postgresql_where=once,
    )
    return {
        model.BareMarking: markings,
        model.PlaceOpened: opened,
        model.Judging: judgings,
        model.HandEntry: hands,
    }
