# The cells of the analyst's notebook, which `ellwand notebook` writes beside its tables. Each cell
# stands under a line "# %% id"; words in double braces are put in.
# %% [markdown] about
# # {{studio}}: what the swatches teach
#
# Calibration of {{date}}, by Ellwand {{engine}}.
#
# Before anything is measured, Ellwand estimates the yarn of a hand-woven piece from starting values: a stranger's hand. Each
# swatch that is weighed, run off or measured moves the **coefficients** (how tightly she lays her yarn, how thick a yarn lies...)
# and leaves less of them unsure. This notebook shows how much better that made the estimates, what is known by now and what is not.
#
# It reads nothing but the tables beside it; `columns.csv` describes every column of them with its unit. Amounts are in g and m.
# All errors are of logarithms, ln(measured / estimate): 0.10 is about 10 %. Every range is to hold the figure 9 times in 10.
#
# - **start**: by the starting values;
# - **left out**: by a fit that has not seen the piece it is of, the honest figure for a piece to come (of more than sixty pieces, a
#   tenth is left out at a time);
# - **fitted**, or **now**: by the fit to all; nearer to what it has seen than to any new piece.
# %% read
from math import erf, exp, log, pi, sqrt
from statistics import NormalDist

import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
from matplotlib.ticker import FixedLocator, LogLocator, MaxNLocator, NullLocator

WORDS = {
    "swatch", "date", "file", "column", "what", "work", "yarn", "unit", "lot", "weaver", "includes", "amount",
    "start_inside", "fitted_inside", "left_out_inside", "inside", "name", "meaning", "acts_as", "last_piece",
    "last_date", "figure", "of", "by", "piece",
}


pd.set_option("display.max_colwidth", None, "display.max_rows", 200)


def read(file):
    """A table, its figures as numbers; an empty cell is no number."""
    table = pd.read_csv(file, dtype=str, keep_default_na=False)
    for column in table.columns:
        if column not in WORDS:
            table[column] = pd.to_numeric(table[column].replace("", "nan"))
    return table


swatches = read("swatches.csv")
coefficients = read("coefficients.csv")
covariance = read("covariance.csv").set_index("name")
predictions = read("predictions.csv")
learning = read("learning.csv")
pieces = read("pieces.csv")
engine = read("engine.csv")
columns = pd.read_csv("columns.csv", dtype=str, keep_default_na=False)

amounts = swatches[swatches["amount"] == "yes"]
amounts[["swatch", "date", "work", "yarn", "measured", "unit", "start_mid", "left_out_mid", "left_out_low", "left_out_high"]]
# %% [markdown] agreement-text
# ## Do the tables say what the engine says?
#
# Every figure of `engine.csv` is reckoned again here from the other tables, the learning curve from `predictions.csv`, and each
# table is held against itself. If a table was changed, the notebook stops here and names what does not agree.
# %% reckon
RANGE = 0.90  # what a range is to hold
Z = NormalDist().inv_cdf(0.5 + RANGE / 2)


def crps(z):
    """Continuous ranked probability score of a normal forecast of sd 1, z sds away (Gneiting and Raftery 2007)."""
    density = exp(-z * z / 2) / sqrt(2 * pi)
    return z * erf(z / sqrt(2)) + 2 * density - 1 / sqrt(pi)


def errors(table, by):
    """What each forecast of a table was off, its doubt, and its range, all of logarithms."""
    told = table[table[by + "mid"].notna()]
    told = pd.DataFrame({
        "error": np.log(told["measured"] / told[by + "mid"]),
        "low": np.log(told[by + "low"] / told[by + "mid"]),
        "high": np.log(told[by + "high"] / told[by + "mid"]),
    })
    told["sd"] = (told["high"] - told["low"]) / (2 * Z)
    told["inside"] = (told["low"] <= told["error"]) & (told["error"] <= told["high"])
    return told


