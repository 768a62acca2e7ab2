"""The crew's bodies in the simulated raft: water lost, and warmth held, of one mean person. Pure functions of rates and state."""
from __future__ import annotations

import math

from guide.drills.model import Model
from guide.figures.cold import FLOOR_INSULATION, wind_chill
from guide.figures.water import LETHAL_PCT

KMH_PER_KN = 1.852
CHILL_UPTO_C = 10.0
FULL_DEPTH_CM = 10.0
_SHADE_C = (21.0, 32.0, 38.0, 49.0)
_DRY_DAYS = ("dry_days_cool", "dry_days_32c", "dry_days_38c", "dry_days_49c")


def water_loss_l_day(model: Model, shade_c: float, sick_h: float | None = None) -> float:
    """Litres a day that a resting body loses net of what it makes, by the warmth of its shade in degC.

    `sick_h` is for how many hours somebody has been seasick; None for nobody.
    """
    base = model["skin_and_lungs_l_day"] + model["urine_l_day"] + model["faeces_l_day"] - model["made_l_day"]
    vomit = 0.0 if sick_h is None else 24 * model["vomit_l_h"] * math.exp(-sick_h / model["vomit_ease_h"])
    return base + sweat_l_day(model, shade_c) + vomit


def sweat_l_day(model: Model, shade_c: float) -> float:
    """Litres a day sweated at rest: what the dry days at that warmth say beyond those in the cool. Level past 49 degC."""
    limit_l = model["dry_limit_pct"] / 100 * model["mass_kg"]
    losses = [limit_l / model[name] for name in _DRY_DAYS]
    here = losses[-1] if shade_c >= _SHADE_C[-1] else losses[0]
    for low, high, less, more in zip(_SHADE_C, _SHADE_C[1:], losses, losses[1:]):
        if low <= shade_c < high:
            here = less + (more - less) * (shade_c - low) / (high - low)
    return here - losses[0]


def water_lack_pct(model: Model, deficit_l: float) -> float:
    """The lack in % of body mass, at most what no body survives."""
    return min(LETHAL_PCT, 100 * deficit_l / model["mass_kg"])


def insulation_m2kw(model: Model, *, floor_inflated: bool, wetness: float, depth_cm: float, bagged: float, huddled: bool) -> float:
    """Insulation of a person in m2 K/W. `wetness` and `bagged` (share of persons in thermal aids) go from 0 to 1.

    Floor and clothes by Mak and others 2009; standing water draws it down to that of sitting in 10 cm.
    """
    side = 0 if floor_inflated else 1
    dry, wet = FLOOR_INSULATION["dry"][side], FLOOR_INSULATION["wet"][side]
    held = (dry + wetness * (wet - dry)) * (1 + model["thermal_aid_gain"] * bagged) * (1 + (model["huddle_gain"] if huddled else 0))
    return held + soaked(depth_cm) * (model["wet_floor_m2kw"] - held)


def soaked(depth_cm: float) -> float:
    """How far standing water of that depth goes towards sitting in 10 cm, 0 to 1."""
    return min(1.0, depth_cm / FULL_DEPTH_CM)


def felt_c(model: Model, air_c: float, wind_kn: float, *, sheltered: bool) -> float:
    """How the air feels in degC: warmer under a shut canopy, chilled by wind where it can get in."""
    if sheltered:
        return air_c + model["shelter_c"]
    return wind_chill(air_c, wind_kn * KMH_PER_KN).value if air_c <= CHILL_UPTO_C else air_c


def heat_lost_w(model: Model, insulation: float, air_felt_c: float, sea_c: float, depth_cm: float) -> float:
    """Heat that leaves a body in W, through its own tissue and the insulation, to sea and air; not below 0."""
    share = model["floor_share"] + (1 - model["floor_share"]) * soaked(depth_cm)
    around_c = share * sea_c + (1 - share) * air_felt_c
    return max(0.0, model["body_m2"] * (model["core_c"] - around_c) / (model["tissue_m2kw"] + insulation))


def heat_made_w(model: Model, lost_w: float, cooled_k: float) -> float:
    """Heat that the body makes in W: at rest what it loses, shivering up to its most, all of that once it has cooled."""
    rest, most = model["rest_w"], model["rest_w"] * (1 + model["shiver_gain"])
    if cooled_k > 0:
        return most
    return min(most, lost_w) if lost_w > rest else lost_w


def cooled_after_k(model: Model, cooled_k: float, lost_w: float, made_w: float, seconds: float) -> float:
    """Mean cooling of the body in K after some seconds; a warm body gets no warmer."""
    return max(0.0, cooled_k + (lost_w - made_w) * seconds / (model["mass_kg"] * model["heat_kj_kgk"] * 1000))


def warmth_pct(model: Model, cooled_k: float) -> float:
    """Warmth left, 100 for a warm body, 0 where it is spent."""
    return max(0.0, 100 * (1 - cooled_k / model["spent_k"]))
