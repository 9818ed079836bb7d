"""What the terminal says of a server in the network: address, code, fingerprint."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.people.devices_model import PairingCode
    from app.serving.lan.network import Network


def network_told(network: "Network", code: "PairingCode") -> str:
    """Return it as text, with a QR code that registers one phone."""
    from app.serving.lan.network import EVERY_ADDRESS  # noqa: PLC0415
    from app.serving.lan.qr import terminal_qr  # noqa: PLC0415 - needed only with --lan

    certificate = network.certificate
    others = ", ".join(network.shown[1:])
    renewed = "renewed at a start in its last 30 days" if network.is_own else "given, so renew it yourself"
    everywhere = network.address == EVERY_ADDRESS
    here = f"; on this machine https://127.0.0.1:{network.port}" if everywhere else ""
    return (
        f"{terminal_qr(network.pairing_url(code))}\n"
        f"Gearwitness: {network.url}{f' (also {others})' if others else ''}{here}\n"
        f"Scan to register one phone until {code.expires_at:%H:%M} UTC, or type the code {code.spaced}\n"
        "there; "
        "the page Phones at the desk shows further codes.\n"
        f"Certificate until {certificate.until:%d %b %Y}, {renewed}; SHA-256\n{certificate.fingerprint}\n"
        "Stop with Ctrl-C."
    )
