"""How the schema came to be, step by step; run by `app.archive.migrate`.

A revision that is released never changes: a new one follows it, and an archive of
each is kept for the tests (tests/app/archive/write_revision.py).
"""
