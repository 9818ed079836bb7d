"""Practice: which cases, when the machine is wrong, what is counted, and that none of it is a record."""

import ast
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest

import app.practice
from app.archive.tables import KINDS, events, practice_answers
from app.errors import Conflict, NotFound
from app.practice import HIT_MM, Answer, Case, Choice, Practice, cases, photo_of, score
from app.practice.drawing import LEAST_WRONG_MM, shown_value
from app.practice.ports import PracticeStore
from app.practice.scoring import is_hit, is_right
from tests.app.records_house import House
from vision.verdict import judge

NOW = datetime(2026, 3, 1, tzinfo=UTC)


class Kept(PracticeStore):
    def __init__(self) -> None:
        self.all: list[Answer] = []

    def keep(self, answer: Answer) -> None:
        self.all.append(answer)

    def answers(self, person_id: str) -> tuple[Answer, ...]:
        return tuple(one for one in self.all if one.person_id == person_id)


def answer(
    choice: Choice, *, usable: bool = True, wrong: bool = False, placed: float | None = 90.0
) -> Answer:
    return Answer("a", "p", "case", NOW, usable, 90.0, 90.0, wrong, placed, choice)


def exact(case: Case) -> tuple[tuple[float, float], tuple[float, float]]:
    return case.from_px, case.to_px


def test_the_cases_are_rendered_scenes_whose_own_ends_give_their_truth() -> None:
    there = cases()
    assert Counter(one.is_usable for one in there)[True] >= 6
    assert Counter(one.is_usable for one in there)[False] >= 5
    for one in there:
        assert one.length_mm(*exact(one)) == pytest.approx(one.truth_mm)
        assert photo_of(one.sha) == one.path.read_bytes()
        assert all(one.why_unusable for one in there if not one.is_usable)
    assert photo_of("0" * 64) is None


def test_a_folder_without_pictures_holds_no_case(tmp_path: Path) -> None:
    assert cases(tmp_path) == ()
    practice = Practice(Kept(), ())
    assert practice.next_case("p") is None
    with pytest.raises(NotFound, match="nothing to practise on"):
        practice.answer("p", "x", Choice.NO_VALUE)


def test_all_cases_come_once_before_one_comes_again_and_a_reload_shows_the_same() -> None:
    practice = Practice(Kept())
    seen = []
    for _ in range(2 * len(cases())):
        case = practice.next_case("p")
        assert case is not None
        assert practice.next_case("p") == case
        seen.append(case.name)
        practice.answer("p", case.name, Choice.NO_VALUE)
    assert Counter(seen) == {one.name: 2 for one in cases()}
    assert seen[: len(cases())] != seen[len(cases()) :]


def test_a_machine_is_wrong_now_and_then_and_then_by_far() -> None:
    usable = [one for one in cases() if one.is_usable]
    shown = [(one, shown_value(one, f"person {n}", n)) for one in usable for n in range(100)]
    wrong = [(one, what) for one, what in shown if what.is_wrong]
    assert 0.25 < len(wrong) / len(shown) < 0.42
    for one, what in wrong:
        assert abs(what.value_mm - one.truth_mm) >= LEAST_WRONG_MM - 0.006
    for one, what in shown:
        if not what.is_wrong:
            assert abs(what.value_mm - one.truth_mm) < HIT_MM
    outside = [(one, what) for one, what in wrong if judge(one.truth_mm, 0.1, one.limits).value == "outside"]
    assert outside
    # The tempting kind: a strut that is outside is said to be within.
    assert all(judge(what.value_mm, 0.1, one.limits).value == "within" for one, what in outside)


def test_a_photo_without_a_value_is_never_shown_with_a_right_one() -> None:
    unusable = [one for one in cases() if not one.is_usable]
    assert all(shown_value(one, "p", n).is_wrong for one in unusable for n in range(10))


def test_an_own_reading_comes_before_the_machine_s() -> None:
    practice = Practice(Kept())
    case = practice.next_case("p")
    assert case is not None
    for choice in (Choice.STANDS, Choice.HAND):
        with pytest.raises(Conflict, match="Place both ends first"):
            practice.answer("p", case.name, choice)
    kept = practice.answer("p", case.name, Choice.STANDS, exact(case))
    assert kept.placed_mm == pytest.approx(case.truth_mm)
    with pytest.raises(Conflict, match="answered before"):
        practice.answer("p", case.name, Choice.STANDS, exact(case))


