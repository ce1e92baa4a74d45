/* SPDX-License-Identifier: MIT */
/* What every device kind has to keep, whatever it is: tables that parse, terminals on the grid,
 * a symbol that reaches each of them and can be read, probes that point at terminals. */
#include "base/text.h"
#include "parts/catalog.h"
#include "pen/pen_record.h"
#include "random_device.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

typedef void (*DeviceCheck)(const Device *device);

static void
each_kind(void (*check)(const PartKind *kind))
{
  PartCatalog catalog = parts_catalog();
  for (guint i = 0; catalog[i]; i++)
    check(catalog[i]);
}

/* ---------------------------------------------------------------------------------- tables --- */

static void
test_catalog_order(void **state)
{
  (void)state;
  static const char *const expected[] = {
      "breaker", "cap",    "capacitor", "contact", "contactor",      "disconnect", "fuse",
      "ground",  "heater", "lamp",      "load",    "motor",          "outline",    "receptacle",
      "relay",   "splice", "supply",    "switch",  "terminal-strip", "test-point", "transformer"};
  PartCatalog catalog = parts_catalog();
  guint n = 0;
  for (; catalog[n]; n++) {
    assert_true(n < G_N_ELEMENTS(expected));
    assert_string_equal(catalog[n]->name, expected[n]);
    assert_ptr_equal(part_catalog_find(catalog, expected[n]), catalog[n]);
  }
  assert_int_equal(n, G_N_ELEMENTS(expected));
  assert_null(part_catalog_find(catalog, "dynamo"));
}

static bool
is_attribute_name(const char *name)
{
  for (const char *c = name; *c; c++)
    if (!g_ascii_islower(*c) && !g_ascii_isdigit(*c) && *c != '-')
      return false;
  return g_ascii_islower(*name);
}

static void
check_help(const char *kind, const char *field, const char *help)
{
  if (!help || strlen(help) < 10 || strlen(help) > 110 || strchr(help, '\n') ||
      help[strlen(help) - 1] == '.')
    fail_msg("%s.%s: help has to be one line of 10 to 110 letters without a full stop: \"%s\"",
             kind, field, help ? help : "");
}

static void
check_fields(const PartKind *kind, const FieldSpec *fields, guint n, const char *const *reserved)
{
  for (guint i = 0; i < n; i++) {
    const FieldSpec *field = &fields[i];
    if (!is_attribute_name(field->name) || g_strv_contains(reserved, field->name))
      fail_msg("%s: \"%s\" cannot be an attribute of a device", kind->name, field->name);
    for (guint j = 0; j < i; j++)
      if (g_str_equal(field->name, fields[j].name))
        fail_msg("%s: two fields are named \"%s\"", kind->name, field->name);
    assert_non_null(field->title);
    check_help(kind->name, field->name, field->help);
    assert_true(field->minimum <= field->maximum);
    assert_int_equal(field->type == FIELD_CHOICE, field->choices != NULL);
    if (field->type == FIELD_INTEGER)
      assert_true(field->maximum > field->minimum);
    Value value = {0};
    value_init_defaults(&value, field, 1);
    g_autoptr(GError) error = NULL;
    if (field->initial && !value_set_text(&value, field, field->initial, &error))
      fail_msg("%s.%s: its own default: %s", kind->name, field->name, error->message);
    g_autofree char *text = value_dup_text(&value, field);
    assert_int_equal(text != NULL, field->initial != NULL);
    value_clear_all(&value, 1);
  }
}

static void
check_tables(const PartKind *kind)
{
  static const char *const reserved[] = {"id", "kind", "x", "y", "turn", "mirror", NULL};
  static const char *const none[] = {NULL};
  assert_true(is_attribute_name(kind->name));
  assert_true(kind->title && kind->designation && kind->group < GROUP_COUNT);
  assert_true(text_is_name(kind->designation));
  check_help(kind->name, "", kind->help);
  assert_true(kind->n_fields >= 2);
  assert_string_equal(kind->fields[0].name, "designation");
  assert_string_equal(kind->fields[kind->n_fields - 1].name, "note");
  check_fields(kind, kind->fields, kind->n_fields, reserved);
  check_fields(kind, kind->row_fields, kind->n_row_fields, none);
  assert_int_equal(kind->row_name != NULL, kind->n_row_fields > 0);
  assert_true(kind->n_initial_rows <= kind->max_rows);
  assert_true(kind->terminals && kind->draw);
  if (kind->operate_field) {
    int index = field_index(kind->fields, kind->n_fields, kind->operate_field);
    assert_true(index >= 0);
    FieldType type = kind->fields[index].type;
    assert_true(type == FIELD_BOOLEAN || type == FIELD_CHOICE);
  }
}

