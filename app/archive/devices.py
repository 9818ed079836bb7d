"""Devices in the database: the port `DeviceStore`."""

from datetime import datetime

from sqlalchemy import delete, insert, select, update

from app.archive import rows
from app.archive.records import SqlRecords
from app.archive.tables import KINDS, device_keys, sessions
from app.inspection.model import Person
from app.people.devices_model import Device
from app.people.devices_port import DeviceStore

_DEVICES = KINDS[Device]


class SqlDevices(DeviceStore):
    """Devices in the same database as the people."""

    _records: SqlRecords

    def add_device(self, by: Person, device: Device, token_hash: str) -> None:
        """Enter a device."""
        with self._records.begin() as work:
            work.enter("device-registered", by, None, device)
            work.connection.execute(insert(device_keys).values(device_id=device.id, token_hash=token_hash))

    def end_device(self, by: Person, device: Device) -> None:
        """Enter that a device was ended; its token and its sessions go in the same transaction."""
        with self._records.begin() as work:
            work.enter("device-ended", by, None, device)
            work.connection.execute(delete(device_keys).where(device_keys.c.device_id == device.id))
            work.connection.execute(delete(sessions).where(sessions.c.device_id == device.id))

    def devices(self) -> tuple[Device, ...]:
        """Return all devices."""
        with self._records.look() as r:
            return rows.found(r.connection, Device, {})

    def device_of(self, token_hash: str, at: datetime) -> Device | None:
        """Return the device with this token, or None."""
        query = select(_DEVICES).join(device_keys).where(device_keys.c.token_hash == token_hash)
        usable = query.where(_DEVICES.c.ended_at.is_(None), _DEVICES.c.expires_at > at)
        with self._records.look() as r:
            row = r.connection.execute(usable).first()
        return None if row is None else rows.entry(Device, row)

    def session_device(self, token_hash: str) -> tuple[bool, str | None]:
        """Return whether there is such a session, and its device."""
        query = select(sessions.c.device_id).where(sessions.c.token_hash == token_hash)
        with self._records.look() as r:
            row = r.connection.execute(query).first()
        return (False, None) if row is None else (True, row.device_id)

    def seen(self, device_id: str, at: datetime) -> None:
        """Keep when a device was last met."""
        with self._records.aside() as connection:
            mine = device_keys.c.device_id == device_id
            connection.execute(update(device_keys).where(mine).values(seen_at=at))

    def last_seen(self) -> dict[str, datetime]:
        """Return when each device was last met."""
        query = select(device_keys).where(device_keys.c.seen_at.is_not(None))
        with self._records.look() as r:
            return {row.device_id: row.seen_at for row in r.connection.execute(query)}
