"""What the use cases about devices need from outside; `app.archive` implements it."""

from abc import ABC, abstractmethod
from datetime import datetime

from app.inspection.model import Person
from app.people.devices_model import Device


class DeviceStore(ABC):
    """Where devices are kept; of a device's token only the hash."""

    @abstractmethod
    def add_device(self, by: Person, device: Device, token_hash: str) -> None:
        """Enter a device, with an event in the archive's chain."""

    @abstractmethod
    def end_device(self, by: Person, device: Device) -> None:
        """Enter that a device was ended, with an event; its token and all its sessions go."""

    @abstractmethod
    def devices(self) -> tuple[Device, ...]:
        """Return all devices, in no promised order."""

    @abstractmethod
    def device_of(self, token_hash: str, at: datetime) -> Device | None:
        """Return the device with this token that may be used at this time, or None."""

    @abstractmethod
    def session_device(self, token_hash: str) -> tuple[bool, str | None]:
        """Return whether there is such a session, and on which device it was begun (None: on none)."""

    @abstractmethod
    def seen(self, device_id: str, at: datetime) -> None:
        """Keep when a device was last met; no part of the record."""

    @abstractmethod
    def last_seen(self) -> dict[str, datetime]:
        """Return when each device was last met, by the device's id."""
