"""The pages of the sign-in by a provider: own HTML without scripts, as the sign-in is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape
from string import Template

from app.serving.frame import complaint as complaint_html
from app.serving.frame import framed

_LINK = Template("""<p class="what">You are signed in at $label. Nobody here has linked that account
yet. Sign in once with your name and password, and it opens Gearwitness for you from then on. Each signature
still asks for your password here.</p>
$complaint<form method="post" action="/sign-in/provider/link">
<input type="hidden" name="pending" value="$pending">
<input type="hidden" name="next" value="$next">
<label for="name">Name</label>
<input id="name" name="name" value="$name" required maxlength="200" autocomplete="username"
autocapitalize="none">
<label for="password">Password</label>
<input id="password" name="password" type="password" required maxlength="1000"
autocomplete="current-password">
<button type="submit">Link this account and sign in</button>
</form>
<p>Nobody has entered you here yet? An administrator does that first.</p>
<p><a href="/sign-in">Back to the sign-in</a></p>""")
_ROW = Template("""<li><p><strong>$person</strong> <span>$state</span></p>
<p>$issuer names this account <strong class="subject">$subject</strong>. Linked on $linked.</p>$way</li>""")
_END = Template("""<form method="post" action="/identities/$id/end">
<button type="submit" class="plain">End this link of $person</button></form>""")


@dataclass(frozen=True)
class Shown:
    """What the page shows of a link; `ended` is empty for one that counts."""

    id: str
    person: str
    issuer: str
    subject: str
    linked: datetime
    ended: str


def bounce_page(onward: str) -> str:
    """Return a page that goes on by itself to a path of ours.

    The provider's answer comes from another site, so the browser sends none of our
    cookies with it.  With what this page asks for, it does.
    """
    target = escape(onward)
    return framed(
        "One moment",
        f'<p>You are being signed in. <a href="{target}">Go on</a></p>',
        head=f'<meta http-equiv="refresh" content="0;url={target}">\n',
    )


def link_page(label: str, pending: str, next_path: str, name: str = "", complaint: str = "") -> str:
    """Return the page on which a person says that an account of the provider is his."""
    body = _LINK.substitute(
        label=escape(label),
        pending=escape(pending),
        next=escape(next_path),
        name=escape(name),
        complaint=complaint_html(complaint),
    )
    return framed("Link this account", body)


def links_page(links: Sequence[Shown], label: str, told: str = "") -> str:
    """Return the page with the links that a person may see."""
    rows = "".join(map(_row, links))
    told_how = (
        f"Sign out and choose {escape(label)} on the sign-in page to link another account."
        if label
        else "This server has no provider now, so no link opens anything."
    )
    body = (
        f'{complaint_html(told)}<p class="what">{told_how} Ending a link ends the person\'s sessions too.</p>'
        + (f'<ul class="devices">{rows}</ul>' if rows else "<p>None yet.</p>")
        + '<p><a href="/">Back to Gearwitness</a></p>'
    )
    return framed("Linked accounts", body, wide=True)


def _row(one: Shown) -> str:
    return _ROW.substitute(
        person=escape(one.person),
        state=escape(one.ended or "counts"),
        issuer=escape(one.issuer),
        subject=escape(one.subject),
        linked=f"{one.linked:%d %b %Y}",
        way="" if one.ended else _END.substitute(id=escape(one.id), person=escape(one.person)),
    )
