"""What the measuring asks for and enters."""

from dataclasses import replace
from typing import Any

from app.inspection.base import UseCases, clean_text
from app.inspection.canonical import canonical
from app.inspection.model import Item, ItemState, LegEntry, Measured, Try, TryState
from app.inspection.ports import Work
from app.inspection.rounds.common import is_photo_item
from app.inspection.rounds.hose_pair_rules import FIRST, first_id, is_second
from app.inspection.rounds.search_rules import awaits_points
from app.inspection.rules import photo_reading, was_read
from app.inspection.settling import by_hand
from vision.results import Verdict

_UNMEASURED = (TryState.STORED, TryState.MEASURING)


class Measuring(UseCases):
    """From the stored photo to its result."""

    def unfinished(self) -> tuple[Try, ...]:
        """Return the tries whose photo is stored and not yet measured, oldest first.

        A photo that is searched waits for a person to show what, and is none of these before.
        """
        with self._records.look() as r:
            stored = [one for state in _UNMEASURED for one in r.all(Try, state=state)]
            found = [one for one in stored if not awaits_points(one)]
        return tuple(sorted(found, key=lambda one: one.begun_at))

    def task(self, try_id: str) -> tuple[bytes, str, dict[str, Any]]:
        """Return photo, LEG.toml and options of a try; with `FIRST` where it is held against another.

        Raises
        ------
        NotFound
            The try has no photo.
        ArchiveError
            The photo's file is damaged.
        """
        with self._records.look() as r:
            found = r.get(Try, try_id)
            leg = r.get(LegEntry, r.get(Item, found.item_id).leg_id)
            first = r.get(Try, first_id(found)) if is_second(found) else None
        told = dict(found.options)
        if first is not None:
            flags = (first.result or {}).get("flags", [])
            shown = {"taps": first.options["taps"], "flags": flags}
            told[FIRST] = {"photo": self._photos.get(first.photo or ""), **shown}
        return self._photos.get(found.photo or ""), leg.toml, told

    def measuring(self, try_id: str, stage: str) -> None:
        """Say how far the measuring of a try is, in words; of a try that is measured it changes nothing."""
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            if found.state is TryState.STORED:
                self._enter(work, "measuring-begun", replace(found, state=TryState.MEASURING))
            if found.state in _UNMEASURED:
                work.progress(try_id, clean_text(stage)[:100])

    def measured(self, try_id: str, measured: Measured) -> Try:
        """Enter what the measuring gave.  The first result of a try stands; a later one changes nothing.

        A reading outside asks two people for a hand measurement where the item was
        closed meanwhile, or was about to be by one.

        Raises
        ------
        ValueError
            The result is neither a reading nor a refusal as the contract has them.
        """
        canonical(measured.result)
        read = was_read(measured.result)
        annotated = None if measured.annotated is None else self._photos.put(measured.annotated)
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            if found.state not in _UNMEASURED:
                return found
            kept = replace(
                found,
                state=TryState.READ if read else TryState.REFUSED,
                result=measured.result,
                annotated=annotated,
                stage="",
            )
            item = work.get(Item, found.item_id)
            # A tire's item takes no answer while a photo of it is being measured.
            reading = photo_reading(measured.result) if is_photo_item(item) else None
            outside = reading is not None and reading.verdict is Verdict.OUTSIDE
            late = outside and (item.state is ItemState.CLOSED or item.hands_wanted == 1)
            self._enter(work, "measured", kept, *([by_hand(item, 2)] if late else []))
            work.progress(try_id, "")
        return kept

    def measuring_failed(self, try_id: str, sentence: str) -> Try:
        """Enter that no measurement could be made of a try's photo, and why."""
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            if found.state not in _UNMEASURED:
                return found
            kept = replace(found, state=TryState.FAILED, failure=clean_text(sentence)[:1000], stage="")
            self._enter(work, "measuring-failed", kept)
            work.progress(try_id, "")
        return kept

    def _enter(self, work: Work, kind: str, changed: Try, *rows: Item) -> None:
        item = work.get(Item, changed.item_id)
        work.enter(kind, None, item.inspection_id, changed, *rows)
