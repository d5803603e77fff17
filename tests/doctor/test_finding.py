"""What is told of the machine."""

from __future__ import annotations

from overlays.doctor.finding import MachineFinding, as_document, as_text

GOOD = MachineFinding("codec vp9", "good", "written and read back")
GONE = MachineFinding("style rule", "missing", "no font", "Install it again.")


def test_a_remedy_stands_on_a_line_of_its_own_and_the_last_line_sums_up() -> None:
    """Whoever reads only the end knows what is missing."""
    assert as_text([GOOD]) == (
        "good    codec vp9: written and read back\nEverything that is needed works.\n"
    )
    assert as_text([GOOD, GONE]).splitlines()[1:] == [
        "missing style rule: no font",
        "        Install it again.",
        "Missing: style rule.",
    ]


def test_the_document_holds_the_same() -> None:
    """Each finding is one object with the same four texts."""
    assert as_document([GONE]) == {
        "machine": [
            {
                "about": "style rule",
                "state": "missing",
                "found": "no font",
                "remedy": "Install it again.",
            }
        ]
    }
