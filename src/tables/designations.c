/* SPDX-License-Identifier: MIT */
#include "tables/designations.h"

#include "base/language.h"

#include <string.h>

/* Machine letters READ; trade letters from MEMORY but for two; IEC classes F, K and Q READ, the
 * others from MEMORY. M is the motor starter and CTR the counter in the machine list. */
/* clang-format off: one row a line */
static const DesignationRow rows[] = {
    {LETTERS_MACHINE, "AM", "ammeter"},
    {LETTERS_MACHINE, "CAP", "capacitor"},
    {LETTERS_MACHINE, "CB", N_("circuit breaker")},
    {LETTERS_MACHINE, "CI", N_("circuit interrupter")},
    {LETTERS_MACHINE, "CON", "contactor"},
    {LETTERS_MACHINE, "CR", N_("control relay")},
    {LETTERS_MACHINE, "CS", N_("cam switch")},
    {LETTERS_MACHINE, "CTR", "counter"},
    {LETTERS_MACHINE, "F", "forward"},
    {LETTERS_MACHINE, "FB", N_("fuse block")},
    {LETTERS_MACHINE, "FLS", N_("flow switch")},
    {LETTERS_MACHINE, "FS", N_("float switch")},
    {LETTERS_MACHINE, "FTS", N_("foot switch")},
    {LETTERS_MACHINE, "FU", "fuse"},
    {LETTERS_MACHINE, "GRD", "ground"},
    {LETTERS_MACHINE, "HTR", N_("heating element")},
    {LETTERS_MACHINE, "LS", N_("limit switch")},
    {LETTERS_MACHINE, "LT", N_("pilot light")},
    {LETTERS_MACHINE, "M", N_("motor starter")},
    {LETTERS_MACHINE, "MTR", "motor"},
    {LETTERS_MACHINE, "PB", "push-button"},
    {LETTERS_MACHINE, "POT", "potentiometer"},
    {LETTERS_MACHINE, "PRS", N_("proximity switch")},
    {LETTERS_MACHINE, "PS", N_("pressure switch")},
    {LETTERS_MACHINE, "R", "reverse"},
    {LETTERS_MACHINE, "REC", "rectifier"},
    {LETTERS_MACHINE, "RECEP", "receptacle"},
    {LETTERS_MACHINE, "RES", "resistor"},
    {LETTERS_MACHINE, "RH", "rheostat"},
    {LETTERS_MACHINE, "RSS", N_("rotary selector switch")},
    {LETTERS_MACHINE, "S", "switch"},
    {LETTERS_MACHINE, "SOC", "socket"},
    {LETTERS_MACHINE, "SOL", "solenoid"},
    {LETTERS_MACHINE, "SS", N_("selector switch")},
    {LETTERS_MACHINE, "T", "transformer"},
    {LETTERS_MACHINE, "TAS", N_("temperature-actuated switch")},
    {LETTERS_MACHINE, "TB", N_("terminal block")},
    {LETTERS_MACHINE, "T/C", "thermocouple"},
    {LETTERS_MACHINE, "TGS", N_("toggle switch")},
    {LETTERS_MACHINE, "TR", N_("time-delay relay")},
    {LETTERS_MACHINE, "VM", "voltmeter"},
    {LETTERS_MACHINE, "VS", N_("vacuum switch")},
    {LETTERS_TRADE, "DISC", N_("disconnect switch")},             /* MEMORY */
    {LETTERS_TRADE, "OL", N_("overload relay")},                  /* MEMORY */
    {LETTERS_TRADE, "CPT", N_("control power transformer")},      /* MEMORY */
    {LETTERS_TRADE, "XFMR", "transformer"},                       /* MEMORY */
    {LETTERS_TRADE, "PE", N_("photo-electric switch")},           /* MEMORY */
    {LETTERS_TRADE, "ETM", N_("elapsed time meter")},             /* MEMORY */
    {LETTERS_TRADE, "PL", N_("pilot light")},                     /* MEMORY */
    {LETTERS_TRADE, "TS", N_("temperature switch / thermostat")}, /* MEMORY */
    {LETTERS_TRADE, "HPS", N_("high-pressure switch")},           /* MEMORY */
    {LETTERS_TRADE, "LPS", N_("low-pressure switch")},            /* MEMORY */
    {LETTERS_TRADE, "CC", N_("compressor contactor")},            /* MEMORY */
    {LETTERS_TRADE, "OFM", N_("outdoor fan motor")},
    {LETTERS_TRADE, "IFM", N_("indoor fan motor")},
    {LETTERS_TRADE, "COMP", "compressor"},                                           /* MEMORY */
    {LETTERS_TRADE, "GND", "ground"},                                                /* MEMORY */
    {LETTERS_TRADE, "J", N_("junction / plug connector")},                           /* MEMORY */
    {LETTERS_TRADE, "WN", N_("wire nut (splice)")},                                  /* MEMORY */
    {LETTERS_IEC, "A", N_("two or more purposes (assembly)")},                       /* MEMORY */
    {LETTERS_IEC, "B", N_("sensing: converting a quantity to a signal")},            /* MEMORY */
    {LETTERS_IEC, "C", N_("storing energy or information (capacitor, coil store)")}, /* MEMORY */
    {LETTERS_IEC, "E",
     N_("emitting light, heat or other radiation (lamp, heater, UV lamp)")}, /* MEMORY */
    {LETTERS_IEC, "F",
     N_("direct self-acting protection (fuse, miniature breaker, thermal overload)")},
    {LETTERS_IEC, "G",
     N_("generating or initiating a flow (generator, battery, pump, fan)")}, /* MEMORY */
    {LETTERS_IEC, "K", N_("processing signals (relay, timer, controller)")},
    {LETTERS_IEC, "M", N_("providing mechanical energy (motor, actuator)")},   /* MEMORY */
    {LETTERS_IEC, "P", N_("presenting information (indicator, meter, bell)")}, /* MEMORY */
    {LETTERS_IEC, "Q", N_("controlled switching of energy (breaker, contactor, disconnector)")},
    {LETTERS_IEC, "R", N_("restricting or stabilising (resistor, diode, choke)")}, /* MEMORY */
    {LETTERS_IEC, "S", N_("manual operation to a signal (switch, push-button)")},  /* MEMORY */
    {LETTERS_IEC, "T",
     N_("converting energy of the same kind (transformer, converter)")},        /* MEMORY */
    {LETTERS_IEC, "U", N_("holding in position (support, enclosure)")},         /* MEMORY */
    {LETTERS_IEC, "V", N_("processing material (filter)")},                     /* MEMORY */
    {LETTERS_IEC, "W", N_("guiding or conducting (cable, conductor, busbar)")}, /* MEMORY */
    {LETTERS_IEC, "X", N_("connecting (terminal, socket, plug)")},              /* MEMORY */
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
