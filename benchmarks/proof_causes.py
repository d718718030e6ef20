"""Are proof pages judged rightly? The stand-in prints pages in every known wrong way, over many seeds.

    python benchmarks/proof_causes.py [SEEDS]

Prints, for each way of a page, paper and mishap, how often which cause was named; a line with ! holds a wrong one.
"""

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

import numpy as np

from spectro.chart.proof_pages import design_proof
from spectro.chart.recipe import read_recipe
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.proof import judge_proof
from spectro.checks.proof_paths import black_y
from spectro.colour.black_point import scale_black
from spectro.colour.page_numbers import lab_to_oprgb, oprgb_to_lab
from spectro.colour.srgb import lab_to_srgb, srgb_to_lab
from spectro.files.cgats import pack_cgats
from spectro.icc.evaluate import lab_to_device
from spectro.icc.profile_file import IccProfile
from spectro.profile.assemble import ProfileText, WantedProfile, build_rgb_profile
from spectro.profile.proof_aims import converted, proof_colours
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray
from spectro.records.assessment import ErrorBudget
from spectro.records.chart import Chart
from spectro.records.conditions import MeasurementCondition, RenderingIntent
from spectro.records.proof import ProofWay
from spectro.records.proof_result import ProofCause
from spectro.stand_in.demo import demo_chart
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import Paper, glossy_paper, matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.proof_prints import ProofMishap, ProofPlace, print_proof
from spectro.stand_in.readings import ReadSheet, chart_measurements

RELATIVE, ABSOLUTE, PERCEPTUAL = RenderingIntent.RELATIVE, RenderingIntent.ABSOLUTE, RenderingIntent.PERCEPTUAL
BUDGET = ErrorBudget(repeat_noise=0.13, repeat_noise_from="the demo", model=0.14, table=0.06, total=0.2)  # of its assessment
WANTED = {
    ProofMishap.NOTHING: {ProofCause.NONE},
    ProofMishap.DRIVER_CONVERTS: {ProofCause.CONVERTED},
    ProofMishap.DRIVER_GAMMA: {ProofCause.TONES},
    ProofMishap.DRIVER_ENHANCES: {ProofCause.ENHANCED},
    ProofMishap.OTHER_PAPER: {ProofCause.PAPER},
    ProofMishap.OTHER_BATCH: {ProofCause.PAPER},
    ProofMishap.READ_M0: {ProofCause.CONDITION},
    ProofMishap.READ_M2: {ProofCause.CONDITION},
    ProofMishap.READ_M3: {ProofCause.CONDITION},
    ProofMishap.PRINTER_MOVED: {ProofCause.PRINTER},
    ProofMishap.DARK_INK_LOST: {ProofCause.INK},
    ProofMishap.LIGHT_INK_LOST: {ProofCause.INK},
}


def stand_in_profile(paper: Paper, seed: int = 1) -> IccProfile:
    """Return a profile of the stand-in on a paper, built from a demo chart printed on it; its readings lie in it."""
    chart = demo_chart()
    readings = chart_measurements(
        chart,
        ReadSheet(
            printer=Printer(),
            paper=paper,
            instrument=Instrument(),
            condition=MeasurementCondition.M1,
            seed=seed,
            sheet_seed=seed + 10,
        ),
    )
    text = ProfileText(name="stand-in", characterization=pack_cgats(measurement_table(readings)), date=datetime(2026, 1, 1))
    return build_rgb_profile(fit_printer(readings).model.predict, WantedProfile(text=text))


def proof_chart(
    profile: IccProfile, way: ProofWay, intent: RenderingIntent = RELATIVE, patches: int = 132, recipe: str = "rgb-a4-strip"
) -> Chart:
    """Return a proof page of a profile, as the command lays it out."""
    colours = proof_colours(profile, name="stand-in.icc", sha256="0" * 64, way=way, intent=intent, patches=patches)
    return design_proof(replace(read_recipe(recipe), patches=patches, pages=None), colours)


