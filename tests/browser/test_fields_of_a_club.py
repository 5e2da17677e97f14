"""Figures typed for one club while the page is slow go to that club, and to no other."""

import pytest
from bench_starts import Slowed
from conftest import PHONE, Person
from walk import go, open_fold, until

LIE = "62.5"
CHOOSE = """(select, [first, then, text, last]) => {
  const fire = (item, type) => item.dispatchEvent(new Event(type, { bubbles: true, composed: type === "input" }));
  const choose = (name) => {
    select.value = [...select.options].find((o) => o.textContent === name).value;
    fire(select, "change");
  };
  const root = select.getRootNode().host.getRootNode();
  const deep = (r) => [...r.querySelectorAll("*")].flatMap((e) => [e, ...(e.shadowRoot ? deep(e.shadowRoot) : [])]);
  const lie = deep(root).find((e) => e.tagName === "INPUT" && e.getRootNode().textContent.includes("Lie ("));
  choose(first);
  choose(then);
  lie.value = text;
  fire(lie, "change");
  choose(last);
}"""

# Chosen, and whether the field beside it is then locked, before the worker can have answered.
LOCKS = """async (select, [name, label]) => {
  const deep = (r) => [...r.querySelectorAll("*")].flatMap((e) => [e, ...(e.shadowRoot ? deep(e.shadowRoot) : [])]);
  const root = select.getRootNode().host.getRootNode();
  const field = deep(root).find((e) => e.tagName === "INPUT" && e.getRootNode().textContent.includes(label));
  select.value = [...select.options].find((o) => o.textContent === name).value;
  for (const type of ["input", "change"])
    select.dispatchEvent(new Event(type, { bubbles: true, composed: type === "input" }));
  await new Promise((go) => setTimeout(go));
  for (let item = field; item; item = item.parentNode ?? item.host) if (item.inert) return true;
  return false;
}"""


@pytest.fixture
def person(slow, served):
    context = slow.browser.new_context(**PHONE)
    someone = Person(context, served.address)
    someone.open()
    go(someone, "measure")
    open_fold(someone, "The bag")
    open_fold(someone, "One club at a time")
    yield someone
    context.close()
    assert someone.faults == []


def lies(person):
    """The lie of each club as the table of the bag has it."""
    rows = person.page.get_by_role("table", name="Clubs in the bag").get_by_role("row").all_inner_texts()
    split = [row.split("\t") for row in rows[1:]]
    return {cells[0]: cells[3] for cells in split if len(cells) > 3}  # it may be drawn just now


def locked(person):
    field = person.page.get_by_label("Lie (").first
    return field.evaluate("""e => {
        for (let item = e; item; item = item.parentNode ?? item.host) if (item.inert) return true;
        return false;
    }""")


def test_the_fields_are_locked_until_they_are_those_of_the_club_chosen(slow, person):
    club, lie = person.page.get_by_label("Club to edit"), person.page.get_by_label("Lie (").first
    club.select_option(label="5-iron")
    until(lambda: not locked(person), "the fields of the 5-iron")
    before = lies(person)
    with Slowed(slow.profile, True):
        lie.fill("61.5")
        lie.blur()
        assert club.evaluate(LOCKS, ["6-iron", "Lie ("])
        until(lambda: not locked(person), "the fields of the 6-iron", 60)
        assert lie.input_value() == before["6-iron"]
        lie.fill(LIE)
        lie.blur()
        assert club.evaluate(LOCKS, ["7-iron", "Lie ("])
        until(lambda: not locked(person), "the fields of the 7-iron", 60)
    now = lies(person)
    assert (now["5-iron"], now["6-iron"], now["7-iron"]) == ("61.5", LIE, before["7-iron"])


def test_a_figure_goes_to_the_club_that_was_chosen_before_it(slow, person):
    """Of clubs chosen one after the other only the last was sent, and the figure went to the club before them."""
    before = lies(person)
    with Slowed(slow.profile, True):
        person.page.get_by_label("Club to edit").evaluate(CHOOSE, ["5-iron", "6-iron", LIE, "7-iron"])
        until(lambda: LIE in lies(person).values(), "the lie", 60)
    now = lies(person)
    assert now == before | {"6-iron": LIE}
