"""Pictures of places on hoses: to nobody before his own marking, made from the photo and the stored result."""

import io

import numpy as np
import pytest
from PIL import Image

from app.inspection import Measured, Try
from app.inspection.rounds.search_views import BareMark, ShownHose
from tests.app.hose_house import BRAKE, hose_item, marked, open_hoses, refused
from tests.app.rounds_house import RoundHouse
from tests.app.serving.served import Served
from tests.vision.hose.stored_case import stored_case


@pytest.fixture
def opened(served: Served) -> RoundHouse:
    return open_hoses(served.house, BRAKE)


def searched(opened: RoundHouse, measured: Measured) -> Try:
    """The drawn photo, shown along its hose and searched."""
    case, mechanic = stored_case(), opened.mechanic
    begun = opened.use.begin_search_try(mechanic, hose_item(opened).id, "front")
    opened.use.photo_arrived(mechanic, begun.id, case.photo, "IMG_7.jpg")
    opened.use.show_hoses(mechanic, begun.id, [ShownHose("brake", case.taps)])
    return opened.use.measured(begun.id, measured)


def found() -> Measured:
    return Measured({"name": "hose_search", "evidence": {}} | stored_case().result, b"annotated")


def addresses(this: Try) -> tuple[str, ...]:
    return tuple(
        f"/hoses/{this.id}/{what}" for what in ("photo/flag-1?lines=1", "straight/flag-1", "length/0")
    )


def picture(served: Served, name: str, path: str) -> np.ndarray:
    answer = served.browser(name).get(path)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "image/jpeg" and "private" in answer.headers["cache-control"]
    with Image.open(io.BytesIO(answer.content)) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def test_nobody_sees_a_place_before_his_own_marking_who_took_the_photo_included(
    served: Served, opened: RoundHouse
) -> None:
    this = searched(opened, found())
    for path in addresses(this):
        answers = [served.browser(name).get(path) for name in ("Mechanic", "Inspector", "")]
        assert [one.status_code for one in answers] == [409, 409, 401]
        assert all("bare photo" in one.json()["error"] for one in answers[:2])
    assert served.browser("Mechanic").get(f"/annotated/{this.annotated}").status_code == 403
    marked(opened, this)
    for path in addresses(this):
        assert served.browser("Mechanic").get(path).status_code == 200
        assert served.browser("Inspector").get(path).status_code == 409


def test_the_pictures_are_those_of_the_photo_with_the_line_or_without(
    served: Served, opened: RoundHouse
) -> None:
    this = searched(opened, found())
    marked(opened, this)
    for what in ("photo", "straight"):
        lined = picture(served, "Mechanic", f"/hoses/{this.id}/{what}/flag-1?lines=1")
        bare = picture(served, "Mechanic", f"/hoses/{this.id}/{what}/flag-1?lines=0")
        assert lined.shape == bare.shape and (np.abs(lined - bare).max(axis=2) > 40).sum() > 100
    assert picture(served, "Mechanic", f"/hoses/{this.id}/length/0").shape[1] == 720


def test_what_is_not_there_is_refused_with_a_sentence(served: Served, opened: RoundHouse) -> None:
    this = searched(opened, found())
    marked(opened, this)
    client = served.browser("Mechanic")
    for path in ("photo/flag-99", "straight/nothing", "length/7", "length/x"):
        answer = client.get(f"/hoses/{this.id}/{path}")
        assert answer.status_code in (400, 404, 409), path
        assert len(answer.json()["error"]) > 20


def test_on_a_photo_that_was_not_searched_a_mark_is_shown_and_no_hose_is_laid_straight(
    served: Served, opened: RoundHouse
) -> None:
    this = searched(opened, refused())
    marked(opened, this, BareMark(800.0, 600.0, "rubbed bright"))
    (place,) = opened.use.searched_item(opened.mechanic, this.item_id).photos[0].places
    assert picture(served, "Mechanic", f"/hoses/{this.id}/photo/{place.key}?lines=1").size
    assert served.browser("Mechanic").get(f"/hoses/{this.id}/straight/{place.key}").status_code == 404
