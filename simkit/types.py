"""Types of cases, results and errors, for annotations; each is loaded when it is first used (see ``types.pyi``)."""

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach_stub("simkit", __file__)
