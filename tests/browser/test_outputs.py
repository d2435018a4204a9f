"""Papers asked for in the browser: from the form to the downloaded file, and who is offered what."""

import io
import zipfile
from pathlib import Path

import pypdf
import pypdfium2
import zxingcpp
from playwright.sync_api import Page, expect

from tests.browser.conftest import api


def opened(page: Page, code: str, what: str) -> None:
    page.goto(f"/projects/{code}/outputs")
    page.locator("summary", has_text=what).click()


def test_labels_are_printed_from_the_form_and_their_codes_lead_to_the_samples_here(as_):
    page = as_("owner")
    opened(page, "HALL", "Labels")
    page.get_by_label("Sheet of labels").select_option("measures of my own")
    page.get_by_label("Labels side by side").fill("two")
    page.get_by_role("button", name="Print labels").click()
    expect(page.get_by_text("Write a whole number, as in 3.")).to_be_visible()
    expect(page.get_by_label("Labels side by side")).to_be_focused()
    page.get_by_label("Sheet of labels").select_option("A4, 3 × 7 of 63.5 × 38.1 mm")
    expect(page.get_by_label("Labels side by side")).to_be_hidden()
    page.get_by_role("button", name="Print labels").click()
    job = page.get_by_role("listitem").filter(has_text="Labels").first
    expect(job.get_by_text("labels on 1 page.")).to_be_visible(timeout=30_000)
    with page.expect_download() as download:
        job.get_by_role("link", name="Download HALL labels for bags.pdf").click()
    printed = pypdfium2.PdfDocument(Path(download.value.path()).read_bytes())[0].render(scale=300 / 72).to_pil()
    links = sorted(one.text for one in zxingcpp.read_barcodes(printed))
    assert links
    page.goto(links[0])
    expect(page.get_by_role("heading", level=1)).to_contain_text(links[0].rpartition("/")[2])


def test_a_chart_and_the_registers_are_asked_for_where_all_papers_are(as_):
    page = as_("owner")
    opened(page, "HALL", "A generation chart")
    form = page.locator("details", has_text="A generation chart")
    page.get_by_role("button", name="Draw the chart").click()
    expect(form.get_by_text("Choose a space.")).to_be_visible()
    form.get_by_label("Space").select_option("101")
    form.get_by_label("As").select_option("svg")
    expect(form.get_by_label("Paper")).to_be_hidden()
    page.get_by_role("button", name="Draw the chart").click()
    expect(page.get_by_role("link", name="Download HALL generations 101.svg")).to_be_visible(timeout=30_000)
    page.locator("summary", has_text="The registers as a workbook").click()
    page.get_by_role("button", name="Export the registers").click()
    expect(page.get_by_role("link", name="Download HALL registers.xlsx")).to_be_visible(timeout=30_000)


def test_a_refusal_of_the_service_is_shown_at_the_form(as_):
    page = as_("owner")
    opened(page, "HALL", "Labels")
    page.get_by_label("Sheet of labels").select_option("measures of my own")
    page.get_by_label("Labels side by side").fill("9")
    page.get_by_role("button", name="Print labels").click()
    # By hand: 7.25 + 9 × 63.5 + 8 × 2.5 = 598.75 mm.
    expect(page.get_by_role("alert")).to_contain_text("need a page 598.75 mm wide, and the page is 210 mm wide")


def test_owner_gets_the_chapter_and_is_not_offered_the_archive(as_):
    page = as_("owner")
    opened(page, "HALL", "The paint chapter")
    expect(page.locator("summary", has_text="The whole project as one file")).to_have_count(0)
    page.get_by_role("button", name="Write the chapter").click()
    job = page.get_by_role("listitem").filter(has_text="Paint chapter").first
    with page.expect_download(timeout=60_000) as download:
        job.get_by_role("link", name="Download HALL paint chapter.pdf").click(timeout=60_000)
    text = pypdf.PdfReader(io.BytesIO(Path(download.value.path()).read_bytes())).pages[0].extract_text()
    assert "Contents" in text
    expect(job.get_by_role("link", name="Download HALL paint chapter.docx")).to_be_visible()


def test_a_project_goes_into_one_file_and_comes_back_as_another(as_, new_project):
    page = as_("coordinator")
    opened(page, "HALL", "The whole project as one file")
    page.get_by_role("button", name="Make the archive").click()
    job = page.get_by_role("listitem").filter(has_text="Archive of the project").first
    with page.expect_download(timeout=60_000) as download:
        job.get_by_role("link", name="Download HALL archive.zip").click(timeout=60_000)
    content = Path(download.value.path()).read_bytes()
    assert "manifest.json" in zipfile.ZipFile(io.BytesIO(content)).namelist()
    there = new_project("BACK1")
    opened(there, "BACK1", "Bring an archive into this project")
    there.get_by_label("Archive (.zip)").set_input_files({"name": "hall.zip", "mimeType": "application/zip", "buffer": content})
    expect(there.locator(".now", has_text="of HALL were brought")).to_be_visible(timeout=60_000)
    layers = [len(api(there, "GET", f"projects/{code}/layers/")["results"]) for code in ("HALL", "BACK1")]
    assert layers[0] == layers[1] > 0
    there.goto("/projects/BACK1/outputs")
    expect(there.locator("summary", has_text="Bring an archive")).to_have_count(0)
