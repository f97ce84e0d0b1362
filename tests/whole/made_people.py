"""Invented people for the records: each leaves something open, or has what nobody in tests/effort/people.toml has."""

from everyrung.terms.enums import KitItem
from everyrung.terms.errors import Where
from everyrung.terms.person import Estimate, Experience, Health, Own, Person, Sex
from everyrung.terms.units import Mass, MassUnit

HERE = Where(file="people.toml", line=1, field="person[1]")
BALLS = (Own(item=KitItem.BALL, diameter_cm=55.0, rated_kg=120.0), Own(item=KitItem.BALL, diameter_cm=72.0))
WEIGHTS = Own(item=KitItem.DUMBBELLS, pieces=2, mass=Mass(amount=4.0, unit=MassUnit.KG))
PEOPLE = (
    Person(where=HERE, name="Ada", stature_m=1.52, kit=(*BALLS, WEIGHTS)),
    Person(
        where=HERE, name="Ole", stature_m=1.91, mass_kg=97.0, age=41, sex=Sex.MALE, level=Experience.REGULAR,
        kit=(BALLS[0], Own(item=KitItem.MAT)), strength=Estimate(factor=1.2, log_sd=0.1),
        endurance=Estimate(factor=0.8, log_sd=0.2), health=Health(rate_limiting=True),
    ),
)  # fmt: skip
