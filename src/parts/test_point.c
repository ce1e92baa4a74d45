/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [NOTE] = FIELD_NOTE,
};

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  part_terminal(array, "1", 0, 0, SIDE_DOWN, TERMINAL_PLAIN);
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, PROBE_EARTH, _("test point to ground"));
}

static void
draw(const Device *device, Pen *pen)
{
  symbol_stub_plain(pen, device_terminal(device, 0), 0, -3);
  pen_circle(pen, (Point){0, -4.5}, 1.5, &symbol_stroke, &symbol_paper);
  pen_circle(pen, (Point){0, -4.5}, 0.5, &symbol_stroke, &symbol_solid);
}

const PartKind part_test_point = {
    .name = "test-point",
    .title = N_("Test point"),
    .designation = "TP",
    .help = N_("Place where the sheet says what a meter should read"),
    .group = GROUP_END,
    .role = ROLE_TEST_POINT,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .probes = probes,
};
