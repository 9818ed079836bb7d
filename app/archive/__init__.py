"""Where everything is kept: the database, the photo files and the chain of events.

SQL is written here and nowhere else.

question                                              file
open, verify, close                                   archive.py
which database, how it is set up                      engine.py, sqlite.py, postgres.py
what the database refuses, in our own words           failures.py
which tables, what the schema refuses                 tables.py
how the schema came to be                             migrate.py, migrations/
a value in a column, a row as a dataclass             columns.py, rows.py
records and people, behind their ports                records.py, people.py
photos in a folder or a bucket, behind one interface  store.py, photos.py, bucket.py
events, their hashes and heads                        chain.py
the archive's key and what it signs                   keys.py
is all as it was entered                              verify/, replay.py
settled work found, a page at a time                  find.py, find_rows.py, tables_find.py
out of the archive and into it                        exchange/
"""

from app.archive.archive import DATABASE, Archive, open_archive
from app.archive.bucket import Access
from app.archive.store import PhotoStore
from app.archive.verify import Fault, Progress, Verification
from app.archive.verify.anchors import anchor_of

__all__ = [
    "DATABASE",
    "Access",
    "Archive",
    "Fault",
    "PhotoStore",
    "Progress",
    "Verification",
    "anchor_of",
    "open_archive",
]
