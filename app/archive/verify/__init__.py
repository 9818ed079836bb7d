"""Does the archive still hold what was entered: chains, signatures, rows, files.

question                                              file
what is found, and how far it is                      found.py
do the chains follow, and end where they should       chains.py
did the archive's key sign this chain                 heads.py
is this the chain whose head was printed              anchors.py
are rows and signatures what the events say           rows.py
does each file have the hash that names it            files.py
all of it, in order                                   whole.py

Whoever changes rows, files and every hash after them together still lacks the
archive's key.  Whoever has that too is found by an anchor: a head that was kept
where he cannot reach it.
"""

from app.archive.verify.found import Fault, Progress, Verification
from app.archive.verify.whole import verify

__all__ = ["Fault", "Progress", "Verification", "verify"]
