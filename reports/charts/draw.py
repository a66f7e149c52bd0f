"""Draws charts as SVG with matplotlib's object interface: no pyplot, nothing kept between drawings.

The same chart gives the same bytes: fonts that ship with the library, fixed ids, no date inside.
"""

import io
import threading
from collections.abc import Callable

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.patheffects import withStroke
from matplotlib.ticker import FuncFormatter, MaxNLocator

from reports.charts.rules import Chart, tenths_text
from reports.charts.style import BAR, HATCH, HEIGHT, SETTINGS, SMALL, TEXT, WIDTH, Scheme

# rc_context swaps settings of the whole process while a drawing is written; one drawing at a time.
_turn = threading.Lock()


def svg(chart: Chart, scheme: Scheme) -> bytes:
    """One chart as an SVG file in one color scheme."""
    with _turn, matplotlib.rc_context(SETTINGS):
        figure = Figure(
            figsize=(WIDTH, HEIGHT),
            facecolor=scheme.ground,
            layout=ConstrainedLayoutEngine(w_pad=0.14, h_pad=0.12),
        )
        canvas = FigureCanvasSVG(figure)
        axes = figure.add_subplot()
        _ground(axes, scheme)
        _KINDS[chart.kind](axes, chart, scheme)
        out = io.BytesIO()
        canvas.print_svg(out, metadata={"Date": None, "Creator": "Mendbook", "Title": chart.title})
        return out.getvalue()


def _ground(axes: Axes, scheme: Scheme) -> None:
    axes.set_facecolor(scheme.ground)
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(scheme.soft)
    axes.tick_params(colors=scheme.soft, labelsize=SMALL, length=0, pad=5)
    axes.set_axisbelow(True)


def _colors(scheme: Scheme) -> list[tuple[str, str]]:
    return [(scheme.first, HATCH["first"]), (scheme.second, HATCH["second"]), (scheme.third, HATCH["third"])]


def _dollars(minor: float, _: int) -> str:
    sign = "-" if minor < 0 else ""
    return f"{sign}${abs(minor) / 100:,.0f}"


def _upright(axes: Axes, chart: Chart, scheme: Scheme) -> None:
    axes.set_xticks(range(len(chart.places)), chart.places)
    axes.set_xlim(-0.6, max(len(chart.places), 6) - 0.4)
    axes.grid(axis="y", color=scheme.rule, linewidth=0.8)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=5, min_n_ticks=3))


def _legend(axes: Axes, scheme: Scheme) -> None:
    axes.legend(
        loc="lower left",
        bbox_to_anchor=(0, 1.0),
        ncols=3,
        frameon=False,
        fontsize=TEXT,
        labelcolor=scheme.ink,
        borderaxespad=0.2,
        handlelength=1.6,
    )


def _bars(axes: Axes, chart: Chart, scheme: Scheme) -> None:
    _upright(axes, chart, scheme)
    for place, (series, (color, hatch)) in enumerate(zip(chart.series, _colors(scheme), strict=False)):
        left = [x + (place - 0.5) * BAR for x in range(len(series.values))]
        axes.bar(
            left,
            series.values,
            BAR * 0.94,
            label=series.label,
            color=color,
            hatch=hatch,
            edgecolor=scheme.ground,
        )
    axes.yaxis.set_major_formatter(FuncFormatter(_dollars))
    _zero(axes, scheme)
    _legend(axes, scheme)


def _stack(axes: Axes, chart: Chart, scheme: Scheme) -> None:
    _upright(axes, chart, scheme)
    free, stated, bank = chart.series
    where = range(len(chart.places))
    colors = _colors(scheme)
    axes.bar(where, free.values, 0.62, label=free.label, color=colors[0][0], edgecolor=scheme.ground)
    axes.bar(
        where,
        stated.values,
        0.62,
        bottom=[max(value, 0) for value in free.values],
        label=stated.label,
        color=colors[2][0],
        hatch=colors[2][1],
        edgecolor=scheme.ground,
    )
    halo = [withStroke(linewidth=4, foreground=scheme.ground)]
    (line,) = axes.plot(
        where, bank.values, color=scheme.second, marker="o", label=bank.label, path_effects=halo
    )
    line.set(markersize=5, linewidth=1.8, markeredgecolor=scheme.ground)
    axes.yaxis.set_major_formatter(FuncFormatter(_dollars))
    _zero(axes, scheme)
    _legend(axes, scheme)


def _shares(axes: Axes, chart: Chart, scheme: Scheme) -> None:
    values = chart.series[0].values
    if not values:
        _nothing(axes, scheme)
        return
    where = list(range(len(values)))[::-1]
    axes.barh(where, values, 0.6, color=scheme.first)
    axes.set_yticks(where, ["" for _ in where])
    axes.set_ylim(-0.5, len(values) - 0.1)
    axes.set_xlim(0, max(values) * 1.12)
    axes.xaxis.set_visible(False)
    axes.spines["bottom"].set_visible(False)
    for y, value, label in zip(where, values, chart.places, strict=True):
        axes.text(0, y + 0.36, label, color=scheme.ink, fontsize=SMALL, va="bottom", ha="left")
        axes.text(
            value + max(values) * 0.012,
            y,
            f"{value}¢",
            color=scheme.ink,
            fontsize=TEXT,
            va="center",
            ha="left",
        )


def _hours(axes: Axes, chart: Chart, scheme: Scheme) -> None:
    _upright(axes, chart, scheme)
    values = chart.series[0].values
    drawn = axes.bar(range(len(values)), values, 0.62, color=scheme.first)
    axes.bar_label(
        drawn, [tenths_text(value) for value in values], color=scheme.ink, fontsize=SMALL - 1, padding=2
    )
    axes.yaxis.set_major_formatter(FuncFormatter(lambda tenths, _: f"{tenths / 10:g} h"))
    axes.set_ylim(0, max([*values, 10]) * 1.12)


def _zero(axes: Axes, scheme: Scheme) -> None:
    """Bars stand on the zero line, which is drawn through when something lies below it."""
    low, high = axes.get_ylim()
    axes.set_ylim(min(low, 0), max(high * 1.06, 100))
    if low < 0:
        axes.axhline(0, color=scheme.soft, linewidth=0.8)
        axes.spines["bottom"].set_visible(False)


def _nothing(axes: Axes, scheme: Scheme) -> None:
    axes.set_xticks([])
    axes.set_yticks([])
    axes.text(
        0.5, 0.5, "Nothing was spent", color=scheme.soft, fontsize=TEXT, ha="center", transform=axes.transAxes
    )


_KINDS: dict[str, Callable[[Axes, Chart, Scheme], None]] = {
    "bars": _bars,
    "stack": _stack,
    "shares": _shares,
    "hours": _hours,
}
