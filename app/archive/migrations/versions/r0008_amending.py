"""Times of a signed visit put right, and readings withdrawn.

Revision 0008.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "corrected_times",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("total_time_h", sa.Double(), nullable=False),
        sa.Column("cycles", sa.Integer(), nullable=False),
        sa.Column("landings", sa.Integer(), nullable=False),
        sa.Column("supersedes", sa.String(length=32), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("signature_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint(
            "total_time_h > 0 AND cycles >= 0 AND landings >= 0", name=op.f("ck_corrected_times_times")
        ),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_corrected_times_reason")),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_corrected_times_inspection_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_corrected_times_person_id")),
        sa.ForeignKeyConstraint(
            ["supersedes"], ["corrected_times.id"], name=op.f("fk_corrected_times_supersedes")
        ),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_corrected_times_signature_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_corrected_times")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_corrected_times_supersedes")),
    )
    op.create_index(op.f("ix_corrected_times_inspection_id"), "corrected_times", ["inspection_id"])
    op.create_table(
        "withdrawals",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("discrepancy_id", sa.String(length=32), nullable=False),
        sa.Column("signature_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("reason <> ''", name=op.f("ck_withdrawals_reason")),
        sa.ForeignKeyConstraint(
            ["discrepancy_id"], ["discrepancies.id"], name=op.f("fk_withdrawals_discrepancy_id")
        ),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_withdrawals_item_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_withdrawals_person_id")),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_withdrawals_signature_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_withdrawals")),
        sa.UniqueConstraint("discrepancy_id", name=op.f("uq_withdrawals_discrepancy_id")),
    )
    op.create_index(op.f("ix_withdrawals_item_id"), "withdrawals", ["item_id"])
