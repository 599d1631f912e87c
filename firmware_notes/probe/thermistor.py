"""A thermistor in a divider: the supply, a fixed resistor, the pin, the thermistor, ground.

1/T = 1/T0 + ln(R/R0)/B with T in kelvin (the beta equation of thermistor datasheets). R0 and B stand
in the part's datasheet; check in ice and in a bucket, as these parts differ from piece to piece.
"""

import math

import machine

R0_OHM, T0_K, BETA_K = 10000.0, 298.15, 3950.0
FIXED_OHM = 10000.0
READS = 64  # averaged, against the converter's noise
SHORT, OPEN = 0.02, 0.98  # of full scale: a wire touches another, or is off


class Sensor:
    """One thermistor."""

    def __init__(self, settings):
        self.adc = machine.ADC(settings.ADC_PIN)

    def read(self, wait):
        """Return [(name, value in 0.0001 degC or None, fault)]."""
        total = 0
        for _ in range(READS):
            total += self.adc.read_u16()
        share = total / READS / 65535
        if share > OPEN:
            return [("thermistor-1", None, "wire open")]
        if share < SHORT:
            return [("thermistor-1", None, "wires touch")]
        ohm = FIXED_OHM * share / (1 - share)
        kelvin = 1 / (1 / T0_K + math.log(ohm / R0_OHM) / BETA_K)
        return [("thermistor-1", round((kelvin - 273.15) * 100) * 100, "")]


def make(settings):
    """Return the sensor."""
    return Sensor(settings)
