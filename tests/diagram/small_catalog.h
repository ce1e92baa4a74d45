/* SPDX-License-Identifier: MIT */
/* A small catalog of our own for the tests of this layer, which may not reach up to the real parts.
 * It has every type of field, rows that make terminals, references and a consistency rule. */
#pragma once

#include "diagram/device.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <string.h>

static void
small_terminal(GArray *terminals, const char *name, double x, double y, int side, int row)
{
  Terminal terminal = {.at = {x, y}, .side = side, .role = TERMINAL_PLAIN, .row = row};
  g_strlcpy(terminal.name, name, sizeof terminal.name);
  g_array_append_val(terminals, terminal);
}

/* --- bank: leads made by rows --- */
static const char *const small_windings[] = {"primary", "secondary", NULL};
static const FieldSpec bank_fields[] = {
    {.name = "designation", .title = "Designation", .help = "Marking", .type = FIELD_TEXT},
    {.name = "rating",
     .title = "Rating",
     .help = "On the nameplate",
     .type = FIELD_QUANTITY,
     .unit = UNIT_VOLT_AMPERE,
     .minimum = 1,
     .maximum = 1e6,
     .initial = "250 VA"},
};
static const FieldSpec lead_fields[] = {
    {.name = "name", .title = "Marking", .help = "On the lead", .type = FIELD_NAME},
    {.name = "winding",
     .title = "Winding",
     .help = "Which",
     .type = FIELD_CHOICE,
     .choices = small_windings,
     .initial = "primary"},
    {.name = "volts",
     .title = "Volts",
     .help = "From the common lead",
     .type = FIELD_QUANTITY,
     .unit = UNIT_VOLT,
     .minimum = 0,
     .maximum = 600},
};
static const char *const bank_rows[] = {"H1", NULL,        "0 V", "H2", NULL,        "480 V",
                                        "X1", "secondary", "0 V", "X2", "secondary", "24 V"};
static void
bank_terminals(const Device *device, GArray *terminals)
{
  for (guint i = 0; i < device_row_count(device); i++)
    small_terminal(terminals, device_row_text(device, i, 0), (i % 2) * 20.0, (i / 2) * 10.0,
                   i % 2 ? 0 : 2, (int)i);
}
/* 13 VA is the one rating this imaginary maker never made: a rule no single range can say. */
static bool
bank_validate(const Device *device, GError **error)
{
  if (device_number(device, 1, 0) != 13.0)
    return true;
  g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE, "%s: 13 VA is made by nobody; expected 250 VA",
              device->id);
  return false;
}
static const PartKind bank_kind = {.name = "bank",
                                   .title = "Bank of leads",
                                   .designation = "T",
                                   .help = "For tests",
                                   .group = GROUP_TRANSFORMER,
                                   .role = ROLE_TRANSFORMER,
                                   .fields = bank_fields,
                                   .n_fields = G_N_ELEMENTS(bank_fields),
                                   .row_name = "lead",
                                   .row_title = "Lead",
                                   .row_fields = lead_fields,
                                   .n_row_fields = G_N_ELEMENTS(lead_fields),
                                   .max_rows = 8,
                                   .initial_rows = bank_rows,
                                   .n_initial_rows = 4,
                                   .terminals = bank_terminals,
                                   .validate = bank_validate};

/* --- contact: refers to another device --- */
static const FieldSpec contact_fields[] = {
    {.name = "coil", .title = "Worked by", .help = "A coil", .type = FIELD_TEXT, .refers = true},
    {.name = "across", .title = "Across", .help = "Two points", .type = FIELD_TERMINALS},
    {.name = "closed", .title = "Closed", .help = "State", .type = FIELD_BOOLEAN, .initial = "no"},
};
static void
two_terminals(const Device *device, GArray *terminals)
{
  (void)device;
  small_terminal(terminals, "1", 0, 0, 2, -1);
  small_terminal(terminals, "2", 20, 0, 0, -1);
}
static const PartKind contact_kind = {.name = "contact",
                                      .title = "Contact",
                                      .designation = "CR",
                                      .help = "For tests",
                                      .group = GROUP_CONTROL,
                                      .role = ROLE_CONTACT,
                                      .fields = contact_fields,
                                      .n_fields = G_N_ELEMENTS(contact_fields),
                                      .terminals = two_terminals,
                                      .operate_field = "closed"};

