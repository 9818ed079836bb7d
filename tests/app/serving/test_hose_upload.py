"""A photo of hoses that arrives waits for a person to show them, and is measured only then."""

from tests.app.hose_house import hose_item, open_hoses
from tests.app.serving.served import PHOTO, Served


def test_a_photo_of_hoses_is_kept_and_not_searched_before_they_are_shown(served: Served) -> None:
    opened = open_hoses(served.house)
    draft = opened.use.begin_search_try(opened.mechanic, hose_item(opened).id, "front").id
    client = served.browser("Mechanic")
    answer = client.put(f"/drafts/{draft}/photo", content=PHOTO)
    assert answer.status_code == 200
    assert served.submitted.ids == []
    told = client.get(f"/drafts/{draft}").json()
    assert (told["state"], told["result_ready"], told["before"]) == ("stored", False, None)
    sha = answer.json()["sha256"]
    # Whoever is signed in may see it bare: nothing that is found on it is told by it.
    assert served.browser("Inspector").get(f"/photos/{sha}/original").content == PHOTO
