"""What an hour, a thing and a job cost the firm, and what it asks for them: the firm's own percentages.

In: wages, taxes, insurance, markups. Out: the burdened rate, prices. Formulas: burdened rate = what a person
costs in a year over the hours that person works on jobs; price = cost / (1 - margin). Taxes: IRS Publication
15 (social security 6.2 %, medicare 1.45 %, federal unemployment 0.6 % of the first $7,000 after the state's
credit; from memory). All else is a default, to be calibrated: ask your bookkeeper and your insurer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.errors import BadInput


@dataclass(frozen=True, slots=True)
class Labor:
    """What a person costs.

    wage_usd_h: paid [USD/h]; paid_h_year: paid hours a year; unworked_h_year: of those on leave, holidays,
    yard days [h]; social_security, medicare, compensation, liability: shares of wages; federal_unemployment:
    of the first federal_base_usd; state_unemployment: of the first state_base_usd; benefits_usd_year: health,
    retirement, tools, phone [USD].
    """

    wage_usd_h: float = 24.0
    paid_h_year: float = 1800.0
    unworked_h_year: float = 100.0
    social_security: float = 0.062
    medicare: float = 0.0145
    compensation: float = 0.07
    liability: float = 0.02
    federal_unemployment: float = 0.006
    federal_base_usd: float = 7000.0
    state_unemployment: float = 0.027
    state_base_usd: float = 9000.0
    benefits_usd_year: float = 3000.0

    @property
    def burdened_usd_h(self) -> float:
        """What an hour on a job costs the firm [USD/labour-h].

        >>> round(Labor(unworked_h_year=0, benefits_usd_year=0, state_unemployment=0).burdened_usd_h, 2)
        28.02
        """
        wages = self.wage_usd_h * self.paid_h_year
        shares = self.social_security + self.medicare + self.compensation + self.liability
        based = self.federal_unemployment * min(wages, self.federal_base_usd)
        based += self.state_unemployment * min(wages, self.state_base_usd)
        return (wages * (1.0 + shares) + based + self.benefits_usd_year) / (
            self.paid_h_year - self.unworked_h_year
        )


#: What a visit of others costs [USD]. Defaults, to be calibrated; a hauler's loads are priced as haul.
_VISITS: Mapping[str, float] = {
    "hauler": 0.0,
    "utility": 0.0,
    "concrete": 700.0,
    "crane": 900.0,
    "electrician": 650.0,
    "inspector": 75.0,
}


@dataclass(frozen=True, slots=True)
class Money:
    """The firm's money.

    materials_markup: on what merchants ask; others_markup: on visits of others; overhead: share of all direct
    cost; margin: share of the price that is left; machine_usd_h: machine -> cost of an hour; haul_usd_load: a
    truckload away; visit_usd: other -> a visit; prices_usd: row of materials -> price of an ordered unit
    where the design tells none; allowance: share of the price held for what nobody can see; payments: shares
    of the price, by what they are tied to: "deposit", a phase, "finish".
    """

    labor: Labor = field(default_factory=Labor)
    materials_markup: float = 0.15
    others_markup: float = 0.10
    overhead: float = 0.20
    margin: float = 0.15
    haul_usd_load: float = 250.0
    allowance: float = 0.05
    machine_usd_h: Mapping[str, float] = field(default_factory=lambda: {"excavator": 55.0})
    visit_usd: Mapping[str, float] = field(default_factory=lambda: dict(_VISITS))
    prices_usd: Mapping[str, float] = field(default_factory=dict)
    payments: tuple[tuple[str, float], ...] = (("deposit", 0.3), ("dig", 0.3), ("rock", 0.3), ("finish", 0.1))


def price_of(cost_usd: float, margin: float) -> float:
    """The price of which `margin` is left over the cost [USD].

    >>> price_of(75.0, 0.25)
    100.0
    """
    if not 0.0 <= margin < 1.0:
        raise BadInput("margin", margin, "give a share of the price, 0 to under 1")
    return cost_usd / (1.0 - margin)


def markup_of(margin: float) -> float:
    """The markup on cost that leaves that margin of the price, both as shares.

    >>> markup_of(0.20), round(markup_of(0.25), 4)
    (0.25, 0.3333)
    """
    return price_of(1.0, margin) - 1.0


def margin_of(markup: float) -> float:
    """The margin of the price that a markup on cost leaves, both as shares.

    >>> margin_of(0.25)
    0.2
    """
    if markup < 0.0:
        raise BadInput("markup", markup, "give a share of the cost, 0 or more")
    return markup / (1.0 + markup)
