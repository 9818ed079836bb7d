"""Studies of the measuring itself: do photo and hand agree, and do people agree with each other?

Question -> file: photo against hand on the same struts, limits with exact confidence `limits`
(their factors `factors`); how much of a spread is the measuring's and how much the struts'
`gauge`; may a leg type's photo readings stand by themselves `commissioning`; the two pictures
`plots`, drawn as SVG text with `svg`.

Values are in one unit, whichever the readings have; nothing here knows struts or people.
"""

from vision.agreement.commissioning import CommissioningStudy, Pair, commissioning_study
from vision.agreement.gauge import GaugeStudy, Grade, gauge_study
from vision.agreement.limits import LimitsOfAgreement, limits_of_agreement
from vision.agreement.plots import difference_plot, gauge_plot

__all__ = [
    "CommissioningStudy",
    "GaugeStudy",
    "Grade",
    "LimitsOfAgreement",
    "Pair",
    "commissioning_study",
    "difference_plot",
    "gauge_plot",
    "gauge_study",
    "limits_of_agreement",
]
