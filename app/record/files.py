"""The photos of one inspection in its export's folder: originals, or copies that stand for them."""

from pathlib import Path

from app.errors import ArchiveError
from app.inspection.exchange import Bundle, files_of
from app.inspection.ports import Photos
from app.record.copies import FACES, Wishes, copy_of
from app.record.entries import FileEntry, FileState, media_type
from vision.errors import GearwitnessError


class Files:
    """The photos of one inspection, as they are wanted."""

    def __init__(self, folder: Path, photos: Photos, wishes: Wishes) -> None:
        self._folder = folder
        self._photos = photos
        self._wishes = wishes

    def write(self, bundle: Bundle) -> dict[str, FileEntry]:
        """Write every file that the inspection names; return what became of each."""
        own = bundle.own
        # An annotated copy shows what its original shows.
        drawn_on = {
            row["annotated"]: row["photo"]
            for row in own.values()
            if row.get("annotated") and row.get("photo")
        }
        found = {}
        for sha, (_, _, what) in files_of(own).items():
            if sha in bundle.deleted and not self._photos.has(sha):
                found[sha] = FileEntry(what, FileState.DELETED, None, "application/octet-stream")
                continue
            removed = self._wishes.removes(drawn_on.get(sha, sha))
            found[sha] = self._one(sha, what, removed)
        return found

    def _one(self, sha: str, what: str, removed: str) -> FileEntry:
        data = self._photos.get(sha)
        kind, ending = media_type(data)
        if what == "photo" and removed:
            return self._copy(sha, data, removed)
        if what == "annotated" and removed == FACES:
            return FileEntry(what, FileState.WITHHELD, None, kind, "a blanked face")
        path = f"{'photos' if what == 'photo' else 'annotated'}/{sha}{ending}"
        self._put(path, data)
        return FileEntry(what, FileState.HERE, path, kind)

    def _copy(self, sha: str, data: bytes, removed: str) -> FileEntry:
        try:
            copy = copy_of(data, sha, self._wishes)
        except GearwitnessError as error:
            msg = f"of photo {sha} no copy could be made ({error})"
            raise ArchiveError(msg) from error
        path = f"copies/{sha}-copy.jpg"
        self._put(path, copy)
        return FileEntry("photo", FileState.COPY, path, "image/jpeg", removed)

    def _put(self, name: str, data: bytes) -> None:
        path = self._folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
