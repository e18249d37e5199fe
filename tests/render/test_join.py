"""A joined binder keeps each document's bookmarks, links, tags and page numbers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial
from io import BytesIO
from typing import Any

import pikepdf
import pytest

from sopc.render.join import Joined, Part, join, join_at_the_end
from sopc.render.pdf import write_pdf
from sopc.render.setters import setters

DAY = date(2026, 12, 1)


def _pdf(title: str, extra_page: bool, prefix: str = "") -> bytes:
    more = "<h2>Third</h2>" if extra_page else ""
    return write_pdf(
        f"<html lang=en><head><title>{title}</title><style>h2 {{ break-before: page }}</style></head><body>"
        f"<h1 id=top>{title}</h1><p><a href='#next'>on</a> <a href='doc:SOP-2'>to two</a></p>"
        "<table><tr><th>Time<th>Who<tr><td>1<td>2</table>"
        f"<h2 id=next>Second</h2>{more}</body></html>",
        {},
        DAY,
        prefix=prefix,
    )


PARTS = [Part(f"SOP-{n}", f"Document {n}", _pdf(f"Document {n}", n == 1)) for n in range(3)]


@pytest.fixture(scope="module")
def joined() -> Joined:
    return join(PARTS, title="Binder", dated=DAY, right_hand=True)


@pytest.fixture(scope="module")
def whole(joined: Joined) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(BytesIO(joined.pdf)) as document:
        yield document


def test_same_parts_give_same_bytes(joined: Joined) -> None:
    assert join(PARTS, title="Binder", dated=DAY, right_hand=True).pdf == joined.pdf


def test_a_process_that_keeps_all_open_joins_the_same(joined: Joined) -> None:
    with setters(2) as crew:
        assert crew.ask(partial(join_at_the_end, PARTS, title="Binder", dated=DAY, right_hand=True))() == joined
    assert join_at_the_end(PARTS, title="Binder", dated=DAY, right_hand=True) == joined


def test_every_document_begins_on_a_right_hand_page(joined: Joined, whole: pikepdf.Pdf) -> None:
    assert joined.first_pages == (0, 2, 6)
    assert len(whole.pages) == 8


def test_pages_are_labelled_by_document(whole: pikepdf.Pdf) -> None:
    assert [whole.pages[index].label for index in (0, 1, 2, 4, 5, 7)] == [
        "SOP-0-1",
        "SOP-0-2",
        "SOP-1-1",
        "SOP-1-3",
        "blank",
        "SOP-2-2",
    ]


def test_bookmarks_of_every_document_lead_to_its_own_pages(whole: pikepdf.Pdf) -> None:
    numbers = {page.obj.objgen: index for index, page in enumerate(whole.pages)}
    with whole.open_outline() as outline:
        assert [item.title for item in outline.root] == ["Document 0", "Document 1", "Document 2"]
        second = outline.root[2].children[0].children[0]
        assert second.title == "Second"
        assert numbers[second.destination[0].objgen] == 7


def test_link_inside_a_document_stays_in_it(whole: pikepdf.Pdf) -> None:
    names = whole.Root.Names.Dests.Names
    places = {str(names[i]): names[i + 1][0].objgen for i in range(0, len(names), 2)}
    numbers = {page.obj.objgen: index for index, page in enumerate(whole.pages)}
    for start in (0, 2, 6):
        assert numbers[places[str(whole.pages[start].Annots[0].Dest)]] == start + 1


def test_link_to_a_document_leads_to_its_first_page(whole: pikepdf.Pdf) -> None:
    link = whole.pages[0].Annots[1]
    assert "/A" not in link
    assert link.Dest[0].objgen == whole.pages[6].obj.objgen


def _walk(element: Any) -> Iterator[Any]:
    if isinstance(element, pikepdf.Array):
        for member in element:
            yield from _walk(member)
    elif isinstance(element, pikepdf.Dictionary) and "/S" in element:
        yield element
        yield from _walk(element.get("/K"))


def test_tags_form_one_tree_with_a_part_for_each_document(whole: pikepdf.Pdf) -> None:
    (top,) = whole.Root.StructTreeRoot.K
    assert str(top.S) == "/Document"
    assert [str(part.S) for part in top.K] == ["/Part"] * 3
    assert sum(str(element.S) == "/H1" for element in _walk(top)) == 3


def test_every_tag_points_to_a_page_of_the_binder(whole: pikepdf.Pdf) -> None:
    pages = {page.obj.objgen for page in whole.pages}
    pointed = {element.Pg.objgen for element in _walk(whole.Root.StructTreeRoot.K) if "/Pg" in element}
    assert pointed <= pages
    assert len(pointed) == 7


def test_pages_and_links_find_their_tags_by_numbers_of_their_own(whole: pikepdf.Pdf) -> None:
    numbers = whole.Root.StructTreeRoot.ParentTree.Nums
    keys = [int(numbers[i]) for i in range(0, len(numbers), 2)]
    assert keys == sorted(set(keys))
    used = [int(page.obj.StructParents) for page in whole.pages if "/StructParents" in page.obj]
    used += [int(link.StructParent) for page in whole.pages for link in page.obj.get("/Annots", ())]
    assert sorted(used) == keys


def test_table_cells_name_the_heads_of_their_own_table(whole: pikepdf.Pdf) -> None:
    elements = list(_walk(whole.Root.StructTreeRoot.K))
    heads = [str(element.ID) for element in elements if "/ID" in element]
    named = {str(n) for e in elements if str(e.S) == "/TD" for n in e.A.get("/Headers", ())}
    assert len(heads) == len(set(heads)) == 6
    assert named == set(heads)


def test_cells_named_beforehand_are_named_as_when_joined(joined: Joined) -> None:
    parts = [
        Part(f"SOP-{n}", f"Document {n}", _pdf(f"Document {n}", n == 1, f"SOP-{n}/"), cells_named=True)
        for n in range(3)
    ]
    beforehand = join(parts, title="Binder", dated=DAY, right_hand=True)
    assert beforehand.pdf == joined.pdf
    assert beforehand.pages == 8


def test_each_blank_page_bears_its_own_text() -> None:
    leaves = "".join(f"<p style='break-before: page'>Back {number}</p>" for number in "12")
    blanks = write_pdf(f"<html lang=en><title>b</title><body>{leaves}</body></html>", {}, DAY)
    odd = [Part(name, name, _pdf(name, True)) for name in "ABCD"]
    import pypdfium2

    pages = pypdfium2.PdfDocument(join(odd, title="x", dated=DAY, right_hand=True, blanks=blanks).pdf)
    told = [pages[number].get_textpage().get_text_range() for number in (3, 7, 11)]
    assert [text.strip() for text in told] == ["Back 1", "Back 2", "Back 2"]


def test_whole_is_named_and_dated(whole: pikepdf.Pdf) -> None:
    assert str(whole.docinfo["/Title"]) == "Binder"
    assert "20261201" in str(whole.docinfo["/CreationDate"])


@pytest.mark.parametrize("parts", [[], [PARTS[0], PARTS[0]]])
def test_parts_must_be_there_and_have_ids_of_their_own(parts: list[Part]) -> None:
    with pytest.raises(ValueError):
        join(parts, title="x", dated=DAY)
