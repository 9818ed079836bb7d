"""The command that evaluates a paired study: its words, its files, and what it cannot read."""

from pathlib import Path

import pytest

from app.commands.study import COLUMNS
from tests.app.cli_files import SPRING, Ended, cli, leg_file
from tests.vision.agreement.test_commissioning import pairs

HEADER = ",".join(COLUMNS)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    leg_file(tmp_path).rename(tmp_path / "leg.toml")
    return tmp_path


def lines(n: int = 24, **made: float) -> list[str]:
    return [
        f"{p.strut},{p.hand_mm},{p.hand_u_mm},{p.hand_by},{p.photo_mm},{p.photo_u_mm},{p.photo_by}"
        for p in pairs(n, **made)
    ]


def run(rows: list[str], *options: object, header: str = HEADER) -> Ended:
    Path("pairs.csv").write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return cli("study", "pairs.csv", "--leg", "leg.toml", "--allowed", "0.8", *options)


def test_a_study_that_carries_ends_with_0_and_writes_table_and_plot() -> None:
    ended = run(lines(), "--out", "out")
    assert (ended.status, ended.err) == (0, "")
    assert "24 of 24 pairs agree" in ended.out
    assert "once it is approved" in ended.out
    assert "# Paired study: 24 pairs of 3 struts" in Path("out/study.md").read_text(encoding="utf-8")
    assert Path("out/study.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_study_that_lacks_something_ends_with_3_and_says_what_to_do() -> None:
    ended = run(lines(12))
    assert (ended.status, ended.err) == (3, "")
    assert "Photo readings stay supporting:" in ended.out
    assert "12 pairs are too few: measure at least 20" in ended.out


def test_pairs_that_do_not_agree_are_named() -> None:
    ended = run(lines(bias=0.9))
    assert ended.status == 3
    assert "not agreed: strut 0, photo" in ended.out


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("s,84,0.3,A,84,,C", "pairs.csv line 4: photo_u_mm is ''"),
        ("s,84 mm,0.3,A,84,0.2,C", "line 4: hand_mm is '84 mm'"),
        ("s,84,0.3, ,84,0.2,C", "line 4: hand_by is empty"),
        ("s,84,0.3,A,-84,0.2,C", "line 4: photo_mm is '-84'"),
    ],
)
def test_a_wrong_line_is_told_with_its_number(row: str, says: str) -> None:
    ended = run([*lines()[:2], row])
    assert (ended.status, ended.out) == (2, "")
    assert says in ended.err


def test_a_missing_column_few_pairs_and_a_leg_without_limits_are_wrong_use() -> None:
    ended = run(lines(), header=HEADER.replace("hand_by", "by"))
    assert (ended.status, ended.out) == (2, "")
    assert "no column hand_by" in ended.err
    assert "3 pairs or more" in run(lines()[:2]).err
    assert "nothing.csv" in cli("study", "nothing.csv", "--leg", "leg.toml", "--allowed", "1").err
    Path("leg.toml").write_text(SPRING, encoding="utf-8")
    assert "no lower and upper limit" in run(lines()).err
