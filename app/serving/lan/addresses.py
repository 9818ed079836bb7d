"""Which addresses of this machine others in the network can reach."""

import ipaddress
import socket
from contextlib import suppress

# Addresses kept for documents (RFC 5737, RFC 3849): a socket that is "connected" to one sends nothing,
# and its own end is the address that this machine would send from.
_ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))


def lan_addresses() -> tuple[str, ...]:
    """Return this machine's addresses without loopback, IPv4 first; empty where it is in no network."""
    found = set()
    for family, other in _ELSEWHERE:
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as trial:
                trial.connect((other, 9))
                found.add(str(trial.getsockname()[0]))
        except OSError:
            continue
    with suppress(OSError):
        found.update(str(one[4][0]) for one in socket.getaddrinfo(socket.gethostname(), None))
    usable = [address for address in map(_usable, found) if address is not None]
    return tuple(map(str, sorted(usable, key=lambda one: (one.version, one.packed))))


def host_name() -> str:
    """Return this machine's name in the network, empty where it has none that a certificate can carry."""
    name = socket.gethostname().rstrip(".").lower()
    plain = all(part and part.replace("-", "").isalnum() for part in name.split("."))
    return name if plain and name.isascii() and name != "localhost" else ""


def _usable(address: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        found = ipaddress.ip_address(address)
    except ValueError:  # a scoped address, which no other machine could write the same way
        return None
    return None if found.is_loopback or found.is_link_local or found.is_unspecified else found
