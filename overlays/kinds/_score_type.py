"""The faces of a score update, and how much room its texts need."""

from __future__ import annotations

from overlays.draw.numerals import Numerals
from overlays.draw.page import Page
from overlays.draw.value import Value
from overlays.kinds._score_content import NOTHING, Column, ScoreUpdateContent, Update
from overlays.numbers import fixed

__all__ = ["OUT", "RowType"]

# How far the strike through a single digit sticks out of it.
OUT = 12


class RowType:
    """The faces of a score update, and what its texts need.

    Parameters
    ----------
    content : ScoreUpdateContent
        What is set.
    page : Page
        Where.
    share : float
        Size of the columns' type against its full size.
    """

    def __init__(self, content: ScoreUpdateContent, page: Page, share: float = 1.0) -> None:
        colours, sizes = page.colours, page.style.type
        self.page, self.content, self.share = page, content, share
        self.name = page.face("loud", sizes.title)
        self.small = page.face("text", sizes.small)
        self.label = page.face("text", sizes.small * share)
        unit = page.face("strong", sizes.small * share)
        self.old = Numerals(page.face("strong", sizes.body * share), colours.quiet)
        self.points = self.coloured(0)
        self.taken = Numerals(self.points.face, colours.strike)
        large = page.face("loud", sizes.value * 1.4 * share)
        self.new = Value(large, unit, colours.ink, colours.quiet)
        # Without an old score above it, the total stands closer to its label.
        self.any_old = any(update.any_old for update in content.updates)
        self.total = Numerals(
            page.face("loud", sizes.total if self.any_old else sizes.figure), colours.ink
        )
        self.old_score = Numerals(page.face("strong", sizes.body), colours.quiet)
        # Ranks stand alone and still: their digits need no equal cells.
        self.place = page.face("loud", sizes.title)
        self.old_place = page.face("strong", sizes.body)
        self.closed_name = page.face("strong", sizes.body)
        self.closed_total = Numerals(page.face("loud", sizes.value), colours.ink)
        self.closed_place = page.face("strong", sizes.body)

    def coloured(self, entry: int) -> Numerals:
        """Return how an entry's points are set."""
        sizes = self.page.style.type
        return Numerals(
            self.page.face("loud", sizes.body * self.share), self.page.colours.entry(entry)
        )

    def points_of(self, update: Update, column: Column) -> Numerals:
        """Return how the points of an entry's column are set; those taken away stand out."""
        return self.taken if column.most < 0 else self.coloured(update.colour)

    def value(self, column: Column) -> str:
        """Return a column's new value as set."""
        return NOTHING if column.new is None else self.page.number(column.new)

    def points_text(self, column: Column) -> str:
        """Return a column's points as set in the end."""
        if column.points is None:
            return NOTHING
        return self.page.number(fixed(column.points, column.places))

    def of(self, column: Column) -> str:
        """Return what could be had, as set beside the points."""
        return f"of {self.page.number(f'{column.most.normalize():f}')}"

    @property
    def of_all(self) -> str:
        """How many entries have a rank, as set beside the rank."""
        return f"of {self.content.of}"

    # Room

    @property
    def widest_total(self) -> int:
        """Width of the highest total there can be, or of a lower one that is wider."""
        totals = [fixed(self.content.most, self.content.last.places)]
        totals += [update.score for update in self.content.updates]
        return max(self.total.width(self.page.number(total)) for total in totals)

    def names_width(self) -> int:
        """Return how wide the widest name, or note, is."""
        return max(
            max(self.name.width(update.name), self.small.width(update.note))
            for update in self.content.updates
        )

    def ofs_width(self) -> int:
        """Return how wide the widest “of” is."""
        return max((self.label.width(self.of(c)) for c in self.content.last.columns), default=0)

    def place_width(self) -> int:
        """Return how wide the rank is with its words, the old one struck beside it."""
        px, widest = self.page.px, 0
        for update in self.content.updates:
            moved = update.old_rank is not None and update.old_rank != update.rank
            old = self.old_place.width(str(update.old_rank)) + px(2 * OUT + 16) if moved else 0
            widest = max(widest, old + self.place.width(str(update.rank or 0)))
        return self.small.width("place") + px(14) + widest + px(8) + self.small.width(self.of_all)

    def closed_width(self) -> int:
        """Return how wide score and rank are in a closed line."""
        if len(self.content.updates) < 2:
            return 0
        px, updates = self.page.px, self.content.updates
        total = max(self.closed_total.width(self.page.number(one.score)) for one in updates)
        place = max(self.closed_place.width(str(one.rank or 0)) for one in updates)
        return total + px(30) + self.small.width("place") + px(10) + place

    def column_width(self) -> int:
        """Return how wide the widest column's texts are."""
        px, widest = self.page.px, 1
        for update in self.content.updates:
            for column in update.columns:
                most = self.page.number(fixed(column.most, column.places))
                points = max(self.points.width(most), self.points.width(self.points_text(column)))
                old = 0 if column.old is None else self.old.width(self.page.number(column.old))
                widest = max(
                    widest,
                    old,
                    self.new.width(self.value(column), column.unit),
                    points + px(8) + self.label.width(self.of(column)),
                )
        return widest
