from collections.abc import Callable

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import DiscrepancyState, ItemState
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import ActionKind, Finding, SequenceKind
from app.inspection.rounds.sequences import STEPS, is_through, next_step
from tests.app.inspection.rounds.test_discrepancies import OFF, ON
from tests.app.records_house import PASSWORD
from tests.app.rounds_house import FAULT, GOOD, RoundHouse

Open = Callable[..., RoundHouse]
LEAK = {
    "photo": {},
    "fluid": {"fluid": "hydraulic fluid, red"},
    "depressurised": {"tag": "T-12"},
    "seating": {"document": "manual 29-10 rev 2", "torque": "12 N m", "instrument": "wrench 7"},
    "looked_again": {"seen": "dry", "from": "behind the wing root"},
}
CRACK = {
    "stopped": {"tag": "T-13"},
    "marked": {"marker": "permitted felt marker"},
    "photo": {"place": "lug of the drag brace, upper"},
    "ordered": {
        "part": "drag brace", "serial": "S-4", "material": "ferrous", "method": "magnetic particle",
        "data": "NDI manual 32-1 rev 5",
    },
}  # fmt: skip
FILLED = {
    "level_before": {"level": "below the mark"},
    "filled": {"fluid": "red fluid", "quantity": "0.1 l", "batch": "B-9"},
    "air_out": {"sweeps": "12"},
    "level_after": {"level": "at the mark"},
}


class Steps:
    """The steps of the sequence that a fault of an item has begun."""

    def __init__(self, opened: RoundHouse, key: str) -> None:
        self.opened = opened
        opened.answer(key, FAULT)
        (self.case,) = opened.use.cases(opened.visit.id)
        assert self.case.sequence is not None
        self.id = self.case.sequence.id
        self.discrepancy = self.case.discrepancy.id

    def photo(self) -> str:
        use, who = self.opened.use, self.opened.mechanic
        shows = use.begin_evidence(who, self.case.place.item.id, "drag brace")
        use.photo_arrived(who, shows.id, f"photo of {shows.id}".encode(), "IMG_2.jpg")
        return str(shows.id)

    def do(self, key: str, told: dict[str, str], photo: str = "", person=None, password: str = "") -> None:  # type: ignore[no-untyped-def]
        self.opened.use.step(
            person or self.opened.mechanic, self.opened.visit.id, self.id, key, told, photo, password
        )

    def all(self, told: dict[str, dict[str, str]]) -> None:
        for key, words in told.items():
            self.do(key, words, self.photo() if key == "photo" else "")


def test_a_leak_that_is_dry_after_seating_is_through_and_can_be_acted_on(round_of: Open) -> None:
    opened = round_of("leaks")
    leak = Steps(opened, "leaks")
    with pytest.raises(Conflict, match="A leak is worked through step by step first"):
        opened.act(leak.discrepancy)
    leak.all(LEAK)
    opened.act(leak.discrepancy, text="seated and torqued once")
    assert opened.use.case(opened.visit.id, leak.discrepancy).discrepancy.state is DiscrepancyState.ACTED


def test_no_step_is_left_out_and_none_is_done_twice(round_of: Open) -> None:
    leak = Steps(round_of("leaks"), "leaks")
    with pytest.raises(Conflict, match="is not the next step: next is 'Photo before anything is wiped'"):
        leak.do("fluid", LEAK["fluid"])
    leak.do("photo", {}, leak.photo())
    leak.do("fluid", LEAK["fluid"])
    leak.do("depressurised", LEAK["depressurised"])
    leak.do("seating", LEAK["seating"])
    with pytest.raises(Conflict, match="it is done once"):
        leak.do("seating", LEAK["seating"])


def test_the_photo_comes_before_wiping_and_has_to_have_arrived(round_of: Open) -> None:
    leak = Steps(round_of("leaks"), "leaks")
    with pytest.raises(UsageError, match="the photo is missing"):
        leak.do("photo", {})
    begun = leak.opened.use.begin_evidence(leak.opened.mechanic, leak.case.place.item.id, "here")
    with pytest.raises(UsageError, match="the photo is missing"):
        leak.do("photo", {}, begun.id)


def test_a_step_lacks_nothing_that_it_asks_for(round_of: Open) -> None:
    leak = Steps(round_of("leaks"), "leaks")
    leak.do("photo", {}, leak.photo())
    with pytest.raises(UsageError, match="Fluid has to be told"):
        leak.do("fluid", {"fluid": " "})


def test_a_leak_that_goes_on_has_its_part_replaced_and_is_looked_at_again(round_of: Open) -> None:
    opened = round_of("leaks")
    leak = Steps(opened, "leaks")
    leak.all({**LEAK, "looked_again": {"seen": "leaks", "from": "behind"}})
    with pytest.raises(Conflict, match="step by step first"):
        opened.act(leak.discrepancy)
    leak.do("replaced", {"part": "union", "serial_off": "a", "serial_on": "b", "release": "form 1 no 5"})
    leak.do("looked_last", {"seen": "leaks", "from": "behind"})
    with pytest.raises(Conflict, match="step by step first"):
        opened.act(leak.discrepancy)
    again = opened.use.begin_again(opened.mechanic, opened.visit.id, leak.discrepancy)
    leak.id = again.id
    leak.all(LEAK)
    assert opened.act(leak.discrepancy).kind is ActionKind.REPAIRED


