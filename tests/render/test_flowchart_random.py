"""Whatever shape a procedure takes, its chart can be read without a line through a text or a lost letter."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings

from sopc.render.flowchart import PAPERS, Chart, DoesNotFit, TypeSizes, draw, draw_compact
from sopc.render.flowchart.faults import faults, missing
from tests.render.strategies import charts

_SETTINGS = settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


def _check(chart: Chart, result: object) -> None:
    if isinstance(result, DoesNotFit):
        assert result.reason
        return
    assert isinstance(result, tuple)
    scenes = [drawing.scene for drawing in result]
    assert faults(scenes) + missing(chart, scenes) == []


@given(charts())
@_SETTINGS
def test_wall_chart_on_letter_has_no_faults(chart: Chart) -> None:
    _check(chart, draw(chart, PAPERS["letter"], TypeSizes.for_steps(26)))


@given(charts())
@_SETTINGS
def test_wall_chart_on_a3_has_no_faults(chart: Chart) -> None:
    _check(chart, draw(chart, PAPERS["a3"], TypeSizes.for_steps(22)))


@given(charts())
@_SETTINGS
def test_compact_chart_has_no_faults(chart: Chart) -> None:
    _check(chart, draw_compact(chart, 165, 230, TypeSizes.for_steps(9.5)))


@pytest.mark.long
@given(charts(most_parts=25))
@settings(max_examples=2000, deadline=None, suppress_health_check=list(HealthCheck))
def test_long_charts_on_a4_have_no_faults(chart: Chart) -> None:
    _check(chart, draw(chart, PAPERS["a4"], TypeSizes.for_steps(20)))


@pytest.mark.long
@given(charts())
@settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))
def test_hundreds_of_charts_have_no_faults(chart: Chart) -> None:
    _check(chart, draw(chart, PAPERS["letter"], TypeSizes.for_steps(26)))
    _check(chart, draw(chart, PAPERS["a3"], TypeSizes.for_steps(22)))
    _check(chart, draw_compact(chart, 165, 230, TypeSizes.for_steps(9.5)))
