"""Markdown on paper: what is set, what is kept as typed."""

from __future__ import annotations

import pytest

from sopc.documents.markdown import plain, rendered


def test_html_in_a_text_is_printed_as_typed() -> None:
    assert rendered("<script>alert(1)</script> & <b>x</b>") == (
        "<p>&lt;script&gt;alert(1)&lt;/script&gt; &amp; &lt;b&gt;x&lt;/b&gt;</p>\n"
    )


@pytest.mark.parametrize("text", ["![x](file:///etc/passwd)", "[x](http://example.org)", "<http://example.org>"])
def test_nothing_in_a_text_can_make_the_printer_fetch_or_link(text: str) -> None:
    html = rendered(text)
    assert "<img" not in html
    assert "<a " not in html


@pytest.mark.parametrize("text", ["# Big", "Big\n====", "Big\n---"])
def test_a_text_cannot_make_headings(text: str) -> None:
    assert "<h" not in rendered(text).replace("<hr", "")


def test_emphasis_and_lists_are_set() -> None:
    assert rendered("**wet**\n\n- one\n- two") == (
        "<p><strong>wet</strong></p>\n<ul>\n<li>one</li>\n<li>two</li>\n</ul>\n"
    )


def test_a_table_head_says_what_it_heads() -> None:
    assert '<th scope="col">' in rendered("| a | b |\n|---|---|\n| 1 | 2 |")


def test_a_number_stays_with_its_unit() -> None:
    assert "10\u00a0min" in rendered("Wait 10 min.")


def test_plain_text_has_no_marks() -> None:
    assert plain("Keep **wet** for\n`10 min`.\n\n- then wipe") == "Keep wet for 10 min. then wipe"
