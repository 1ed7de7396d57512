"""The courses of two small spreads: a box with art inside, and a flower with feet through slits."""

import pytest

from preview.course.course import course_of
from tests.building.specimens import BOX, FLOWER, solved
from tests.designs import by_day


@pytest.fixture(scope="package")
def crate(tmp_path_factory):
    found, _, steps = solved(BOX, tmp_path_factory.mktemp("crate"))
    return course_of(found, steps)


@pytest.fixture(scope="package")
def rose(tmp_path_factory):
    found, _, steps = solved(FLOWER, tmp_path_factory.mktemp("rose"))
    return course_of(found, steps)


@pytest.fixture(params=by_day(["crate", "rose"], ["crate"]))
def course(request):
    return request.getfixturevalue(request.param)
