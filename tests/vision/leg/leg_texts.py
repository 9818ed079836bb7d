"""A leg of the invented aircraft as LEG.toml, with single lines changed."""

STRUT = """\
extension_mm = 84.14
lower_mm = 79.38
upper_mm = 90.49
plate_text = "3 5/16 in"
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 60.00
collar_diameter_mm = 101.2
"""
CHART = """\
extension_table = [[3000, 110.0], [4000, 90.0], [5000, 80.0]]
lower_mm = -6.35
upper_mm = 6.35
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 60.00
collar_diameter_mm = 101.2
"""
TIRE = """\
outside_diameter_mm = 445.0
flange_diameter_mm = 190.5
"""
HEAD = """\
aircraft = "Aster 210"
position = "left main"
document = "demo manual 32-10-05 rev 3"
"""


def changed(lines: str, **values: str | None) -> str:
    """Return the lines with keys set to a TOML text, or left out where it is None."""
    kept = [line for line in lines.splitlines() if line.split(" = ")[0] not in values]
    return "\n".join(kept + [f"{k} = {v}" for k, v in values.items() if v is not None]) + "\n"


def leg_text(strut: str = STRUT, tire: str = TIRE, head: str = HEAD) -> str:
    return f"{head}[strut]\n{strut}[tire]\n{tire}"


def strut_text(**values: str | None) -> str:
    return leg_text(strut=changed(STRUT, **values))


def chart_text(**values: str | None) -> str:
    return leg_text(strut=changed(CHART, **values))


def tire_text(**values: str | None) -> str:
    return leg_text(tire=changed(TIRE, **values))
