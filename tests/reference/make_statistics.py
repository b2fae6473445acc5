"""Writes statistics.json: figures of general-purpose statistics packages for seeded data.

Run in this directory, with the packages of requirements.txt:

    python make_statistics.py > statistics.json

The Rust test `reference_statistics` compares the program with these figures.
"""

import json
import sys

import numpy as np
import pandas as pd
from hmmlearn.base import BaseHMM
from lifelines import AalenJohansenFitter, KaplanMeierFitter
from scipy import special, stats
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import test_poisson_2indep

SEED = 20_240_229


def wilson():
    cases = [(0, 1), (1, 1), (0, 7), (3, 11), (21, 150), (400, 9000), (17, 17)]
    for x, n in cases:
        low, high = proportion_confint(x, n, alpha=0.05, method="wilson")
        yield {"reports": x, "strings": n, "low": low, "high": high}


def distributions():
    beta = []
    for a, b in [(0.5, 0.5), (0.5, 10.5), (3.2, 97.1), (21.5, 330.25), (600.0, 5400.0), (4000.5, 36000.5)]:
        for p in (1e-6, 0.025, 0.3, 0.5, 0.975, 1 - 1e-6):
            x = stats.beta.ppf(p, a, b)
            beta.append({"a": a, "b": b, "p": p, "quantile": x, "cdf": stats.beta.cdf(x, a, b), "upper": stats.beta.sf(x * 1.05, a, b)})
    chi = [
        {"p": p, "freedom": df, "quantile": stats.chi2.ppf(p, df)}
        for df in (0.3, 1.0, 2.7, 18.0, 242.5, 10_000.0)
        for p in (0.025, 0.5, 0.975)
    ]
    nbinom = []
    for size, mean in [(1, 0.02), (1, 3.0), (6, 4.4), (22, 4.0), (301, 60.5), (2001, 400.0)]:
        for p in (0.05, 0.5, 0.95):
            q = stats.nbinom.ppf(p, size, size / (size + mean))
            nbinom.append({"size": size, "mean": mean, "p": p, "quantile": int(q)})
    normal = [
        {"x": float(x), "ln_cdf": float(special.log_ndtr(x))}
        for x in (-200.0, -40.0, -20.0, -12.5, -12.0, -11.0, -6.0, -3.0, -1.0, -0.2, 0.0, 0.5, 2.0, 6.0)
    ]
    between = []
    for low, high in [(-0.3, -0.1), (-1e-3, 1e-3), (-2.0, 3.0), (4.0, 4.5), (9.0, 40.0), (-30.0, -29.5), (20.0, 20.25)]:
        # The difference of logarithms on the side where both tails are small.
        a, b = (-high, -low) if low > 0 else (low, high)
        if a < 0 < b:
            value = np.log(stats.norm.cdf(b) - stats.norm.cdf(a)) if b - a > 0.1 else np.log(special.erf(b / np.sqrt(2)))
        else:
            value = special.log_ndtr(b) + np.log1p(-np.exp(special.log_ndtr(a) - special.log_ndtr(b)))
        between.append({"low": low, "high": high, "ln_chance": float(value)})
    return {"beta": beta, "chi_square": chi, "negative_binomial": nbinom, "ln_normal": normal, "ln_between": between}


def conditional_tests():
    for o1, e1, o0, e0, ratio in [
        (12, 60.0, 60, 720.0, 1.0),
        (3, 4.5, 1, 31.0, 1.0),
        (0, 5.0, 7, 40.0, 1.0),
        (40, 300.0, 450, 4100.5, 1.25),
        (9, 12.0, 0, 55.0, 2.0),
    ]:
        exact = test_poisson_2indep(o1, e1, o0, e0, value=ratio, method="exact-cond", alternative="larger", compare="ratio")
        mid = test_poisson_2indep(o1, e1, o0, e0, value=ratio, method="cond-midp", alternative="larger", compare="ratio")
        yield {
            "now_reports": o1, "now_exposure": e1, "before_reports": o0, "before_exposure": e0, "ratio": ratio,
            "exact_p": float(exact.pvalue), "mid_p": float(mid.pvalue),
        }


