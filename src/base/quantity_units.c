/* SPDX-License-Identifier: MIT */
#include "base/quantity_units.h"

const UnitInfo quantity_units[UNIT_COUNT] = {
    [UNIT_NONE] = {"", {NULL}, DIMENSION_NONE, 1, false, 0, "4.9"},
    [UNIT_VOLT] = {"V", {"volt", "volts"}, DIMENSION_VOLTAGE, 1, true, 1e4, "480 V"},
    [UNIT_AMPERE] = {"A", {"amp", "amps"}, DIMENSION_CURRENT, 1, true, 1e3, "10 kA"},
    [UNIT_VOLT_AMPERE] = {"VA", {NULL}, DIMENSION_APPARENT, 1, true, 1e4, "250 VA"},
    [UNIT_WATT] = {"W", {"watt", "watts"}, DIMENSION_POWER, 1, true, 1e4, "90 W"},
    [UNIT_VAR] = {"var", {NULL}, DIMENSION_REACTIVE, 1, true, 1e4, "40 var"},
    [UNIT_OHM] =
        {"ohm", {"ohms", "\xe2\x84\xa6", "\xce\xa9"}, DIMENSION_RESISTANCE, 1, true, 1e3, "12 ohm"},
    [UNIT_SIEMENS] = {"S", {NULL}, DIMENSION_CONDUCTANCE, 1, true, 1e3, "0.5 S"},
    [UNIT_FARAD] = {"F", {NULL}, DIMENSION_CAPACITANCE, 1, true, 1e3, "30 uF"},
    [UNIT_HENRY] = {"H", {NULL}, DIMENSION_INDUCTANCE, 1, true, 1e3, "20 mH"},
    [UNIT_HERTZ] = {"Hz", {"hertz"}, DIMENSION_FREQUENCY, 1, true, 1e4, "60 Hz"},
    [UNIT_HORSEPOWER] = {"hp", {"HP"}, DIMENSION_POWER, 745.69987158227022, false, 0, "0.5 hp"},
    [UNIT_FOOT] = {"ft", {"feet", "foot"}, DIMENSION_LENGTH, 0.3048, false, 0, "12 ft"},
    [UNIT_METRE] = {"m", {NULL}, DIMENSION_LENGTH, 1, true, 1e4, "3.6 m"},
    [UNIT_INCH] = {"in", {"inch"}, DIMENSION_LENGTH, 0.0254, false, 0, "6 in"},
    [UNIT_MILLIMETRE] = {"mm", {NULL}, DIMENSION_LENGTH, 0.001, false, 0, "40 mm"},
    [UNIT_AWG] = {"AWG", {"awg"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "14 AWG"},
    [UNIT_KCMIL] = {"kcmil", {"MCM"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "250 kcmil"},
    [UNIT_SQUARE_MM] = {"mm2", {"mm\xc2\xb2"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "2.5 mm2"},
    [UNIT_PERCENT] = {"%", {"percent"}, DIMENSION_RATIO, 1, false, 0, "5 %"},
    [UNIT_DEGREE] = {"deg", {"\xc2\xb0"}, DIMENSION_ANGLE, 1, false, 0, "120 deg"},
    [UNIT_CELSIUS] = {"C",
                      {"\xc2\xb0"
                       "C",
                       "degC"},
                      DIMENSION_TEMPERATURE,
                      1,
                      false,
                      0,
                      "75 C"},
    [UNIT_SECOND] = {"s", {NULL}, DIMENSION_TIME, 1, true, 1e4, "0.5 s"},
};

const UnitPrefix quantity_prefixes[] = {
    {"k", 3}, {"M", 6}, {"m", -3}, {"u", -6}, {"\xc2\xb5", -6}, {"\xce\xbc", -6},
};

const guint quantity_n_prefixes = G_N_ELEMENTS(quantity_prefixes);

const char *
quantity_prefix_symbol(int8_t power)
{
  for (guint i = 0; i < quantity_n_prefixes; i++)
    if (quantity_prefixes[i].power == power)
      return quantity_prefixes[i].symbol;
  return "";
}
