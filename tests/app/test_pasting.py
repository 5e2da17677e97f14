"""Pasting and opening files: every column shown and changed by hand, every line told of, choices remembered."""

import json
from dataclasses import replace

import pytest

from app import bridge, edits, sessions
from app.choices import Choices
from app.main import Page
from app.paste import understand, understand_file
from app.phrases.reading import FIELDS, FINDINGS, REASONS, finding, left_out, question
from app.phrases.sessions import day
from app.phrases.tally import launch_line, tally
from app.players import new_case
from app.screens.pasting import columns_words, lines_words
from app.state import State
from engine.documents.case import Shot
from engine.shots.columns import ROLES
from engine.shots.remarks import CODES, KEYS, Finding, LineLeftOut, Question
from engine.shots.remarks import REASONS as CLOSED
from engine.units import YARD
from tests.app.driver import Person, plain, with_balls

TWO_PLAYERS = "Player,Club,Carry (m)\nA,7i,131\nB,7i,158\nA,7i,133\n"


@pytest.fixture(autouse=True)
def clean_bridge():
    bridge.install(None)
    bridge.outbox.clear()
    return


def pasting(state=None):
    page = Page({})
    page.go("hit")
    part = page.here.pasting
    page.here.paste.toggle()
    return page, part


def press(part, label, root):
    button = next(b for b in root.select() if getattr(b, "label", "") == label and hasattr(b, "clicks"))
    button.clicks += 1


def choose(part, label, option):
    widget = next(w for w in part.view.select() if getattr(w, "label", "") == label and hasattr(w, "options"))
    assert "off" not in widget.css_classes, f"{label} is not shown"
    widget.value = widget.options[option]


def paste(part, text):
    part.text.value = text
    press(part, "Show how it is read", part.view)


def carries(page):
    return [(s.club, s.carry_m) for s in page.state.case.shots]


def test_a_column_changed_by_hand_is_read_anew_taken_in_and_remembered():
    page, part = pasting()
    paste(part, "Club,Carry (m),Second\n7i,140,131\n8i,130,121\n")
    assert [b.carry_m for b in part.preview.balls] == [140, 130]
    choose(part, "Column", "3: Second")
    choose(part, "Read it as", "carry")
    assert [b.carry_m for b in part.preview.balls] == [131, 121]
    assert [c.field for c in part.preview.columns] == ["club", None, "carry_m"]
    assert "chosen by you" in part.columns.object and "another column is the carry" in part.columns.object
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 131), ("8i", 121)]
    paste(part, "Club,Carry (m),Second\nPW,110,99\n")
    assert [b.carry_m for b in part.preview.balls] == [99]
    assert "as you chose last time" in part.asked.object
    paste(part, "Club,Carry (m),Third\nPW,110,99\n")
    assert [b.carry_m for b in part.preview.balls] == [110]  # another layout


def test_what_was_chosen_for_columns_is_kept_with_the_store():
    page, part = pasting()
    paste(part, "Club,Distance (m),Second\n7i,140,131\n")
    choose(part, "Column", "3: Second")
    choose(part, "Read it as", "carry")
    press(part, "Add these balls", part.view)
    doc = page.state.to_doc()
    assert list(doc["columns"].values()) == [{"columns": {"3": "carry_m"}}]
    assert "Second" not in json.dumps(doc["columns"])  # what people write in headings is not kept
    again = State(saved=json.dumps(doc))
    assert again.store.columns == doc["columns"]
    del doc["columns"]
    assert State(saved=json.dumps(doc)).store.columns == {}


@pytest.mark.parametrize(
    "columns",
    [None, [], "x", {"k": {}}, {"0" * 16: 3}, {"0" * 16: {"columns": {"x": 1, "2": ["carry_m"], "3": 5}}}],
)
def test_unsound_choices_are_left_out_of_a_stored_list(columns):
    doc = State().to_doc() | {"columns": columns}
    store = State(saved=json.dumps(doc)).store
    sound = isinstance(columns, dict) and isinstance(columns.get("0" * 16), dict)
    assert store.columns == ({"0" * 16: {"columns": {}}} if sound else {})


