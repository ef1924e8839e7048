"""A notebook's kernel in; how long its cells have run, shown in the browser after two seconds, out.

The browser counts, for the kernel is busy: it is told when a cell begins and when it ends. What carries the script
there is taken out of the output once the browser has it, so that nothing of it stands in a saved notebook.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from simkit.panels.debounce import Debounced

NOTHING = {"text/plain": ""}
TAKEN_OUT_S = 1.0  # own: after the cell that brought it; the browser has it as soon as that cell runs


def show_progress() -> None:
    """Show how long cells take, in the notebook that runs this; nothing elsewhere, and nothing without anywidget."""
    if find_spec("IPython") is None or find_spec("anywidget") is None:
        return
    from IPython import get_ipython

    shell: Any = get_ipython()
    if getattr(shell, "kernel", None) is not None:
        _once(shell)


@cache
def _once(shell: Any) -> Any:
    """The widget of this kernel; a second call is answered by the first one's."""
    import anywidget
    import traitlets
    from IPython.display import display

    class Working(anywidget.AnyWidget):
        """Whether a cell runs."""

        _esm = Path(__file__).parent / "progress.js"
        _css = Path(__file__).parent / "progress.css"
        busy = traitlets.Bool(default_value=True).tag(sync=True)

    made: Any = Working()
    live = made._repr_mimebundle_()
    handle: Any = display({**(live[0] if isinstance(live, tuple) else live), **NOTHING}, raw=True, display_id=True)
    taken_out = Debounced(lambda: handle.update(NOTHING, raw=True), TAKEN_OUT_S)

    def brought(_: object) -> None:
        shell.events.unregister("post_run_cell", brought)
        taken_out.call()

    shell.events.register("pre_run_cell", lambda _: made.set_trait("busy", True))
    shell.events.register("post_run_cell", lambda _: made.set_trait("busy", False))
    shell.events.register("post_run_cell", brought)
    return made
