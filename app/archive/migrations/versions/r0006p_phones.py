"""Phones that may reach the server, photos gathered before anybody said of which leg they are, practice.

Revision 0006p.  The sessions are made anew: everybody signs in once more.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006p"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "devices",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("registered_at", sa.String(length=32), nullable=False),
        sa.Column("expires_at", sa.String(length=32), nullable=False),
        sa.Column("ended_at", sa.String(length=32), nullable=True),
        sa.Column("ended_by", sa.String(length=32), nullable=True),
        sa.CheckConstraint("(ended_by IS NULL) = (ended_at IS NULL)", name=op.f("ck_devices_ended")),
        sa.ForeignKeyConstraint(["ended_by"], ["persons.id"], name=op.f("fk_devices_ended_by")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_devices_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
    )
    op.create_table(
        "device_keys",
        sa.Column("device_id", sa.String(length=32), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("seen_at", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_device_keys_device_id")),
        sa.PrimaryKeyConstraint("device_id", name=op.f("pk_device_keys")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_device_keys_token_hash")),
    )
    op.create_table(
        "gathered",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=False),
        sa.Column("photo", sa.String(length=64), nullable=False),
        sa.Column("photo_name", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("try_id", sa.String(length=32), nullable=True),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.CheckConstraint("try_id IS NULL OR set_aside IS NULL", name=op.f("ck_gathered_one_end")),
        sa.ForeignKeyConstraint(["aircraft_id"], ["aircraft.id"], name=op.f("fk_gathered_aircraft_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_gathered_person_id")),
        sa.ForeignKeyConstraint(["try_id"], ["tries.id"], name=op.f("fk_gathered_try_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gathered")),
        sa.UniqueConstraint(
            "person_id", "aircraft_id", "photo", name=op.f("uq_gathered_person_id_aircraft_id_photo")
        ),
    )
    op.create_index(op.f("ix_gathered_person_id"), "gathered", ["person_id"], unique=False)
    op.create_index(op.f("ix_gathered_photo"), "gathered", ["photo"], unique=False)
    op.create_table(
        "practice_answers",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("case", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("is_usable", sa.Boolean(), nullable=False),
        sa.Column("truth_mm", sa.Double(), nullable=False),
        sa.Column("shown_mm", sa.Double(), nullable=False),
        sa.Column("shown_is_wrong", sa.Boolean(), nullable=False),
        sa.Column("placed_mm", sa.Double(), nullable=True),
        sa.Column("choice", sa.String(length=40), nullable=False),
        sa.CheckConstraint(
            "placed_mm IS NOT NULL OR choice = 'no_value'", name=op.f("ck_practice_answers_read_first")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_practice_answers_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_practice_answers")),
    )
    op.create_index(op.f("ix_practice_answers_person_id"), "practice_answers", ["person_id"], unique=False)
    # SQLite cannot add a reference to a table that is there, and a session is no record.
    op.drop_table("sessions")
    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("begun_at", sa.String(length=32), nullable=False),
        sa.Column("expires_at", sa.String(length=32), nullable=False),
        sa.Column("device_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["device_id"], ["devices.id"], name=op.f("fk_sessions_device_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_sessions_person_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sessions")),
    )
    op.create_index(op.f("ix_sessions_device_id"), "sessions", ["device_id"], unique=False)
    op.create_index(op.f("ix_sessions_person_id"), "sessions", ["person_id"], unique=False)
