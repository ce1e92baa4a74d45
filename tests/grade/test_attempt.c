/* SPDX-License-Identifier: MIT */
/* What is logged, what is a safety error, and what power does. Order of lock-out, proof and test:
 * NFPA 70E article 120, from memory. */
#include "dealt.h"

#include "grade/touch.h"
#include "grade/watch.h"

static Landing
at(const char *name)
{
  Landing landing = {NULL, NULL};
  if (strcmp(name, "GND") == 0)
    return landing;
  g_auto(GStrv) parts = g_strsplit(name, ".", 2);
  return landing_make(parts[0], parts[1]);
}

static const AttemptStep *
volts(Watch *watch, double seconds, const char *a, const char *b)
{
  Landing one = at(a), two = at(b);
  const AttemptStep *step = watch_volts(watch, seconds, &one, &two);
  landing_clear(&one);
  landing_clear(&two);
  return step;
}

static const AttemptStep *
ohms(Watch *watch, double seconds, const char *a, const char *b)
{
  Landing one = at(a), two = at(b);
  const AttemptStep *step = watch_ohms(watch, seconds, &one, &two);
  landing_clear(&one);
  landing_clear(&two);
  return step;
}

/* A conductor on a terminal behind the disconnect, and its other end. */
static const Conductor *
conductor_at(const Document *document, const char *device)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (strcmp(conductor->from.device, device) == 0)
      return conductor;
  }
  fail_msg("nothing lands on %s", device);
  return NULL;
}

static void
take_off(Document *document, guint32 key)
{
  const char *const none[] = {NULL};
  assert_true(document_apply(document, edit_delete(document, none, &key, 1), NULL));
}

static guint
errors(Watch *watch, SafetyKind kind)
{
  return attempt_errors_of(watch_get_attempt(watch), kind);
}

static void
ohms_live_read_nothing(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
  const AttemptStep *step = ohms(watch, 1, "T1.X1", "T1.X2");
  assert_non_null(step);
  assert_int_equal(errors(watch, SAFETY_OHMS_LIVE), 0);
  g_autoptr(GPtrArray) power = watch_energize(watch, 2);
  assert_int_equal(power->len, 0); /* a sound diagram */
  step = ohms(watch, 3, "T1.X1", "T1.X2");
  assert_string_equal(step->reads, "nothing: live");
  assert_int_equal(errors(watch, SAFETY_OHMS_LIVE), 1);
  watch_lock_out(watch, 4);
  /* The line side stays live when the switch is locked out. */
  step = ohms(watch, 5, "S1.L1", "S1.L2");
  assert_int_equal(errors(watch, SAFETY_OHMS_LIVE), 2);
  assert_null(volts(watch, 6, "S1.L9", "GND"));
}

static void
hands_off_while_energized(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
  g_ptr_array_unref(watch_energize(watch, 1));
  take_off(document, conductor_at(document, "FU1")->key);
  g_ptr_array_unref(watch_changed(watch, 2, document, false));
  assert_int_equal(errors(watch, SAFETY_WORKED_ENERGIZED), 1);
  assert_int_equal(watch_get_attempt(watch)->errors->len, 1);
  const Attempt *attempt = watch_get_attempt(watch);
  const AttemptStep *last = attempt->steps->pdata[attempt->steps->len - 1];
  assert_int_equal(last->kind, STEP_LAND);
}

/* Takes the conductor behind the fuse off, after the readings the caller took. */
static void
touch_behind_fuse(Watch *watch, Document *document)
{
  take_off(document, conductor_at(document, "FU1")->key);
  g_autoptr(GPtrArray) after = watch_changed(watch, 60, document, false);
  assert_int_equal(after->len, 0);
}

static void
dead_is_what_was_measured(void **state)
{
  (void)state;
  for (int how = 0; how < 3; how++) {
    g_autoptr(Document) document = script_open("samples", "pump-208");
    g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
    const Conductor *conductor = conductor_at(document, "FU1");
    g_autofree char *from = landing_dup_name(&conductor->from);
    g_autofree char *to = landing_dup_name(&conductor->to);
    if (how == 2)
      assert_non_null(volts(watch, 1, "S1.L1", "S1.L2")); /* proof before */
    if (how >= 1) {
      const AttemptStep *step = volts(watch, 2, from, "GND");
      assert_string_equal(step->reads, "0 V");
      volts(watch, 3, to, "GND");
    }
    if (how == 2)
      volts(watch, 4, "S1.L1", "S1.L2"); /* and after */
    touch_behind_fuse(watch, document);
    assert_int_equal(errors(watch, SAFETY_NOT_VERIFIED), how == 0);
    assert_int_equal(errors(watch, SAFETY_METER_NOT_PROVED), how == 1);
    assert_int_equal(watch_get_attempt(watch)->errors->len, how < 2);
  }
}