def test_the_oldest_layouts_are_forgotten():
    state = State()
    for number in range(60):
        state.remember_columns(f"{number:016x}", Choices(columns={1: "club"}).to_doc())
    assert len(state.store.columns) == 50
    assert f"{59:016x}" in state.store.columns and f"{9:016x}" not in state.store.columns


def test_several_players_are_never_merged():
    _, part = pasting()
    paste(part, TWO_PLAYERS)
    assert part.preview.balls == ()
    assert "several players" in part.asked.object
    choose(part, "Whose balls", "A")
    assert [b.carry_m for b in part.preview.balls] == [131, 133] and part.preview.asked == ()
    assert any("belongs to another player, B" in x.fate for x in part.preview.lines)


def test_several_days_are_chosen_from():
    _, part = pasting()
    paste(part, "Date,Club,Carry (m)\n2026-03-01,7i,131\n2026-05-02,7i,138\n")
    assert [b.carry_m for b in part.preview.balls] == [131, 138] and part.preview.asked == ()
    choose(part, "Which day", day("2026-05-02"))
    assert [b.carry_m for b in part.preview.balls] == [138]
    choose(part, "Which day", "all of them")
    assert [b.carry_m for b in part.preview.balls] == [131, 138]
    paste(part, "Session,Club,Carry (m)\nmorning,7i,131\nevening,7i,138\n")  # no days of the calendar
    assert part.preview.balls == () and "several days" in part.preview.asked[0]
    choose(part, "Which day", "evening")
    assert [b.carry_m for b in part.preview.balls] == [138]


def test_a_club_that_no_file_names_is_picked():
    _, part = pasting()
    paste(part, "Carry (m)\n131\n133\n")
    assert part.preview.balls == ()
    choose(part, "Hit with", "7-iron")
    assert [(b.club, b.carry_m) for b in part.preview.balls] == [("7i", 131), ("7i", 133)]


def test_unknown_names_and_clubs_outside_the_bag_are_picked():
    _, part = pasting()
    paste(part, "Old faithful 88 90\n1w2 5\n7i 131\n48 deg 105\n54 deg 92\n")
    before = [(b.club, b.carry_m) for b in part.preview.balls]
    choose(part, "Club in the text", "w54")
    choose(part, "It is", "Sand wedge")
    assert ("sw", 92) in [(b.club, b.carry_m) for b in part.preview.balls]
    choose(part, "Club in the text", "Old faithful")
    choose(part, "It is", "Lob wedge")
    assert [b.carry_m for b in part.preview.balls if b.club == "lw"] == [88, 90]
    choose(part, "It is", "9-iron")
    choose(part, "It is", "left out")
    assert len(part.preview.balls) == len(before) + 1


@pytest.mark.parametrize("text", ["7i 140 138\n", "Club,Carry (m)\n7i,140\n7i,138\n"])
def test_each_number_may_be_the_mean_of_several_balls(text):
    page, part = pasting()
    paste(part, text)
    choose(part, "Each number is", "the mean of 10 balls")
    press(part, "Add these balls", part.view)
    assert [(s.carry_m, s.balls) for s in page.state.case.shots] == [(140, 10), (138, 10)]


def test_counts_and_spreads_of_a_file_reach_the_case():
    seen = understand("Club,Shots,Carry (m),Carry SD\n7i,12,140,4.5\n", new_case(), "metric")
    ball = seen.balls[0]
    assert (ball.carry_m, ball.balls, ball.carry_sd_m) == (140, 12, 4.5)


def test_the_unit_that_no_text_gives_can_be_switched():
    _, part = pasting()
    paste(part, "7i 150\n")
    assert part.preview.balls[0].carry_m == 150
    assert "read as metres" in part.asked.object
    choose(part, "Carries are in", "yards")
    assert part.preview.balls[0].carry_m == pytest.approx(150 * YARD, abs=1e-3)


def test_commas_that_can_be_two_things_are_chosen():
    _, part = pasting()
    paste(part, "9i 98,95\n")
    assert part.preview.balls == ()
    choose(part, "Decimal mark", "the comma: 143,5")
    assert [b.carry_m for b in part.preview.balls] == [98.95]
    paste(part, "Club;Carry (m);Side (cm)\n7i;131;1.250\n")
    choose(part, "Its decimal mark", "the comma: 143,5")
    assert part.preview.balls[0].side_m == 12.5


