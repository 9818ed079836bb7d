"""Photos that arrive: whole, durable before the answer, once however often they are sent, and nobody else's."""

import asyncio
import hashlib
import os
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any
from urllib.parse import quote

import numpy as np
import pytest

from app.archive import open_archive
from app.inspection import Try, TryState
from tests.app.records_house import reading
from tests.app.serving.served import HOST, OTHER_PHOTO, PHOTO, Served
from tests.scenes.photo_files import encoded, raw_png, smooth_picture

SHA = hashlib.sha256(PHOTO).hexdigest()
BOMB = raw_png(np.zeros((2, 2, 3), np.uint8), 2, size=(60_000, 60_000))


def try_of(served: Served, draft: str) -> Try:
    return served.house.inspections.try_of(served.house.mechanic, draft)


def test_a_photo_is_kept_byte_for_byte_and_measured_by_itself(served: Served) -> None:
    draft = served.draft()
    answer = served.browser("Mechanic").put(f"/drafts/{draft}/photo", content=PHOTO)
    assert (answer.status_code, answer.json()) == (200, {"sha256": SHA, "bytes": len(PHOTO)})
    assert served.house.archive.photos.get(SHA) == PHOTO
    kept = try_of(served, draft)
    assert (kept.state, kept.photo) == (TryState.STORED, SHA)
    assert served.submitted.ids == [draft]


def test_the_answer_comes_only_when_file_folder_and_row_are_on_the_disk(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft, client, synced = served.draft(), served.browser("Mechanic"), []
    seen: list[tuple[list[str], TryState | None]] = []

    def fsync(handle: int) -> None:
        synced.append(Path(f"/proc/self/fd/{handle}").readlink().name)
        real_fsync(handle)

    async def watched(scope: MutableMapping[str, Any], receive: Any, send: Any) -> None:
        async def look(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                # Another connection sees only what is committed.
                with open_archive(served.home) as other, other.records.look() as look_:
                    seen.append((list(synced), look_.get(Try, draft).state))
                    assert other.photos.get(SHA) == PHOTO
            await send(message)

        await app(scope, receive, look)

    real_fsync = os.fsync
    app, client.app = client.app, watched
    client._transport.app = watched  # type: ignore[attr-defined]
    monkeypatch.setattr(os, "fsync", fsync)
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 200
    ((files, state),) = seen
    assert state is TryState.STORED
    assert len(files) >= 2  # the file's own bytes, and the folder that names it
    assert SHA[:2] in files


def test_the_same_photo_again_is_the_same_photo(served: Served) -> None:
    draft, client = served.draft(), served.browser("Mechanic")
    first = client.put(f"/drafts/{draft}/photo", content=PHOTO)
    again = client.put(f"/drafts/{draft}/photo", content=PHOTO)
    assert again.status_code == 200
    assert again.json() == first.json()


def test_a_photo_that_comes_again_after_it_was_read_is_not_measured_again(served: Served) -> None:
    draft, client = served.draft(), served.browser("Mechanic")
    client.put(f"/drafts/{draft}/photo", content=PHOTO)
    served.house.inspections.measured(draft, reading(88.9))
    served.submitted.ids.clear()
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 200
    assert served.submitted.ids == []
    assert try_of(served, draft).state is TryState.READ


def test_another_photo_for_the_same_try_is_refused_and_the_first_stays(served: Served) -> None:
    draft, client = served.draft(), served.browser("Mechanic")
    client.put(f"/drafts/{draft}/photo", content=PHOTO)
    answer = client.put(f"/drafts/{draft}/photo", content=OTHER_PHOTO)
    assert answer.status_code == 409
    assert "begin a new try" in answer.json()["error"]
    assert try_of(served, draft).photo == SHA


def test_a_file_beyond_the_limit_is_refused_with_a_sentence_and_not_kept(served: Served) -> None:
    served = served.with_settings(largest_upload_mb=1)
    draft = served.draft()
    large = PHOTO + b"\0" * (1_000_001 - len(PHOTO))
    answer = served.browser("Mechanic").put(f"/drafts/{draft}/photo", content=large)
    assert answer.status_code == 413
    assert answer.json()["error"].startswith("the file has more than 1 MB: send the photo as")
    assert try_of(served, draft).state is TryState.AWAITING_PHOTO
    # Just at the limit it is taken, with what a phone may hang behind its picture.
    assert served.browser("Mechanic").put(f"/drafts/{draft}/photo", content=large[:-1]).status_code == 200


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty"),
        (b"no photo at all", "the file holds text and no picture"),
        (BOMB, "more than the 120 megapixels"),
        (PHOTO[: len(PHOTO) // 2], "cut short"),
        (encoded(smooth_picture(40, 30), "GIF"), "the file is a GIF animation"),
    ],
    ids=["empty", "text", "bomb", "cut", "another kind"],
)
def test_what_cannot_be_decoded_is_refused_before_it_becomes_the_try_s_photo(
    served: Served, data: bytes, words: str
) -> None:
    draft, client = served.draft(), served.browser("Mechanic")
    answer = client.put(f"/drafts/{draft}/photo", content=data)
    assert answer.status_code == 415
    assert words in answer.json()["error"]
    assert try_of(served, draft).state is TryState.AWAITING_PHOTO
    assert served.submitted.ids == []
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 200


@pytest.mark.parametrize("name", ["Inspector", "Inspector 2"])
def test_another_s_draft_is_refused(served: Served, name: str) -> None:
    draft, client = served.draft(), served.browser(name)
    for answer in (client.put(f"/drafts/{draft}/photo", content=PHOTO), client.get(f"/drafts/{draft}")):
        assert answer.status_code == 403
        assert answer.json()["error"]
    assert try_of(served, draft).state is TryState.AWAITING_PHOTO


@pytest.mark.parametrize("draft", ["unknown", "0" * 32, "é", "..%2f.."])
def test_an_unknown_draft_is_told_to_be_unknown(served: Served, draft: str) -> None:
    client = served.browser("Mechanic")
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 404
    assert client.get(f"/drafts/{draft}").status_code == 404


def test_nobody_s_photo_is_not_taken(served: Served) -> None:
    draft = served.draft()
    assert served.browser().put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 401
    foreign = {"origin": "http://elsewhere.example"}
    answer = served.browser("Mechanic").put(f"/drafts/{draft}/photo", content=PHOTO, headers=foreign)
    assert answer.status_code == 403
    assert try_of(served, draft).state is TryState.AWAITING_PHOTO


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("IMG_1.jpg", "IMG_1.jpg"),
        (quote("Fahrwerk links é.heic"), "Fahrwerk links é.heic"),
        (quote("C:\\fakepath\\IMG_2.jpg"), "IMG_2.jpg"),
        (quote("../../etc/x\n\0.jpg"), "x.jpg"),
        ("n" * 500, "n" * 200),
        ("%FF%", "\ufffd%"),
        ("", ""),
    ],
)
def test_the_file_s_name_on_the_phone_is_kept_as_a_remark(served: Served, sent: str, kept: str) -> None:
    draft = served.draft()
    headers = {"x-file-name": sent}
    assert (
        served.browser("Mechanic").put(f"/drafts/{draft}/photo", content=PHOTO, headers=headers).status_code
        == 200
    )
    assert try_of(served, draft).photo_name == kept


