"""Heat of enclosures: the temperature inside against what is allowed there."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import enclosures
from netdsl.calc.basis import Result
from netdsl.calc.heat import Enclosures
from netdsl.findings import Severity


@rule("enclosure-hot", Severity.WARNING, source="IEC TR 60890 and VDE 0660-507; IEC 61439-1, 10.10", judges=enclosures)
def enclosure_hot(facts: Facts, this: Rule) -> Iterator[Report]:
    """An enclosure becomes hotter inside than its devices bear.

    Reports:
      A cabinet, box or panel whose devices, all at rated load, heat the air inside above the highest temperature allowed there:
      `inside-limit` of the place, else of the project, else the usual one. Walls count by size, mounting and material, fans
      inside by the share of their free-blow airflow that passes the filters, air at the altitude of the site.
    Silent:
      Enclosures that do not say their size or the temperature around them, or that hold a drive, reactor or supply of unknown
      losses: the rule on missing data speaks of those that hold a drive, reactor or supply. Enclosures that hold neither and do
      not say the temperature around them. Parts of an enclosure (doors, plates) are counted with it.
    Why:
      Drives derate or trip when it is hot, electronics ages twice as fast with every ten kelvin.
    Failing:
      place +BOX "Converter box" kind=box material=plastic size=400x600x250mm mounting=against-wall ambient=30degC losses=120W
    Passing:
      place +BOX "Converter box" kind=box material=plastic size=400x600x250mm mounting=against-wall ambient=20degC losses=20W
    Remedy:
      Give it a fan or more airflow, a larger or better placed enclosure, or put what gives off heat elsewhere; where the devices
      bear more, say so with `inside-limit=`.
    """
    for result in facts.calculation.results_of(Enclosures):
        if result.question == "enclosure.temperature" and not result.holds:
            yield _report(facts, this, result)


def _report(facts: Facts, this: Rule, result: Result) -> Report:
    place = facts.plant.places[result.subject]
    found = {other.question: other for other in facts.calculation.results_of(Enclosures) if other.subject == place.id}
    losses, airflow, cooling = (found.get(f"enclosure.{name}") for name in ("losses", "airflow", "cooling"))
    watts = f"{losses.value:.0f} W" if losses else "the losses"
    limit = f"{result.limit or 0:.0f} °C is the highest allowed"
    message = f"`{place.id}` reaches {result.value:.0f} °C inside with {watts} of losses, {limit}"
    if airflow is not None:
        remedy = f"let {airflow.value:.0f} m³/h pass through it, or take a larger enclosure"
    else:
        remedy = f"cool it by {cooling.value:.0f} W; air from around it is too warm" if cooling else "cool it"
    return this.report(
        f"{message}", f"{remedy}; `inside-limit=` where its devices bear more", place.span, (place.id,), about=(place.id,)
    )
