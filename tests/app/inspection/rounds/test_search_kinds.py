"""Which items photos are searched for, and what the photos of a surface come to, as pure functions."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from app.inspection.model import Try, TryState
from app.inspection.rounds.search_kinds import (
    HOSES,
    KINDS,
    SURFACES,
    SearchKind,
    kind_judged,
    kind_of,
    kind_wanted,
    looks_himself,
)
from app.inspection.rounds.search_places import coverage_of_surface, marked
from app.inspection.rounds.search_rules import awaits_points, tells
from app.programme import Item, ItemCondition, LimitKind, Method, SeenFrom
from tests.app.inspection.rounds.test_hose_rules import SEEN
from tests.app.surface_house import found, refused, spot

AT = datetime(2024, 5, 1, tzinfo=UTC)
EYE = Item("well", "Well", "well", ItemCondition.ON_WHEELS, Method.HAND_AND_EYE, LimitKind.BY_EYE, (), ())
SEARCH, GAUGE, COUNT = Method.PHOTO_SEARCH, Method.GAUGE_READING, Method.COUNT


def photo(result: Any = None, **options: Any) -> Try:
    told = {"what": "surface", "seen_from": "left wall"} | options
    return Try("a" * 32, "b" * 32, "c" * 32, AT, (), told, TryState.STORED, "p" * 64, "x.jpg", result=result)


@pytest.mark.parametrize(
    ("method", "searches", "kind"),
    [
        (Method.HAND_AND_EYE, (), None),
        (Method.HAND_AND_EYE, ("surface",), SURFACES),
        (Method.HAND_AND_EYE, ("hose",), None),
        (SEARCH, ("hose",), HOSES),
        (SEARCH, ("surface",), SURFACES),
        (GAUGE, ("surface",), None),
        (COUNT, ("hose",), None),
    ],
)
def test_what_an_items_photos_are_searched_for(
    method: Method, searches: tuple[str, ...], kind: SearchKind | None
) -> None:
    assert kind_wanted(replace(EYE, method=method, searches=searches)) is kind


def test_who_looks_second_goes_to_the_aircraft_where_the_item_is_one_by_hand_and_eye() -> None:
    eye = replace(EYE, searches=("surface",))
    assert looks_himself(eye) and not looks_himself(EYE)
    assert not looks_himself(replace(eye, method=SEARCH, seen_from=SeenFrom.PHOTO))
    assert not looks_himself(replace(EYE, method=SEARCH, searches=("hose",)))


def test_the_names_that_are_stored_for_years() -> None:
    assert [(one.what, one.result, one.shown) for one in KINDS] == [
        ("hose", "hose_search", "taps"), ("surface", "surface_search", "region"),
    ]  # fmt: skip
    assert kind_of(photo()) is SURFACES and kind_of(photo(what="tire")) is None
    assert kind_judged({"what": "hose"}) is HOSES and kind_judged({"value": 1.0}) is kind_judged(None) is None


def test_a_photo_waits_for_its_own_kind_of_showing() -> None:
    assert awaits_points(photo()) and awaits_points(photo(taps=[{"name": "brake", "points": []}]))
    assert not awaits_points(photo(region=[[1.0, 2.0], [3.0, 4.0]]))
    assert not awaits_points(photo(what="tire"))


@pytest.mark.parametrize(
    ("result", "does"),
    [
        (found().result, True),
        (found(share=0.0).result, False),
        (found(spot(200.0), share=0.0).result, True),
        (refused().result, False),
        (None, False),
    ],
)
def test_a_surface_tells_something_with_a_flag_or_a_share(result: Any, does: bool) -> None:
    assert tells(photo(result)) is does


def test_shares_of_several_photos_are_told_one_by_one_and_never_added() -> None:
    one, other = photo(found(share=0.4).result), photo(found(share=0.5).result, seen_from="right wall")
    told = coverage_of_surface([(1, one), (3, other)])
    assert (told.least, told.most) == (0.4, 0.5)
    assert told.lines[0].startswith("Photo 1 (left wall): 40 % of the region shown on it was searched")
    assert told.lines[1].startswith("Photo 3 (right wall): 50 %")
    assert "lies in no photo's region" in told.lines[-1]
    whole = found(share=1.0).result
    whole["surface"] |= {"not_searched_px": []}
    assert "not searched." not in coverage_of_surface([(1, photo(whole))]).lines[0]


def test_nothing_searched_is_told_as_that() -> None:
    told = coverage_of_surface([(1, photo(refused().result))])
    assert told.lines == ("No photo that was searched shows it: nothing of it was searched.",)
    assert (told.least, told.most) == (0, 0)


def test_a_mark_on_a_surface_is_on_no_hose() -> None:
    places = list(marked(photo(found().result), SEEN, own=True, elsewhere=""))
    assert {(one.hose, one.hose_name, one.along_mm) for one in places} == {(-1, "", None)}
