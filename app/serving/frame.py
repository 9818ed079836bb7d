"""The frame of pages of our own beside Streamlit's, without scripts; and a complaint on one."""

from html import escape
from string import Template

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
$more<title>$title – Gearwitness</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/sign-in/sign_in.css">
</head>
<body>
<main$kind>
<h1>$title</h1>
$body
</main>
</body>
</html>
""")


def framed(title: str, body: str, *, wide: bool = False, head: str = "") -> str:
    """Return a page as HTML; `head` are lines for its head, `body` and `head` are HTML already."""
    kind = ' class="wide"' if wide else ""
    return _PAGE.substitute(title=escape(title), kind=kind, more=head, body=body)


def complaint(text: str) -> str:
    """Return why something was not done as HTML; empty where it was."""
    return f'<p class="complaint" role="alert">{escape(text)}</p>\n' if text else ""
