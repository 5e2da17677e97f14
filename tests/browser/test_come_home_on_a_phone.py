"""A coach and a student, each in a browser of their own, send a player to and fro: both end with the same balls."""

import json

from test_address import device, leave, named, store_of
from walk import go, until

from engine.documents.case import Shot
from tests.app.driver import with_balls

SHARED = "document.documentElement.dataset.shared"


def send(tab) -> str:
    """The link's fragment, by the button and the phone's own sheet for sharing."""
    go(tab, "players")
    tab.page.evaluate(
        f"() => {{ delete {SHARED}; navigator.share = (what) => {{ {SHARED} = what.url; return Promise.resolve() }} }}"
    )
    tab.tap("Share the link")
    tab.until(f"!!{SHARED}")
    leave(tab)
    return "#" + tab.page.evaluate(SHARED).partition("#")[2]


def add(tab, *carries):
    go(tab, "hit")
    field = tab.page.get_by_label("Carry").first
    for carry in carries:
        field.fill(str(carry))
        field.press("Enter")
        until(lambda: field.input_value() == "", "the ball to be taken")
    leave(tab)


def take_in(tab, fragment, said):
    tab.page.evaluate("made => { location.hash = made }", fragment)
    button = tab.page.get_by_role("button", name="Add to mine")
    until(button.is_visible, "the question")
    assert said in tab.text().replace("\xa0", " ")
    return button


def balls(stored) -> dict[str, float]:
    [player] = [p for p in json.loads(stored()[0])["players"] if p["case"]["player"]["label"] == "Anna"]
    return {shot["id"]: shot["carry_m"] for shot in player["case"]["shots"]}


def test_a_player_goes_to_and_fro_and_both_end_with_the_same_balls(chromium, served):
    anna = with_balls(named("Anna"), (Shot("7i", carry_m=139.0), Shot("9i", carry_m=118.0)))
    with device(chromium, served) as (coachs, kept), device(chromium, served) as (students, there):
        kept(store_of(anna))
        coach = coachs()
        first = send(coach)
        student = students(first)
        leave(student)
        assert balls(there) == balls(kept) and len(balls(kept)) == 2
        add(student, 120, 121, 122)
        back = send(student)
        add(coach, 150)
        button = take_in(coach, back, "has come back with 3 new balls from another device")
        for name in ("Add to mine", "Keep apart", "Look first"):
            box = coach.page.get_by_role("button", name=name).bounding_box()
            assert box["height"] >= 44 and box["x"] >= 0 and box["x"] + box["width"] <= 390
        coach.tap("Look first")
        until(coach.page.get_by_text("New balls (3)").first.is_visible, "the balls side by side")
        assert coach.page.evaluate("document.documentElement.scrollWidth") <= 390
        coach.shot("come-home-phone")
        button.tap()
        until(lambda: not button.is_visible(), "the balls to be added")
        leave(coach)
        assert sorted(balls(kept).values()) == [118, 120, 121, 122, 139, 150]
        # both again, and both changed meanwhile
        again = send(coach)
        add(coach, 151)
        add(student, 123)
        for fragment in (again, send(coach)):
            button = take_in(student, fragment, "was sent to you again with")
            button.tap()
            until(lambda button=button: not button.is_visible(), "the balls to be added")
            leave(student)
        button = take_in(coach, send(student), "has come back with 1 new ball from another device")
        button.tap()
        until(lambda: not button.is_visible(), "the balls to be added")
        leave(coach)
        assert balls(kept) == balls(there)
        assert sorted(balls(kept).values()) == [118, 120, 121, 122, 123, 139, 150, 151]
        coach.page.reload()  # nothing is asked again
        coach.ready()
        assert not coach.page.get_by_role("button", name="Add to mine").is_visible()
