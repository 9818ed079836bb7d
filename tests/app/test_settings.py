from pathlib import Path

import pytest

from app.errors import UsageError
from app.settings import PREFIX, TABLE, Settings, read


def test_nothing_set_gives_the_tables_defaults_which_are_the_classes_own() -> None:
    assert read({"PATH": "/bin"}) == Settings(home=Path.home() / "gearwitness")


def test_the_table_and_the_class_name_the_same_settings() -> None:
    assert [setting.name for setting in TABLE] == list(Settings.__dataclass_fields__)
    assert all(setting.sentence.endswith(".") for setting in TABLE)


def test_every_setting_is_read_from_its_variable() -> None:
    told = {
        "HOME": "/srv/gear", "ADDRESS": "0.0.0.0", "PORT": "80", "DEMO": "Yes",
        "SESSION_HOURS": "1", "LARGEST_UPLOAD_MB": "99",
    }  # fmt: skip
    found = read({PREFIX + name: value for name, value in told.items()})
    assert found == Settings(Path("/srv/gear"), "0.0.0.0", 80, True, 1, 99)


def test_an_empty_variable_is_not_set() -> None:
    assert read({PREFIX + "PORT": ""}).port == 8501


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("PORT", "http", "GEARWITNESS_PORT is 'http': it has to be a whole number from 1 to 65535"),
        ("PORT", "0", "GEARWITNESS_PORT is '0'"),
        ("PORT", "²", "GEARWITNESS_PORT"),
        ("SESSION_HOURS", "-1", "GEARWITNESS_SESSION_HOURS is '-1'"),
        ("LARGEST_UPLOAD_MB", "1.5", "GEARWITNESS_LARGEST_UPLOAD_MB"),
        ("DEMO", "maybe", "GEARWITNESS_DEMO is 'maybe': it has to be yes or no"),
        ("ADDRESS", "local host", "GEARWITNESS_ADDRESS is 'local host': it has to be an address"),
    ],
)
def test_a_wrong_value_is_told_with_its_variable(name: str, value: str, said: str) -> None:
    with pytest.raises(UsageError, match=said):
        read({PREFIX + name: value})


def test_a_variable_that_is_no_setting_is_told_with_the_nearest_one() -> None:
    with pytest.raises(UsageError, match=r"GEARWITNESS_PROT is no setting: did you mean GEARWITNESS_PORT\?"):
        read({PREFIX + "PROT": "80"})
    with pytest.raises(UsageError, match="there are GEARWITNESS_HOME, GEARWITNESS_ADDRESS"):
        read({PREFIX + "QQQQQQQ": "80"})
