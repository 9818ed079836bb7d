"""The widgets' files reach the browser whole."""

import re

import pytest

from app.screens.components.assets import HERE, script
from app.screens.components.gathering import widget as gathering
from app.screens.components.keeping import widget as keeping
from app.screens.components.placing import widget as placing
from app.screens.components.sending import widget as sending

FILES = {
    "placing": placing._SCRIPT,
    "sending": sending._SCRIPT,
    "gathering": gathering._SCRIPT,
    "keeping": keeping._SCRIPT,
}
TOP_NAME = re.compile(r"^(?:async )?(?:const|let|class|function) (\w+)", re.MULTILINE)


@pytest.mark.parametrize("widget", FILES)
def test_every_script_of_a_widget_is_in_its_text(widget: str) -> None:
    there = {f"{widget}/{path.name}" for path in (HERE / widget).glob("*.js")}
    assert there
    assert there <= set(FILES[widget])


@pytest.mark.parametrize("widget", FILES)
def test_the_joined_script_imports_nothing_and_exports_one_thing(widget: str) -> None:
    text = script(FILES[widget])
    assert not re.search(r"^import ", text, re.MULTILINE)
    assert re.findall(r"^export \w+", text, re.MULTILINE) == ["export default"]


@pytest.mark.parametrize("widget", FILES)
def test_a_script_comes_after_those_that_it_imports(widget: str) -> None:
    order = [name.rpartition("/")[2] for name in FILES[widget]]
    for name in FILES[widget]:
        wanted = re.findall(
            r'from "\.\.?/(?:shared/|sending/)?([\w.]+)"', (HERE / name).read_text(encoding="utf-8")
        )
        late = [other for other in wanted if order.index(other) >= order.index(name.rpartition("/")[2])]
        assert late == [], name


@pytest.mark.parametrize("widget", FILES)
def test_names_at_the_top_of_scripts_are_unique_in_a_widget(widget: str) -> None:
    names = TOP_NAME.findall(script(FILES[widget]))
    assert len(names) > 10
    assert sorted(names) == sorted(set(names))


def test_no_script_calls_another_machine() -> None:
    texts = [
        path.read_text(encoding="utf-8")
        for path in HERE.rglob("*")
        if path.suffix in (".js", ".css", ".html")
    ]
    assert len(texts) > 15
    assert [text for text in texts if re.search(r"(?:https?:)?//\w+\.\w", text)] == []
