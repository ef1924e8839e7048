"""A panel's model in; one widget out: settings, answer and picture shown, and what is typed passed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from simkit.answers.answer import Answer
from simkit.panels.debounce import Debounced
from simkit.panels.fields import Choice, Number, TimeOfDay, Upload
from simkit.panels.picture import Picture
from simkit.panels.settings import Settings
from simkit.reporting.on_page import picture_bytes, pieces_html, style_of_notebooks

HERE = Path(__file__).parent
WAITING = "The likely range follows when nothing moves."
IN_SIGHT = (
    3  # own: sentences that stand beside the settings; the rest follows below, so that the picture stays in sight
)
MEND = "This is of the home as it was before: mend what is marked."


class PanelView(anywidget.AnyWidget):
    """The one view of every panel.

    A message holds one wish and its number: ``set`` values by name, ``reset`` names (all where none is given), ``pin``,
    ``unpinned`` a name and whether to go back to it, ``save`` or ``load`` a file, ``upload`` one, or an ``act`` of the
    model. Each is answered by one new state that bears the number.

    Attributes
    ----------
    model
        What is shown.
    state, settled, picture
        What the browser shows: text by place that follows every move; what waits until nothing moves, which is too
        long to be sent each time; and the picture that follows, a PNG.
    """

    _esm = HERE / "panel.js"
    _css = style_of_notebooks() + (HERE / "panel.css").read_text(encoding="utf-8")
    state = traitlets.Dict().tag(sync=True)
    settled = traitlets.Dict().tag(sync=True)
    picture = traitlets.Bytes().tag(sync=True)

    def __init__(self, model: Settings) -> None:
        super().__init__()
        self.model = model
        self._drawn: Picture | None = None
        self._drawn_for: object = None
        self._seq, self._asking = 0, False
        self._sharper = Debounced(self._settle)
        model.on_change(self._follow)
        self.on_msg(lambda _, wish, __: self.ask(wish))
        self._follow()

    def ask(self, wish: Mapping[str, Any]) -> None:
        """Do what a message asks for, and answer with the state that it made."""
        self._asking = True
        said = None
        try:
            for what, given in wish.items():
                if what != "seq":
                    said = self._wishes()[what](given)
        finally:
            self._asking, self._seq = False, int(wish.get("seq", self._seq))
        written = said if said is not None else None
        self._follow(said=written.sentence if written else "", refused=bool(written and written.path is None))

    def _wishes(self) -> dict[str, Any]:
        model = self.model
        return {
            "set": model.set_all, "reset": lambda names: model.reset(*names), "pin": lambda _: model.pin(),
            "unpinned": lambda given: model.unpin(*given), "save": model.write, "load": model.load,
            "upload": lambda file: model.upload(file["field"], file["name"], file["text"]), "act": model.act,
        }  # fmt: skip

    def _follow(self, *, said: str = "", refused: bool = False) -> None:
        """Draw first, then show the settings where the model has them; what takes longer waits."""
        if self._asking:
            return
        self._show(self.model.moved(), said=said, refused=refused)
        self._sharper.call()

    def _settle(self) -> None:
        """Show what takes longer than a drag has time for: likely ranges, and what may hurt in the home as set."""
        answer = self.model.answer(ranged=True)
        figures = pieces_html(replace(answer, pictures=answer.pictures[1:]), "pictures")
        self.settled = {"cautions": pieces_html(answer, "cautions"), "csv": self.model.csv(), "figures": figures}
        self._show(answer, settled=True, said=self.state.get("said", ""), refused=self.state.get("refused", False))
        self.model.settled(answer)

    def _show(self, answer: Answer, *, settled: bool = False, said: str = "", refused: bool = False) -> None:
        drawn = self._png(answer, settled=settled)
        model, rest = self.model, replace(answer, sentences=answer.sentences[IN_SIGHT:])
        rest = rest if model.tabled else replace(rest, tables=())
        state = {
            "seq": self._seq, "title": answer.title, "groups": self._groups(),
            "rows": {name: self._row(name) for name in model.fields},
            "words": pieces_html(replace(answer, sentences=answer.sentences[:IN_SIGHT]), "sentences"),
            "tables": pieces_html(rest, "sentences", "tables", fold=not model.table_first),
            "held": model.held,
            "trouble": " ".join((*model.trouble, *([] if model.good else [MEND]))),
            "progress": "" if settled else WAITING, "derived": derived_html(model.derived),
            "pins": [(pin.name, pin.told, pin.said) for pin in model.pins], "acts": model.acts, "file": model.file,
            "files": model.files, "pinning": model.pins_kept, "asks": model.asks, "above": model.table_first,
            "said": said, "refused": refused, "alt": answer.pictures[0].sentence if answer.pictures else "",
        }  # fmt: skip
        with self.hold_sync():
            self.state = state
            if drawn is not None:
                self.picture = drawn

    def _png(self, answer: Answer, *, settled: bool) -> bytes | None:
        """The picture: redrawn with every change where the model has one that moves, else once nothing changes."""
        moving = self.model.moving
        if moving is None:
            return picture_bytes(answer.pictures[0], "png") if settled and answer.pictures else None
        if moving.key != self._drawn_for or self._drawn is None:  # another home: the bars have other names
            self._drawn, self._drawn_for = Picture(moving.width, moving.height, moving.make), moving.key
        return self._drawn.png(moving.state)

    def _groups(self) -> list[dict[str, Any]]:
        return [{"title": title, "names": list(names)} for title, names in self.model.groups.items()]

    def _row(self, name: str) -> dict[str, Any]:
        """One setting as the browser shows it."""
        model, field = self.model, self.model.fields[name]
        moved = model.differs(name) or name in model.typed
        row: dict[str, Any] = {
            "kind": "text", "label": model.label(name), "unit": model.unit(name), "text": model.text(name),
            "value": model.values[name], "shown": model.shown(name), "moved": moved, "slides": model.slides,
            "live": model.live, "was": model.was(name) if moved else "",
            "problem": model.problems.get(name, ""), "hint": model.hint(name),
        }  # fmt: skip
        if isinstance(field, Number):
            row |= {"kind": "number", "low": field.low, "high": field.high, "step": field.step}
        elif isinstance(field, TimeOfDay):
            row |= {"kind": "time", "options": list(field.listed) if model.slides else []}
        elif isinstance(field, Choice):
            row |= {"kind": "choice", "options": [list(option) for option in field.options]}
        elif isinstance(field, Upload):
            row |= {"kind": "file", "accept": field.accept}
        return row


def derived_html(lines: tuple[str, ...]) -> str:
    """What follows from the settings and is not asked for, one line each."""
    return "".join(f'<p class="second">{escape(line)}</p>' for line in lines)
