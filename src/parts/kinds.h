/* SPDX-License-Identifier: MIT */
/* What the files of this folder share: the tables' names, the fields every kind has, and short
 * ways to add terminals, probes and branches. Nothing outside src/parts includes this. */
#pragma once

#include "base/language.h"
#include "circuit/stamp.h"
#include "diagram/device.h"
#include <math.h>

G_BEGIN_DECLS

extern const PartKind part_breaker, part_cap, part_capacitor, part_contact, part_contactor,
    part_disconnect, part_fuse, part_ground, part_heater, part_lamp, part_load, part_motor,
    part_outline, part_receptacle, part_relay, part_splice, part_supply, part_switch,
    part_terminal_strip, part_test_point, part_transformer;

/* "No value" as a double, with either compiler (their NAN is a float). */
#define MISSING ((double)NAN)

/* First and last field of every kind. */
#define FIELD_DESIGNATION                                                                          \
  {                                                                                                \
    .name = "designation", .title = N_("Designation"), .type = FIELD_TEXT, .maximum = 32,          \
    .help = N_("Marking on the sheet and on the device; empty: the id is shown")                   \
  }
#define FIELD_NOTE                                                                                 \
  {                                                                                                \
    .name = "note", .title = N_("Note"), .type = FIELD_TEXT, .maximum = 200,                       \
    .help = N_("Anything the next person at this device should know")                              \
  }
/* NFPA 70 110.14(C): what the terminals allow a conductor to warm up to. */
#define FIELD_TERMINAL_CELSIUS                                                                     \
  {                                                                                                \
    .name = "terminal-temperature", .title = N_("Terminal temperature"), .type = FIELD_QUANTITY,   \
    .unit = UNIT_CELSIUS, .minimum = 60, .maximum = 250,                                           \
    .help = N_("Printed by the terminals, such as 75 C; empty: 60 C up to 100 A, 75 C above")      \
  }
#define FIELD_FRAME(initially)                                                                     \
  {                                                                                                \
    .name = "frame", .title = N_("Metal frame"), .type = FIELD_BOOLEAN, .initial = (initially),    \
    .help = N_("yes: exposed metal that needs an equipment grounding conductor (adds FRAME)")      \
  }
/* The nameplate volts range of anything that uses power. */
#define FIELD_ACCEPTS(initially)                                                                   \
  {                                                                                                \
    .name = "accepts", .title = N_("Accepts"), .type = FIELD_RANGE, .unit = UNIT_VOLT,             \
    .minimum = 1, .maximum = 1000, .initial = (initially),                                         \
    .help = N_("Volts range on the nameplate, such as 110..125 V; one figure when it gives one")   \
  }

/* Sides a conductor may leave a terminal by. */
enum { SIDE_RIGHT, SIDE_DOWN, SIDE_LEFT, SIDE_UP };

/* Appends a terminal; the pointer is good until the next one is added. */
Terminal *part_terminal(GArray *terminals, const char *name, double x, double y, int side,
                        TerminalRole role);
void part_frame_terminal(GArray *terminals, double x, double y); /* FRAME, leaving downwards */
void part_probe(GArray *probes, int a, int b, const char *purpose);
/* Load side of a disconnect or breaker: terminals 2i (line) and 2i+1 (load side) of n poles. */
void part_probe_poles(GArray *probes, guint n);

/* The field's value as text; "" when it has none. Borrowed names, new string. */
char *part_value_text(const Device *device, guint field);
/* Joins the texts that are neither NULL nor "" by the separator; NULL when there are none. Takes
 * the texts; the list ends with PART_TEXT_END. */
#define PART_TEXT_END ((char *)-1)
char *part_join_texts(const char *separator, char *take_first, ...);

/* Frequency of the sheet's first supply, 60 Hz when there is none or nothing is solved yet. */
double part_supply_frequency(const Stamp *stamp);

/* What a load of the nameplate adds between two terminals. Power factor is lagging. rated_volts
 * <= 0: the middle of what it accepts. */
