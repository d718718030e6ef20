"""How strongly a paper is brightened, in the words of the trade.

References: [FOGRA51], [FOGRA52] headers for "moderate" 8 to 14 and "high" above 14 of ΔB, brightness with less without
ultraviolet [ISO-15397]; [ISO-13655-2017] for a ΔB of 1 at most as "no fluorescence". From memory, not confirmed: "faint" to
4 and "low" to 8.
"""

LEVELS = ((1.0, "none"), (4.0, "faint"), (8.0, "low"), (14.0, "moderate"))


def brightener_level(delta_brightness: float) -> str:
    """Return "none", "faint", "low", "moderate" or "high" for a difference of brightness, percentage points.

    >>> [brightener_level(value) for value in (0.5, 3, 6, 10, 15)]
    ['none', 'faint', 'low', 'moderate', 'high']
    """
    for limit, word in LEVELS:
        if delta_brightness <= limit:
            return word
    return "high"
