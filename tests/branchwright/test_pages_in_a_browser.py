"""Pages as people meet them: audited for accessibility, on a phone, without scripts, on paper.

The audit is that of axe-core, whose rules follow WCAG 2.2 (A and AA) and good practice.
"""

import re
import shutil
import subprocess

import pytest
from axe_playwright_python.sync_playwright import Axe
from click.testing import CliRunner

from branchwright.cli import cli
from branchwright.page import page_html
from branchwright.sheet_set import PAGE, sheet_set
from models.plan import Plan
from models.plan_file import read_plan
from tests.branchwright.browser import DESKTOP, PHONE, browsing, opened
from tests.branchwright.conftest import HOSTILE

MARK = "0123456789abcdef" * 4
GRAVE = ("serious", "critical")
NAMES = (
    "set", "set, violated", "set with days", "plan", "plan, violated", "plan with days",
    "changeover", "compare", "compare variants", "futures",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser():
    with browsing() as found:
        yield found


def set_page_of(plan: Plan) -> str:
    (sheet,) = sheet_set(plan, MARK, [PAGE])
    assert isinstance(sheet.content, str)
    return sheet.content


def grave_ones(found) -> dict[str, str]:
    """Of each serious or critical finding of an audit: its rule, and the first part of the page."""
    return {
        one["id"]: one["nodes"][0]["html"] for one in found["violations"] if one["impact"] in GRAVE
    }


@pytest.fixture
def pages(request, tmp_path, violated):
    """A function that writes one of the pages, by its name."""
    plans = request.config.rootpath / "tests" / "plans"

    def command(*arguments):
        done = CliRunner().invoke(cli, [*map(str, arguments), "--page", str(tmp_path / "p.html")])
        assert done.exit_code == 0, done.output
        return (tmp_path / "p.html").read_text("utf-8")

    made = {
        "set": lambda: set_page_of(read_plan(plans / "one_bay_garage")),
        "set, violated": lambda: set_page_of(violated),
        "plan": lambda: page_html(read_plan(plans / "one_bay_garage"), MARK),
        "plan, violated": lambda: page_html(violated, MARK),
        "set with days": lambda: set_page_of(read_plan(plans / "two_changeovers")),
        "plan with days": lambda: page_html(read_plan(plans / "two_changeovers"), MARK),
        "futures": lambda: command("futures", plans / "two_changeovers"),
        "compare variants": lambda: command(
            "compare", plans.parent / "shops" / "four_box.yaml", "--with", "code.edition=2020"
        ),
        "changeover": lambda: command("changeover", plans / "two_changeovers", "M1"),
        "compare": lambda: command("compare", plans / "four_box", plans / "two_changeovers"),
    }

    def write(name):
        file = tmp_path / "page.html"
        file.write_text(made[name](), "utf-8")
        return file

    return write


@pytest.mark.parametrize("name", NAMES)
def test_the_audit_finds_nothing_grave_and_a_phone_holds_the_page(name, browser, pages):
    """On a phone only drawings and tables may be moved sideways, within themselves."""
    with opened(browser, pages(name)) as page:
        for width, height in (DESKTOP, PHONE):
            page.set_viewport_size({"width": width, "height": height})
            found = Axe().run(page).response
            assert len(found["passes"]) > 20
            assert grave_ones(found) == {}
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]
        small = page.evaluate(
            "[...document.querySelectorAll('p, td, dd, li, h2')].map(one => "
            "parseFloat(getComputedStyle(one).fontSize)).filter(size => size < 11.5)"
        )
        assert small == []


def test_the_audit_sees_what_it_looks_for(browser, tmp_path):
    """Pale words, a picture without a text, a link without words."""
    file = tmp_path / "page.html"
    file.write_text(
        '<html lang="en"><title>x</title><main><p style="color:#bbb">pale</p>'
        '<svg role="img" width="9" height="9"></svg><a href="#x"></a></main></html>'
    )
    with opened(browser, file) as page:
        found = Axe().run(page).response
    assert {"color-contrast", "svg-img-alt", "link-name"} <= grave_ones(found).keys()


def test_a_click_leads_from_the_drawing_to_the_row_and_back(browser, pages):
    """Without scripts: box W3 and circuit C4 of the garage; anchors by what they lead to."""
    with opened(browser, pages("set"), scripts=False) as page:
        plan, boxes = page.locator("#floor_plan"), page.locator("#box_schedule")
        plan.locator("a:not([aria-hidden])", has_text="W3").first.click()
        row = boxes.locator("tr:target")
        assert row.locator("td").first.inner_text() == "W3"
        row.get_by_role("link", name="W3").first.click()
        assert plan.locator("a:target").inner_html().count(">W3<") == 1
        page.locator("#one_line").locator("a", has_text="Receptacles O1").click()
        directory = page.locator("#circuit_directory").locator("tr:target")
        directory.get_by_role("link", name="C4", exact=True).click()
        assert page.locator("section:target").locator("h2").text_content() == "Circuit C4"
        page.go_back()
        directory.get_by_role("link", name="card of C4").click()
        page.locator("a:target").click()
        assert directory.get_by_role("link", name="C4", exact=True).count() == 1


def test_every_link_leads_somewhere(browser, pages):
    with opened(browser, pages("set")) as page:
        lost = page.evaluate(
            "[...document.querySelectorAll('a, use')].map(a => a.getAttribute('href'))"
            ".filter(to => !document.getElementById(to.slice(1)))"
        )
        twice = page.evaluate(
            "(ids => ids.filter((id, n) => ids.indexOf(id) < n))"
            "([...document.querySelectorAll('[id]')].map(one => one.id))"
        )
    assert lost == twice == []


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext: install poppler-utils")
def test_do_not_build_lies_across_every_printed_page(browser, pages, tmp_path):
    with opened(browser, pages("set, violated")) as page:
        page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
    told = subprocess.run(
        ["pdftotext", "-raw", tmp_path / "page.pdf", "-"],
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    printed = told.split("\f")[:-1]
    assert len(printed) > 15
    for number, text in enumerate(printed, start=1):
        assert "DO NOT BUILD" in text, number


def test_hostile_names_run_nothing_and_lose_nothing(browser, renamed, tmp_path):
    file = tmp_path / "page.html"
    for name in HOSTILE:
        file.write_text(set_page_of(renamed(name)), "utf-8")
        with opened(browser, file) as page:
            page.on("dialog", lambda dialog: pytest.fail(dialog.message))
            assert page.locator("script, iframe, img").count() == 0
            shown = page.locator("h1").inner_text()
            wanted = re.sub(r"[^\w<>&'\"=!|\[\]/]", "", name[:40])
            assert re.sub(r"[^\w<>&'\"=!|\[\]/]", "", shown).startswith(wanted.strip("\ud800"))
