"""Pieces to hold, worked by hand and by drawing."""

import math

import numpy as np
import pytest

from scrubwright.wear.spares import ageing_demand, jobs_demand, pieces_to_order, steady_demand, unknown_rate_demand

# 95 of 100 deliveries served, by the cumulative Poisson law: for a mean of 1.4, e^-1.4 (1 + 1.4 + 0.98 + 0.457333) =
# 0.946276 up to 3 pieces, and 0.246597 x 0.160067 = 0.039472 more at 4, so 4.
STOCKS = {0.1: 1, 0.3: 1, 0.5: 2, 0.8: 2, 1.0: 3, 1.4: 4, 2.0: 5, 3.0: 6, 5.0: 9, 8.0: 13, 10.0: 15}


@pytest.mark.parametrize(("mean", "stock"), STOCKS.items())
def test_the_stock_for_95_of_100_deliveries(mean: float, stock: int) -> None:
    # The sum of the law's terms in whole steps, nothing from a library.
    terms = [math.exp(-mean) * mean**count / math.factorial(count) for count in range(stock + 1)]
    assert sum(terms[:-1]) < 0.95 <= sum(terms)
    assert steady_demand(mean / 50, 50.0).stock_for(0.95) == stock


def test_pieces_missing_at_a_delivery() -> None:
    # Mean 1: without stock the mean itself is missing; each piece more takes off the chance that it is needed:
    # 1 - (1 - 0.367879) = 0.367879; - (1 - 0.735759) = 0.103638; - (1 - 0.919699) = 0.023337; - 0.018988 = 0.004349.
    one = steady_demand(0.01, 100.0)
    assert [one.short_ratio(pieces) for pieces in range(5)] == pytest.approx(
        [1, 0.367879, 0.103638, 0.023337, 0.004349], abs=1e-6
    )
    # Mean 2: 2, 2 - 0.864665 = 1.135335, - 0.593994 = 0.541341, - 0.323324 = 0.218017, - 0.142877 = 0.075140.
    two = steady_demand(0.02, 100.0)
    assert [two.short_ratio(pieces) for pieces in range(5)] == pytest.approx(
        [2, 1.135335, 0.541341, 0.218017, 0.075140], abs=2e-6
    )
    # Of two pieces asked for 0.541341 are missing with a stock of 2, so 73 of 100 are handed out at once.
    assert two.filled_fraction(2) == pytest.approx(1 - 0.541341 / 2, abs=1e-6)


def test_blades_that_go_in_ones_and_twos() -> None:
    # Three jobs, three in ten with one blade and seven in ten with two. Mean 3 x (0.3 + 2 x 0.7) = 5.1. By Panjer:
    # g0 = e^-3 = 0.049787; g1 = 3 x 0.3 g0 = 0.044808; g2 = 1.5 (0.3 g1 + 1.4 g0) = 0.124717;
    # g3 = 1 (0.3 g2 + 1.4 g1) = 0.100147.
    demand = jobs_demand(0.03, 100.0, (0.3, 0.7))
    assert demand.mean_ratio == pytest.approx(5.1, abs=1e-9)
    assert demand.chances_fraction[:4] == pytest.approx([0.049787, 0.044808, 0.124717, 0.100147], abs=1e-6)
    # Drawn a million times: 11 pieces are the least for 95 of 100 deliveries. As if blades went one by one it
    # would be 9, which serve 91 of 100.
    rng = np.random.default_rng(4)
    jobs = rng.poisson(3.0, 1_000_000)
    blades = jobs + rng.binomial(jobs, 0.7)
    assert np.mean(blades <= 10) < 0.95 < np.mean(blades <= 11)
    assert demand.stock_for(0.95) == 11
    assert steady_demand(0.051, 100.0).stock_for(0.95) == 9
    assert demand.served_fraction(9) == pytest.approx(float(np.mean(blades <= 9)), abs=0.0015)
    assert demand.served_fraction(9) == pytest.approx(0.913, abs=0.0005)


