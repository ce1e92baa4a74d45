/* SPDX-License-Identifier: MIT */
#include "bench.h"
#include "parts/catalog.h"
#include "solve/meter.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  Document *document;
  Circuit *circuit;
  Solution *solution;
} Case;

static void
solve(Case *it, bool locked_out)
{
  GError *error = NULL;
  solution_free(it->solution);
  circuit_free(it->circuit);
  it->circuit = circuit_build(it->document, &(CircuitOptions){.locked_out = locked_out});
  it->solution = solution_new(it->circuit, &error);
  if (it->solution == NULL)
    fail_msg("%s", error->message);
}

static void
case_clear(Case *it)
{
  solution_free(it->solution);
  circuit_free(it->circuit);
  document_free(it->document);
}

static MeterReading
volts(const Case *it, const char *a, const char *b, MeterInput input)
{
  MeterReading reading;
  GError *error = NULL;
  if (!meter_volts(it->circuit, it->solution, bench_node(it->circuit, a),
                   bench_node(it->circuit, b), input, &reading, &error))
    fail_msg("%s", error->message);
  assert_int_equal(reading.unit, UNIT_VOLT);
  return reading;
}

static MeterReading
ohms(const Case *it, const char *a, const char *b)
{
  MeterReading reading;
  GError *error = NULL;
  if (!meter_ohms(it->circuit, it->solution, bench_node(it->circuit, a), bench_node(it->circuit, b),
                  &reading, &error))
    fail_msg("%s", error->message);
  assert_int_equal(reading.unit, UNIT_OHM);
  return reading;
}

/* 240 V single phase, one line grounded, a switch and two fuses ahead of a heater. */
static Case
fused_heater(bool heater)
{
  Case it = {.document = document_new(parts_catalog())};
  const char *readings[6] = {"240 V", NULL, NULL, "0 V", "240 V", NULL};
  bench_supply(it.document, "S1", "1-phase-2-wire", readings);
  bench_add(it.document, "DISC1", "disconnect", "poles", "2", NULL);
  bench_add(it.document, "FU1", "fuse", NULL);
  bench_add(it.document, "FU2", "fuse", NULL);
  bench_land(it.document, "S1.L1", "DISC1.L1");
  bench_land(it.document, "S1.L2", "DISC1.L2");
  bench_land(it.document, "DISC1.T1", "FU1.1");
  bench_land(it.document, "DISC1.T2", "FU2.1");
  if (heater) {
    bench_add(it.document, "HTR1", "heater", "rated-volts", "240 V", "power", "1000 W", NULL);
    bench_land(it.document, "FU1.2", "HTR1.1");
    bench_land(it.document, "FU2.2", "HTR1.2");
  }
  return it;
}

/* Published fuse check (a meter from the line side of one pole to the load side of the other):
 * 240 V through a good fuse, 0 V through an open one. */
static void
fuse_signatures(void **state)
{
  (void)state;
  Case it = fused_heater(false);
  solve(&it, false);
  MeterReading r = volts(&it, "FU1.1", "FU2.2", METER_HIGH_IMPEDANCE);
  assert_int_equal(r.state, METER_READS);
  bench_near(r.value, 240, 3);
  bench_near(volts(&it, "FU2.1", "FU2.2", METER_HIGH_IMPEDANCE).value, 0, 0); /* across: 0 V */
  bench_near(volts(&it, "DISC1.L1", "DISC1.T1", METER_HIGH_IMPEDANCE).value, 0, 0);
  bench_set(it.document, "FU2", "blown", "yes");
  solve(&it, false);
  bench_near(volts(&it, "FU1.1", "FU2.2", METER_LOW_IMPEDANCE).value, 0, 3);
  bench_near(volts(&it, "FU1.1", "FU2.2", METER_HIGH_IMPEDANCE).value, 0, 3);
  case_clear(&it);
  /* With the load behind it the load carries the other line over: full volts across the open fuse
   * and none at the load, whatever the meter. */
  Case loaded = fused_heater(true);
  bench_set(loaded.document, "FU2", "blown", "yes");
  solve(&loaded, false);
  bench_near(volts(&loaded, "FU2.1", "FU2.2", METER_HIGH_IMPEDANCE).value, 240, 0.01);
  bench_near(volts(&loaded, "FU1.1", "FU2.2", METER_HIGH_IMPEDANCE).value, 0, 0.01);
  bench_near(volts(&loaded, "HTR1.1", "HTR1.2", METER_HIGH_IMPEDANCE).value, 0, 0.01);
  case_clear(&loaded);
}

