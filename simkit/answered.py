"""A result in; what is said of it out: the way up from a result to its answer, loaded when it is asked for."""

from __future__ import annotations

from importlib import import_module
from typing import Any, ClassVar


class Answered:
    """A result that has an answer.

    Attributes
    ----------
    answered_by
        Where the function stands that makes its answer, ``module:name``. Answers stand above results, so that it is
        named and not imported.
    """

    answered_by: ClassVar[str]

    def answer(self, **how: Any) -> Any:
        """Say what the result comes to: an `Answer`; options as its function takes them."""
        module, _, name = self.answered_by.partition(":")
        return getattr(import_module(module), name)(self, **how)

    def explain(self, what: str) -> Any:
        """Say why a figure of it is what it is: an `Explanation`, or the figures that may be meant.

        Years and comparisons can be asked; see `simkit.explaining.explain.explain`.
        """
        return import_module("simkit.explaining.explain").explain(self, what)

    def _repr_html_(self) -> str:
        return str(self.answer()._repr_html_())

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        return dict(self.answer()._repr_mimebundle_())