def gamma_intervals():
    """Fay & Feuer 1997 written with scipy's chi-square quantiles."""
    for counts, costs in [([9, 8, 4], [6.0, 14.0, 38.0]), ([1, 0, 0], [6.0, 14.0, 38.0]), ([300, 220, 95], [600.0, 1450.0, 3799.0])]:
        x, c = np.array(counts, float), np.array(costs)
        y, v, w = (c * x).sum(), (c**2 * x).sum(), c.max()
        low = v / (2 * y) * stats.chi2.ppf(0.025, 2 * y**2 / v)
        high = (v + w**2) / (2 * (y + w)) * stats.chi2.ppf(0.975, 2 * (y + w) ** 2 / (v + w**2))
        yield {"counts": counts, "costs": costs, "total": y, "low": low, "high": high}


def mixtures():
    """Beta-binomial grid of the comparison of routes, written with scipy."""
    for reports, strings in [
        ([5, 21, 9, 4, 6, 2], [120.0, 150.0, 90.0, 60.0, 55.0, 110.0]),
        ([0, 3], [14.5, 22.25]),
    ]:
        x, n = np.array(reports, float), np.array(strings)
        logit = np.linspace(special.logit(0.003), special.logit(0.40), 41)
        m, big_m = np.meshgrid(special.expit(logit), np.geomspace(10, 1000, 17), indexing="ij")
        a, b = (m * big_m).ravel(), ((1 - m) * big_m).ravel()
        ln = sum(special.betaln(xi + a, ni - xi + b) - special.betaln(a, b) for xi, ni in zip(x, n))
        w = np.exp(ln - ln.max())
        w /= w.sum()
        routes = []
        for i, (xi, ni) in enumerate(zip(x, n)):
            ai, bi = xi + a, ni - xi + b
            at = [0.02, 0.06, 0.12, 0.25]
            rest_x, rest_n = x.sum() - xi, n.sum() - ni
            points = stats.beta.ppf((np.arange(60) + 0.5) / 60, rest_x + 0.5, rest_n - rest_x + 0.5)
            worse = np.mean([(w * stats.beta.sf(min(1.0, 1.25 * q), ai, bi)).sum() for q in points])
            better = np.mean([(w * stats.beta.cdf(q / 1.25, ai, bi)).sum() for q in points])
            ends = []
            for p in (0.025, 0.975):
                low, high = 0.0, 1.0
                for _ in range(60):
                    mid = (low + high) / 2
                    if (w * stats.beta.cdf(mid, ai, bi)).sum() < p:
                        low = mid
                    else:
                        high = mid
                ends.append((low + high) / 2)
            routes.append({
                "shrunk": float((w * ai / (ai + bi)).sum()), "low": ends[0], "high": ends[1],
                "chance_worse": float(worse), "chance_better": float(better),
            })
        yield {"reports": reports, "strings": strings, "routes": routes}


def survival(rng):
    n = 140
    delay = rng.exponential(60, n)
    end = rng.uniform(5, 240, n)
    days = np.ceil(np.minimum(delay, end)).astype(int)
    told = delay <= end
    outcome = np.where(told, rng.choice([1, 2, 3], n, p=[0.4, 0.35, 0.25]), 0)
    km = KaplanMeierFitter().fit(days, outcome > 0)
    table = km.event_table
    # Greenwood's sum by its definition, from the package's own counts.
    at_risk, events = table["at_risk"].to_numpy(), table["observed"].to_numpy()
    terms = np.where(at_risk > events, events / (at_risk * np.maximum(at_risk - events, 1)), np.nan)
    se = km.survival_function_["KM_estimate"].to_numpy() * np.sqrt(np.cumsum(terms))
    keep = events > 0
    steps = [
        {"day": int(d), "at_risk": int(r), "survival": float(s), "standard_error": float(e) if np.isfinite(e) else None}
        for d, r, s, e in zip(table.index[keep], at_risk[keep], km.survival_function_["KM_estimate"].to_numpy()[keep], se[keep])
    ]
    final = {}
    for k in (1, 2, 3):
        fit = AalenJohansenFitter(calculate_variance=False, jitter_level=1e-9, seed=1)
        # The package splits ties by a jitter. Between reports that changes nothing; losses are
        # moved to the evening, because they come after the reports of the day.
        fit.fit(pd.Series(days + 0.4 * (outcome == 0)), pd.Series(outcome), event_of_interest=k)
        curve = fit.cumulative_density_
        at = [30, 60, 120, 200]
        final[str(k)] = [float(curve[curve.index <= d + 0.5].iloc[-1, 0]) for d in at]
    return {"days": days.tolist(), "outcome": outcome.tolist(), "steps": steps, "incidence_days": at, "incidence": final}


