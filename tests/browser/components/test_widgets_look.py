"""Both widgets for every eye and finger: rules of accessibility, size of targets, contrast, motion."""

from typing import Any

import pytest

from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.components.conftest import OpenPage, Server

KINDS = pytest.mark.parametrize("kind", [PHONE, DESKTOP], ids=["phone", "desktop"])
SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])
WIDGETS = pytest.mark.parametrize("widget", ["placing", "sending"])

# For each text of the widget: its contrast with the nearest ground that is painted.
CONTRASTS = """widget => {
  const numbers = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = (colour) => {
    const scale = colour.startsWith("color(") ? 1 : 255;
    const [r, g, b] = numbers(colour).map((v) => v / scale).map((v) => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let e = element; e; e = e.parentElement ?? e.getRootNode().host) {
      const colour = getComputedStyle(e).backgroundColor;
      if (colour !== "transparent" && !(numbers(colour).length === 4 && numbers(colour)[3] === 0)) return colour;
    }
  };
  const texts = [...widget.querySelectorAll("*")].filter((e) =>
    e.checkVisibility() && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()));
  return texts.map((e) => {
    const [a, b] = [getComputedStyle(e).color, ground(e)].map(light).sort((x, y) => y - x);
    return [e.textContent.trim(), (a + 0.05) / (b + 0.05)];
  });
}"""


def opened(open_page: OpenPage, harness: Server, kind: dict[str, Any], scheme: str, widget: str) -> Any:
    page = open_page(kind, color_scheme=scheme)
    page.goto(harness.placing() if widget == "placing" else harness.sending("look"))
    page.locator(".mark" if widget == "placing" else ".pick").first.wait_for()
    return page


@KINDS
@SCHEMES
@WIDGETS
def test_no_serious_violation_of_the_rules_of_accessibility_is_ours(
    open_page: OpenPage, harness: Server, kind: dict[str, Any], scheme: str, widget: str
) -> None:
    axe = pytest.importorskip(
        "axe_core_python.sync_playwright", reason="axe-core-python is not installed"
    ).Axe()
    page = opened(open_page, harness, kind, scheme, widget)
    if widget == "placing":
        page.locator("summary").click()
        page.locator(".mark").first.focus()
        page.keyboard.press("ArrowRight")
    found = axe.run(page)
    checked = [node for rule in found["passes"] for node in rule["nodes"] if is_ours(node)]
    assert checked, "the rules looked into the widget"
    bad = [
        (rule["id"], node["target"], node["failureSummary"])
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
        if is_ours(node)
    ]
    assert bad == []


def is_ours(node: Any) -> bool:
    """Within a shadow root the rules name the way to a node as a list."""
    return any(isinstance(step, list) for step in node["target"])


@SCHEMES
@WIDGETS
def test_every_text_stands_out_seven_to_one(
    open_page: OpenPage, harness: Server, scheme: str, widget: str
) -> None:
    page = opened(open_page, harness, PHONE, scheme, widget)
    contrasts = page.locator(f"section.{widget}").evaluate(CONTRASTS)
    assert contrasts
    assert [pair for pair in contrasts if pair[1] < 7] == []


@KINDS
@WIDGETS
def test_every_target_is_large_enough_for_a_glove_and_nothing_sticks_out(
    open_page: OpenPage, harness: Server, kind: dict[str, Any], widget: str
) -> None:
    page = opened(open_page, harness, kind, "light", widget)
    targets = page.locator(
        f".{widget} button:visible, .{widget} label:visible, .{widget} summary:visible"
    ).all()
    sizes = {target.inner_text(): target.bounding_box() for target in targets}
    assert sizes
    assert [name for name, box in sizes.items() if min(box["width"], box["height"]) < 44] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    widest = page.locator(f"section.{widget}").bounding_box()
    assert [
        n for n, box in sizes.items() if box["x"] + box["width"] > widest["x"] + widest["width"] + 1
    ] == []


def test_nothing_moves_by_itself_where_motion_is_not_wanted(open_page: OpenPage, harness: Server) -> None:
    page = open_page(DESKTOP, reduced_motion="reduce")
    page.goto(harness.placing())
    page.locator(".mark").first.wait_for()
    page.locator(".pane[aria-busy=false]").wait_for()
    assert (
        page.evaluate(
            "document.querySelector('.stBidiComponent [data-testid]').shadowRoot.getAnimations().length"
        )
        == 0
    )
