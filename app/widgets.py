"""The few kinds of widget the dashboard is made of, each with its own small sheet from `app.styles`."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import panel as pn

from app import styles
from app.state import State
from app.units import Unreadable, as_typed, parse, unit
from engine.documents.case import Case
from engine.documents.fields import Number, Rule


def html(content: str = "", *, cls: str = "", sheet: str = "") -> pn.pane.HTML:
    return pn.pane.HTML(
        str(content), stylesheets=[styles.TEXT + sheet], css_classes=["plain", *cls.split()], margin=0
    )


def heading(title: str, lead: str = "") -> pn.pane.HTML:
    """What a screen is for, large, on the bare paper above its sheets."""
    from app.html import h2, join, p

    return html(join(h2(title), p(lead) if lead else ""), cls="heading")


def put(pane: pn.pane.HTML, content: str) -> None:
    """Patch a pane only if its text changed."""
    if pane.object != str(content):
        pane.object = str(content)


def classes(widget: Any, wanted: Sequence[str]) -> None:
    if list(widget.css_classes) != list(wanted):
        widget.css_classes = list(wanted)


def stack(*items: Any, cls: str = "") -> pn.Column:
    return pn.Column(*items, stylesheets=[styles.STACK], css_classes=cls.split(), margin=0)


def line(*items: Any, cls: str = "") -> pn.Row:
    return pn.Row(*items, stylesheets=[styles.LINE], css_classes=cls.split(), margin=0)


def text_area(label: str, placeholder: str, *, most: int) -> pn.widgets.TextAreaInput:
    """A field for pasted text of at most so many characters."""
    return pn.widgets.TextAreaInput(
        label=label, placeholder=placeholder, stylesheets=[styles.FIELD], margin=0, max_length=most
    )


def button(label: str, on: Callable[[], Any], *, cls: str = "") -> pn.widgets.Button:
    widget = pn.widgets.Button(label=label, stylesheets=[styles.BUTTON], css_classes=cls.split(), margin=0)
    widget.on_click(lambda event: on())
    return widget


def show(item: Any, visible: bool) -> None:
    """Show or hide by class, so that our own sheets decide how a part is laid out."""
    now = [c for c in item.css_classes if c != "off"]
    classes(item, now if visible else [*now, "off"])


def is_shown(item: Any) -> bool:
    return "off" not in item.css_classes


class _Buttons(pn.widgets.RadioButtonGroup):
    """One of a few; the page knows the chosen one by its place, which is told anew with other options."""

    def _process_param_change(self, params: dict[str, Any]) -> dict[str, Any]:
        return dict(
            super()._process_param_change(params | ({"value": self.value} if "options" in params else {}))
        )


class Choice:
    """One of a few, as a row of buttons or, with ``listed``, as the phone's own list; with ``picks`` as a list of what the
    fields beside it are about, which the page locks until they are (`site/shell/locked.js`)."""

    def __init__(
        self,
        label: str,
        options: dict[str, Any],
        get: Callable[[], Any],
        take: Callable[[Any], Any],
        *,
        listed: bool = False,
        picks: bool = False,
    ) -> None:
        self.get, self.take, self._quiet = get, take, False
        if listed or picks:
            self.widget: Any = pn.widgets.Select(
                label=label,
                options=options,
                value=get(),
                stylesheets=[styles.FIELD],
                css_classes=["picks"] * picks,
                margin=0,
            )
            self.view: Any = self.widget
        else:
            self.widget = _Buttons(  # type: ignore[no-untyped-call]
                label=label,
                options=options,
                value=get(),
                stylesheets=[styles.CHIPS],
                margin=0,
                css_classes=["group"],
            )
            from app.html import tag

            self.view = stack(html(tag("b", label)), self.widget, cls="tight") if label else self.widget
        self.widget.param.watch(self._taken, "value")

    def _taken(self, event: Any) -> None:
        if not self._quiet:
            self.take(event.new)
            if self.get() in self.widget.options.values():  # what was refused does not stay in view
                self.refresh()

    def refresh(self, options: dict[str, Any] | None = None) -> None:
        self._quiet = True
        try:
            if options is not None and options != self.widget.options:
                self.widget.param.update(options=options, value=self.get())
            elif self.widget.value != self.get():
                self.widget.value = self.get()
        finally:
            self._quiet = False


class Chips:
    """Several of a few, each a chip that stays where it is: chosen or not."""

    def __init__(
        self,
        label: str,
        options: dict[str, Any],
        get: Callable[[], Sequence[Any]],
        take: Callable[[list[Any]], Any],
    ) -> None:
        self.get, self.take, self._quiet = get, take, False
        self.widget = pn.widgets.CheckButtonGroup(
            label=label,
            options=options,
            value=self._chosen(options),
            stylesheets=[styles.CHIPS],
            margin=0,
            css_classes=["group"],
        )
        from app.html import tag

        self.view: Any = stack(html(tag("b", label)), self.widget, cls="tight") if label else self.widget
        self.widget.param.watch(self._taken, "value")

    def _chosen(self, options: dict[str, Any]) -> list[Any]:
        wanted = self.get()
        return [value for value in options.values() if value in wanted]

    def _taken(self, event: Any) -> None:
        if not self._quiet:
            self.take(list(event.new))
            self.refresh()

    def refresh(self, options: dict[str, Any] | None = None) -> None:
        self._quiet = True
        try:
            if options is not None and options != self.widget.options:
                self.widget.param.update(options=options, value=self._chosen(options))
            elif set(self.widget.value) != set(chosen := self._chosen(self.widget.options)):
                self.widget.value = chosen
        finally:
            self._quiet = False


class Tick(Choice):
    """A switch for yes or no: two buttons, large enough for a thumb and named for a screen reader."""

    def __init__(self, label: str, get: Callable[[], bool], take: Callable[[bool], None]) -> None:
        super().__init__(label, {"No": False, "Yes": True}, get, take)


class _Line(pn.widgets.TextInput):
    """A line of text. Enter changes it and is told of after that; that must not enter the same text twice."""

    def _process_event(self, event: Any) -> None:
        self.enter_pressed = True


class TextField:
    """Free text of the case, or with ``passing`` a text that is not kept and that nobody misses; with ``lines`` of several
    lines; with ``clears`` a passing one that the page frees at Enter and hands over as a message (`site/shell/lines.js`)."""

    def __init__(
        self,
        label: str,
        get: Callable[[], str],
        take: Callable[[str], Any],
        *,
        most: int = 60,
        passing: bool = False,
        lines: bool = False,
        clears: bool = False,
    ) -> None:
        self.get, self.take, self.most, self._quiet = get, take, most, False
        self.view = (pn.widgets.TextAreaInput if lines else _Line)(
            label=label,
            value=get(),
            max_length=most,
            stylesheets=[styles.FIELD],
            css_classes=["passing"] * (passing or clears) + ["clears"] * clears,
            margin=0,
        )
        self.view.param.watch(self._taken, "value")
        if clears:
            from app import bridge

            bridge.listen("line", self._line)

    def _taken(self, event: Any) -> None:
        if not self._quiet:
            self.take(str(event.new or ""))
            self.refresh()

    def _line(self, payload: dict[str, Any]) -> None:
        """Enter was pressed in a field of this name."""
        if payload.get("label") == self.view.label:
            self.take(str(payload.get("text") or "")[: self.most])
            self.refresh()

    def refresh(self) -> None:
        self._quiet = True
        try:
            if self.view.value != self.get():
                self.view.value = self.get()
        finally:
            self._quiet = False


class _Number(pn.widgets.TextInput):
    """A line for a number. What Enter hands over is a new text, or the old one typed again."""

    def _process_event(self, event: Any) -> None:
        if event.value_input == self.value:
            self.enter_pressed = True
        else:
            super()._process_event(event)


class NumberField:
    """A number of the case in display units. What is wrong with it is said in its label; what was typed
    stays. With ``passing`` it is not kept, and nobody misses it; with ``whole`` a tap into it chooses all of it; with
    ``measured`` the number that stands there says something new when it is typed again."""

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
        change: Callable[..., Any] | None = None,
        passing: bool = False,
        whole: bool = False,
        measured: bool = False,
    ) -> None:
        assert isinstance(rule, Number)
        self.passing, self.whole, self.stepped, self.name = passing, whole, False, ""
        self.state, self.label, self.quantity, self.rule = state, label, quantity, rule
        self.get, self.edit, self.needed, self.hint = get, edit, needed, scale_hint
        self._change = change or state.change
        self._fault, self._quiet, self._system, self._of = "", False, state.units, state.store.open
        self.view = _Number(
            label=self._title(),
            value=self._text(),
            stylesheets=[styles.FIELD],
            css_classes=self._classes(),
            margin=0,
            max_length=40,
        )
        self.view.param.watch(self._typed, "value")
        if measured:
            self.view.param.watch(lambda event: self._again() if event.new else None, "enter_pressed")

    def _again(self) -> None:
        """The number that stands there was typed again; as it is kept, not as it is shown."""
        value = self.get(self.state.case)
        if value is None or self._fault or self.edit(self.state.case, value) == self.state.case:
            return
        self._change(lambda case: self.edit(case, value), f"{self.label.lower()} measured")
        self.refresh()

    def _classes(self) -> list[str]:
        """What the page picks the phone's keyboard by: digits, or all keys for feet and inches and for a minus."""
        signed = unit(self.quantity, self.state.units).shown(self.rule.low) < 0
        free = signed or (self.quantity == "body" and self.state.units == "imperial")
        return [
            "num",
            *["free"] * free,
            *["passing"] * self.passing,
            *(["stepped", "from{}to{}".format(*self.whole_limits)] if self.stepped else []),
            *["whole"] * self.whole,
            *["bad"] * bool(self._fault),
        ]

    @property
    def whole_limits(self) -> tuple[int, int]:
        """The least and the most that buttons step to, in shown units; the page reads it off the classes."""
        shown = unit(self.quantity, self.state.units)
        return math.ceil(shown.shown(self.rule.low)), math.floor(shown.shown(self.rule.high))

    def _title(self) -> str:
        name = unit(self.quantity, self.state.units).name
        if self._fault:
            return f"{self.label} {self._fault}"
        return f"{self.label} ({name})" if name else self.label

    def _text(self) -> str:
        return as_typed(self.get(self.state.case), self.quantity, self.state.units)

    def _typed(self, event: Any) -> None:
        if self._quiet:
            return
        try:
            value = self._read(str(event.new))
            if value is None and self.needed:
                raise Unreadable("is empty: type a number, or undo")
            self._say("")
            if value is None or self.get(self.state.case) is None or self._text() != str(event.new).strip():
                self._change(lambda case: self.edit(case, value), f"{self.label.lower()} changed")
        except Unreadable as error:
            self._say(str(error))
            text = str(event.new).strip()[:20]
            what = f"{self.label.lower()} \u201c{text}\u201d" if text else f"{self.label.lower()} left empty"
            self.state.keep_refused(self, what, self.forget)
        self.refresh()

    def _read(self, text: str) -> float | None:
        """The SI value of what was typed, ``None`` for nothing; raises `Unreadable`."""
        return parse(text, self.quantity, self.state.units, low=self.rule.low, high=self.rule.high)

    def stand_in(self, text: str) -> None:
        """What an empty field stands for, in place of a number."""
        if self.view.placeholder != text:
            self.view.placeholder = text

    @property
    def faulty(self) -> bool:
        """Whether what stands in the field was refused."""
        return bool(self._fault)

    def _say(self, fault: str) -> None:
        from app import bridge

        if fault and fault != self._fault:
            bridge.announce(f"{self.label} {fault}")
        self._fault = fault
        if not fault:
            self.state.drop_refused(self)

    def forget(self) -> None:
        """Take back a text that was refused: show what the case holds."""
        self._say("")
        self.refresh()

    def refresh(self) -> None:
        """Bring label and text up to date; a text in fault is left for the person to mend."""
        self._quiet = True
        try:
            if (self._system, self._of) != (self.state.units, self.state.store.open):
                self._system, self._of = self.state.units, self.state.store.open
                self._say("")
            title, wanted = self._title(), self._classes()
            if self.view.label != title:
                self.view.label = title
            classes(self.view, wanted)
            if not self._fault and self.view.value != self._text():
                self.view.value = self._text()
        finally:
            self._quiet = False


