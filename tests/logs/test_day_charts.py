"""Which charts stand on paper: loads, batches that cooled on the day, and trays with which not all was well."""

import io
import re
import sys
from subprocess import run

import pikepdf
import pytest

from app import logs
from app.logs import charts
from app.logs.day_charts import ChartPlace
from app.logs.view import LogView, log_view
from tests.support import cast, printed_day
from tests.support.story import hot_tray, told


def places() -> dict[str, ChartPlace]:
    """Give the places of charts on the full day by kind and name."""
    blocks = [block for section in _view().sections for block in section.blocks]
    return {f"{place.kind} {place.name}": place for block in blocks for place in block.chart_places}


def _view() -> LogView:
    return log_view(printed_day.assessment())


def test_loads_batches_and_what_was_not_well_stand_out() -> None:
    found = places()
    assert [name for name, place in found.items() if place.stands_out] == [
        "load A-L1",
        "load A-L2",
        "tray A-T1",
        "tray A-T2",  # an undercooked bird was put in
        "tray A-T3",
        "batch A-B1",
        "probe white",  # it failed
    ]
    assert {"unit walk-in", "probe blue"} <= set(found)


def test_what_rests_on_other_days_is_not_on_paper() -> None:
    assert places()["probe white"].chart is None
    assert places()["unit walk-in"].chart is None


def test_a_load_with_which_all_was_well_is_drawn_on_screen_only() -> None:
    place = log_view(told(hot_tray())).sections[1].blocks[0].chart_places[0]
    assert (place.stands_out, place.is_printed) == (True, False)


@pytest.mark.usefixtures("paper")
def test_only_what_is_to_be_printed_is_drawn_on_paper() -> None:
    html = logs.log_html(printed_day.assessment(), head=printed_day.HEAD)
    drawn = re.findall(r'class="drawing".*?<title>(.*?)</title>', html)
    assert drawn == [place.says for place in _printed()]


def _printed() -> list[ChartPlace]:
    return [place for place in places().values() if place.is_printed and place.chart]


def test_a_chart_on_paper_is_read_out_as_its_sentence(day_pdf: bytes) -> None:
    pdf = pikepdf.open(io.BytesIO(day_pdf))
    said = {str(item.get("/Alt")) for item in pdf.objects if isinstance(item, pikepdf.Dictionary)}
    assert {place.says for place in _printed()} <= said


def test_a_place_knows_the_size_of_its_drawing() -> None:
    for place in places().values():
        if place.chart is not None:
            box = re.search(r'viewBox="0 0 (\S+) (\S+)"', place.chart.svg)
            assert box is not None
            assert tuple(round(float(side)) for side in box.groups()) == place.size


def test_a_load_that_was_not_read_has_no_place_for_a_chart() -> None:
    day = printed_day.assessment(as_of=cast.moment("09:30"))
    found = log_view(day).sections[1].blocks[0]
    assert found.chart_places == ()


def test_the_drawing_library_is_not_loaded_for_the_words_of_a_day() -> None:
    script = (
        "import sys; from tests.support import printed_day; from app.logs.view import log_view;"
        "log_view(printed_day.assessment()); assert 'matplotlib' not in sys.modules"
    )
    assert run([sys.executable, "-c", script], check=False).returncode == 0


def test_a_drawing_as_a_file_has_an_ink_for_light_and_one_for_dark() -> None:
    file = charts.in_words("Too <little> to draw").file
    assert file.startswith("<svg ")
    assert "prefers-color-scheme:dark" in file
    assert "Too &lt;little&gt; to draw" in file
