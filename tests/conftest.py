"""What every test shares: the folder on the path, what is kept, no network, what runs uncompiled, who runs what when."""

from __future__ import annotations

import gc
import os
import shutil
import socket
import sys
import tempfile
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest

# Threads of linear algebra wait for each other by spinning: beside a second worker they take twice the processor time,
# and what is added up in another order ends in other last bits. Set before anything loads NumPy, for workers as well.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from simkit.kept import disk, memory

disk.to_disk = False  # outside of tests; the processes that tests begin keep what users' do
disk.MOST_MISSED = sys.maxsize
memory.MOST_IN_MEMORY = 400_000_000  # tests change between dozens of homes
sys.path.insert(0, str(Path(__file__).parent))

WORKED_OUT = (  # tests of just that
    "assemble", "explaining", "kept", "kernel", "physics", "profiles", "report", "solar", "uncertainty", "weather",
)  # fmt: skip
SHORT = ("physics", "kernel")  # folders whose tests are about single steps, hours and days


def pytest_configure(config: pytest.Config) -> None:
    """Give the workers of this run, and no other run, one folder for what any of them works out."""
    given = getattr(config, "workerinput", {}).get("kept")
    disk.FOLDER = given or tempfile.mkdtemp(prefix="simkit-kept-")
    if given is None:
        config.add_cleanup(lambda: shutil.rmtree(disk.FOLDER, ignore_errors=True))


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: Any) -> None:
    """Tell a worker which folder that is."""
    node.workerinput["kept"] = disk.FOLDER


@pytest.fixture(autouse=True)
def _kept(request: pytest.FixtureRequest) -> Any:
    """Take what another test worked out, but in tests of how it is, and in one that patches anything, from then on."""
    patched, own = pytest.MonkeyPatch.setattr, False

    def setattr_(self: pytest.MonkeyPatch, *given: Any, **more: Any) -> None:
        nonlocal own
        own = own or given[0] is disk  # a test of what is kept says itself what is
        disk.to_disk = disk.to_disk and own
        patched(self, *given, **more)

    disk.to_disk = request.path.parent.name not in WORKED_OUT
    pytest.MonkeyPatch.setattr = setattr_  # type: ignore[method-assign]
    yield
    pytest.MonkeyPatch.setattr = patched  # type: ignore[method-assign]
    disk.to_disk = False


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what runs uncompiled as well; on several workers, the longest first."""
    for item in items:
        if item.path.parent.name in SHORT:
            item.add_marker("short")
    if hasattr(config, "workerinput"):
        from side_by_side import longest_first

        longest_first(items)


def pytest_collection_finish() -> None:
    """Look no more for rubbish in what stays to the end: thousands of tests, and all that was imported for them."""
    gc.freeze()
    gc.set_threshold(20_000)


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
