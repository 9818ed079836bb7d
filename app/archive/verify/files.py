"""Does each file have the hash that names it: read by several threads while the chains are followed."""

from collections.abc import Iterator
from threading import Event, Lock, Thread

from app.archive.store import PhotoStore, Stored
from app.archive.verify.found import Found, Progress, Tell

_POLL_S = 0.2


class FileCheck:
    """Every file of a store hashed in the background; `finish` compares with what rows refer to."""

    def __init__(self, store: PhotoStore) -> None:
        self._store = store
        self._files = list(store.stored())
        self._left: Iterator[Stored] = iter([one for one in self._files if one.sha is not None])
        self._total = sum(one.sha is not None for one in self._files)
        self._whole: dict[str, bool] = {}
        self._lock = Lock()
        self._stop = Event()
        self._failed: list[Exception] = []
        self._threads = [Thread(target=self._work, name="verify", daemon=True) for _ in range(store.threads)]

    def __enter__(self) -> "FileCheck":
        for one in self._threads:
            one.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        for one in self._threads:
            one.join()

    def finish(self, found: Found, tell: Tell) -> tuple[list[str], list[str]]:
        """Wait for the last file; add what is wrong, and return (orphans, hashes deleted by an act).

        Raises
        ------
        ArchiveError
            The store cannot be read.
        """
        for one in self._threads:
            while one.is_alive():
                one.join(_POLL_S)
                tell(Progress("files", len(self._whole), self._total))
        if self._failed:
            raise self._failed[0]
        tell(Progress("files", self._total, self._total))
        found.checked["files"] = self._total
        orphans = [one.name for one in self._files if one.sha is None or one.sha not in found.files]
        deleted = []
        for sha, what in found.files.items():
            if sha in found.deleted and sha not in self._whole:
                deleted.append(sha)
            elif not self._is_whole(sha):
                self._add(sha, what, found)
        self._unfinished(found)
        return orphans, deleted

    def _is_whole(self, sha: str) -> bool:
        # A file that came after the list was made is looked at by itself.
        return self._whole[sha] if sha in self._whole else self._store.digest(sha) == sha

    def _add(self, sha: str, what: str, found: Found) -> None:
        is_there = sha in self._whole
        told = found.told_files.get(sha)
        found.add(
            f"photo {sha}",
            f"the file was changed or damaged ({what})" if is_there else f"the file is gone ({what})",
            f"after {told}" if told else "",
        )

    def _unfinished(self, found: Found) -> None:
        for sha in sorted(found.deleted.keys() & self._whole.keys()):
            found.notes.append(
                f"Photo {sha} was to be deleted by {found.deleted[sha]} and is still there: delete it again."
            )

    def _work(self) -> None:
        while not self._stop.is_set():
            with self._lock:
                one = next(self._left, None)
            if one is None or one.sha is None:
                return
            try:
                self._whole[one.sha] = self._store.digest(one.sha) == one.sha
            except Exception as error:  # raised again in `finish`, where somebody hears it
                self._failed.append(error)
                self._stop.set()