static void
an_open_switch_holds_the_volts(void **state)
{
  (void)state;
  Case it = fused_heater(true);
  bench_set(it.document, "DISC1", "closed", "no");
  solve(&it, false);
  MeterReading r = volts(&it, "HTR1.1", "HTR1.2", METER_LOW_IMPEDANCE);
  bench_near(r.value, 0, 0);
  case_clear(&it);
}

static Owner
conductor_from(const Document *document, const char *device, const char *terminal)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *c = document_conductor(document, i);
    if (g_str_equal(c->from.device, device) && g_str_equal(c->from.terminal, terminal))
      return (Owner){.kind = OWNER_CONDUCTOR, .index = i};
  }
  fail_msg("no conductor");
  return (Owner){0};
}

static void
clamps(void **state)
{
  (void)state;
  Case it = fused_heater(true);
  solve(&it, false);
  MeterReading r;
  GError *error = NULL;
  Owner owner = conductor_from(it.document, "FU2", "2");
  assert_true(meter_amps(it.circuit, it.solution, owner, &r, &error));
  bench_near(r.value, 1000 / 240.0, 1e-6);
  assert_int_equal(r.unit, UNIT_AMPERE);
  bench_break(it.document, "FU1.2");
  solve(&it, false);
  assert_true(meter_amps(it.circuit, it.solution, owner, &r, &error));
  bench_near(r.value, 0, 1e-9);
  assert_false(meter_amps(it.circuit, it.solution, (Owner){OWNER_DEVICE, 0, 77}, &r, &error));
  assert_non_null(error);
  g_error_free(error);
  case_clear(&it);
}

/* A dead short of a supply whose fault current nobody stated has no number. */
static void
a_dead_short_is_out_of_range(void **state)
{
  (void)state;
  Case it = fused_heater(false);
  bench_land(it.document, "FU1.2", "FU2.2");
  solve(&it, false);
  MeterReading r;
  Owner owner = conductor_from(it.document, "FU1", "2");
  assert_true(meter_amps(it.circuit, it.solution, owner, &r, NULL));
  assert_int_equal(r.state, METER_OVERRANGE);
  assert_true(isfinite(r.value));
  g_autofree char *text = meter_reading_text(&r);
  assert_string_equal(text, "OL");
  bench_set(it.document, "S1", "fault-current", "5 kA");
  solve(&it, false);
  assert_true(meter_amps(it.circuit, it.solution, owner, &r, NULL));
  bench_near(r.value, 5000, 1);
  case_clear(&it);
}

static void
ohms_of_a_heater(void **state)
{
  (void)state;
  Case it = fused_heater(true);
  solve(&it, false);
  MeterReading r = ohms(&it, "HTR1.1", "HTR1.2");
  assert_int_equal(r.state, METER_REFUSED);
  assert_non_null(strstr(r.note, "live circuit"));
  solve(&it, true);
  r = ohms(&it, "HTR1.1", "HTR1.2");
  assert_int_equal(r.state, METER_READS);
  bench_near(r.value, 240 * 240 / 1000.0, 1e-6);
  assert_non_null(strstr(r.note, "nameplate"));
  assert_string_equal(ohms(&it, "FU1.1", "FU1.2").note, "");
  bench_near(ohms(&it, "FU1.1", "FU1.2").value, 0, 0);       /* a good fuse */
  bench_near(ohms(&it, "FU1.1", "FU2.1").value, 57.6, 1e-6); /* through the heater */
  assert_int_equal(ohms(&it, "FU1.1", "GND").state, METER_OPEN);
  assert_int_equal(ohms(&it, "DISC1.L2", "DISC1.T2").state, METER_REFUSED); /* line side is live */
  bench_set(it.document, "FU1", "blown", "yes");
  solve(&it, true);
  assert_int_equal(ohms(&it, "FU1.1", "FU1.2").state, METER_OPEN);
  g_autofree char *text = meter_reading_text(&(MeterReading){.state = METER_OPEN});
  assert_string_equal(text, "OL");
  case_clear(&it);
}

/* Windings: each tap's resistance is the resistive part of its impedance, in proportion to the
 * square of its volts; primary to secondary and to ground OL. A grounded secondary shows its bond.
 */