class Stepper:
    """A number with big buttons for less and more on either side of it, so that nothing need be typed. A number that
    stands there is changed by the page itself (`site/shell/taps.js`), which takes the words on the button for the step.

    steps : by the words on each button, in shown units, in the order in which they stand; ``start`` is stepped from where
    the field is empty
    """

    def __init__(self, field: NumberField, steps: dict[str, float], start: Callable[[], float]) -> None:
        self.field, self.start = field, start
        field.stepped = True
        taps = [button(words, partial(self._step, by), cls="tap") for words, by in steps.items()]
        less = [t for t, by in zip(taps, steps.values(), strict=True) if by < 0]
        self.view = line(*less, field.view, *[t for t in taps if t not in less], cls="steps")

    def _step(self, by: float) -> None:
        field = self.field
        shown = unit(field.quantity, field.state.units)
        now = field.get(field.state.case)
        low, high = field.whole_limits
        wanted = round(shown.shown(self.start() if now is None else now)) + by
        field.view.value = f"{min(max(wanted, low), high):g}"


class Slider:
    """A value tried out live: a slider with a step less and a step more beside it for thumbs and keys. Once it is set, the
    page itself moves it (`site/shell/taps.js`).
    """

    def __init__(
        self,
        state: State,
        label: str,
        quantity: str,
        ends: tuple[float, float],
        get: Callable[[], float | None],
        take: Callable[[float], Any],
        *,
        step: float | None = None,
        begin: Callable[[], float | None] = lambda: None,
    ) -> None:
        """``ends`` [SI], ``step`` in display units; the unit's own step if ``None``. ``begin`` is where the first tap sets
        what is not set yet, the low end if ``None``.
        """
        self.begin = begin
        self.state, self.label, self.quantity, self.ends = state, label, quantity, ends
        self.get, self.take, self.own_step, self._quiet = get, take, step, False
        self.widget = pn.widgets.FloatSlider(
            label=label,
            start=1,
            end=2,
            value=1,
            step=1,
            format=self._form(),
            stylesheets=[styles.SLIDER],
            margin=0,
        )
        self.widget.param.watch(self._slid, "value")
        self.view = line(
            self.widget,
            button("\u2212", lambda: self._step(-1), cls="square less"),
            button("+", lambda: self._step(1), cls="square more"),
            cls="pair",
        )

    def _scale(self) -> tuple[Any, float, float, float]:
        shown = unit(self.quantity, self.state.units)
        step = self.own_step or shown.step
        low, high = (round(shown.shown(end) / step) * step for end in self.ends)
        return shown, step, low, high

    def _form(self) -> str:
        """As many decimals as a step has."""
        return "0.00" if round(10 * self._scale()[1], 6) % 1 else "0.0"

    def _slid(self, event: Any) -> None:
        if not self._quiet:
            self.take(round(unit(self.quantity, self.state.units).si(float(event.new)), 5))
            self.refresh()

    def _step(self, by: int) -> None:
        shown, step, low, high = self._scale()
        if self.get() is None and self.begin() is not None:
            by = 0
        value = (round(float(self.widget.value or 0) / step) + by) * step
        self.take(round(shown.si(min(max(value, low), high)), 5))

    def refresh(self) -> None:
        shown, step, low, high = self._scale()
        value = self.get()
        classes(self.view, ["pair", *["unset"] * (value is None)])
        place = self.begin() if value is None else value
        at = low if place is None else min(max(round(shown.shown(place), 3), low), high)
        label = f"{self.label} ({shown.name})" + (" \u2013 not set" if value is None else "")
        wanted = {"start": low, "end": high, "step": step, "value": at, "label": label}
        wanted |= {"show_value": value is not None, "format": self._form()}
        new = {k: v for k, v in wanted.items() if getattr(self.widget, k) != v}
        self._quiet = True
        try:
            if new:
                self.widget.param.update(**new)
        finally:
            self._quiet = False


