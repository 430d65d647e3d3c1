"""The data files are read again once the tests are collected: collecting reads them, and a reading is kept."""

import pytest

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains


@pytest.fixture(scope="session", autouse=True)
def data_files_read_afresh() -> None:
    media.cache_clear()
    strains.cache_clear()
