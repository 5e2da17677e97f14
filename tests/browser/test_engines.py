"""The other engines, WebKitGTK and Firefox ESR: the main path, offline too, and a link opened cold."""

import time

import pytest
from conftest import SHOTS, command_line
from host import Host
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


@both
def test_what_is_typed_before_the_dashboard_is_there_arrives_once(visitor):
    host = Host()
    try:
        visitor.address = host.address
        visitor.driver.command("url", {"url": host.address})
        visitor.until("document.documentElement?.dataset.early === ''", 60)
        visitor.fill("Height", "178")
        visitor.fill("Wingspan", "181")
        visitor.tap("2")
        for club, carries in (("7i", (152, 148, 151)), ("9i", (120, 121))):
            hit(visitor, club, carries)
        assert "Entered: 120 m, 121 m" in " ".join(visitor.text().split())
        assert visitor.run("return document.documentElement.dataset.state") != "ready"
        host.go()
        visitor.ready()
        for club, count in (("9-iron", 2), ("7-iron", 3)):
            visitor.tap("9i" if count == 2 else "7i")
            told(visitor, f"Balls of the {club}: {count}")
        visitor.until("!Object.keys(localStorage).some((key) => key.startsWith('fettle-early'))", 60)
        visitor.reload()
        visitor.tap("1 Measure")
        stands(visitor, Height="178", Wingspan="181")
        visitor.tap("2 Hit")
        visitor.tap("9i")
        told(visitor, "Balls of the 9-iron: 2")
    finally:
        host.stop()


def told(visitor, words, seconds=60):
    end = time.time() + seconds
    while words not in " ".join(visitor.text().split()):
        assert time.time() < end, visitor.text()[:1500]
        time.sleep(0.2)


def stands(visitor, **fields):
    """The screen of a step is there before the last of its fields is filled."""
    end = time.time() + 20
    while (now := {name: visitor.value(name) for name in fields}) != fields:
        assert time.time() < end, now
        time.sleep(0.2)
