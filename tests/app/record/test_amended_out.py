"""Times put right and a reading withdrawn after the sign-off, in every form of the record."""

from pathlib import Path

import pytest

from app.archive import open_archive
from app.inspection.rounds.model import CorrectedTimes, Withdrawal
from tests.app.inspection.rounds.test_amending import RIGHT, TYPED, WHY, put_right, signed, withdraw
from tests.app.record.test_export import exported, record_of, the_folder, verified
from tests.app.record.test_import import taken
from tests.app.record.test_work_record import paper_of, words_of
from tests.app.rounds_house import TIMES, RoundHouse

__all__ = ["signed"]


@pytest.fixture
def amended(signed: RoundHouse) -> RoundHouse:
    put_right(signed)
    withdraw(signed)
    return signed


def test_the_paper_tells_both_and_what_was_signed(amended: RoundHouse) -> None:
    said = words_of(paper_of(amended))
    for words in (
        "Times put right after sign-off", TYPED, "Readings withdrawn after sign-off", WHY,
        f"{RIGHT.total_time_h:g} h", f"{TIMES.total_time_h:g} h", "withdrew a reading after sign-off",
        "with what was corrected after the sign-off",
    ):  # fmt: skip
        assert words in said, words
    assert "No discrepancy stands open" not in said


def test_a_paper_of_a_visit_that_stands_as_signed_has_none_of_it(signed: RoundHouse) -> None:
    said = words_of(paper_of(signed))
    assert "put right" not in said
    assert "withdrawn" not in said


def test_it_goes_out_verifies_and_comes_in_elsewhere(amended: RoundHouse, tmp_path: Path) -> None:
    house = amended.house
    exported(house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    entries = record_of(tmp_path / "out")["entries"]
    assert len(entries["corrected_times"]) == len(entries["withdrawals"]) == 1
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    assert f"Withdrawn after sign-off: {WHY}" in page
    assert page.count('class="try superseded"') == 1
    with open_archive(tmp_path / "other") as other:
        assert taken(other, tmp_path / "out").refused == []
        assert other.verify().faults == ()
        with other.records.look() as r, house.archive.records.look() as mine:
            for kind in (CorrectedTimes, Withdrawal):
                assert r.all(kind) == mine.all(kind)
