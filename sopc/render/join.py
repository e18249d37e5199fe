"""Joins finished PDFs into one, keeping bookmarks, links, page labels and the tags screen readers need."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from typing import Any

DOCUMENT_LINK = "doc:"
"""A link to `doc:ID` in any part leads to the first page of the part with that id."""


@dataclass(frozen=True, slots=True)
class Part:
    """One document of the whole: an id that no other part has, its title for the bookmarks, and its PDF.

    `cells_named`: the ids of its table cells begin with "ID/" already, so that they differ from all others.
    """

    id: str
    title: str
    pdf: bytes
    cells_named: bool = False


@dataclass(frozen=True, slots=True)
class Joined:
    """The whole: its bytes, for each part the zero-based number of its first page, and how many pages there are."""

    pdf: bytes
    first_pages: tuple[int, ...]
    pages: int


_LEFT_OPEN: list[ExitStack] = []


def join_at_the_end(parts: Sequence[Part], **how: Any) -> Joined:
    """Join in a process that ends soon: what it read stays open, as letting go of it takes a third of the time."""
    files = ExitStack()
    _LEFT_OPEN.append(files)
    return _join(files, parts, **how)


def join(
    parts: Sequence[Part],
    *,
    title: str,
    dated: date,
    language: str = "en",
    right_hand: bool = False,
    blanks: bytes | None = None,
) -> Joined:
    """Return one PDF of all parts in order; equal arguments give equal bytes.

    Page labels read "ID-1", "ID-2" …, as pages are numbered within each document. `right_hand` starts each
    part on an odd sheet side; the pages put in before them are those of `blanks` in order (the last of them again when
    they are too few), or empty ones.
    Raises ValueError when two parts have the same id or there is no part.
    """
    with ExitStack() as files:
        return _join(files, parts, title=title, dated=dated, language=language, right_hand=right_hand, blanks=blanks)


def _join(
    files: ExitStack,
    parts: Sequence[Part],
    *,
    title: str,
    dated: date,
    language: str = "en",
    right_hand: bool = False,
    blanks: bytes | None = None,
) -> Joined:
    import pikepdf

    if not parts:
        raise ValueError("nothing to join")
    if len({part.id for part in parts}) < len(parts):
        raise ValueError("two parts have the same id")
    whole = files.enter_context(pikepdf.new())
    joiner = _Joiner(whole)
    sources = [files.enter_context(pikepdf.open(BytesIO(part.pdf))) for part in parts]
    filler = files.enter_context(pikepdf.open(BytesIO(blanks))) if blanks else None
    filled = 0
    for part, source in zip(parts, sources, strict=True):
        if right_hand and len(whole.pages) % 2:
            joiner.add_blank(filler and filler.pages[min(filled, len(filler.pages) - 1)])
            filled += 1
        joiner.add(part, source)
    joiner.finish(title, dated, language)
    target = BytesIO()
    whole.save(target, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return Joined(target.getvalue(), tuple(joiner.starts), len(whole.pages))


class _Joiner:
    """The growing whole; each method adds what one source file holds."""

    def __init__(self, whole: Any) -> None:
        import pikepdf

        self._pike = pikepdf
        self._whole = whole
        self._parent_numbers: Any = pikepdf.Array()
        self._next_parent = 0
        self._names: list[tuple[str, Any]] = []
        self._labels: Any = pikepdf.Array()
        self._bookmarks: list[Any] = []
        self._sections: list[Any] = []
        self._part_pages: dict[str, Any] = {}
        self.starts: list[int] = []

    def add_blank(self, leaf: Any) -> None:
        """Add one page that belongs to no part: the leaf, without tags, or an empty one."""
        start = len(self._whole.pages)
        if leaf is None:
            before = self._whole.pages[-1].mediabox
            size = (float(before[2] - before[0]), float(before[3] - before[1]))
            self._whole.add_blank_page(page_size=size)
        else:
            self._whole.pages.append(leaf)
            _drop(self._whole.pages[-1].obj, "/StructParents")
        self._label(start, "blank")

    def add(self, part: Part, source: Any) -> None:
        """Add all pages of a part with its tags, named places, links and bookmarks."""
        start = len(self._whole.pages)
        self.starts.append(start)
        prefix = f"{part.id}/"
        self._renumber(source)
        for page in source.pages:
            self._whole.pages.append(page)
        copied = [self._whole.pages[start + index] for index in range(len(source.pages))]
        self._part_pages[part.id] = copied[0]
        self._take_tags(source, "" if part.cells_named else prefix)
        self._take_names(source, prefix)
        self._take_bookmarks(part, source, start)
        for page in copied:
            for link in page.obj.get("/Annots", ()):
                if isinstance(link.get("/Dest"), self._pike.String):
                    link.Dest = self._pike.String(prefix + str(link.Dest))
        self._label(start, f"{part.id}-")

    def _renumber(self, source: Any) -> None:
        """Move the numbers that tie pages and links to tags past those already used."""
        highest = self._next_parent
        for page in source.pages:
            for holder, key in [(page.obj, "/StructParents")] + [
                (link, "/StructParent") for link in page.obj.get("/Annots", ())
            ]:
                if key in holder:
                    holder[key] = int(holder[key]) + self._next_parent
                    highest = max(highest, int(holder[key]) + 1)
        self._offset, self._next_parent = self._next_parent, highest

    def _take_tags(self, source: Any, prefix: str) -> None:
        tree = source.Root.get("/StructTreeRoot")
        if tree is None:
            return
        copy = self._whole.copy_foreign(tree)
        numbers = copy.ParentTree.get("/Nums", ())
        for index in range(0, len(numbers), 2):
            self._parent_numbers.append(int(numbers[index]) + self._offset)
            self._parent_numbers.append(numbers[index + 1])
        for section in copy.get("/K", ()):
            self._sections.append(section)
            for element in _elements(section, self._pike) if prefix else ():
                self._rename_cells(element, prefix)

    def _rename_cells(self, element: Any, prefix: str) -> None:
        if "/ID" in element:
            element.ID = self._pike.String(prefix + str(element.ID))
        attributes = element.get("/A")
        for group in attributes if isinstance(attributes, self._pike.Array) else [attributes]:
            if isinstance(group, self._pike.Dictionary) and "/Headers" in group:
                group.Headers = self._pike.Array([self._pike.String(prefix + str(name)) for name in group.Headers])

    def _take_names(self, source: Any, prefix: str) -> None:
        names = source.Root.get("/Names", {}).get("/Dests", {}).get("/Names")
        if names is None:
            return
        places = self._whole.copy_foreign(source.make_indirect(names))
        for index in range(0, len(places), 2):
            self._names.append((prefix + str(places[index]), places[index + 1]))

    def _take_bookmarks(self, part: Part, source: Any, start: int) -> None:
        top = self._pike.OutlineItem(part.title, start)
        numbers = {page.obj.objgen: index for index, page in enumerate(source.pages)}
        with source.open_outline() as outline:
            top.children.extend(self._bookmark(item, numbers, start) for item in outline.root)
        top.is_closed = True
        self._bookmarks.append(top)

    def _bookmark(self, item: Any, numbers: dict[Any, int], start: int) -> Any:
        place = item.destination
        page = self._whole.pages[start + numbers[place[0].objgen]].obj
        copy = self._pike.OutlineItem(item.title, self._pike.Array([page, *list(place)[1:]]))
        copy.is_closed = item.is_closed
        copy.children.extend(self._bookmark(child, numbers, start) for child in item.children)
        return copy

    def _label(self, start: int, prefix: str) -> None:
        label = self._pike.Dictionary(P=self._pike.String(prefix))
        if prefix.endswith("-"):
            label.S, label.St = self._pike.Name.D, 1
        self._labels.extend([start, label])

    def finish(self, title: str, dated: date, language: str) -> None:
        """Write what belongs to the whole: tag root, names, labels, bookmarks, title and dates."""
        pike, root = self._pike, self._whole.Root
        root.Lang = pike.String(language)
        root.PageLabels = pike.Dictionary(Nums=self._labels)
        root.PageMode = pike.Name.UseOutlines
        root.ViewerPreferences = pike.Dictionary(DisplayDocTitle=True)
        self._link_parts()
        if self._names:
            flat = pike.Array()
            # A name tree is searched by bytes, so it must be sorted by them.
            for name, place in sorted(self._names, key=lambda entry: bytes(pike.String(entry[0]))):
                flat.extend([pike.String(name), place])
            root.Names = pike.Dictionary(Dests=self._whole.make_indirect(pike.Dictionary(Names=flat)))
        if self._sections:
            self._write_tag_root()
        with self._whole.open_outline() as outline:
            outline.root.extend(self._bookmarks)
        stamp = dated.strftime("D:%Y%m%d000000Z")
        information = self._whole.docinfo
        information["/Title"] = title
        information["/CreationDate"] = information["/ModDate"] = pike.String(stamp)
        with self._whole.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as xmp:
            xmp["dc:title"] = title
            xmp["dc:language"] = {language}
            xmp["xmp:CreateDate"] = xmp["xmp:ModifyDate"] = f"{dated.isoformat()}T00:00:00Z"

    def _write_tag_root(self) -> None:
        """Put each part's tag tree under one Document, as a reader expects one on top."""
        pike, whole = self._pike, self._whole
        top = whole.make_indirect(
            pike.Dictionary(Type=pike.Name.StructElem, S=pike.Name.Document, K=pike.Array(self._sections))
        )
        for section in self._sections:
            section.P = top
            if section.get("/S") == pike.Name.Document:
                section.S = pike.Name.Part
        tree = whole.make_indirect(
            pike.Dictionary(
                Type=pike.Name.StructTreeRoot,
                K=pike.Array([top]),
                ParentTree=whole.make_indirect(pike.Dictionary(Nums=self._parent_numbers)),
                ParentTreeNextKey=self._next_parent,
            )
        )
        top.P = tree
        whole.Root.StructTreeRoot = tree
        whole.Root.MarkInfo = pike.Dictionary(Marked=True)

    def _link_parts(self) -> None:
        """Turn links to `doc:ID` into links to the first page of that part."""
        for page in self._whole.pages:
            for link in page.obj.get("/Annots", ()):
                address = str(link.get("/A", {}).get("/URI", ""))
                target = self._part_pages.get(address.removeprefix(DOCUMENT_LINK))
                if address.startswith(DOCUMENT_LINK) and target is not None:
                    del link["/A"]
                    link.Dest = self._pike.Array([target.obj, self._pike.Name.Fit])


def _elements(top: Any, pike: Any) -> Iterator[Any]:
    """Walk a tag tree without recursion, as long tables nest deeply and widely."""
    waiting = [top]
    while waiting:
        element = waiting.pop()
        if not isinstance(element, pike.Dictionary) or "/S" not in element:
            continue
        yield element
        below = element.get("/K")
        waiting.extend(below if isinstance(below, pike.Array) else [below])


def _drop(entry: Any, key: str) -> None:
    if key in entry:
        del entry[key]
