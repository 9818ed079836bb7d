"""Where everything is kept: the database, the photo files and the chain of events.

SQL is written here and nowhere else.

question                                              file
open, verify, close                                   archive.py
which database, how it is set up                      engine.py
which tables, what the schema refuses                 tables.py
how the schema came to be                             migrate.py, migrations/
a value in a column, a row as a dataclass             columns.py, rows.py
the ports                                             records.py, photos.py, people.py
events, their hashes and heads                        chain.py
is all as it was entered                              verify.py, replay.py
"""

from app.archive.archive import Archive, open_archive
from app.archive.verify import Fault, Verification

__all__ = ["Archive", "Fault", "Verification", "open_archive"]
