"""Where the worst patches of an assessment stand among all its patches."""

from spectro.records.assessment import Assessment, PatchDifference


def worst_rows(assessment: Assessment) -> tuple[int | None, ...]:
    """Return the row (from 0, file order) of each of the worst patches; None where no row carries its id.

    Where several rows carry one id, the row whose ΔE00 is nearest is taken, each row once.
    """
    rows_of: dict[str, list[int]] = {}
    for row, identifier in enumerate(assessment.sample_ids):
        rows_of.setdefault(identifier, []).append(row)
    found: list[int | None] = []
    for patch in assessment.worst:
        rows = rows_of.get(patch.id, [])
        if not rows:
            found.append(None)
            continue
        wanted = patch.delta_e_2000
        row = min(rows, key=lambda candidate: (abs(float(assessment.delta_e[candidate]) - wanted), candidate))
        rows.remove(row)
        found.append(row)
    return tuple(found)


def place_of(patch: PatchDifference, row: int | None, patches: int) -> str:
    """Return where a patch is, in words: its page, row and column, else its place in the file.

    row: from 0, file order. patches: how many the file has.
    """
    if patch.position is not None:
        page, line, column = patch.position
        return f"page {page}, row {line}, column {column}"
    if row is None:
        return "place not known"
    return f"number {row + 1} of {patches} in the file"
