"""A visit by a programme whose leg has hoses that are searched on photos, and photos searched as told."""

from typing import Any

from app.inspection import Basis, Item, Measured, Person, Try
from app.inspection.rounds.hose_pair_rules import HOSE_PAIR, SLIDES
from app.inspection.rounds.model import Finding, Judged
from app.inspection.rounds.search_kinds import HOSES
from app.inspection.rounds.search_views import BareMark, ShownHose
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import PROGRAMME, RoundHouse, _item, open_round
from vision import notes
from vision.hose import to_json
from vision.results import Refusal

LEG = """
aircraft = "{registration}"
position = "tail"
document = "demo manual 32-10-05 rev 3"
[strut]
extension_mm = 88.9
lower_mm = 82.55
upper_mm = 95.25
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 62.0
collar_diameter_mm = 98.0
{hoses}
"""
BRAKE = """
[[hose]]
name = "brake"
diameter_mm = 12.7
cover = "rubber"
"""
LOCK = """
[[hose]]
name = "lock"
diameter_mm = 10.0
cover = "textile"
damage_limits = "No fibre of the cover may be broken."
damage_limits_document = "hose manual 29-10 rev 2"
"""
UNKNOWN = """
[[hose]]
name = "old"
cover = "rubber"
"""
_SEARCH = _item(
    "hose_shiny_spots", "lines", "photo_search",
    more='searches = ["hose"]\nneeds = ["hose.diameter_mm"]\nseen_from = "photo"',
)  # fmt: skip
HOSE_PROGRAMME = PROGRAMME + _SEARCH + _item("hoses", "lines")
MOVED = "is not in this place on the hose in the second photo: it may be light mirrored in it"
ALONG = ((120.0, 100.0), (300.0, 100.0), (480.0, 100.0))


def open_hoses(house: House, hoses: str = BRAKE) -> RoundHouse:
    """Open a visit with the leg ``"tail"``, which has these hoses."""
    toml = LEG.format(registration=house.aircraft.registration, hoses=hoses)
    house.inspections.enter_leg(house.aircraft.id, "tail", toml, Basis.PRIMARY)
    return open_round(house, HOSE_PROGRAMME)


def hose_item(opened: RoundHouse, key: str = "hose_shiny_spots") -> Item:
    """An item of the leg with the hoses."""
    (leg,) = (one for one in opened.use.legs(opened.house.aircraft.id) if one.position == "tail")
    return opened.item(key, leg.id)


def flag(x: float, hose: int = 0, **more: Any) -> dict[str, Any]:
    """One flag as a result holds it: 8 mm long, `x` px along a hose of 50 px width and 12.7 mm."""
    corners = [[x - 16, 90.0], [x + 16, 90.0], [x + 16, 110.0], [x - 16, 110.0]]
    along = round((x - 100) * 12.7 / 50, 1)
    told = {"outline_px": corners, "hose": hose, "grade": 2, "size_mm": 8.0, "along_mm": along}
    return told | {"why": "brighter and smoother than the hose beside it"} | more


def course(name: str = "brake", y: float = 100.0, share: float = 0.3, **more: Any) -> dict[str, Any]:
    """A hose as a result holds it, 400 px long, its second quarter not searched at all."""
    return {
        "name": name, "cover": "rubber", "centre_line_px": [[100.0, y], [300.0, y], [500.0, y]],
        "width_px": 50.0, "diameter_mm": 12.7, "searched_share": share, "not_searched": [[0.25, 0.5]],
    } | more  # fmt: skip


def found(*flags: dict[str, Any], aside: tuple[dict[str, Any], ...] = (), hoses: Any = None) -> Measured:
    """What the search gives."""
    told = {
        "name": HOSES.result, "status": "searched", "flags": list(flags), "set_aside": list(aside),
        "hoses": [course()] if hoses is None else hoses,
        "notes": [{"code": "hose-one-side", "text": "One side."}],
        "cause": None, "reason": None, "advice": None, "evidence": {"software": "tests"},
    }  # fmt: skip
    return Measured(told, f"annotated {flags}".encode())


