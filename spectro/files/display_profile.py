"""The profile of the main display, where the system says it: what previews are shown for when nobody names one.

Windows: through the general picture library, which asks the system. macOS: the colour space of the main display, from the
system's graphics library. X11: the property of the root window in which it is kept by common agreement, [ICC-X11]. Elsewhere,
and wherever anything is missing, none is found. All by the documentation of these systems, from memory.
"""

import ctypes
import ctypes.util
import os
import sys
from collections.abc import Callable
from typing import Any

_MOST_LONGS = 4 * 1024 * 1024  # 16 MB
_LEAST_BYTES = 128


def found_display_profile(system: str = sys.platform) -> bytes:
    """Return the bytes of the main display's profile; b"" where the system says none, or cannot be asked.

    system: as `sys.platform` says it.
    """
    asked: dict[str, Callable[[], bytes]] = {"win32": _of_windows, "darwin": _of_macos}
    way = asked.get(system, _of_x11 if os.environ.get("DISPLAY") else bytes)
    try:
        data = way()
    except Exception:  # whatever is missing or refused there: a display is then not known, and that is said
        return b""
    return data if len(data) >= _LEAST_BYTES and data[36:40] == b"acsp" else b""


def _of_windows() -> bytes:
    from PIL import ImageCms

    found: Any = ImageCms.get_display_profile()
    return b"" if found is None else bytes(found.tobytes())


def _of_macos() -> bytes:
    graphics = ctypes.CDLL("/System/Library/Frameworks/CoreGraphics.framework/CoreGraphics")
    base = ctypes.CDLL("/System/Library/Frameworks/CoreFoundation.framework/CoreFoundation")
    graphics.CGMainDisplayID.restype = ctypes.c_uint32
    graphics.CGDisplayCopyColorSpace.restype = ctypes.c_void_p
    graphics.CGDisplayCopyColorSpace.argtypes = [ctypes.c_uint32]
    graphics.CGColorSpaceCopyICCData.restype = ctypes.c_void_p
    graphics.CGColorSpaceCopyICCData.argtypes = [ctypes.c_void_p]
    base.CFDataGetLength.restype = ctypes.c_long
    base.CFDataGetLength.argtypes = [ctypes.c_void_p]
    base.CFDataGetBytePtr.restype = ctypes.c_void_p
    base.CFDataGetBytePtr.argtypes = [ctypes.c_void_p]
    base.CFRelease.argtypes = [ctypes.c_void_p]
    space = graphics.CGDisplayCopyColorSpace(graphics.CGMainDisplayID())
    data = graphics.CGColorSpaceCopyICCData(space) if space else None
    found = ctypes.string_at(base.CFDataGetBytePtr(data), base.CFDataGetLength(data)) if data else b""
    for one in (data, space):
        if one:
            base.CFRelease(one)
    return found


def _of_x11() -> bytes:
    name = ctypes.util.find_library("X11")
    if name is None:
        return b""
    library = ctypes.CDLL(name)
    library.XOpenDisplay.restype = ctypes.c_void_p
    library.XOpenDisplay.argtypes = [ctypes.c_char_p]
    display = library.XOpenDisplay(None)
    if not display:
        return b""
    try:
        return x11_property(library, display, b"_ICC_PROFILE")
    finally:
        library.XCloseDisplay.argtypes = [ctypes.c_void_p]
        library.XCloseDisplay(display)


def x11_property(library: Any, display: int, name: bytes) -> bytes:
    """Return the bytes of a property of the root window, b"" where it has none. library: Xlib, as ctypes loads it."""
    long, pointer = ctypes.c_ulong, ctypes.c_void_p
    library.XDefaultRootWindow.restype, library.XDefaultRootWindow.argtypes = long, [pointer]
    library.XInternAtom.restype, library.XInternAtom.argtypes = long, [pointer, ctypes.c_char_p, ctypes.c_int]
    library.XFree.argtypes = [pointer]
    atom = library.XInternAtom(display, name, 1)
    if not atom:
        return b""
    kind, form, count, after, data = long(), ctypes.c_int(), long(), long(), pointer()
    library.XGetWindowProperty.argtypes = [pointer, long, long, ctypes.c_long, ctypes.c_long, ctypes.c_int, long] + [
        pointer
    ] * 5
    left = (ctypes.byref(one) for one in (kind, form, count, after, data))
    root = library.XDefaultRootWindow(display)
    failed = library.XGetWindowProperty(display, root, atom, 0, _MOST_LONGS, 0, 0, *left)
    if failed or not data.value:
        return b""
    try:
        return ctypes.string_at(data.value, count.value) if form.value == 8 else b""
    finally:
        library.XFree(data)