static void
test_tables(void **state)
{
  (void)state;
  each_kind(check_tables);
}

static void
check_initial_rows(const PartKind *kind)
{
  for (guint i = 0; i < kind->n_initial_rows * kind->n_row_fields; i++) {
    const FieldSpec *field = &kind->row_fields[i % kind->n_row_fields];
    Value value = {0};
    value_init_defaults(&value, field, 1);
    g_autoptr(GError) error = NULL;
    if (kind->initial_rows[i] && !value_set_text(&value, field, kind->initial_rows[i], &error))
      fail_msg("%s row: %s", kind->name, error->message);
    value_clear_all(&value, 1);
  }
  g_autoptr(Device) device = device_new(kind, "A1");
  g_autoptr(GError) error = NULL;
  if (!device_derive(device, &error))
    fail_msg("%s: a new one does not make sense: %s", kind->name, error->message);
  assert_int_equal(device_row_count(device), kind->n_initial_rows);
  assert_string_equal(device_designation(device), "A1");
  assert_true(device_set(device, "designation", "B2", NULL));
  assert_string_equal(device_designation(device), "B2");
}

static void
test_new_devices(void **state)
{
  (void)state;
  each_kind(check_initial_rows);
}

/* A row added by hand starts with defaults and must not spoil the device. */
static void
check_added_rows(const PartKind *kind)
{
  g_autoptr(Device) device = device_new(kind, "A1");
  while (kind->row_name && device_row_count(device) < kind->max_rows) {
    device_add_row(device);
    g_autoptr(GError) error = NULL;
    if (!device_derive(device, &error))
      fail_msg("%s with %u rows: %s", kind->name, device_row_count(device), error->message);
  }
}

static void
test_added_rows(void **state)
{
  (void)state;
  each_kind(check_added_rows);
}

/* -------------------------------------------------------------------- every shape of a kind --- */

static guint
shape_count(const FieldSpec *field)
{
  switch (field->type) {
  case FIELD_CHOICE:
    return g_strv_length((char **)(gpointer)field->choices);
  case FIELD_BOOLEAN:
    return 2;
  case FIELD_INTEGER:
    return (guint)(field->maximum - field->minimum) + 1;
  default:
    return 1;
  }
}

static void
set_shape(Device *device, const FieldSpec *field, guint shape)
{
  g_autofree char *text = NULL;
  if (field->type == FIELD_CHOICE)
    text = g_strdup(field->choices[shape]);
  else if (field->type == FIELD_BOOLEAN)
    text = g_strdup(shape ? "yes" : "no");
  else if (field->type == FIELD_INTEGER)
    text = g_strdup_printf("%d", (int)field->minimum + (int)shape);
  g_autoptr(GError) error = NULL;
  if (text && !device_set(device, field->name, text, &error))
    fail_msg("%s", error->message);
}

/* All combinations of choices, yes/no and whole numbers from field on. */
static void
each_shape_from(Device *device, guint field, DeviceCheck check)
{
  if (field == device->kind->n_fields) {
    g_autoptr(GError) error = NULL;
    if (!device_derive(device, &error))
      fail_msg("%s: %s", device->kind->name, error->message);
    check(device);
    return;
  }
  const FieldSpec *spec = &device->kind->fields[field];
  for (guint shape = 0; shape < shape_count(spec); shape++) {
    set_shape(device, spec, shape);
    each_shape_from(device, field + 1, check);
  }
}

static void
each_shape(DeviceCheck check)
{
  PartCatalog catalog = parts_catalog();
  for (guint i = 0; catalog[i]; i++) {
    g_autoptr(Device) device = device_new(catalog[i], "A1");
    each_shape_from(device, 0, check);
    while (device->kind->row_name && device_row_count(device) < device->kind->max_rows) {
      device_add_row(device);
      g_autoptr(GError) error = NULL;
      if (!device_derive(device, &error))
        fail_msg("%s: %s", device->kind->name, error->message);
      check(device);
    }
  }
}

