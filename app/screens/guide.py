"""The pages of the guide: how a strut is photographed, drawn, and a chapter for each part of the work.

``/guide`` is the photo; ``/guide?chapter=…`` another chapter.
"""

import streamlit as st

from app.screens.here import Here
from app.screens.parts.guide import before_first_photo, drawn_guide
from app.screens.parts.manual import CHAPTERS, Chapter
from app.screens.parts.markup import show, text


def page(here: Here) -> None:
    """Draw the chapter that the address names; it needs nothing from the archive."""
    wanted = st.query_params.get("chapter", CHAPTERS[0].key)
    chapter = next((one for one in CHAPTERS if one.key == wanted), CHAPTERS[0])
    here.head(("Sheet", "Guide"))
    st.title(chapter.title, anchor=False)
    st.write(chapter.lead)
    if chapter is CHAPTERS[0]:
        show(before_first_photo())
        show(drawn_guide(st.context.theme.type))
    show(steps_of(chapter))
    if chapter.key == "sure":
        here.link("practice", "Practise on rendered scenes")
    st.header("All chapters", anchor=False)
    for one in CHAPTERS:
        if one is not chapter and st.button(one.title, key=f"chapter-{one.key}", width="stretch"):
            here.go("guide", chapter=one.key)


def steps_of(chapter: Chapter) -> str:
    """Return a chapter's lines as a list."""
    return f'<ol class="gw-manual">{"".join(f"<li>{text(line)}</li>" for line in chapter.steps)}</ol>'
