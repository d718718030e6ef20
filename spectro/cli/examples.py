"""One example for each command, shown by its help and its errors. A test runs them all, from first to last.

They build on one another: the chart of the first is read by the stand-in instrument, profiled and proven by the next.
"""

EXAMPLES: dict[tuple[str, str], str] = {
    ("demo", ""): "spectro demo --out try",
    ("chart", "new"): "spectro chart new --reader strip --page a4 --minutes 2 --out chart",
    ("chart", "list"): "spectro chart list",
    ("chart", "path-test"): "spectro chart path-test --path dialog driver --out path-test",
    ("chart", "adopt"): "spectro chart adopt chart/chart.txt --out adopted",
    ("chart", "show"): "spectro chart show chart",
    ("chart", "pages"): "spectro chart pages chart --page letter --out letter",
    ("readings", "take"): "spectro readings take chart --instrument stand-in --out readings.txt",
    ("readings", "watch"): "spectro readings watch exports --chart chart --measurement-condition M1 --once",
    ("readings", "add"): "spectro readings add readings.txt --chart chart --out kept.txt",
    ("readings", "show"): "spectro readings show kept.txt",
    ("colours", ""): "spectro colours kept.txt --illuminant A --out colours.csv",
    ("profile", "build"): "spectro profile build kept.txt --out paper.icc",
    ("profile", "assess"): "spectro profile assess paper.icc second-sheet.txt --report report.html",
    ("profile", "monochrome"): "spectro profile monochrome kept.txt --curve curve.csv",
    ("profile", "show"): "spectro profile show paper.icc",
    ("profile", "refresh"): "spectro profile refresh paper.icc second-sheet.txt --out refreshed.icc",
    ("profile", "top-up"): "spectro profile top-up kept.txt --out top-up",
    ("profile", "proof-page"): "spectro profile proof-page paper.icc --out proof",
    ("profile", "install"): "spectro profile install paper.icc",
    ("paper", "describe"): "spectro paper describe kept.txt --report paper.html",
    ("paper", "compare"): "spectro paper compare old=second-sheet.txt new=kept.txt",
    ("image", "convert"): "spectro image convert photo.png --to paper.icc --intent relative",
    ("drift", ""): "spectro drift january.txt february.txt",
    ("batch", ""): "spectro batch plan.toml --dry-run",
    ("viewing", ""): "spectro viewing paper.icc --viewing P2",
    ("shelf", "new"): "spectro shelf new --printer 'Studio printer' --paper 'Rag 310'",
    ("shelf", "list"): "spectro shelf list",
    ("shelf", "note"): "spectro shelf note studio-printer 'head clean'",
    ("shelf", "verify"): "spectro shelf verify",
    ("shelf", "pack"): "spectro shelf pack studio-printer --out rag.zip",
    ("desk", ""): "spectro desk --try",
}
