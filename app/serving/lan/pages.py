"""The pages of pairing and of the devices: own HTML without scripts, as the sign-in is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from html import escape
from string import Template

from app.serving.frame import complaint as complaint_html
from app.serving.frame import framed

_PAIR = Template("""<p class="what">This phone or tablet is not registered yet. Scan the code that the desk
shows under Phones, or type it here. Then sign in once; the password is asked for again at each signature.</p>
$complaint<form method="post" action="/pair">
<label for="code">Code from the desk</label>
<input id="code" name="code" value="$code" required maxlength="40" autocomplete="off"
autocapitalize="characters" spellcheck="false">
<label for="device">What this phone is called</label>
<input id="device" name="device" value="$device" required maxlength="60" placeholder="e.g. Hangar phone 2"
autocomplete="off">
<label for="name">Your name</label>
<input id="name" name="name" value="$name" required maxlength="200" autocomplete="username"
autocapitalize="none">
<label for="password">Password</label>
<input id="password" name="password" type="password" required maxlength="1000"
autocomplete="current-password">
<button type="submit">Register this phone and sign in</button>
</form>""")
_CODE = Template("""<section aria-labelledby="code">
<h2 id="code">Register a phone now</h2>
<p>Scan it with the phone's camera, or open <strong>$url</strong> there and type
<strong class="code">$code</strong>. It counts once, until $until UTC.</p>
$qr
<p>The phone warns once that it does not know this server. Its certificate has to have this SHA-256
fingerprint, else leave off:</p>
<p class="fingerprint">$fingerprint</p>
<p>The certificate counts until $certificate_until and is $renewed.</p>
</section>""")
_ROW = Template("""<li><p><strong>$name</strong> <span>$state</span></p>
<p>Registered by $person on $registered, until $until. Last met: $seen.</p>$way</li>""")
_END = Template("""<form method="post" action="/devices/$id/end">
<button type="submit" class="plain">Shut out $name</button></form>""")
_NEW = """<form method="post" action="/devices/code"><button type="submit">Register a phone</button></form>"""
_NO_NETWORK = """<p class="what">Only this machine reaches the server now. Start it with
<strong>gearwitness serve --lan</strong> to let phones in.</p>"""


@dataclass(frozen=True)
class Shown:
    """What the page shows of a device."""

    id: str
    name: str
    person: str
    registered: datetime
    until: datetime
    seen: datetime | None
    state: str
    may_end: bool


@dataclass(frozen=True)
class ShownCode:
    """A code as the desk shows it; `qr` is an SVG element."""

    code: str
    url: str
    until: datetime
    qr: str
    fingerprint: str
    certificate_until: datetime
    is_own: bool


def pair_page(code: str = "", device: str = "", name: str = "", complaint: str = "") -> str:
    """Return the page on which a new phone is registered; `complaint` is why it was not, a sentence."""
    body = _PAIR.substitute(
        code=escape(code), device=escape(device), name=escape(name), complaint=complaint_html(complaint)
    )
    return framed("Register this phone", body)


def devices_page(devices: Sequence[Shown], code: ShownCode | None, *, network: bool, told: str = "") -> str:
    """Return the page with the devices that a person may see, and a code where one was asked for."""
    parts = [complaint_html(told)]
    if not network:
        parts.append(_NO_NETWORK)
    elif code is None:
        parts.append(_NEW)
    else:
        parts.append(_code(code))
    parts.append("<h2>Registered</h2>")
    rows = "".join(map(_row, devices))
    parts.append(f'<ul class="devices">{rows}</ul>' if rows else "<p>None yet.</p>")
    parts.append('<p><a href="/">Back to Gearwitness</a></p>')
    return framed("Phones", "\n".join(filter(None, parts)), wide=True)


def _code(code: ShownCode) -> str:
    return _CODE.substitute(
        code=escape(code.code),
        url=escape(code.url),
        until=f"{code.until:%H:%M}",
        qr=code.qr,
        # A line may end after a pair, not within one.
        fingerprint=escape(code.fingerprint).replace(":", ":<wbr>"),
        certificate_until=f"{code.certificate_until:%d %b %Y}",
        renewed="renewed by itself" if code.is_own else "the shop's own, so the shop renews it",
    )


def _row(one: Shown) -> str:
    return _ROW.substitute(
        name=escape(one.name),
        state=escape(one.state),
        person=escape(one.person),
        registered=f"{one.registered:%d %b %Y}",
        until=f"{one.until:%d %b %Y}",
        seen="not since it was registered" if one.seen is None else f"{one.seen:%d %b %Y, %H:%M} UTC",
        way=_END.substitute(id=escape(one.id), name=escape(one.name)) if one.may_end else "",
    )
