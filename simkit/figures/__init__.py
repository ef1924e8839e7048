"""Tables and frames in; figures, and the sentence that says each, out. matplotlib is loaded by the first one drawn.

The names stand in ``__init__.pyi``; each is loaded when it is first used.
"""

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach_stub(__name__, __file__)
