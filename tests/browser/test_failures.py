"""What a person meets when something is missing: a clear end, their data, and a way on."""

import shutil

from conftest import PHONE, SITE, Person, Served


def copy_of_site(tmp_path, *, under=""):
    target = tmp_path / "host" / under
    shutil.copytree(SITE, target, dirs_exist_ok=True)
    return tmp_path / "host", target


def test_a_missing_runtime_file_ends_in_the_failure_screen(chromium, tmp_path):
    host, site = copy_of_site(tmp_path)
    (site / "runtime" / "boot.tar.zst").unlink()
    served = Served(host)
    context = chromium.new_context(**PHONE)
    person = Person(context, served.address)
    person.page.goto(served.address + "?start=plain")
    person.until("!document.getElementById('failure').hidden", 60)
    text = person.page.inner_text("#failure")
    assert "boot.tar.zst" in text
    assert person.page.locator("#failure button").count() >= 2
    person.shot("failure-phone")
    context.close()
    served.stop()


def test_runs_under_any_folder_of_a_host(chromium, tmp_path):
    host, _ = copy_of_site(tmp_path, under="clubs/fettle")
    served = Served(host)
    context = chromium.new_context(**PHONE)
    person = Person(context, served.address)
    person.page.goto(served.address + "clubs/fettle/")
    person.ready()
    person.offline_ready()
    served.stop()
    person.page.reload()
    person.ready()
    assert person.faults == [] and person.outside == []
    context.close()
