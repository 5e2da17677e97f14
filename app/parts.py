"""The few kinds of widget the dashboard is made of, each with its own small sheet from `app.look`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import panel as pn

from app import look
from app.measures import Unreadable, parse, unit
from app.state import State
from engine.case import Case, CaseError
from engine.fields import Number, Rule


def html(content: str = "", *, cls: str = "", sheet: str = "") -> pn.pane.HTML:
    return pn.pane.HTML(
        str(content), stylesheets=[look.TEXT + sheet], css_classes=["plain", *cls.split()], margin=0
    )


def put(pane: pn.pane.HTML, content: str) -> None:
    """Patch a pane only if its text changed."""
    if pane.object != str(content):
        pane.object = str(content)


def classes(widget: Any, wanted: Sequence[str]) -> None:
    if list(widget.css_classes) != list(wanted):
        widget.css_classes = list(wanted)


def stack(*items: Any, cls: str = "") -> pn.Column:
    return pn.Column(*items, stylesheets=[look.STACK], css_classes=cls.split(), margin=0)


def line(*items: Any, cls: str = "") -> pn.Row:
    return pn.Row(*items, stylesheets=[look.LINE], css_classes=cls.split(), margin=0)


def button(label: str, on: Callable[[], Any], *, cls: str = "") -> pn.widgets.Button:
    widget = pn.widgets.Button(label=label, stylesheets=[look.BUTTON], css_classes=cls.split(), margin=0)
    widget.on_click(lambda event: on())
    return widget


def show(item: Any, visible: bool) -> None:
    """Show or hide by class, so that our own sheets decide how a part is laid out."""
    now = [c for c in item.css_classes if c != "off"]
    classes(item, now if visible else [*now, "off"])


def is_shown(item: Any) -> bool:
    return "off" not in item.css_classes


class Choice:
    """One of a few, as a row of buttons or, with ``listed``, as the phone's own list."""

    def __init__(
        self,
        label: str,
        options: dict[str, Any],
        get: Callable[[], Any],
        take: Callable[[Any], None],
        *,
        listed: bool = False,
    ) -> None:
        self.get, self.take, self._quiet = get, take, False
        if listed:
            self.widget: Any = pn.widgets.Select(
                label=label, options=options, value=get(), stylesheets=[look.FIELD], margin=0
            )
            self.view: Any = self.widget
        else:
            self.widget = pn.widgets.RadioButtonGroup(
                label=label,
                options=options,
                value=get(),
                stylesheets=[look.CHIPS],
                margin=0,
                css_classes=["group"],
            )
            from app.markup import tag

            self.view = stack(html(tag("b", label)), self.widget, cls="tight") if label else self.widget
        self.widget.param.watch(self._taken, "value")

    def _taken(self, event: Any) -> None:
        if not self._quiet:
            self.take(event.new)

    def refresh(self, options: dict[str, Any] | None = None) -> None:
        self._quiet = True
        try:
            if options is not None and options != self.widget.options:
                self.widget.param.update(options=options, value=self.get())
            elif self.widget.value != self.get():
                self.widget.value = self.get()
        finally:
            self._quiet = False


class Tick(Choice):
    """A switch for yes or no: two buttons, large enough for a thumb and named for a screen reader."""

    def __init__(self, label: str, get: Callable[[], bool], take: Callable[[bool], None]) -> None:
        super().__init__(label, {"No": False, "Yes": True}, get, take)


class TextField:
    """Free text of the case."""

    def __init__(
        self, label: str, get: Callable[[], str], take: Callable[[str], None], *, most: int = 60
    ) -> None:
        self.get, self.take, self._quiet = get, take, False
        self.view = pn.widgets.TextInput(
            label=label, value=get(), max_length=most, stylesheets=[look.FIELD], margin=0
        )
        self.view.param.watch(self._taken, "value")

    def _taken(self, event: Any) -> None:
        if not self._quiet:
            self.take(str(event.new or ""))

    def refresh(self) -> None:
        self._quiet = True
        try:
            if self.view.value != self.get():
                self.view.value = self.get()
        finally:
            self._quiet = False


