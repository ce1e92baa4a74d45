/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

/* Fuse classes of UL 248 (names only), then what is met without a class letter. */
static const char *const class_choices[] = {
    "CC", "G",          "H",         "J",        "K5", "RK1",       "RK5", "T",
    "CF", N_("midget"), N_("glass"), N_("plug"), "gG", N_("other"), NULL};

enum {
  DESIGNATION,
  CLASS,
  RATING,
  VOLTS,
  INTERRUPTING,
  TIME_DELAY,
  BLOWN,
  TERMINAL_CELSIUS,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [CLASS] = {.name = "class",
               .title = N_("Class"),
               .type = FIELD_CHOICE,
               .choices = class_choices,
               .initial = "CC",
               .help = N_("Fuse class printed on the barrel")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.01,
                .maximum = 6000,
                .initial = "1 A",
                .help = N_("Amperes on the barrel")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Highest ac volts on the barrel")},
    [INTERRUPTING] = {.name = "interrupting",
                      .title = N_("Interrupting rating"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_AMPERE,
                      .minimum = 10,
                      .maximum = 300000,
                      .help = N_("Fault current it can open, printed IR or AIC; empty: unknown")},
    [TIME_DELAY] = {.name = "time-delay",
                    .title = N_("Time delay"),
                    .type = FIELD_BOOLEAN,
                    .initial = "yes",
                    .help = N_("yes: rides through a transformer's or motor's inrush")},
    [BLOWN] = {.name = "blown",
               .title = N_("Blown"),
               .type = FIELD_BOOLEAN,
               .initial = "no",
               .help = N_("yes: open element")},
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_LINE);
  part_terminal(array, "2", WIDTH, 0, SIDE_RIGHT, TERMINAL_LOAD_SIDE);
}

static void
stamp(const Device *device, Stamp *out)
{
  stamp_join(out, 0, 1,
             (Join){.role = JOIN_FUSE,
                    .closed = !device_flag(device, BLOWN),
                    .coil = -1,
                    .rated_amps = device_number(device, RATING, 0),
                    .rated_volts = device_number(device, VOLTS, 0),
                    .interrupting_amps = device_number(device, INTERRUPTING, 0)});
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, 1, _("across the fuse"));
  part_probe(array, 1, PROBE_EARTH, _("load side to ground"));
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(" ", part_value_text(device, RATING), part_value_text(device, VOLTS),
                         g_strdup(class_choices[device_choice(device, CLASS)]), PART_TEXT_END);
}

/* A cross above a blown one. */
static void
draw_blown(Pen *pen)
{
  pen_line(pen, (Point){SYMBOL_MIDDLE - 2, -5}, (Point){SYMBOL_MIDDLE + 2, -3}, &symbol_heavy);
  pen_line(pen, (Point){SYMBOL_MIDDLE - 2, -3}, (Point){SYMBOL_MIDDLE + 2, -5}, &symbol_heavy);
}

static void
draw(const Device *device, Pen *pen)
{
  const double radius = (SYMBOL_RIGHT - SYMBOL_LEFT) / 4;
  /* A blown element parts in the middle: the arcs stop short of it. */
  double short_of = device_flag(device, BLOWN) ? 50 : 0;
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  pen_arc(pen, (Point){SYMBOL_LEFT + radius, 0}, radius, 180, 360 - short_of, &symbol_stroke);
  pen_arc(pen, (Point){SYMBOL_RIGHT - radius, 0}, radius, 0, 180 - short_of, &symbol_stroke);
  if (device_flag(device, BLOWN))
    draw_blown(pen);
  pen_circle(pen, (Point){SYMBOL_LEFT, 0}, 0.55, &symbol_stroke, &symbol_paper);
  pen_circle(pen, (Point){SYMBOL_RIGHT, 0}, 0.55, &symbol_stroke, &symbol_paper);
}

/* A box with the conductor through it (07-21-01). */
static void
draw_iec(const Device *device, Pen *pen)
{
  const double half = 2, width = SYMBOL_RIGHT - SYMBOL_LEFT;

  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  pen_box(pen, (Rect){SYMBOL_LEFT, -half, width, 2 * half}, &symbol_stroke, &symbol_paper);
  if (!device_flag(device, BLOWN)) {
    pen_line(pen, (Point){SYMBOL_LEFT, 0}, (Point){SYMBOL_RIGHT, 0}, &symbol_stroke);
    return;
  }
  pen_line(pen, (Point){SYMBOL_LEFT, 0}, (Point){SYMBOL_MIDDLE - 1.5, 0}, &symbol_stroke);
  pen_line(pen, (Point){SYMBOL_MIDDLE + 1.5, 0}, (Point){SYMBOL_RIGHT, 0}, &symbol_stroke);
  draw_blown(pen);
}

const PartKind part_fuse = {
    .name = "fuse",
    .title = N_("Fuse"),
    .designation = "FU",
    .help = N_("One fuse in its holder"),
    .group = GROUP_PROTECTION,
    .role = ROLE_FUSE,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .operate_field = "blown",
};
