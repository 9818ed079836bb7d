"""A tire read on its photo leaves the archive whole: paper, page, export that verifies, and back in again."""

from pathlib import Path

import pytest

from app.archive import open_archive
from app.inspection import Measured
from app.inspection.exchange import Taken
from tests.app.inspection.test_tire_camera import TOLD, WORDS
from tests.app.record.conftest import photo_with_place, picture
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.record.test_import import taken
from tests.app.record.test_work_record import paper_of, words_of
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.tire_house import (
    begun,
    line_at,
    open_tire,
    place,
    pressed,
    sign_looks,
    tire_item,
)


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A tire whose gauge was read, whose line was photographed, entered, placed and signed."""
    opened = open_tire(house)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened))
    this = begun(opened, camera=TOLD)
    opened.use.photo_arrived(opened.mechanic, this.id, photo_with_place(1), "IMG_1.jpg")
    opened.use.measured(this.id, Measured(line_at(0.4).result, picture(1)))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    place(opened, 0.6)
    sign_looks(opened)
    return opened


SAID = (
    "Line against level 0.4° ± 0.6°",
    "Line parallel to the ground: yes",
    "Loaded radius 180.2 mm ± 1.5 mm",
    "Creep, arc at the flange: no value",
    "Level told by: ground contact",
    f"Calibrated camera: {WORDS}.",
    "The last landing was 5 h ago; at least 3 h are asked for",
)


def test_the_paper_tells_all_of_a_tires_photo_and_both_readings(visit: RoundHouse) -> None:
    said = words_of(paper_of(visit))
    for words in (
        *SAID,
        "read on its photo, level told by ground contact",
        "placed on the bare photo",
        "from the photo",
        "loaded at 15 °C",
    ):
        assert words in said, words


def test_an_export_with_a_tire_verifies_and_its_page_tells_it(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    for words in SAID:
        assert words in page, words


def test_a_tire_comes_into_another_archive_and_both_verify(visit: RoundHouse, tmp_path: Path) -> None:
    assert visit.house.archive.verify().faults == ()
    exported(visit.house, tmp_path / "out")
    with open_archive(tmp_path / "other") as other:
        done = taken(other, tmp_path / "out")
        assert (done.done[Taken.NEW], done.refused) == (1, [])
        assert other.verify().faults == ()