def scores(told):
    """The scores of forecasts; of all but coverage less is better."""
    beyond = np.maximum(told["low"] - told["error"], 0) + np.maximum(told["error"] - told["high"], 0)
    return {
        "count": len(told),
        "mean_abs_log_error": told["error"].abs().mean(),
        "typically_off": np.expm1(told["error"]).abs().median(),
        "coverage": told["inside"].mean(),
        "interval_score": (told["high"] - told["low"] + 2 / (1 - RANGE) * beyond).mean(),
        "crps": (told["sd"] * (told["error"] / told["sd"]).map(crps)).mean(),
    }


WAYS = {"start": "start_", "fitted": "fitted_", "left_out": "left_out_"}


def reckoned():
    """The engine's figures from the tables, by figure, what it is of, and by what."""
    ours = {("measurements", "all", ""): len(swatches)}
    groups = {"all amounts": amounts, "all others": swatches[swatches["amount"] != "yes"]}
    for work, some in amounts.groupby("work"):
        groups[work] = some
    for what, some in groups["all others"].groupby("what"):
        groups[what] = some
    for of, some in groups.items():
        for by, prefix in WAYS.items():
            told = errors(some, prefix)
            if len(told):
                ours.update({(figure, of, by): value for figure, value in scores(told).items()})
    ours["weight_sum", "all", "fitted"] = swatches["weight"].sum()
    ours["step_share", "all", ""] = (swatches["step"] / swatches["measured"]).mean()
    start = coefficients["start_spread"].to_numpy()
    matrix = covariance.to_numpy()
    scale = np.where(start > 0, start, 1)
    left = np.where(start > 0, np.diag(matrix) / scale**2, 1)
    for name, share, mean, spread in zip(coefficients["name"], np.clip(1 - left, 0, 1), coefficients["mean"], start):
        ours["settled", name, "fitted"] = share
        ours["starting_spreads_moved", name, "fitted"] = mean / spread if spread > 0 else 0
    whitened = np.where(np.outer(start, start) > 0, matrix / np.outer(scale, scale), np.eye(len(start)))
    for k, value in enumerate(np.linalg.eigvalsh(whitened) if len(start) else []):
        ours["direction_settled", str(k + 1), "fitted"] = min(max(1 - value, 0), 1)
    for piece, some in pieces.groupby("piece"):
        for by in ["start", "now"]:
            for figure in ["mid", "low", "high", "set_aside"]:
                ours[figure + "_g", piece, by] = some[f"{by}_{figure}"].sum()
    ours = pd.Series(ours)
    return ours.rename_axis(["figure", "of", "by"])


def agree(ours, theirs):
    """To the digits the tables are written with."""
    return np.isclose(ours, theirs, rtol=1e-5, atol=1e-6)


# %% agreement
ours = reckoned()
theirs = engine.set_index(["figure", "of", "by"])["value"]
both = pd.DataFrame({"here": ours, "engine": theirs})
differ = both[~agree(both["here"], both["engine"])]
assert differ.empty, f"these figures are not the engine's:\n{differ}"

assert list(learning["learned_from"]) == sorted(set(predictions["learned_from"])), "learning.csv has other points than predictions.csv"
KEY = ["file", "line", "column", "yarn"]  # what tells one measurement from another
by_start = predictions[predictions["learned_from"] == 0].set_index(KEY)
for size, some in predictions.groupby("learned_from"):
    told = {"start_": scores(errors(by_start.loc[pd.MultiIndex.from_frame(some[KEY])], "")), "": scores(errors(some, ""))}
    [point] = learning[learning["learned_from"] == size].to_dict("records")
    for prefix, score in told.items():
        here = [score["count"], score["mean_abs_log_error"], score["coverage"] * score["count"], score["interval_score"]]
        there = [point["amounts"], *(point[prefix + one] for one in ["mean_abs_log_error", "count_inside", "interval_score"])]
        assert agree(here, there).all(), f"the learning curve is not the engine's at {size:g} pieces: {here} here, {there} there"
seen = swatches.set_index(KEY)["measured"]
assert (predictions["measured"].to_numpy() == seen.loc[pd.MultiIndex.from_frame(predictions[KEY])].to_numpy()).all(), (
    "predictions.csv has measured what swatches.csv has not")

