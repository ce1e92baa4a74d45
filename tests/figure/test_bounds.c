/* SPDX-License-Identifier: MIT */
/* A symbol's room holds both drawings of it, so that changing the set of symbols moves nothing and
 * no label is put where the other set draws. */
#include "diagram/document_file.h"
#include "figure/figure.h"
#include "parts/catalog.h"
#include "pen/pen_record.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static Rect
drawn_by(const Device *device, void (*draw)(const Device *, Pen *))
{
  g_autoptr(Pen) pen = pen_record_new();
  pen_push(pen, device->placement);
  draw(device, pen);
  pen_pop(pen);
  return pen_record_bounds(pen);
}

static guint
check_file(const char *path)
{
  g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
  guint compared = 0;
  if (document == NULL)
    fail_msg("%s cannot be read", path);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    const Rect room = rect_grow(figure_device_bounds(device), 1e-6);
    if (device->kind->draw != NULL)
      assert_true(rect_holds(room, drawn_by(device, device->kind->draw)));
    if (device->kind->draw_iec == NULL)
      continue;
    if (!rect_holds(room, drawn_by(device, device->kind->draw_iec)))
      fail_msg("%s: %s after IEC 60617 leaves its room", path, device->id);
    compared++;
  }
  return compared;
}

static void
both_sets_keep_to_one_room(void **state)
{
  static const char *const folders[] = {"samples", "tests/data/sound"};
  guint compared = 0;
  (void)state;
  for (gsize f = 0; f < G_N_ELEMENTS(folders); f++) {
    g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), folders[f], NULL);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL)
      if (g_str_has_suffix(name, ".doorsheet")) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        compared += check_file(path);
      }
  }
  assert_true(compared > 100);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(both_sets_keep_to_one_room)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
