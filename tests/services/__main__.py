"""Starts both servers until it is ended, and writes how they are reached: ``python -m tests.services FILE``.

FILE holds lines for a shell (``. FILE``): with them the tests use these servers and
start none of their own.
"""

import shlex
import signal
import sys
from pathlib import Path

from tests.services.bucket import KEY, SECRET, BucketServer
from tests.services.postgres import PostgresServer


def main(out: Path) -> None:
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda number, frame: sys.exit(0))
    postgres = PostgresServer()
    try:
        bucket = BucketServer()
        try:
            told = {
                "TEST_POSTGRES": postgres.address, "TEST_BUCKET": bucket.address,
                "TEST_BUCKET_ENDPOINT": bucket.endpoint, "TEST_BUCKET_KEY": KEY, "TEST_BUCKET_SECRET": SECRET,
            }  # fmt: skip
            lines = [f"export {name}={shlex.quote(value)}\n" for name, value in told.items()]
            under_way = out.with_name(f".{out.name}")
            under_way.write_text("".join(lines), encoding="utf-8")
            under_way.replace(out)
            print(f"PostgreSQL on port {postgres.port}, bucket on port {bucket.port}", flush=True)
            signal.pause()
        finally:
            bucket.stop()
    finally:
        postgres.stop()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
