/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const type_choices[] = {N_("twist-on"), N_("crimp"), N_("heat-shrink"), NULL};

enum { DESIGNATION, TYPE, VOLTS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [TYPE] = {.name = "type",
              .title = N_("Cap"),
              .type = FIELD_CHOICE,
              .choices = type_choices,
              .initial = "twist-on",
              .help = N_("What closes and insulates the end")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Insulation volts of the cap")},
    [NOTE] = FIELD_NOTE,
};

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN)->capacity = 1;
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, PROBE_EARTH, _("capped end to ground"));
}

static void
draw(const Device *device, Pen *pen)
{
  static const Point cone[] = {{1.5, -1.1}, {6, -2}, {6, 2}, {1.5, 1.1}};
  symbol_stub_plain(pen, device_terminal(device, 0), 1.5, 0);
  pen_polygon(pen, cone, G_N_ELEMENTS(cone), &symbol_stroke, &symbol_paper);
  pen_line(pen, (Point){3, -0.7}, (Point){3, 0.7}, &symbol_thin);
  pen_line(pen, (Point){4.5, -0.9}, (Point){4.5, 0.9}, &symbol_thin);
}

const PartKind part_cap = {
    .name = "cap",
    .title = N_("Cap"),
    .designation = "WC",
    .help = N_("Insulated end of one unused lead"),
    .group = GROUP_END,
    .role = ROLE_CAP,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .probes = probes,
};
