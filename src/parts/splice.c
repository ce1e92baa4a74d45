/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const type_choices[] = {N_("twist-on"), N_("crimp"), N_("lever"),
                                           N_("set-screw"), NULL};

enum { DESIGNATION, TYPE, CAPACITY, VOLTS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [TYPE] = {.name = "type",
              .title = N_("Connector"),
              .type = FIELD_CHOICE,
              .choices = type_choices,
              .initial = "twist-on",
              .help = N_("How the conductors are joined")},
    [CAPACITY] = {.name = "capacity",
                  .title = N_("Conductors"),
                  .type = FIELD_INTEGER,
                  .minimum = 2,
                  .maximum = 6,
                  .initial = "4",
                  .help = N_("Conductors the connector may hold, from its package")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Insulation volts of the connector")},
    [NOTE] = FIELD_NOTE,
};

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "1", 0, 0, SIDE_RIGHT, TERMINAL_PLAIN)->capacity =
      (guint)device_number(device, CAPACITY, 4);
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, PROBE_EARTH, _("splice to ground"));
}

static void
draw(const Device *device, Pen *pen)
{
  pen_circle(pen, device_terminal(device, 0)->at, 1.2, &symbol_stroke, &symbol_solid);
}

const PartKind part_splice = {
    .name = "splice",
    .title = N_("Splice"),
    .designation = "SP",
    .help = N_("Two to six conductors joined in a connector"),
    .group = GROUP_END,
    .role = ROLE_SPLICE,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .probes = probes,
};
