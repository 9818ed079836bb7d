"""What a tire's photo gave, in the words that a mechanic asks for; from the stored results."""

from collections.abc import Iterator, Mapping
from typing import Any

from vision.units import INCH_MM, format_reading

ANSWERS = {"within": "yes", "outside": "no", "undecided": "cannot tell"}
TITLES = {
    "pressure_line_angle": "Line against level",
    "creep_angle": "Creep, angle",
    "creep_arc": "Creep, arc at the flange",
    "outside_diameter": "Outside diameter",
    "loaded_radius": "Loaded radius",
    "deflection": "Deflection",
}
Result = Mapping[str, Any]


def results_of(result: Result | None) -> tuple[Result, ...]:
    """Return all results of a tire's photo; none where it is no tire's."""
    return tuple((result or {}).get("results") or ())


def title(result: Result) -> str:
    """Return what a result is called."""
    name = str(result["name"])
    return TITLES.get(name, name.replace("_", " ").capitalize())


def value(result: Result) -> str:
    """Return value and U of a reading; a length in inches too, a share in percent."""
    number, u, unit = result["value"], result["expanded_uncertainty"], result["unit"]
    if unit == "1":
        return format_reading(100 * number, 100 * u, "%")
    if unit == "mm":
        return f"{format_reading(number, u, unit)} ({format_reading(number / INCH_MM, u / INCH_MM, 'in')})"
    return format_reading(number, u, unit)


def answer(result: Result) -> str:
    """Return the answer to what is asked, e.g. ``"Line parallel to the ground: yes"``; else empty."""
    verdict = result.get("verdict")
    if not verdict:
        return ""
    said = ANSWERS.get(verdict, str(verdict))
    if result["name"] == "pressure_line_angle":
        by_ground = (result.get("evidence") or {}).get("level_reference", "ground") == "ground"
        return f"{'Line parallel to the ground' if by_ground else 'Line level'}: {said}"
    return f"Within its limit: {said}"


def direction(result: Result) -> str:
    """Return which way the tire has slipped on its rim; empty for another result or a refusal."""
    if not str(result["name"]).startswith("creep") or result["status"] != "reading":
        return ""
    if abs(result["value"]) <= result["expanded_uncertainty"]:
        return "no slip beyond its doubt"
    way = "counter-clockwise" if result["value"] > 0 else "clockwise"
    return f"the tire has gone {way} on the rim, as seen in the photo"


def limit(result: Result) -> str:
    """Return what a result is held against; empty where it is against nothing."""
    found = result.get("limits")
    if not found or found.get("upper") is None:
        return ""
    unit = {"deg": "°", "mm": " mm"}.get(str(result.get("unit")), f" {result.get('unit')}")
    document = f", {found['document']}" if found.get("document") else ""
    return f"at most {found['upper']:g}{unit} either way{document}"


def lines(result: Result | None) -> Iterator[str]:
    """Return what a tire's photo gave, one sentence to a result."""
    for one in results_of(result):
        if one["status"] != "reading":
            yield f"{title(one)}: no value. {one['reason']}"
            continue
        parts = [f"{title(one)} {value(one)}", direction(one), answer(one), limit(one)]
        yield "; ".join(part for part in parts if part)
    level = (result or {}).get("level_from")
    if level:
        yield f"Level told by: {level}"