static void
ohms_of_windings(void **state)
{
  (void)state;
  Case it = {.document = document_new(parts_catalog())};
  bench_transformer(it.document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "H3 primary 480 V", "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_add(it.document, "GRD1", "ground", NULL);
  bench_land(it.document, "T1.X1", "GRD1.1");
  bench_land_sized(it.document, "T1.FRAME", "GRD1.1", "14 AWG", "10 ft");
  solve(&it, false); /* nothing feeds it */
  double half = ohms(&it, "T1.H1", "T1.H2").value, whole = ohms(&it, "T1.H1", "T1.H3").value;
  bench_near(whole / half, 4, 1e-6);
  double sum = 0;
  for (guint i = 0; i < 2; i++)
    sum += creal(circuit_item(it.circuit->segments, Segment, i)->z);
  bench_near(whole, sum, 1e-9 * sum);
  assert_true(ohms(&it, "T1.X1", "T1.X2").value < whole / 100);
  assert_int_equal(ohms(&it, "T1.H1", "T1.X1").state, METER_OPEN);
  assert_int_equal(ohms(&it, "T1.H1", "GND").state, METER_OPEN);
  bench_near(ohms(&it, "T1.X1", "GND").value, 0, 0);
  /* NFPA 70 Chapter 9 Table 8: 3.14 ohm for 1000 ft of 14 AWG. */
  bench_near(ohms(&it, "T1.FRAME", "GND").value, 0.0314, 2e-4);
  case_clear(&it);
}

/* Earth is shared with the live supply; a locked-out secondary that is bonded to it is measurable
 * all the same. */
static void
ohms_beside_a_live_supply(void **state)
{
  (void)state;
  Case it = {.document = document_new(parts_catalog())};
  const char *readings[6] = {"480 V", "480 V", "480 V", "277 V", "277 V", "277 V"};
  bench_supply(it.document, "S1", "3-phase-4-wire", readings);
  bench_add(it.document, "DISC1", "disconnect", "poles", "2", NULL);
  bench_transformer(it.document, "T1", "75 VA", "H1 primary 0 V", "H2 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_add(it.document, "GRD1", "ground", NULL);
  bench_land(it.document, "S1.L1", "DISC1.L1");
  bench_land(it.document, "S1.L2", "DISC1.L2");
  bench_land(it.document, "DISC1.T1", "T1.H1");
  bench_land(it.document, "DISC1.T2", "T1.H2");
  bench_land(it.document, "T1.X1", "GRD1.1");
  solve(&it, false);
  assert_int_equal(ohms(&it, "T1.X2", "GND").state, METER_REFUSED);
  solve(&it, true);
  MeterReading r = ohms(&it, "T1.X2", "GND");
  assert_int_equal(r.state, METER_READS);
  bench_near(r.value, creal(circuit_item(it.circuit->segments, Segment, 1)->z), 1e-9);
  assert_int_equal(ohms(&it, "T1.H1", "GND").state, METER_OPEN);
  assert_int_equal(ohms(&it, "DISC1.L1", "T1.H1").state, METER_REFUSED);
  case_clear(&it);
}

/* The secondary of a small transformer that is grounded nowhere: a digital meter shows volts to
 * ground through the capacitance between the windings, a low-impedance meter next to none. */
static void
a_floating_secondary_shows_a_ghost(void **state)
{
  (void)state;
  Case it = {.document = document_new(parts_catalog())};
  const char *readings[6] = {"480 V", "480 V", "480 V", "277 V", "277 V", "277 V"};
  bench_supply(it.document, "S1", "3-phase-4-wire", readings);
  bench_transformer(it.document, "T1", "75 VA", "H1 primary 0 V", "H2 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_land(it.document, "S1.L1", "T1.H1");
  bench_land(it.document, "S1.L2", "T1.H2");
  solve(&it, false);
  MeterReading ghost = volts(&it, "T1.X1", "GND", METER_HIGH_IMPEDANCE);
  assert_int_equal(ghost.state, METER_GHOST);
  assert_true(ghost.value > 5 && ghost.value < 277);
  assert_non_null(strstr(ghost.note, "low-impedance"));
  g_autofree char *text = meter_reading_text(&ghost);
  assert_non_null(strstr(text, "ghost"));
  MeterReading loaded = volts(&it, "T1.X1", "GND", METER_LOW_IMPEDANCE);
  assert_true(loaded.value < 0.5);
  /* Across the secondary it is a real voltage. */
  MeterReading across = volts(&it, "T1.X1", "T1.X2", METER_HIGH_IMPEDANCE);
  assert_int_equal(across.state, METER_READS);
  assert_true(across.value > 20);
  bench_add(it.document, "GRD1", "ground", NULL);
  bench_land(it.document, "T1.X1", "GRD1.1");
  solve(&it, false);
  assert_int_equal(volts(&it, "T1.X2", "GND", METER_HIGH_IMPEDANCE).state, METER_READS);
  case_clear(&it);
}

/* Published: an ungrounded 240 V delta reads 138.6 V to ground through equal stray capacitance;
 * solenoid testers pull it down. */
static void
an_ungrounded_delta_shows_wye_ghosts(void **state)
{
  (void)state;
  Case it = {.document = document_new(parts_catalog())};
  const char *readings[6] = {"240 V", "240 V", "240 V", NULL, NULL, NULL};
  bench_supply(it.document, "S1", "3-phase-3-wire", readings);
  bench_set(it.document, "S1", "grounding", "ungrounded");
  solve(&it, false);
  MeterReading high = volts(&it, "S1.L1", "GND", METER_HIGH_IMPEDANCE);
  assert_int_equal(high.state, METER_GHOST);
  bench_near(high.value, 138.6, 3);
  MeterReading low = volts(&it, "S1.L1", "GND", METER_LOW_IMPEDANCE);
  assert_true(low.value < 5);
  case_clear(&it);
}

/* A dead conductor beside a live one, 100 ft to a terminal strip: a digital meter shows volts that
 * a low-impedance one does not. Shared lengths make the ghost, whatever the length. */
static void
a_dead_conductor_beside_a_live_one(void **state)
{
  (void)state;
  static const char *const lengths[] = {"100 ft", "400 ft"};
  double ghosts[2];
  for (int i = 0; i < 2; i++) {
    Case it = fused_heater(false);
    bench_set(it.document, "FU1", "blown", "yes");
    bench_add(it.document, "TB1", "terminal-strip", "positions", "2", NULL);
    bench_land_sized(it.document, "FU1.2", "TB1.1A", "14 AWG", lengths[i]);
    bench_land_sized(it.document, "FU2.2", "TB1.2A", "14 AWG", lengths[i]);
    solve(&it, false);
    MeterReading high = volts(&it, "TB1.1A", "GND", METER_HIGH_IMPEDANCE);
    assert_int_equal(high.state, METER_GHOST);
    assert_true(high.value > 10 && high.value < 120);
    ghosts[i] = high.value;
    assert_int_equal(volts(&it, "TB1.2A", "GND", METER_HIGH_IMPEDANCE).state, METER_READS);
    MeterReading low = volts(&it, "TB1.1A", "GND", METER_LOW_IMPEDANCE);
    assert_true(low.value < 0.05 * high.value);
    case_clear(&it);
  }
  assert_true(ghosts[1] > ghosts[0]); /* the meter's own load matters less on a longer run */
}

static void
nothing_couples_nothing_reads(void **state)
{
  (void)state;
  Case it = fused_heater(false);
  bench_add(it.document, "SP1", "splice", NULL);
  solve(&it, false);
  MeterReading r = volts(&it, "SP1.1", "S1.L2", METER_HIGH_IMPEDANCE);
  assert_int_not_equal(r.state, METER_GHOST);
  bench_near(r.value, 0, 0);
  MeterReading bad;
  GError *error = NULL;
  assert_false(meter_volts(it.circuit, it.solution, 9999, 0, METER_HIGH_IMPEDANCE, &bad, &error));
  assert_non_null(error);
  g_clear_error(&error);
  assert_false(meter_ohms(it.circuit, it.solution, 0, 9999, &bad, &error));
  g_clear_error(&error);
  case_clear(&it);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(fuse_signatures),
      cmocka_unit_test(an_open_switch_holds_the_volts),
      cmocka_unit_test(clamps),
      cmocka_unit_test(a_dead_short_is_out_of_range),
      cmocka_unit_test(ohms_of_a_heater),
      cmocka_unit_test(ohms_of_windings),
      cmocka_unit_test(ohms_beside_a_live_supply),
      cmocka_unit_test(a_floating_secondary_shows_a_ghost),
      cmocka_unit_test(an_ungrounded_delta_shows_wye_ghosts),
      cmocka_unit_test(a_dead_conductor_beside_a_live_one),
      cmocka_unit_test(nothing_couples_nothing_reads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
