"""The steps of the process from receiving to serving, with the hazards of each, why, and which controls answer them."""

from dataclasses import dataclass

from app.rules.day.judge import all_rules
from app.rules.day.registry import Critical
from app.rules.plans.plan import Plan
from app.words.marking import N_

BIOLOGICAL, CHEMICAL, PHYSICAL = N_("biological"), N_("chemical"), N_("physical")


@dataclass(frozen=True, slots=True)
class Hazard:
    """A hazard of a step: of which nature, what it is, why it is expected here. Messages to translate."""

    nature: str
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the process; `groups` are the groups of rules that control it, empty where good practice does."""

    key: str
    title: str
    what: str
    hazards: tuple[Hazard, ...]
    groups: tuple[str, ...] = ()

    def in_force(self, plan: Plan) -> tuple[str, ...]:
        """Give those of its groups that a plan has in force."""
        return tuple(group for group in self.groups if plan.has(group))

    def is_critical(self, plan: Plan) -> bool:
        """Whether a limit of this step is a critical limit in a plan."""
        return any(is_critical(group) for group in self.in_force(plan))


def is_critical(group: str) -> bool:
    """Whether a rule of a group finds deviations from a critical limit."""
    return any(rule.group == group and rule.critical is not Critical.NEVER for rule in all_rules().values())


# Which bacteria go with which food and what holds them was read in a hand-out for facilities, whose table of biological
# hazards has the form of Food Code, Annex 4 (Annex 4 itself was not read): Campylobacter and Salmonella with poultry,
# held by cooking and clean hands; Clostridium perfringens with cooked poultry, held by cooling, hot and cold holding,
# reheating; Bacillus cereus with poultry, the same ways; Listeria with raw poultry. The rest, the chemical and physical
# hazards and the reasons, is from memory. The kitchen adds what only it knows.
STEPS: tuple[Step, ...] = (
    Step(
        "receiving",
        N_("Receiving"),
        N_("Raw poultry comes in chilled or frozen, with its lot and supplier. It is accepted or rejected."),
        (
            Hazard(
                BIOLOGICAL,
                N_("Salmonella and Campylobacter on raw poultry; growth where it came in warm"),
                N_(
                    "Raw poultry commonly carries them. Warmth lets Salmonella grow to numbers that are harder to kill."
                ),
            ),
            Hazard(
                CHEMICAL,
                N_("residues; cleaning agents in transport"),
                N_("Controlled by who is bought from, and by looking at each delivery."),
            ),
        ),
        ("receiving",),
    ),
    Step(
        "cold_storage",
        N_("Cold storage and thawing of raw birds"),
        N_("Raw birds lie in cold units, apart from food that is ready to eat, until they are loaded."),
        (
            Hazard(
                BIOLOGICAL,
                N_("growth of Salmonella; drip onto food that is ready to eat"),
                N_("A unit that is too warm lets bacteria grow. Raw juice that drips is not cooked away."),
            ),
        ),
        ("cold_storage",),
    ),
    Step(
        "preparing",
        N_("Trussing and loading"),
        N_("Birds are trussed, counted onto spits with their ties and skewers, and put into the oven."),
        (
            Hazard(
                BIOLOGICAL,
                N_("germs carried from raw birds by hands, probes and tables"),
                N_("What touches raw and then cooked birds undoes the cooking. Answered by washing and order."),
            ),
            Hazard(
                PHYSICAL,
                N_("ties, skewers and broken parts of spits left in a bird"),
                N_("They are put in here and must all come out at the pull."),
            ),
        ),
        ("foreign_body",),
    ),
    Step(
        "cooking",
        N_("Roasting and pulling"),
        N_("Birds turn on spits until the birds that are probed have reached the limit, and are pulled into a tray."),
        (
            Hazard(
                BIOLOGICAL,
                N_("Salmonella and Campylobacter that survive"),
                N_("The thickest part and the largest bird are hot last. This is the step that kills them."),
            ),
            Hazard(
                PHYSICAL,
                N_("ties and skewers that stay in a bird"),
                N_("Ties and skewers off are counted against those on."),
            ),
        ),
        ("cooking", "foreign_body"),
    ),
    Step(
        "hot_holding",
        N_("Hot holding"),
        N_("Trays wait in hot-holding units and are read at set times."),
        (
            Hazard(
                BIOLOGICAL,
                N_("growth of Clostridium perfringens, Bacillus cereus and Staphylococcus aureus"),
                N_("Spores survive roasting and grow in food that is warm but not hot. Some toxins survive reheating."),
            ),
        ),
        ("holding",),
    ),
    Step(
        "time_control",
        N_("Holding by time alone"),
        N_("A tray that was hot at its start is marked, and is empty by the time on its label."),
        (
            Hazard(
                BIOLOGICAL,
                N_("growth of the same bacteria while the tray cools"),
                N_("Nothing but the clock holds them back. The food must be gone before they have had time."),
            ),
        ),
        ("time_control",),
    ),
    Step(
        "cooling",
        N_("Cooling"),
        N_("Birds that are not sold hot are chilled in a batch: cut up, in shallow pans, in ice or in a chiller."),
        (
            Hazard(
                BIOLOGICAL,
                N_("growth of Clostridium perfringens from spores"),
                N_("A whole bird cools slowly, through just the temperatures at which it grows fastest."),
            ),
        ),
        ("cooling",),
    ),
    Step(
        "cold_holding",
        N_("Cold holding of cooked birds"),
        N_("Chilled batches lie in cold units until their date."),
        (
            Hazard(
                BIOLOGICAL,
                N_("growth of Listeria monocytogenes and others in the cold"),
                N_("Listeria grows slowly in the cold too, so both temperature and days are limited."),
            ),
        ),
        ("cold_storage",),
    ),
    Step(
        "reheating",
        N_("Reheating for hot holding"),
        N_("Chilled birds are heated through once and go into a tray."),
        (
            Hazard(
                BIOLOGICAL,
                N_("bacteria that grew during cooling and storage"),
                N_("They are killed only where all parts are heated through, and soon. Some toxins stay."),
            ),
        ),
        ("reheating",),
    ),
    Step(
        "serving",
        N_("Portioning and serving"),
        N_("Birds are served, boned, given away, or thrown away. Each way out is written with its count."),
        (
            Hazard(
                BIOLOGICAL,
                N_("germs from hands, boards and knives"),
                N_("Nothing kills them after this. Answered by clean hands, tools and surfaces."),
            ),
            Hazard(
                CHEMICAL,
                N_("allergens in rubs, sauces and stuffings"),
                N_("Not controlled by this plan: see what it does not cover."),
            ),
        ),
        ("balance",),
    ),
)
