"""Whether two checkouts give the same answers: text, JSON, exit codes and written bytes of all commands.

    python benchmarks/same_answers.py run FOLDER            runs every command of this checkout, keeps its answers in FOLDER
    python benchmarks/same_answers.py compare FOLDER OTHER  says what differs

For changes that should change nothing, and for listing what a change changes. Times are left out of what is compared.
The check data is taken from SPECTRO_CHECK_DATA, else from `shared/data` beside the checkout; without it only the demo's data.
"""

import difflib
import hashlib
import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DATA = Path(os.environ.get("SPECTRO_CHECK_DATA") or ROOT.parent / "shared" / "data")
DEMO = "demo_measurements"
SHEET, SECOND, GREYS = f"{DEMO}/demo-readings-m1.txt", f"{DEMO}/demo-second-sheet-m1.txt", f"{DEMO}/demo-greys-m1.txt"
PHOTOGRAPH = f"{DEMO}/demo-photograph.png"
CONTROLS = [f"{DEMO}/demo-control-2026-{month:02d}-{day:02d}-m1.txt" for month, day in ((1, 5), (2, 2), (3, 2))]
GLOSSY, MATTE = "{data}/photo-inkjet-glossy/chart-680-m0.txt", "{data}/photo-inkjet-matte/chart-a-2033-m0.txt"

# name: the command's words; {out} is a folder of the run, {data} the check data
COMMANDS: dict[str, list[str]] = {
    "build": ["profile", "build", SHEET, "--out", "{out}/demo.icc"],
    "build-v4": ["profile", "build", SHEET, "--out", "{out}/v4.icc", "--icc-version", "4", "--grid", "17"],
    "build-glossy": ["profile", "build", GLOSSY, "--out", "{out}/glossy.icc"],
    "build-matte": ["profile", "build", MATTE, "--out", "{out}/matte.icc"],
    "build-neutral": ["profile", "build", SECOND, "--out", "{out}/neutral.icc", "--grey-aim", "neutral", "--grid", "17"],
    "assess": ["profile", "assess", "{out}/demo.icc", SECOND, "--report", "{out}/assess.html", "--pdf", "{out}/assess.pdf"],
    "assess-glossy": ["profile", "assess", "{out}/glossy.icc", GLOSSY],
    "show": ["profile", "show", "{out}/demo.icc"],
    "show-own": ["profile", "show", "{data}/icc/eci-fogra51-v2.icc"],
    "refresh": ["profile", "refresh", SHEET, SECOND, "--out", "{out}/refreshed.icc"],
    "top-up": ["profile", "top-up", SHEET, "--out", "{out}/top-up.toml"],
    "proof-page": ["profile", "proof-page", "{out}/demo.icc", "--out", "{out}/proof"],
    "monochrome": ["profile", "monochrome", GREYS, "--curve", "{out}/curve.csv", "--out", "{out}/greys.icc"],
    "monochrome-glossy": ["profile", "monochrome", GLOSSY],
    "describe": ["paper", "describe", SHEET, "--report", "{out}/paper.html", "--pdf", "{out}/paper.pdf"],
    "describe-glossy": ["paper", "describe", GLOSSY, "{data}/photo-inkjet-glossy/chart-680-m2.txt"],
    "compare": ["paper", "compare", f"old={SHEET}", f"new={SECOND}", "--report", "{out}/compare.html"],
    "compare-papers": ["paper", "compare", f"matte={MATTE}", f"glossy={GLOSSY}"],
    "drift": ["drift", *CONTROLS, "--report", "{out}/drift.html", "--pdf", "{out}/drift.pdf"],
    "drift-bad": ["drift", *CONTROLS, f"{DEMO}/demo-control-2026-03-30-m1.txt", "--profile", "{out}/demo.icc"],
    "viewing": ["viewing", "--lux", "500", "--paper", SHEET, "--report", "{out}/viewing.html"],
    "colours": ["colours", SHEET, "--illuminant", "A"],
    "chart": ["chart", "new", "--patches", "200", "--out", "{out}/chart"],
    "chart-inks": ["chart", "new", "cmyk-a4-patch", "--patches", "120", "--out", "{out}/inks"],
    "chart-show": ["chart", "show", "{out}/chart"],
    "add": ["readings", "add", SHEET, "--chart", f"{DEMO}/demo-chart.txt", "--predict-with", SECOND, "--out", "{out}/kept.txt"],
    "readings-show": ["readings", "show", SHEET, "--chart", f"{DEMO}/demo-chart.txt", "--report", "{out}/readings.html"],
    "readings-show-glossy": ["readings", "show", GLOSSY],
    "readings-show-many": ["readings", "show", SHEET, SECOND, "--pdf", "{out}/shown.pdf"],
    "adopt": ["chart", "adopt", f"{DEMO}/demo-chart.txt", "--out", "{out}/adopted"],
    "pages": ["chart", "pages", "{out}/chart", "--page", "letter", "--out", "{out}/letter"],
    "list": ["chart", "list"],
    "path-test": ["chart", "path-test", "--path", "dialog", "driver", "--out", "{out}/path-test"],
    "convert": ["image", "convert", PHOTOGRAPH, "--to", "{out}/demo.icc", "--out", "{out}/photo.png"],
    "inspect": [
        "image",
        "inspect",
        PHOTOGRAPH,
        "--to",
        "{out}/demo.icc",
        "--print-width",
        "100",
        "--report",
        "{out}/photo.html",
    ],
    "preview": ["image", "preview", PHOTOGRAPH, "--papers", "{out}/demo.icc", "--out", "{out}/preview.html"],
    "aim-check": ["aim", "check", CONTROLS[2], "--aim", CONTROLS[0], "--report", "{out}/aim.html"],
    "aim-reach": ["aim", "reach", SHEET, "--colours", CONTROLS[0], "--out", "{out}/recipes.csv"],
    "viewing-profile": ["viewing", "{out}/demo.icc", "--viewing", "P2"],
    "batch": ["batch", f"{DEMO}/demo-plan.toml", "--dry-run"],
    "bad-ending": ["paper", "describe", SHEET, "--report", "{out}/paper.txt"],
    "bad-input": ["profile", "build", "README.md", "--out", "{out}/bad.icc"],
}
_TIMES = re.compile(r'("seconds": )[\d.]+|(time +)[\d.]+ s')


