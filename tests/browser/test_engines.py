"""The other engines: the main path, offline too, in WebKitGTK; a whole start in Firefox, which has yet to walk the path."""

import pytest
from conftest import SHOTS
from webdriver import Firefox, Visitor, WebKit

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


@pytest.mark.parametrize("visitor", [WebKit], ids=["webkit"], indirect=True)
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


@pytest.mark.parametrize("visitor", [Firefox], ids=["firefox"], indirect=True)
def test_it_starts_answers_and_stores_itself(visitor):
    visitor.open()
    visitor.fill("Height", "178")
    visitor.until("location.hash.startsWith('#v1.')", 30)
    visitor.tap("2 Hit")
    visitor.until("document.documentElement.dataset.offline === 'ready'", 90)
