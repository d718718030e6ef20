"""What is told of a table of colours that was written: how its numbers were made, what they differ by from the standards."""

from pathlib import Path

from spectro.files.colour_table_text import colour_table_values
from spectro.records.colour_table import ColourTable
from spectro.records.document import Document, Level, Verdict
from spectro.records.shown_text import short_name
from spectro.report.sections import told


def colours_document(table: ColourTable, out: Path | None) -> Document:
    """Return what is told of a table of colours; its JSON is the table itself. out: the file it was written to."""
    lines = [f"  {note}" for note in table.notes]
    lines += [
        f"  under {light}: ΔE00 mean {found.mean:.2f}, 95th percentile {found.p95:.2f}, largest {found.max:.2f} over {found.n} "
        "samples (percentiles by linear interpolation)"
        for light, found in table.differences.items()
    ]
    written = "" if out is None else f" written to {short_name(str(out))}"
    return Document(
        kind="colours",
        title="Colours",
        verdict=Verdict(text=f"{len(table.sample_ids)} rows of {short_name(table.origin)}{written}.", level=Level.GOOD),
        subject=table.origin,
        data=colour_table_values(table),
        sections=(told("notes", "\n".join(lines)),),
    )
