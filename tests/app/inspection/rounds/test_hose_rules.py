"""The table of what one person's judgements and hands come to, row by row."""

from datetime import UTC, datetime
from typing import Any

import pytest

from app.inspection.model import Try, TryState
from app.inspection.rounds.model import BareMarking, Finding, HandEntry, HandKind, Judged
from app.inspection.rounds.search_kinds import UNTOLD, named
from app.inspection.rounds.search_places import coverage_of, marked
from app.inspection.rounds.search_rules import finding_of, locks_by_hand, step_of
from app.inspection.rounds.search_views import PlaceKind, SearchCoverage, SearchedPhoto, SearchedPlace, Step
from app.inspection.rounds.search_words import words_of
from tests.app.hose_house import course

NOW = datetime(2024, 5, 1, tzinfo=UTC)
GOOD, FAULT, UNDECIDED = Finding.GOOD, Finding.FAULT, Finding.UNDECIDED


def place(judged: Judged | None, by_hand: Finding | None = None) -> SearchedPlace:
    settled = None if by_hand is None else hand(HandKind.SETTLES, by_hand)
    return SearchedPlace(
        "flag-1", PlaceKind.FLAG, 1, 0, "brake", (), None, None, 2, "", judged=judged, by_hand=settled
    )


def hand(kind: HandKind, finding: Finding = GOOD, **told: Any) -> HandEntry:
    return HandEntry("a", "b", "c", kind, "", None, finding, "words", told, NOW)


def searched(**hose: Any) -> Try:
    result = {"status": "searched", "flags": [], "set_aside": [], "hoses": [course(**hose)]}
    options = {"what": "hose", "seen_from": "front", "taps": [{"name": "brake", "points": []}]}
    return Try("t", "i", "p", NOW, (), options, TryState.READ, photo=f"photo of {hose}", result=result)


@pytest.mark.parametrize(
    ("places", "hands", "finding"),
    [
        ((Judged.WEAR,), (), FAULT),
        ((Judged.FLUID,), (), FAULT),
        ((Judged.WEAR, Judged.CANNOT_TELL), (), FAULT),
        ((Judged.DIRT, Judged.FLUID, Judged.REFLECTION), (GOOD,), FAULT),
        ((), (FAULT,), FAULT),
        ((Judged.REFLECTION,), (GOOD, FAULT), FAULT),
        ((Judged.CANNOT_TELL,), (GOOD,), UNDECIDED),
        ((Judged.REFLECTION, None), (), UNDECIDED),
        ((Judged.REFLECTION, Judged.DIRT), (GOOD,), GOOD),
        ((), (GOOD,), GOOD),
    ],
)
def test_judgements_and_hands_come_to_a_finding(
    places: tuple[Judged | None, ...], hands: tuple[Finding, ...], finding: Finding
) -> None:
    judged = [place(one) for one in places]
    assert finding_of(judged, [hand(HandKind.ALL_ROUND, one) for one in hands]) is finding


@pytest.mark.parametrize("by_hand", [GOOD, FAULT])
def test_what_cannot_be_told_is_what_hand_and_mirror_find(by_hand: Finding) -> None:
    assert finding_of([place(Judged.CANNOT_TELL, by_hand)], []) is by_hand


def test_a_fault_found_by_hand_stays_one_whatever_the_place_is_taken_for_afterwards() -> None:
    assert finding_of([place(Judged.REFLECTION, FAULT)], []) is FAULT


def test_the_steps_of_a_photo_follow_each_other() -> None:
    def at(state: TryState, is_marked: bool = False, *places: SearchedPlace, **more: Any) -> Step:
        told = {"options": {"what": "hose", "taps": [1]}, "photo": "sha"} | more
        this = Try("t", "i", "p", NOW, (), state=state, **told)
        return step_of(this, is_marked, bool(places), places)

    assert at(TryState.AWAITING_PHOTO, photo=None) is Step.PHOTO
    assert at(TryState.STORED, options={"what": "hose"}) is Step.SHOW
    assert at(TryState.STORED) is at(TryState.MEASURING) is Step.SEARCHING
    assert at(TryState.FAILED) is Step.FAILED
    assert at(TryState.READ) is Step.MARK
    assert at(TryState.READ, True, place(None)) is Step.JUDGE
    assert at(TryState.READ, True, place(Judged.DIRT)) is Step.DONE
    refused: dict[str, Any] = {"result": {"status": "refused"}}
    assert at(TryState.REFUSED, **refused) is Step.REFUSED
    assert at(TryState.REFUSED, False, place(None), **refused) is Step.MARK
    assert at(TryState.FAILED, False, place(None)) is Step.MARK
    assert at(TryState.FAILED, True, place(None)) is Step.JUDGE
    assert at(TryState.FAILED, True, place(Judged.DIRT)) is Step.FAILED


