"""The one place where inches, fractions of an inch and mm meet, for reading and for print.

Inside the project every length is a float in mm.  Nothing here is rounded
before it is compared: `parse_length_mm` is exact up to one rounding to a float,
and the `format_*` functions make text for persons that is never read back.
"""

import math
import re
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, Decimal
from fractions import Fraction

INCH_MM = 25.4
"""One inch in mm, exact (international yard and pound agreement of 1959, from memory)."""

PSI_KPA = 6.894757
"""One pound-force per square inch in kPa, to seven figures (from memory)."""

BAR_KPA = 100.0
"""One bar in kPa, exact."""

_EXACT_MM = {"mm": Fraction(1), "in": Fraction(127, 5)}
_INCH_SIGNS = ("inches", "inch", "in.", "in", '"', "″", "”", "''")
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
        (?:(?P<decimal>\d+(?:\.\d*)?|\.\d+)
          |(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+))""",
    re.VERBOSE | re.ASCII,
)
_LONGEST_TEXT = 64


def parse_length_mm(text: str) -> float:
    """Return the length that a text states, in mm.

    Parameters
    ----------
    text : str
        A number and its unit, which must be there: ``"84.1 mm"``, ``"3.31 in"``,
        ``"3 5/16 in"``, ``'3-5/16"'``, ``"3 ½ in"``.  Fractions are read for
        inches only; any denominator will do.

    Returns
    -------
    float
        Length in mm, any sign, correctly rounded from the exact fraction.

    Raises
    ------
    ValueError
        The text is not one length with a unit, or holds a decimal comma (which
        could as well part thousands).
    """
    plain = text.strip()[: _LONGEST_TEXT + 1].replace("⁄", "/").replace("−", "-")
    number, unit = _split_unit(plain)
    for sign, fraction in _VULGAR.items():
        number = number.replace(sign, f" {fraction}")
    match = _NUMBER.fullmatch(number.strip())
    if unit is None or match is None or len(plain) > _LONGEST_TEXT:
        msg = f'{text[:_LONGEST_TEXT]!r} is not a length: write a number and "mm" or "in", e.g. "3 5/16 in"'
        raise ValueError(msg)
    if match["bottom"] and unit == "mm":
        msg = f"{text!r} is a fraction of a mm: write mm with a decimal point, or the fraction in inches"
        raise ValueError(msg)
    return float(_fraction(match, text) * _EXACT_MM[unit])


def _split_unit(text: str) -> tuple[str, str | None]:
    lowered = text.lower()
    if lowered.endswith("mm"):
        return text[:-2], "mm"
    for sign in _INCH_SIGNS:
        if lowered.endswith(sign):
            return text[: -len(sign)], "in"
    return text, None


def _fraction(match: re.Match[str], text: str) -> Fraction:
    sign = -1 if match["sign"] == "-" else 1
    if match["decimal"]:
        return sign * Fraction(match["decimal"])
    top, bottom = int(match["top"]), int(match["bottom"])
    if top >= bottom:  # 35/16 is more likely 3 5/16 with its gap lost
        msg = f"{text!r} holds no proper fraction: write e.g. 3 5/16 in"
        raise ValueError(msg)
    return sign * (int(match["whole"] or 0) + Fraction(top, bottom))


def format_mm(mm: float, decimals: int = 2) -> str:
    """Return a length in mm as text, e.g. ``"84.14 mm"``.

    Raises
    ------
    ValueError
        `mm` is not finite.
    """
    place = Decimal(1).scaleb(-decimals)
    return f"{_text(_decimal(mm).quantize(place, ROUND_HALF_EVEN))} mm"


def format_inch_fraction(mm: float, denominator: int = 16) -> str:
    """Return a length as the nearest fraction of an inch, in lowest terms, e.g. ``"3 5/16 in"``.

    The text may be half a step away from `mm` (0.8 mm for 1/16 in): it is for
    reading beside the mm, never for comparing.

    Parameters
    ----------
    mm : float
        Length in mm.
    denominator : int, > 0
        Steps to the inch.

    Raises
    ------
    ValueError
        `mm` is not finite, or `denominator` is not positive.
    """
    if denominator <= 0:
        msg = f"the denominator of an inch must be positive, got {denominator}: use 16, 32 or 64"
        raise ValueError(msg)
    steps = round(Fraction(_decimal(mm)) / _EXACT_MM["in"] * denominator)
    whole, rest = divmod(abs(steps), denominator)
    fraction = Fraction(rest, denominator)
    parts = [str(whole)] if whole or not rest else []
    if rest:
        parts.append(f"{fraction.numerator}/{fraction.denominator}")
    return f"{'-' if steps < 0 else ''}{' '.join(parts)} in"


def format_reading(value: float, expanded_uncertainty: float, unit: str) -> str:
    """Return value and expanded uncertainty as text, e.g. ``"84.14 mm ± 0.25 mm"``.

    The rule: U is rounded *up* to two significant digits where its first digit
    is 1 or 2, else to one; the value is rounded half to even at the same place.

    Parameters
    ----------
    value, expanded_uncertainty : float
        In `unit`; `expanded_uncertainty` > 0.
    unit : str
        ``"mm"``, ``"deg"`` or ``"1"``.

    Raises
    ------
    ValueError
        A number is not finite, or U is not positive.

    Notes
    -----
    JCGM 100:2008 7.2.6: at most two significant digits, rounding up may be
    appropriate, and the estimate agrees in its digits with its uncertainty.
    That one digit is enough from 3 on is this project's choice: rounding up
    then adds less than a third (3.01 to 4), with two digits at a first digit of
    1 or 2 less than a tenth.
    """
    doubt = _decimal(expanded_uncertainty)
    if doubt <= 0:
        msg = f"an expanded uncertainty must be positive to be printed, got {expanded_uncertainty}"
        raise ValueError(msg)
    first_digit = doubt.as_tuple().digits[0]
    place = Decimal(1).scaleb(doubt.adjusted() - (1 if first_digit in (1, 2) else 0))
    # 0.1 + 0.2 is 0.30000000000000004 as a float: that last bit is no doubt, so
    # a part in 1e9 is taken off before rounding up.
    rounded = (doubt * (1 - Decimal("1e-9"))).quantize(place, ROUND_CEILING)
    shown = _text(_decimal(value).quantize(place, ROUND_HALF_EVEN))
    mark = {"mm": " mm", "deg": "°", "1": ""}.get(unit, f" {unit}")
    return f"{shown}{mark} ± {_text(rounded)}{mark}"


def _decimal(number: float) -> Decimal:
    if not math.isfinite(number):
        msg = f"only finite numbers can be printed, got {number}"
        raise ValueError(msg)
    # The shortest decimal that gives this float back is the number that was meant.
    return Decimal(repr(float(number)))


def _text(number: Decimal) -> str:
    return f"{number + 0 if number else abs(number):f}"
