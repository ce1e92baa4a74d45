/* SPDX-License-Identifier: MIT */
#include "kit.h"

#include "base/text.h"
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { DESIGNATION, COIL, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = {.name = "designation", .title = "Designation", .type = FIELD_TEXT},
    [COIL] = {.name = "coil", .title = "Coil", .type = FIELD_TEXT},
};

static void
add_terminal(GArray *terminals, const char *name, double x, TerminalRole role)
{
  Terminal terminal = {.at = {x, 0}, .role = role, .row = -1};
  g_strlcpy(terminal.name, name, sizeof terminal.name);
  g_array_append_val(terminals, terminal);
}

static void
two_terminals(const Device *device, GArray *terminals)
{
  (void)device;
  add_terminal(terminals, "1", 0, TERMINAL_PLAIN);
  add_terminal(terminals, "2", 10, TERMINAL_PLAIN);
}

static void
earth_terminal(const Device *device, GArray *terminals)
{
  (void)device;
  add_terminal(terminals, "G", 0, TERMINAL_EARTH);
}

static void
stamp_box(const Device *device, Stamp *stamp)
{
  (void)device;
  stamp_join(stamp, 0, 1,
             (Join){.role = JOIN_DISCONNECT, .closed = true, .lockable = true, .rated_amps = 30});
}

static void
stamp_relay(const Device *device, Stamp *stamp)
{
  (void)device;
  stamp_coil(stamp, 0, 1, (Coil){.rated_volts = 24, .sealed_va = 5, .inrush_va = 10});
}

static void
stamp_nc(const Device *device, Stamp *stamp)
{
  stamp_contact(stamp, 0, 1, (Join){.role = JOIN_CONTACT, .closed = true},
                device_text(device, COIL));
}

#define KIND(variable, name_, terminals_, stamp_)                                                  \
  static const PartKind variable = {.name = name_,                                                 \
                                    .title = name_,                                                \
                                    .designation = "K",                                            \
                                    .help = "",                                                    \
                                    .group = GROUP_CONTROL,                                        \
                                    .role = ROLE_STRIP,                                            \
                                    .fields = fields,                                              \
                                    .n_fields = N_FIELDS,                                          \
                                    .terminals = terminals_,                                       \
                                    .stamp = stamp_}
KIND(box, "box", two_terminals, stamp_box);
KIND(coil, "coil", two_terminals, stamp_relay);
KIND(contact, "contact", two_terminals, stamp_nc);
KIND(earth, "earth", earth_terminal, NULL);
const PartKind *const kit_catalog[] = {&box, &coil, &contact, &earth, NULL};

Document *
kit_document(const char *first, ...)
{
  Document *document = document_new(kit_catalog);
  Change *change = change_new("kit");
  va_list list;
  va_start(list, first);
  for (const char *text = first; text != NULL; text = va_arg(list, const char *)) {
    g_auto(GStrv) words = g_strsplit(text, " ", 2);
    g_autoptr(Device) device = device_new(part_catalog_find(kit_catalog, words[1]), words[0]);
    assert_true(device_derive(device, NULL));
    change_device(change, NULL, device);
  }
  va_end(list);
  assert_true(document_apply(document, change, NULL));
  return document;
}

void
kit_land(Document *document, const char *from, const char *to, ...)
{
  g_autofree char *a = NULL, *b = NULL, *c = NULL, *d = NULL;
  assert_true(text_split_terminal(from, &a, &b) && text_split_terminal(to, &c, &d));
  g_autoptr(Conductor) conductor = conductor_new(a, b, c, d);
  va_list list;
  va_start(list, to);
  for (const char *field = va_arg(list, const char *); field; field = va_arg(list, const char *))
    assert_true(conductor_set(conductor, field, va_arg(list, const char *), NULL));
  va_end(list);
  Change *change = change_new("land");
  change_conductor(change, NULL, conductor);
  assert_true(document_apply(document, change, NULL));
}

void
kit_set(Document *document, const char *id, const char *field, const char *text)
{
  const Device *before = document_find_device(document, id);
  g_autoptr(Device) after = device_copy(before);
  assert_true(device_set(after, field, text, NULL));
  assert_true(device_derive(after, NULL));
  Change *change = change_new("set");
  change_device(change, before, after);
  assert_true(document_apply(document, change, NULL));
}

void
kit_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g is not within %g of %.12g", value, tolerance, expected);
}
