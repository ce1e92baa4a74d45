/* SPDX-License-Identifier: MIT */
/* The second set of symbols: same terminals, same room, same lettering but for what stands for a
 * coil or a light. */
#include "parts/catalog.h"
#include "parts/symbol.h"
#include "pen/pen_record.h"
#include "random_device.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static Pen *
draw_with(const Device *device, void (*draw)(const Device *, Pen *))
{
  Pen *record = pen_record_new();
  draw(device, record);
  return record;
}

/* Whether some line or ring of the symbol comes to the point. */
static bool
touches(const Pen *record, Point at)
{
  const GArray *items = pen_record_items(record);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_ARC && rect_contains(rect_grow(item->bounds, 0.1), at))
      return true;
    for (guint k = 0; item->kind == RECORD_LINE && k < item->points->len; k++)
      if (point_distance(g_array_index(item->points, Point, k), at) < 1)
        return true;
  }
  return false;
}

static bool
says(const Pen *record, const char *text)
{
  const GArray *items = pen_record_items(record);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT && strcmp(item->text, text) == 0)
      return true;
  }
  return false;
}

static void
check_device(const Device *device)
{
  g_autoptr(Pen) first = draw_with(device, device->kind->draw);
  g_autoptr(Pen) second = draw_with(device, device->kind->draw_iec);
  Rect room = pen_record_bounds(first), taken = pen_record_bounds(second);

  /* A name may stand below the last contact, where the arm takes the room above. */
  room.height += SYMBOL_LETTER;
  if (!rect_holds(rect_grow(room, 0.5), taken))
    fail_msg("%s: %.2f %.2f %.2f %.2f leaves %.2f %.2f %.2f %.2f", device->kind->name, taken.x,
             taken.y, taken.width, taken.height, room.x, room.y, room.width, room.height);
  for (guint i = 0; i < device_terminal_count(device); i++) {
    const Terminal *terminal = device_terminal(device, i);
    if (!touches(second, terminal->at))
      fail_msg("%s: nothing is drawn to %s", device->kind->name, terminal->name);
    assert_true(says(first, terminal->name) == says(second, terminal->name));
  }
}

static void
test_every_kind(void **state)
{
  g_autoptr(GRand) rand = g_rand_new_with_seed(60617);
  guint kinds = 0, checked = 0;
  (void)state;

  for (PartCatalog kind = parts_catalog(); *kind != NULL; kind++) {
    if ((*kind)->draw_iec == NULL)
      continue;
    kinds++;
    for (guint i = 0; i < 100; i++) {
      g_autoptr(Device) device = random_device(rand, *kind, "X1");
      if (!device_derive(device, NULL)) /* values that do not go together */
        continue;
      checked++;
      check_device(device);
    }
  }
  assert_int_equal(kinds, 10);
  assert_true(checked > 400);
}

/* What tells one state from another in the first set does so in the second. */
static void
test_states_differ(void **state)
{
  static const char *const states[][4] = {{"fuse", "blown", "no", "yes"},
                                          {"breaker", "closed", "no", "yes"},
                                          {"disconnect", "closed", "no", "yes"},
                                          {"contact", "form", "normally-open", "normally-closed"},
                                          {"switch", "actuated", "no", "yes"},
                                          {"switch", "type", "pressure", "thermostat"}};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(states); i++) {
    const PartKind *kind = part_catalog_find(parts_catalog(), states[i][0]);
    char *dumps[2] = {NULL, NULL};
    for (guint k = 0; k < 2; k++) {
      g_autoptr(Device) device = device_new(kind, "X1");
      assert_true(device_set(device, states[i][1], states[i][2 + k], NULL));
      assert_true(device_derive(device, NULL));
      g_autoptr(Pen) record = draw_with(device, kind->draw_iec);
      dumps[k] = pen_record_dump(record);
    }
    assert_string_not_equal(dumps[0], dumps[1]);
    g_free(dumps[0]);
    g_free(dumps[1]);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_kind),
      cmocka_unit_test(test_states_differ),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
