"""How often a serving process looks for garbage in circles."""

import gc

_NEW, _OLDER, _OLDEST = 50_000, 20, 50


def collect_less_often() -> None:
    """Leave alone what a started process keeps, and search what is new less often; the process is for serving only.

    What a day's assessment makes is nearly all still needed when Python would search it by default, and a search of
    everything costs a tenth of the assessment of a long day.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(_NEW, _OLDER, _OLDEST)
