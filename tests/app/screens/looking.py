"""What a page shows and what a person can press on it, as the tests of the screens ask for it."""

from collections.abc import Callable, Iterator

from streamlit.testing.v1 import AppTest

Open = Callable[..., AppTest]


def said(app: AppTest) -> str:
    """Everything that the page says, markup included."""
    assert not app.exception, app.exception
    return "\n".join(_texts(app))


def _texts(app: AppTest) -> Iterator[str]:
    for element in app.main:  # blocks and all that is in them
        for name in ("label", "value", "body"):
            text = getattr(getattr(element, "proto", element), name, None)
            if isinstance(text, str):
                yield text


def press(app: AppTest, label: str) -> AppTest:
    """Press the button of this label; there must be just one."""
    (button,) = (one for one in app.button if one.label == label)
    return button.click().run()


def labels(app: AppTest) -> list[str]:
    """The buttons that do something, in their order; the ways to other pages are not among them."""
    return [one.label for one in app.button if one.proto.type != "tertiary"]


def tick_all(app: AppTest) -> AppTest:
    for box in app.checkbox:
        box.check()
    return app


def type_in(app: AppTest, **texts: str) -> AppTest:
    """Type into the fields whose keys begin with these words, `_` standing for `-`."""
    for start, text in texts.items():
        (field,) = (one for one in app.text_input if str(one.key).startswith(start.replace("_", "-")))
        field.input(text)
    return app


def address(app: AppTest, name: str) -> str:
    """Return what stands in the address under this name."""
    value = app.query_params[name]
    return value if isinstance(value, str) else value[0]
