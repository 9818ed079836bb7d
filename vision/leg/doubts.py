"""The standard uncertainty of a value of the leg whose `_u` twin is not given.

The budget names each as *assumed*; measuring at commissioning and writing the
twin makes it go away.  A limit is a number in a document and has none of its own.
"""

import math
from collections.abc import Callable, Mapping

Default = Callable[[float], float]


def _of(mm: float) -> Default:
    return lambda _value: mm


def _share(share: float) -> Default:
    return lambda value: share * value


DEFAULT_U: Mapping[str, Default] = {
    # Measured once with a named instrument at commissioning (common practice, no source).
    "piston_diameter_mm": _of(0.05),
    # The rim lies inside a chamfer that a calliper does not seat on.
    "collar_diameter_mm": _of(0.3),
    # Paint.
    "cylinder_diameter_mm": _of(0.3),
    # No recess is no measurement: only a written one can be written wrong.
    "collar_recess_mm": lambda value: 0.05 if value else 0.0,
    # Published greatest and least diameters of a size lie ± 1.9 % about their
    # mean (17.5/16.85 in, tire makers' data handbook), rectangular.
    "outside_diameter_mm": _share(0.019 / math.sqrt(3)),
    "flange_diameter_mm": _of(0.5),
    # "Known to 20 %" from the size's name, rectangular.
    "section_width_mm": _share(0.20 / math.sqrt(3)),
    "loaded_radius_mm": _share(0.019 / math.sqrt(3)),
    # Shop gauge (common practice, no source).
    "pressure_kPa": _share(0.02),
    "diameter_mm": _share(0.05),
}

CHART_PRESSURE_U_SHARE = 0.02
"""Of a strut pressure that comes without its doubt (common practice for a shop gauge, no source)."""
