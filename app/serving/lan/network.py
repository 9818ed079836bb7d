"""What a server in the network is: where it listens, by which names, with which certificate."""

from dataclasses import dataclass
from urllib.parse import urlencode

from app.bootstrap import is_loopback
from app.errors import UsageError
from app.people.devices_model import PairingCode
from app.serving.gate import PAIR
from app.serving.lan.addresses import host_name, lan_addresses
from app.serving.lan.certificate import Certificate, given_certificate, own_certificate, utc_now
from app.settings import Settings

DEVICES = "/devices"
EVERY_ADDRESS = "0.0.0.0"  # all of them: `--lan` asks for just this
_LOOPBACK = ("127.0.0.1", "localhost")


@dataclass(frozen=True)
class Network:
    """A server that phones reach.

    Attributes
    ----------
    address : str
        What the server listens on.
    shown : tuple of str
        The addresses by which phones reach it, the first on the QR code.
    is_own : bool
        Whether the certificate was made here, and is renewed here.
    """

    certificate: Certificate
    address: str
    shown: tuple[str, ...]
    port: int
    is_own: bool

    @property
    def url(self) -> str:
        """The address that a phone opens."""
        return url_of(self.shown[0], self.port)

    @property
    def hosts(self) -> tuple[str, ...]:
        """The names under which it answers."""
        return tuple(dict.fromkeys((*_LOOPBACK, *self.shown, *self.certificate.names)))

    def pairing_url(self, code: PairingCode) -> str:
        """Return the address that a new phone opens."""
        return f"{self.url}{PAIR}?{urlencode({'code': code.code})}"


def network_of(settings: Settings) -> Network:
    """Return the network that these settings describe; the own certificate is made or renewed.

    Raises
    ------
    UsageError
        There is no network, or the certificate cannot be used.
    """
    fixed = "" if is_loopback(settings.address) or settings.address == EVERY_ADDRESS else settings.address
    # Listening on all of IPv4's, so an address of IPv6 would lead nowhere.
    found = (fixed,) if fixed else tuple(one for one in lan_addresses() if ":" not in one)
    names = tuple(dict.fromkeys((*settings.lan_names, *found)))
    if settings.certificate is not None and settings.certificate_key is not None:
        certificate = given_certificate(settings.certificate, settings.certificate_key, utc_now())
        # The name that the certificate is for is the one to open.
        fitting = [name for name in names if name in certificate.names]
        named = [name for name in certificate.names if name not in _LOOPBACK and not name.startswith("*")]
        names = tuple(dict.fromkeys((*fitting, *named, *names)))
    elif settings.certificate is not None or settings.certificate_key is not None:
        msg = "a certificate and its key go together: give both --certificate and --key, or neither"
        raise UsageError(msg)
    else:
        own = host_name()
        certificate = own_certificate(settings.home, (*names, *([own] if own else []), *_LOOPBACK), utc_now())
    if not names:
        msg = "this machine is in no network, so no phone can reach it: connect it, or leave out --lan"
        raise UsageError(msg)
    is_own = settings.certificate is None
    return Network(certificate, fixed or EVERY_ADDRESS, names, settings.port, is_own)


def url_of(name: str, port: int) -> str:
    """Return the address of a name or number, which for IPv6 stands in brackets."""
    return f"https://[{name}]:{port}" if ":" in name else f"https://{name}:{port}"
