"""Photos go by a recorded act only: who, why, which rule; the hashes stay, and verify knows."""

from pathlib import Path

import pytest

from app.archive import open_archive
from app.archive.exchange import SqlExchange
from app.archive.exchange.deleting import delete, plan
from app.errors import NotAllowed, NotFound
from app.inspection import Try
from app.inspection.canonical import sha256
from tests.app.record.conftest import close, fill, picture
from tests.app.record.test_export import exported, record_of, verified
from tests.app.record.test_import import taken
from tests.app.records_house import House

ACT = ("the shop's five years are over", "retention rule 4.2")


def deleted(house: House, *ids: str) -> tuple[str, ...]:
    planned = plan(house.archive.records, house.archive.photos, ids)
    return delete(house.archive.records, house.archive.photos, planned, house.inspector, *ACT)


def hashes(house: House) -> set[str]:
    return {one.sha for one in house.archive.photos.stored() if one.sha}


def test_photos_of_a_closed_inspection_go_and_the_act_tells_who_why_and_by_which_rule(house: House) -> None:
    id_ = close(house)
    gone = deleted(house, id_)
    assert len(gone) == 2
    assert hashes(house) == set()
    told = SqlExchange(house.archive.records).bundle(id_).context[-1].told
    assert (told["kind"], told["by"]) == ("photo-deleted", house.inspector.id)
    assert (told["data"]["why"], told["data"]["rule"]) == ACT
    assert set(told["data"]["photos"]) == set(gone)


def test_verify_tells_them_as_deleted_by_an_act_and_finds_no_fault(house: House) -> None:
    gone = deleted(house, close(house))
    found = house.archive.verify()
    assert (found.faults, set(found.deleted)) == ((), set(gone))


def test_a_file_that_goes_without_an_act_is_a_fault(house: House) -> None:
    close(house)
    sha = sorted(hashes(house))[0]
    house.archive.photos.remove(sha)
    assert [one.where for one in house.archive.verify().faults] == [f"photo {sha}"]


def test_the_entries_stay_and_still_name_the_photo(house: House) -> None:
    id_ = close(house)
    gone = deleted(house, id_)
    with house.archive.records.look() as r:
        named = {sha for one in r.all(Try) for sha in (one.photo, one.annotated) if sha}
    assert set(gone) == named


def test_an_open_inspection_keeps_its_photos(house: House) -> None:
    fill(house)
    (one,) = house.inspections.inspections()
    with pytest.raises(NotAllowed, match="is open, and its photos are still needed"):
        plan(house.archive.records, house.archive.photos, [one.id])


def test_an_inspection_that_is_not_there_is_named(house: House) -> None:
    with pytest.raises(NotFound, match="There is no inspection 'abc'"):
        plan(house.archive.records, house.archive.photos, ["abc"])


def test_a_file_that_another_inspection_names_too_stays(house: House) -> None:
    first, second = close(house, 3), close(house, 4)
    planned = plan(house.archive.records, house.archive.photos, [first])
    ((kept, why),) = planned.kept.items()
    assert (kept, len(planned.photos)) == (sha256(picture(3)), 1)
    assert "names it too" in why
    both = plan(house.archive.records, house.archive.photos, [first, second])
    assert (len(both.photos), both.kept) == (3, {})


def test_the_original_goes_last(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    id_ = close(house)
    with house.archive.records.look() as r:
        (one,) = (one for one in r.all(Try) if one.photo)
    order: list[str] = []
    monkeypatch.setattr(house.archive.photos, "remove", order.append)
    deleted(house, id_)
    assert order == [one.annotated, one.photo]


def test_what_a_crash_left_goes_with_the_next_act(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    id_ = close(house)
    before = hashes(house)
    with monkeypatch.context() as patched:
        patched.setattr(house.archive.photos, "remove", _crash)
        with pytest.raises(KeyboardInterrupt):
            deleted(house, id_)
    assert hashes(house) == before
    assert house.archive.verify().faults == ()
    assert set(deleted(house, id_)) == before
    assert hashes(house) == set()


def _crash(sha: str) -> None:
    raise KeyboardInterrupt


def test_a_crash_before_the_act_is_entered_removes_nothing(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    id_ = close(house)
    before = hashes(house)
    monkeypatch.setattr("app.archive.chain.enter_heads", lambda *_: _crash(""))
    with pytest.raises(KeyboardInterrupt):
        deleted(house, id_)
    assert hashes(house) == before


def test_an_export_tells_that_they_were_deleted_and_can_be_imported(house: House, tmp_path: Path) -> None:
    gone = deleted(house, close(house))
    exported(house, tmp_path / "out")
    assert {file["state"] for file in record_of(tmp_path / "out")["files"].values()} == {"deleted"}
    ended = verified(tmp_path / "out")
    assert ended.returncode == 0
    assert ended.stdout.count("was deleted by a recorded act") == 2

    with open_archive(tmp_path / "other") as other:
        assert taken(other, tmp_path / "out").refused == []
        found = other.verify()
        assert (found.faults, set(found.deleted)) == ((), set(gone))
