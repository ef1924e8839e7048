"""Hour-by-hour running cost of a home heated by an air-to-water heat pump.

The public names stand in ``__init__.pyi``, in the order in which data flows; each is loaded when it is first used.
"""

import os as _os
import signal as _signal
import sys as _sys

if _os.path.splitext(_os.path.basename(_sys.argv[0] if getattr(_sys, "argv", None) else ""))[0] in ("simkit", "-m"):
    # the command is being loaded: Ctrl-C ends it there without a word, until `simkit.cli.main` takes over
    _signal.signal(_signal.SIGINT, lambda *_: _os._exit(130))

from importlib.metadata import version as _version

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach_stub(__name__, __file__)
__version__ = _version("home-heat-simkit")
