"""The rooms off the bench, gathered for the screen."""

from workshop.bench.callpane import CallPane
from workshop.bench.drawerpane import DrawerPane
from workshop.bench.rack import Rack
from workshop.bench.readypane import ReadyPane
from workshop.bench.runpane import RunPane
from workshop.bench.startform import StartForm
from workshop.bench.wall import Wall

__all__ = ["CallPane", "DrawerPane", "Rack", "ReadyPane", "RunPane", "StartForm", "Wall"]
