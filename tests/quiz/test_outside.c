/* SPDX-License-Identifier: MIT */
/* Faults of the catalogue against readings others have published.
 *
 * Open phase of a 120/208 V wye source: "Lessons In Electric Circuits", volume II, chapter on
 * polyphase circuits (an open textbook), figures 208, 104, 104 V across a delta of equal
 * resistances and 104, 104, 0 V across a wye without its neutral. Fuse check from the line side of
 * one pole to the load side of the other: published service tables, 240 V through a good fuse, 0 V
 * through an open one with no load behind. */
#include "../checks/edit_script.h"

#include "base/text.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include "quiz/bench.h"

#include <math.h>

#define HEAD                                                                                       \
  "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">"                                            \
  "<device id=\"S1\" kind=\"supply\" x=\"0\" y=\"0\" lines=\"3-phase-4-wire\">"                    \
  "<reading between=\"L1 L2\" value=\"208 V\"/><reading between=\"L2 L3\" value=\"208 V\"/>"       \
  "<reading between=\"L3 L1\" value=\"208 V\"/><reading between=\"L1 GND\" value=\"120 V\"/>"      \
  "<reading between=\"L2 GND\" value=\"120 V\"/><reading between=\"L3 GND\" value=\"120 V\"/>"     \
  "</device>"                                                                                      \
  "<device id=\"FU1\" kind=\"fuse\" x=\"40\" y=\"0\"/>"                                            \
  "<device id=\"FU2\" kind=\"fuse\" x=\"40\" y=\"20\"/>"                                           \
  "<device id=\"FU3\" kind=\"fuse\" x=\"40\" y=\"40\"/>"                                           \
  "<conductor from=\"S1.L1\" to=\"FU1.1\"/><conductor from=\"S1.L2\" to=\"FU2.1\"/>"               \
  "<conductor from=\"S1.L3\" to=\"FU3.1\"/>"
#define HEATER(id, volts)                                                                          \
  "<device id=\"" id "\" kind=\"heater\" x=\"90\" y=\"0\" rated-volts=\"" volts                    \
  "\" power=\"300 W\"/>"
#define WIRE(from, to) "<conductor from=\"" from "\" to=\"" to "\"/>"

static const char delta[] = HEAD HEATER("R1", "208 V") HEATER("R2", "208 V") HEATER("R3", "208 V")
    WIRE("FU1.2", "R1.1") WIRE("FU2.2", "R1.2") WIRE("FU2.2", "R2.1") WIRE("FU3.2", "R2.2")
        WIRE("FU3.2", "R3.1") WIRE("FU1.2", "R3.2") "</doorsheet>";
static const char wye[] = HEAD HEATER("R1", "120 V") HEATER("R2", "120 V") HEATER(
    "R3", "120 V") "<device id=\"SP1\" kind=\"splice\" x=\"120\" y=\"0\"/>" WIRE("FU1.2", "R1.1")
    WIRE("FU2.2", "R2.1") WIRE("FU3.2", "R3.1") WIRE("R1.2", "SP1.1") WIRE("R2.2", "SP1.1")
        WIRE("R3.2", "SP1.1") "</doorsheet>";
static const char fuses[] =
    "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">"
    "<device id=\"S1\" kind=\"supply\" x=\"0\" y=\"0\" lines=\"1-phase-3-wire\">"
    "<reading between=\"L1 L2\" value=\"240 V\"/><reading between=\"L1 GND\" value=\"120 V\"/>"
    "<reading between=\"L2 GND\" value=\"120 V\"/></device>"
    "<device id=\"FU1\" kind=\"fuse\" x=\"40\" y=\"0\"/>"
    "<device id=\"FU2\" kind=\"fuse\" x=\"40\" y=\"20\"/>" WIRE("S1.L1", "FU1.1")
        WIRE("S1.L2", "FU2.1") "</doorsheet>";

static Document *
read_text(const char *text)
{
  g_autoptr(GError) error = NULL;
  Document *document = document_read_memory(text, strlen(text), "test", parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

/* The catalogue's fuse-blown, whether or not the sheet is one the quiz would deal. */
static void
blow(Document *document, const char *fuse)
{
  const Fault *fault = fault_find("fuse-blown");
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_field(document, fuse, fault->field, fault->value, &error);
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static double
volts(const Document *document, const char *a, const char *b)
{
  Bench bench;
  Landing ends[2];
  guint nodes[2];
  const char *names[] = {a, b};
  assert_true(bench_energize(&bench, document, NULL));
  for (int i = 0; i < 2; i++) {
    ends[i] = (Landing){NULL, NULL};
    assert_true(text_split_terminal(names[i], &ends[i].device, &ends[i].terminal));
    nodes[i] = circuit_node_of_landing(bench.circuit, &ends[i]);
    assert_true(nodes[i] != G_MAXUINT);
    landing_clear(&ends[i]);
  }
  EvidenceCell cell = bench_volts(&bench, nodes[0], nodes[1]);
  bench_clear(&bench);
  return cell.state == METER_READS ? (double)cell.value : 0;
}

typedef struct {
  const char *text, *fuse; /* fuse NULL: none blown */
  const char *a, *b;
  double volts, tolerance;
} Published;

static const Published published[] = {
    {delta, NULL, "R1.1", "R1.2", 208, 0.5},  {delta, NULL, "R2.1", "R2.2", 208, 0.5},
    {delta, "FU3", "R1.1", "R1.2", 208, 0.5}, {delta, "FU3", "R2.1", "R2.2", 104, 0.5},
    {delta, "FU3", "R3.1", "R3.2", 104, 0.5}, {wye, NULL, "R1.1", "R1.2", 120, 0.5},
    {wye, "FU3", "R1.1", "R1.2", 104, 0.5},   {wye, "FU3", "R2.1", "R2.2", 104, 0.5},
    {wye, "FU3", "R3.1", "R3.2", 0, 0.5},     {fuses, NULL, "S1.L1", "FU2.2", 240, 3},
    {fuses, "FU2", "S1.L1", "FU2.2", 0, 3},
};

static void
test_published(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(published); i++) {
    const Published *row = &published[i];
    g_autoptr(Document) document = read_text(row->text);
    if (row->fuse != NULL)
      blow(document, row->fuse);
    double reads = volts(document, row->a, row->b);
    if (!(fabs(reads - row->volts) <= row->tolerance))
      fail_msg("row %u, %s to %s: %g V, published %g V", (guint)i, row->a, row->b, reads,
               row->volts);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_published)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