@pytest.mark.parametrize(("off", "hit"), [(0.0, True), (HIT_MM - 0.01, True), (HIT_MM + 0.01, False)])
def test_a_reading_is_a_hit_within_a_thirty_second_of_an_inch(off: float, hit: bool) -> None:
    assert is_hit(answer(Choice.STANDS, placed=90.0 + off)) is hit
    assert is_hit(answer(Choice.STANDS, placed=90.0 - off)) is hit


@pytest.mark.parametrize(
    ("given", "right"),
    [
        (answer(Choice.STANDS), True),
        (answer(Choice.HAND), False),
        (answer(Choice.STANDS, wrong=True), False),
        (answer(Choice.HAND, wrong=True), True),
        (answer(Choice.NO_VALUE), False),
        (answer(Choice.NO_VALUE, usable=False, wrong=True), True),
        (answer(Choice.STANDS, usable=False, wrong=True), False),
    ],
)
def test_right_is_what_the_truth_asks_for(given: Answer, right: bool) -> None:
    assert is_right(given) is right


def test_wrong_values_followed_are_counted_among_those_that_were_shown() -> None:
    found = score(
        [
            answer(Choice.STANDS, wrong=True),
            answer(Choice.HAND, wrong=True, placed=95.0),
            answer(Choice.NO_VALUE, wrong=True, placed=None),
            answer(Choice.STANDS),
            answer(Choice.HAND),
            answer(Choice.STANDS, usable=False, wrong=True),
            answer(Choice.NO_VALUE, usable=False, wrong=True, placed=None),
        ]
    )
    assert found.wrong_followed == (2, 3)
    assert found.right_refused == (1, 2)
    assert found.readings_hit == (3, 4)
    assert found.unusable_found == (1, 2)
    assert found.usable_refused == (1, 5)


def test_answers_are_kept_in_the_archive_and_are_a_person_s_own(house: House) -> None:
    practice = Practice(house.archive.practice)
    case = practice.next_case(house.mechanic.id)
    assert case is not None
    made = practice.answer(house.mechanic.id, case.name, Choice.STANDS, exact(case))
    assert house.archive.practice.answers(house.mechanic.id) == (made,)
    assert practice.last(house.inspector.id) is None
    assert practice.last(house.mechanic.id) == made


def test_practising_changes_no_chain_no_item_and_no_file(house: House) -> None:
    use = house.inspections
    before = (house.archive.head(), use.inspections(), use.archive(), use.unfinished(), len(_events(house)))
    practice = Practice(house.archive.practice)
    for _ in range(5):
        case = practice.next_case(house.mechanic.id)
        assert case is not None
        practice.answer(house.mechanic.id, case.name, Choice.STANDS, exact(case))
        assert not house.archive.photos.has(case.sha)
    after = (house.archive.head(), use.inspections(), use.archive(), use.unfinished(), len(_events(house)))
    assert after == before
    verified = house.archive.verify()
    assert (verified.faults, verified.orphans) == ((), ())


def _events(house: House) -> list[object]:
    with house.archive.records.look() as r:
        return list(r.connection.execute(events.select()))


def test_an_answer_cannot_be_entered_as_a_record(house: House) -> None:
    assert practice_answers not in KINDS.values()
    assert Answer not in KINDS
    with pytest.raises(KeyError), house.archive.records.begin() as work:
        work.enter("measured", house.mechanic, None, answer(Choice.STANDS))
    # Nothing that is a record refers to practice either.
    references = {key.column.table.name for table in KINDS.values() for key in table.foreign_keys}
    assert "practice_answers" not in references


def test_the_room_knows_nothing_of_inspections_and_archives() -> None:
    for path in Path(app.practice.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [one.name for one in node.names] if isinstance(node, ast.Import) else []
            forbidden = ("app.inspection", "app.archive", "app.measuring", "app.record", "app.people")
            assert not [name for name in names if name.startswith(forbidden)], path.name
