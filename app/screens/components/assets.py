"""Puts a widget's files together for the browser: one module, one style sheet, one piece of HTML.

The JavaScript files are true modules that import each other; Streamlit takes one
text.  Joined in the given order, with their own import lines and export words taken
away, they are that text: no build step, and the same files can be loaded as they
are.  Names at the top of a file must therefore be unique in the widget; the browser
refuses the text otherwise.
"""

import re
from collections.abc import Sequence
from pathlib import Path

HERE = Path(__file__).parent
_IMPORT = re.compile(r'^import \{[^}\n]*\} from "\.\.?/[\w./]+";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=const |class |function |async function )", re.MULTILINE)


def script(files: Sequence[str]) -> str:
    """Join JavaScript modules, each after those that it imports, the one with the default export last.

    Parameters
    ----------
    files : sequence of str
        Paths from this folder, e.g. ``"shared/pauses.js"``.
    """
    return "\n".join(_EXPORT.sub("", _IMPORT.sub("", _text(name))) for name in files)


def joined(files: Sequence[str]) -> str:
    """Join style sheets or HTML as they are."""
    return "\n".join(_text(name) for name in files)


def _text(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")
