import json
import math
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.canonical import canonical, plain, sha256, utc_text
from app.inspection.model import HandReading, Role

FINITE = st.floats(allow_nan=False, allow_infinity=False)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | FINITE | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"])), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(FINITE)
def test_a_float_comes_back_to_its_last_bit(number: float) -> None:
    back = json.loads(canonical({"x": number}))["x"]
    assert (back, math.copysign(1, back), type(back)) == (number, math.copysign(1, number), float)


@given(JSON)
def test_reading_and_writing_again_gives_the_same_bytes(value: object) -> None:
    data = canonical(value)
    assert canonical(json.loads(data)) == data


@given(st.dictionaries(st.text(st.characters(exclude_categories=["Cs"])), st.integers(), min_size=2))
def test_the_order_of_keys_does_not_matter(value: dict[str, int]) -> None:
    assert canonical(dict(reversed(value.items()))) == canonical(value)


def test_the_form_is_frozen() -> None:
    value = {"b": [1, 1.0, 0.1, 1e22, None, True], "a": 'ü "\n', "": -0.0}
    assert canonical(value) == '{"":-0.0,"a":"ü \\"\\n","b":[1,1.0,0.1,1e+22,null,true]}'.encode()
    assert (
        sha256(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    )  # FIPS 180, from memory


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(number: float) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical([number])


def test_what_has_no_one_form_is_refused() -> None:
    with pytest.raises(TypeError, match="bytes has no canonical form"):
        canonical({"photo": b"x"})
    with pytest.raises(TypeError, match="keys have to be text, got 1"):
        canonical({1: "x"})


def test_text_that_utf_8_cannot_carry_is_refused() -> None:
    with pytest.raises(UnicodeEncodeError):
        canonical("\ud800")


@given(st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=9, minutes=30))]), min_value=datetime(2000, 1, 1)))  # fmt: skip
def test_every_datetime_is_written_in_utc_and_sorts_as_text(at: datetime) -> None:
    text = utc_text(at)
    assert (datetime.fromisoformat(text), text[-6:], len(text)) == (at, "+00:00", 32)
    assert utc_text(at + timedelta(microseconds=1)) > text


def test_a_datetime_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        utc_text(datetime(2024, 5, 1))


def test_a_dataclass_is_written_by_its_fields() -> None:
    at = datetime(2024, 5, 1, 8, tzinfo=UTC)
    assert plain(HandReading("i", "j", "p", 88.9, 0.5, "rule", at)) == {
        "id": "i", "item_id": "j", "person_id": "p", "value_mm": 88.9, "expanded_u_mm": 0.5,
        "instrument": "rule", "at": "2024-05-01T08:00:00.000000+00:00", "round": 0,
    }  # fmt: skip
    assert plain((Role.MECHANIC, frozenset({Role.MECHANIC, Role.INSPECTOR}))) == [
        "mechanic",
        ["inspector", "mechanic"],
    ]