def slides(*flags: int) -> Measured:
    """What a second photo tells: these flags of the first one moved."""
    told = found().result | {"name": HOSE_PAIR, "hoses": [], "notes": []}
    return Measured(told | {SLIDES: [{"flag": one, "why": MOVED} for one in flags]})


def refused() -> Measured:
    told = {"name": HOSES.result} | to_json(Refusal(HOSES.result, notes.HOSE_NOT_AT_TAP, "at 5,5"))
    return Measured(told | {"evidence": {}}, b"annotated refusal of a search")


def arrived(opened: RoundHouse, person: Person | None = None, seen_from: str = "front") -> Try:
    """A photo that has arrived and on which no hose is shown yet."""
    who = person or opened.mechanic
    begun = opened.use.begin_search_try(who, hose_item(opened).id, seen_from)
    return opened.use.photo_arrived(who, begun.id, f"photo {begun.id}".encode(), "IMG_7.jpg")


def searched(
    opened: RoundHouse, measured: Measured, person: Person | None = None, *, name: str = "brake"
) -> Try:
    """A photo that is searched."""
    who = person or opened.mechanic
    this = arrived(opened, who)
    opened.use.show_hoses(who, this.id, [ShownHose(name, ALONG)])
    return opened.use.measured(this.id, measured)


def second_shown(opened: RoundHouse, first: Try, person: Person | None = None) -> Try:
    """A second photo, held against a searched and marked one, on which the hose is shown."""
    who = person or opened.mechanic
    begun = opened.use.begin_second_photo(who, first.id)
    opened.use.photo_arrived(who, begun.id, f"photo {begun.id}".encode(), "IMG_8.jpg")
    return opened.use.show_hoses(who, begun.id, [ShownHose("brake", ALONG)])


def held_against(opened: RoundHouse, first: Try, *flags: int, person: Person | None = None) -> Try:
    """A second photo that was compared, and in which these flags moved."""
    return opened.use.measured(second_shown(opened, first, person).id, slides(*flags))


def marked(opened: RoundHouse, this: Try, *marks: BareMark, person: Person | None = None) -> None:
    opened.use.mark_bare(person or opened.mechanic, this.id, marks, none_seen=not marks)


def judged(
    opened: RoundHouse, this: Try, place: str, as_: Judged = Judged.REFLECTION, person: Person | None = None
) -> None:
    """A place that is opened and judged."""
    who = person or opened.mechanic
    opened.use.open_place(who, this.id, place)
    opened.use.judge(who, this.id, place, as_)


def hands(opened: RoundHouse, *hoses: str, person: Person | None = None, item: Item | None = None) -> None:
    """All that is inspected by hand, and nothing to act on found."""
    who, item = person or opened.mechanic, item or hose_item(opened)
    for hose in hoses or ("brake",):
        opened.use.acknowledge(who, item.id, hose, "felt all round, with mirror and light", Finding.GOOD)
    all_round(opened, item, who)


def all_round(opened: RoundHouse, item: Item | None = None, person: Person | None = None) -> None:
    """Hand, mirror and light all round, as an ordinary answer asks for it too; nothing to act on found."""
    who, where = person or opened.mechanic, item or hose_item(opened)
    opened.use.hand_light(who, where.id, "open and closed", "left and right stop", Finding.GOOD)


def entered(opened: RoundHouse, *as_: Judged) -> Try:
    """A photo with a flag for each judgement, entered and signed by the mechanic."""
    flags = [flag(150.0 + 60 * number) for number in range(len(as_))]
    this = searched(opened, found(*flags))
    marked(opened, this)
    for number, one in enumerate(as_, 1):
        judged(opened, this, f"flag-{number}", one)
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    return this


def looked(opened: RoundHouse, this: Try, *as_: Judged, person: Person | None = None) -> Any:
    """The second person's own look, unsigned."""
    who = person or opened.inspector
    marked(opened, this, person=who)
    for number, one in enumerate(as_, 1):
        judged(opened, this, f"flag-{number}", one, who)
    return opened.use.look_at_search(who, hose_item(opened).id)


def sign_looks(opened: RoundHouse, person: Person | None = None) -> None:
    who = person or opened.inspector
    batch = opened.use.looks_to_sign(who, opened.visit.id)
    opened.use.sign_looks(who, opened.visit.id, PASSWORD, batch.record_hash)
