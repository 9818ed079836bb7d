"""The leg's data of a drawn tire, as somebody typed them."""

import math

from tests.scenes.tire_draw import TireCase
from tests.scenes.tire_told import ToldCase


def leg_text(case: TireCase) -> str:
    """LEG.toml of a case: what is told of it, which is not quite what is true."""
    doubt = ""
    if isinstance(case, ToldCase) and case.width_u is not None:
        doubt = f"section_width_u_mm = {case.width_u / math.sqrt(3) * case.width_told:.2f}\n"
    return f"""[tire]
outside_diameter_mm = {case.outside_told:.2f}
flange_diameter_mm = {case.flange_told:.2f}
section_width_mm = {case.width_told:.1f}
{doubt}line = "pressure line"
line_reference = "{case.reference}"
line_limit_deg = 3.0
creep_limit_mm = 5.0
"""
