"""The cards to print: which files, which copy, never over a shop's own work."""

import json
import re
from pathlib import Path

import pypdfium2
import pytest

from tests.app.cli_files import cli
from vision.card import load_card, supplied_cards


def pages(path: Path) -> list[str]:
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_bounded() for page in document]


def test_cards_and_leg_tags_are_written_and_named_with_the_caution(tmp_path: Path) -> None:
    ended = cli("cards", "--out", tmp_path / "cards")
    names = ["strip-101.pdf", "strip.json", "plate-101.pdf", "plate.json", "leg-tags.pdf"]
    assert (ended.status, ended.err) == (0, "")
    assert sorted(path.name for path in (tmp_path / "cards").iterdir()) == sorted(names)
    assert all(str(tmp_path / "cards" / name) in ended.out for name in names)
    assert "Print at 100 % (actual size), then measure both check bars" in ended.out


def test_each_card_is_one_page_with_its_copy_number(tmp_path: Path) -> None:
    assert cli("cards", "--out", tmp_path, "--copy", "399").status == 0
    for name in ("strip", "plate"):
        (page,) = pages(tmp_path / f"{name}-399.pdf")
        assert "copy 399" in page


def test_the_leg_tags_are_one_page_of_twelve(tmp_path: Path) -> None:
    cli("cards", "--out", tmp_path)
    (page,) = pages(tmp_path / "leg-tags.pdf")
    assert [int(number) for number in re.findall(r"leg tag (\d+)", page)] == list(range(400, 412))


def test_the_definitions_are_those_of_the_supplied_cards(tmp_path: Path) -> None:
    cli("cards", "--out", tmp_path)
    for card in supplied_cards():
        assert load_card(tmp_path / f"{card.name}.json").marker_ids == card.marker_ids


def test_a_second_copy_goes_into_the_same_folder(tmp_path: Path) -> None:
    cli("cards", "--out", tmp_path)
    assert cli("cards", "--out", tmp_path, "--copy", "102").status == 0
    assert {path.name for path in tmp_path.glob("strip*")} == {"strip-101.pdf", "strip-102.pdf", "strip.json"}


def test_a_definition_that_a_shop_changed_is_not_written_over(tmp_path: Path) -> None:
    cli("cards", "--out", tmp_path)
    own = json.dumps(json.loads((tmp_path / "strip.json").read_text(encoding="utf-8")) | {"name": "own"})
    (tmp_path / "strip.json").write_text(own, encoding="utf-8")
    ended = cli("cards", "--out", tmp_path, "--copy", "102")
    assert (ended.status, ended.out) == (2, "")
    assert "strip.json differs from the supplied card: rename it, or write to another folder" in ended.err
    assert (tmp_path / "strip.json").read_text(encoding="utf-8") == own
    assert not (tmp_path / "strip-102.pdf").exists()


@pytest.mark.parametrize("number", ["99", "400", "0", "-1", "101.5", "1e2", "١٠١", "abc", "0101"])
def test_a_number_that_no_copy_can_have_is_wrong_use(tmp_path: Path, number: str) -> None:
    ended = cli("cards", "--out", tmp_path / "cards", f"--copy={number}")
    assert (ended.status, ended.out) == (2, "")
    assert "is no copy number: choose a whole number from 100 to 399" in ended.err
    assert not (tmp_path / "cards").exists()


def test_a_folder_whose_parent_is_missing_is_wrong_use(tmp_path: Path) -> None:
    ended = cli("cards", "--out", tmp_path / "none" / "cards")
    assert (ended.status, ended.out) == (2, "")
    assert re.search("the folder .*none does not exist: make it, or write elsewhere", ended.err)


def test_a_file_in_the_folders_place_is_wrong_use(tmp_path: Path) -> None:
    (tmp_path / "cards").write_text("mine", encoding="utf-8")
    ended = cli("cards", "--out", tmp_path / "cards")
    assert (ended.status, ended.out) == (2, "")
    assert "does not exist" not in ended.err and "is a file" in ended.err
