"""Files read and written: checked before the work, written whole or not at all."""

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from app.errors import UsageError
from vision.errors import PhotoError
from vision.photo import MAX_FILE_BYTES, Photo, read_photo


def load_photo(path: Path) -> Photo:
    """Return the photo in a file.

    Raises
    ------
    PhotoError
        It cannot be read or is no photo; the message begins with the file's name.
    """
    try:
        with path.open("rb") as file:
            # One byte more than allowed tells a file that is too long without reading all of it.
            return read_photo(file.read(MAX_FILE_BYTES + 1))
    except (OSError, ValueError) as error:
        detail = getattr(error, "strerror", None) or error
        msg = f"{path}: the photo cannot be read ({detail}): give the path of a JPEG, HEIC or PNG file"
        raise PhotoError(msg) from error
    except PhotoError as error:
        msg = f"{path.name}: {error}"
        raise PhotoError(msg) from error


def check_picture_out(out: Path, inputs: Sequence[Path]) -> None:
    """Check, before anything is measured, that an annotated copy can be written to `out`.

    Raises
    ------
    UsageError
        Its name does not end in .jpg, its folder is missing or closed, or it is one of `inputs`.
    """
    if out.suffix.lower() not in (".jpg", ".jpeg"):
        msg = f"{out}: the annotated copy is a JPEG: give a name that ends in .jpg"
        raise UsageError(msg)
    for path in inputs:
        if _same(out, path):
            msg = f"{out} is the file {path} itself, which is never altered: give the copy another name"
            raise UsageError(msg)
    _check_place(out)


def check_new_json(out: Path) -> None:
    """Check, before the work, that a new JSON file can be written to `out`.

    Raises
    ------
    UsageError
        Its name does not end in .json, its folder is missing or closed, or it is there already.
    """
    if out.suffix.lower() != ".json":
        msg = f"{out}: the file is JSON: give a name that ends in .json"
        raise UsageError(msg)
    _check_place(out)
    if out.exists():
        msg = f"{out} is there already and is not written over: give another name, or move it away"
        raise UsageError(msg)


def make_folder(path: Path) -> None:
    """Make a folder for output unless it is there already; its parent must exist.

    Raises
    ------
    UsageError
        A file stands in its place, its parent is missing, or it cannot be written to.
    """
    if not path.exists():
        _check_writable(path.parent)
        path.mkdir()
    if not path.is_dir():
        msg = f"{path} is a file, a folder was expected: give another name"
        raise UsageError(msg)
    _check_writable(path)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that nobody ever finds half of it: beside its place first, then renamed.

    Raises
    ------
    OSError
        The folder does not take it.
    """
    handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(beside).chmod(0o666 & ~_umask())  # mkstemp's files are for their owner alone
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there: it cannot be overwritten
        return False


def _check_place(out: Path) -> None:
    if out.is_dir():
        msg = f"{out} is a folder: give the name of a file in it"
        raise UsageError(msg)
    _check_writable(out.parent)


def _check_writable(folder: Path) -> None:
    if not folder.is_dir():
        msg = f"the folder {folder} does not exist: make it, or write elsewhere"
        raise UsageError(msg)
    if not os.access(folder, os.W_OK | os.X_OK):
        msg = f"the folder {folder} cannot be written to: write elsewhere"
        raise UsageError(msg)
