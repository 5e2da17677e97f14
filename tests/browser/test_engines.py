"""The other engines, WebKitGTK and Firefox ESR: the main path, offline too, and a link opened cold."""

import pytest
from conftest import SHOTS, command_line
from webdriver import Firefox, Visitor, WebKit

from app import link
from app.demo import demo_case

pytestmark = pytest.mark.timeout(600)  # loading takes long when other tests run beside


@pytest.fixture
def visitor(request, tmp_path, served):
    """Someone new; the test fails if the page erred, broke its policy or asked for anything outside the site."""
    if request.param.missing:
        pytest.skip(request.param.missing)
    someone = Visitor(request.param, tmp_path / "home", served.address)
    yield someone
    try:
        someone.watch()
        someone.shot(SHOTS / f"{request.node.name}.png")
    finally:
        someone.driver.end()
    assert someone.faults == []


def hit(visitor, club, carries):
    visitor.tap(club)
    for carry in carries:
        for key in str(carry):
            visitor.tap(key)
        visitor.tap("Add ball")


both = pytest.mark.parametrize("visitor", [WebKit, Firefox], ids=["webkit", "firefox"], indirect=True)


@both
def test_first_visit_enter_a_case_and_go_on_without_the_network(visitor, served):
    visitor.open()
    visitor.fill("Height", "178")
    visitor.fill("Wingspan", "181")
    visitor.until("location.hash.startsWith('#v1.')", 20)
    visitor.tap("2 Hit")
    for club, carries in (("7i", (138, 141, 136)), ("9i", (117, 115))):
        hit(visitor, club, carries)
    visitor.tap("3 Lay out")
    before = visitor.settled()
    assert len(before) >= 2
    text = visitor.text().lower()
    assert "stepped" in text and "single" in text
    visitor.until("document.documentElement.dataset.offline === 'ready'", 90)
    served.stop()
    visitor.reload()
    visitor.tap("3 Lay out")
    assert visitor.settled() == before
    visitor.shot(SHOTS / f"offline-{visitor.driver.name}.png")


@both
def test_a_link_opened_cold_shows_the_numbers_of_the_command_line(visitor):
    made = link.make(demo_case())
    visitor.open(made.hash)
    visitor.tap("3 Lay out")
    drawn = visitor.settled()
    layouts = command_line(link.read(made.hash).case)["layouts"]
    wanted = [{c["id"]: c["carry_m"]["mean"] for c in layout["clubs"]} for layout in layouts]
    assert len(drawn) >= len(wanted)
    for columns, carries in zip(drawn, wanted, strict=False):
        for club, mean in zip(columns["club"], columns["mean"], strict=True):
            assert mean == pytest.approx(carries[club], abs=0.1)
