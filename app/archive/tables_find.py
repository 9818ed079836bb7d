"""The tables that the archive is searched by; derived from the records, and no part of them.

They can be emptied at any time: `find_rows` fills them again.  No keys refer to the records, so
that whoever deletes or moves records need not know of them.
"""

from sqlalchemy import Column, Double, Index, Integer, String, Table, Text

from app.archive.columns import Named, Utc
from app.archive.tables import metadata
from app.inspection.finding import FoundKind, FoundVerdict

_ID = String(32)

found_rows = Table(
    "found_rows",
    metadata,
    Column("id", _ID, primary_key=True),
    Column("kind", Named(FoundKind), nullable=False),
    Column("at", Utc, nullable=False),
    Column("inspection_id", _ID, nullable=False, index=True),
    Column("item_id", _ID, nullable=False),
    Column("leg_id", _ID, nullable=False),
    Column("aircraft_id", _ID, nullable=False),
    Column("position", Text, nullable=False),
    Column("key", String(80), nullable=False),
    Column("person_id", _ID, nullable=False),
    Column("second_id", _ID),
    Column("verdict", Named(FoundVerdict), nullable=False),
    Column("grade", String(20)),
    Column("photo", String(64), index=True),
    Column("value", Double),
    Column("expanded_u", Double),
    Column("unit", String(10)),
    Column("words", Text, nullable=False),
)

BY = ("leg_id", "aircraft_id", "position", "key", "person_id", "second_id", "verdict", "grade")
"""What rows are looked for by; each has an index in which they lie in the order of time."""

# Words are looked for in the index itself: it is a fraction of the table, in the order of the answer.
Index("ix_found_rows_at", found_rows.c.at, found_rows.c.id, found_rows.c.words)
for _name in BY:
    Index(f"ix_found_rows_{_name}", found_rows.c[_name], found_rows.c.at, found_rows.c.id)

# How far the rows follow the records: the number of the archive chain's event they were brought up to.
found_up_to = Table(
    "found_up_to",
    metadata,
    Column("form", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, nullable=False),
)
