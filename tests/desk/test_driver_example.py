"""The example of a driver that the desk shows: it stands on its page, and does what a sitting asks of an instrument."""

import sys
from types import SimpleNamespace

import numpy as np
import pytest
from starlette.testclient import TestClient

from spectro.errors import InputError
from spectro.records.instrument import Purpose, ReadRequest


def test_the_example_stands_on_its_page_and_is_kept_as_a_file(client: TestClient) -> None:
    page = client.get("/driver").text
    assert "class Driver" in page
    assert "/kept/driver_example.txt" in page
    assert "/driver" in client.get("/do/sitting").text
    assert "class Driver" in client.get("/kept/driver_example.txt").text


@pytest.mark.common_practice("no source: the library is invented for this test")
def test_the_example_reads_what_a_library_gives(client: TestClient, monkeypatch) -> None:
    closed = []
    library = SimpleNamespace(
        model=lambda: "invented", serial_number=lambda: "7", read_white_reference=lambda: True,
        read_strip=lambda count: [[50.0, 60.0, 70.0]] * count, wavelengths=lambda: [400, 500, 600],
        close=lambda: closed.append(True),
    )  # fmt: skip
    monkeypatch.setitem(sys.modules, "my_library", SimpleNamespace(open=lambda port: library))
    names: dict[str, object] = {}
    exec(compile(client.get("/kept/driver_example.txt").text, "driver_example", "exec"), names)
    with pytest.raises(InputError, match="the setting speed"):
        names["open_driver"]({"speed": "9"})
    driver = names["open_driver"]({"port": "3"})
    driver.calibrate()
    assert (driver.facts().name, driver.facts().serial) == ("invented", "7")
    request = ReadRequest(
        words="strip A", purpose=Purpose.PATCHES, sample_names=("A1", "A2"), device=np.zeros((2, 3)), place=0, attempt=0
    )
    delivery = driver.read(request)
    np.testing.assert_allclose(delivery.reflectance, [[0.5, 0.6, 0.7]] * 2)
    np.testing.assert_allclose(delivery.wavelengths, [400, 500, 600])
    driver.close()
    assert closed
