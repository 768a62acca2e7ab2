"""How quantities are reckoned by the words around them: each row of the knowledge, by its own example. Common practice in reading English, without source."""
from __future__ import annotations

import pytest

from guide.knowledge.base import Knowledge
from guide.knowledge.language import Reckoned
from guide.language.cutting import cut
from guide.language.mentions import mentions
from guide.language.numbers import split
from guide.language.reading import Reader
from guide.language.reckoning import Reckoning
from guide.language.units import Units
from guide.language.wording import regular
from guide.starting import start

ROWS = start().knowledge.language.reckoned


def _named(row: Reckoned) -> str:
    return row.such_as


@pytest.fixture(scope="module")
def reader() -> Reader:
    return start().reader


@pytest.mark.parametrize("row", ROWS, ids=_named)
def test_its_example_is_reckoned_so(row: Reckoned, reader: Reader) -> None:
    told = {each.fact: each.how for reading in reader.read(row.such_as).readings for each in reading.told}
    assert told.get(row.facts[0], "nothing") == row.how


@pytest.mark.parametrize("row", ROWS, ids=_named)
def test_it_reckons_its_example_and_no_other_row_is_needed(row: Reckoned, knowledge: Knowledge) -> None:
    units = Units(knowledge.language.words)
    texts = [split(regular(text)) for text in (row.such_as, *cut(row.such_as))]
    hows = [Reckoning([row], units).hows(words, target) for words in texts for target in mentions(words, units)]
    assert any(found.get(row.facts[0]) == row.how for found in hows)


@pytest.mark.parametrize(("text", "told"), [
    ("two of us were lifted off", ("persons", 2, "used")), ("there are two of us", ("persons", 2, "set")), ("everyone drank half a litre", ("water", 0.5, "issued")),
    ("two of us drank half a litre each", ("water", 1.0, "used")), ("a wave took two litres", ("water", 2.0, "used"))])
def test_how_much_of_what(text: str, told: tuple[str, float, str], reader: Reader) -> None:
    assert [tuple(each) for reading in reader.read(text).readings for each in reading.told] == [told]
