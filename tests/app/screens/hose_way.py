"""Ways through the hoses' pages, as their tests take them."""

from streamlit.testing.v1 import AppTest

from app.inspection import Person, Try
from tests.app.hose_house import hose_item
from tests.app.rounds_house import RoundHouse
from tests.app.screens.looking import Open

WHY = "brighter and smoother than the hose beside it"
NONE = "I see none on the bare photo"


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    who = person or opened.mechanic
    way = {"item": hose_item(opened).id} if who is opened.mechanic else {"look": hose_item(opened).id}
    return open_page("visit", who, visit=opened.visit.id, **way, **query)


def place(open_page: Open, opened: RoundHouse, this: Try, key: str, person: Person | None = None) -> AppTest:
    return go(open_page, opened, person, draft=this.id, place=key)


def answer(app: AppTest, name: str) -> AppTest:
    (button,) = (one for one in app.button if one.label.startswith(f"**{name}**"))
    return button.click().run()


def choose(app: AppTest, option: str) -> AppTest:
    next(one for one in app.radio if option in one.options).set_value(option)
    return app