def censored(rng):
    e = rng.normal(0.2, 0.3, 90)
    told = (e > 0.25) | (e < -0.75)
    known = np.round(e[told] * 8) / 8
    quiet = int((~told).sum())
    ripe = 0.8
    rows = []
    for mean, spread, q in [(0.0, 0.3, 0.9), (0.2, 0.3, 0.9), (0.25, 0.25, 1.0), (-0.5, 0.15, 0.6), (1.25, 0.08, 0.9)]:
        inside = stats.norm.cdf(0.25, mean, spread) - stats.norm.cdf(-0.75, mean, spread)
        a = (known - 1 / 16 - mean) / spread
        b = (known + 1 / 16 - mean) / spread
        flip = a > 0
        a, b = np.where(flip, -b, a), np.where(flip, -a, b)
        cells = special.log_ndtr(b) + np.log1p(-np.exp(special.log_ndtr(a) - special.log_ndtr(b)))
        value = cells.sum() + quiet * np.log(1 - q * ripe * (1 - inside))
        value += 2 * stats.norm.logsf(0.25, mean, spread) + stats.norm.logcdf(-0.75, mean, spread)
        rows.append({"mean": mean, "spread": spread, "told_share": q, "ln_likelihood": float(value)})
    return {
        "known": known.tolist(), "quiet": quiet, "ripeness": ripe, "too_short": 2, "too_long": 1,
        "play_too_long": 0.75, "play_too_short": 0.25, "rows": rows,
    }


def run_lengths(rng):
    """Months until the creep score (factor 2, limit 4) gives an alarm, by simulation."""
    for expected, rate in [(1.0, 1.0), (1.0, 2.0), (3.0, 3.0), (3.0, 6.0)]:
        runs = 20_000
        score, months = np.zeros(runs), np.zeros(runs)
        alive = np.arange(runs)
        while alive.size:
            months[alive] += 1
            score[alive] = np.maximum(0, score[alive] + rng.poisson(rate, alive.size) * np.log(2) - expected)
            alive = alive[score[alive] < 4]
        yield {
            "expected": expected, "rate": rate, "months": float(months.mean()),
            "standard_error": float(months.std() / np.sqrt(runs)),
        }


class Offset(BaseHMM):
    """States are grid points of (mean, spread); an observation is a row of log likelihoods."""

    def _compute_log_likelihood(self, X):
        return X

    def _check(self):
        pass

    def _get_n_fit_scalars_per_param(self):
        return {}


def month_ln_likelihood(month, m, s, q, long, short):
    ln = np.zeros_like(m)
    for e in month["right_lengths"]:
        a, b = (e - 1 / 16 - m) / s, (e + 1 / 16 - m) / s
        flip = a > 0
        a, b = np.where(flip, -b, a), np.where(flip, -a, b)
        ln = ln + special.log_ndtr(b) + np.log1p(-np.exp(special.log_ndtr(a) - special.log_ndtr(b)))
    outside = stats.norm.sf(short, m, s) + stats.norm.cdf(-long, m, s)
    inside = stats.norm.cdf(short, m, s) - stats.norm.cdf(-long, m, s)
    ln = ln + month["too_short"] * stats.norm.logsf(short, m, s) + month["too_long"] * stats.norm.logcdf(-long, m, s)
    if month["fits"]:
        ln = ln + month["fits"] * np.log(inside)
    return ln + month["quiet"] * np.log1p(-q * month["shown"] * outside)