class NumberField:
    """A number of the case in display units. What is wrong with it is said in its label; what was typed
    stays."""

    def __init__(
        self,
        state: State,
        label: str,
        quantity: str,
        rule: Rule,
        get: Callable[[Case], float | None],
        edit: Callable[[Case, float | None], Case],
        *,
        needed: bool = False,
        scale_hint: str = "",
        change: Callable[..., None] | None = None,
    ) -> None:
        assert isinstance(rule, Number)
        self.state, self.label, self.quantity, self.rule = state, label, quantity, rule
        self.get, self.edit, self.needed, self.hint = get, edit, needed, scale_hint
        self._change = change or state.change
        self._fault, self._quiet, self._system = "", False, state.units
        self.view = pn.widgets.TextInput(
            label=self._title(),
            value=self._text(),
            stylesheets=[look.FIELD],
            css_classes=["num"],
            margin=0,
            max_length=40,
        )
        self.view.param.watch(self._typed, "value")

    def _title(self) -> str:
        name = unit(self.quantity, self.state.units).name
        if self._fault:
            return f"{self.label} {self._fault}"
        return f"{self.label} ({name})" if name else self.label

    def _text(self) -> str:
        value = self.get(self.state.case)
        if value is None:
            return ""
        shown = unit(self.quantity, self.state.units)
        text = f"{shown.shown(value):.{shown.decimals}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text

    def _typed(self, event: Any) -> None:
        if self._quiet:
            return
        try:
            low, high = self.rule.low, self.rule.high
            value = parse(event.new, self.quantity, self.state.units, low=low, high=high)
            if value is None and self.needed:
                raise Unreadable("is empty: type a number, or undo")
            self._say("")
            if value is None or self.get(self.state.case) is None or self._text() != str(event.new).strip():
                self._change(lambda case: self.edit(case, value), f"{self.label.lower()} changed")
        except Unreadable as error:
            self._say(str(error))
        except CaseError as error:
            self._say(error.problem)
        self.refresh()

    def _say(self, fault: str) -> None:
        from app import bridge

        if fault and fault != self._fault:
            bridge.announce(f"{self.label} {fault}")
        self._fault = fault

    def refresh(self) -> None:
        """Bring label and text up to date; a text in fault is left for the person to mend."""
        self._quiet = True
        try:
            if self._system != self.state.units:
                self._system, self._fault = self.state.units, ""
            title, wanted = self._title(), ["num", "bad"] if self._fault else ["num"]
            if self.view.label != title:
                self.view.label = title
            classes(self.view, wanted)
            if not self._fault and self.view.value != self._text():
                self.view.value = self._text()
        finally:
            self._quiet = False


class Fold:
    """A heading that opens and closes what is under it; what is under it is built when first opened."""

    def __init__(
        self, label: str, build: Callable[[], Any], *, refresh: Callable[[], None] | None = None
    ) -> None:
        self.label, self.build, self._refresh = label, build, refresh
        self.open = False
        self.head = button(f"\u25b8 {label}", self.toggle, cls="fold")
        self.body = stack(cls="off")
        self.view = stack(self.head, self.body, cls="tight")

    def toggle(self) -> None:
        self.open = not self.open
        if self.open and not len(self.body):
            self.body[:] = [self.build()]
        self.head.label = f"{'▾' if self.open else '▸'} {self.label}"
        classes(self.head, ["fold", "open"] if self.open else ["fold"])
        show(self.body, self.open)
        if self.open and self._refresh:
            self._refresh()

    def rename(self, label: str) -> None:
        if label != self.label:
            self.label = label
            self.head.label = f"{'▾' if self.open else '▸'} {label}"


class Screen:
    """One step: built when first shown, refreshed only while shown."""

    id = ""
    title = ""

    def __init__(self, state: State, go: Callable[[str], None]) -> None:
        self.state, self.go = state, go
        self.view = stack(cls="off")
        self._built = False
        self._seen: Any = None

    def enter(self) -> None:
        if not self._built:
            self._built = True
            self.view[:] = self.build()
        show(self.view, True)
        self.refresh_if_changed()

    def leave(self) -> None:
        show(self.view, False)

    def refresh_if_changed(self) -> None:
        if self._built and is_shown(self.view) and self._seen is not self.state.store:
            self._seen = self.state.store
            self.refresh()

    def build(self) -> list[Any]:
        raise NotImplementedError

    def refresh(self) -> None:
        raise NotImplementedError