def test_shares_of_photos_are_a_range_and_the_same_photo_counts_once() -> None:
    one, other = searched(share=0.3), searched(share=0.2)
    told = coverage_of("brake", [(1, one), (2, other), (3, one)])
    assert (told.least, told.most) == (pytest.approx(0.3), pytest.approx(0.5))
    short = searched(share=0.4, centre_line_px=[[100.0, 100.0], [200.0, 100.0]])
    told = coverage_of("brake", [(1, one), (2, short)])
    assert (told.least, told.most) == (pytest.approx(0.3), pytest.approx(0.4))
    unscaled = coverage_of("brake", [(1, searched(diameter_mm=None))])
    assert "surface of the length shown" in unscaled.lines[0] and "25 to 50 % of it" in unscaled.lines[0]


def test_what_is_told_of_the_rest_counts_only_while_it_is_the_same() -> None:
    assert locks_by_hand([SearchCoverage("brake", ("one",), 0.1, 0.1, None, outdated=True)], None) == (
        "Hose brake: say how what the photos did not search of it was inspected, "
        "which has changed since you told.",
        "All hoses by hand, mirror and light, doors and steering at their extremes: do it and say so.",
    )


def test_a_mark_lies_on_the_nearest_hose_and_another_persons_words_stay_his() -> None:
    marking = BareMarking("m" * 32, "t", "p", ({"x": 300.0, "y": 90.0, "text": "dull"},), False, NOW)
    (own,) = marked(searched(), marking, own=True)
    (others,) = marked(searched(), marking, own=False)
    assert (own.along_mm, own.words) == (50.8, "dull")
    assert (others.words, others.own) == ("", False)


def test_an_answer_never_says_that_there_is_no_wear() -> None:
    photo = SearchedPhoto(searched(), 1, Step.DONE, None, ())
    light = hand(HandKind.ALL_ROUND, doors="open", steering="none")
    said = words_of(GOOD, [photo], [coverage_of("brake", [(1, searched())])], [light], ())
    assert said.startswith("Nothing that needs action was found on what was searched (no place was raised)")
    assert "Not searched: every side of it that no photo shows" in said
    assert "no wear" not in said.lower()


SEEN = BareMarking(
    "m" * 32, "t", "p", tuple({"x": 300.0, "y": y, "text": ""} for y in (149.0, 251.0, 390.0)), False, NOW
)


def test_a_mark_farther_from_a_searched_hose_than_its_width_lies_on_none_of_them() -> None:
    on, beside, far = marked(searched(), SEEN, own=True)
    assert (on.hose, on.hose_name, on.along_mm) == (0, "brake", 50.8)
    assert {(one.hose, one.hose_name, one.along_mm) for one in (beside, far)} == {(-1, UNTOLD, None)}
    assert named(far.hose_name) == "A hose, which one is not told"
    (*_, only) = marked(searched(), SEEN, own=True, elsewhere="brake")
    assert (only.hose, only.hose_name) == (-1, "brake")


def test_a_mark_on_a_photo_that_was_not_searched_is_on_the_hose_that_was_shown_nearest() -> None:
    taps = [
        {"name": "brake", "points": [[100.0, 100.0], [500.0, 100.0]]},
        {"name": "lock", "points": [[120.0, 400.0], [480.0, 400.0]]},
        {"name": "door", "points": [[310.0, 255.0]]},
    ]
    refused = Try("t", "i", "p", NOW, (), {"what": "hose", "taps": taps}, TryState.REFUSED, photo="sha")
    assert [one.hose_name for one in marked(refused, SEEN, own=True)] == ["brake", "door", "lock"]
