import pytest

from app.screens.parts.manual import CHAPTERS
from tests.app.records_house import House
from tests.app.screens.looking import Open, labels, said


@pytest.mark.parametrize("chapter", [one.key for one in CHAPTERS])
def test_every_chapter_of_the_guide_opens_and_leads_to_all_others(
    open_page: Open, house: House, chapter: str
) -> None:
    app = open_page("guide", house.mechanic, chapter=chapter)
    words = said(app)
    this = next(one for one in CHAPTERS if one.key == chapter)
    assert this.title in words
    assert labels(app) == [one.title for one in CHAPTERS if one is not this]


def test_the_guide_opens_with_the_photo_drawn(open_page: Open, house: House) -> None:
    assert "Where to stand" in said(open_page("guide", house.mechanic))
    assert "Where to stand" in said(open_page("guide", house.mechanic, chapter="unknown"))


def test_the_guide_promises_no_release_of_an_aircraft() -> None:
    words = " ".join(f"{one.title} {one.lead} {' '.join(one.steps)}" for one in CHAPTERS).lower()
    assert "airworth" not in words
    assert "releases no aircraft" in words
    assert "rendered scenes" in words