class Fold:
    """A heading that opens and closes what is under it; what is under it is built when first opened."""

    def __init__(
        self, label: str, build: Callable[[], Any], *, refresh: Callable[[], None] | None = None
    ) -> None:
        self.label, self.build, self._refresh = label, build, refresh
        self.open = False
        self.head = button(label, self.toggle, cls="fold")
        self.body = stack(cls="foot off")
        self.view = stack(self.head, self.body, cls="tight")

    def toggle(self) -> None:
        self.open = not self.open
        if self.open and not len(self.body):
            self.body[:] = [self.build()]
        classes(self.head, ["fold", "open"] if self.open else ["fold"])
        show(self.body, self.open)
        if self.open and self._refresh:
            self._refresh()

    def rename(self, label: str) -> None:
        if label != self.label:
            self.label = label
            self.head.label = label


class Sure:
    """A button that asks before it takes something away: what, stands with Keep and Yes under it. Another tap on the
    button does nothing, and Yes counts once, for what was asked.

    question : names what would go, as it is now; what : "remove", say; where : it stands: the same words about another are
    another question
    """

    def __init__(
        self,
        label: str,
        question: Callable[[], str],
        act: Callable[[], Any],
        *,
        what: str,
        where: Callable[[], Any],
    ) -> None:
        self.question, self.act, self.where = question, act, where
        self.asked: tuple[Any, str] | None = None
        self.head = button(label, self._ask)
        self.words = html()
        answers = line(
            button("Keep", self._shut), button(f"Yes, {what}", self._yes, cls="main"), cls="answers"
        )
        self.view = stack(self.words, answers, cls="off")

    def _now(self) -> tuple[Any, str]:
        return self.where(), self.question()

    def _ask(self) -> None:
        from app import bridge
        from app.html import p

        if self.asked != (now := self._now()):
            self.asked = now
            put(self.words, p(now[1]))
            bridge.announce(now[1])
        show(self.view, True)

    def _yes(self) -> None:
        sure = self.asked is not None and self.asked == self._now()
        self._shut()
        if sure:
            self.act()

    def _shut(self) -> None:
        self.asked = None
        show(self.view, False)

    def refresh(self, label: str | None = None) -> None:
        """Drop a question about what is no longer so."""
        if label is not None and self.head.label != label:
            self.head.label = label
        if self.asked is not None and self.asked != self._now():
            self._shut()


