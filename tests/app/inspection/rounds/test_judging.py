"""Gauge readings and counts against their limits, with the instrument's doubt."""

from collections.abc import Callable

import pytest

from app.errors import UsageError
from app.inspection import ItemState
from app.inspection.rounds.given import Break, Counted, Gauge, Wires
from app.inspection.rounds.model import Finding
from app.inspection.rounds.quantities import UNITS, to_base
from app.inspection.rounds.second import look_outcome, readings_agree
from tests.app.rounds_house import RoundHouse, counted

Open = Callable[..., RoundHouse]


@pytest.mark.parametrize(
    ("psi", "finding"),
    [
        (50.0, Finding.GOOD),
        (45.6, Finding.GOOD),
        (45.4, Finding.UNDECIDED),
        (44.6, Finding.UNDECIDED),
        (44.4, Finding.FAULT),
        (55.6, Finding.FAULT),
    ],
)
def test_the_instruments_doubt_of_half_a_psi_is_in_the_verdict(
    round_of: Open, psi: float, finding: Finding
) -> None:
    opened = round_of("pressure")
    made = opened.use.answer(opened.mechanic, opened.item("pressure").id, opened.pressed(psi, opened.gauge()))
    assert made.finding is finding


def test_readings_that_scatter_widen_the_doubt(round_of: Open) -> None:
    opened = round_of("pressure")
    tool = opened.gauge()
    given = Gauge((46.0, 47.0, 48.0), "psi", tool.id, 45.0, 55.0, "manual 32-40 rev 1")
    made = opened.use.answer(opened.mechanic, opened.item("pressure").id, given)
    assert made.reading is not None
    # t95 for 2 degrees of freedom 4.303 (JCGM 100 Table G.2, from memory), s 1 psi, n 3.
    expected = (0.5**2 + (4.303 / 3**0.5) ** 2) ** 0.5 * 6.894757
    assert made.reading["expanded_u"] == pytest.approx(expected)
    assert made.finding is Finding.UNDECIDED


def test_an_undecided_reading_closes_nothing_and_is_read_again(round_of: Open) -> None:
    opened = round_of("pressure")
    opened.answer("pressure", opened.pressed(45.0, opened.gauge()))
    assert opened.item("pressure").state is ItemState.TO_DO
    opened.answer("pressure", opened.pressed(46.0, opened.gauge()))
    assert opened.item("pressure").state is ItemState.WAITING


def test_a_limit_without_its_document_is_none(round_of: Open) -> None:
    opened = round_of("pressure")
    with pytest.raises(UsageError, match="The limit's document and revision has to be told"):
        opened.use.answer(
            opened.mechanic, opened.item("pressure").id, opened.pressed(50, opened.gauge(), document="")
        )
    with pytest.raises(UsageError, match="type the limit as the aircraft's document gives it"):
        opened.use.answer(
            opened.mechanic, opened.item("pressure").id,
            opened.pressed(50, opened.gauge(), lower=None, upper=None),
        )  # fmt: skip


def test_readings_of_two_people_agree_within_their_combined_doubt() -> None:
    one, other = ({"value": value, "expanded_u": 3.0} for value in (100.0, 104.2))
    assert readings_agree(one, other)
    assert not readings_agree(one, {"value": 104.3, "expanded_u": 3.0})
    assert not readings_agree(one, None)


def test_a_second_reading_that_does_not_agree_asks_both_anew(round_of: Open) -> None:
    opened = round_of("pressure")
    tool = opened.gauge()
    opened.answer("pressure", opened.pressed(47, tool))
    opened.look(opened.item("pressure"), opened.pressed(50, tool))
    assert opened.item("pressure").state is ItemState.TO_DO


FINDINGS = list(Finding)


@pytest.mark.parametrize("first", FINDINGS)
@pytest.mark.parametrize("second", FINDINGS)
def test_only_the_same_finding_without_fault_or_doubt_closes(first: Finding, second: Finding) -> None:
    outcome = look_outcome(first, None, second, None)
    good = first is second and first in (Finding.GOOD, Finding.NOT_FITTED)
    if Finding.FAULT in (first, second):
        assert outcome == "discrepancy"
    else:
        assert outcome == ("closed" if good else "anew")


@pytest.mark.parametrize(("number", "finding"), [(6, Finding.GOOD), (5, Finding.FAULT), (7, Finding.GOOD)])
def test_a_count_is_held_against_what_the_document_asks_for(
    round_of: Open, number: int, finding: Finding
) -> None:
    opened = round_of("bolts")
    assert opened.answer("bolts", counted(number)).finding is finding


def test_one_count_over_opens_its_discrepancy_in_numbers(round_of: Open) -> None:
    opened = round_of("bolts")
    opened.answer("bolts", Counted(7, most=6, document="manual 32-40"))
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.text == "Bolts: counted 7, at most 6 asked for."