for table, prefixes in [(swatches, WAYS.values()), (predictions, [""])]:
    for prefix in prefixes:
        told = errors(table, prefix)
        assert agree(told["low"], -told["high"]).all(), f"a {prefix}mid is not in the middle of its range"
        said = table.loc[told.index, prefix + "inside"] == "yes"
        assert (said == told["inside"]).all(), f"{prefix}inside is not what {prefix}low and {prefix}high say"

assert list(covariance.index) == list(covariance.columns) == list(coefficients["name"]), "the coefficients differ in name"
assert np.isclose(covariance, covariance.T, rtol=1e-6, atol=1e-12).all(), "the covariance is not symmetric"
assert agree(np.diag(covariance), coefficients["spread"] ** 2).all(), "spread is not the root of the variance"
assert agree(ours["settled"].droplevel("by")[coefficients["name"]], coefficients["settled"]).all(), "settled is not what covariance.csv says"
for end, spreads in [("start_low", -Z * coefficients["start_spread"]), ("start_high", Z * coefficients["start_spread"]),
                     ("mid", coefficients["mean"]), ("low", coefficients["mean"] - Z * coefficients["spread"]),
                     ("high", coefficients["mean"] + Z * coefficients["spread"])]:
    acting = np.where(coefficients["acts_as"] == "factor", np.exp(spreads), spreads)
    assert agree(acting, coefficients[end]).all(), f"{end} of coefficients.csv is not what mean and spread say"

for file, some in columns.groupby("table"):
    heading = list(pd.read_csv(file, nrows=0).columns)
    assert heading == list(some["column"]), f"{file} has other columns than columns.csv describes"

print(f"{len(both)} figures, {len(learning)} points of the learning curve and {columns['table'].nunique()} tables agree with the engine.")
both.loc[["count", "mean_abs_log_error", "typically_off", "coverage", "interval_score", "crps"]]["here"].unstack("by")[
    ["start", "left_out", "fitted"]].round(3)
# %% [markdown] measured-text
# ## Estimate against measured
#
# One mark an amount, its range upright through it; where the range does not meet the diagonal, the amount lay outside (red, and named
# where there are few).
# Left the starting values, right a fit that has not seen the piece.
# %% measured
BEFORE, AFTER, APART, INK = "#8c8c8c", "#1f6f9f", "#c8452d", "#333333"
plt.rcParams.update({
    "figure.dpi": 110, "font.size": 10, "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": "#999999",
    "axes.labelcolor": INK, "text.color": INK, "xtick.color": INK, "ytick.color": INK, "axes.titlesize": 11,
    "axes.titlelocation": "left", "legend.frameon": False,
})
MARKS = dict(zip(sorted(amounts["work"].unique()), "osD^vPX*<>"))


def named(text, at, axes):
    axes.annotate(text, at, (6, 0), textcoords="offset points", fontsize=9, va="center")


def against(axes, some, prefix, colour, title):
    """Estimate over measured, both as logarithms, a range through each."""
    told = errors(some, prefix)
    rows = some.loc[told.index]
    same = rows.groupby("measured")["measured"]  # those of one reading stand side by side
    aside = np.exp(np.minimum(0.012, 0.05 / same.transform("count")) * (same.cumcount() - (same.transform("count") - 1) / 2))
    are_many = len(rows) > 40
    beyond = (told["error"].abs() / told["sd"])[~told["inside"]].nlargest(0 if are_many else 8).index
    for (i, row), x, inside in zip(rows.iterrows(), rows["measured"] * aside, told["inside"]):
        mark = colour if inside else APART
        axes.plot([x] * 2, [row[prefix + "low"], row[prefix + "high"]], color=mark, lw=0.6 if are_many else 1.2, alpha=0.3 if are_many else 0.6,
                  zorder=2)
        fill = mark if row["unit"] == "g" else "white"
        axes.plot(x, row[prefix + "mid"], MARKS[row["work"]], color=mark, mfc=fill, ms=4 if are_many else 7, zorder=3)
        if i in beyond:
            named(row["swatch"], (x, row[prefix + "mid"]), axes)
    score = scores(told)
    axes.set_title(f"{title}\noff by {100 * score['typically_off']:.0f} % typically, {told['inside'].sum()} of {len(told)} in their range")


