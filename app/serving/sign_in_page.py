"""The sign-in page: own HTML without scripts, because nothing of Streamlit is shown before the sign-in."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from string import Template
from urllib.parse import urlencode

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Sign in – Gearwitness</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/sign-in/sign_in.css">
</head>
<body>
<main>
<h1>Gearwitness</h1>
<p class="what">Measures landing gear on photos. A second person confirms every result; nothing here releases
an aircraft.</p>
$complaint$provider$demo
<form method="post" action="/sign-in" aria-label="Sign in with your name">
<input type="hidden" name="next" value="$next">
<label for="name">Name</label>
<input id="name" name="name" value="$name" required maxlength="200" autocomplete="username"
autocapitalize="none">
<label for="password">Password</label>
<input id="password" name="password" type="password" required maxlength="1000"
autocomplete="current-password">
<button type="submit">Sign in</button>
</form>
</main>
</body>
</html>
""")
_COMPLAINT = Template('<p class="complaint" role="alert">$text</p>\n')
_PROVIDER = Template("""<p><a class="way" href="/sign-in/provider?$next">Sign in with $label</a></p>
<h2>Or by name</h2>
""")
_DEMO = Template("""<section aria-labelledby="demo">
<h2 id="demo">Demo</h2>
<p>An invented aircraft, invented people. Their password, asked for again at each signature, is
<strong>$password</strong>.</p>
<div class="people">
$people
</div>
</section>
<h2>Or by name</h2>""")
_PERSON = Template("""<form method="post" action="/sign-in">
<input type="hidden" name="next" value="$next">
<input type="hidden" name="name" value="$name">
<input type="hidden" name="password" value="$password">
<button type="submit">$name</button>
</form>""")


@dataclass(frozen=True)
class DemoPeople:
    """The demo's identities, shown to whoever opens the page; they exist only on the person's own machine."""

    names: Sequence[str]
    password: str


def page(
    next_path: str, *, name: str = "", complaint: str = "", demo: DemoPeople | None = None, provider: str = ""
) -> str:
    """Return the page as HTML.

    Parameters
    ----------
    next_path : str
        Where the person wanted to go.
    name : str
        What was typed as name before.
    complaint : str
        Why the sign-in before failed, as a sentence; empty at the first.
    demo : DemoPeople, optional
        Identities to sign in as with one press.
    provider : str
        What people call the shop's own identity provider; empty where there is none.
    """
    return _PAGE.substitute(
        next=escape(next_path),
        name=escape(name),
        complaint=_COMPLAINT.substitute(text=escape(complaint)) if complaint else "",
        provider="" if not provider else _provider(provider, next_path),
        demo="" if demo is None else _demo(demo, next_path),
    )


def _provider(label: str, next_path: str) -> str:
    return _PROVIDER.substitute(label=escape(label), next=escape(urlencode({"next": next_path})))


def _demo(demo: DemoPeople, next_path: str) -> str:
    fixed = {"next": escape(next_path), "password": escape(demo.password)}
    people = "\n".join(_PERSON.substitute(fixed, name=escape(name)) for name in demo.names)
    return _DEMO.substitute(fixed, people=people)
