"""Which re-inspection clears a discrepancy: that of its last action, and none before it."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from app.inspection import Discrepancy, DiscrepancyState, Item, ItemState
from app.inspection.rounds.closing import discrepancies_cleared
from app.inspection.rounds.model import Action, ActionKind

AT = datetime(2024, 5, 1, 9, 0, tzinfo=UTC)
FAULT = Discrepancy("d", "original", None, "left main leg", "chafed", None, "p", AT, DiscrepancyState.ACTED)


def action(id_: str, reinspection: str, hours: int) -> Action:
    return Action(
        id_, "d", "visit", ActionKind.REPAIRED, "mended", "manual 32-10", (), (), "p", reinspection, "s",
        AT + timedelta(hours=hours),
    )  # fmt: skip


@dataclass(frozen=True)
class Rows:
    """As much of an archive as is asked for."""

    fault: Discrepancy
    actions: tuple[Action, ...]

    def get(self, kind: type, id_: str) -> Any:
        assert (kind, id_) == (Discrepancy, "d")
        return self.fault

    def all(self, kind: type, **where: str) -> tuple[Action, ...]:
        assert kind is Action
        return tuple(
            one for one in self.actions if all(getattr(one, name) == value for name, value in where.items())
        )


def cleared(rows: Rows, item_id: str) -> list[Discrepancy]:
    item = Item(item_id, "visit", "leg", "hose", ItemState.TO_DO)
    return discrepancies_cleared(rows, item)  # type: ignore[arg-type]


def test_the_re_inspection_of_the_only_action_clears_it() -> None:
    rows = Rows(FAULT, (action("a", "r1", 0),))
    assert cleared(rows, "r1") == [replace(FAULT, state=DiscrepancyState.CLEARED)]


def test_what_was_acted_on_again_is_not_cleared_by_the_re_inspection_before() -> None:
    rows = Rows(FAULT, (action("b", "r2", 5), action("a", "r1", 0)))
    assert cleared(rows, "r1") == []
    assert cleared(rows, "r2") == [replace(FAULT, state=DiscrepancyState.CLEARED)]


def test_what_is_put_off_is_cleared_by_nothing() -> None:
    rows = Rows(replace(FAULT, state=DiscrepancyState.DEFERRED), (action("a", "r1", 0),))
    assert cleared(rows, "r1") == []