if len(amounts):
    figure, panels = plt.subplots(1, 2, figsize=(10, 5.2), sharex=True, sharey=True, layout="constrained")
    against(panels[0], amounts, "start_", BEFORE, "By the starting values")
    against(panels[1], amounts, "left_out_", AFTER, "By a fit to all other pieces")
    low, high = 0.8 * amounts["measured"].min(), 1.25 * amounts["measured"].max()
    for axes in panels:
        axes.axline((low, low), (high, high), color="#bbbbbb", lw=1, zorder=1)
        axes.set(xscale="log", yscale="log", xlim=(low, high), xlabel="measured, g (hollow marks: m)")
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(LogLocator(subs=(1, 2, 5)))
            axis.set_major_formatter("{x:g}")
            axis.set_minor_formatter("")
    panels[0].set_ylabel("estimate")
    works = [plt.Line2D([], [], color=INK, marker=mark, ls="", label=work) for work, mark in MARKS.items()]
    panels[1].legend(handles=works, loc="lower right", fontsize=9)
    plt.show()
# %% [markdown] ranges-text
# ## One amount after the other
#
# In order of date: what was measured over what was estimated. At 1 the estimate was right; a range that holds 1 held the amount. Grey
# the starting values, blue the fit without the piece.
# %% ranges
def ratio(some, prefix):
    told = errors(some, prefix)
    return pd.DataFrame({"mid": np.exp(told["error"]), "low": np.exp(told["error"] - told["high"]),
                         "high": np.exp(told["error"] - told["low"]), "inside": told["inside"]})


def factors(axis):
    axis.set_major_locator(FixedLocator([0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 5, 10]))
    axis.set_major_formatter("{x:g}")
    axis.set_minor_locator(NullLocator())


in_order = amounts.sort_values(["date", "line"], kind="stable").tail(40)  # the latest
if len(in_order):
    figure, axes = plt.subplots(figsize=(10, 1.2 + 0.34 * len(in_order)), layout="constrained")
    for prefix, colour, shift, label in [("start_", BEFORE, 0.16, "by the starting values"), ("left_out_", AFTER, -0.16, "by the others")]:
        told = ratio(in_order, prefix)
        rows = np.array([in_order.index.get_loc(i) for i in told.index], dtype=float)
        heights = len(in_order) - 1 - rows + shift
        axes.hlines(heights, told["low"], told["high"], color=colour, lw=2.2, alpha=0.55)
        axes.plot(told["mid"], heights, "o", color=colour, ms=5, mec="white", mew=0.6, label=label)
        out = ~told["inside"].to_numpy()
        axes.plot(told["mid"][out], heights[out], "o", color=APART, ms=5, mec="white", mew=0.6)
    axes.plot([], [], "o", color=APART, ms=5, label="outside of its range")
    axes.axvline(1, color=INK, lw=0.8)
    axes.set(xscale="log", xlabel="measured / estimate", ylim=(-0.7, len(in_order) - 0.3))
    factors(axes.xaxis)
    names = [f"{row['swatch']}: {row['work']}, {row['measured']:g} {row['unit']}" for _, row in in_order.iloc[::-1].iterrows()]
    axes.set_yticks(range(len(in_order)), names, fontsize=8)
    axes.tick_params(axis="y", length=0)
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncol=3, fontsize=9)
    plt.show()
