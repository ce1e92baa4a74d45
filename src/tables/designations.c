/* SPDX-License-Identifier: MIT */
#include "tables/designations.h"

#include <string.h>

/* Machine letters READ; trade letters from MEMORY but for two; IEC classes F, K and Q READ, the
 * others from MEMORY. M is the motor starter and CTR the counter in the machine list. */
/* clang-format off: one row a line */
static const DesignationRow rows[] = {
    {LETTERS_MACHINE, "AM", "ammeter"},
    {LETTERS_MACHINE, "CAP", "capacitor"},
    {LETTERS_MACHINE, "CB", "circuit breaker"},
    {LETTERS_MACHINE, "CI", "circuit interrupter"},
    {LETTERS_MACHINE, "CON", "contactor"},
    {LETTERS_MACHINE, "CR", "control relay"},
    {LETTERS_MACHINE, "CS", "cam switch"},
    {LETTERS_MACHINE, "CTR", "counter"},
    {LETTERS_MACHINE, "F", "forward"},
    {LETTERS_MACHINE, "FB", "fuse block"},
    {LETTERS_MACHINE, "FLS", "flow switch"},
    {LETTERS_MACHINE, "FS", "float switch"},
    {LETTERS_MACHINE, "FTS", "foot switch"},
    {LETTERS_MACHINE, "FU", "fuse"},
    {LETTERS_MACHINE, "GRD", "ground"},
    {LETTERS_MACHINE, "HTR", "heating element"},
    {LETTERS_MACHINE, "LS", "limit switch"},
    {LETTERS_MACHINE, "LT", "pilot light"},
    {LETTERS_MACHINE, "M", "motor starter"},
    {LETTERS_MACHINE, "MTR", "motor"},
    {LETTERS_MACHINE, "PB", "push-button"},
    {LETTERS_MACHINE, "POT", "potentiometer"},
    {LETTERS_MACHINE, "PRS", "proximity switch"},
    {LETTERS_MACHINE, "PS", "pressure switch"},
    {LETTERS_MACHINE, "R", "reverse"},
    {LETTERS_MACHINE, "REC", "rectifier"},
    {LETTERS_MACHINE, "RECEP", "receptacle"},
    {LETTERS_MACHINE, "RES", "resistor"},
    {LETTERS_MACHINE, "RH", "rheostat"},
    {LETTERS_MACHINE, "RSS", "rotary selector switch"},
    {LETTERS_MACHINE, "S", "switch"},
    {LETTERS_MACHINE, "SOC", "socket"},
    {LETTERS_MACHINE, "SOL", "solenoid"},
    {LETTERS_MACHINE, "SS", "selector switch"},
    {LETTERS_MACHINE, "T", "transformer"},
    {LETTERS_MACHINE, "TAS", "temperature-actuated switch"},
    {LETTERS_MACHINE, "TB", "terminal block"},
    {LETTERS_MACHINE, "T/C", "thermocouple"},
    {LETTERS_MACHINE, "TGS", "toggle switch"},
    {LETTERS_MACHINE, "TR", "time-delay relay"},
    {LETTERS_MACHINE, "VM", "voltmeter"},
    {LETTERS_MACHINE, "VS", "vacuum switch"},
    {LETTERS_TRADE, "DISC", "disconnect switch"},             /* MEMORY */
    {LETTERS_TRADE, "OL", "overload relay"},                  /* MEMORY */
    {LETTERS_TRADE, "CPT", "control power transformer"},      /* MEMORY */
    {LETTERS_TRADE, "XFMR", "transformer"},                   /* MEMORY */
    {LETTERS_TRADE, "PE", "photo-electric switch"},           /* MEMORY */
    {LETTERS_TRADE, "ETM", "elapsed time meter"},             /* MEMORY */
    {LETTERS_TRADE, "PL", "pilot light"},                     /* MEMORY */
    {LETTERS_TRADE, "TS", "temperature switch / thermostat"}, /* MEMORY */
    {LETTERS_TRADE, "HPS", "high-pressure switch"},           /* MEMORY */
    {LETTERS_TRADE, "LPS", "low-pressure switch"},            /* MEMORY */
    {LETTERS_TRADE, "CC", "compressor contactor"},            /* MEMORY */
    {LETTERS_TRADE, "OFM", "outdoor fan motor"},
    {LETTERS_TRADE, "IFM", "indoor fan motor"},
    {LETTERS_TRADE, "COMP", "compressor"},                                       /* MEMORY */
    {LETTERS_TRADE, "GND", "ground"},                                            /* MEMORY */
    {LETTERS_TRADE, "J", "junction / plug connector"},                           /* MEMORY */
    {LETTERS_TRADE, "WN", "wire nut (splice)"},                                  /* MEMORY */
    {LETTERS_IEC, "A", "two or more purposes (assembly)"},                       /* MEMORY */
    {LETTERS_IEC, "B", "sensing: converting a quantity to a signal"},            /* MEMORY */
    {LETTERS_IEC, "C", "storing energy or information (capacitor, coil store)"}, /* MEMORY */
    {LETTERS_IEC, "E",
     "emitting light, heat or other radiation (lamp, heater, UV lamp)"}, /* MEMORY */
    {LETTERS_IEC, "F", "direct self-acting protection (fuse, miniature breaker, thermal overload)"},
    {LETTERS_IEC, "G",
     "generating or initiating a flow (generator, battery, pump, fan)"}, /* MEMORY */
    {LETTERS_IEC, "K", "processing signals (relay, timer, controller)"},
    {LETTERS_IEC, "M", "providing mechanical energy (motor, actuator)"},   /* MEMORY */
    {LETTERS_IEC, "P", "presenting information (indicator, meter, bell)"}, /* MEMORY */
    {LETTERS_IEC, "Q", "controlled switching of energy (breaker, contactor, disconnector)"},
    {LETTERS_IEC, "R", "restricting or stabilising (resistor, diode, choke)"},         /* MEMORY */
    {LETTERS_IEC, "S", "manual operation to a signal (switch, push-button)"},          /* MEMORY */
    {LETTERS_IEC, "T", "converting energy of the same kind (transformer, converter)"}, /* MEMORY */
    {LETTERS_IEC, "U", "holding in position (support, enclosure)"},                    /* MEMORY */
    {LETTERS_IEC, "V", "processing material (filter)"},                                /* MEMORY */
    {LETTERS_IEC, "W", "guiding or conducting (cable, conductor, busbar)"},            /* MEMORY */
    {LETTERS_IEC, "X", "connecting (terminal, socket, plug)"},                         /* MEMORY */
};
/* clang-format on */

const DesignationRow *
designation_rows(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

const char *
designation_meaning(LetterSet set, const char *designation)
{
  gsize letters = 0;
  while (g_ascii_isalpha(designation[letters]) || designation[letters] == '/')
    letters++;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (rows[i].set == set && strlen(rows[i].letters) == letters &&
        strncmp(rows[i].letters, designation, letters) == 0)
      return rows[i].meaning;
  return NULL;
}
