"""How long `--help` takes, as a multiple of `python -c "import argparse"`: medians of alternating runs of whole processes.

.venv/bin/python benchmarks/startup.py
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

RUNS = 15
SPECTRO = str(Path(sys.executable).with_name("spectro"))


def seconds(command: list[str]) -> float:
    """Return the wall time of one run of command."""
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main() -> None:
    base = [sys.executable, "-c", "import argparse"]
    for words in (["--help"], ["profile", "build", "--help"]):
        command = [SPECTRO, *words]
        seconds(base), seconds(command)
        pairs = [(seconds(base), seconds(command)) for _ in range(RUNS)]
        plain, full = (statistics.median(times) for times in zip(*pairs, strict=True))
        print(
            f"spectro {' '.join(words)}: {full * 1000:.0f} ms, import argparse {plain * 1000:.0f} ms, ratio {full / plain:.2f}"
        )


if __name__ == "__main__":
    main()
