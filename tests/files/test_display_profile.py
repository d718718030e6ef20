"""The display's profile where the system says it; nothing, and no error, where it does not."""

import ctypes

import pytest

from spectro.cli.main import run
from spectro.files.display_profile import found_display_profile, x11_property
from spectro.icc.picture_profiles import even_grey_profile_bytes, oprgb_profile_bytes
from spectro.workflow.image import preview as preview_module


class Xlib:
    """What a server without a screen would answer: one property of the root window, in memory of its own."""

    def __init__(self, held: bytes, form: int = 8, name: bytes = b"_ICC_PROFILE") -> None:
        self.memory, self.form, self.name, self.freed = ctypes.create_string_buffer(held, len(held)), form, name, 0
        for one in ("XDefaultRootWindow", "XInternAtom", "XFree", "XGetWindowProperty"):
            setattr(self, one, Call(getattr(self, f"_{one}")))

    def _XDefaultRootWindow(self, display):
        return 7

    def _XInternAtom(self, display, name, only_existing):
        assert only_existing
        return 5 if name == self.name else 0

    def _XGetWindowProperty(self, display, window, atom, first, longs, delete, kind, *found):
        assert (window, atom, first, delete, kind) == (7, 5, 0, 0, 0)
        _, form, count, after, data = (one._obj for one in found)
        form.value, count.value, after.value, data.value = self.form, len(self.memory), 0, ctypes.addressof(self.memory)
        return 0

    def _XFree(self, data):
        self.freed += 1


class Call:
    """A function that ctypes' declarations can be set on."""

    def __init__(self, function) -> None:
        self._function = function

    def __call__(self, *given):
        return self._function(*given)


@pytest.mark.source("ICC-X11", "the property of the root window; bytes of 8 bits")
def test_the_property_of_the_root_window_is_read_and_let_go():
    profile = oprgb_profile_bytes()
    library = Xlib(profile)
    assert x11_property(library, 1, b"_ICC_PROFILE") == profile
    assert library.freed == 1
    assert x11_property(Xlib(profile, form=32), 1, b"_ICC_PROFILE") == b""
    assert x11_property(Xlib(profile, name=b"other"), 1, b"_ICC_PROFILE") == b""


@pytest.mark.common_practice("no source: what cannot be asked says nothing")
def test_a_system_that_says_nothing_is_no_error(monkeypatch):
    monkeypatch.delenv("DISPLAY", raising=False)
    for system in ("linux", "darwin", "win32", "another"):
        assert found_display_profile(system) in (b"",) or system == "darwin"


@pytest.mark.common_practice("no source: the page says what it is shown for")
def test_previews_take_the_profile_that_the_system_names(tmp_path, monkeypatch):
    """That of an RGB display is taken and said; another kind is not; a profile or sRGB that is asked for goes first."""
    paper = tmp_path / "paper.icc"
    paper.write_bytes(oprgb_profile_bytes())
    shown = {}
    for word, found, given in (
        ("named", oprgb_profile_bytes(), None),
        ("grey", even_grey_profile_bytes(), None),
        ("damaged", b"\0" * 200, None),
        ("none", b"", None),
        ("asked", oprgb_profile_bytes(), "srgb"),
        ("given", b"", paper),
    ):
        monkeypatch.setattr(preview_module, "found_display_profile", lambda found=found: found)
        _, words, data = preview_module._display(given)
        shown[word] = (words, data == oprgb_profile_bytes())
    assert shown["named"][1]
    assert "opRGB" in shown["named"][0]
    assert "this system names" in shown["named"][0]
    for word in ("grey", "damaged", "none"):
        assert shown[word] == ("shown for sRGB, as no profile of a display was given or found", False)
    assert shown["asked"] == ("shown for sRGB, as asked", False)
    assert shown["given"][1]
    assert run(["image", "preview", str(tmp_path / "none.png"), "--papers", str(paper), "--display", "srgb"]) == 2