def test_the_decimal_mark_shown_is_that_of_the_column_shown():
    person = Person(new_case()).go("Hit").open("Paste, or open a CSV file")
    text = "Club;Carry (m);Side (cm);Grip down (mm)\n7i;131;1.250;1.250\n"
    person.type("Balls as text", text)
    person.press("Show how it is read").choose("Column", "3: Side (cm)")
    open_mark = person.chosen("Its decimal mark")
    person.choose("Its decimal mark", "the comma: 143,5")
    assert person.chosen("Its decimal mark") == "the comma: 143,5"
    person.choose("Column", "4: Grip down (mm)")
    assert person.chosen("Its decimal mark") == open_mark
    person.choose("Column", "3: Side (cm)")
    assert person.chosen("Its decimal mark") == "the comma: 143,5"


def test_every_line_and_column_is_told_of():
    text = "Made up today\nClub,Carry (m),Smash\n7i,131,1.3\nAverage,131,1.3\nOld stick,90,1.2\n"
    seen = understand(text, new_case(), "metric")
    assert [(x.number, x.taken) for x in seen.lines] == [
        (1, False),
        (2, False),
        (3, True),
        (4, False),
        (5, False),
    ]
    assert seen.lines[1].fate == "says how to read the other lines"
    words = columns_words(seen)
    assert all(
        name in words
        for name in ("Club", "Carry (m)", "Smash", "carry, in m", "not used", "the heading says so")
    )
    assert "an average, spread or other summary" in lines_words(seen) and "read as: 7-iron" in lines_words(
        seen
    )


def test_text_of_a_file_is_never_markup():
    _, part = pasting()
    paste(part, 'Club,Carry (m),<img src=x onerror=alert(1)>\n7i,131,"<b>x"\n<script>,90,2\n')
    part.every.toggle()
    shown = "".join(str(pane.object) for pane in part.view.select() if hasattr(pane, "object"))
    assert "<img" not in shown and "<script" not in shown and "<b>x" not in shown
    assert "&lt;img" in shown


def test_launch_data_without_a_carry_is_taken_in_as_such():
    page, part = pasting()
    paste(part, "Club,Ball speed (mph),Launch angle,Spin\nDriver,140,13,2600\n")
    assert "ball speed, launch angle, spin" in part.seen.object
    press(part, "Add these balls", part.view)
    ball = page.state.case.shots[0]
    assert ball.carry_m is None and ball.spin_rpm == 2600


def test_everything_the_reader_may_say_has_words():
    assert set(FIELDS) == set(ROLES)
    assert {left_out(LineLeftOut(1, "x", code, "y")) for code in CLOSED} and set(FINDINGS) == set(CODES)
    assert left_out(LineLeftOut(1, "x", "label_alone", "y")) == "name for the lines below"
    assert set(REASONS) < set(CLOSED)
    for code in CODES:
        assert "{" not in finding(Finding(code, 1, "x", 2, "spin_rpm"))
    for key in KEYS:
        assert "{" not in question(Question(key, "m", about="spin_rpm", column=1))


def test_a_text_changed_after_its_preview_is_never_added_unseen():
    page, part = pasting()
    paste(part, "SW 80 yd")
    part.text.value = "SW 81 yd 82 yd"
    assert "off" in part.below.css_classes and part.preview.balls == ()
    press(part, "Add these balls", part.view)  # the click that ends the typing
    assert carries(page) == [] and part.text.value == "SW 81 yd 82 yd"
    assert "text has changed" in part.asked.object and len(part.preview.balls) == 2
    press(part, "Add these balls", part.view)
    assert [c for _, c in carries(page)] == pytest.approx([81 * YARD, 82 * YARD], abs=1e-3)


def opened(part, data, name):
    """A file as Panel gives it: an empty one has no value."""
    part.file.param.update(value=data or None, filename=name)


