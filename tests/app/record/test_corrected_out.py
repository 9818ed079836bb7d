"""A correction after the sign-off in every form of the record: pages, PDF, record.json, export and import."""

import json
from pathlib import Path

import pypdfium2
import pytest

from app.archive import open_archive
from app.inspection import Item
from app.inspection.exchange import Taken
from app.inspection.rounds.model import Answer
from tests.app.inspection.rounds.test_correcting import CLAMP, WHY, correct, second
from tests.app.inspection.rounds.test_sign_off import done
from tests.app.record.test_export import exported, record_of, the_folder, verified
from tests.app.record.test_import import taken
from tests.app.record.test_work_record import inside, paper_of, words_of
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, RoundHouse, open_round, programme


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A signed visit with one answer corrected and looked at again."""
    opened = done(open_round(house, programme("hoses")))
    opened.whole()
    second(opened, correct(opened))
    return opened


def test_the_first_page_names_how_many_were_corrected_by_whom_and_why(visit: RoundHouse) -> None:
    document = pypdfium2.PdfDocument(paper_of(visit))
    first = " ".join(document[0].get_textpage().get_text_bounded().split())
    document.close()
    assert "1 entry was corrected after sign-off" in first
    for words in (WHY, "Mechanic", "Seen by a second person"):
        assert words in first, words


def test_the_earlier_answer_stays_in_the_pdf_struck_through(visit: RoundHouse) -> None:
    data = paper_of(visit)
    said = words_of(data)
    assert f"Corrected after sign-off: {WHY}" in said
    assert "(superseded) Good" in said
    assert b"corrected after sign-off" in b"".join(inside(data))
    record = next(json.loads(one) for one in inside(data) if one.startswith(b"{") and b'"corrections"' in one)
    assert [one["state"] for one in record["corrections"]] == ["confirmed"]


def test_a_fault_that_was_found_later_is_on_the_owners_list(house: House) -> None:
    opened = done(open_round(house, programme("hoses")))
    opened.whole()
    assert "No discrepancy stands open" in words_of(paper_of(opened))
    correct(opened, FAULT)
    said = words_of(paper_of(opened))
    assert "rubbed through to the braid" in said
    assert "No discrepancy stands open" not in said
    assert "with what was corrected after the sign-off" in said


def test_it_goes_out_with_both_answers_and_verifies(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    answers = record_of(tmp_path / "out")["entries"]["answers"].values()
    assert sum(one["supersedes"] is not None for one in answers) == 1
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    assert page.count('class="try superseded"') == 1
    for said in ("after sign-off", WHY, CLAMP.text):
        assert said in page, said


def test_it_comes_in_elsewhere_also_where_the_visit_was_before_the_correction(
    house: House, tmp_path: Path
) -> None:
    opened = done(open_round(house, programme("hoses")))
    opened.whole()
    exported(house, tmp_path / "before")
    second(opened, correct(opened))
    exported(house, tmp_path / "after")
    with open_archive(tmp_path / "other") as other:
        assert taken(other, tmp_path / "before").done[Taken.NEW] == 1
        assert taken(other, tmp_path / "after").refused == []
        assert other.verify().faults == ()
        with other.records.look() as r, house.archive.records.look() as mine:
            for kind in (Answer, Item):
                assert {one.id: one for one in r.all(kind)} == {one.id: one for one in mine.all(kind)}
    assert house.archive.verify().faults == ()