static void
check_terminals(const Device *device)
{
  guint n = device_terminal_count(device);
  assert_true(n <= 64);
  assert_true((n == 0) == (device->kind->role == ROLE_OUTLINE));
  for (guint i = 0; i < n; i++) {
    const Terminal *terminal = device_terminal(device, i);
    if (!text_is_name(terminal->name))
      fail_msg("%s: terminal \"%s\"", device->kind->name, terminal->name);
    if (!point_equal(terminal->at, point_snap(terminal->at)))
      fail_msg("%s: terminal %s lies off the grid", device->kind->name, terminal->name);
    assert_in_range(terminal->side, 0, 3);
    assert_true(terminal->row >= -1 && terminal->row < (int)device_row_count(device));
    assert_int_equal(device_terminal_index(device, terminal->name), i);
    for (guint j = 0; j < i; j++)
      if (point_distance(terminal->at, device_terminal(device, j)->at) < 2 * GRID_STEP_MM - 1e-6)
        fail_msg("%s: terminals %s and %s are too close", device->kind->name, terminal->name,
                 device_terminal(device, j)->name);
  }
}

static void
test_terminals(void **state)
{
  (void)state;
  each_shape(check_terminals);
}

static void
check_probes(const Device *device)
{
  if (!device->kind->probes)
    return;
  g_autoptr(GArray) probes = g_array_new(FALSE, TRUE, sizeof(Probe));
  device->kind->probes(device, probes);
  int n = (int)device_terminal_count(device);
  for (guint i = 0; i < probes->len; i++) {
    const Probe *probe = &g_array_index(probes, Probe, i);
    if (probe->a < 0 || probe->a >= n || probe->b < PROBE_EARTH || probe->b >= n ||
        probe->a == probe->b || !probe->purpose)
      fail_msg("%s: probe %u lies between %d and %d of %d terminals", device->kind->name, i,
               probe->a, probe->b, n);
    for (guint j = 0; j < i; j++) {
      const Probe *other = &g_array_index(probes, Probe, j);
      if ((other->a == probe->a && other->b == probe->b) ||
          (other->a == probe->b && other->b == probe->a))
        fail_msg("%s: probes %u and %u are the same pair", device->kind->name, j, i);
    }
  }
}

static void
test_probes(void **state)
{
  (void)state;
  each_shape(check_probes);
}

static void
check_rating_text(const Device *device)
{
  if (!device->kind->rating_text)
    return;
  g_autofree char *text = device->kind->rating_text(device);
  if (text && (!*text || strlen(text) > 90 || strchr(text, '\n')))
    fail_msg("%s: nameplate line \"%s\"", device->kind->name, text);
}

static void
test_rating_texts(void **state)
{
  (void)state;
  each_shape(check_rating_text);
}

/* ---------------------------------------------------------------------------------- symbol --- */

static Pen *
drawn(const Device *device, Placement placement)
{
  Pen *pen = pen_record_new();
  pen_begin_page(pen, 500, 500, "symbol");
  pen_push(pen, placement);
  device->kind->draw(device, pen);
  pen_pop(pen);
  pen_end_page(pen);
  g_autoptr(GError) error = NULL;
  if (!pen_finish(pen, &error))
    fail_msg("%s: %s", device->kind->name, error->message);
  return pen;
}

static bool
item_touches(const RecordItem *item, Point at)
{
  if (item->kind == RECORD_ARC)
    return rect_contains(rect_grow(item->bounds, 0.01), at);
  if (item->kind != RECORD_LINE)
    return false;
  for (guint i = 0; i + 1 < item->points->len; i++)
    if (point_segment_distance(at, g_array_index(item->points, Point, i),
                               g_array_index(item->points, Point, i + 1)) < 0.01)
      return true;
  return false;
}

static void
check_reach(const Device *device, const GArray *items, Placement placement)
{
  for (guint t = 0; t < device_terminal_count(device); t++) {
    Point at = placement_apply(placement, device_terminal(device, t)->at);
    bool reached = false;
    for (guint i = 0; i < items->len && !reached; i++)
      reached = item_touches(&g_array_index(items, RecordItem, i), at);
    if (!reached)
      fail_msg("%s: the symbol does not reach %s", device->kind->name,
               device_terminal(device, t)->name);
  }
}

static void
check_symbol(const Device *device)
{
  for (int turns = 0; turns < 4; turns++)
    for (int mirrored = 0; mirrored < 2; mirrored++) {
      Placement placement = {{200, 200}, turns, mirrored == 1};
      g_autoptr(Pen) pen = drawn(device, placement);
      const GArray *items = pen_record_items(pen);
      assert_true(items->len > 0);
      for (guint i = 0; i < items->len; i++) {
        Rect b = g_array_index(items, RecordItem, i).bounds;
        assert_true(isfinite(b.x) && isfinite(b.y) && isfinite(b.width) && isfinite(b.height));
      }
      check_reach(device, items, placement);
    }
}

static void
test_symbols(void **state)
{
  (void)state;
  each_shape(check_symbol);
}

static Rect
shrunk(Rect box)
{
  return rect_grow(box, -0.25);
}

