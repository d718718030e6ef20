"""Sections that many documents have: what the terminal alone shows, and what to keep in mind."""

from spectro.records.document import Block, Points, Section, Shown, Words


def on_terminal(key: str, heading: str, *blocks: Block) -> Section:
    """Return a section that the terminal alone shows."""
    return Section(key=key, heading=heading, blocks=blocks, shown=Shown.TEXT)


def told(key: str, text: str) -> Section:
    """Return words that the terminal alone shows, without a heading."""
    return on_terminal(key, "", Words(text=text))


def keep_in_mind(cautions: tuple[str, ...], *more: str) -> tuple[Section, Section]:
    """Return cautions, once for reports and once for the terminal. more: what reports alone say besides."""
    return (
        Section(key="cautions", heading="What to keep in mind", blocks=(Points(texts=(*cautions, *more)),)),
        on_terminal("mind", "Note:", Points(texts=cautions)),
    )