def cracked(opened: RoundHouse, result: str) -> Steps:
    crack = Steps(opened, "cracks")
    crack.all(CRACK)
    crack.do("result", {"result": result, "report": "NDI 44"}, person=opened.ndi, password=PASSWORD)
    return crack


def test_a_crack_cannot_be_deferred_nor_entered_in_error(round_of: Open) -> None:
    opened = round_of("cracks")
    crack = Steps(opened, "cracks")
    with pytest.raises(Conflict, match="cannot be deferred"):
        opened.defer(crack.discrepancy)
    with pytest.raises(Conflict, match="not an error of entry"):
        opened.act(crack.discrepancy, ActionKind.ENTERED_IN_ERROR)
    assert any("discrepancy open" in one.what for one in opened.use.gaps(opened.visit.id))


def test_a_crack_that_was_found_is_only_replaced(round_of: Open) -> None:
    opened = round_of("cracks")
    crack = cracked(opened, "indication")
    with pytest.raises(Conflict, match="is replaced"):
        opened.act(crack.discrepancy, ActionKind.REPAIRED)
    assert opened.act(crack.discrepancy, ActionKind.REPLACED, removed=OFF, fitted=ON).reinspection_id


def test_a_crack_that_was_none_is_cleared_by_the_technicians_word(round_of: Open) -> None:
    opened = round_of("cracks")
    crack = cracked(opened, "no indication")
    made = opened.act(crack.discrepancy, ActionKind.NDI_CLEARED)
    assert opened.again(opened.use.place_of(made.reinspection_id).item).state is ItemState.TO_DO


def test_the_result_is_signed_by_an_authorised_technician_alone(round_of: Open) -> None:
    opened = round_of("cracks")
    crack = Steps(opened, "cracks")
    crack.all(CRACK)
    told = {"result": "no indication", "report": "NDI 44"}
    with pytest.raises(NotAllowed, match="This takes an NDI technician"):
        crack.do("result", told, person=opened.inspector, password=PASSWORD)
    with pytest.raises(NotAllowed, match="not your password"):
        crack.do("result", told, person=opened.ndi, password="wrong one")
    crack.do("result", told, person=opened.ndi, password=PASSWORD)
    meanings = [one["meaning"] for one in opened.use.record(opened.visit.id)["signatures"]]
    assert meanings.count("ndi_result") == 1


def test_magnetic_particles_go_on_ferrous_parts_only(round_of: Open) -> None:
    crack = Steps(round_of("cracks"), "cracks")
    for key in ("stopped", "marked"):
        crack.do(key, CRACK[key])
    crack.do("photo", CRACK["photo"], crack.photo())
    with pytest.raises(UsageError, match="Magnetic particles show nothing"):
        crack.do("ordered", CRACK["ordered"] | {"material": "not ferrous"})
    with pytest.raises(UsageError, match="Method is one of penetrant"):
        crack.do("ordered", CRACK["ordered"] | {"method": "by ear"})


def test_servicing_is_told_step_by_step_and_not_ticked(round_of: Open) -> None:
    opened = round_of("fluid")
    item = opened.item("fluid")
    with pytest.raises(Conflict, match="a tick would not say what was filled in"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    begun = opened.use.begin_servicing(opened.mechanic, item.id)
    assert opened.use.begin_servicing(opened.mechanic, item.id).id == begun.id
    for key, told in FILLED.items():
        with pytest.raises(Conflict, match="its servicing was begun and is not through"):
            opened.use.answer(opened.mechanic, item.id, ByEye(Finding.GOOD, "looks full"))
        opened.use.step(opened.mechanic, opened.visit.id, begun.id, key, told)
    opened.answer("fluid")
    (serviced,) = opened.use.record(opened.visit.id)["servicing"]
    assert serviced["steps"][1]["told"] == FILLED["filled"]


def test_a_level_that_needed_nothing_is_told_in_words(round_of: Open) -> None:
    opened = round_of("fluid")
    assert opened.answer("fluid", ByEye(Finding.GOOD, "at the mark, nothing filled in")).text


@pytest.mark.parametrize("kind", SequenceKind)
def test_every_sequence_begins_with_its_first_step_and_has_each_once(kind: SequenceKind) -> None:
    keys = [one.key for one in STEPS[kind]]
    assert len(set(keys)) == len(keys)
    assert next_step(kind, ()) is STEPS[kind][0]
    assert not is_through(kind, ())


def test_another_persons_photo_is_not_filled_and_the_same_bytes_change_nothing(round_of: Open) -> None:
    opened = round_of("leaks")
    leak = Steps(opened, "leaks")
    shows = opened.use.begin_evidence(opened.mechanic, leak.case.place.item.id, "here")
    with pytest.raises(NotAllowed, match="begun by another person"):
        opened.use.photo_arrived(opened.inspector, shows.id, b"x")
    first = opened.use.photo_arrived(opened.mechanic, shows.id, b"x")
    assert opened.use.photo_arrived(opened.mechanic, shows.id, b"x") == first
    with pytest.raises(Conflict, match="another photo already"):
        opened.use.photo_arrived(opened.mechanic, shows.id, b"y")
    assert opened.use.may_see_photo(opened.inspector, first.photo)
