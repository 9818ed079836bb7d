"""A photo's time held against the visit and the condition that was stated, and what a person says to it."""

import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import pytest
from PIL import Image

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.rounds.photo_age import Age, Window, age_of, question_of
from app.programme import ItemCondition
from tests.app.records_house import STATED, WITHIN, reading
from tests.app.rounds_house import ON_WHEELS, RESTORED, RoundHouse

Open = Callable[..., RoundHouse]
OPENED = datetime(2024, 5, 1, 8, 0, tzinfo=UTC)
STATED_AT, NOW = OPENED + timedelta(hours=1), OPENED + timedelta(hours=2)
WINDOW = Window(OPENED, STATED_AT, None)
LEFT = Window(OPENED, STATED_AT, STATED_AT + timedelta(minutes=20))


def photo(taken: datetime | None, kind: str = "JPEG") -> bytes:
    """A small photo whose EXIF says when it was taken, with its offset where it has one."""
    exif = Image.Exif()
    exif[0x010F] = "Demo maker"
    if taken is not None:
        exif.get_ifd(0x8769)[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
        if taken.tzinfo is not None:
            written = f"{taken:%z}"
            exif.get_ifd(0x8769)[0x9011] = f"{written[:3]}:{written[3:]}"
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 90, 90)).save(out, kind, exif=exif)
    return out.getvalue()


@pytest.mark.parametrize(
    ("taken", "window", "age", "words"),
    [
        (STATED_AT, WINDOW, Age.FITS, ""),
        (NOW, WINDOW, Age.FITS, ""),
        (STATED_AT - timedelta(minutes=4), WINDOW, Age.FITS, ""),
        (STATED_AT - timedelta(minutes=6), WINDOW, Age.QUESTIONED, "before its condition was stated"),
        (OPENED - timedelta(minutes=4), WINDOW, Age.QUESTIONED, "before its condition was stated"),
        (OPENED - timedelta(minutes=6), WINDOW, Age.REFUSED, "this visit was opened 01 May 2024, 08:00"),
        (NOW + timedelta(minutes=4), WINDOW, Age.FITS, ""),
        (NOW + timedelta(minutes=6), WINDOW, Age.QUESTIONED, "still to come"),
        (STATED_AT + timedelta(minutes=19), LEFT, Age.FITS, ""),
        (STATED_AT + timedelta(minutes=26), LEFT, Age.QUESTIONED, "after another condition was stated"),
        (None, WINDOW, Age.NAMED, "does not tell when it was taken"),
    ],
)
def test_a_photos_time_is_held_against_visit_and_condition(
    taken: datetime | None, window: Window, age: Age, words: str
) -> None:
    found, said = age_of(taken, window, NOW)
    assert (found, words in said, bool(said)) == (age, True, age is not Age.FITS)


def test_the_same_moment_counts_alike_in_every_zone() -> None:
    for hours in (-12, -5, 0, 2, 14):
        zone = timezone(timedelta(hours=hours))
        assert age_of(STATED_AT.astimezone(zone), WINDOW, NOW)[0] is Age.FITS
        assert age_of((OPENED - timedelta(hours=1)).astimezone(zone), WINDOW, NOW)[0] is Age.REFUSED


@pytest.mark.parametrize(
    ("hours", "age"),
    [
        pytest.param(0, Age.NAMED, id="it fits in some zone"),
        pytest.param(13, Age.NAMED, id="it fits in the far east"),
        pytest.param(-13, Age.REFUSED, id="in no zone it is of this visit"),
        pytest.param(
            -11.5, Age.QUESTIONED, id="in the far west it is of this visit and before the condition"
        ),
        pytest.param(17, Age.QUESTIONED, id="in every zone it is still to come"),
    ],
)
def test_a_time_without_a_zone_is_refused_or_questioned_only_where_it_fits_in_none(
    hours: float, age: Age
) -> None:
    naive = (OPENED + timedelta(hours=hours)).replace(tzinfo=None)
    found, said = age_of(naive, WINDOW, NOW)
    assert found is age
    assert "zone it does not tell" in said


