"""The archive's own key: made once, kept beside the archive, and what it signs.

An Ed25519 key (RFC 8032) in a PEM file that only its owner may read.  The archive
holds the public half.  Whoever can write to the database and to the photos still
cannot sign, so a chain that was rewritten to its end is found.
"""

import os
import secrets
from pathlib import Path
from typing import NamedTuple

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from app.errors import ArchiveError
from app.inspection.canonical import sha256


class Signer(NamedTuple):
    """A private key with its public half.

    Attributes
    ----------
    key_id : str
        SHA-256 of the public key's 32 bytes, in hex.
    public : str
        The public key's 32 bytes in hex.
    """

    private: Ed25519PrivateKey
    key_id: str
    public: str

    def __repr__(self) -> str:
        return f"Signer({self.key_id[:16]})"

    def sign(self, number: int, hash_: str) -> str:
        """Return the signature of a head of the archive's chain, 64 bytes in hex."""
        return self.private.sign(signed_bytes(number, hash_)).hex()


def signer_of(private: Ed25519PrivateKey) -> Signer:
    """Return a private key with what names it."""
    public = private.public_key().public_bytes_raw()
    return Signer(private, sha256(public), public.hex())


def signed_bytes(number: int, hash_: str) -> bytes:
    """Return the bytes that a signature is made over: one line of ASCII with the event's number and hash."""
    return f"gearwitness archive head {number} {hash_}\n".encode("ascii")


def is_signed(public: str, signature: str, number: int, hash_: str) -> bool:
    """Tell whether this is this key's signature of this head; anything that is none is False."""
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public))
        key.verify(bytes.fromhex(signature), signed_bytes(number, hash_))
    except (InvalidSignature, ValueError, UnicodeEncodeError):
        return False
    return True


def load_key(path: Path) -> Signer | None:
    """Return the key in a file, or None where there is no such file.

    Raises
    ------
    ArchiveError
        It cannot be read, or holds no Ed25519 key.
    """
    try:
        data = path.read_bytes()
        private = load_pem_private_key(data, password=None)
    except FileNotFoundError:
        return None
    except OSError as error:
        msg = (
            f"The archive's key {path} cannot be read ({error.strerror}): "
            "give this program's account the right to."
        )
        raise ArchiveError(msg) from error
    except (ValueError, TypeError, UnsupportedAlgorithm):
        private = None
    if not isinstance(private, Ed25519PrivateKey):
        # Nothing of the file stands in the message: it may be another secret.
        msg = (
            f"{path} holds no Ed25519 key in PEM: "
            "restore the archive's key, or check the setting signing_key."
        )
        raise ArchiveError(msg) from None
    return signer_of(private)


def make_key(path: Path) -> Signer:
    """Make a key and its file; where another program was faster, return its key.

    Raises
    ------
    ArchiveError
        The file cannot be written.
    """
    private = Ed25519PrivateKey.generate()
    try:
        write_key(path, private)
    except FileExistsError:
        return load_key(path) or make_key(path)
    except OSError as error:
        msg = (
            f"The archive's key {path} cannot be written ({error.strerror}): "
            "give this program's account the right to, or set another place for it."
        )
        raise ArchiveError(msg) from error
    return signer_of(private)


def write_key(path: Path, private: Ed25519PrivateKey) -> None:
    """Write a key to a new file of mode 0600, whole or not at all, and make it durable.

    Raises
    ------
    FileExistsError
        There is a file of this name, which stays.
    OSError
        It cannot be written.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    pem = private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    under_way = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    opened = os.open(under_way, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(opened, "wb") as file:
            file.write(pem)
            file.flush()
            os.fsync(file.fileno())
        # A link, because a rename would take another one's place.
        os.link(under_way, path)
    finally:
        under_way.unlink(missing_ok=True)
    if os.name != "nt":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
