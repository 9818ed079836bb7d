"""Pictures out of the archive: the bare photo before, the annotated copy only after one's own placing."""

import io
from typing import Any

import numpy as np
import pytest
from PIL import Image

from app.inspection import Try
from tests.app.records_house import reading
from tests.app.serving.served import PHOTO, Served
from tests.scenes.photo_files import mean_difference


@pytest.fixture
def taken(served: Served) -> Try:
    """A reading of the mechanic's, not yet sent."""
    draft = served.draft()
    client = served.browser("Mechanic")
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 200
    return served.house.inspections.measured(draft, reading(88.9))


def pictures_of(this: Try) -> dict[str, str]:
    return {
        "facts": f"/photos/{this.photo}/facts",
        "tile": f"/photos/{this.photo}/tile?x=0&y=0&w=400&h=300&out=100",
        "original": f"/photos/{this.photo}/original",
        "annotated": f"/annotated/{this.annotated}",
    }


def seen(served: Served, name: str, this: Try) -> dict[str, int]:
    client = served.browser(name)
    return {what: client.get(path).status_code for what, path in pictures_of(this).items()}


ALL = {"facts": 200, "tile": 200, "original": 200, "annotated": 200}
BARE = ALL | {"annotated": 403}
NOTHING = dict.fromkeys(ALL, 403)


def test_the_inspector_sees_the_bare_photo_once_it_is_sent_and_the_drawn_one_after_his_own_placing(
    served: Served, taken: Try
) -> None:
    assert seen(served, "Mechanic", taken) == ALL
    assert seen(served, "Inspector", taken) == NOTHING
    served.house.inspections.send(served.house.mechanic, taken.id)
    assert seen(served, "Inspector", taken) == BARE
    shown = served.house.placed(taken, 88.9)
    assert seen(served, "Inspector", taken) == ALL
    assert seen(served, "Inspector 2", taken) == BARE
    served.house.sign(served.house.inspector, shown)
    assert seen(served, "Inspector 2", taken) == ALL


def test_nobody_sees_nothing(served: Served, taken: Try) -> None:
    assert seen(served, "", taken) == dict.fromkeys(ALL, 401)


def test_an_annotated_copy_is_no_photo_and_a_photo_no_annotated_copy(served: Served, taken: Try) -> None:
    client = served.browser("Mechanic")
    assert client.get(f"/photos/{taken.annotated}/original").status_code == 404
    assert client.get(f"/annotated/{taken.photo}").status_code == 404


@pytest.mark.parametrize("sha", ["0" * 64, "x", "..", "%2e%2e%2f%2e%2e%2fsecret.key", "A" * 64])
def test_what_is_not_there_is_not_found(served: Served, sha: str) -> None:
    client = served.browser("Mechanic")
    for path in (f"/photos/{sha}/facts", f"/photos/{sha}/original", f"/annotated/{sha}"):
        assert client.get(path).status_code == 404


def test_the_original_comes_back_byte_for_byte(served: Served, taken: Try) -> None:
    answer = served.browser("Mechanic").get(f"/photos/{taken.photo}/original")
    assert answer.content == PHOTO
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"


def test_facts_tell_the_size_of_the_upright_photo(served: Served, taken: Try) -> None:
    answer = served.browser("Mechanic").get(f"/photos/{taken.photo}/facts")
    assert answer.json() == {"width": 400, "height": 300}


def test_a_tile_is_the_piece_that_was_asked_for(served: Served, taken: Try) -> None:
    answer = served.browser("Mechanic").get(f"/photos/{taken.photo}/tile?x=100&y=50&w=200&h=100&out=200")
    assert answer.headers["content-type"] == "image/jpeg"
    assert "immutable" in answer.headers["cache-control"]
    with Image.open(io.BytesIO(answer.content)) as piece, Image.open(io.BytesIO(PHOTO)) as whole:
        assert piece.size == (200, 100)
        wanted = np.asarray(whole.crop((100, 50, 300, 150)))
        assert mean_difference(np.asarray(piece), wanted) < 1.5


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"x": "-1"}, "reaches out of the photo, which is 400 × 300 px"),
        ({"w": "401"}, "reaches out of the photo"),
        ({"out": "0"}, "a piece of 1 to 2048 px was expected"),
        ({"out": "100000"}, "a piece of 1 to 2048 px was expected"),
        ({"x": "1.5"}, "whole numbers x, y, w, h, out: x is '1.5'"),
        ({"h": ""}, "h is ''"),
        ({"y": "9" * 30}, "y is '99999999999999999999'"),
        ({"y": "١"}, "y is"),
        ({"y": "--1"}, "y is '--1'"),
    ],
)
def test_a_tile_that_cannot_be_is_refused_with_a_sentence(
    served: Served, taken: Try, asked: dict[str, Any], words: str
) -> None:
    query = {"x": "0", "y": "0", "w": "10", "h": "10", "out": "10"} | asked
    answer = served.browser("Mechanic").get(f"/photos/{taken.photo}/tile", params=query)
    assert answer.status_code == 400
    assert words in answer.json()["error"]


def test_a_file_that_was_damaged_in_the_archive_is_told_and_not_shown(served: Served, taken: Try) -> None:
    assert taken.photo is not None
    (path,) = served.home.rglob(f"{taken.photo}*")
    path.chmod(0o600)
    path.write_bytes(b"something else")
    answer = served.browser("Mechanic").get(f"/photos/{taken.photo}/original")
    assert answer.status_code == 500
    assert "changed or damaged" in answer.json()["error"]