def test_counts_that_differ_are_counted_anew(round_of: Open) -> None:
    opened = round_of("bolts")
    opened.answer("bolts", counted(6))
    opened.look(opened.item("bolts"), counted(7))
    assert opened.item("bolts").state is ItemState.TO_DO


def wires(*at_mm: float, critical: int = 0, strand: bool = False) -> Wires:
    breaks = tuple(Break(one, number < critical) for number, one in enumerate(at_mm))
    return Wires(breaks, strand, 6, 0, "manual 27-00 rev 2")


def test_broken_wires_are_kept_with_their_places_and_worst_inch(round_of: Open) -> None:
    opened = round_of("wires")
    made = opened.answer("wires", wires(100, 105, 300))
    assert made.reading is not None
    assert (made.reading["counted"], made.reading["worst_inch"]) == (3, 2)
    assert made.finding is Finding.GOOD


@pytest.mark.parametrize("given", [wires(100, critical=1), wires(strand=True), wires(*range(100, 107))])
def test_what_rejects_a_cable_opens_a_discrepancy(round_of: Open, given: Wires) -> None:
    opened = round_of("wires")
    opened.answer("wires", given)
    assert opened.item("wires").state is ItemState.DISCREPANCY


def test_broken_wires_are_not_one_number(round_of: Open) -> None:
    opened = round_of("wires")
    with pytest.raises(UsageError, match="this is not how the item is answered"):
        opened.use.answer(opened.mechanic, opened.item("wires").id, counted(3))


def tension(opened: RoundHouse, scale: float, temperature_c: float = 29.444, u_lbf: float = 1.0) -> Gauge:
    tool, riser, table = opened.tension(u_lbf)
    return Gauge((scale,), "lbf", tool.id, riser_id=riser.id, limits_id=table.id, temperature_c=temperature_c)


def test_tension_is_read_by_the_risers_chart_and_held_against_the_table_at_its_temperature(
    round_of: Open,
) -> None:
    """70 lb at 85 °F (29.4 °C) for 1/8 in 7x19: TM 1-1500-204-23-9 7-3d (read); ± 5 lb is practice."""
    opened = round_of("tension")
    made = opened.use.answer(opened.mechanic, opened.item("tension").id, tension(opened, 25.0))
    assert made.reading is not None
    lbf = to_base("tension", "lbf", 1.0)
    assert made.reading["value"] / lbf == pytest.approx(70.0)
    assert made.reading["lower"] / lbf == pytest.approx(65.0)
    assert made.finding is Finding.GOOD


def test_the_same_tension_is_too_high_when_it_is_cold(round_of: Open) -> None:
    opened = round_of("tension")
    made = opened.use.answer(opened.mechanic, opened.item("tension").id, tension(opened, 25.0, 0.0))
    assert made.finding is Finding.FAULT


@pytest.mark.parametrize(("scale", "temperature"), [(25.0, 31.0), (25.0, -1.0), (31.0, 20.0), (9.0, 20.0)])
def test_neither_chart_is_extended(round_of: Open, scale: float, temperature: float) -> None:
    opened = round_of("tension")
    given = tension(opened, scale, temperature)
    with pytest.raises(UsageError, match="lies outside the chart"):
        opened.use.answer(opened.mechanic, opened.item("tension").id, given)


def test_another_instruments_riser_is_refused(round_of: Open) -> None:
    opened = round_of("tension")
    given = tension(opened, 25.0)
    other = opened.use.enter_instrument(
        opened.mechanic, "tensiometer", "T-2", "tension", "lbf", 1.0, opened.use.instruments()[0].due
    )
    wrong = Gauge(
        (25.0,), "lbf", other.id, riser_id=given.riser_id, limits_id=given.limits_id, temperature_c=20.0
    )
    with pytest.raises(UsageError, match="The riser's chart of tensiometer T-2"):
        opened.use.answer(opened.mechanic, opened.item("tension").id, wrong)


@pytest.mark.parametrize(
    ("quantity", "unit", "value", "base"),
    [
        ("pressure", "psi", 100.0, 689.4757),
        ("length", "in", 1.0, 25.4),
        ("tension", "lbf", 70.0, 311.3755),
        ("temperature", "°F", 85.0, 29.4444),
        ("torque", "lbf in", 100.0, 11.2985),
    ],
)
def test_units_come_to_their_base(quantity: str, unit: str, value: float, base: float) -> None:
    assert to_base(quantity, unit, value) == pytest.approx(base, rel=1e-5)


def test_a_difference_of_temperatures_takes_no_offset() -> None:
    assert to_base("temperature", "°F", 9.0, difference=True) == pytest.approx(5.0)


def test_every_quantity_of_a_programme_has_its_units() -> None:
    from app.programme.keys import QUANTITIES  # noqa: PLC0415 - only here

    assert set(QUANTITIES) == set(UNITS)
