"""The archive's keys, and the signatures of its chain's heads.

Revision 0002, released; it never changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "archive_keys",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("public", sa.String(length=64), nullable=False),
        sa.Column("entered_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_archive_keys")),
    )
    op.create_table(
        "head_signatures",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("key_id", sa.String(length=64), nullable=False),
        sa.Column("signature", sa.String(length=128), nullable=False),
        sa.ForeignKeyConstraint(["key_id"], ["archive_keys.id"], name=op.f("fk_head_signatures_key_id")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_head_signatures")),
    )
