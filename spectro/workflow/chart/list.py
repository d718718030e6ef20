"""`spectro chart list`: the ready recipes, what each is for, and for which reader."""

from spectro.chart.channels import channel_names
from spectro.chart.layout import plan_grid
from spectro.chart.recipe import read_recipe, recipe_names
from spectro.chart.wishes import reader_of, room_of_page
from spectro.records.chart import ChartPurpose, ReadyRecipe, purpose_of


def chart_list() -> tuple[ReadyRecipe, ...]:
    """Return every ready recipe with what it is for: RGB profiles first, then control prints, greys and inks."""
    found = []
    for name in recipe_names():
        recipe = read_recipe(name)
        grid = plan_grid(recipe)
        patches = grid.starts[-1]
        found.append(
            ReadyRecipe(
                name=name,
                title=recipe.title,
                purpose=purpose_of(recipe),
                reader=reader_of(name, recipe),
                channels=channel_names(recipe),
                aperture_mm=recipe.reading.aperture_mm,
                page=recipe.page.size or f"{grid.page_mm[0]:g}x{grid.page_mm[1]:g}mm",
                patches=patches,
                pages=grid.pages,
                patches_a_page=room_of_page(recipe),
            )
        )
    order = list(ChartPurpose)
    return tuple(sorted(found, key=lambda one: (order.index(one.purpose), one.name)))
