"""Drinking water: how long it lasts, what each gets, what rain and pump give, and what a lack does to the body."""

from __future__ import annotations

from guide.figures.model import ARITHMETIC, Answer, Figure, FigureError, Input, Source, range_note
from guide.figures.units import written

LEAST_RATION_L = 0.5
LETHAL_PCT = 25.0
# The lack, in % of body mass, from which each sign shows.
SIGNS = (
    (2, "thirst"),
    (5, "nausea"),
    (6, "dizziness, headache, tingling, no strength to walk"),
    (10, "confusion and failing senses"),
    (15, "death in great heat"),
    (LETHAL_PCT, "death anywhere"),
)

PERSONS = Input("persons", "people aboard", "", 1, 200, kind="whole")
STOCK = Input("stock_l", "fresh water aboard", "L", 0, 10_000)
FIRST_DAY = Input("first_day_l", "issued to each person in the first 24 hours", "L", 0, 20, default=0)
MASS = Input("mass_kg", "body mass of the person", "kg", 2, 300, fitted=(40, 150))
FIRST_DAY_NOTE = (
    "The first day is counted with the issue named in first_day_l. Whether to hold water back on that day is disputed."
)


def water_days(
    persons: int, stock_l: float, ration_l: float, first_day_l: float, casualty_l: float, make_l_per_day: float
) -> Answer:
    """Days from abandoning that a stock lasts: the first day at `first_day_l` each, then `ration_l` each a day.

    Litres throughout. `casualty_l` in all is drunk on day one; `make_l_per_day` is made from day two. If the stock
    does not cover day one the answer is the part of that day it does cover. Raises FigureError where as much is made
    as is drunk, as the stock then never ends. Source: arithmetic; the 4 days of a full pack are in crew texts (read).
    """
    first = persons * first_day_l + casualty_l
    if first > stock_l:
        return Answer(
            stock_l / first,
            notes=("The first day's issue is more than there is: the water ends on day one.", FIRST_DAY_NOTE),
        )
    daily = persons * ration_l
    if make_l_per_day >= daily:
        raise FigureError(
            f"make_l_per_day must be below the {written(daily)} L that {persons} drink a day, or the water "
            f"never ends, not {written(make_l_per_day)}",
            "make_l_per_day",
        )
    days = 1 + (stock_l - first) / (daily - make_l_per_day)
    return Answer(days, {"left_after_first_day_l": stock_l - first}, (*_ration_notes(ration_l), FIRST_DAY_NOTE))


def water_ration(persons: int, stock_l: float, days: float, first_day_l: float) -> Answer:
    """Litres a day for each person so that the stock lasts `days` from abandoning, day one at `first_day_l` each.

    Raises FigureError where day one alone takes more than the stock. Source: arithmetic.
    """
    left = stock_l - persons * first_day_l
    if left < 0:
        raise FigureError(
            f"first_day_l must be from 0 to {written(stock_l / persons)} L, what the stock gives each, "
            f"not {written(first_day_l)}",
            "first_day_l",
        )
    ration = left / (persons * (days - 1))
    return Answer(ration, notes=(*_ration_notes(ration), FIRST_DAY_NOTE))


def rain_catch(area_m2: float, rain_mm: float, efficiency: float) -> Answer:
    """Litres caught by `area_m2` (m2) from `rain_mm` (mm) of rain; 1 mm on 1 m2 is 1 L. Source: arithmetic.

    The efficiency (0 to 1) is a guess: 0.4 to 0.7 for a canopy (unverified).
    """
    caught = area_m2 * rain_mm * efficiency
    return Answer(
        caught,
        notes=(
            range_note(
                area_m2 * rain_mm * min(0.4, efficiency),
                area_m2 * rain_mm * max(0.7, efficiency),
                "L",
                "The share that a canopy yields is a guess, from 0.4 to 0.7.",
            ),
        ),
    )


def desalinator_rate(persons: int, litres_each: float, days: float) -> Answer:
    """Litres an hour, day and night, that make `litres_each` (L) a head within `days`. Source: arithmetic."""
    rate = persons * litres_each / (days * 24)
    return Answer(
        rate,
        {"litres_in_all": persons * litres_each},
        (f"Pumping for half the hours takes twice that, {written(2 * rate)} L/h.",),
    )


def dehydration(mass_kg: float, deficit_l: float) -> Answer:
    """A lack of water as % of body mass; 1 L is taken as 1 kg. Source: Adolph 1947, % of body mass (secondary).

    Raises FigureError past 30 %, beyond what any source covers.
    """
    percent = deficit_l / mass_kg * 100
    if percent > 30:
        raise FigureError(
            f"deficit_l must be from 0 to {written(0.3 * mass_kg)} L, 30 % of the body mass, not {written(deficit_l)}",
            "deficit_l",
        )
    shown = [sign for start, sign in SIGNS if start <= percent]
    return Answer(
        percent,
        notes=(
            f"Published signs of such a lack: {shown[-1] if shown else 'none yet'}. Heat brings every sign sooner.",
            "Some sources count % of body fluid, which gives a number about 1.6 times as large.",
        ),
    )