def test_an_empty_file_is_said_to_be_empty():
    page, part = pasting()
    opened(part, b"", "none.csv")
    assert "The file is empty" in part.seen.object
    opened(part, b"Club,Carry (m)\n7i,140\n", "good.csv")
    assert len(part.preview.balls) == 1 and "The file is empty" not in part.seen.object
    opened(part, b"", "empty.csv")
    assert "The file is empty" in part.seen.object and "off" in part.take.css_classes
    press(part, "Add these balls", part.view)
    assert carries(page) == [] and part.text.value == ""


def test_a_picture_is_said_once_not_to_be_a_table():
    _, part = pasting()
    opened(part, b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "photo.csv")
    assert part.preview.lines == () and part.preview.balls == ()
    assert "neither a table nor a text" in part.seen.object


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("7i 150 (mishit) 149", "marked as a mishit"),
        ("7i 149 90?", "question mark or a star"),
        ("7i gripped down 1 in 140", "hit gripped down"),
        ("7i 150 / 160", "may be carry and total"),
        ("9i,128\n,149", "1 line without a club takes the club above; the first is line 2"),
        ("Club,Carry (m)\n7i,140\n,149\n", "without a club takes the club above; the first is line 3"),
    ],
)
def test_what_may_be_no_full_ball_is_told_of(text, told):
    _, part = pasting()
    paste(part, text)
    assert told in part.seen.object


def test_a_carry_shows_the_decimal_that_was_written():
    _, part = pasting()
    paste(part, "7i 150,5 m 148 m 160 yd")
    assert "150.5, 148, 146" in part.seen.object


def test_a_club_outside_the_bag_is_called_by_its_name():
    case = new_case()
    told = " ".join(understand("4w 170 m\n2h 165 m\n", case, "metric").problems)
    assert "the 4-wood is not in the bag" in told and "the 2-hybrid is not in the bag" in told
    bridge.outbox.clear()
    _, part = pasting()
    paste(part, "7i 150 m")
    said = [m["text"] for kind, m in bridge.outbox if kind == "announce"]
    assert said[-1] == "1 ball understood"


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_carries_without_a_unit_among_others_wait_until_it_is_said(units):
    page, part = pasting()
    page.state.set_units(units)
    paste(part, "PW 100m 102m\n7i 150 152")
    assert [(b.club, b.carry_m) for b in part.preview.balls] == [("pw", 100.0), ("pw", 102.0)]
    assert any("others have none" in words for words in part.preview.asked)
    choose(part, "Carries are in", "yards")
    assert [b.carry_m for b in part.preview.balls] == pytest.approx([100, 102, 150 * YARD, 152 * YARD])


def test_lines_that_were_left_out_stay_in_the_box_when_the_others_are_added():
    page, part = pasting()
    paste(part, "7i 150 m\nPW, half swing 80 m\n9i 120 m")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 150.0), ("9i", 120.0)]
    assert part.text.value == "PW, half swing 80 m"
    assert "Left out:" in part.seen.object and "Line 1: not a full swing" in part.seen.object
    paste(part, "7i 151 m")
    press(part, "Add these balls", part.view)
    assert part.text.value == ""


def said_of(text):
    _, part = pasting()
    paste(part, text)
    return {(x.number, x.fate) for x in part.preview.lines}, part.preview.problems


@pytest.mark.parametrize("below", ["7i 150 151", "7i 150, 15O", "xx 120", "nothing here"])
def test_a_wrong_date_is_told_at_its_own_line(below):
    wrong = "\u201c31 Feb 2026\u201d does not exist; correct the date"
    lines, problems = said_of(f"31 Feb 2026\n{below}")
    assert (1, wrong) in lines and any(p.startswith(f"Line 1: {wrong}") for p in problems)
    lines, problems = said_of(f"31 Dec 2090\n{below}")
    assert (1, "31 Dec 2090 is in the future; correct the date") in lines
    lines, _ = said_of(f"Date: 31 Feb 2026\nclub,carry\n7i,{below.split()[1]}")
    assert (1, wrong) in lines


def test_a_sound_date_and_a_name_are_told_as_what_they_are():
    lines, _ = said_of("Player: A\n3 March 2026\n7i 150 151")
    assert {(1, "name for the lines below"), (2, "date for the lines below")} <= lines