/* --- every type of field --- */
static const char *const every_states[] = {"run", "locked", "off", NULL};
static const FieldSpec every_fields[] = {
    {.name = "label", .title = "Label", .help = "Text", .type = FIELD_TEXT, .maximum = 12},
    {.name = "plug", .title = "Plug", .help = "Name", .type = FIELD_NAME},
    {.name = "power",
     .title = "Power",
     .help = "The nameplate says it",
     .type = FIELD_QUANTITY,
     .unit = UNIT_WATT,
     .minimum = 1,
     .maximum = 5000,
     .initial = "90 W",
     .required = true},
    {.name = "accepts",
     .title = "Accepts",
     .help = "Range of volts",
     .type = FIELD_RANGE,
     .unit = UNIT_VOLT,
     .minimum = 1,
     .maximum = 1000},
    {.name = "state",
     .title = "State",
     .help = "Choice",
     .type = FIELD_CHOICE,
     .choices = every_states,
     .initial = "run"},
    {.name = "sealed", .title = "Sealed", .help = "Flag", .type = FIELD_BOOLEAN},
    {.name = "poles",
     .title = "Poles",
     .help = "Whole number",
     .type = FIELD_INTEGER,
     .minimum = 1,
     .maximum = 3,
     .initial = "1"},
    {.name = "sense", .title = "Sense", .help = "Two points", .type = FIELD_TERMINALS},
    {.name = "ratio", .title = "Ratio", .help = "Bare number", .type = FIELD_QUANTITY},
    {.name = "size",
     .title = "Size",
     .help = "Conductor",
     .type = FIELD_QUANTITY,
     .unit = UNIT_AWG,
     .minimum = 0.5,
     .maximum = 100},
};
static void
every_terminals(const Device *device, GArray *terminals)
{
  int poles = (int)device_number(device, 6, 1);
  for (int i = 0; i < poles; i++) {
    g_autofree char *line = g_strdup_printf("L%d", i + 1);
    g_autofree char *load = g_strdup_printf("T%d", i + 1);
    small_terminal(terminals, line, 0, i * 10.0, 2, -1);
    small_terminal(terminals, load, 20, i * 10.0, 0, -1);
  }
}
static const PartKind every_kind = {.name = "every",
                                    .title = "Every <field> & type",
                                    .designation = "LD",
                                    .help = "For tests",
                                    .group = GROUP_LOAD,
                                    .role = ROLE_LOAD,
                                    .fields = every_fields,
                                    .n_fields = G_N_ELEMENTS(every_fields),
                                    .terminals = every_terminals,
                                    .operate_field = "state"};

/* --- joint: the splice --- */
static void
one_terminal(const Device *device, GArray *terminals)
{
  (void)device;
  small_terminal(terminals, "1", 0, 0, 0, -1);
}
static const PartKind joint_kind = {.name = "joint",
                                    .title = "Joint",
                                    .designation = "SP",
                                    .help = "For tests",
                                    .group = GROUP_END,
                                    .role = ROLE_SPLICE,
                                    .terminals = one_terminal};

/* --- outline: nothing to land on --- */
static const PartKind outline_kind = {.name = "outline",
                                      .title = "Outline",
                                      .designation = "BOX",
                                      .help = "For tests",
                                      .group = GROUP_END,
                                      .role = ROLE_OUTLINE};

static const PartKind *const small_catalog[] = {&bank_kind,  &contact_kind, &every_kind,
                                                &joint_kind, &outline_kind, NULL};

static inline Device *
small_device(const PartKind *kind, const char *id, double x, double y)
{
  Device *device = device_new(kind, id);
  device->placement.at = (Point){x, y};
  return device;
}
