"""Press, choose and type by label, as a person does, without a browser."""

from __future__ import annotations

import panel as pn


def widget(page, kind, label):
    found = [w for w in page.here.view.select(kind) if w.label and w.label.startswith(label)]
    assert found, f"no {kind.__name__} {label!r}"
    return found[0]


def press(page, label):
    """Press a button of this step, or of the header."""
    found = [w for w in page.here.view.select(pn.widgets.Button) if w.label.startswith(label)]
    found += [w for w in page.view.select(pn.widgets.Button) if w.label.startswith(label)]
    assert found, f"no button {label!r}"
    found[0].clicks += 1


def fill(page, label, text):
    widget(page, pn.widgets.TextInput, label).value = text


def choose(page, label, option):
    lists = widget(page, pn.widgets.Select, label)
    lists.value = lists.options[option]


def chips(page, label):
    """The chips of which one begins with ``label``."""
    for one in page.here.view.select(pn.widgets.CheckButtonGroup):
        if any(name.startswith(label) for name in one.options):
            return one
    raise AssertionError(f"no chip {label!r}")


def tap(page, label):
    """Tap a chip: it changes between chosen and not."""
    one = chips(page, label)
    value = next(v for name, v in one.options.items() if name.startswith(label))
    one.value = [v for v in one.value if v != value] if value in one.value else [*one.value, value]


def words(page):
    """All that the step and the header say."""
    return " ".join(str(pane.object) for pane in page.view.select(pn.pane.HTML))