def test_a_refused_line_with_two_balls_is_told_once():
    _, part = pasting()
    paste(part, "30.02.2026\n7i 150 151\n2.3.2026\n9i 120")
    assert [x.number for x in part.preview.lines] == [1, 2, 3, 4]
    press(part, "Add these balls", part.view)
    assert part.text.value == "30.02.2026\n7i 150 151\n2.3.2026"


def test_an_unknown_club_is_blamed_on_the_line_that_names_it():
    _, problems = said_of("7i 150\nxx 120\n118\n9i 110")
    assert any(p.startswith("Line 2: which club is \u201cxx\u201d?") for p in problems)
    assert any(p.startswith("Line 3: its club is not known, see line 2 ") for p in problems)
    page, part = pasting()
    page.state.change(lambda case: edits.add_size(case, "to the hip"), "named")
    paste(part, "xx 120\nto the hip 40")
    assert any(p.startswith("Line 2: its club is not known, see line 1 ") for p in part.preview.problems)


def test_a_date_that_can_be_two_days_is_asked_about_with_both():
    _, problems = said_of("03/04/2026\n7i 150\n05/04/2026\n7i 151")
    assert "Line 2: is 03/04/2026 the 3rd of April or the 4th of March? (\u201c7i 150\u201d)." in problems


def test_a_text_that_is_here_already_says_so_alone_and_the_box_can_be_emptied():
    _, part = pasting()
    text = "2 March 2026\n7i 150 151 152"
    paste(part, text)
    press(part, "Add these balls", part.view)
    paste(part, text)
    told = part.seen.object
    assert "All of these balls are here already." in told and "are added to" not in told
    press(part, "Discard", part.view)
    assert part.text.value == "" and "off" in part.below.css_classes


def test_what_was_added_is_told_where_the_button_was():
    page, part = pasting()
    paste(part, "2 March 2026\n7i 150 151 152\n9 March 2026\n7i 153\nxx 140")
    press(part, "Add these balls", part.view)
    told = plain(part.added_words.object).replace("\u00a0", " ")
    assert told == "4 balls added: 2 Mar, 9 Mar. What was left out stays in the box."
    assert "off" not in part.added_words.css_classes
    paste(part, "7i 155")
    assert "off" in part.added_words.css_classes
    press(part, "Add these balls", part.view)
    assert plain(part.added_words.object) == "1 ball added: today."
    page.undo.clicks += 1
    assert "off" in part.added_words.css_classes


BAD_ROWS = "club,carry (m)\n7i,150\n7i,15O\nxx,120\nAverage,140\nPW,110\n"


def test_rows_of_a_table_that_were_not_taken_stay_under_their_headings_with_why():
    page, part = pasting()
    paste(part, BAD_ROWS)
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 150.0), ("pw", 110.0)]
    assert part.text.value.split("\n") == ["club,carry (m)", "7i,15O", "xx,120"]
    told = part.seen.object.replace("\u00a0", " ")
    assert "Line 2: \u201c15O\u201d is not a carry" in told and "which club is \u201cxx\u201d?" in told
    paste(part, part.text.value.replace("15O", "150").replace("xx", "9i"))
    press(part, "Add these balls", part.view)
    assert carries(page)[2:] == [("7i", 150.0), ("9i", 120.0)]
    assert part.text.value == ""  # an average is no ball that anybody misses


def test_a_table_of_which_every_ball_went_in_leaves_nothing():
    page, part = pasting()
    paste(part, "Session of Tuesday\nclub,carry\n,m\n7i,150\nAverage,150\n")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 150.0)] and part.text.value == ""


def test_rows_that_were_left_out_on_purpose_do_not_stay():
    page, part = pasting()
    paste(part, "club,carry (m)\n7i,150\n4w,170\n")
    choose(part, "It is", "9-iron")
    choose(part, "It is", "left out")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 150.0)] and part.text.value == ""


def named(page, name):
    assert page.state.change(lambda c: replace(c, player=replace(c.player, label=name)), "name")


def test_balls_of_another_player_stay_but_are_not_taken_for_this_one():
    page, part = pasting()
    paste(part, "Player,Club,Carry (m)\nA,7i,131\nB,7i,158\nA,7i,13O\nB,9i,120\n")
    choose(part, "Whose balls", "A")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 131.0)]
    assert part.text.value == "Player,Club,Carry (m)\nB,7i,158\nA,7i,13O\nB,9i,120"
    press(part, "Show how it is read", part.view)
    assert part.preview.balls == () and "hit by B, not by A" in part.asked.object


