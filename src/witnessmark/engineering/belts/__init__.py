"""Belt and chain runs: path, length, tensioner travel, routing found again, drawing."""

from witnessmark.engineering.belts.drawing import describe_route, draw_route
from witnessmark.engineering.belts.path import BeltPath, Contact, Span, belt_path
from witnessmark.engineering.belts.pulleys import (
    Direction,
    Face,
    Pulley,
    chain_pitch_diameter,
    pitch_diameter,
    pitch_line_diameter,
)
from witnessmark.engineering.belts.routing import Routing, RoutingSearch, find_routings
from witnessmark.engineering.belts.tensioner import Slide, Swing, Travel, tensioner_travel

__all__ = [
    "BeltPath",
    "Contact",
    "Direction",
    "Face",
    "Pulley",
    "Routing",
    "RoutingSearch",
    "Slide",
    "Span",
    "Swing",
    "Travel",
    "belt_path",
    "chain_pitch_diameter",
    "describe_route",
    "draw_route",
    "find_routings",
    "pitch_diameter",
    "pitch_line_diameter",
    "tensioner_travel",
]
