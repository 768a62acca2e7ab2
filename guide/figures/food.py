"""Food: what a resting body burns, how long rations last, and what water protein costs."""

from __future__ import annotations

from types import MappingProxyType

from guide.figures.model import ARITHMETIC, Answer, Figure, Input, Source, range_note
from guide.figures.water import PERSONS

UREA_MOSM_PER_G = 0.16 / 28.01 * 1000
GREATEST_URINE_MOSM_L = 1200.0
# Schofield's lines by sex, from 18, from 30 and above 60 years: kcal/day for each kg, and kcal/day.
SCHOFIELD = MappingProxyType(
    {
        "m": ((15.057, 692.2), (11.472, 873.1), (11.711, 587.7)),
        "f": ((14.818, 486.6), (8.126, 845.6), (9.082, 658.5)),
    }
)


def mifflin_kcal(sex: str, mass_kg: float, height_cm: float, age: float) -> float:
    """Resting need in kcal/day of a man ("m") or woman ("f") aged 19 to 78. Source: Mifflin-St Jeor (read)."""
    return 10 * mass_kg + 6.25 * height_cm - 5 * age + (5 if sex == "m" else -161)


def schofield_kcal(sex: str, mass_kg: float, age: float) -> float:
    """Resting need in kcal/day of an adult; standard error 108 to 167. Source: Schofield, by FAO/WHO/UNU (read).

    The youngest line holds to 30, the next from 30 to 60 and the last above 60.
    """
    young, middle, old = SCHOFIELD[sex]
    slope, base = young if age < 30 else middle if age <= 60 else old
    return slope * mass_kg + base


def resting_energy(sex: str, mass_kg: float, height_cm: float, age: float) -> Answer:
    """Mean of the two equations in kcal/day, with both in the details; adults only."""
    mifflin, schofield = mifflin_kcal(sex, mass_kg, height_cm, age), schofield_kcal(sex, mass_kg, age)
    low, high = sorted((mifflin, schofield))
    return Answer(
        (low + high) / 2,
        {"mifflin_kcal": mifflin, "schofield_kcal": schofield},
        (
            range_note(low, high, "kcal/day", "The two published equations differ; the headline is their mean."),
            "Sitting in a raft takes about a fifth more, and shivering can double it.",
        ),
    )


def food_days(persons: int, stock_kcal: float, kcal_each_per_day: float) -> Answer:
    """Days that `stock_kcal` (kcal) lasts at `kcal_each_per_day` (kcal) a head. Source: arithmetic."""
    return Answer(stock_kcal / (persons * kcal_each_per_day))


def protein_water(protein_g: float) -> Answer:
    """Litres of urine that clear the urea of `protein_g` (g) of protein, at 1200 mOsm/L.

    Protein is 16 % nitrogen, two to a molecule of urea. Source: renal physiology texts (read).
    """
    return Answer(
        protein_g * UREA_MOSM_PER_G / GREATEST_URINE_MOSM_L,
        notes=("Water in the food is not taken off.",),
    )


FIGURES = (
    Figure(
        id="resting_energy",
        unit="kcal/day",
        title="what a body burns at rest",
        sentence="At rest that person burns about {value:.0f} kcal a day ({mifflin_kcal:.0f} by one equation, "
        "{schofield_kcal:.0f} by the other).",
        inputs=(
            Input("sex", "m for a man, f for a woman", kind="choice", choices=("m", "f")),
            Input("mass_kg", "body mass", "kg", 30, 300, fitted=(40, 150)),
            Input("height_cm", "height", "cm", 100, 250),
            Input("age", "age in years", "years", 18, 100, fitted=(19, 78)),
        ),
        assumption="A healthy adult lying at rest in the warm.",
        limits="Adults only. Cold, work, wounds and fever all add.",
        sources=(
            Source("Mifflin and St Jeor, resting energy", "read"),
            Source("Schofield, in the FAO/WHO/UNU tables", "read"),
        ),
        function=resting_energy,
    ),
    Figure(
        id="food_days",
        unit="days",
        title="how long the food lasts",
        sentence="{stock_kcal} kcal for {persons} at {kcal_each_per_day} kcal each a day lasts {value:.1f} days.",
        inputs=(
            PERSONS,
            Input("stock_kcal", "food aboard", "kcal", 0, 1e7),
            Input("kcal_each_per_day", "issue for each person a day", "kcal", 10, 10_000),
        ),
        assumption="A steady issue and nothing spoilt.",
        limits="A body lasts far longer than the ration does; water is what counts.",
        sources=(ARITHMETIC,),
        function=food_days,
    ),
    Figure(
        id="protein_water",
        unit="L",
        title="what water it costs to eat protein",
        sentence="To clear the waste of {protein_g} g of protein the body passes {value:.2f} litres of water.",
        inputs=(Input("protein_g", "protein eaten", "g", 0, 1000),),
        assumption="Kidneys at their strongest, 1200 mOsm a litre.",
        limits="A tired, hot or sick body needs more.",
        sources=(Source("Renal physiology, nitrogen and urea of protein", "read"),),
        function=protein_water,
    ),
)
