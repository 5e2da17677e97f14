"""The preview of pasted balls on a phone, by touch: a column changed by hand, questions answered, lines told of."""

import pytest
from conftest import PHONE, Person
from walk import until

TABLE = (
    "Date,Club,Distance (m),Flown,Ball speed (km/h),Spin,Smash\n"
    "2026-05-02,7 iron,140,131.5,158,6.510,1.31\n2026-05-02,7 iron,138,129.0,157,6.480,1.30\n"
    "2026-05-02,Old faithful,92,88.0,121,8.900,1.2\nAverage,,139,130.2,157.5,6.495,1.3\n"
)


def open_pasting(person):
    person.tap("2 Hit")
    person.tap("Paste, or open a CSV file")


def paste(person, text):
    area = person.page.get_by_label("Balls as text").first
    area.fill(text)
    area.blur()
    person.tap("Show how it is read")


def choose(person, label, option):
    person.page.get_by_label(label, exact=True).first.select_option(label=option)


def says(person, words, seconds=20):
    person.until(f"({TEXT})().includes({words!r})", seconds)


TEXT = """() => { const out = []; const walk = n => {
  if (n.nodeType === 3) { out.push(n.textContent); return }
  if (n.nodeType === 1 && (['STYLE', 'SCRIPT'].includes(n.tagName) || getComputedStyle(n).display === 'none')) return;
  for (const c of n.shadowRoot ? n.shadowRoot.childNodes : []) walk(c);
  for (const c of n.childNodes) walk(c) };
  walk(document.body); return out.join(' ') }"""

CUT = """() => { const out = []; const walk = n => {
  if (n.nodeType !== 1 || n.tagName === 'THEAD' || getComputedStyle(n).display === 'none') return;
  if (getComputedStyle(n).overflowX === "auto" && n.querySelector("button")) return; // made to be pushed along
  if (['SELECT', 'BUTTON', 'TABLE', 'TD', 'TH', 'TEXTAREA', 'INPUT', 'LI', 'P'].includes(n.tagName)) {
    const r = n.getBoundingClientRect();
    if (r.width && (r.left < -1 || r.right > innerWidth + 1)) out.push(n.tagName + ' ' + n.textContent.slice(0, 40)) }
  for (const c of n.shadowRoot ? n.shadowRoot.children : []) walk(c);
  for (const c of n.children) walk(c) };
  walk(document.body); return out.concat(document.scrollingElement.scrollWidth > innerWidth ? ['the page'] : []) }"""


BLANK = """() => { const out = []; const walk = n => {
  if (n.nodeType !== 1 || getComputedStyle(n).display === 'none') return;
  if (n.tagName === 'SELECT' && !n.selectedOptions[0]?.textContent.trim()) out.push(n.parentElement.innerText);
  for (const c of n.shadowRoot ? n.shadowRoot.children : []) walk(c);
  for (const c of n.children) walk(c) };
  walk(document.body); return out }"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_column_is_changed_by_hand_on_a_phone(chromium, served, scheme):
    context = chromium.new_context(**PHONE, color_scheme=scheme)
    person = Person(context, served.address)
    person.open()
    open_pasting(person)
    paste(person, TABLE)
    says(person, "Read so far")
    says(person, "the total with roll?")
    says(person, "140, 138")
    choose(person, "Column", "4: Flown")
    role = person.page.get_by_label("Read it as", exact=True).first
    until(lambda: role.locator("option:checked").inner_text() == "not used", "the other column")
    choose(person, "Read it as", "carry")
    says(person, "131.5, 129")
    says(person, "chosen by you")
    choose(person, "It is", "Sand wedge")
    person.offline_ready()
    person.tap("Close")
    person.tap("How every line was read")
    says(person, "read as: Sand wedge")
    says(person, "an average, spread or other summary")
    assert person.page.evaluate(CUT) == []
    assert person.page.evaluate(BLANK) == []
    for number, words in enumerate(("Show how it is read", "Columns", "It is", "Add these balls")):
        there = (
            person.page.get_by_text(words).or_(person.page.get_by_label(words)).locator("visible=true").first
        )
        there.scroll_into_view_if_needed()
        person.page.evaluate("scrollBy(0, 300)")
        person.page.wait_for_timeout(200)
        person.shot(f"pasting-{scheme}-{number}")
    person.tap("Add these balls")
    says(person, "mean carry")
    paste(person, TABLE)
    says(person, "as you chose last time")
    says(person, "131.5, 129")
    context.close()
    assert person.faults == []
    assert person.outside == []


@pytest.mark.parametrize(
    ("encoding", "text"),
    [
        ("cp932", "選手,クラブ,キャリー(m)\nA,7番アイアン,131\nB,7番アイアン,158\n"),
        ("utf-16-le", "Player;Club;Carry (m)\nA;7 iron;131,0\nB;7 iron;158,0\n"),
        ("cp1252", "Spieler;Schläger;Carry (m)\nA;Eisen 7;131,0\nB;Eisen 7;158,0\n"),
    ],
)
def test_files_in_other_encodings_and_two_players(person, encoding, text):
    person.open()
    open_pasting(person)
    files = [{"name": "balls.csv", "mimeType": "text/csv", "buffer": text.encode(encoding)}]
    person.page.locator("input[type=file]").first.set_input_files(files)
    says(person, "There are several players")
    choose(person, "Whose balls", "B")
    says(person, "158")
    person.tap("Add these balls")
    says(person, "mean carry")