# %% [markdown] settled-text
# ## What is settled
#
# Each coefficient as a factor on its starting value (a share, such as a draw-in, as what is added to 1): grey what was thought before,
# blue what is left unsure, 9 times in 10. At the right the share of its variance that the measurements took away: under 50 % it is
# still mostly the starting value. Those under 5 % are left out; what each name means stands below.
# %% settled
shown = coefficients[coefficients["settled"] >= 0.05].sort_values("settled").tail(30)
if len(shown):
    acting = {end: np.where(shown["acts_as"] == "factor", shown[end], 1 + shown[end])
              for end in ["start_low", "start_high", "low", "mid", "high"]}
    figure, axes = plt.subplots(figsize=(10, 1.2 + 0.34 * len(shown)), layout="constrained")
    rows = np.arange(len(shown))
    axes.hlines(rows, acting["start_low"], acting["start_high"], color=BEFORE, lw=6, alpha=0.35, label="before")
    axes.hlines(rows, acting["low"], acting["high"], color=AFTER, lw=2.2, label="after")
    axes.plot(acting["mid"], rows, "o", color=AFTER, ms=6, mec="white", mew=0.6)
    axes.axvline(1, color=INK, lw=0.8)
    for row, share in zip(rows, shown["settled"]):
        axes.text(1.01, row, f"{100 * share:.0f} %", transform=axes.get_yaxis_transform(), va="center", fontsize=9,
                  fontweight="bold" if share >= 0.5 else "normal")
    axes.text(1.01, len(shown) - 0.35, "settled", transform=axes.get_yaxis_transform(), fontsize=9)
    axes.set(xscale="log", xlabel="times the starting value", ylim=(-0.7, len(shown) - 0.3))
    factors(axes.xaxis)
    axes.set_yticks(rows, shown["name"], fontsize=9)
    axes.tick_params(axis="y", length=0)
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncol=2, fontsize=9)
    plt.show()
known = (ours.loc["direction_settled"] >= 0.5).sum() if len(coefficients) else 0
print(f"Of the {len(coefficients)} ways in which the coefficients can stray together, {known} are settled to half or more.")
shown.iloc[::-1].set_index("name")[["meaning", "settled"]].round(2)
# %% [markdown] together-text
# ## What is known only together
#
# How coefficients go together once measured; before, none did. Where two go against each other (orange), their sum is better known
# than either: a swatch that has one without the other would tell them apart.
# %% together
names = list(shown["name"].iloc[::-1])[:20]
if len(names) > 1:
    part = covariance.loc[names, names].to_numpy()
    correlation = part / np.sqrt(np.outer(np.diag(part), np.diag(part)))
    lower = np.ma.masked_where(np.triu(np.ones_like(correlation)) > 0, correlation)
    figure, axes = plt.subplots(figsize=(2.6 + 0.42 * len(names), 1.6 + 0.36 * len(names)), layout="constrained")
    image = axes.imshow(lower, cmap="PuOr", vmin=-1, vmax=1, aspect="auto")
    for (i, j), value in np.ndenumerate(correlation):
        if j < i and abs(value) >= 0.2:
            axes.text(j, i, f"{value:.1f}".replace("-", "\u2212"), ha="center", va="center", fontsize=8, color="white" if abs(value) > 0.6 else INK)
    axes.set_xticks(range(len(names)), names, rotation=60, ha="right", rotation_mode="anchor", fontsize=8)
    axes.set_yticks(range(len(names)), names, fontsize=8)
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    figure.colorbar(image, ax=axes, label="correlation", shrink=0.7)
    plt.show()
# %% [markdown] learning-text
# ## The learning curve
#
# Pieces in order of date. Each point is a fit to the first so many, asked for all amounts that came after it; grey what the starting
# values make of the same amounts. Towards the right few are left to be asked (their number stands at the points), so that end is rough:
# a point of fewer than five is hollow.
# `learning.csv` has at most twelve points, since each is a fit of its own.
# %% learning
if len(learning):
    figure, panels = plt.subplots(1, 2, figsize=(10, 4), layout="constrained")
    for axes, figure_name, title, scale in [(panels[0], "mean_abs_log_error", "Error: mean of |ln(measured / estimate)|, %", 100),
                                            (panels[1], "interval_score", "Ranges: interval score, less is better", 1)]:
        axes.plot(learning["learned_from"], scale * learning["start_" + figure_name], "o-", color=BEFORE, ms=5, label="starting values")
        axes.plot(learning["learned_from"], scale * learning[figure_name], "o-", color=AFTER, ms=5, label="pieces so far")
        few = learning[learning["amounts"] < 5]
        axes.plot(few["learned_from"], scale * few[figure_name], "o", color=AFTER, mfc="white", ms=5, label="of fewer than five amounts")
        axes.set_title(title)
        axes.set(xlabel="pieces learned from", ylim=(0, None))
        axes.xaxis.set_major_locator(MaxNLocator(integer=True))
        axes.grid(axis="y", color="#eeeeee")
    for x, y, count in zip(learning["learned_from"], 100 * learning["mean_abs_log_error"], learning["amounts"]):
        panels[0].annotate(f"{count:g}", (x, y), (0, -14), textcoords="offset points", ha="center", fontsize=8, color=AFTER)
    panels[0].legend(loc="upper left", fontsize=9)
    panels[0].set_ylim(0, 130 * learning[["mean_abs_log_error", "start_mean_abs_log_error"]].max().max())
    plt.show()
