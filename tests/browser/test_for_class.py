"""Every handout prints on two pages, and every slide on one."""

from __future__ import annotations

import re

import pytest

from course.site.for_class import FOLDER
from tests.browser.pages import chromium, needs_chromium, site_of

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]


def test_a_handout_is_two_pages_and_a_slide_is_one() -> None:
    folder = site_of("lecturer") / FOLDER
    found = {}
    with chromium() as page:
        for path in sorted(folder.glob("*.html")):
            page.goto(path.as_uri())
            pdf = page.pdf(prefer_css_page_size=True)
            pages = len(re.findall(rb"/Type\s*/Page[^s]", pdf))
            slides = page.locator(".slide").count()
            if pages != (slides or 2):
                found[path.name] = pages
        assert page.asked == []
        assert page.said == []
    assert len(list(folder.glob("*-handout.html"))) == 14
    assert found == {}
