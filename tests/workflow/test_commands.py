"""The commands by name: each is a function, also where a module of the package has the same name."""

import importlib

from spectro import workflow


def test_a_name_is_the_function_whether_or_not_its_module_was_imported():
    for name in workflow.__all__:
        importlib.import_module(workflow._PLACES[name])
        assert callable(getattr(workflow, name)), name
        assert getattr(workflow, name).__name__ == name
    assert sorted(workflow._PLACES) == workflow.__all__
