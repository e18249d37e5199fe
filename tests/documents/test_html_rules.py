"""What a screen reader and PDF/UA need of every document's HTML."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from html.parser import HTMLParser

import pytest

from sopc.documents.binder import binder_documents, blank_backs
from sopc.documents.binder_document import BinderDocument
from sopc.model.nouns import Office

TODAY = date(2026, 11, 25)
VOID = {"meta", "col", "br", "img", "link", "hr", "input"}


@dataclass
class Linter(HTMLParser):
    """Collects what breaks a rule of accessible HTML."""

    faults: list[str] = field(default_factory=list)
    open_tags: list[str] = field(default_factory=list)
    ids: set[str] = field(default_factory=set)
    level: int = 0
    title: str = ""

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "html" and not given.get("lang"):
            self.faults.append("html without lang")
        if tag == "img" and not given.get("alt"):
            self.faults.append("img without alt")
        if tag == "th" and given.get("scope") not in ("col", "row"):
            self.faults.append("th without scope")
        if tag == "table" and "running" not in (given.get("class") or ""):
            self.faults += [] if given.get("class") else ["table without a class"]
        if "id" in given:
            self.faults += [f"id {given['id']} twice"] if given["id"] in self.ids else []
            self.ids.add(given["id"] or "")
        if tag in ("h1", "h2", "h3", "h4"):
            level = int(tag[1])
            if level > self.level + 1:
                self.faults.append(f"{tag} after h{self.level}")
            self.level = level
        if tag not in VOID:
            self.open_tags.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        return

    def handle_endtag(self, tag: str) -> None:
        if not self.open_tags or self.open_tags.pop() != tag:
            self.faults.append(f"stray </{tag}>")

    def handle_data(self, data: str) -> None:
        if self.open_tags[-1:] == ["title"] and "svg" not in self.open_tags:
            self.title += data


def faults_of(html: str) -> list[str]:
    linter = Linter()
    linter.feed(html)
    linter.close()
    return (
        linter.faults
        + ([] if linter.title.strip() else ["no title"])
        + [f"{tag} left open" for tag in linter.open_tags]
    )


def documents(office: Office) -> Iterator[BinderDocument]:
    bound = binder_documents(office, TODAY)
    yield from bound
    yield blank_backs(office, bound, TODAY, {document.id: 3 for document in bound})


def test_every_document_keeps_the_rules(office: Office) -> None:
    assert {document.id: faults_of(document.html) for document in documents(office) if faults_of(document.html)} == {}


@pytest.mark.parametrize(
    ("html", "fault"),
    [
        ("<html><title>x</title></html>", "html without lang"),
        ("<html lang=en></html>", "no title"),
        ("<html lang=en><title>x</title><img></html>", "img without alt"),
        ("<html lang=en><title>x</title><h1>a</h1><h3>b</h3></html>", "h3 after h1"),
        ("<html lang=en><title>x</title><p></html>", "p left open"),
    ],
)
def test_the_linter_finds_what_it_is_for(html: str, fault: str) -> None:
    assert any(fault in found or found.startswith("stray") for found in faults_of(html))


def test_no_document_asks_for_anything_but_its_own_assets_and_fonts(office: Office) -> None:
    for document in documents(office):
        assert "http" not in document.html.replace("http://www.w3.org/2000/svg", "")
        assert "url(" not in document.html.replace('url("font:', "").replace("url(#timing-machine)", "")
