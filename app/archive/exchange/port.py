"""The port `app.inspection.exchange.Exchange` over the database."""

from sqlalchemy import select

from app.archive.exchange.context import Context, links_of
from app.archive.exchange.taking import Entered, take
from app.archive.records import SqlRecords
from app.archive.tables import aircraft, inspections
from app.errors import NotFound
from app.inspection.exchange import Bundle, Exchange, Listed, Taken, told_rows


class SqlExchange(Exchange):
    """Inspections out of and into a database; the archive's chain is read once, at the first bundle."""

    def __init__(self, records: SqlRecords) -> None:
        self._records = records
        self._context: Context | None = None
        self._entered = Entered()

    def listed(self) -> tuple[Listed, ...]:
        """Return all inspections, oldest first."""
        query = select(inspections.c.id, aircraft.c.registration, inspections.c.opened_at).join(
            aircraft, aircraft.c.id == inspections.c.aircraft_id
        )
        with self._records.look() as r:
            return tuple(
                Listed(*row) for row in r.connection.execute(query.order_by(inspections.c.opened_at))
            )

    def bundle(self, inspection_id: str) -> Bundle:
        """Return one inspection."""
        with self._records.look() as r:
            events = links_of(r.connection, inspection_id)
            if not events:
                msg = f"There is no inspection {inspection_id[:40]!r} in the archive."
                raise NotFound(msg)
            # What was read before another one's writing would not tell of this chain's last event.
            if self._context is None or not self._context.tells(events[-1]):
                self._context = Context(r.connection)
            context, signatures = self._context.of(inspection_id, told_rows(events))
        return Bundle(inspection_id, events, context, signatures)

    def take(self, bundle: Bundle) -> Taken:
        """Enter an inspection with its ids, hashes and signatures, in one transaction."""
        with self._records.begin() as work:
            return take(work, bundle, self._entered)
