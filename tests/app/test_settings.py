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
        "SESSION_HOURS": "1", "LARGEST_UPLOAD_MB": "99", "DATABASE": "postgresql://gear@db/gear",
        "PHOTOS": "s3://photos/gear", "PHOTOS_ENDPOINT": "https://s3.example", "PHOTOS_KEY": "a",
        "PHOTOS_SECRET": "b", "SIGNING_KEY": "/srv/gear.key",
    }  # fmt: skip
    found = read({PREFIX + name: value for name, value in told.items()})
    assert found == Settings(
        Path("/srv/gear"), "0.0.0.0", 80, True, 1, 99, "postgresql://gear@db/gear", "s3://photos/gear",
        "https://s3.example", "a", "b", Path("/srv/gear.key"),
    )  # fmt: skip


def test_no_secret_is_shown_with_the_settings_or_with_what_is_wrong_in_them() -> None:
    told = {"DATABASE": "postgresql://gear:hush@db/gear", "PHOTOS_KEY": "hush", "PHOTOS_SECRET": "hush"}
    assert "hush" not in repr(read({PREFIX + name: value for name, value in told.items()}))
    with pytest.raises(
        UsageError, match="GEARWITNESS_DATABASE is not to be used: it has to be empty"
    ) as caught:
        read({PREFIX + "DATABASE": "mysql://gear:hush@db/gear"})
    assert "hush" not in str(caught.value)


def test_photos_may_lie_in_another_folder() -> None:
    assert read({PREFIX + "PHOTOS": "~/photos"}).photos == str(Path.home() / "photos")


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
        (
            "DATABASE",
            "gear.sqlite3",
            "GEARWITNESS_DATABASE is not to be used: it has to be empty, for a file",
        ),
        ("DATABASE", "postgresql://", "or postgresql://USER@HOST:PORT/NAME"),
        ("PHOTOS", "s3://", "GEARWITNESS_PHOTOS is 's3://': it has to be empty"),
        ("PHOTOS", "ftp://photos", "another folder, or s3://BUCKET/PREFIX"),
        ("PHOTOS_ENDPOINT", "s3.example", "begins with https:// or http://"),
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
