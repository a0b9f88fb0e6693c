"""Final tightness: a word, or stages of torque and angle."""

from __future__ import annotations

import pytest

from witnessmark.quantities.reading import QuantityError
from witnessmark.quantities.tightness import FINAL_WORDS, read_tightness


def test_stages_keep_their_order_and_add_up() -> None:
    """Common practice, no source: 80 N·m + 90° is a usual crank-bolt form."""
    tightness = read_tightness("80 N·m + 90°")
    assert [str(s) for s in tightness.stages] == ["80 N·m", "90°"]
    assert float(tightness.torque or 0) == 80.0
    assert tightness.angle_degrees == 90.0
    assert str(tightness) == "80 N·m + 90°"


def test_several_angles_and_another_unit() -> None:
    tightness = read_tightness("30 lbf·ft + 1/4 turn + 90°")
    assert tightness.angle_degrees == 180.0
    assert str(tightness) == "30 lbf·ft + 0.25 turn + 90°"


@pytest.mark.parametrize("word", FINAL_WORDS)
def test_final_words_stand_alone(word) -> None:
    tightness = read_tightness(word.replace("-", " ").upper())
    assert (tightness.word, tightness.stages, tightness.torque) == (word, (), None)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("finger tight", "a state on the way"),
        ("90°", "begins with an angle"),
        ("80 N·m + 3 mm", "made of torques and angles"),
        ("0 N·m", "not above zero"),
        ("tight", "not a number"),
        ("80", "is a ratio"),
    ],
)
def test_what_is_not_final_is_refused(text, says) -> None:
    with pytest.raises(QuantityError, match=says):
        read_tightness(text)
