"""Judged photos of hoses leave the archive whole: paper, page, export that verifies, and back in again."""

from pathlib import Path

import pypdfium2
import pytest

from app.inspection import Measured
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_views import BareMark, ShownHose
from tests.app.hose_house import (
    ALONG,
    flag,
    found,
    hands,
    hose_item,
    judged,
    marked,
    open_hoses,
    sign_looks,
)
from tests.app.record.conftest import photo_with_place, picture
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.record.test_import import rows_in_another
from tests.app.record.test_work_record import paper_of, words_of
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A photo with one flag and one own mark, judged by both people, entered and signed by both."""
    opened = open_hoses(house)
    item, use = hose_item(opened), opened.use
    begun = use.begin_search_try(opened.mechanic, item.id, "front, from below")
    use.photo_arrived(opened.mechanic, begun.id, photo_with_place(1), "IMG_1.jpg")
    use.show_hoses(opened.mechanic, begun.id, [ShownHose("brake", ALONG)])
    this = use.measured(begun.id, Measured(found(flag(200.0)).result, picture(1)))
    marked(opened, this, BareMark(420.0, 101.0, "dull patch"))
    (_, mark) = use.searched_item(opened.mechanic, item.id).photos[0].places
    use.open_place(opened.mechanic, this.id, "flag-1")
    use.judge(opened.mechanic, this.id, "flag-1", Judged.REFLECTION, "moves with the lamp")
    judged(opened, this, mark.key, Judged.DIRT)
    hands(opened)
    use.enter_search(opened.mechanic, item.id)
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    for place in ("flag-1", mark.key):
        judged(opened, this, place, Judged.DIRT, opened.inspector)
    use.look_at_search(opened.inspector, item.id)
    sign_looks(opened)
    return opened


SAID = (
    "Searched: 1 flag. No flag does not mean that nothing is there.",
    "Hose brake: 30 % of the surface of what the photo shows of it was searched, all round taken as 100 %; "
    "along it not searched at all: 25 to 50 %",
)


def test_the_paper_tells_what_was_searched_and_each_judgement_of_both(visit: RoundHouse) -> None:
    said = words_of(paper_of(visit))
    for words in (
        *SAID,
        "Photo 1, on the bare photo first: 1 marked",
        "Photo 1, on the bare photo first: none seen",
        "Hose brake at 25 mm, 8 mm long, photo 1, place 1: a reflection (moves with the lamp)",
        "photo 1, place 2: dirt",
        "Nothing that needs action was found on what was searched (1 × reflection, 1 × dirt)",
        "doors: open and closed; steering: left and right stop",
        "Instead: felt all round, with mirror and light",
        "Photographed from: front, from below.",
        "from the photo",
    ):
        assert words in said, words
    assert "no wear" not in said.lower()


def test_an_export_with_judged_hoses_verifies_and_its_page_tells_who_judged_what(
    visit: RoundHouse, tmp_path: Path
) -> None:
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    for words in (
        *SAID,
        "Flag 1, Mechanic",
        "reflection (moves with the lamp), 2024-05-01",
        "Mark 1, Inspector",
        "On the bare photo, Inspector",
        "states that he sees none on it",
        "420, 101 px dull patch",
        "Hose brake, 3 points along it",
        "searched: 1 flag",
    ):
        assert words in page, words


def test_judged_hoses_come_into_another_archive_and_both_verify(visit: RoundHouse, tmp_path: Path) -> None:
    there = rows_in_another(visit.house, visit.visit.id, tmp_path)
    assert {"bare_markings", "places_opened", "judgings", "hose_hands"} <= {entry for entry, _ in there}


def test_a_changed_judgement_is_found_out(visit: RoundHouse) -> None:
    with visit.house.archive.records.begin() as work:
        work.connection.exec_driver_sql("UPDATE judgings SET judged = 'wear' WHERE judged = 'reflection'")
    faults = visit.house.archive.verify().faults
    assert any("judgings" in str(one) for one in faults)


def test_the_words_of_a_picture_lie_below_it_on_the_paper(visit: RoundHouse) -> None:
    document = pypdfium2.PdfDocument(paper_of(visit))
    for page in document:
        text = page.get_textpage()
        found = text.search("photo 1 of 1, 2024").get_next()
        if found is None:
            continue
        (picture_,) = page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])
        _, bottom, _, _ = picture_.get_bounds()
        _, _, _, top = text.get_charbox(found[0])
        assert top < bottom
        break
    else:
        pytest.fail("no picture of the photo is on the paper")
    document.close()
