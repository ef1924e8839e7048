"""Steps of some work in, a bar on the terminal's error stream out; nothing where that stream is no terminal."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import typer

COMPILE_SECONDS = 15  # nine of one core's work, measured; said once for each version of the laws


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def progress(total: int) -> Iterator[Callable[[str], None]]:
    """Show a bar of `total` steps; call what is given with the name of each step as it begins.

    Parameters
    ----------
    total
        Number of steps.
    """
    from simkit.reporting.terminal import console

    screen = console(stderr=True)
    if not screen.is_terminal:
        yield lambda _: None
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    parts = (TextColumn("{task.description}", markup=False), BarColumn(bar_width=24), TimeElapsedColumn())
    with Progress(*parts, console=screen, transient=True) as bar:
        task = bar.add_task("", total=total)
        begun = -1

        def begin(name: str) -> None:
            nonlocal begun
            begun += 1
            bar.update(task, completed=begun, description=name, refresh=True)

        yield begin


def announce_compiling() -> None:
    """Say on the error stream that the kernel is compiled once, where it has not been."""
    from simkit.kernel.compiled import cache_folder, is_warm

    if os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0"):
        return
    if cache_folder() is not None and not (is_warm("run_one") and is_warm("run_many")):
        typer.echo(f"First run: compiling the kernel once, which takes about {COMPILE_SECONDS} seconds.", err=True)


def compile_first() -> None:
    """Compile the kernel behind a bar, where it has not been, so that nothing waits for it later."""
    from simkit.kernel.compiled import cache_folder, is_warm

    if cache_folder() is None or (is_warm("run_one") and is_warm("run_many")):
        return
    announce_compiling()
    from simkit.lesson.pupil import pupil

    with progress(2) as begin:
        begin("compiling for one home")
        year = pupil(1).steady
        begin("compiling for many homes")
        year.range()


@contextmanager
def counted(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show how many of something are done, how fast, and how long the rest takes; call what is given with both counts.

    Parameters
    ----------
    what
        What is counted, such as ``homes``.
    """
    from simkit.reporting.terminal import console

    screen = console(stderr=True)
    if not screen.is_terminal:
        yield lambda _done, _all: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    rate = TextColumn("{task.fields[rate]:,.0f} " + what + "/s, left:", markup=False)
    with Progress(BarColumn(bar_width=24), MofNCompleteColumn(), rate, TimeRemainingColumn(), console=screen,
                  transient=True) as bar:  # fmt: skip
        task = bar.add_task("", total=None, rate=0.0)

        def told(done: int, every: int) -> None:
            took = bar.tasks[0].elapsed or 0.0
            bar.update(task, completed=done, total=every, rate=done / took if took else 0.0, refresh=True)

        yield told
