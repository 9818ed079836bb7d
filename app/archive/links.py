"""Whose an identity is, in the database: the port `LinkStore`."""

from typing import Any

from sqlalchemy import Select, delete, select

from app.archive import rows
from app.archive.records import SqlRecords
from app.archive.tables import KINDS, sessions
from app.errors import Conflict
from app.inspection.model import Person
from app.people.links_model import Identity, IdentityLink
from app.people.links_port import LinkStore

_LINKS = KINDS[IdentityLink]


class SqlLinks(LinkStore):
    """Links in the same database as the people."""

    _records: SqlRecords

    def add_link(self, by: Person, link: IdentityLink) -> None:
        """Enter a link, or raise Conflict where the identity is somebody's."""
        with self._records.begin() as work:
            # All writers hold the archive chain's head, so nobody links between this look and the entry.
            if work.connection.execute(_counting(Identity(link.issuer, link.subject))).first() is not None:
                msg = "This account of the provider is linked already: end that link first."
                raise Conflict(msg)
            work.enter("identity-linked", by, None, link)

    def end_link(self, by: Person, link: IdentityLink) -> None:
        """Enter that a link was ended; the person's sessions go in the same transaction."""
        with self._records.begin() as work:
            work.enter("identity-ended", by, None, link)
            work.connection.execute(delete(sessions).where(sessions.c.person_id == link.person_id))

    def links(self) -> tuple[IdentityLink, ...]:
        """Return all links."""
        with self._records.look() as r:
            return rows.found(r.connection, IdentityLink, {})

    def linked(self, identity: Identity) -> IdentityLink | None:
        """Return the link of an identity that counts, or None."""
        with self._records.look() as r:
            row = r.connection.execute(_counting(identity)).first()
        return None if row is None else rows.entry(IdentityLink, row)


def _counting(identity: Identity) -> Select[Any]:
    return select(_LINKS).where(
        _LINKS.c.issuer == identity.issuer, _LINKS.c.subject == identity.subject, _LINKS.c.ended_at.is_(None)
    )
