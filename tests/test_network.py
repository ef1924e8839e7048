"""No connection is opened: not by the tests, and not by a whole command in a process whose sockets are taken away."""

from __future__ import annotations

import socket
import subprocess
import sys
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[1] / "sample_data" / "canal_terrace" / "case.toml"
WITHOUT_SOCKETS = """
import socket, sys

def refuse(*given, **named):
    raise AssertionError("a socket was asked for")

socket.socket.__init__ = socket.create_connection = socket.getaddrinfo = refuse
from simkit.cli import answer
sys.exit(answer(sys.argv[1:]))
"""


def test_a_command_with_page_and_picture_needs_no_socket(tmp_path: Path) -> None:
    page, picture = tmp_path / "page.html", tmp_path / "picture.svg"
    words = ["compare", str(SAMPLE), "--no-range", "--page", str(page), "--figure", str(picture)]
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_SOCKETS, *words], capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stderr
    assert page.is_file()
    assert picture.is_file()


@pytest.mark.parametrize("address", [("192.0.2.1", 80), ("2001:db8::1", 80)])  # RFC 5737 and 3849: for examples only
def test_the_guard_of_the_tests_refuses_what_is_not_this_machine(address: tuple[str, int]) -> None:
    family = socket.AF_INET6 if ":" in address[0] else socket.AF_INET
    with socket.socket(family) as one, pytest.raises(AssertionError, match="a connection to"):
        one.connect(address)
    with pytest.raises(AssertionError, match="the address of"):
        socket.getaddrinfo("example.org", 80)
