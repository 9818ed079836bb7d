"""What people see on searched photos, how they judge each place, and what they inspect by hand instead.

Revision 0009.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

_ONCE = sa.text("judging_id IS NULL")


def _id(name: str, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(length=32), nullable=null)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "bare_markings",
        _id("id"),
        _id("try_id"),
        _id("person_id"),
        sa.Column("marks", sa.Text(), nullable=False),
        sa.Column("none_seen", sa.Boolean(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("none_seen = (marks = '[]')", name=op.f("ck_bare_markings_seen")),
        sa.ForeignKeyConstraint(["try_id"], ["tries.id"], name=op.f("fk_bare_markings_try_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_bare_markings_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bare_markings")),
        sa.UniqueConstraint("try_id", "person_id", name=op.f("uq_bare_markings_try_id_person_id")),
        sa.UniqueConstraint("id", "try_id", "person_id", name=op.f("uq_bare_markings_id_try_id_person_id")),
    )
    op.create_table(
        "places_opened",
        _id("id"),
        _id("try_id"),
        _id("person_id"),
        sa.Column("place", sa.String(length=60), nullable=False),
        _id("marking_id"),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("place <> ''", name=op.f("ck_places_opened_place")),
        sa.ForeignKeyConstraint(
            ["marking_id", "try_id", "person_id"],
            ["bare_markings.id", "bare_markings.try_id", "bare_markings.person_id"],
            name=op.f("fk_places_opened_marking_id_try_id_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_places_opened")),
        sa.UniqueConstraint(
            "try_id", "person_id", "place", name=op.f("uq_places_opened_try_id_person_id_place")
        ),
        sa.UniqueConstraint(
            "id", "try_id", "person_id", "place", name=op.f("uq_places_opened_id_try_id_person_id_place")
        ),
    )
    op.create_table(
        "judgings",
        _id("id"),
        _id("try_id"),
        _id("person_id"),
        sa.Column("place", sa.String(length=60), nullable=False),
        _id("opened_id"),
        sa.Column("judged", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint(
            "judged IN ('wear', 'reflection', 'dirt', 'fluid', 'cannot_tell')",
            name=op.f("ck_judgings_judged"),
        ),
        sa.ForeignKeyConstraint(
            ["opened_id", "try_id", "person_id", "place"],
            ["places_opened.id", "places_opened.try_id", "places_opened.person_id", "places_opened.place"],
            name=op.f("fk_judgings_opened_id_try_id_person_id_place"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_judgings")),
        sa.UniqueConstraint("try_id", "person_id", "place", name=op.f("uq_judgings_try_id_person_id_place")),
        sa.UniqueConstraint("id", "person_id", name=op.f("uq_judgings_id_person_id")),
    )
    op.create_table(
        "hose_hands",
        _id("id"),
        _id("item_id"),
        _id("person_id"),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("hose", sa.Text(), nullable=False),
        _id("judging_id", null=True),
        sa.Column("finding", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint(
            "(kind = 'settles') = (judging_id IS NOT NULL)", name=op.f("ck_hose_hands_settles")
        ),
        sa.CheckConstraint("hose = '' OR kind = 'not_searched'", name=op.f("ck_hose_hands_hose")),
        sa.CheckConstraint(
            "finding = 'good' OR (finding = 'fault' AND text <> '')", name=op.f("ck_hose_hands_finding")
        ),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_hose_hands_item_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_hose_hands_person_id")),
        sa.ForeignKeyConstraint(
            ["judging_id", "person_id"],
            ["judgings.id", "judgings.person_id"],
            name=op.f("fk_hose_hands_judging_id_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hose_hands")),
        sa.UniqueConstraint("judging_id", name=op.f("uq_hose_hands_judging_id")),
    )
    op.create_index(op.f("ix_hose_hands_item_id"), "hose_hands", ["item_id"])
    op.create_index(
        op.f("uq_hose_hands_once"),
        "hose_hands",
        ["item_id", "person_id", "kind", "hose"],
        unique=True,
        sqlite_where=_ONCE,
        postgresql_where=_ONCE,
    )
