"""Several outputs of one command."""

import pytest

from spectro.errors import InputError, OutputExistsError
from spectro.files.atomic import check_outputs


def test_one_file_for_two_outputs_is_refused_before_anything_is_written(tmp_path):
    page = tmp_path / "page"
    with pytest.raises(InputError, match="two outputs"):
        check_outputs(page, tmp_path / "." / "page", replace=True)
    check_outputs(page, None, tmp_path / "other", replace=False)
    page.write_text("kept")
    with pytest.raises(OutputExistsError):
        check_outputs(None, page, replace=False)
