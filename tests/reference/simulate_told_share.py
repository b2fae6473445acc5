"""Whether the told share can be learned, and from which factors (method E19).

Simulates shops of 1200 ripe strings (mean error 0.25 in, spread 0.30 in, play 1/2 in either way),
of whose quiet archers 120 are asked, and estimates mean error and told share on the grid of the
program with and without the two factors that hold only the told share. Prints what
docs/methods-evidence.md quotes. Needs numpy and scipy; takes some seconds.
"""

import numpy as np
from scipy.special import log_ndtr, ndtr

MEAN, SPREAD, PLAY, STRINGS, ASKED, SHOPS = 0.25, 0.30, 0.5, 1200, 120, 150
means = np.arange(-1.25, 1.2501, 1 / 32)
spreads = np.geomspace(0.08, 1, 17)
shares = 0.3 + (np.arange(28) + 0.5) * 0.7 / 28
M, S = np.meshgrid(means, spreads, indexing="ij")


def shop(rng, share, per_report, per_asked):
    error = rng.normal(MEAN, SPREAD, STRINGS)
    misfit = np.abs(error) > PLAY
    told = misfit & (rng.random(STRINGS) < share)
    ln_short, ln_long = log_ndtr((M - PLAY) / S), log_ndtr((-PLAY - M) / S)
    inside = ndtr((PLAY - M) / S) - ndtr((-PLAY - M) / S)
    ln = -0.5 * (M / 0.25) ** 2 - 0.5 * (np.log(S / 0.30) / 0.40) ** 2
    # 85 % of the right lengths are written down, to 1/8 in.
    written = rng.random(told.sum()) < 0.85
    for value, count in zip(*np.unique(np.round(error[told][written] * 8) / 8, return_counts=True)):
        ln = ln + count * np.log(ndtr((value + 1 / 16 - M) / S) - ndtr((value - 1 / 16 - M) / S) + 1e-300)
    unwritten = error[told][~written]
    ln = ln + (unwritten > 0).sum() * ln_short + (unwritten < 0).sum() * ln_long
    quiet = np.flatnonzero(~told)
    asked = rng.choice(quiet, ASKED, replace=False)
    short, long = (error[asked] > PLAY).sum(), (error[asked] < -PLAY).sum()
    ln = ln + (ASKED - short - long) * np.log(inside + 1e-300) + short * ln_short + long * ln_long
    outside = (1 - inside)[..., None]
    ln = ln[..., None] + (len(quiet) - ASKED) * np.log(np.maximum(1 - shares * outside, 1e-300))
    ln = ln + 8 * np.log(shares) + 2 * np.log(1 - shares)
    if per_report:
        ln = ln + told.sum() * np.log(shares)
    if per_asked:
        ln = ln + (short + long) * np.log(1 - shares)
    weight = np.exp(ln - ln.max())
    weight /= weight.sum()
    of_mean = weight.sum((1, 2))
    low, high = np.interp([0.025, 0.975], np.cumsum(of_mean), means + 1 / 64)
    return (of_mean * means).sum() - MEAN, (weight.sum((0, 1)) * shares).sum(), low <= MEAN <= high


rng = np.random.default_rng(20_240_229)
for share in (0.6, 0.9):
    for name, factors in (("neither", (False, False)), ("q per report", (True, False)), ("both", (True, True))):
        bias, learned, cover = np.mean([shop(rng, share, *factors) for _ in range(SHOPS)], axis=0)
        print(f"told share {share}, {name}: learned {learned:.2f}, mean error off by {bias:+.3f} in, cover {100 * cover:.0f} %")
