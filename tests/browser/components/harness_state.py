"""What the harness's routes and page share, in one process."""

import time
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

STAGES = ("reading the photo", "finding the card", "measuring the strut", "drawing")


@dataclass
class Stored:
    data: bytes
    name: str
    at: float


@dataclass
class Harness:
    """Drafts, photos, a log, and what is to go wrong."""

    drafts: dict[str, Stored] = field(default_factory=dict)
    photos: dict[str, bytes] = field(default_factory=dict)
    log: list[dict[str, Any]] = field(default_factory=list)
    # Answers to give instead, the next first: [status, sentence].
    upload_answers: list[list[Any]] = field(default_factory=list)
    answers_to_lose: int = 0  # the photo is stored, but the sender does not learn it
    tile_answers: list[int] = field(default_factory=list)
    draft_answers: list[int] = field(default_factory=list)
    stage_seconds: float = 0.4

    def reset(self) -> None:
        photos = self.photos
        self.__init__()  # type: ignore[misc]
        self.photos = photos

    def store(self, draft: str, data: bytes, name: str) -> str | None:
        """Keep a draft's photo; None where the draft has another one."""
        before = self.drafts.get(draft)
        if before and before.data != data:
            return None
        if not before:
            self.drafts[draft] = Stored(data, name, time.monotonic())
        return sha256(data).hexdigest()

    def state_of(self, draft: str) -> dict[str, Any]:
        stored = self.drafts.get(draft)
        if not stored:
            return {"state": "awaiting_photo", "stage": "", "result_ready": False}
        step = int((time.monotonic() - stored.at) / self.stage_seconds)
        if step < len(STAGES):
            return {"state": "measuring", "stage": STAGES[step], "result_ready": False}
        return {"state": "read", "stage": "", "result_ready": True}


HARNESS = Harness()