typedef struct {
  double volt_amperes, power_factor, rated_volts;
  QuantityRange accepts;
  LoadBehaviour behaviour;
} PartLoad;
void part_stamp_load(Stamp *stamp, int a, int b, const PartLoad *load);
/* The range of a FIELD_RANGE as given or by default; false when there is none. */
bool part_range(const Device *device, guint field, QuantityRange *range);

/* Contacts worked by a coil; rows of relays and contactors, fields of the lone contact. */
typedef enum { CONTACT_NORMALLY_OPEN, CONTACT_NORMALLY_CLOSED, CONTACT_CHANGEOVER } ContactForm;
extern const char *const part_contact_forms[]; /* texts of ContactForm, NULL-terminated */
enum { CONTACT_FORM, CONTACT_RATING, CONTACT_VOLTS, CONTACT_FIELD_COUNT };
extern const FieldSpec part_contact_fields[CONTACT_FIELD_COUNT];
/* Terminals C<n>, NO<n>, NC<n> of each row, the first at y, each row CONTACT_PITCH_MM further. */
#define CONTACT_PITCH_MM 15.0
void part_contact_terminals(const Device *device, GArray *terminals, double y, double width);
/* Stamps the rows' contacts; first: index of their first terminal; owner parts from part. */
void part_contact_stamp(Stamp *stamp, int first, guint part);

/* Coil fields that relay and contactor share, and their meaning. */
enum { COIL_VOLTS = 1, COIL_SEALED, COIL_INRUSH, COIL_PICK_UP, COIL_DROP_OUT, COIL_FIELDS_END };
#define COIL_FIELD_SPECS                                                                           \
  [COIL_VOLTS] = {.name = "coil-volts",                                                            \
                  .title = N_("Coil volts"),                                                       \
                  .type = FIELD_QUANTITY,                                                          \
                  .unit = UNIT_VOLT,                                                               \
                  .minimum = 1,                                                                    \
                  .maximum = 1000,                                                                 \
                  .initial = "24 V",                                                               \
                  .help = N_("Rated volts on the coil")},                                          \
  [COIL_SEALED] = {.name = "sealed",                                                               \
                   .title = N_("Sealed VA"),                                                       \
                   .type = FIELD_QUANTITY,                                                         \
                   .unit = UNIT_VOLT_AMPERE,                                                       \
                   .minimum = 0.01,                                                                \
                   .maximum = 10000,                                                               \
                   .initial = "4 VA",                                                              \
                   .help = N_("Coil volt-amperes while it is pulled in")},                         \
  [COIL_INRUSH] = {.name = "inrush",                                                               \
                   .title = N_("Inrush VA"),                                                       \
                   .type = FIELD_QUANTITY,                                                         \
                   .unit = UNIT_VOLT_AMPERE,                                                       \
                   .minimum = 0.01,                                                                \
                   .maximum = 100000,                                                              \
                   .initial = "8 VA",                                                              \
                   .help = N_("Coil volt-amperes before the armature moves")},                     \
  [COIL_PICK_UP] = {.name = "pick-up",                                                             \
                    .title = N_("Pick-up"),                                                        \
                    .type = FIELD_QUANTITY,                                                        \
                    .unit = UNIT_PERCENT,                                                          \
                    .minimum = 10,                                                                 \
                    .maximum = 100,                                                                \
                    .initial = "85 %",                                                             \
                    .help = N_("Share of rated volts it needs to pull in; 85 % is usual")},        \
  [COIL_DROP_OUT] = {.name = "drop-out",                                                           \
                     .title = N_("Drop-out"),                                                      \
                     .type = FIELD_QUANTITY,                                                       \
                     .unit = UNIT_PERCENT,                                                         \
                     .minimum = 1,                                                                 \
                     .maximum = 95,                                                                \
                     .initial = "50 %",                                                            \
                     .help = N_("Share of rated volts below which it lets go")}
void part_coil_stamp(Stamp *stamp, int a, int b);
bool part_coil_validate(const Device *device, GError **error);

G_END_DECLS