def program_mistakes(profile: IccProfile, chart: Chart) -> dict[str, tuple[set[ProofCause], Callable[[], FloatArray]]]:
    """Return what a program may do with a page: the causes that name it, and the device values that come out of it."""
    if chart.proof is None:
        raise TypeError("a chart without aims")
    device, asked = chart.device, chart.proof.pcs_lab

    def eight(values: FloatArray) -> FloatArray:
        return np.rint(np.clip(values, 0, 1) * 255) / 255

    found: dict[str, tuple[set[ProofCause], Callable[[], FloatArray]]] = {
        "converted again, relative": ({ProofCause.CONVERTED}, lambda: eight(lab_to_device(profile, srgb_to_lab(device)))),
        "converted again, perceptual": (
            {ProofCause.CONVERTED},
            lambda: eight(lab_to_device(profile, srgb_to_lab(device), "B2A0")),
        ),
        "converted again from opRGB": ({ProofCause.CONVERTED}, lambda: eight(lab_to_device(profile, oprgb_to_lab(device)))),
    }
    if chart.proof.way is ProofWay.DEVICE:
        return found
    scaled = scale_black(asked, 0.0, black_y(profile))
    for intent in (RELATIVE, PERCEPTUAL, ABSOLUTE):
        if intent != chart.proof.intent:
            found[f"intent {intent}"] = ({ProofCause.INTENT}, lambda intent=intent: eight(converted(profile, asked, intent)))  # type: ignore[misc]
    if chart.proof.intent == RELATIVE:
        found["black point compensation"] = ({ProofCause.BLACK}, lambda: eight(converted(profile, scaled, RELATIVE)))
    found["not converted, sRGB"] = ({ProofCause.NOT_CONVERTED}, lambda: eight(lab_to_srgb(asked)))
    found["not converted, opRGB"] = ({ProofCause.NOT_CONVERTED}, lambda: eight(lab_to_oprgb(asked)))
    if chart.proof.way is ProofWay.OPRGB:
        mistaken = srgb_to_lab(np.clip(lab_to_oprgb(asked), 0, 1))
        found["opRGB taken for sRGB"] = ({ProofCause.OTHER_SOURCE}, lambda: eight(converted(profile, mistaken, RELATIVE)))
    return found


def campaign(profile: IccProfile, chart: Chart, paper: Paper, seeds: int) -> dict[str, tuple[set[ProofCause], Counter[str]]]:
    """Return, for each mishap and mistake, the causes that name it and how often which one was named."""
    place = ProofPlace(paper=paper)
    found: dict[str, tuple[set[ProofCause], Counter[str]]] = {}

    def judge(name: str, wanted: set[ProofCause], device: FloatArray, mishap: ProofMishap) -> None:
        counts: Counter[str] = Counter()
        for seed in range(seeds):
            printed = print_proof(device, chart.positions, mishap, seed=seed, place=place)
            readings = replace(printed, device=chart.device, sample_ids=chart.sample_ids, sample_names=chart.sample_names)
            explanation = judge_proof(profile, "stand-in.icc", chart, readings, BUDGET).explanation
            causes = " or ".join(filter(None, (str(explanation.cause), explanation.also)))
            counts[f"{causes} ({explanation.sureness})"] += 1
        found[name] = (wanted, counts)

    for mishap, wanted in WANTED.items():
        judge(str(mishap), wanted, chart.device, mishap)
    for name, (wanted, device) in program_mistakes(profile, chart).items():
        judge(name, wanted, device(), ProofMishap.NOTHING)
    return found


def right(wanted: set[ProofCause], counts: Counter[str]) -> int:
    """Return how often one of the wanted causes was among those named, two at most."""
    return sum(count for words, count in counts.items() if wanted & set(words.rpartition(" (")[0].split(" or ")))


def main() -> None:
    """Run the campaign."""
    seeds = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    total = good = 0
    for paper in (matte_paper(), glossy_paper()):
        profile = stand_in_profile(paper)
        for way in ProofWay:
            print(f"\n{paper.name}, way {way}", flush=True)
            for name, (wanted, counts) in campaign(profile, proof_chart(profile, way), paper, seeds).items():
                named = right(wanted, counts)
                total, good = total + seeds, good + named
                print(
                    f"{' ' if named == seeds else '!'} {name:<32} {named:>4}/{seeds}  {dict(counts.most_common())}", flush=True
                )
    print(f"\n{good} of {total} named for what they are ({100 * good / total:.2f} %)")


if __name__ == "__main__":
    main()
