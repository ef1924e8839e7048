"""Hour-by-hour running cost of a home heated by an air-to-water heat pump.

The public names stand in ``__init__.pyi``, in the order in which data flows; each is loaded when it is first used.
"""

from importlib.metadata import version as _version

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach_stub(__name__, __file__)
__version__ = _version("home-heat-simkit")
