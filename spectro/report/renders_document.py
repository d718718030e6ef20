"""The page beside a profile's renders as a document: before printing and each intent side by side, in plain words."""

from spectro.records.document import (
    Beside,
    Block,
    Document,
    Facts,
    FigureSpec,
    Level,
    Picture,
    Section,
    Verdict,
    Words,
)
from spectro.records.render_sheet import Render, RenderSheet
from spectro.report.table_effect_part import effect_figures, effect_table
from spectro.words.numbers import number

_SENTENCES = {
    "before": "The picture before printing, as the screen shows it.",
    "perceptual": "All colours move together, so that none run into one: shadows lie above the print’s black, "
    "full colours are a little paler. For photographs.",
    "colorimetric": "What the print can show stays as it is; what it cannot goes to the nearest colour it can, "
    "so deep shadows and full colours run into one. For colours that must be met.",
    "saturation": "As perceptual, but colours stay as strong as they are for longer before they are held back. "
    "For diagrams and slides.",
}
_PICTURES = {
    "photograph": ("A made-up photograph", "sky, hills, balls in grey, skin tones and red, a disc of hues"),
    "ramps": ("Ramps", "ten ramps from dark to light: grey, dark grey and eight hues"),
}
_LOOK_FOR = {
    "photograph": "Look into the shadow at the bottom, at the rim of the disc of hues, and for steps in the sky.",
    "ramps": "Each should run without a step or a turn of hue. Where a ramp stands still, colours run into one.",
}
_ARGUMENTS = (
    ("`source_gamut`, `for_image`", "changes perceptual and saturation above; colorimetric stays as it is"),
    (
        "`icc_version`",
        "2 is read everywhere; under 4 the perceptual table starts at the black of the perceptual reference medium, so its "
        "curve is flat below L* 3",
    ),
    (
        "`grid`",
        "more nodes make the tables follow the printer more closely and the file larger; steps in the ramps would show too few",
    ),
    (
        "`illuminant`, `observer`",
        "the light the prints will hang in; greys that are neutral there may have a tint under another",
    ),
)


def renders_document(sheet: RenderSheet) -> Document:
    """Return what the page says that shows the PNG files beside it."""
    return Document(
        kind="profile-renders",
        title=f"Renders – {sheet.profile_name or sheet.profile_file}",
        verdict=Verdict(text=sheet.verdict, level=Level.GOOD if len(sheet.renders) > 2 else Level.UNKNOWN),
        subject=f"{sheet.profile_name or 'profile without a name'} · ICC {sheet.icc_version} · {sheet.profile_file}",
        sections=(*(_pictures(sheet, picture) for picture in _PICTURES), _curves(sheet), _settings(sheet), _method(sheet)),
        data={"renders": sheet.renders, "outside": sheet.outside},
    )


def _pictures(sheet: RenderSheet, picture: str) -> Section:
    title, alt = _PICTURES[picture]
    blocks: list[Block] = [Words(text=_LOOK_FOR[picture])]
    shown = tuple(_picture(render, alt) for render in sheet.renders if render.picture == picture)
    if shown:
        blocks.append(Beside(blocks=shown))
    if sheet.effect.missing:
        missing = ", ".join(sheet.effect.missing)
        blocks.append(Words(text=f"This profile has no table of its own for: {missing}. Programs then take another one."))
    return Section(key=picture, heading=title, blocks=tuple(blocks))


def _picture(render: Render, alt: str) -> Picture:
    before = render.intent == "before"
    return Picture(
        file=render.png,
        link=("16-bit TIFF", render.tiff),
        title="before printing" if before else render.intent,
        caption=_SENTENCES[render.intent] if render.picture == "photograph" else "",
        label=f"{alt}, {'before printing' if before else f'as the {render.intent} table prints it'}",
        note="" if before else f"ΔE00 {number(render.mean_change, 1)} from the picture on average.",
    )


def _curves(sheet: RenderSheet) -> Section:
    figures = effect_figures(sheet.effect)
    blocks: tuple[Block, ...] = (effect_table(sheet.effect, tint=False),)
    return Section(key="curves", heading="The same as curves", blocks=(Beside(blocks=figures), *blocks) if figures else blocks)


def _settings(sheet: RenderSheet) -> Section:
    figure = FigureSpec(
        draw="plot_source_gamuts:plot_source_gamuts",
        data=(sheet,),
        key="sources",
        title="The source gamut",
        caption="The colours that pictures come with. Perceptual and saturation make room for all of it, so the farther a line "
        "reaches outside the print, the more every full colour is held back. Take the smallest one that holds your pictures: "
        "sRGB for most cameras and the web, opRGB for cameras set to it, P3 primaries with D65 for telephones and displays, "
        "ROMM for edited raw pictures. Or name pictures with `for_image`, and room is made for no more than what they hold.",
        label=f"Outlines of the fullest colours of {', '.join(sheet.source_outlines)} around those of the print.",
    )
    return Section(
        key="settings",
        heading="What can be set when a profile is built",
        blocks=(Beside(blocks=(figure,), single=True), Facts(rows=_ARGUMENTS)),
    )


def _method(sheet: RenderSheet) -> Section:
    known = sheet.outside == sheet.outside  # not NaN
    share = f"{number(100 * sheet.outside, 0)} % of the photograph lies outside what colorimetric prints, within ΔE00 2. "
    words = (
        "The pictures are invented in CIELAB. Each goes through a table from colours to device values and back through A2B1, "
        "relative to the paper, without black point compensation, and is shown as sRGB. What sRGB cannot show is clipped, so a "
        f"screen shows less than a print of a wide gamut. {share if known else ''}It is what the profile says, not yet proven "
        "in print."
    )
    return Section(key="method", heading="How this was made", blocks=(Words(text=words),))