# %% [markdown] pieces-text
# ## What it means for the pieces to come
#
# The grams of each yarn that the planned pieces will take, grey by the starting values, blue by all that was measured; a tick stands at
# what to set aside, so that it suffices 19 times in 20. Where nothing blue is narrower, no swatch told of it.
# %% pieces
to_show = pieces.head(40)
if len(to_show):
    figure, axes = plt.subplots(figsize=(10, 1.2 + 0.34 * len(to_show)), layout="constrained")
    rows = len(to_show) - 1 - np.arange(len(to_show))
    for prefix, colour, shift, label in [("start_", BEFORE, 0.16, "by the starting values"), ("now_", AFTER, -0.16, "by what was measured")]:
        axes.hlines(rows + shift, to_show[prefix + "low"], to_show[prefix + "high"], color=colour, lw=2.2, alpha=0.55)
        axes.plot(to_show[prefix + "mid"], rows + shift, "o", color=colour, ms=5, mec="white", mew=0.6, label=label)
        axes.plot(to_show[prefix + "set_aside"], rows + shift, "|", color=colour, ms=9, mew=1.8)
    for row, before, after in zip(rows, to_show["start_set_aside"], to_show["now_set_aside"]):
        axes.text(1.01, row, f"{before:.3g} \u2192 {after:.3g} g", transform=axes.get_yaxis_transform(), va="center", fontsize=9)
    axes.text(1.01, len(to_show) - 0.35, "to set aside", transform=axes.get_yaxis_transform(), fontsize=9)
    axes.set(xscale="log", xlabel="g", ylim=(-0.7, len(to_show) - 0.3))
    axes.xaxis.set_major_locator(LogLocator(subs=(1, 2, 5)))
    axes.xaxis.set_major_formatter("{x:g}")
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_yticks(rows, to_show["piece"] + ": " + to_show["yarn"], fontsize=9)
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="x", color="#eeeeee")
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncol=2, fontsize=9)
    plt.show()
# %% [markdown] doubt-text
# ## Is the doubt of the right size?
#
# Each error over its own standard deviation, in order of size, against where so many normal ones would lie. On the diagonal the stated
# doubt is right; a flatter line means ranges wider than need be, a steeper one too narrow. The band holds 9 in 10 of such lines
# point by point (of normal order statistics, approximately).
# %% doubt
def normal_places(count):
    """Where so many normal errors would lie, and how far from there 9 in 10 of each."""
    normal = NormalDist()
    chances = (np.arange(count) + 0.5) / max(count, 1)
    at = np.array([normal.inv_cdf(chance) for chance in chances])
    return at, Z * np.sqrt(chances * (1 - chances) / max(count, 1)) / np.array([normal.pdf(one) for one in at])


if len(amounts):
    figure, axes = plt.subplots(figsize=(5.6, 5), layout="constrained")
    for prefix, colour, label in [("start_", BEFORE, "starting values"), ("left_out_", AFTER, "without the piece")]:
        told = errors(amounts, prefix)
        z = np.sort(told["error"] / told["sd"])
        at, _ = normal_places(len(z))
        axes.plot(at, z, "o", color=colour, ms=6, mec="white", mew=0.6, label=label)
    at, wide = normal_places(len(amounts))
    axes.fill_between(at, at - wide, at + wide, color="#dddddd", alpha=0.6, lw=0)
    axes.plot(at, at, color="#999999", lw=1)
    axes.axhline(0, color="#cccccc", lw=0.6)
    axes.set(xlabel="sds, of as many normal errors", ylabel="sds, of ours: ln(measured / estimate)")
    axes.legend(loc="upper left", fontsize=9)
    plt.show()
