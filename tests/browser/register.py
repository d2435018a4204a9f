"""A register that is open in a browser, as its tests work at it."""

from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import api

ELEMENTS = ("code", "space", "element_class", "position", "substrate", "description", "notes")
FIELDS = {
    "samples": (
        "number", "element", "part", "visit", "location", "purpose", "height_mm", "size_mm", "taken_on", "taken_by", "bag", "mount",
        "kept_at", "status", "base_state", "top_state",
    ),
    "elements": ELEMENTS,
    "spaces": ("number", "name", "storey", "kind", "notes"),
    "layers": ("name", "sample", "position", "kind", "completeness", "colour", "munsell"),
}  # fmt: skip


class Register:
    """A register that is open in a page."""

    def __init__(self, page: Page, code: str, name: str, query: str = "") -> None:
        self.page, self.code, self.name = page, code, name
        self.batches: list[Any] = []
        page.on("request", lambda one: self.batches.append(one.post_data_json) if one.url.endswith("/batch") else None)
        page.goto(f"/projects/{code}/registers/{name}{query}")
        expect(page.locator(".counts")).to_contain_text("rows.")

    def cell(self, row: int, field: str) -> Locator:
        at = FIELDS[self.name].index(field)
        return self.page.locator(f'.slick-row[data-row="{row}"] .slick-cell.l{at}')

    def go(self, row: int, field: str) -> None:
        self.cell(row, field).click()
        expect(self.cell(row, field)).to_be_focused()

    def type(self, row: int, field: str, text: str, key: str = "Enter") -> None:
        self.go(row, field)
        self.page.keyboard.type(text)
        self.page.keyboard.press(key)

    def paste(self, text: str) -> None:
        self.page.evaluate("text => navigator.clipboard.writeText(text)", text)
        self.page.keyboard.press("Control+v")

    def saved(self) -> None:
        # What was typed at this moment is counted when the page is next drawn.
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        expect(self.page.locator(".counts")).not_to_contain_text("unsaved")

    def rows(self) -> list[dict[str, Any]]:
        return api(self.page, "GET", f"projects/{self.code}/{self.name}/?page_size=1000")["results"]
