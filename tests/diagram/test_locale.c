/* SPDX-License-Identifier: MIT */
/* A machine that writes its decimals with a comma reads and writes the same files. */
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "small_catalog.h"

#include <glib/gstdio.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>

static char *folder;

/* Makes the locale in a folder of our own: most machines do not have it installed. */
static bool
german(void)
{
  folder = g_dir_make_tmp("doorsheet-locale-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "de_DE.UTF-8", NULL);
  const char *command[] = {"localedef", "-i", "de_DE", "-f", "UTF-8", path, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)command, NULL,
               G_SPAWN_SEARCH_PATH | G_SPAWN_STDOUT_TO_DEV_NULL | G_SPAWN_STDERR_TO_DEV_NULL, NULL,
               NULL, NULL, NULL, NULL, NULL);
  g_setenv("LOCPATH", folder, TRUE);
  return setlocale(LC_ALL, "de_DE.UTF-8") != NULL && strcmp(localeconv()->decimal_point, ",") == 0;
}

static void
test_comma(void **state)
{
  (void)state;
  if (!german()) {
    print_message("skipped: the locale de_DE can be neither found nor made here\n");
    skip();
  }
  char shown[8];
  snprintf(shown, sizeof shown, "%.1f", 0.5);
  assert_string_equal(shown, "0,5"); /* the locale is really in force */

  static const char text[] =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n"
      "  <device id=\"LD1\" kind=\"every\" x=\"2.5\" y=\"-0.125\" power=\"0.5 hp\" "
      "accepts=\"110.5..125.25 V\" ratio=\"1e-07\"/>\n"
      "  <conductor from=\"LD1.L1\" to=\"LD1.T1\" length=\"6.5 ft\" via=\"1.5,2.5 3.25,4.75\"/>\n"
      "  <as-measured between=\"LD1.L1 GND\" value=\"118.4 V\"/>\n"
      "</doorsheet>\n";
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document =
      document_read_memory(text, strlen(text), "text", small_catalog, &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  const Device *load = document_find_device(document, "LD1");
  assert_true(load->placement.at.x == 2.5 && load->placement.at.y == -0.125);
  assert_true(device_number(load, 8, 0) == 1e-7);
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autofree char *written = g_strndup(data, size);
  assert_string_equal(written, text);

  assert_null(edit_set_field(document, "LD1", "power", "0,5 hp", &error));
  assert_non_null(strstr(error->message, "from 1 W to 5000 W"));
  g_clear_error(&error);
  assert_null(edit_set_field(document, "LD1", "size", "0.1 mm2", &error));
  assert_non_null(strstr(error->message, "from 0.5 mm2 to 100 mm2"));
}

static int
tidy(void **state)
{
  (void)state;
  setlocale(LC_ALL, "C");
  const char *command[] = {"rm", "-rf", "--", folder, NULL};
  if (folder != NULL)
    g_spawn_sync(NULL, (char **)(guintptr)command, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL,
                 NULL, NULL, NULL);
  g_clear_pointer(&folder, g_free);
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_teardown(test_comma, tidy),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
