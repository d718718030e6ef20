"""Pictures through a device link: which numbers it takes and gives, and what becomes of a picture's own profile.

The engine needs two ends; the second is a link that changes nothing. A link says what numbers are meant for in its header
alone, so a picture's own profile does not count; where it has another name than the link's source, that is told.
References: [ICC.1-2022] DeviceLink profile.
"""

from dataclasses import dataclass
from pathlib import Path

from spectro.errors import InputError, PictureFileError, ProfileFileError, TagError
from spectro.files.picture_file import PictureFile
from spectro.icc.header import Header
from spectro.icc.link_profiles import link_table_of, linked_names, untouched_link
from spectro.icc.profile_file import read_profile_bytes, usable_profile
from spectro.profile.evidence import description
from spectro.profile.picture_conversion import PICTURE_SPACES, PictureProfile, Step
from spectro.profile.picture_source import SPACE_WORDS, carried_profile
from spectro.records.conditions import RenderingIntent

INTENT = "link"
"""What stands in the place of a rendering intent."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureLink:
    """A device link as pictures are converted with it."""

    takes: PictureProfile  # the link itself, with the space that it takes
    gives: PictureProfile  # the space of what comes out; without bytes of a profile
    names: tuple[str, ...]  # of the profiles that it was made from

    def step(self) -> Step:
        """Return the way through the link and nothing else."""
        space = self.gives.header.colour_space
        end = PictureProfile(
            data=untouched_link(space),
            name=self.gives.name,
            space=self.gives.space,
            channels=self.gives.channels,
            for_print=True,
            header=self.gives.header,
        )
        return Step(source=self.takes, target=end, intent=RenderingIntent.PERCEPTUAL, black_compensation=False, exact=True)

    def target(self, printed: PictureProfile | None) -> PictureProfile:
        """Return what is written: with the profile given for it, else without one. Raises InputError for another space."""
        if printed is None:
            return self.gives
        if printed.space != self.gives.space:
            raise InputError(
                f"a profile for {printed.device_space} in `to`, where the link gives {SPACE_WORDS[self.gives.space]}",
                "the profile of what the link's numbers are for",
                "Name it, or leave `to` out: then nothing is embedded.",
            )
        return printed

    def read_as(self, picture: PictureFile) -> tuple[str, tuple[str, ...]]:
        """Return what a picture's numbers are taken for, and notes. Raises PictureFileError where the link takes others."""
        wanted = SPACE_WORDS[self.takes.space]
        if picture.space != self.takes.space:
            raise PictureFileError(
                picture.path,
                f"{SPACE_WORDS[picture.space]} numbers",
                f"{wanted}, which the link takes",
                "Convert it with `to` a profile, or name another `link`.",
            )
        meant = self.names[0] if self.names else ""
        said = f"{wanted} as the link takes it{f', for {meant}' if meant else ''}"
        own, _ = carried_profile(picture)
        if own is None or not meant or own.name == meant:
            return said, ()
        return said, (f"the picture’s own profile is {own.name or 'without a name'}; the link is made for {meant}",)


def read_picture_link(path: Path) -> PictureLink:
    """Read a device link between spaces that pictures have. Raises ProfileFileError."""
    data = read_profile_bytes(path)
    try:
        profile = usable_profile(data)
        link_table_of(profile)
        header = profile.header
        for space in (header.colour_space, header.pcs):
            if space not in PICTURE_SPACES:
                raise TagError(f"a link with {space.decode('latin-1').strip()} at one end; expected RGB, grey or CMYK")
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged device link", "Name another link.") from error
    names = linked_names(profile)
    name = names[-1] if names and names[-1] else " ".join(description(profile).split())
    gives = Header(version=header.version, device_class=b"prtr", colour_space=header.pcs, pcs=b"Lab ", date=header.date)
    return PictureLink(
        takes=_space(data, description(profile), header),
        gives=_space(b"", name, gives),
        names=names,
    )


def _space(data: bytes, name: str, header: Header) -> PictureProfile:
    space = PICTURE_SPACES[header.colour_space]
    channels = {"grey": 1, "rgb": 3, "cmyk": 4}[space]
    return PictureProfile(data=data, name=name, space=space, channels=channels, for_print=True, header=header)
