"""The first schema: people, visits, tries, confirmations, and the chain of events.

Revision 0001, released; it never changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    _people()
    _chain()
    _visits()
    _readings()
    _confirmed()


def _people() -> None:
    op.create_table(
        "persons",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("roles", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_persons")),
    )
    op.create_table(
        "sign_ins",
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("name_key", sa.String(length=100), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_sign_ins_person_id")),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_sign_ins")),
        sa.UniqueConstraint("name_key", name=op.f("uq_sign_ins_name_key")),
    )
    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("begun_at", sa.String(32), nullable=False),
        sa.Column("expires_at", sa.String(32), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_sessions_person_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sessions")),
    )
    op.create_index(op.f("ix_sessions_person_id"), "sessions", ["person_id"], unique=False)
    op.create_table(
        "wrong_tries",
        sa.Column("name_key", sa.String(length=100), nullable=False),
        sa.Column("wrong", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("name_key", name=op.f("pk_wrong_tries")),
    )


def _chain() -> None:
    op.create_table(
        "events",
        sa.Column("chain", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("chain", "number", name=op.f("pk_events")),
        sa.UniqueConstraint("hash", name=op.f("uq_events_hash")),
    )
    op.create_table(
        "heads",
        sa.Column("chain", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("chain", name=op.f("pk_heads")),
    )
    # The row that every writer locks.
    heads = sa.table("heads", sa.column("chain"), sa.column("number"), sa.column("hash"))
    op.bulk_insert(heads, [{"chain": "archive", "number": 0, "hash": "0" * 64}])


def _visits() -> None:
    op.create_table(
        "aircraft",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("registration", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("operator", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_aircraft")),
        sa.UniqueConstraint("registration", name=op.f("uq_aircraft_registration")),
    )
    op.create_table(
        "legs",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Text(), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("basis", sa.String(40), nullable=False),
        sa.ForeignKeyConstraint(["aircraft_id"], ["aircraft.id"], name=op.f("fk_legs_aircraft_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_legs")),
        sa.UniqueConstraint("aircraft_id", "position", name=op.f("uq_legs_aircraft_id_position")),
    )
    op.create_table(
        "inspections",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=False),
        sa.Column("opened_by", sa.String(length=32), nullable=False),
        sa.Column("opened_at", sa.String(32), nullable=False),
        sa.Column("closed_at", sa.String(32), nullable=True),
        sa.ForeignKeyConstraint(["aircraft_id"], ["aircraft.id"], name=op.f("fk_inspections_aircraft_id")),
        sa.ForeignKeyConstraint(["opened_by"], ["persons.id"], name=op.f("fk_inspections_opened_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inspections")),
    )
    op.create_index(
        "uq_inspections_open",
        "inspections",
        ["aircraft_id"],
        unique=True,
        sqlite_where=sa.text("closed_at IS NULL"),
        postgresql_where=sa.text("closed_at IS NULL"),
    )
    op.create_table(
        "items",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("leg_id", sa.String(length=32), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(40), nullable=False),
        sa.Column("hands_wanted", sa.Integer(), nullable=False),
        sa.Column("hand_round", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "(state = 'hand_wanted') = (hands_wanted > 0)", name=op.f("ck_items_hands_wanted")
        ),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_items_inspection_id")),
        sa.ForeignKeyConstraint(["leg_id"], ["legs.id"], name=op.f("fk_items_leg_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_items")),
        sa.UniqueConstraint("inspection_id", "leg_id", "key", name=op.f("uq_items_inspection_id_leg_id_key")),
    )
    op.create_index(op.f("ix_items_state"), "items", ["state"], unique=False)


def _readings() -> None:
    op.create_table(
        "tries",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("performer_id", sa.String(length=32), nullable=False),
        sa.Column("begun_at", sa.String(32), nullable=False),
        sa.Column("statements", sa.Text(), nullable=False),
        sa.Column("options", sa.Text(), nullable=False),
        sa.Column("state", sa.String(40), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("photo", sa.String(length=64), nullable=True),
        sa.Column("photo_name", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.Column("annotated", sa.String(length=64), nullable=True),
        sa.Column("failure", sa.Text(), nullable=True),
        sa.Column("own_hand_mm", sa.Double(), nullable=True),
        sa.Column("own_hand_u_mm", sa.Double(), nullable=True),
        sa.Column("sent_at", sa.String(32), nullable=True),
        sa.CheckConstraint("(failure IS NOT NULL) = (state = 'failed')", name=op.f("ck_tries_failure")),
        sa.CheckConstraint("(photo IS NULL) = (state = 'awaiting_photo')", name=op.f("ck_tries_photo")),
        sa.CheckConstraint(
            "(result IS NOT NULL) = (state IN ('read', 'refused', 'sent', 'settled'))",
            name=op.f("ck_tries_result"),
        ),
        sa.CheckConstraint(
            "(sent_at IS NOT NULL) = (state IN ('sent', 'settled'))", name=op.f("ck_tries_sent")
        ),
        sa.CheckConstraint("(own_hand_mm IS NULL) = (own_hand_u_mm IS NULL)", name=op.f("ck_tries_own_hand")),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_tries_item_id")),
        sa.ForeignKeyConstraint(["performer_id"], ["persons.id"], name=op.f("fk_tries_performer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tries")),
        sa.UniqueConstraint("id", "performer_id", name=op.f("uq_tries_id_performer_id")),
    )
    op.create_index(op.f("ix_tries_annotated"), "tries", ["annotated"], unique=False)
    op.create_index(op.f("ix_tries_item_id"), "tries", ["item_id"], unique=False)
    op.create_index(op.f("ix_tries_photo"), "tries", ["photo"], unique=False)
    op.create_index(op.f("ix_tries_state"), "tries", ["state"], unique=False)
    op.create_index(
        "uq_tries_sent",
        "tries",
        ["item_id"],
        unique=True,
        sqlite_where=sa.text("state = 'sent'"),
        postgresql_where=sa.text("state = 'sent'"),
    )
    op.create_table(
        "blind_readings",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("try_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("from_px", sa.Text(), nullable=False),
        sa.Column("to_px", sa.Text(), nullable=False),
        sa.Column("value_mm", sa.Double(), nullable=False),
        sa.Column("expanded_u_mm", sa.Double(), nullable=False),
        sa.Column("difference_u_mm", sa.Double(), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_blind_readings_person_id")),
        sa.ForeignKeyConstraint(["try_id"], ["tries.id"], name=op.f("fk_blind_readings_try_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_blind_readings")),
        sa.UniqueConstraint("id", "try_id", "person_id", name=op.f("uq_blind_readings_id_try_id_person_id")),
        sa.UniqueConstraint("try_id", "person_id", name=op.f("uq_blind_readings_try_id_person_id")),
    )
    op.create_table(
        "hand_readings",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("value_mm", sa.Double(), nullable=False),
        sa.Column("expanded_u_mm", sa.Double(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("round", sa.Integer(), nullable=False),
        sa.CheckConstraint("value_mm > 0 AND expanded_u_mm > 0", name=op.f("ck_hand_readings_positive")),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_hand_readings_item_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_hand_readings_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hand_readings")),
        sa.UniqueConstraint(
            "item_id", "round", "person_id", name=op.f("uq_hand_readings_item_id_round_person_id")
        ),
    )


def _confirmed() -> None:
    op.create_table(
        "confirmations",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("try_id", sa.String(length=32), nullable=False),
        sa.Column("confirmer_id", sa.String(length=32), nullable=False),
        sa.Column("performer_id", sa.String(length=32), nullable=False),
        sa.Column("blind_reading_id", sa.String(length=32), nullable=False),
        sa.Column("agrees", sa.Boolean(), nullable=False),
        sa.Column("difference_mm", sa.Double(), nullable=False),
        sa.Column("combined_u_mm", sa.Double(), nullable=False),
        sa.Column("outcome", sa.String(40), nullable=False),
        sa.Column("signed_at", sa.String(32), nullable=False),
        sa.Column("signed_hash", sa.String(length=64), nullable=False),
        sa.Column("event_hash", sa.String(length=64), nullable=False),
        sa.CheckConstraint("confirmer_id <> performer_id", name=op.f("ck_confirmations_another_person")),
        sa.ForeignKeyConstraint(
            ["blind_reading_id", "try_id", "confirmer_id"],
            ["blind_readings.id", "blind_readings.try_id", "blind_readings.person_id"],
            name=op.f("fk_confirmations_blind_reading_id_try_id_confirmer_id"),
        ),
        sa.ForeignKeyConstraint(["event_hash"], ["events.hash"], name=op.f("fk_confirmations_event_hash")),
        sa.ForeignKeyConstraint(
            ["try_id", "performer_id"],
            ["tries.id", "tries.performer_id"],
            name=op.f("fk_confirmations_try_id_performer_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_confirmations")),
        sa.UniqueConstraint("try_id", name=op.f("uq_confirmations_try_id")),
    )
    op.create_table(
        "discrepancies",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("try_id", sa.String(length=32), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("photo", sa.String(length=64), nullable=True),
        sa.Column("opened_by", sa.String(length=32), nullable=False),
        sa.Column("opened_at", sa.String(32), nullable=False),
        sa.Column("state", sa.String(40), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_discrepancies_item_id")),
        sa.ForeignKeyConstraint(["opened_by"], ["persons.id"], name=op.f("fk_discrepancies_opened_by")),
        sa.ForeignKeyConstraint(["try_id"], ["tries.id"], name=op.f("fk_discrepancies_try_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_discrepancies")),
    )
    op.create_index(op.f("ix_discrepancies_item_id"), "discrepancies", ["item_id"], unique=False)