def test_balls_of_another_day_stay():
    _, part = pasting()
    paste(part, "Date,Club,Carry (m)\n2026-03-01,7i,131\n2026-05-02,7i,138\n")
    choose(part, "Which day", day("2026-05-02"))
    press(part, "Add these balls", part.view)
    assert part.text.value == "Date,Club,Carry (m)\n2026-03-01,7i,131"


def test_of_several_players_the_one_who_is_open_is_chosen():
    page, part = pasting()
    named(page, "Bert Sample")
    paste(part, "Player,Club,Carry (m)\nbert  sample,7i,131\nCarla Probe,7i,158\n")
    assert [b.carry_m for b in part.preview.balls] == [131] and part.preview.asked == ()
    press(part, "Add these balls", part.view)
    press(part, "Show how it is read", part.view)
    assert part.preview.balls == () and "hit by Carla Probe, not by Bert Sample" in part.asked.object


@pytest.mark.parametrize(
    "head", ["Player,Club,Carry (m)\nCarla Probe,7i,158\n", "Player: Carla Probe\n7i 158m"]
)
def test_balls_of_another_player_than_the_open_one_are_asked_about(head):
    page, part = pasting()
    named(page, "Bert Sample")
    paste(part, head)
    assert part.preview.balls == () and "hit by Carla Probe, not by Bert Sample" in part.asked.object
    choose(part, "Whose balls", "Carla Probe")
    assert [b.carry_m for b in part.preview.balls] == [158] and part.preview.asked == ()


def test_after_balls_of_another_player_those_of_the_open_one_are_meant_again():
    page, part = pasting()
    named(page, "Bert Sample")
    paste(part, "Player,Club,Carry (m)\nDan,7i,131\nCarla Probe,7i,158\nBert Sample,7i,140\n")
    choose(part, "Whose balls", "Dan")
    press(part, "Add these balls", part.view)
    press(part, "Show how it is read", part.view)
    assert [b.carry_m for b in part.preview.balls] == [140]


def test_to_another_player_nothing_is_said_of_the_last_ones_balls_and_his_text_is_read_anew():
    page, part = pasting()
    named(page, "Bert Sample")
    bert = page.state.store.open
    paste(part, "Player,Club,Carry (m)\nBert Sample,7i,131\nCarla Probe,7i,158\n")
    press(part, "Add these balls", part.view)
    assert "off" not in part.added_words.css_classes
    page.state.add_player(new_case())
    named(page, "Carla Probe")
    assert "off" in part.added_words.css_classes
    assert [b.carry_m for b in part.preview.balls] == [158]
    page.state.open_player(bert)
    assert part.preview.balls == ()


def test_words_that_may_be_notes_are_no_other_player():
    page, part = pasting()
    named(page, "Bert Sample")
    paste(part, "warm up: 7i 140m 142m")
    assert len(part.preview.balls) == 2


def test_what_can_be_read_only_without_the_rest_is_not_offered_unasked():
    """Each line of these may be one thing beside the others and another by itself."""
    page, part = pasting()
    paste(part, "PW 100m 102m\n7i 150 152")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("pw", 100.0), ("pw", 102.0)] and part.text.value == "7i 150 152"
    assert "off" in part.take.css_classes and "150" not in part.seen.object
    press(part, "Show how it is read", part.view)
    assert "off" not in part.take.css_classes and "150" in part.seen.object


def test_undo_of_a_paste_brings_the_text_back_as_it_was_read():
    page, part = pasting()
    paste(part, "PW 120 121\n7i 150 152")
    choose(part, "Carries are in", "yards")
    press(part, "Add these balls", part.view)
    assert len(page.state.case.shots) == 4 and part.text.value == ""
    page.undo.clicks += 1
    assert not page.state.case.shots and part.text.value == "PW 120 121\n7i 150 152"
    press(part, "Add these balls", part.view)
    assert carries(page)[0] == ("pw", pytest.approx(120 * YARD))


