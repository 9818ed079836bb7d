"""Progress of long work on standard error: how far, how fast, how long still."""

import sys
import time


class Progress:
    """Counts cases; says a line at most every `every_s` seconds, and at the end."""

    def __init__(self, name: str, total: int, every_s: float = 10.0) -> None:
        self.name, self.total, self.every_s = name, total, every_s
        self.done = self.fresh = 0
        self.began = self.said = time.monotonic()

    def step(self, fresh: bool = True) -> None:
        """Count one case; `fresh` is false for one that was done in an earlier run."""
        self.done += 1
        self.fresh += fresh
        now = time.monotonic()
        if now - self.said >= self.every_s or self.done == self.total:
            self.said = now
            print(self.line(now - self.began), file=sys.stderr, flush=True)

    def line(self, seconds: float) -> str:
        """One line; the rate counts what this run did."""
        text = f"{self.name}: {self.done}/{self.total}, {seconds:.0f} s"
        if self.fresh and seconds > 0:
            rate = self.fresh / seconds
            text += f", {60 * rate:.1f} a minute, {(self.total - self.done) / rate:.0f} s left"
        return text
