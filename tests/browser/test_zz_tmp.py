import sys

sys.path.insert(0, "/tmp")
from test_address import device, store_of
from try_case import c
from walk import clipped, go, open_fold, overflow, settle, small_targets

from app import edits
from app.players import new_case


def test_look(chromium, served):
    others = [edits.player("label")(new_case(), f"Player {n:03d}") for n in range(60)]
    with device(chromium, served) as (tab, kept):
        kept(store_of(*others, c))
        t = tab()
        go(t, "players")
        settle(t)
        t.shot("p-list")
        open_fold(t, "Then and now")
        settle(t)
        open_fold(t, "Job record")
        settle(t)
        print("OVER", overflow(t), small_targets(t), clipped(t))
        t.page.screenshot(path="/wt/players19/.cache/screenshots/p-full.png", full_page=True)
        t.page.evaluate("document.documentElement.dataset.theme='dark'")
        el = t.page.get_by_role("button", name="Then and now").first
        el.evaluate("e=>e.scrollIntoView()")
        settle(t)
        t.shot("p-dark")