def run(folder: Path) -> None:
    """Run every command twice, once for text and once for JSON, and keep the answers in folder."""
    folder.mkdir(parents=True)
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with tempfile.TemporaryDirectory() as temporary:
        for name, words in COMMANDS.items():
            if not DATA.is_dir() and any("{data}" in word for word in words):
                continue
            for kind in ("text", "json"):
                out = Path(temporary) / kind
                out.mkdir(exist_ok=True)
                filled = [word.replace("{out}", str(out)).replace("{data}", str(DATA)) for word in words]
                command = [sys.executable, "-m", "spectro", *filled, *(["--json"] if kind == "json" else [])]
                done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, check=False)
                said = f"exit {done.returncode}\n{done.stdout.decode()}{done.stderr.decode() if done.returncode else ''}"
                for path, stands in ((str(out), "OUT"), (str(DATA), "DATA"), (str(ROOT), "ROOT")):
                    said = said.replace(path, stands)
                (folder / f"{name}.{kind}").write_text(_TIMES.sub(r"\1\2T", said), "utf-8")
        written = Path(temporary) / "text"
        hashes = {
            str(file.relative_to(written)): hashlib.sha256(file.read_bytes()).hexdigest()
            for file in sorted(written.rglob("*"))
            if file.is_file() and file.suffix not in (".html", ".pdf")
        }
        (folder / "written.json").write_text(json.dumps(hashes, indent=1), "utf-8")


def compare(folder: Path, other: Path) -> int:
    """Print what differs, as a unified difference a file; return how many answers differ."""
    differing = 0
    names = sorted({file.name for where in (folder, other) for file in where.iterdir()})
    for name in names:
        before, after = ((where / name).read_text("utf-8") if (where / name).exists() else "" for where in (folder, other))
        if before != after:
            differing += 1
            print(
                "\n".join(
                    difflib.unified_diff(before.split("\n"), after.split("\n"), f"before/{name}", f"after/{name}", "", "", 0)
                )
            )
    print(f"{differing} of {len(names)} answers differ")
    return differing


def main() -> None:
    words = sys.argv[1:]
    if len(words) == 2 and words[0] == "run":
        run(Path(words[1]))
    elif len(words) == 3 and words[0] == "compare":
        sys.exit(1 if compare(Path(words[1]), Path(words[2])) else 0)
    else:
        sys.exit(__doc__)


if __name__ == "__main__":
    main()