def test_undo_of_a_paste_with_bad_rows_brings_back_the_whole_text_once():
    page, part = pasting()
    paste(part, BAD_ROWS)
    press(part, "Add these balls", part.view)
    page.undo.clicks += 1
    assert part.text.value == BAD_ROWS and not page.state.case.shots


def test_what_was_typed_since_stays_below_the_text_that_undo_brings_back():
    page, part = pasting()
    paste(part, "7i 150 m")
    press(part, "Add these balls", part.view)
    part.text.value = "9i 131 m"
    page.undo.clicks += 1
    assert part.text.value == "7i 150 m\n9i 131 m" and not page.state.case.shots


def test_undo_of_something_else_leaves_the_box_alone():
    page, part = pasting()
    paste(part, "7i 150 m")
    press(part, "Add these balls", part.view)
    page.here._take("151")
    page.undo.clicks += 1
    assert part.text.value == "" and carries(page) == [("7i", 150.0)]


def test_swings_of_unknown_names_wait_for_an_answer():
    page, part = pasting()
    paste(part, "Club,Swing,Carry (m)\n7i,to the knee,81\n7i,to the chest,110\n7i,full,140\n")
    assert [b.carry_m for b in part.preview.balls] == [140]
    asked = "What are \u201cto the knee\u201d and \u201cto the chest\u201d: full swings, or part swings to be named"
    assert asked in part.asked.object
    assert any("waits until you say whether it was a full swing" in line for line in part.preview.problems)
    choose(part, "These swings are", "part swings, to be named first")
    assert [b.carry_m for b in part.preview.balls] == [140] and asked not in part.asked.object
    assert any("once the swing has a name under Hit" in line for line in part.preview.problems)
    choose(part, "These swings are", "full swings")
    press(part, "Add these balls", part.view)
    assert carries(page) == [("7i", 81), ("7i", 110), ("7i", 140)]
    paste(part, "7i to the knee 80\n")
    assert "What is \u201cknee\u201d: a full swing, or a part swing to be named" in part.asked.object
    assert not part.preview.balls


def test_the_day_within_a_line_is_shown_and_is_the_day_of_its_balls():
    person = Person().go("Hit").open("Paste, or open a CSV file")
    person.type("Balls as text", "7i 152 155 153 (14 Apr 2026)\n9i 120\n2026-05-03 8i 140").press(
        "Show how it is read"
    )
    person.open("How every line was read")
    for line in ("7-iron, 3 balls, of 14 Apr 2026", "9-iron, of 14 Apr 2026", "8-iron, of 3 May 2026"):
        assert line in person.text()
    person.press("Add these balls")
    days = {one.id: one.date for one in person.case.sessions}
    assert [days[s.session] for s in person.case.shots] == ["2026-04-14"] * 4 + ["2026-05-03"]


def test_a_file_of_players_is_sent_on_and_one_of_balls_too():
    page, _ = pasting()
    half = State().share_all()
    _, found = understand_file(json.dumps(half)[:300].encode(), page.state.case, "metric")
    assert found.problems == ("This is a file of players: open it under Players.",)
    assert "opened under Hit" in page.state.take_file("club,carry (m)\n7i,150\n")
    assert "neither players nor balls" in page.state.take_file("\x89PNG\x00\x01\ufffd\ufffd")


def test_what_is_remembered_of_a_file_is_said_as_it_is():
    _, part = pasting()
    text = "Date,Club,Carry (m)\n03/04/2026,7i,{}\n"
    for carry in (131, 138):
        paste(part, text.format(carry))
        if carry == 131:
            choose(part, "Its dates begin with", "the day")
            press(part, "Add these balls", part.view)
    assert "Days and numbers are read as you chose last time." in part.asked.object


def test_the_last_ball_is_told_as_it_was_typed_and_no_side_has_no_way():
    case = with_balls(new_case(), (Shot("7i", 138.5, side_m=0.2), Shot("7i", 138.5, side_m=0.0)))
    assert "last 138.5\u00a0m" in tally(sessions.add(case, [Shot("7i", 138.5)]), "7i", 0.0, "metric")
    assert "side 0\u00a0m (2)" in launch_line(case, "7i", "metric").replace(" m", "\u00a0m")
