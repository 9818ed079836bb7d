"""The tables that the archive is searched by, with their indices; filled at the first search.

Revision 0004, released; it never changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables and indices."""
    op.create_table(
        "found_rows",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("leg_id", sa.String(length=32), nullable=False),
        sa.Column("aircraft_id", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Text(), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("second_id", sa.String(length=32), nullable=True),
        sa.Column("verdict", sa.String(length=40), nullable=False),
        sa.Column("grade", sa.String(length=20), nullable=True),
        sa.Column("photo", sa.String(length=64), nullable=True),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("expanded_u", sa.Double(), nullable=True),
        sa.Column("unit", sa.String(length=10), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_found_rows")),
    )
    op.create_index("ix_found_rows_inspection_id", "found_rows", ["inspection_id"])
    op.create_index("ix_found_rows_photo", "found_rows", ["photo"])
    op.create_index("ix_found_rows_at", "found_rows", ["at", "id", "words"])
    for name in ("leg_id", "aircraft_id", "position", "key", "person_id", "second_id", "verdict", "grade"):
        op.create_index(f"ix_found_rows_{name}", "found_rows", [name, "at", "id"])
    op.create_table(
        "found_up_to",
        sa.Column("form", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("form", name=op.f("pk_found_up_to")),
    )
