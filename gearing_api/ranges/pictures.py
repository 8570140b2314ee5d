"""Pictures with soft edges: of builds like this one instead of this one alone."""

from gearing_api.answer import Limits, Picture, Ruler
from gearing_api.build import Build
from gearing_api.ranges.limits import softened_limits
from gearing_api.ranges.windows import softened


def softened_picture(picture: Picture, build: Build) -> Picture:
    """The picture with soft edges where it is of a kind that has them, else as it is."""
    match picture:
        case Ruler():
            return softened(picture, build)
        case Limits():
            return softened_limits(picture, build)
    return picture
