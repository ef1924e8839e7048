"""What every test shares: the folder on the path, no network, what runs uncompiled as well, and who runs what when."""

from __future__ import annotations

import os
import socket
import sys
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest

# Threads of linear algebra wait for each other by spinning: beside a second worker they take twice the processor time,
# and what is added up in another order ends in other last bits. Set before anything loads NumPy, for workers as well.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from simkit.kept import disk, memory

disk.to_disk = False  # tests change what is worked out from; the processes that they begin keep what users' do
memory.MOST_IN_MEMORY = 1_500_000_000  # tests change between dozens of homes
sys.path.insert(0, str(Path(__file__).parent))

SHORT = ("physics", "kernel")  # folders whose tests are about single steps, hours and days


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what runs uncompiled as well; on several workers, the longest first."""
    for item in items:
        if item.path.parent.name in SHORT:
            item.add_marker("short")
    if hasattr(config, "workerinput"):
        from side_by_side import longest_first

        longest_first(items)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Share files out by their length, where files are shared out."""
    if config.getvalue("dist") != "loadfile":
        return None
    from side_by_side import LongestFirst

    return LongestFirst(config, log)


@pytest.fixture(scope="session", autouse=True)
def no_network() -> Any:
    """Let nothing be reached but this machine: the kit opens no connection, and no test of it needs one."""
    patch = pytest.MonkeyPatch()
    connect, look_up = socket.socket.connect, socket.getaddrinfo

    def stay(self: socket.socket, address: Any) -> None:
        if isinstance(address, tuple) and not _is_here(str(address[0])):
            raise AssertionError(f"a connection to {address} was asked for")
        connect(self, address)

    def stay_unnamed(host: Any, *rest: Any, **more: Any) -> Any:
        if host and not _is_here(host.decode() if isinstance(host, bytes) else str(host)):
            raise AssertionError(f"the address of {host} was asked for")
        return look_up(host, *rest, **more)

    patch.setattr(socket.socket, "connect", stay)
    patch.setattr(socket, "getaddrinfo", stay_unnamed)
    yield
    patch.undo()


def _is_here(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host in ("localhost", socket.gethostname())
