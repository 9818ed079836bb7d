import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from app.errors import UsageError
from app.serving.lan.addresses import lan_addresses
from app.serving.lan.certificate import LASTS, given_certificate, own_certificate

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
NAMES = ("192.0.2.7", "gear.example", "127.0.0.1")


def test_the_own_certificate_names_the_addresses_and_its_key_is_its_owners_alone(tmp_path: Path) -> None:
    made = own_certificate(tmp_path, NAMES, NOW)
    assert set(made.names) == set(NAMES)
    assert made.key.stat().st_mode & 0o777 == 0o600
    assert made.key.parent.stat().st_mode & 0o777 == 0o700
    assert made.until - NOW <= LASTS
    ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(made.certificate, made.key)
    read = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    assert not read.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_it_is_made_once_and_renewed_in_its_last_days_with_the_same_key(tmp_path: Path) -> None:
    first = own_certificate(tmp_path, NAMES, NOW)
    key = first.key.read_bytes()
    assert own_certificate(tmp_path, NAMES, NOW + timedelta(days=360)) == first
    later = own_certificate(tmp_path, NAMES, NOW + timedelta(days=370))
    assert later.fingerprint != first.fingerprint
    assert later.until > first.until
    assert later.key.read_bytes() == key
    assert own_certificate(tmp_path, NAMES, NOW + timedelta(days=5000)).until > NOW + timedelta(days=5000)


def test_an_address_that_came_later_gets_into_it_beside_the_others(tmp_path: Path) -> None:
    own_certificate(tmp_path, NAMES, NOW)
    later = own_certificate(tmp_path, ("192.0.2.9",), NOW + timedelta(days=1))
    assert set(later.names) == {"192.0.2.9", *NAMES}


def test_a_damaged_file_is_named(tmp_path: Path) -> None:
    made = own_certificate(tmp_path, NAMES, NOW)
    made.key.write_text("no key", encoding="ascii")
    with pytest.raises(UsageError, match=r"key\.pem is no private key"):
        own_certificate(tmp_path, NAMES, NOW)


def test_a_given_certificate_has_to_count_now_and_to_fit_its_key(tmp_path: Path) -> None:
    one = own_certificate(tmp_path / "one", NAMES, NOW)
    other = own_certificate(tmp_path / "other", NAMES, NOW)
    assert given_certificate(one.certificate, one.key, NOW).fingerprint == one.fingerprint
    with pytest.raises(UsageError, match="is not the key of"):
        given_certificate(one.certificate, other.key, NOW)
    with pytest.raises(UsageError, match=r"counts from .* and not now"):
        given_certificate(one.certificate, one.key, NOW + LASTS)
    with pytest.raises(UsageError, match="is no certificate"):
        given_certificate(one.key, one.key, NOW)
    with pytest.raises(UsageError, match="is no certificate"):
        given_certificate(tmp_path / "none.pem", one.key, NOW)


def test_no_address_of_this_machine_is_one_that_others_cannot_reach() -> None:
    assert not {"127.0.0.1", "::1", "0.0.0.0"} & set(lan_addresses())
