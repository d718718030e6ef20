"""Charts: every page of every ready recipe, a thousand random recipes, 2000 strips read, and how long designing takes.

python benchmarks/charts.py pages [FIRST LAST]    all pages of ready recipes FIRST to LAST of the list (all without)
python benchmarks/charts.py recipes [N]           N random recipes (1000)
python benchmarks/charts.py strips [N]            N strips on the stand-in with its noise (2000)
python benchmarks/charts.py time                  2000 RGB and 6000 CMYK patches designed and laid out

What is checked, and with which programs, stands in tests/chart/chart_*.py; needs the dev dependencies and poppler.
"""

import dataclasses
import sys
import time
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1] / "tests" / "chart"
sys.path.insert(0, str(TESTS))


def pages(first: int = 0, last: int | None = None) -> None:
    """Check all pages of ready recipes on all the named papers."""
    from chart_page_checks import check_page
    from chart_random_recipes import assert_sound

    from spectro.chart.design import design_chart
    from spectro.chart.recipe import read_recipe, ready_charts

    total = 0
    for name, page in ready_charts()[first:last]:
        recipe = read_recipe(name)
        chart = design_chart(dataclasses.replace(recipe, page=dataclasses.replace(recipe.page, size=page)))
        assert_sound(chart)
        for number in range(1, chart.pages + 1):
            check_page(chart, number)
        total += chart.pages
        print(f"{name} {page}: {len(chart)} patches, {chart.pages} pages, separation {chart.separation:.1f}", flush=True)
    print(f"{total} pages exact")


def recipes(count: int = 1000) -> None:
    """Check random recipes as the tests do."""
    import importlib.util

    from chart_random_recipes import recipes as random_recipes
    from hypothesis import HealthCheck, given, seed, settings

    spec = importlib.util.spec_from_file_location("test_layout", TESTS / "test_layout.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    done = [0]

    @seed(20261125)
    @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(random_recipes(most_patches=250))
    def run(table: dict) -> None:
        module.check_random_recipe(table)
        done[0] += 1
        if done[0] % 50 == 0:
            print(f"{done[0]} recipes", flush=True)

    run()
    print(f"{done[0]} recipes sound")


def strips(count: int = 2000) -> None:
    """Name strips of several charts, each with its own sheet and noise."""
    from chart_strip_reader import strips_of, wrong_names

    from spectro.chart.design import design_chart
    from spectro.chart.recipe import read_recipe

    done, wrong, seed = 0, [], 0
    names = ("rgb-a4-strip", "rgb-medium-strip", "rgb-small-strip", "rgb-large-strip")
    while done < count:
        seed += 1
        recipe = dataclasses.replace(read_recipe(names[seed % len(names)]), seed=seed)
        chart = design_chart(recipe)
        most = count - done
        wrong += list(wrong_names(chart, seed, most))
        done += min(most, len(strips_of(chart)))
        print(f"{done} strips, {len(wrong)} named wrongly; separation {chart.separation:.1f}", flush=True)
    print(wrong)


def timing() -> None:
    """Time designing and laying out, the median of three, wall clock and processor."""
    from spectro.chart.design import design_chart
    from spectro.chart.recipe import read_recipe

    for name, patches in (("rgb-a4-strip", 2000), ("cmyk-medium-strip", 6000)):
        recipe = dataclasses.replace(read_recipe(name), patches=patches, pages=None)
        figures = []
        for _ in range(3):
            wall, used = time.perf_counter(), time.process_time()
            chart = design_chart(recipe)
            figures.append((time.perf_counter() - wall, time.process_time() - used))
        seconds, used = sorted(figures)[1]
        print(
            f"{patches} patches, {name}: {seconds:.1f} s, processor {used:.1f} s, separation {chart.separation:.1f}, "
            f"smallest step {chart.smallest_step:.1f}, fill distance {chart.fill_distance:.3f}"
        )


if __name__ == "__main__":
    what, *numbers = sys.argv[1:] or ["time"]
    {"pages": pages, "recipes": recipes, "strips": strips, "time": timing}[what](*map(int, numbers))
