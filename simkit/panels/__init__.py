"""Cases in, live panels out: models that know no widgets, and thin views that are loaded when one is shown.

The names stand in ``__init__.pyi``; each is loaded when it is first used.
"""

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach_stub(__name__, __file__)
