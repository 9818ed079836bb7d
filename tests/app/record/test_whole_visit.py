"""A whole inspection by a programme leaves the archive and comes into another one like a single strut."""

import json
from pathlib import Path

import jsonschema
import pytest

from app.archive import Archive, open_archive
from app.archive.exchange import SqlExchange
from app.inspection.exchange import Taken
from tests.app.record.test_export import exported, record_of, the_folder, verified
from tests.app.record.test_import import taken
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, RoundHouse, open_round, programme


@pytest.fixture
def visit(house: House) -> RoundHouse:
    """A hose with a fault that was acted on and looked at, a pressure read with a gauge."""
    opened = open_round(house, programme("hoses", "pressure"))
    opened.answer("hoses", FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    opened.act(case.discrepancy.id)
    opened.answer("pressure", opened.pressed(50.0, opened.gauge()))
    return opened


def test_a_whole_visit_goes_out_keeps_to_the_schema_and_verifies(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    ended = verified(tmp_path / "out")
    assert (ended.returncode, ended.stderr) == (0, ""), ended.stdout
    schema = json.loads((tmp_path / "out" / "record.schema.json").read_text())
    jsonschema.validate(record_of(tmp_path / "out"), schema, cls=jsonschema.Draft202012Validator)


def test_the_page_leaves_none_of_its_entries_out(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    for said in (
        "Answers",
        "Verdict: within",
        "Instruments",
        "Actions",
        "rubbed through to the braid",
        "mended",
        "G-pressure",
    ):
        assert said in page, said


def test_it_comes_into_another_archive_and_verifies_there(visit: RoundHouse, tmp_path: Path) -> None:
    exported(visit.house, tmp_path / "out")
    with open_archive(tmp_path / "other") as other:
        done = taken(other, tmp_path / "out")
        assert (done.done[Taken.NEW], done.refused) == (1, [])
        assert other.verify().faults == ()
        assert _rows(other) == _rows(visit.house.archive)


def _rows(archive: Archive) -> dict[str, str]:
    exchange = SqlExchange(archive.records)
    (one,) = exchange.listed()
    return {
        f"{entry} {id_}": repr(row)
        for (entry, id_), row in sorted(exchange.bundle(one.inspection_id).own.items())
    }
