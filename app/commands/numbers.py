"""Numbers as they are typed on the command line: plain, finite, of a possible size."""

import argparse
import math
import re
from dataclasses import dataclass

# float() also reads "nan", "1_000" and digits of other scripts, which nobody means here.
_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)


@dataclass(frozen=True)
class Number:
    """An argparse type: a number of `unit` from `low` to `high`; `hint` helps where it is none."""

    unit: str
    low: float
    high: float
    hint: str = ""

    def __call__(self, text: str) -> float:
        """Return the number.

        Raises
        ------
        argparse.ArgumentTypeError
            It is no plain number, not finite, or out of range.
        """
        number = float(text) if _PLAIN.fullmatch(text) else math.nan
        if not math.isfinite(number):
            how = f"write {self.unit} with a decimal point and no unit behind it{self.hint}"
            msg = f"{text[:40]!r} is not a number: {how}"
            raise argparse.ArgumentTypeError(msg)
        if not self.low <= number <= self.high:
            msg = f"{text} {self.unit} cannot be: {self.low:g} to {self.high:g} {self.unit} was expected"
            raise argparse.ArgumentTypeError(msg)
        return number


# An option of one or two lengths swallows whatever stands behind it.
BAR_MM = Number("mm", 1.0, 2000.0, "; PHOTO stands before the options")
STAND_OFF_MM = Number("mm", -500.0, 500.0)
# A doubt of a hundredth of a millimetre is beyond rule and feeler gauge: a smaller one is a slip.
DOUBT_MM = Number("mm", 0.01, 50.0)
PRESSURE_KPA = Number("kPa", 1.0, 100_000.0)
PRESSURE_DOUBT_KPA = Number("kPa", 0.01, 10_000.0)


def copy_number(text: str) -> int:
    """Return a card copy's number (an argparse type).

    Raises
    ------
    argparse.ArgumentTypeError
        It is not a whole number from 100 to 399.
    """
    if not re.fullmatch(r"\d{3}", text, re.ASCII) or not 100 <= int(text) <= 399:
        msg = f"{text[:40]!r} is no copy number: choose a whole number from 100 to 399"
        raise argparse.ArgumentTypeError(msg)
    return int(text)


def port_number(text: str) -> int:
    """Return a port to listen on (an argparse type).

    Raises
    ------
    argparse.ArgumentTypeError
        It is not a whole number from 1 to 65535.
    """
    if not re.fullmatch(r"\d{1,5}", text, re.ASCII) or not 1 <= int(text) <= 65535:
        msg = f"{text[:40]!r} is no port: choose a whole number from 1 to 65535, e.g. 8501"
        raise argparse.ArgumentTypeError(msg)
    return int(text)
