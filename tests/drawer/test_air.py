"""The dew point calculator as it is declared."""

import pytest

from workshop.drawer.air import DEW_POINT
from workshop.drawer.declare import Given


def dew(air_C, percent, steel_C=None):
    steel_K = None if steel_C is None else steel_C + 273.15
    return DEW_POINT.work(Given({"air": air_C + 273.15, "humidity": percent / 100, "steel": steel_K}))


@pytest.mark.parametrize(
    ("air_C", "percent", "steel_C", "says"),
    [
        (20, 40, 20, "low"),
        (20, 70, 20, "raised"),
        (20, 70, 17, "high"),
        (20, 82, 20, "high"),
        (20, 50, 9, "wet: dew"),
        (2, 50, -10, "wet: frost"),
    ],
)
def test_risk_in_words(air_C, percent, steel_C, says):
    assert str(dew(air_C, percent, steel_C).found["rust-risk"]).startswith(says)


def test_margin_is_measured_to_what_settles_first():
    answer = dew(2, 50, 0)
    assert answer.found["margin"] == pytest.approx(273.15 - float(answer.found["frost-point"]))
    assert any("frost comes before dew" in line for line in answer.cautions)
    assert "frost-point" not in dew(20, 50).found


def test_steel_is_taken_as_warm_as_the_air_and_said():
    answer = dew(20, 50)
    assert answer.found["margin"] == pytest.approx(293.15 - float(answer.found["dew-point"]))
    assert answer.assumed == ("the steel is as warm as the air",)


def test_colder_steel_never_rusts_less():
    order = ["low", "raised", "high", "wet"]
    steps = [order.index(str(dew(20, 65, t).found["rust-risk"]).split(":")[0]) for t in range(30, 0, -1)]
    assert steps == sorted(steps)
    assert set(steps) == {0, 1, 2, 3}