class Screen:
    """One step: built when first shown, refreshed only while shown."""

    id = ""
    title = ""
    head = ("", "")  # what it is for, and a line under that; the page shows them before anything else

    def __init__(self, state: State, go: Callable[[str], None]) -> None:
        self.state, self.go = state, go
        self.view = stack(heading(*self.head), cls=f"at-{self.id} off")
        self._built = False
        self._seen: Any = None

    def enter(self) -> None:
        """Show the screen as it stands; it is filled afterwards."""
        show(self.view, True)

    def fill(self) -> None:
        self.prepare()
        self._bring_up_to_date()

    def prepare(self) -> None:
        """Build what stands under the heading, unless it is there."""
        if not self._built:
            self._built = True
            self.view.extend(self.build())

    def undone(self, before: Case) -> None:
        """An edit made here has been undone: bring that into view; ``before`` is the case until then."""

    def leave(self) -> None:
        show(self.view, False)

    def refresh_if_changed(self) -> None:
        if self._built and is_shown(self.view):
            self._bring_up_to_date()

    def _bring_up_to_date(self) -> None:
        if self._seen is not self.state.store:
            self._seen = self.state.store
            self.refresh()

    def build(self) -> list[Any]:
        """What stands under the heading."""
        raise NotImplementedError

    def refresh(self) -> None:
        raise NotImplementedError
