"""Identities of a shop's provider, linked to persons.

Revision 0007.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006p"
branch_labels = None
depends_on = None

_COUNTS = sa.text("ended_at IS NULL")


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "identity_links",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("issuer", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("linked_at", sa.String(length=32), nullable=False),
        sa.Column("ended_at", sa.String(length=32), nullable=True),
        sa.Column("ended_by", sa.String(length=32), nullable=True),
        sa.CheckConstraint("(ended_by IS NULL) = (ended_at IS NULL)", name=op.f("ck_identity_links_ended")),
        sa.ForeignKeyConstraint(["ended_by"], ["persons.id"], name=op.f("fk_identity_links_ended_by")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_identity_links_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_identity_links")),
    )
    op.create_index(
        op.f("uq_identity_links_counting"),
        "identity_links",
        ["issuer", "subject"],
        unique=True,
        sqlite_where=_COUNTS,
        postgresql_where=_COUNTS,
    )
