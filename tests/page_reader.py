"""A reader of HTML pages for tests: elements must close in order."""

import re
from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "link", "input"}
UNSEEN = {"style", "title", "script"}


class Reader(HTMLParser):
    """Checks that elements close in order, and collects them with their attributes, and the visible text."""

    def __init__(self, page):
        super().__init__()
        self.open, self.elements, self.text = [], [], []
        self.feed(page)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if not UNSEEN & set(self.open):
            self.text.append(data)

    def words(self):
        return re.sub(r"\s+", " ", " ".join(self.text)).strip()


def check_figures(page, count):
    """Every figure has a caption, and a label of its own for people who hear the page."""
    elements = Reader(page).elements
    pictures = [attributes for tag, attributes in elements if tag == "svg"]
    assert len(pictures) == count
    assert all(picture["role"] == "img" and len(picture["aria-label"]) > 20 for picture in pictures)
    assert len({picture["aria-label"] for picture in pictures}) == len(pictures)
    assert sum(tag == "figure" for tag, _ in elements) == sum(tag == "figcaption" for tag, _ in elements) == count


def check_identifiers(page):
    """No two elements share an id, and every reference inside a figure leads to one."""
    identifiers = re.findall(r'\bid="([^"]+)"', page)
    assert len(identifiers) == len(set(identifiers))
    used = set(re.findall(r'href="#([^"]+)"', page)) | set(re.findall(r"url\(#([^)]+)\)", page))
    assert used <= set(identifiers)
