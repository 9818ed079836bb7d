"""Inspections that leave the archive and come into it, and the archive as a whole: copied, moved, thinned.

question                                                  file
the port `app.inspection.exchange.Exchange`               port.py
which of the archive's events tell of an inspection       context.py
entering an inspection that was exported                  taking.py
which files rows name, which are deleted                  told.py
photos deleted by a recorded act                          deleting.py
every table and file into another archive                 moving.py
a copy of a living archive, and back                      backup.py
"""

from app.archive.exchange.port import SqlExchange

__all__ = ["SqlExchange"]
