"""Closed rows of a score update: an entry's row in one line, once shown, or while it waits."""

from __future__ import annotations

from overlays.draw.patch import Layer, Rect
from overlays.draw.sheet import block
from overlays.draw.text import fitted
from overlays.kinds._card import merged
from overlays.kinds._score_content import Update
from overlays.kinds._score_layout import Plan
from overlays.kinds._score_type import RowType

__all__ = ["shown_line", "waiting_line"]


def shown_line(update: Update, kind: RowType, plan: Plan) -> Layer:
    """Draw the line of an entry that has been shown, at the canvas' upper edge.

    Where columns stand beside one another its points are set under their labels.
    """
    page, colours = kind.page, kind.page.colours
    left, right = _ends(kind, plan)
    hair = page.px(page.style.strokes.hair)
    layers = [
        block(Rect(left, plan.closed - hair, right, plan.closed), colours.grid),
        block(Rect(plan.rect.left, 0, plan.rect.left + page.px(12), plan.closed - hair),
              colours.entry(update.colour)),
        _name(update, kind, plan, quiet=False),
    ]  # fmt: skip
    baseline = _baseline(kind, plan)
    if plan.wide:
        for column, spot in zip(update.columns, plan.columns, strict=True):
            text = kind.points_text(column)
            end = spot.points[0] + kind.points.width(text)
            layers.append(kind.points_of(update, column).layer(text, end, baseline))
    score = page.number(update.score)
    at = plan.total.new[0] + (kind.closed_total.width(score) if plan.wide else 0)
    layers.append(kind.closed_total.layer(score, at, baseline))
    if update.rank is not None:
        rank = str(update.rank)
        layers.append(kind.closed_place.layer(rank, right, baseline, colours.ink, "right"))
        word = right - kind.closed_place.width(rank) - page.px(10)
        layers.append(kind.small.layer("place", word, baseline, colours.quiet, "right"))
    return merged(layers)


def waiting_line(update: Update, kind: RowType, plan: Plan) -> Layer:
    """Draw the line of an entry that is still to be shown, at the canvas' upper edge."""
    left, right = _ends(kind, plan)
    hair = kind.page.px(kind.page.style.strokes.hair)
    above = block(Rect(left, 0, right, hair), kind.page.colours.grid)
    return merged((above, _name(update, kind, plan, quiet=True)))


def _ends(kind: RowType, plan: Plan) -> tuple[int, int]:
    pad = kind.page.px(kind.page.style.space.pad)
    return plan.rect.left + pad, plan.rect.right - pad


def _baseline(kind: RowType, plan: Plan) -> int:
    return (plan.closed + kind.closed_total.face.cap_height) // 2


def _name(update: Update, kind: RowType, plan: Plan, *, quiet: bool) -> Layer:
    colours = kind.page.colours
    name = fitted(kind.closed_name, update.name, plan.closed_room)
    colour = colours.quiet if quiet else colours.ink
    return kind.closed_name.layer(name, plan.name[0], _baseline(kind, plan), colour)
