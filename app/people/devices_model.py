"""What is kept about a phone or tablet that may reach the server over the network."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Device:
    """A registered phone: who registered it, until when, and who ended that.

    Others may sign in on it too, each by his own password.
    """

    id: str
    name: str
    person_id: str
    registered_at: datetime
    expires_at: datetime
    ended_at: datetime | None = None
    ended_by: str | None = None


@dataclass(frozen=True)
class PairingCode:
    """What a new device has to show once, and until when."""

    code: str
    expires_at: datetime

    @property
    def spaced(self) -> str:
        """The code as it is read and typed."""
        half = len(self.code) // 2
        return f"{self.code[:half]} {self.code[half:]}"