def test_a_sender_that_goes_away_half_way_leaves_nothing_behind_and_no_fault(served: Served) -> None:
    draft, client = served.draft(), served.browser("Mechanic")
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    messages = [{"type": "http.request", "body": PHOTO[:100], "more_body": True}, {"type": "http.disconnect"}]
    scope = {
        "type": "http",
        "method": "PUT",
        "path": f"/drafts/{draft}/photo",
        "query_string": b"",
        "headers": [
            (b"host", HOST.encode()),
            (b"origin", f"http://{HOST}".encode()),
            (b"cookie", cookie.encode()),
        ],
    }

    async def receive() -> dict[str, Any]:
        return messages.pop(0)

    async def send(message: MutableMapping[str, Any]) -> None:
        assert message.get("status", 400) == 400

    asyncio.run(served.asgi(scope, receive, send))
    assert try_of(served, draft).state is TryState.AWAITING_PHOTO


def test_how_far_a_try_is_can_be_asked_and_tells_nothing_of_the_result(served: Served) -> None:
    draft, client = served.draft(), served.browser("Mechanic")

    def told() -> dict[str, Any]:
        answer = client.get(f"/drafts/{draft}")
        assert answer.headers["cache-control"] == "no-store"
        return dict(answer.json())

    nothing = {"before": None, "state": "awaiting_photo", "stage": "", "result_ready": False, "sha256": None}
    assert told() == nothing
    client.put(f"/drafts/{draft}/photo", content=PHOTO)
    assert told() == nothing | {"state": "stored", "sha256": SHA}
    served.house.inspections.measuring(draft, "measuring the strut")
    assert told() == nothing | {"state": "measuring", "stage": "measuring the strut", "sha256": SHA}
    served.house.inspections.measured(draft, reading(88.9))
    assert told() == {"before": None, "state": "read", "stage": "", "result_ready": True, "sha256": SHA}