def days_to_dehydration(mass_kg: float, net_loss_l_per_day: float, intake_l_per_day: float, limit_pct: float) -> Answer:
    """Days until the lack of water is `limit_pct` of body mass, losing and drinking a steady amount in L/day.

    `net_loss_l_per_day` is after the water the body makes from food. Raises FigureError where the intake covers the
    loss. Source: arithmetic; signs from Adolph 1947 (secondary).
    """
    shrink = net_loss_l_per_day - intake_l_per_day
    if shrink <= 0:
        raise FigureError(
            f"intake_l_per_day must be below the net loss of {written(net_loss_l_per_day)} L/day, or the "
            f"limit is never reached, not {written(intake_l_per_day)}",
            "intake_l_per_day",
        )
    days = limit_pct / 100 * mass_kg / shrink
    earlier = [(start, sign) for start, sign in SIGNS if start < limit_pct]
    start, sign = earlier[-1] if earlier else (limit_pct, "the limit itself")
    return Answer(
        days,
        notes=(
            range_note(
                start / 100 * mass_kg / shrink,
                days,
                "days",
                f"The short end is {written(start)} % ({sign}), the long end the limit of {written(limit_pct)} %.",
            ),
            "At rest in the cool a person loses about 0.9 to 1.2 L a day net; heat, work and sickness take far more.",
        ),
    )


def _ration_notes(ration_l: float) -> tuple[str, ...]:
    return () if ration_l >= LEAST_RATION_L else ("Warning: less than 0.5 L each a day does not clear the body's waste.",)


PACK = Source("Crew handbooks: a full pack at 0.5 L lasts four days", "read")
ADOLPH = Source("Adolph 1947, signs by % of body mass", "secondary")
URINE = Source("Physiology text, least urine of 0.5 L a day", "read")
FIGURES = (
    Figure(
        id="water_days",
        unit="days",
        title="how long the water lasts",
        sentence=(
            "{stock_l} litres for {persons} at {ration_l} L each a day lasts {value:.1f} days from leaving the ship."
        ),
        inputs=(
            PERSONS,
            STOCK,
            Input("ration_l", "issue for each person a day, after the first", "L", 0.01, 20),
            FIRST_DAY,
            Input("casualty_l", "extra for casualties on day one, in all", "L", 0, 1000, default=0),
            Input("make_l_per_day", "rain or made water a day, from day two", "L", 0, 1000, default=0),
        ),
        assumption=(
            "Counted from leaving the ship, with nothing spilt or spoilt and a steady ration after the first 24 hours."
        ),
        limits="Heat, sickness and hurts raise what people need; more rain changes it at once.",
        sources=(PACK, URINE, ARITHMETIC),
        function=water_days,
    ),
    Figure(
        id="water_ration",
        unit="L/day",
        title="what each can drink a day for the water to last",
        sentence=(
            "For {stock_l} litres to last {days} days, each of {persons} can have {value:.2f} litres a "
            "day after the first."
        ),
        inputs=(
            PERSONS,
            STOCK,
            Input("days", "how long it must last from leaving the ship", "days", 1.1, 365),
            FIRST_DAY,
        ),
        assumption="Counted from leaving the ship, with nothing spilt or spoilt and nothing caught or made.",
        limits="Heat, sickness and hurts raise what people need.",
        sources=(PACK, URINE, ARITHMETIC),
        function=water_ration,
    ),
    Figure(
        id="rain_catch",
        unit="L",
        title="how much rain a canopy or sheet gives",
        sentence="{rain_mm} mm of rain on {area_m2} square metres gives about {value:.1f} litres.",
        inputs=(
            Input("area_m2", "area that catches, seen from above", "m2", 0.01, 1000),
            Input("rain_mm", "depth of rain", "mm", 0, 1000),
            Input("efficiency", "share that is caught", "", 0, 1, default=0.5),
        ),
        assumption="One millimetre on one square metre is one litre; half of it is caught unless you say otherwise.",
        limits="The share caught is a guess: wind, spray and the drain make it more or less.",
        sources=(ARITHMETIC, Source("Share caught, 0.4 to 0.7", "unverified")),
        function=rain_catch,
    ),
    Figure(
        id="desalinator_rate",
        unit="L/h",
        title="how fast water must be made",
        sentence=(
            "{litres_each} litres for each of {persons} in {days} days means {value:.2f} litres an hour without a stop."
        ),
        inputs=(
            PERSONS,
            Input("litres_each", "water for each person in that time", "L", 0.01, 100),
            Input("days", "time to make it in", "days", 0.04, 365),
        ),
        assumption="Pumped without a stop, day and night, in turns.",
        limits="Pumping costs sweat, and the pump's own rate is not reckoned.",
        sources=(ARITHMETIC,),
        function=desalinator_rate,
    ),
    Figure(
        id="dehydration",
        unit="%",
        title="how dry a person is",
        sentence="A lack of {deficit_l} litres is {value:.1f} % of a body of {mass_kg} kg.",
        inputs=(MASS, Input("deficit_l", "water lost and not made good", "L", 0, 90)),
        assumption="All the loss is water, and 1 litre is 1 kilogram.",
        limits="People differ; a sick or hot person is worse off.",
        sources=(ADOLPH, Source("Army survival manual, signs of water loss", "read")),
        function=dehydration,
    ),
    Figure(
        id="days_to_dehydration",
        unit="days",
        title="how long until a person is dangerously dry",
        sentence="Drinking {intake_l_per_day} L and losing {net_loss_l_per_day} L a day, a body of {mass_kg} kg is "
        "{limit_pct} % short after about {value:.1f} days.",
        inputs=(
            MASS,
            Input(
                "net_loss_l_per_day",
                "loss a day after the body's own gain",
                "L/day",
                0.1,
                25,
                fitted=(0.8, 10),
            ),
            Input("intake_l_per_day", "water drunk a day", "L/day", 0, 25),
            Input("limit_pct", "lack that counts as the limit", "%", 0.1, LETHAL_PCT, default=10),
        ),
        assumption="A steady loss and intake, in a person who starts well watered.",
        limits="Past 10 % people cannot help themselves.",
        sources=(ADOLPH, ARITHMETIC),
        function=days_to_dehydration,
    ),
)
