"""Photos and data that cannot be read end with 2 and name the file."""

import re
from pathlib import Path

import numpy as np
import pytest

from tests.app.cli_files import LEG, cli, leg_file, photo_file
from tests.scenes.photo_files import encoded, raw_png, smooth_picture

WHOLE = encoded(smooth_picture(64, 48))
# Says that it is 2.5 gigapixels; the data behind it are a few bytes.
BOMB = raw_png(np.zeros((1, 1, 3), np.uint8), 2, size=(50_000, 50_000))


def unreadable(words: str, *arguments: object) -> None:
    ended = cli("measure", "strut", *arguments)
    assert (ended.status, ended.out) == (2, "")
    assert re.search(words, ended.err), ended.err
    assert "Traceback" not in ended.err


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (WHOLE[:-200], r"p\.jpg: the JPEG file is cut short.* upload it again"),
        (LEG.encode(), r"p\.jpg: the file holds text and no picture"),
        (BOMB, r"p\.jpg: the photo says that it is 50000 x 50000 pixels.*megapixels"),
        (b"", r"p\.jpg: the file is empty"),
        (b"%PDF-1.7\n", r"p\.jpg: the file is a PDF document: a JPEG, HEIC or PNG photo was expected"),
        (bytes(range(256)), r"p\.jpg: the file is no photo of a known kind"),
    ],
    ids=["truncated", "text", "bomb", "empty", "pdf", "noise"],
)
def test_a_file_that_is_no_whole_photo_is_named(tmp_path: Path, data: bytes, words: str) -> None:
    photo = tmp_path / "p.jpg"
    photo.write_bytes(data)
    unreadable(words, photo, "--leg", leg_file(tmp_path))


def test_a_missing_photo_is_named(tmp_path: Path) -> None:
    words = r"none\.jpg: the photo cannot be read \(No such file or directory\): give the path"
    unreadable(words, tmp_path / "none.jpg", "--leg", leg_file(tmp_path))


def test_a_folder_is_no_photo(tmp_path: Path) -> None:
    unreadable(r"the photo cannot be read \(Is a directory\)", tmp_path, "--leg", leg_file(tmp_path))


def test_a_file_of_endless_length_is_not_read_to_its_end(tmp_path: Path) -> None:
    endless = tmp_path / "endless.jpg"
    with endless.open("wb") as file:
        file.truncate(10_000_000_000)  # sparse: takes no room
    unreadable(r"endless\.jpg: the file has 80 MB, more than", endless, "--leg", leg_file(tmp_path))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "piston_diameter_mm = 62.0",
            "piston_diameter_mm = 2.44",
            r"piston_diameter_mm = 2\.44 reads as 2\.44 mm; 2\.44 in would be 61\.98 mm.*--accept-units",
        ),
        (
            "collar_diameter_mm = 98.0",
            "collar_diameter_mm = 60.0",
            r"piston_diameter_mm = 62 contradicts collar_diameter_mm = 60",
        ),
        (
            "lower_mm = 82.55",
            "lower_mm = 92.55",
            r"lower_mm = 92\.55 contradicts extension_mm = 88\.9",
        ),
        ("piston_diameter_mm = 62.0", "piston_diamter_mm = 62.0", "piston_diamter_mm.*piston_diameter_mm"),
        ("collar_diameter_mm = 98.0", "", r"measuring the strut needs \[strut\] with collar_diameter_mm"),
        ("[strut]", "[strut", r"no valid TOML.*line 4"),
        ("88.9", "nan", "extension_mm"),
    ],
    ids=["inches", "contradiction", "limit", "unknown key", "missing key", "no TOML", "nan"],
)
def test_wrong_leg_data_name_the_file_and_the_keys(tmp_path: Path, old: str, new: str, words: str) -> None:
    leg = leg_file(tmp_path, LEG.replace(old, new))
    unreadable(f"LEG.toml: (.|\n)*{words}", photo_file(tmp_path), "--leg", leg)


def test_accept_units_takes_a_value_that_looks_like_another_unit(tmp_path: Path) -> None:
    leg = leg_file(tmp_path, LEG.replace("piston_diameter_mm = 62.0", "piston_diameter_mm = 12.0"))
    arguments = ("measure", "strut", photo_file(tmp_path, size=(20, 20)), "--leg", leg)
    assert cli(*arguments).status == 2
    assert cli(*arguments, "--accept-units").status == 3  # as far as the too small picture


def test_accept_units_does_not_cover_a_contradiction(tmp_path: Path) -> None:
    leg = leg_file(tmp_path, LEG.replace("98.0", "60.0"))
    unreadable("contradicts", photo_file(tmp_path), "--leg", leg, "--accept-units")
