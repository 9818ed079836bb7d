"""A second photo of hoses leaves the archive with the first: paper, page, export that verifies, and back in."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.archive import open_archive
from app.archive.exchange import SqlExchange
from app.inspection import Measured
from app.inspection.exchange import Taken
from app.inspection.rounds.search_views import ShownHose
from app.remeasure.table import markdown, summary
from app.remeasure.tasks import Skipped, tasks
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
    slides,
)
from tests.app.record.conftest import photo_with_place, picture
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.record.test_import import taken
from tests.app.record.test_work_record import paper_of, words_of
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse

USED = (
    "Photo 1 was held against photo 2, a second one of the same hoses from further along: "
    "1 of its flags moved and stayed set aside"
)


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A photo with two flags of which a second photo set one aside, judged and signed by both people."""
    opened = open_hoses(house)
    use, who = opened.use, opened.mechanic
    begun = use.begin_search_try(who, hose_item(opened).id, "front")
    use.photo_arrived(who, begun.id, photo_with_place(1), "IMG_1.jpg")
    use.show_hoses(who, begun.id, [ShownHose("brake", ALONG)])
    this = use.measured(begun.id, Measured(found(flag(200.0), flag(400.0)).result, picture(1)))
    marked(opened, this)
    second = use.begin_second_photo(who, this.id)
    use.photo_arrived(who, second.id, photo_with_place(2), "IMG_2.jpg")
    use.show_hoses(who, second.id, [ShownHose("brake", ALONG)])
    use.measured(second.id, slides(2))
    judged(opened, this, "flag-1")
    hands(opened)
    use.enter_search(who, hose_item(opened).id)
    opened.sign_work(who)
    marked(opened, this, person=opened.inspector)
    judged(opened, this, "flag-1", person=opened.inspector)
    use.look_at_search(opened.inspector, hose_item(opened).id)
    sign_looks(opened)
    return opened


def test_the_paper_says_that_a_second_photo_was_used_and_what_it_set_aside(visit: RoundHouse) -> None:
    said = words_of(paper_of(visit))
    for words in (
        USED,
        "Held against another photo: 1 of its flags not in their place there. "
        "Nothing of this photo itself was searched.",
        "Taken as the second photo of photo 1 of these hoses",
    ):
        assert words in said, words


def test_it_leaves_with_the_export_which_verifies_and_comes_back_in(
    visit: RoundHouse, tmp_path: Path
) -> None:
    assert visit.house.archive.verify().faults == ()
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    assert "Held against the photo of try" in page and "1 of its flags not in their place there" in page
    with open_archive(tmp_path / "other") as other:
        done = taken(other, tmp_path / "out")
        assert (done.done[Taken.NEW], done.refused) == (1, [])
        assert other.verify().faults == ()
        there = SqlExchange(other.records).bundle(visit.visit.id).own
        assert there == SqlExchange(visit.house.archive.records).bundle(visit.visit.id).own


def test_it_is_not_measured_again_by_itself_and_the_report_says_so(visit: RoundHouse) -> None:
    skipped = Skipped()
    since = datetime(2000, 1, 1, tzinfo=UTC)
    left = list(tasks(SqlExchange(visit.house.archive.records), since, skipped))
    assert (len(left), skipped.seconds) == (1, 1)
    told = summary([], "1", skipped)
    assert "because each only counts beside another: 1" in markdown([], told)