static void
power_in_between_takes_the_proof_away(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
  const Conductor *conductor = conductor_at(document, "FU1");
  g_autofree char *from = landing_dup_name(&conductor->from);
  Landing here = at(from);
  bool proved;
  volts(watch, 1, "S1.L1", "S1.L2");
  volts(watch, 2, from, "GND");
  volts(watch, 3, "S1.L1", "S1.L2");
  assert_true(watch_is_verified(watch, &here, &proved));
  assert_true(proved);
  g_ptr_array_unref(watch_energize(watch, 4));
  watch_lock_out(watch, 5);
  assert_false(watch_is_verified(watch, &here, &proved));
  landing_clear(&here);
}

static void
the_line_side_stays_live(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
  take_off(document, conductor_at(document, "S1")->key);
  g_autoptr(GPtrArray) after = watch_changed(watch, 1, document, false);
  assert_int_equal(errors(watch, SAFETY_TOUCHED_LIVE), 1);
  assert_int_equal(after->len, 0);
}

static void
moving_a_symbol_touches_nothing(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Document) before = document_snapshot(document);
  const char *const ids[] = {"T1", NULL};
  assert_true(document_apply(document, edit_move(document, ids, (Point){10, 0}), NULL));
  g_autoptr(GPtrArray) touches = touches_new(before, document);
  assert_int_equal(touches->len, 0);
}

static bool
tells(const GPtrArray *list, ConsequenceKind kind)
{
  for (guint i = 0; i < list->len; i++)
    if (((const Consequence *)list->pdata[i])->kind == kind)
      return true;
  return false;
}

static void
power_on_a_fault_has_its_consequence(void **state)
{
  (void)state;
  static const struct {
    const char *sample, *fault;
    ConsequenceKind kind;
    bool opens;
  } cases[] = {
      {"pump-208", "load-shorted", CONSEQUENCE_OPENS, true},
      {"pump-208", "fuse-too-small", CONSEQUENCE_OPENS, true},
      {"fan-480", "lead-too-low", CONSEQUENCE_OVEREXCITED, true},
      {"pump-208", "load-for-less", CONSEQUENCE_BURNS, true},
  };
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    Dealt dealt = dealt_with(cases[i].sample, cases[i].fault, 0);
    g_autoptr(Watch) watch = watch_new(dealt.exercise, "Jo", "2026-11-25");
    g_autoptr(GPtrArray) power = watch_energize(watch, 1);
    if (!tells(power, cases[i].kind))
      fail_msg("%s on %s: power does nothing of the kind", cases[i].fault, cases[i].sample);
    assert_int_equal(errors(watch, SAFETY_CONSEQUENCE), power->len);
    Change *damage = consequences_damage(dealt.exercise);
    if ((damage != NULL) != cases[i].opens)
      fail_msg("%s on %s: protection opens or not", cases[i].fault, cases[i].sample);
    if (damage != NULL) {
      assert_true(document_apply(dealt.exercise, damage, NULL));
      g_autoptr(GPtrArray) more = watch_changed(watch, 1, dealt.exercise, true);
      assert_false(tells(more, cases[i].kind));
      assert_null(consequences_damage(dealt.exercise)); /* what opened carries nothing */
    }
    /* Told once: a second time costs nothing more. */
    guint told = errors(watch, SAFETY_CONSEQUENCE);
    watch_lock_out(watch, 2);
    g_autoptr(GPtrArray) again = watch_energize(watch, 3);
    assert_int_equal(again->len, 0);
    assert_int_equal(errors(watch, SAFETY_CONSEQUENCE), told);
    dealt_clear(&dealt);
  }
}

/* Every sample without a finding can be energized without a consequence. */
static void
sound_diagrams_bear_power(void **state)
{
  (void)state;
  static const char *const samples[] = {"controller-600", "damper-480",    "fan-480",
                                        "heater-240",     "lamp-high-leg", "pump-208",
                                        "sensor-208",     "uv-480",        "vent-400"};
  for (guint i = 0; i < G_N_ELEMENTS(samples); i++) {
    g_autoptr(Document) document = script_open("samples", samples[i]);
    g_autoptr(Watch) watch = watch_new(document, "Jo", "2026-11-25");
    g_autoptr(GPtrArray) power = watch_energize(watch, 1);
    if (power->len > 0)
      fail_msg("%s: %s", samples[i], ((const Consequence *)power->pdata[0])->text);
    assert_null(consequences_damage(document));
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ohms_live_read_nothing),
      cmocka_unit_test(hands_off_while_energized),
      cmocka_unit_test(dead_is_what_was_measured),
      cmocka_unit_test(power_in_between_takes_the_proof_away),
      cmocka_unit_test(the_line_side_stays_live),
      cmocka_unit_test(moving_a_symbol_touches_nothing),
      cmocka_unit_test(power_on_a_fault_has_its_consequence),
      cmocka_unit_test(sound_diagrams_bear_power),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