def arrived(opened: RoundHouse, data: bytes):  # type: ignore[no-untyped-def]
    begun = opened.use.begin_try(opened.mechanic, opened.house.primary.id, STATED)
    return opened.use.photo_arrived(opened.mechanic, begun.id, data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_photo_that_is_older_than_the_visit_is_refused_and_not_kept(round_of: Open, kind: str) -> None:
    opened = round_of("hoses", strut=True)
    old = photo(opened.visit.opened_at - timedelta(hours=1), kind)
    with pytest.raises(Conflict, match=r"this visit was opened .* It shows another day's gear"):
        arrived(opened, old)
    assert opened.house.archive.verify().faults == ()


def test_a_photo_of_before_the_condition_is_sent_only_with_a_reason(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    use, clock = opened.use, opened.house.clock
    taken = clock.at + timedelta(minutes=1)
    clock.at += timedelta(hours=1)
    opened.stand(ItemCondition.RESTORED, RESTORED)
    opened.stand(ItemCondition.ON_WHEELS, {"load": "x", "level": "0", "settled": ""})
    kept = arrived(opened, photo(taken))
    assert "before its condition was stated" in question_of(kept)
    use.measured(kept.id, reading(WITHIN))
    with pytest.raises(Conflict, match=r"before its condition was stated .* Say why"):
        use.send(opened.mechanic, kept.id)
    for reason in ("", "   "):
        with pytest.raises(UsageError, match="reason"):
            use.explain_time(opened.mechanic, kept.id, reason)
    with pytest.raises(NotAllowed):
        use.explain_time(opened.mechanic_2, kept.id, "somebody else's")
    told = use.explain_time(opened.mechanic, kept.id, "the phone's clock is an hour slow")
    assert question_of(told) == ""
    assert use.explain_time(opened.mechanic, kept.id, "once more") == told
    sent = use.send(opened.mechanic, kept.id)
    # The second person reads both on the bare photo's page.
    assert sent.statements[-2].startswith("Photo's time questioned: The photo was taken")
    assert sent.statements[-1] == "Reason given for the photo's time: the phone's clock is an hour slow"
    assert opened.house.archive.verify().faults == ()


def test_the_same_condition_stated_again_questions_no_earlier_photo(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    taken = opened.house.clock.at + timedelta(minutes=1)
    opened.house.clock.at += timedelta(hours=1)
    opened.stand(ItemCondition.ON_WHEELS, {"load": "x", "level": "0", "settled": ""})
    assert question_of(arrived(opened, photo(taken))) == ""


def test_a_photo_without_a_zone_is_named_to_everybody_and_may_be_sent(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    naive = opened.house.clock.at.replace(tzinfo=None)
    kept = arrived(opened, photo(naive))
    assert any("whose zone it does not tell" in one for one in kept.statements)
    opened.use.measured(kept.id, reading(WITHIN))
    opened.use.send(opened.mechanic, kept.id)


def test_a_refusal_is_sent_whatever_the_photos_time(round_of: Open) -> None:
    from tests.app.records_house import refusal  # noqa: PLC0415 - only here

    opened = round_of("hoses", strut=True)
    kept = arrived(opened, photo(opened.house.clock.at + timedelta(days=1)))
    assert "still to come" in question_of(kept)
    opened.use.measured(kept.id, refusal())
    opened.use.send(opened.mechanic, kept.id)


def test_a_photo_that_shows_something_is_not_older_than_its_visit_either(round_of: Open) -> None:
    opened = round_of("hoses")
    begun = opened.use.begin_evidence(opened.mechanic, opened.item("hoses").id, "lower clamp")
    old = photo(opened.visit.opened_at - timedelta(hours=1))
    with pytest.raises(Conflict, match="this visit was opened"):
        opened.use.evidence_arrived(opened.mechanic, begun.id, old)
    kept = opened.use.evidence_arrived(opened.mechanic, begun.id, photo(opened.house.clock.at))
    assert kept.photo is not None


def gathered(opened: RoundHouse, data: bytes):  # type: ignore[no-untyped-def]
    leg = opened.house.primary
    return opened.use.photo_gathered(opened.mechanic, leg.aircraft_id, data, "IMG_7.jpg")


def given(opened: RoundHouse, photo_id: str, why: str = "taken on the ramp"):  # type: ignore[no-untyped-def]
    return opened.use.give_to_leg(opened.mechanic, photo_id, opened.house.primary.id, STATED, why=why)


def test_a_photo_from_the_gallery_that_is_older_than_the_visit_begins_no_try(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    one = gathered(opened, photo(opened.visit.opened_at - timedelta(hours=1)))
    with pytest.raises(Conflict, match="It shows another day's gear"):
        given(opened, one.id)
    record = opened.use.record(opened.visit.id)
    assert [item["photo_tries"] for leg in record["legs"] for item in leg["items"] if "tries" in item] == [
        0,
        0,
    ]
    assert opened.use.gathered(opened.mechanic) == (one,)


def test_a_reason_given_with_a_photo_from_the_gallery_is_not_asked_for_again(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    opened.house.clock.at += timedelta(hours=1)
    opened.stand(ItemCondition.RESTORED, RESTORED)
    opened.stand(ItemCondition.ON_WHEELS, ON_WHEELS)
    one = gathered(opened, photo(opened.house.clock.at - timedelta(minutes=20)))
    this = given(opened, one.id)
    assert question_of(this) == ""
    assert any("taken on the ramp" in line for line in this.statements)
