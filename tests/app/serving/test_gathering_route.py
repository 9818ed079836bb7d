import hashlib

from tests.app.serving.served import OTHER_PHOTO, PHOTO, Served

SHA = hashlib.sha256(PHOTO).hexdigest()


def path(served: Served, sha: str = SHA) -> str:
    return f"/aircraft/{served.house.aircraft.id}/photos/{sha}"


def test_a_photo_from_the_gallery_is_stored_before_the_answer_and_once(served: Served) -> None:
    phone = served.browser("Mechanic")
    headers = {"x-file-name": "IMG%201.jpg"}
    for _ in range(2):
        answer = phone.put(path(served), content=PHOTO, headers=headers)
        assert (answer.status_code, answer.json()) == (200, {"sha256": SHA, "bytes": len(PHOTO)})
    (one,) = served.house.inspections.gathered(served.house.mechanic)
    assert (one.photo, one.photo_name) == (SHA, "IMG 1.jpg")


def test_its_person_sees_its_picture_and_another_does_not(served: Served) -> None:
    served.browser("Mechanic").put(path(served), content=PHOTO)
    assert served.browser("Mechanic").get(f"/photos/{SHA}/thumb").status_code == 200
    assert served.browser("Inspector").get(f"/photos/{SHA}/thumb").status_code == 404


def test_what_arrives_changed_is_asked_for_again_and_not_kept(served: Served) -> None:
    answer = served.browser("Mechanic").put(path(served), content=OTHER_PHOTO)
    assert answer.status_code == 408
    assert "sent again" in answer.json()["error"]
    assert served.house.inspections.gathered(served.house.mechanic) == ()


def test_what_is_no_photo_or_too_large_or_of_no_aircraft_is_refused(served: Served) -> None:
    phone = served.browser("Mechanic")
    text = b"no photo"
    assert phone.put(path(served, hashlib.sha256(text).hexdigest()), content=text).status_code == 415
    assert phone.put(f"/aircraft/x/photos/{SHA}", content=PHOTO).status_code == 404
    small = served.with_settings(largest_upload_mb=1).browser("Mechanic")
    assert small.put(path(served), content=b"0" * 1_000_001).status_code == 413
    assert served.browser("Inspector").put(path(served), content=PHOTO).status_code == 403
