"""A QR code of an address (ISO/IEC 18004), for a terminal and for a page."""

import io

import segno


def terminal_qr(address: str) -> str:
    """Return the code as lines of text, half a line to a module, for a terminal of any colours."""
    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, compact=True)
    return out.getvalue()


def page_qr(address: str) -> str:
    """Return the code as an SVG element, dark on light in every theme, because cameras want it so."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        out, kind="svg", border=4, dark="#000", light="#fff", xmldecl=False, svgns=True, omitsize=True,
        title="QR code of the address beside it", svgclass="qr", lineclass=None,
    )  # fmt: skip
    return out.getvalue().decode("utf-8")
