"""A visit by a programme two of whose items may be searched on photos of a surface, and photos searched as told."""

from typing import Any

from app.inspection import Item, Measured, Person, Try
from app.inspection.rounds.model import Finding, HandEntry, Judged
from app.inspection.rounds.search_kinds import SURFACES
from app.inspection.rounds.search_views import ShownRegion
from tests.app.hose_house import judged, marked
from tests.app.records_house import House
from tests.app.rounds_house import PROGRAMME, RoundHouse, _item, open_round
from vision import notes
from vision.results import Refusal
from vision.surface import to_json

SURFACE_PROGRAMME = (
    PROGRAMME + _item("wheel_well", "lines", more='searches = ["surface"]') + _item("hoses", "lines")
)
CORNERS = ((100.0, 100.0), (700.0, 500.0))
BY_HAND = "wiped, felt, lit from two sides"


def open_surface(house: House) -> RoundHouse:
    """Open a visit of whose items one may be searched on photos of a surface."""
    return open_round(house, SURFACE_PROGRAMME)


def surface_item(opened: RoundHouse, key: str = "wheel_well") -> Item:
    return opened.item(key)


def spot(x: float, **more: Any) -> dict[str, Any]:
    """One flag as a result holds it, 32 px long."""
    corners = [[x - 16, 290.0], [x + 16, 290.0], [x + 16, 310.0], [x - 16, 310.0]]
    told = {"outline_px": corners, "middle_px": [x, 300.0], "grade": 2, "size_px": 32.0, "size_mm": None}
    return told | {"along_mm": None, "why": "smoother than the surface about it"} | more


def found(*flags: dict[str, Any], aside: tuple[dict[str, Any], ...] = (), share: float = 0.8) -> Measured:
    """What the search gives; two squares were not searched."""
    region = [[100.0, 100.0], [700.0, 100.0], [700.0, 500.0], [100.0, 500.0]]
    blind = [[100.0, 100.0, 132.0, 132.0], [132.0, 100.0, 164.0, 132.0]]
    told = {
        "name": SURFACES.result, "status": "searched", "flags": list(flags), "set_aside": list(aside),
        "hoses": [], "notes": [{"code": "surface-one-view", "text": "One light."}],
        "surface": {
            "region_px": region, "searched_share": share, "not_searched_px": blind,
            "looked_for_px": [12.0, 160.0],
        },
        "cause": None, "reason": None, "advice": None, "evidence": {"software": "tests"},
    }  # fmt: skip
    return Measured(told, f"annotated {flags}".encode())


def refused() -> Measured:
    told = to_json(Refusal(SURFACES.result, notes.SURFACE_BLURRED, "edges are 6.0 px soft"))
    return Measured({"name": SURFACES.result} | told | {"evidence": {}}, b"annotated refusal of a surface")


def arrived(opened: RoundHouse, person: Person | None = None, seen_from: str = "inner wall, left") -> Try:
    """A photo that has arrived and on which no region is shown yet."""
    who = person or opened.mechanic
    begun = opened.use.begin_search_try(who, surface_item(opened).id, seen_from)
    return opened.use.photo_arrived(who, begun.id, f"photo {begun.id}".encode(), "IMG_7.jpg")


def searched(opened: RoundHouse, measured: Measured, person: Person | None = None) -> Try:
    """A photo that is searched."""
    who = person or opened.mechanic
    this = arrived(opened, who)
    opened.use.show_region(who, this.id, ShownRegion(CORNERS))
    return opened.use.measured(this.id, measured)


def rest(opened: RoundHouse, person: Person | None = None) -> None:
    """What was not searched, inspected instead, and nothing to act on found."""
    who = person or opened.mechanic
    opened.use.acknowledge(who, surface_item(opened).id, "", "with a lamp from the side", Finding.GOOD)


def by_hand(opened: RoundHouse, person: Person | None = None, finding: Finding = Finding.GOOD) -> HandEntry:
    """All of it by hand, mirror and light."""
    who, text = person or opened.mechanic, "" if finding is Finding.GOOD else "a ridge can be felt"
    made: HandEntry = opened.use.all_by_hand(who, surface_item(opened).id, BY_HAND, finding, text)
    return made


def entered(opened: RoundHouse, *as_: Judged) -> Try:
    """A photo with a flag for each judgement, entered and signed by the mechanic."""
    this = searched(opened, found(*(spot(150.0 + 60 * number) for number in range(len(as_)))))
    marked(opened, this)
    for number, one in enumerate(as_, 1):
        judged(opened, this, f"flag-{number}", one)
    rest(opened)
    by_hand(opened)
    opened.use.enter_search(opened.mechanic, surface_item(opened).id)
    opened.sign_work(opened.mechanic)
    return this


def looked(opened: RoundHouse, this: Try, *as_: Judged) -> Any:
    """The second person's own look, unsigned."""
    who = opened.inspector
    marked(opened, this, person=who)
    for number, one in enumerate(as_, 1):
        judged(opened, this, f"flag-{number}", one, who)
    by_hand(opened, who)
    return opened.use.look_at_search(who, surface_item(opened).id)
