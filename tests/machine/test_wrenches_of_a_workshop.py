"""Which wrench of a workshop's list serves, with which adapter, on which day."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from tests.machine.written import machine_from, workshop_read
from witnessmark.machine.checks import check_wrenches
from witnessmark.machine.size_table import source_words, taken_by
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.wrenching import (
    adapter_of,
    check_due,
    why_none_serves,
    wrenches_serving,
)
from witnessmark.quantities.reading import read_quantity
from witnessmark.quantities.units import Dimension

LIST = """
workshop: 1
wrenches:
  small: {name: small click, from: 4 N·m, to: 20 N·m, drive: 1/4 in, length: 200 mm, checked: 2026-03-02}
  big: {name: big click, from: 20 N·m, to: 100 N·m, drive: 1/2 in, length: 400 mm, checked: 2024-02-29}
  dial: {name: dial, from: 3 N·m, to: 18 N·m, drive: 3/8 in, shows_value: true, due: 2027-01-31}
  inch: {name: inch clicker, from: 90 lbf·ft, to: 200 lbf·ft, drive: 1/2 in, unit: lbf·ft}
adapters:
  straight: {name: Crowfoot 17 mm, length: 50 mm, at: 0°, drive: 1/2 in}
  across: {name: crowfoot across, length: 50 mm, at: 90°, drive: 1/2 in}
  back: {name: ring set back, length: 50 mm, at: 180°}
"""  # noqa: E501 - as wide as people write


def garage(text: str = LIST) -> Workshop:
    read = workshop_read(text)
    assert read.complaints == ()
    assert read.value is not None
    return read.value


def adapter(id_: str):
    return next(each for each in garage().adapters if each.id == id_)


def torque(text: str):
    return read_quantity(text, Dimension.TORQUE)


def names(text: str, **more) -> list[str]:
    return [use.wrench.name for use in wrenches_serving(torque(text), garage(), **more)]


def test_the_narrowest_range_that_holds_the_torque_comes_first() -> None:
    assert names("10 N·m") == ["dial", "small click"]
    assert names("50 N·m") == ["big click"]
    assert names("1 N·m") == []
    assert names("0 N·m") == []


def test_a_setting_held_meanwhile_wants_a_wrench_that_shows_it() -> None:
    assert names("10 N·m", must_show_value=True) == ["dial"]


def test_a_check_is_due_a_year_after_the_last_unless_the_list_says_when() -> None:
    small, big, dial, inch = garage().wrenches
    assert check_due(small) == date(2027, 3, 2)
    assert check_due(big) == date(2025, 2, 28)
    assert check_due(dial) == date(2027, 1, 31)
    assert check_due(inch) is None


def test_a_wrench_serves_on_the_day_its_check_is_due_and_no_longer() -> None:
    assert names("10 N·m", on=date(2027, 1, 31)) == ["dial", "small click"]
    assert names("10 N·m", on=date(2027, 2, 1)) == ["small click"]
    assert names("10 N·m", on=date(2027, 3, 3)) == []
    assert names("50 N·m", on=date(2026, 1, 1)) == []


def test_a_wrench_without_a_check_date_serves_and_says_so() -> None:
    (use,) = wrenches_serving(torque("200 N·m"), garage(), on=date(2026, 1, 1))
    assert use.words == "inch clicker, set 148 lbf·ft (200 N·m); no check date known"


@pytest.mark.parametrize(
    ("which", "setting"),
    [
        # NAVEDTRA 14315: T L/(L + E); 50 N·m on 400 mm with 50 mm straight out.
        ("straight", Fraction(400, 9)),
        ("across", Fraction(50)),
        ("back", Fraction(400, 7)),
    ],
)
def test_the_setting_allows_for_the_adapter(which: str, setting: Fraction) -> None:
    (use,) = wrenches_serving(torque("50 N·m"), garage(), adapter=adapter(which))
    assert use.wrench.name == "big click"
    assert float(use.setting) == pytest.approx(float(setting), rel=1e-9)


def test_it_is_the_setting_that_must_lie_in_the_range() -> None:
    # 110 N·m is above the wrench, but with the adapter it is set to 97.8 N·m; 21 N·m to 18.7.
    assert names("110 N·m", adapter=adapter("straight")) == ["big click"]
    assert names("21 N·m", adapter=adapter("straight")) == []


def test_an_adapter_goes_on_wrenches_of_its_own_drive_only() -> None:
    assert names("10 N·m", adapter=adapter("straight")) == []
    why = why_none_serves(torque("10 N·m"), garage(), adapter=adapter("straight"))
    assert why.startswith("big click: 8.889 N·m is below its 20 N·m; inch clicker: ")
    assert "small" not in why


def test_an_adapter_asks_for_the_length_of_the_wrench() -> None:
    why = why_none_serves(torque("200 N·m"), garage(), adapter=adapter("straight"))
    assert "inch clicker: its length is not known, so the adapter cannot be allowed for" in why


def test_why_none_serves_names_the_nearest_first() -> None:
    why = why_none_serves(torque("1 N·m"), garage())
    assert why.startswith("dial: 1 N·m is below its 3 N·m; small click: ")
    overdue = why_none_serves(torque("50 N·m"), garage(), on=date(2026, 1, 1))
    assert overdue.startswith("big click: its check was due 2025-02-28; ")
    assert why_none_serves(torque("1 N·m"), garage("workshop: 1\n")) == "the list is empty"


MACHINE = """
parts: {{frame: {{fixed: true}}, pipe: {{}}}}
joints:
  union:
    kind: bolts
    holds: [pipe]
    to: frame
    tightness: {0}
    out: {{strip: 1 min, refit: 1 min{1}}}
