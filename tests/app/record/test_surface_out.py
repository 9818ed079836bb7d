"""Judged photos of surfaces leave the archive whole: paper, page, export that verifies, and back in again."""

from pathlib import Path

import pytest

from app.inspection import Measured
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_views import BareMark, ShownRegion
from tests.app.hose_house import judged, marked, sign_looks
from tests.app.record.conftest import photo_with_place, picture
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.record.test_import import rows_in_another
from tests.app.record.test_work_record import paper_of, words_of
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.surface_house import BY_HAND, CORNERS, by_hand, found, open_surface, rest, spot, surface_item


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A photo with one flag and one own mark, judged by both people, entered and signed by both."""
    opened = open_surface(house)
    item, use = surface_item(opened), opened.use
    begun = use.begin_search_try(opened.mechanic, item.id, "left wall, from below")
    use.photo_arrived(opened.mechanic, begun.id, photo_with_place(1), "IMG_1.jpg")
    use.show_region(opened.mechanic, begun.id, ShownRegion(CORNERS))
    this = use.measured(begun.id, Measured(found(spot(200.0)).result, picture(1)))
    marked(opened, this, BareMark(420.0, 301.0, "dull patch"))
    (_, mark) = use.searched_item(opened.mechanic, item.id).photos[0].places
    use.open_place(opened.mechanic, this.id, "flag-1")
    use.judge(opened.mechanic, this.id, "flag-1", Judged.REFLECTION, "moves with the lamp")
    judged(opened, this, mark.key, Judged.DIRT)
    rest(opened)
    by_hand(opened)
    use.enter_search(opened.mechanic, item.id)
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    for place in ("flag-1", mark.key):
        judged(opened, this, place, Judged.DIRT, opened.inspector)
    by_hand(opened, opened.inspector)
    use.look_at_search(opened.inspector, item.id)
    sign_looks(opened)
    return opened


SAID = (
    "Searched: 1 flag. No flag does not mean that nothing is there.",
    "80 % of the region shown on it was searched, for places 12 to 160 px long",
)


def test_the_paper_tells_what_was_searched_and_each_judgement_of_both(visit: RoundHouse) -> None:
    said = words_of(paper_of(visit))
    for words in (
        *SAID,
        "Photo 1, on the bare photo first: 1 marked",
        "Photo 1, on the bare photo first: none seen",
        "The surface (left wall, from below), photo 1, place 1: a reflection (moves with the lamp)",
        "photo 1, place 2: dirt",
        "Nothing that needs action was found on what was searched (1 × reflection, 1 × dirt)",
        "Instead: with a lamp from the side",
        f"All of it by hand, mirror and light: {BY_HAND}",
        "Photographed from: left wall, from below.",
    ):
        assert words in said, words
    assert "no wear" not in said.lower()


def test_an_export_verifies_and_its_page_tells_who_judged_what(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    for words in (
        *SAID,
        "Region shown on it",
        "corners at 100, 100; 700, 500 px",
        "Flag 1, Mechanic",
        "reflection (moves with the lamp), 2024-05-01",
        "Mark 1, Inspector",
        "420, 301 px dull patch",
        "searched: 1 flag",
    ):
        assert words in page, words


def test_judged_surfaces_come_into_another_archive_and_both_verify(visit: RoundHouse, tmp_path: Path) -> None:
    there = rows_in_another(visit.house, visit.visit.id, tmp_path)
    kept = [row for (entry, _), row in there.items() if entry == "tries"]
    assert [one["options"]["what"] for one in kept] == ["surface"]


def test_a_changed_region_is_found_out(visit: RoundHouse) -> None:
    with visit.house.archive.records.begin() as work:
        work.connection.exec_driver_sql("UPDATE tries SET options = replace(options, '700', '300')")
    assert any("tries" in str(one) for one in visit.house.archive.verify().faults)