def ends_within(age_h: float, further_h: float) -> float:
    """Shape 2.5, scale 300 h."""
    return 1 - math.exp((age_h / 300) ** 2.5 - ((age_h + further_h) / 300) ** 2.5)


@pytest.mark.parametrize(
    ("ages_h", "stock"),
    # Twelve machines, 84 h each until the delivery. Aged 30 h a part ends with 1 - exp(0.1^2.5 - 0.38^2.5) = 0.0823:
    # none 0.357, one 0.384, two 0.189, three 0.057, together 0.987 and without the last 0.930, so 3. Aged 250 h with
    # 0.4904, mean 5.9: 9 for the binomial law. Two each of 50, 100 ... 300 h: mean 4.17, and 7.
    [([30.0] * 12, 3), ([250.0] * 12, 9), ([50.0, 100.0, 150.0, 200.0, 250.0, 300.0] * 2, 7)],
)
def test_ages_tell_more_than_the_long_run(ages_h: list[float], stock: int) -> None:
    chances = [ends_within(age_h, 84.0) for age_h in ages_h]
    rng = np.random.default_rng(9)
    drawn = np.sum(rng.random((200_000, 12)) < np.array(chances), axis=1)
    assert np.mean(drawn <= stock - 1) < 0.95 <= np.mean(drawn <= stock)
    assert ageing_demand(chances).stock_for(0.95) == stock
    # In the long run 12 x 84 h over the mean life 300 Γ(1.4) = 266.18 h are 3.787 pieces: 7 for all.
    assert steady_demand(12 / 266.18, 84.0).stock_for(0.95) == 7


def test_planned_changes_are_held_for_certain() -> None:
    # Two planned, and one part that ends with one chance in four: 2 with 0.75, 3 with 0.25.
    demand = ageing_demand([0.25], planned_pieces=2)
    assert demand.chances_fraction == pytest.approx([0, 0, 0.75, 0.25])
    assert (demand.stock_for(0.7), demand.stock_for(0.95)) == (2, 3)


def test_an_unknown_rate_asks_for_more_than_a_known_one() -> None:
    # Usual life 500 h counted as one piece, 3 pieces seen in 1,500 h: 4 in 2,000 h. For 1,000 h ahead the negative
    # binomial law with 4 and 2,000/3,000: none (2/3)^4 = 0.197531, one 4 x (1/3) x that = 0.263374, two 2.5 x (1/3) x
    # that = 0.219479, three 2 x (1/3) x that = 0.146319, four 1.75 x (1/3) x that = 0.085353, five 1.6 x (1/3) x that
    # = 0.045521: together 0.912056, 0.957577. So 5; with the rate known as 0.002 an hour the mean 2 would ask for 5 at
    # 0.983 and 4 at 0.947.
    demand = unknown_rate_demand(1000.0, seen_pieces=3, seen_h=1500.0, usual_life_h=500.0)
    assert demand.chances_fraction[:6] == pytest.approx(
        [0.197531, 0.263374, 0.219479, 0.146319, 0.085353, 0.045521], abs=1e-6
    )
    assert demand.stock_for(0.95) == 5
    assert demand.served_fraction(5) < steady_demand(0.002, 1000.0).served_fraction(5)


def test_orders_are_whole_packs_and_no_less_than_the_seller_takes() -> None:
    # 11 to hold, 4 there, 2 on their way: 5 missing; in packs of 4 two packs; at least 12 three packs.
    assert pieces_to_order(11, on_shelf=4, on_order=2) == 5
    assert pieces_to_order(11, on_shelf=4, on_order=2, pack_pieces=4) == 8
    assert pieces_to_order(11, on_shelf=4, on_order=2, pack_pieces=4, least_pieces=12) == 12
    assert pieces_to_order(11, on_shelf=11, least_pieces=12) == 0
