"""What both servers need: a port that nobody listens on, and an end when who started them ends."""

import ctypes
import signal
import socket
import sys
import time


def free_port() -> int:
    """A port that was free a moment ago."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def answers(port: int) -> bool:
    """Whether something listens on this port."""
    with socket.socket() as trial:
        trial.settimeout(1)
        return trial.connect_ex(("127.0.0.1", port)) == 0


def wait_for(port: int, seconds: float = 30) -> bool:
    """Wait until something listens on this port; return whether it does."""
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if answers(port):
            return True
        time.sleep(0.02)
    return False


def end_with_parent() -> None:
    """For a child, before it becomes the server: end as soon as the process that starts it does, however."""
    if sys.platform == "linux":
        set_death_signal = 1  # PR_SET_PDEATHSIG
        ctypes.CDLL(None).prctl(set_death_signal, signal.SIGQUIT)
