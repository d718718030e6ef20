"""From colours to inks: how much black, within which limits, and the inks of a colour."""