def course(rng):
    """The course of an offset as a plain hidden Markov model, worked out by hmmlearn."""
    long, short, q, h, sd, spreads = 0.75, 0.25, 0.9, 0.02, 0.30, 9
    months = []
    for t in range(14):
        n = 0 if t == 4 else 40
        e = rng.normal(0.0 if t < 9 else 0.375, 0.28, n)
        # Levels of how much is shown on which the program has a point of its own.
        shown = [1.0] * 8 + [0.984375, 0.96875, 0.9375, 0.875, 0.75, 0.5]
        told = ((e > short) | (e < -long)) & (rng.random(n) < q * shown[t])
        written = told & (rng.random(n) < 0.8)
        rest = told & ~written
        months.append({
            "right_lengths": (np.round(e[written] * 8) / 8).tolist(),
            "too_short": int((e[rest] > 0).sum()), "too_long": int((e[rest] < 0).sum()),
            "fits": 1 if t == 2 else 0, "quiet": int((~told).sum()) - (1 if t == 2 else 0), "shown": shown[t],
        })
    means = np.arange(-40, 41) / 32
    s = np.geomspace(0.08, 1.0, spreads)
    bell = lambda sd: (w := np.exp(-0.5 * (means / sd) ** 2)) / w.sum()
    first = 0.8 * bell(0.04) + 0.2 * bell(0.30)
    of_spread = np.exp(-0.5 * (np.log(s / 0.30) / 0.40) ** 2)
    of_spread /= of_spread.sum()
    S, M = np.meshgrid(s, means, indexing="ij")
    one = (1 - h) * np.eye(means.size) + h * bell(sd)[None, :]
    model = Offset(n_components=M.size, implementation="log")
    model.startprob_ = np.outer(of_spread, first).ravel()
    model.transmat_ = np.kron(np.eye(spreads), one)
    X = np.array([month_ln_likelihood(m, M.ravel(), S.ravel(), q, long, short) for m in months])
    ln_evidence, weights = model.score_samples(X)
    at = weights @ np.repeat(means[None, :], spreads, 0).ravel()
    second = weights @ np.repeat(means[None, :] ** 2, spreads, 0).ravel()
    # Chance that the last jump came before month t: all of before from the package's own forward
    # pass, then a landing and no jump any more.
    jumped = []
    for t in range(1, len(months)):
        before, posterior = model.score_samples(X[:t])
        marginal = posterior[-1].reshape(spreads, -1).sum(1)
        landed = np.outer(marginal, bell(sd)).ravel()
        ln = np.log(landed) + X[t:].sum(0)
        jumped.append(before + np.log(h) + (len(months) - 1 - t) * np.log(1 - h) + special.logsumexp(ln) - ln_evidence)
    return {
        "play_too_long": long, "play_too_short": short, "told_share": q, "jump_chance": h, "jump_sd": sd,
        "spreads": spreads, "months": months, "ln_evidence": float(ln_evidence), "mean": float(at[-1]),
        "spread": float(weights[-1] @ S.ravel()),
        "smoothed": [{"mean": float(m), "sd": float(np.sqrt(v - m * m))} for m, v in zip(at, second)],
        "last_jump": np.exp(jumped).tolist(),
    }


def main():
    rng = np.random.default_rng(SEED)
    fixtures = {
        "made_by": "make_statistics.py",
        "seed": SEED,
        "wilson": list(wilson()),
        "distributions": distributions(),
        "conditional_tests": list(conditional_tests()),
        "gamma_intervals": list(gamma_intervals()),
        "mixtures": list(mixtures()),
        "survival": survival(rng),
        "censored": censored(rng),
        "run_lengths": list(run_lengths(rng)),
        "course": course(np.random.default_rng(SEED)),
    }
    json.dump(fixtures, sys.stdout, indent=1)
    print()


main()
