import re

from app.screens.parts.reading import BESIDE_WITHIN_SHORT
from tests.app.records_house import OUTSIDE, WITHIN, House, refusal
from tests.app.screens.looking import Open, press, said


def test_what_is_settled_stands_in_the_archive_with_people_and_value(open_page: Open, house: House) -> None:
    house.confirmed(WITHIN)
    text = said(open_page("archive", house.mechanic))
    for words in ("88.9 mm ± 0.4 mm", "Within limits", "photographed by Mechanic", "confirmed by Inspector"):
        assert words in text
    assert BESIDE_WITHIN_SHORT.replace("'", "&#x27;") in text


def test_what_still_waits_is_not_in_the_list(open_page: Open, house: House) -> None:
    house.sent(OUTSIDE)
    text = said(open_page("archive", house.inspector))
    assert "Nothing settled that this asks for." in text
    assert "97.0" not in text


def test_the_filters_stand_in_the_address(open_page: Open, house: House) -> None:
    house.confirmed(WITHIN, house.primary)
    assert "88.9" in said(open_page("archive", house.mechanic, leg="nose"))
    assert "88.9" not in said(open_page("archive", house.mechanic, leg="left main"))


def test_a_story_has_original_annotated_copy_values_people_times_and_chain(
    open_page: Open, house: House
) -> None:
    signed = house.confirmed(OUTSIDE)
    item = house.item_of(signed)
    text = said(open_page("archive", house.mechanic, item=item.id))
    done = house.inspections.try_of(house.mechanic, signed.try_id)
    assert f"/photos/{done.photo}/" in text
    assert f"/annotated/{done.annotated}" in text
    for words in (
        "97.0 mm ± 0.4 mm",
        "Read on the bare photo",
        "Signed",
        "Discrepancy opened",
        "nose leg, strut",
        signed.event_hash[:12],
        "2024-05-01 08:00 UTC",
    ):
        assert words in text, words


def test_every_try_stays_on_its_item(open_page: Open, house: House) -> None:
    first = house.measured(refusal())
    house.measured(OUTSIDE)
    house.measured(WITHIN)
    text = said(open_page("archive", house.mechanic, item=first.item_id))
    assert text.count("<h2>Photo</h2>") == 3
    assert "97.0 mm" in text and "88.9 mm" in text and "No value" in text


def test_an_inspector_who_may_have_to_read_it_finds_no_value_in_the_story(
    open_page: Open, house: House
) -> None:
    sent = house.sent(OUTSIDE)
    text = said(open_page("archive", house.inspector, item=sent.item_id))
    assert "left out until you have placed yours" in text
    assert not re.search(r"97\.0|Outside|/annotated/", text)


def test_a_whole_archive_is_said_to_be_whole(open_page: Open, house: House) -> None:
    house.confirmed(WITHIN)
    text = said(press(open_page("archive", house.mechanic), "Check the archive"))
    assert "Whole: photos, entries, chains and signatures agree." in text


def test_a_lost_photo_is_named(open_page: Open, house: House) -> None:
    signed = house.confirmed(WITHIN)
    photo = house.inspections.try_of(house.mechanic, signed.try_id).photo
    assert photo
    (stored,) = house.archive.photos._folder.rglob(f"{photo}*")
    stored.unlink()
    text = said(press(open_page("archive", house.mechanic), "Check the archive"))
    assert "Not whole" in text
    assert photo[:12] in text


def test_the_guide_is_there_for_everybody(open_page: Open, house: House) -> None:
    text = said(open_page("guide", house.inspector))
    assert "Where to stand" in text and "Where the card hangs" in text and "How high the camera is" in text
    assert "Before the first photo" in text
