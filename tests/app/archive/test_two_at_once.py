"""Two people at once: exactly one wins, and the other is told so."""

import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from app.archive import Verification
from app.errors import ArchiveError, Conflict
from app.inspection import Comparison, ItemState, Person
from tests.app.both_grounds import Grounds
from tests.app.records_house import STATED, WITHIN, House, open_house

ROOT = Path(__file__).resolve().parents[3]


def at_once(*acts: Callable[[], object]) -> list[object]:
    """What each of the acts gave or raised, begun at the same moment in threads of their own."""
    barrier = Barrier(len(acts))

    def run(act: Callable[[], object]) -> object:
        barrier.wait()
        try:
            return act()
        except Conflict as error:
            return error

    with ThreadPoolExecutor(len(acts)) as threads:
        return list(threads.map(run, acts))


def both_have_placed(house: House) -> tuple[Comparison, Comparison]:
    sent = house.sent(WITHIN)
    return house.placed(sent, WITHIN), house.placed(sent, 89.0, house.inspector_2)


def meet_at_the_password(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Make both signers wait for each other after all checks that come before writing."""
    barrier = Barrier(2)

    def check(person: Person, password: str) -> bool:
        barrier.wait(timeout=10)
        return True

    monkeypatch.setattr(house.people, "check_password", check)


def test_of_two_who_sign_at_once_in_two_threads_one_wins(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(5):
        first, second = both_have_placed(house)
        with monkeypatch.context() as patched:
            meet_at_the_password(house, patched)
            said = at_once(
                lambda one=first: house.sign(house.inspector, one),
                lambda other=second: house.sign(house.inspector_2, other),
            )
        lost = [one for one in said if isinstance(one, Conflict)]
        (won,) = [one for one in said if not isinstance(one, Conflict)]
        assert len(lost) == 1
        winner = house.people.find(won.confirmer_id).name  # type: ignore[attr-defined]
        assert str(lost[0]).startswith(f"{winner} confirmed this reading at ")
        item = house.item(first.place.item.id)
        assert item.state is ItemState.CLOSED
        house.inspections.close_inspection(house.inspector, item.inspection_id)
    assert house.archive.verify().faults == ()


def test_of_two_who_sign_at_once_in_two_processes_one_wins(house: House) -> None:
    shown = both_have_placed(house)
    processes = [
        subprocess.Popen(
            [
                sys.executable, "-m", "tests.app.archive.signing_child",
                house.ground.words(), person.id, one.try_.id, one.record_hash or "",
            ],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
        )
        for person, one in zip((house.inspector, house.inspector_2), shown, strict=True)
    ]  # fmt: skip
    try:
        for one in processes:
            assert one.stdout is not None
            assert one.stdout.readline() == "ready\n"
        for one in processes:
            assert one.stdin is not None
            one.stdin.write("go\n")
            one.stdin.flush()
        said = sorted(one.communicate(timeout=30)[0] for one in processes)
    finally:
        for one in processes:
            one.kill()
            one.communicate()
    lost, won = said
    winner = house.people.find(won.split()[1]).name
    assert lost.startswith(f"lost {winner} confirmed this reading at ")
    assert house.archive.verify().faults == ()


def test_the_same_photo_sent_twice_at_once_is_entered_once(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    act = lambda: house.inspections.photo_arrived(house.mechanic, begun.id, b"a photo")  # noqa: E731
    first, second = at_once(act, act)
    assert first == second
    assert house.archive.verify() == Verification((), ())


def test_two_photos_at_once_for_one_try_keep_one(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    said = at_once(
        lambda: house.inspections.photo_arrived(house.mechanic, begun.id, b"one"),
        lambda: house.inspections.photo_arrived(house.mechanic, begun.id, b"other"),
    )
    assert sorted(isinstance(one, Conflict) for one in said) == [False, True]
    assert house.archive.verify().faults == ()


def test_those_who_open_a_new_archive_at_once_all_get_it_with_one_key(
    grounds: Grounds, tmp_path: Path
) -> None:
    for number in range(10 if grounds.name == "files" else 2):  # it takes luck to meet
        new = grounds.new(tmp_path / str(number))
        opened = at_once(*[new.open] * 3)
        assert {type(one).__name__ for one in opened} == {"Archive"}
        assert len({one.records.signer.key_id for one in opened}) == 1  # type: ignore[attr-defined]
        assert opened[0].verify() == Verification((), ())  # type: ignore[attr-defined]
        for one in opened:
            one.close()  # type: ignore[attr-defined]
        grounds.drop(new)


def test_two_mechanics_who_begin_at_once_share_one_inspection(house: House) -> None:
    first, second = at_once(
        lambda: house.inspections.begin_try(house.mechanic, house.primary.id, STATED),
        lambda: house.inspections.begin_try(house.inspector_2, house.primary.id, STATED),
    )
    assert first.item_id == second.item_id  # type: ignore[attr-defined]
    assert len(house.inspections.inspections()) == 1


def test_who_looks_does_not_wait_for_who_writes_and_sees_what_was_before(house: House) -> None:
    other = open_house(house.ground)
    with house.archive.records.begin() as work:
        work.enter("test", None, None, data={})
        assert other.inspections.inspections() == ()
    other.archive.close()


def test_a_writer_gives_up_with_a_sentence(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.archive.failures.BUSY_MS", 50)
    other = open_house(house.ground)
    with (
        house.archive.records.begin(),
        pytest.raises(ArchiveError, match=r"was busy for .* nothing was changed: try again"),
    ):
        other.inspections.open_inspection(other.mechanic, other.aircraft.id)
    other.archive.close()
