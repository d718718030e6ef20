"""The shelf's cards: in the white of their papers, as measured."""

import re
from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

from spectro.cli.main import run
from spectro.desk.server import Desk

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"


def rgb(colour: str) -> np.ndarray:
    """A page's colour as its three numbers."""
    return np.array([int(colour[place : place + 2], 16) for place in (1, 3, 5)])


@pytest.mark.common_practice("no source: the stand-in's paper is invented, L* 96, b* -7.5")
def test_a_card_is_as_light_and_as_blue_as_the_paper_that_was_read(desk: Desk, client: TestClient, capsys) -> None:
    shelf = ["--shelf", str(desk.shelf), "--quiet"]
    assert run(["shelf", "new", "--printer", "P", "--paper", "Rag", *shelf]) == 0
    assert run(["shelf", "new", "--printer", "P", "--paper", "Not read yet", *shelf]) == 0
    plain = client.get("/").text
    assert "<svg" not in plain
    name = next(path.name for path in desk.shelf.iterdir() if path.name.startswith("p-rag"))
    assert (
        run(
            [
                "readings",
                "add",
                str(DEMO / "demo-second-sheet-m1.txt"),
                "--on-shelf",
                name,
                "--out",
                str(desk.shelf.parent / "kept.txt"),
                *shelf,
            ]
        )
        == 0
    )
    page = client.get("/").text
    (white, black), *more = re.findall(r'fill="(#[0-9a-f]{6})"/><rect y="9" width="10" height="1" fill="(#[0-9a-f]{6})"', page)
    assert not more
    paper, ink = rgb(white), rgb(black)
    assert paper.min() > 225  # L* 96 of the stand-in's matte paper, as its own README of the data says
    assert paper[2] > paper[0]  # bluish: b* below zero
    assert ink.max() < 60
    assert "style=" not in page
