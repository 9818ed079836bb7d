"""One leg of one aircraft as LEG.toml states it: checked, frozen, every value with its doubt.

`load_leg` reads a file; `Leg.require_strut` and `Leg.require_tire` hand out what
a measurement needs, or say which keys are missing.  Lengths mm, angles degrees,
pressures kPa.

question                                              file
which keys are there, in which unit, how large        keys.py
is it of the right type, is the key known             table.py
does it look like another unit                        plausible.py
does it contradict itself                             consistent.py
what doubt has a value whose u is not given           doubts.py
what a measurement gets                               data.py, chart.py
"""

from vision.leg.chart import StrutLimits
from vision.leg.data import HoseData, Leg, PressureData, StrutData, TireData
from vision.leg.read import load_leg, read_leg

__all__ = ["HoseData", "Leg", "PressureData", "StrutData", "StrutLimits", "TireData", "load_leg", "read_leg"]