"""


def test_a_way_names_its_adapter_as_a_tool_or_an_aid() -> None:
    for words in (", aids: [chalk, crowfoot 17 mm]", ", tool: crowfoot 17 mm"):
        way = machine_from(MACHINE.format("9 N·m", words)).joints["union"].openings[0].ways[0]
        found = adapter_of(way, garage())
        assert found is not None
        assert found.id == "straight"
    plain = machine_from(MACHINE.format("9 N·m", ", aids: [chalk]")).joints["union"]
    assert adapter_of(plain.openings[0].ways[0], garage()) is None


def complaints(tightness: str, words: str = "", on: date | None = None, after: str = "") -> list:
    machine = machine_from(MACHINE.format(tightness, words) + after)
    return [each.what for each in check_wrenches(machine, garage(), on)]


def test_check_warns_of_a_torque_that_no_wrench_serves() -> None:
    assert complaints("50 N·m") == []
    assert complaints("seated") == []
    (only,) = complaints("300 N·m + 90°")
    assert only.startswith("no wrench of the list serves 300 N·m at 'union': ")
    assert len(complaints("50 N·m", on=date(2026, 1, 1))) == 1


def test_check_warns_with_the_adapter_of_the_way() -> None:
    assert complaints("21 N·m") == []
    (only,) = complaints("21 N·m", ", aids: [crowfoot 17 mm]")
    assert "serves 21 N·m at 'union' with Crowfoot 17 mm: " in only


def test_check_warns_of_a_tensioner_setting_that_no_wrench_shows() -> None:
    run = (
        "runs:\n  drive: {{belt: pipe, tensioner: {{kind: swinging, clamp: union, setting: {}}}}}\n"
    )
    assert complaints("50 N·m", after=run.format("10 N·m")) == []
    (only,) = complaints("50 N·m", after=run.format("50 N·m"))
    assert only.startswith("no wrench of the list serves 50 N·m at 'drive': ")
    assert "does not show its value" in only


@pytest.mark.parametrize(
    ("source", "by", "shown"),
    [
        ("size table", "J. Moss", "size table, not the maker's; taken by J. Moss"),
        ("Size-table", None, "size table, not the maker's"),
        (
            "size table, not the maker's, taken by J. Moss",
            None,
            "size table, not the maker's; taken by J. Moss",
        ),
        ("size table by J. Moss", None, "size table, not the maker's; taken by J. Moss"),
        (
            "works standard p. 15, size table",
            "J. Moss",
            "size table, not the maker's; taken by J. Moss (works standard p. 15)",
        ),
        ("maker's manual p. 41", None, "maker's manual p. 41"),
        ("maker's manual p. 41", "J. Moss", "maker's manual p. 41; taken by J. Moss"),
        (None, "J. Moss", "taken by J. Moss"),
        (None, None, None),
        ("", None, None),
    ],
)
def test_a_source_reads_the_same_everywhere(source, by, shown) -> None:
    assert source_words(source, by) == shown
    assert source_words(shown, None) == shown
    assert taken_by(shown) == ("J. Moss" if shown and "Moss" in shown else None)
