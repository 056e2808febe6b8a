"""Fields that several calculators ask for in the same words: the motor's figures, the air it runs in.

Calculators that need a field, or want other help beside it, say so with `dataclasses.replace`.
"""

from .form import Field
from .words import mark

PRESSURES = ("kPa", "mbar", "inH2O")

SEALED_VACUUM = Field(
    "sealed_vacuum", mark("Sealed vacuum of the motor"), "quantity", mark("In good order, at sea level and 20 °C."),
    quantity="pressure", unit="kPa", units=PRESSURES, low=0, high=101, above=True, what=mark("a vacuum"),
    machine="vacuum.sealed")
OPEN_FLOW = Field(
    "open_flow", mark("Open flow of the motor"), "quantity", mark("In good order, with nothing on its inlet."),
    quantity="flow", unit="m3/h", units=("m3/h", "L/s", "cfm"), low=0, high=2000, above=True, what=mark("an air flow"),
    machine="vacuum.open_flow")
ALTITUDE = Field(
    "altitude", mark("Altitude"), "quantity", mark("Thin air lowers what the motor makes."), quantity="length", unit="m",
    units=("m", "ft"), low=-400, high=5000, default=0, what=mark("an altitude"))
AIR_TEMPERATURE = Field(
    "air_temperature", mark("Air temperature"), "quantity", quantity="temperature", unit="degC", units=("degC", "degF"),
    low=-20, high=60, default=20, what=mark("a temperature"))
