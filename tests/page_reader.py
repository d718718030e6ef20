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
