/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const type_choices[] = {N_("lug"), N_("bar"), N_("screw"), NULL};

enum { DESIGNATION, TYPE, CAPACITY, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [TYPE] = {.name = "type",
              .title = N_("Ground"),
              .type = FIELD_CHOICE,
              .choices = type_choices,
              .initial = "lug",
              .help = N_("What the grounding conductors land on")},
    [CAPACITY] = {.name = "capacity",
                  .title = N_("Conductors"),
                  .type = FIELD_INTEGER,
                  .minimum = 1,
                  .maximum = 24,
                  .initial = "4",
                  .help = N_("Conductors it may hold")},
    [NOTE] = FIELD_NOTE,
};

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "1", 0, 0, SIDE_UP, TERMINAL_EARTH)->capacity =
      (guint)device_number(device, CAPACITY, 4);
}

static void
draw(const Device *device, Pen *pen)
{
  symbol_ground(pen, device_terminal(device, 0)->at);
}

const PartKind part_ground = {
    .name = "ground",
    .title = N_("Ground lug"),
    .designation = "GRD",
    .help = N_("Lug, bar or screw bonded to the grounded metal of the unit"),
    .group = GROUP_END,
    .role = ROLE_GROUND,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
};
