"""The server's certificate: made once in the archive's folder and renewed, or given by the shop.

The own one is signed by itself (X.509, RFC 5280) with a P-256 key that only its owner
may read.  A phone warns of it once, and its owner compares the fingerprint with the one
on the desk's screen.  Renewing keeps the key.
"""

import ipaddress
import os
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.types import PrivateKeyTypes, PublicKeyTypes
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from app.errors import UsageError

LASTS = timedelta(days=397)
"""Browsers refuse server certificates that last longer than 398 days."""

RENEWED_BEFORE = timedelta(days=30)
_MOST_NAMES = 40
FOLDER, CERTIFICATE, KEY = "tls", "certificate.pem", "key.pem"


@dataclass(frozen=True)
class Certificate:
    """A server's certificate with its key's file.

    Attributes
    ----------
    names : tuple of str
        The addresses and names that it is for.
    fingerprint : str
        SHA-256 of the certificate in hex, in pairs, as browsers show it.
    """

    certificate: Path
    key: Path
    names: tuple[str, ...]
    until: datetime
    fingerprint: str


def own_certificate(home: Path, names: Iterable[str], now: datetime) -> Certificate:
    """Return the own certificate for these names, made or renewed where that is due.

    Parameters
    ----------
    home : Path
        The archive's folder.
    names : iterable of str
        The addresses and names by which the server is reached.

    Raises
    ------
    UsageError
        The folder cannot be written, or a file in it is damaged.
    """
    folder = home / FOLDER
    certificate, key = folder / CERTIFICATE, folder / KEY
    wanted = tuple(dict.fromkeys(names))
    if certificate.exists() and key.exists():
        found = given_certificate(certificate, key, now, may_be_over=True)
        if set(wanted) <= set(found.names) and found.until - now > RENEWED_BEFORE:
            return found
        wanted = tuple(dict.fromkeys((*wanted, *found.names)))[:_MOST_NAMES]
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        private = _key(key)
        _write(certificate, _signed(private, wanted, now).public_bytes(Encoding.PEM))
    except OSError as error:
        msg = f"the certificate cannot be kept in {folder} ({error.strerror or error}): make room or rights"
        raise UsageError(msg) from error
    return given_certificate(certificate, key, now)


def given_certificate(
    certificate: Path, key: Path, now: datetime, *, may_be_over: bool = False
) -> Certificate:
    """Return a certificate that is there, checked.

    Raises
    ------
    UsageError
        A file cannot be read, they do not belong together, the certificate names no address, or it
        does not count now.
    """
    try:
        read = x509.load_pem_x509_certificate(certificate.read_bytes())
    except (OSError, ValueError) as error:
        msg = (
            f"{certificate} is no certificate that can be used ({error}): give a PEM file with --certificate"
        )
        raise UsageError(msg) from error
    private = _loaded(key)
    if _public(read.public_key()) != _public(private.public_key()):
        msg = f"{key} is not the key of {certificate}: give the two that were made together"
        raise UsageError(msg)
    until = read.not_valid_after_utc
    if not may_be_over and not read.not_valid_before_utc <= now < until:
        msg = (
            f"{certificate} counts from {read.not_valid_before_utc:%d %b %Y} to {until:%d %b %Y}, and not "
            "now: give a new one, or none to have one made"
        )
        raise UsageError(msg)
    names = _names(read)
    if not names:
        msg = f"{certificate} names no address: browsers refuse it; give one with subjectAltName"
        raise UsageError(msg)
    return Certificate(certificate, key, names, until, read.fingerprint(hashes.SHA256()).hex(":").upper())


def _key(path: Path) -> ec.EllipticCurvePrivateKey:
    if path.exists():
        found = _loaded(path)
        if isinstance(found, ec.EllipticCurvePrivateKey):
            return found
    private = ec.generate_private_key(ec.SECP256R1())
    _write(path, private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    return private


def _loaded(path: Path) -> PrivateKeyTypes:
    try:
        return load_pem_private_key(path.read_bytes(), password=None)
    except (OSError, ValueError, TypeError, UnsupportedAlgorithm) as error:
        msg = f"{path} is no private key that can be used ({error}): give a PEM file without a password"
        raise UsageError(msg) from error


def _signed(private: ec.EllipticCurvePrivateKey, names: Iterable[str], now: datetime) -> x509.Certificate:
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Gearwitness on this machine")])
    public = private.public_key()
    usage = x509.KeyUsage(
        digital_signature=True, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=False, crl_sign=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    identifier = x509.SubjectKeyIdentifier.from_public_key(public)
    return (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        # Clocks of phones differ from the desk's.
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now - timedelta(hours=1) + LASTS)
        .add_extension(x509.SubjectAlternativeName(list(map(_general, names))), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(identifier, critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(identifier), critical=False
        )
        .sign(private, hashes.SHA256())
    )


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _public(key: PublicKeyTypes) -> bytes:
    return key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)


def _names(read: x509.Certificate) -> tuple[str, ...]:
    try:
        found = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return ()
    addresses = [str(one) for one in found.get_values_for_type(x509.IPAddress)]
    return (*addresses, *found.get_values_for_type(x509.DNSName))


def _write(path: Path, data: bytes) -> None:
    """Write a file whole, readable by its owner alone from its first byte on."""
    under_way = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    try:
        with os.fdopen(os.open(under_way, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        under_way.replace(path)
    finally:
        with suppress(OSError):
            under_way.unlink(missing_ok=True)


def utc_now() -> datetime:
    """Return the present time, aware."""
    return datetime.now(UTC)
