"""A house whose aircraft follows a small programme, with everybody who works on a whole inspection."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.inspection import Inspection, Item, Person, Role
from app.inspection.rounds.given import ByEye, Counted, Gauge, Given
from app.inspection.rounds.model import ALL_CLASSES, ActionKind, Answer, Chart, Finding, Instrument, Look
from app.inspection.rounds.times import Times
from app.programme import ItemCondition
from tests.app.records_house import PASSWORD, House

GOOD = ByEye(Finding.GOOD)
FAULT = ByEye(Finding.FAULT, "rubbed through to the braid")
DUE, LONG_AGO = date(2025, 1, 1), date(2024, 4, 30)
TIMES = Times(4210.5, 6100, 5890)
ON_WHEELS = {"load": "within the range, 120 l", "level": "0.2 and 0.1 degree", "settled": ""}
SWING = {"pins_out": "2", "clear": ""}
RESTORED = {"pins_back": "2"}

PROGRAMME = """
name = "Small programme"
revision = "tests"
document = "written for the tests"
opening = ["first"]
[[caution]]
key = "first"
title = "First"
text = "Look round first."
source = "the tests"
[[feature]]
key = "cables"
question = "Are there cables?"
answers = ["fitted", "none"]
[[condition]]
key = "on_wheels"
title = "On its wheels"
[[condition.statement]]
key = "load"
text = "Load and fuel are within the range."
record = "load and fuel"
[[condition.statement]]
key = "level"
text = "The ground is level."
record = "slope"
[[condition.statement]]
key = "settled"
text = "The strut has settled."
[[condition]]
key = "swing"
title = "Swing"
[[condition.statement]]
key = "pins_out"
text = "The pins are out."
record = "number of pins"
[[condition.statement]]
key = "clear"
text = "All is clear."
[[condition]]
key = "restored"
title = "Restored"
[[condition.statement]]
key = "pins_back"
text = "The pins are in again."
record = "number of pins"
[[group]]
key = "strut"
title = "Strut"
[[group]]
key = "lines"
title = "Lines"
[[group]]
key = "gear_swing"
title = "Swing"
[[group]]
key = "back"
title = "Back"
"""

_ITEM = """
[[item]]
key = "{key}"
title = "{title}"
group = "{group}"
condition = "{condition}"
method = "{method}"
limit = "{limit}"
guide = ["Look."]
sources = ["the tests"]
{more}
"""


def _item(
    key: str,
    group: str,
    method: str = "hand_and_eye",
    limit: str = "by_eye",
    more: str = "",
    condition: str = "on_wheels",
) -> str:
    if limit == "document":
        more += '\nlimit_of = "what the document limits"'
    title = key.replace("_", " ").capitalize()
    return _ITEM.format(
        key=key, title=title, group=group, condition=condition, method=method, limit=limit, more=more
    )


STRUT = _item(
    "strut_extension", "strut", "photo_measurement", "leg_data",
    'measures = ["strut_extension"]\nneeds = ["strut.lower_mm"]\nseen_from = "photo"',
)  # fmt: skip
ITEMS = {
    "hoses": _item("hoses", "lines"),
    "pressure": _item(
        "pressure", "lines", "gauge_reading", "document", 'instrument = "gauge"\nquantity = "pressure"'
    ),
    "bolts": _item("bolts", "lines", "count", "document", 'counted = "bolts"'),
    "wires": _item("wires", "lines", "count", "document", 'counted = "broken wires"\ncounts = "broken_wires"'),
    "tension": _item(
        "tension", "lines", "gauge_reading", "document",
        'instrument = "tensiometer"\nquantity = "tension"\nonly_where = { cables = ["fitted"] }',
    ),
    "leaks": _item("leaks", "lines", more='sequence = "leak"'),
    "cracks": _item("cracks", "lines", more='sequence = "crack"'),
    "fluid": _item("fluid", "lines", more='sequence = "servicing"'),
    "locks": _item("locks", "gear_swing", more='seen_by = "required_inspection"', condition="swing"),
    "closed": _item("closed", "back", condition="restored"),
}  # fmt: skip


def programme(*keys: str, strut: bool = False) -> str:
    """The small programme with these items, all of them where none is named."""
    order = [ITEMS[key] for key in ITEMS if not keys or key in keys]
    return PROGRAMME + (STRUT if strut else "") + "".join(order)


@dataclass
class RoundHouse:
    """A house with a visit that follows a programme, opened and stated on its wheels."""

    house: House
    visit: Inspection
    mechanic_2: Person
    signatory: Person
    required: Person
    ndi: Person
    trainee: Person
    administrator: Person

    @property
    def use(self):  # type: ignore[no-untyped-def]
        return self.house.inspections

    @property
    def mechanic(self) -> Person:
        return self.house.mechanic

    @property
    def inspector(self) -> Person:
        return self.house.inspector

    def item(self, key: str, leg_id: str = "") -> Item:
        leg = leg_id or self.house.primary.id
        (found,) = (one for one in self.use.items(self.visit.id) if one.key == key and one.leg_id == leg)
        return found

    def again(self, item: Item) -> Item:
        return self.house.item(item.id)

    def stand(self, what: ItemCondition, told: Mapping[str, str]) -> None:
        self.use.state_condition(self.mechanic, self.visit.id, what, told)

    def opened_by(self, person: Person) -> None:
        self.use.state_opening(person, self.visit.id)

    def answer(self, key: str, given: Given = GOOD, person: Person | None = None) -> Answer:
        """An answer that is signed at once."""
        who = person or self.mechanic
        made = self.use.answer(who, self.item(key).id, given)
        self.sign_work(who)
        return made

    def sign_work(self, person: Person) -> None:
        batch = self.use.to_sign(person, self.visit.id)
        self.use.sign_work(person, self.visit.id, PASSWORD, batch.record_hash)

    def look(self, item: Item, given: Given = GOOD, person: Person | None = None) -> Look:
        """A second look that is signed at once."""
        who = person or self.inspector
        made = self.use.look(who, item.id, given)
        batch = self.use.looks_to_sign(who, self.visit.id)
        self.use.sign_looks(who, self.visit.id, PASSWORD, batch.record_hash)
        return made

    def act(
        self, discrepancy_id: str, kind: ActionKind = ActionKind.REPAIRED, text: str = "mended", **papers
    ):  # type: ignore[no-untyped-def]
        """What was done about a discrepancy, signed by the mechanic."""
        told = (discrepancy_id, kind, text, "manual 32-10 rev 3")
        seen = self.use.propose_action(self.mechanic, self.visit.id, *told, **papers)
        return self.use.act(self.mechanic, self.visit.id, *told, PASSWORD, seen.record_hash, **papers)

    def defer(self, discrepancy_id: str, due: date | None = DUE, landings: int | None = None):  # type: ignore[no-untyped-def]
        told = (discrepancy_id, "list item 32-1", "C", due, landings, "placard at the handle")
        seen = self.use.propose_deferral(self.signatory, self.visit.id, *told)
        return self.use.defer(self.signatory, self.visit.id, *told, PASSWORD, seen.record_hash)

    def whole(self, person: Person | None = None):  # type: ignore[no-untyped-def]
        """Sign the visit off."""
        seen = self.use.whole(self.visit.id, TIMES)
        return self.use.sign_off(person or self.signatory, self.visit.id, TIMES, PASSWORD, seen.record_hash)

    def gauge(
        self, due: date = DUE, quantity: str = "pressure", unit: str = "psi", u: float = 0.5
    ) -> Instrument:
        return self.use.enter_instrument(
            self.mechanic, "gauge", f"G-{quantity}-{due}", quantity, unit, u, due
        )

    def pressed(self, psi: float, instrument: Instrument, **more) -> Gauge:  # type: ignore[no-untyped-def]
        told = {"lower": 45.0, "upper": 55.0, "document": "manual 32-40 rev 1"} | more
        return Gauge((psi,), "psi", instrument.id, **told)

    def tension(self, u_lbf: float = 1.0) -> tuple[Instrument, Chart, Chart]:
        """A tensiometer with its riser's chart, and the aircraft's table about 70 lbf at 85 °F."""
        tool = self.gauge(quantity="tension", unit="lbf", u=u_lbf)
        lbf = 4.4482216152605
        riser = self.use.enter_riser(
            self.mechanic, tool.id, "riser 2, 1/8 in", [[10, 40 * lbf], [30, 80 * lbf]], "chart of tool 9"
        )
        table = self.use.enter_tension_limits(
            self.mechanic, self.house.aircraft.id, "lock cable",
            [[0.0, 45 * lbf, 55 * lbf], [29.444, 65 * lbf, 75 * lbf]], "manual 27-00 rev 2",
        )  # fmt: skip
        return tool, riser, table


def people(house: House) -> dict[str, Person]:
    """Enter who is missing, with certificates and authorisations."""
    enter = house.people.enter
    found = {
        "mechanic_2": enter("Mechanic 2", frozenset({Role.MECHANIC}), PASSWORD),
        "signatory": enter("Signatory", frozenset({Role.AUTHORISED_SIGNATORY}), PASSWORD),
        "required": enter("Required inspector", frozenset({Role.REQUIRED_INSPECTION}), PASSWORD),
        "ndi": enter("NDI technician", frozenset({Role.NDI_TECHNICIAN}), PASSWORD),
        "trainee": enter("Trainee", frozenset({Role.TRAINEE}), PASSWORD),
        "administrator": enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD),
    }
    admin = found["administrator"]
    use = house.inspections
    for person, role in (
        (house.inspector, Role.INSPECTOR),
        (house.inspector_2, Role.INSPECTOR),
        (found["signatory"], Role.AUTHORISED_SIGNATORY),
        (found["required"], Role.REQUIRED_INSPECTION),
        (found["ndi"], Role.NDI_TECHNICIAN),
    ):
        use.authorise(admin, person.id, role, ALL_CLASSES, date(2024, 1, 1), date(2025, 1, 1))
        use.enter_certificate(admin, person.id, "repairman", f"R-{person.name}")
    return found


def open_round(house: House, toml: str) -> RoundHouse:
    """Follow a programme, open a visit, and state it on its wheels."""
    entry = house.inspections.enter_programme(None, toml, "small.toml")
    house.inspections.follow(None, house.aircraft.id, entry.id)
    found = people(house)
    visit = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    opened = RoundHouse(house, visit, **found)
    for person in (house.mechanic, house.inspector, house.inspector_2, *found.values()):
        opened.opened_by(person)
    if 'key = "on_wheels"' in toml:
        opened.stand(ItemCondition.ON_WHEELS, ON_WHEELS)
    return opened


def next_visit(opened: RoundHouse) -> RoundHouse:
    """The aircraft's next visit, opened and stated like the first."""
    visit = opened.use.open_inspection(opened.mechanic, opened.house.aircraft.id)
    opened.visit = visit
    for person in (opened.mechanic, opened.mechanic_2, opened.inspector, opened.house.inspector_2):
        opened.opened_by(person)
    opened.stand(ItemCondition.ON_WHEELS, ON_WHEELS)
    return opened


def counted(number: int, least: int = 6) -> Counted:
    return Counted(number, least=least, document="manual 32-40 rev 1")