/* Lettering has to stay clear of strokes and of other lettering. A paper-filled shape drawn before
 * the text is its ground; its outline counts like any stroke. */
static void
check_text_clear(const Device *device, const GArray *items, const RecordItem *text)
{
  Rect box = shrunk(text->bounds);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *other = &g_array_index(items, RecordItem, i);
    if (other == text)
      continue;
    if (other->kind == RECORD_TEXT && rect_intersects(box, shrunk(other->bounds)))
      fail_msg("%s: \"%s\" lies over \"%s\"", device->kind->name, text->text, other->text);
    if (other->kind != RECORD_LINE)
      continue;
    for (guint p = 0; p + 1 < other->points->len; p++)
      if (rect_cuts_segment(box, g_array_index(other->points, Point, p),
                            g_array_index(other->points, Point, p + 1)))
        fail_msg("%s: a stroke runs through \"%s\"", device->kind->name, text->text);
  }
}

static void
check_lettering(const Device *device)
{
  for (int turns = 0; turns < 4; turns++)
    for (int mirrored = 0; mirrored < 2; mirrored++) {
      g_autoptr(Pen) pen = drawn(device, (Placement){{200, 200}, turns, mirrored == 1});
      const GArray *items = pen_record_items(pen);
      for (guint i = 0; i < items->len; i++) {
        const RecordItem *item = &g_array_index(items, RecordItem, i);
        if (item->kind == RECORD_TEXT)
          check_text_clear(device, items, item);
      }
    }
}

static void
test_lettering(void **state)
{
  (void)state;
  each_shape(check_lettering);
}

/* ---------------------------------------------------------------------------------- random --- */

static void
test_random_values(void **state)
{
  (void)state;
  PartCatalog catalog = parts_catalog();
  GRand *rand = g_rand_new_with_seed(20261125);
  guint sensible = 0;
  for (guint round = 0; round < 200; round++)
    for (guint i = 0; catalog[i]; i++) {
      g_autoptr(Device) device = random_device(rand, catalog[i], "A1");
      g_autoptr(GError) error = NULL;
      bool good = device_derive(device, &error);
      assert_int_equal(good, error == NULL);
      if (!good) {
        assert_non_null(strstr(error->message, "A1"));
        continue;
      }
      sensible++;
      check_terminals(device);
      check_probes(device);
      check_rating_text(device);
      check_lettering(device);
      g_autoptr(Pen) pen = drawn(device, (Placement){{200, 200}, 0, false});
      check_reach(device, pen_record_items(pen), (Placement){{200, 200}, 0, false});
    }
  g_rand_free(rand);
  /* Refusing everything would pass the rest. */
  assert_true(sensible > 21 * 200 / 2);
}

/* The longest words a field takes do not run into the symbol's strokes. */
static void
set_long_texts(Device *device)
{
  const PartKind *kind = device->kind;
  for (guint i = 0; i < kind->n_fields; i++) {
    if (kind->fields[i].type != FIELD_TEXT || g_str_equal(kind->fields[i].name, "note"))
      continue;
    g_autofree char *text = g_strnfill((gsize)kind->fields[i].maximum, 'W');
    assert_true(device_set(device, kind->fields[i].name, text, NULL));
  }
  for (guint row = 0; row < device_row_count(device); row++)
    for (guint i = 0; i < kind->n_row_fields; i++) {
      const FieldSpec *field = &kind->row_fields[i];
      g_autofree char *name = g_strdup_printf("WWWWWWWWWWWWWWWWWWWWWWWWWWWWW%u", row);
      g_autofree char *text = g_strnfill((gsize)field->maximum, 'W');
      if (field->type == FIELD_NAME)
        assert_true(device_set_row(device, row, field->name, name, NULL));
      if (field->type == FIELD_TEXT)
        assert_true(device_set_row(device, row, field->name, text, NULL));
    }
}

static void
test_long_texts(void **state)
{
  (void)state;
  PartCatalog catalog = parts_catalog();
  for (guint i = 0; catalog[i]; i++) {
    g_autoptr(Device) device = device_new(catalog[i], "A1");
    set_long_texts(device);
    assert_true(device_derive(device, NULL));
    check_lettering(device);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_catalog_order), cmocka_unit_test(test_tables),
      cmocka_unit_test(test_new_devices),   cmocka_unit_test(test_added_rows),
      cmocka_unit_test(test_terminals),     cmocka_unit_test(test_probes),
      cmocka_unit_test(test_rating_texts),  cmocka_unit_test(test_symbols),
      cmocka_unit_test(test_lettering),     cmocka_unit_test(test_random_values),
      cmocka_unit_test(test_long_texts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
