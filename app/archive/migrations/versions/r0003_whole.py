"""The whole inspection: programmes, conditions, instruments, people, what is open and out.

Revision 0003, released; it never changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "authorisations",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("role", sa.String(length=40), nullable=False),
        sa.Column("item_class", sa.String(length=48), nullable=False),
        sa.Column("begins", sa.String(length=10), nullable=False),
        sa.Column("ends", sa.String(length=10), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("withdrawn_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint('"by" <> person_id', name=op.f("ck_authorisations_by_another")),
        sa.CheckConstraint("begins <= ends", name=op.f("ck_authorisations_days")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_authorisations_by")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_authorisations_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_authorisations")),
    )
    op.create_index(op.f("ix_authorisations_person_id"), "authorisations", ["person_id"], unique=False)
    op.create_table(
        "card_copies",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("bars_mm", sa.Text(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("due", sa.String(length=10), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("damage", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_card_copies_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_card_copies")),
        sa.UniqueConstraint("number", name=op.f("uq_card_copies_number")),
    )
    op.create_table(
        "certificates",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_certificates_by")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_certificates_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_certificates")),
    )
    op.create_index(op.f("ix_certificates_person_id"), "certificates", ["person_id"], unique=False)
    op.create_table(
        "instruments",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("quantity", sa.String(length=40), nullable=False),
        sa.Column("expanded_u", sa.Double(), nullable=False),
        sa.Column("due", sa.String(length=10), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.CheckConstraint("expanded_u > 0", name=op.f("ck_instruments_doubt")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_instruments_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instruments")),
        sa.UniqueConstraint("number", name=op.f("uq_instruments_number")),
    )
    op.create_table(
        "password_resets",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("changed_at", sa.String(length=32), nullable=True),
        sa.Column("vouched_by", sa.String(length=32), nullable=True),
        sa.Column("vouched_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint('"by" <> person_id', name=op.f("ck_password_resets_by_another")),
        sa.CheckConstraint(
            "(vouched_by IS NULL) = (vouched_at IS NULL)", name=op.f("ck_password_resets_vouched")
        ),
        sa.CheckConstraint(
            'vouched_by <> "by" AND vouched_by <> person_id',
            name=op.f("ck_password_resets_vouched_by_another"),
        ),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_password_resets_by")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_password_resets_person_id")),
        sa.ForeignKeyConstraint(["vouched_by"], ["persons.id"], name=op.f("fk_password_resets_vouched_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_password_resets")),
    )
    op.create_index(op.f("ix_password_resets_person_id"), "password_resets", ["person_id"], unique=False)
    op.create_table(
        "programmes",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("version", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("entered_by", sa.String(length=32), nullable=True),
        sa.Column("entered_at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["entered_by"], ["persons.id"], name=op.f("fk_programmes_entered_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_programmes")),
        sa.UniqueConstraint("version", name=op.f("uq_programmes_version")),
    )
    op.create_table(
        "charts",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=True),
        sa.Column("instrument_id", sa.String(length=32), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("rows", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("(aircraft_id IS NULL) <> (instrument_id IS NULL)", name=op.f("ck_charts_owner")),
        sa.ForeignKeyConstraint(["aircraft_id"], ["aircraft.id"], name=op.f("fk_charts_aircraft_id")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_charts_by")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instruments.id"], name=op.f("fk_charts_instrument_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_charts")),
    )
    op.create_table(
        "followings",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=False),
        sa.Column("programme_id", sa.String(length=32), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=True),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["aircraft_id"], ["aircraft.id"], name=op.f("fk_followings_aircraft_id")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_followings_by")),
        sa.ForeignKeyConstraint(["programme_id"], ["programmes.id"], name=op.f("fk_followings_programme_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_followings")),
    )
    op.create_index(op.f("ix_followings_aircraft_id"), "followings", ["aircraft_id"], unique=False)
    op.create_table(
        "leg_changes",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("leg_id", sa.String(length=32), nullable=False),
        sa.Column("toml_before", sa.Text(), nullable=False),
        sa.Column("toml_after", sa.Text(), nullable=False),
        sa.Column("basis_before", sa.String(length=40), nullable=False),
        sa.Column("basis_after", sa.String(length=40), nullable=False),
        sa.Column("study", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("proposed_by", sa.String(length=32), nullable=False),
        sa.Column("proposed_at", sa.String(length=32), nullable=False),
        sa.Column("approved_by", sa.String(length=32), nullable=True),
        sa.Column("approved_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint(
            "basis_after <> 'primary' OR basis_before = 'primary' OR study <> ''",
            name=op.f("ck_leg_changes_study"),
        ),
        sa.CheckConstraint(
            "(approved_by IS NULL) = (approved_at IS NULL)", name=op.f("ck_leg_changes_approved")
        ),
        sa.CheckConstraint("approved_by <> proposed_by", name=op.f("ck_leg_changes_two_people")),
        sa.ForeignKeyConstraint(["approved_by"], ["persons.id"], name=op.f("fk_leg_changes_approved_by")),
        sa.ForeignKeyConstraint(["leg_id"], ["legs.id"], name=op.f("fk_leg_changes_leg_id")),
        sa.ForeignKeyConstraint(["proposed_by"], ["persons.id"], name=op.f("fk_leg_changes_proposed_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_leg_changes")),
    )
    op.create_index(op.f("ix_leg_changes_leg_id"), "leg_changes", ["leg_id"], unique=False)
    op.create_table(
        "leg_features",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("leg_id", sa.String(length=32), nullable=False),
        sa.Column("answers", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=True),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_leg_features_by")),
        sa.ForeignKeyConstraint(["leg_id"], ["legs.id"], name=op.f("fk_leg_features_leg_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_leg_features")),
    )
    op.create_index(op.f("ix_leg_features_leg_id"), "leg_features", ["leg_id"], unique=False)
    op.create_table(
        "opened",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("leg_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("closed_by", sa.String(length=32), nullable=True),
        sa.Column("closed_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint("(closed_by IS NULL) = (closed_at IS NULL)", name=op.f("ck_opened_closed")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_opened_by")),
        sa.ForeignKeyConstraint(["closed_by"], ["persons.id"], name=op.f("fk_opened_closed_by")),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_opened_inspection_id")),
        sa.ForeignKeyConstraint(["leg_id"], ["legs.id"], name=op.f("fk_opened_leg_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_opened")),
    )
    op.create_index(op.f("ix_opened_inspection_id"), "opened", ["inspection_id"], unique=False)
    op.create_table(
        "outs",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("back", sa.Integer(), nullable=False),
        sa.Column("back_by", sa.String(length=32), nullable=True),
        sa.Column("back_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint("(back_by IS NULL) = (back_at IS NULL)", name=op.f("ck_outs_back")),
        sa.CheckConstraint("quantity > 0 AND back >= 0 AND back <= quantity", name=op.f("ck_outs_counts")),
        sa.ForeignKeyConstraint(["back_by"], ["persons.id"], name=op.f("fk_outs_back_by")),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_outs_by")),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_outs_inspection_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outs")),
    )
    op.create_index(op.f("ix_outs_inspection_id"), "outs", ["inspection_id"], unique=False)
    op.create_table(
        "rounds",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("programme_id", sa.String(length=32), nullable=False),
        sa.Column("features", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["id"], ["inspections.id"], name=op.f("fk_rounds_id")),
        sa.ForeignKeyConstraint(["programme_id"], ["programmes.id"], name=op.f("fk_rounds_programme_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rounds")),
    )
    op.create_table(
        "stated",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("statements", sa.Text(), nullable=False),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_stated_by")),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_stated_inspection_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stated")),
    )
    op.create_index(op.f("ix_stated_inspection_id"), "stated", ["inspection_id"], unique=False)
