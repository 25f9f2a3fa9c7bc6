"""The fields of a form on a page, as a browser would send them."""

from __future__ import annotations

from html.parser import HTMLParser


def fields_of(html: str, form: str) -> dict[str, str]:
    """{name: value} of the form with that id; buttons are not pressed."""
    reader = _Reader(form)
    reader.feed(html)
    assert reader.found, f"there is no form {form}"
    return reader.fields


class _Reader(HTMLParser):
    def __init__(self, form: str) -> None:
        super().__init__()
        self.form, self.found, self.inside = form, False, False
        self.fields: dict[str, str] = {}
        self.select = self.area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = told.get("id") == self.form
            self.found |= self.inside
        if not self.inside:
            return
        name = told.get("name", "")
        if tag == "input" and (told.get("type") != "checkbox" or "checked" in told):
            self.fields[name] = told.get("value", "on" if told.get("type") == "checkbox" else "")
        elif tag == "select":
            self.select = name
        elif tag == "option" and (self.select not in self.fields or "selected" in told):
            self.fields[self.select] = told.get("value", "")
        elif tag == "textarea":
            self.area, self.fields[name] = name, ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = False
        elif tag == "textarea":
            self.area = ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.fields[self.area] += data
