"""The leg's data of a drawn tire, as somebody typed them."""

from tests.scenes.tire_draw import TireCase


def leg_text(case: TireCase) -> str:
    """LEG.toml of a case: what is told of it, which is not quite what is true."""
    return f"""[tire]
outside_diameter_mm = {case.outside_told:.2f}
flange_diameter_mm = {case.flange_told:.2f}
section_width_mm = {case.width_told:.1f}
line = "pressure line"
line_reference = "{case.reference}"
line_limit_deg = 3.0
creep_limit_mm = 5.0
"""
