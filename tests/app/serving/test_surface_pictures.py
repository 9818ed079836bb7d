"""Pictures of places on a surface and of its region: to nobody before his own marking of the bare photo."""

import io

import numpy as np
import pytest
from PIL import Image

from app.inspection import Measured, Try
from app.inspection.rounds.search_views import BareMark, ShownRegion
from tests.app.hose_house import marked
from tests.app.rounds_house import RoundHouse
from tests.app.serving.served import Served
from tests.app.surface_house import CORNERS, found, open_surface, refused, spot, surface_item
from tests.vision.surface.drawn import jpeg, light_of


@pytest.fixture
def opened(served: Served) -> RoundHouse:
    return open_surface(served.house)


def searched(opened: RoundHouse, measured: Measured) -> Try:
    begun = opened.use.begin_search_try(opened.mechanic, surface_item(opened).id, "left wall")
    opened.use.photo_arrived(opened.mechanic, begun.id, jpeg(light_of()), "IMG_7.jpg")
    opened.use.show_region(opened.mechanic, begun.id, ShownRegion(CORNERS))
    return opened.use.measured(begun.id, measured)


def addresses(this: Try) -> tuple[str, ...]:
    return tuple(f"/surfaces/{this.id}/{what}" for what in ("photo/flag-1?lines=1", "where/flag-1", "region"))


def test_nobody_sees_any_of_them_before_his_own_marking_who_took_the_photo_included(
    served: Served, opened: RoundHouse
) -> None:
    this = searched(opened, found(spot(200.0)))
    for path in addresses(this):
        answers = [served.browser(name).get(path) for name in ("Mechanic", "Inspector", "")]
        assert [one.status_code for one in answers] == [409, 409, 401]
        assert all("bare photo" in one.json()["error"] for one in answers[:2])
    assert served.browser("Mechanic").get(f"/annotated/{this.annotated}").status_code == 403
    marked(opened, this)
    for path in addresses(this):
        answer = served.browser("Mechanic").get(path)
        assert answer.status_code == 200 and answer.headers["content-type"] == "image/jpeg"
        with Image.open(io.BytesIO(answer.content)) as image:
            assert np.asarray(image).shape[1] >= 576
        assert served.browser("Inspector").get(path).status_code == 409


def test_what_is_not_there_is_refused_with_a_sentence(served: Served, opened: RoundHouse) -> None:
    this = searched(opened, refused())
    marked(opened, this, BareMark(400.0, 300.0, "rubbed bright"))
    (place,) = opened.use.searched_item(opened.mechanic, this.item_id).photos[0].places
    client = served.browser("Mechanic")
    assert client.get(f"/surfaces/{this.id}/photo/{place.key}?lines=1").status_code == 200
    for path in (f"where/{place.key}", "where/flag-1", "region", "photo/flag-1"):
        answer = client.get(f"/surfaces/{this.id}/{path}")
        assert answer.status_code in (404, 409), path
        assert len(answer.json()["error"]) > 20
