"""The stamp of our own files: known again, and no more after an edit or for another plan."""

from __future__ import annotations

import pytest

from greenrota.views.paper.stamp import is_ours, plan_identity, stamped

US, THEM = plan_identity("plan", "shelf"), plan_identity("plan", "other")
PDF = b"%PDF-1.7\n1 0 obj\nendobj\nxref\ntrailer\nstartxref\n25\n%%EOF"
FILES = {
    "html": b"<!DOCTYPE html>\n<html><body>" + b"x" * 5000 + b"</body></html>\n",
    "svg": b'<?xml version="1.0" encoding="UTF-8"?>\n<svg></svg>\n',
    "ics": b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//us//EN\r\nEND:VCALENDAR\r\n",
    "pdf": PDF,
}


@pytest.mark.parametrize("kind", FILES)
def test_a_stamp_fits_its_plan_and_its_content_only(kind: str) -> None:
    made = stamped(FILES[kind], US)
    assert is_ours(made, US) and not is_ours(made, THEM)
    assert not is_ours(FILES[kind], US)
    for place in range(0, len(made), max(1, len(made) // 40)):
        edited = made[:place] + b"?" + made[place:]
        assert not is_ours(edited, US), place
    assert made.startswith(FILES[kind][:8])


def test_the_places_inside_a_pdf_stay_where_they_were() -> None:
    made = stamped(PDF, US)
    before, after = PDF.split(b"startxref")
    assert made.startswith(before) and made.endswith(b"startxref" + after)


def test_a_stamp_far_down_or_in_another_kind_of_file_is_none() -> None:
    head, stamp, rest = stamped(FILES["html"], US).partition(b"<!-- greenrota")
    assert is_ours(head + stamp + rest, US)
    assert not is_ours(head + b" " * 3000 + stamp + rest, US)
    assert not is_ours(b"# notes\n" + stamp + rest, US)
