/* SPDX-License-Identifier: MIT */
/* Broken and rearranged files, made from good ones by a seeded hand: the reader either gives a
 * document that writes and reads back the same, or one clear sentence. */
#include "diagram/document_file.h"
#include "small_catalog.h"

static const char seed_text[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" title=\"Pump &amp; lamp\" paper=\"a4\">\n"
    "  <equipment tag=\"MAU-2\" note=\"&lt;new&gt;\"/>\n"
    "  <device id=\"T1\" kind=\"bank\" x=\"90\" y=\"-42.5\" turn=\"270\" rating=\"1.5 kVA\">\n"
    "    <lead name=\"H1\" winding=\"primary\" volts=\"0 V\"/>\n"
    "    <lead name=\"X1\" winding=\"secondary\"/>\n"
    "  </device>\n"
    "  <device id=\"CR1\" kind=\"contact\" x=\"0\" y=\"0.5\" coil=\"T1\" across=\"T1.H1 GND\"/>\n"
    "  <device id=\"LD1\" kind=\"every\" x=\"160\" y=\"40\" label=\"Roof\" power=\"90 W\" "
    "accepts=\"110..125 V\" state=\"off\" poles=\"2\" size=\"1/0 AWG\"/>\n"
    "  <conductor from=\"T1.X1\" to=\"LD1.L2\" number=\"101\" gauge=\"14 AWG\" length=\"6 ft\" "
    "via=\"40,30 40,-60.5\"/>\n"
    "  <conductor from=\"T1.X1\" to=\"CR1.1\"/>\n"
    "  <as-measured between=\"T1.H1 T1.X1\" value=\"118 V\" date=\"2026-11-25\"/>\n"
    "  <exercise number=\"7\" difficulty=\"easy\" faults=\"1\" set=\"d1\"/>\n"
    "  <expected-fault fault=\"lead-left-open\" at=\"T1.H1, T1.X1\"/>\n"
    "</doorsheet>\n";

static const char *const words[] = {
    "\"",
    "<",
    ">",
    "&",
    "&#0;",
    "&#x1F4A1;",
    "&amp;",
    "/>",
    "<!--",
    "-->",
    "<![CDATA[",
    "]]>",
    "<!DOCTYPE x [<!ENTITY a \"b\">]>",
    "&a;",
    "NaN",
    "1e999",
    "-1e308",
    "0x7",
    "\xff",
    "\xc3",
    "\xef\xbf\xbf",
    "\n",
    " x=\"1\"",
    " xmlns=\"\"",
    "xmlns:a=\"b\"",
    "T1",
    "CR1",
    "GND",
    "..",
    "999999999999999999999",
    "<device",
    "</device>",
    "<lead/>",
    "<?xml ?>",
    "\t",
    "%s%n",
    "AWG",
};

static guint
any(GRand *dice, gsize below)
{
  return below > 0 ? (guint)g_rand_int_range(dice, 0, (gint32)below) : 0;
}

/* Swaps two lines, or writes one twice. */
static void
shuffle_lines(GRand *dice, GString *text)
{
  g_auto(GStrv) lines = g_strsplit(text->str, "\n", -1);
  guint n = g_strv_length(lines);
  guint a = any(dice, n), b = any(dice, n);
  if (n < 2)
    return;
  if (g_rand_boolean(dice)) {
    char *line = lines[a];
    lines[a] = lines[b];
    lines[b] = line;
  } else {
    char *copy = g_strdup(lines[b]); /* a and b may be the same line */
    g_free(lines[a]);
    lines[a] = copy;
  }
  g_autofree char *joined = g_strjoinv("\n", lines);
  g_string_assign(text, joined);
}

/* Copies the value of one attribute over that of another. */
static void
swap_values(GRand *dice, GString *text)
{
  g_auto(GStrv) parts = g_strsplit(text->str, "\"", -1);
  guint n = g_strv_length(parts);
  if (n < 5)
    return;
  guint a = any(dice, n / 2) * 2 + 1, b = any(dice, n / 2) * 2 + 1;
  char *copy = g_strdup(parts[b]);
  g_free(parts[a]);
  parts[a] = copy;
  g_autofree char *joined = g_strjoinv("\"", parts);
  g_string_assign(text, joined);
}

static void
mutate(GRand *dice, GString *text)
{
  gsize at = any(dice, text->len);
  switch (any(dice, 12)) {
  case 0:
    if (text->len > 0)
      text->str[at] = (char)(text->str[at] ^ (1 << any(dice, 8)));
    break;
  case 1:
    if (text->len > 0)
      text->str[at] = (char)any(dice, 256);
    break;
  case 2:
    g_string_truncate(text, at);
    break;
  case 3:
    g_string_erase(text, (gssize)at, (gssize)any(dice, MIN(text->len - at, 20)));
    break;
  case 4:
  case 5:
    g_string_insert(text, (gssize)at, words[any(dice, G_N_ELEMENTS(words))]);
    break;
  case 6:
  case 7:
  case 8:
    shuffle_lines(dice, text);
    break;
  default:
    swap_values(dice, text);
    break;
  }
}

static void
assert_clear_sentence(const GError *error, guint round)
{
  if (error == NULL)
    fail_msg("round %u: refused without a word", round);
  const char *message = error->message;
  bool has_place = g_str_has_prefix(message, "fuzz:") && g_ascii_isdigit(message[5]);
  if (error->domain != FILE_ERROR || !has_place || strlen(message) < 20 ||
      !g_utf8_validate(message, -1, NULL) || strchr(message, '\n') != NULL)
    fail_msg("round %u: \"%s\" is no clear sentence", round, message);
}

static void
test_mutations(void **state)
{
  (void)state;
  const guint seed = 4711, rounds = 3000;
  g_autoptr(GRand) dice = g_rand_new_with_seed(seed);
  guint accepted = 0;
  for (guint round = 0; round < rounds; round++) {
    g_autoptr(GString) text = g_string_new(seed_text);
    for (guint n = 1 + any(dice, 3); n > 0; n--)
      mutate(dice, text);
    g_autoptr(GError) error = NULL;
    g_autoptr(Document) document =
        document_read_memory(text->str, text->len, "fuzz", small_catalog, &error);
    if (document == NULL) {
      assert_clear_sentence(error, round);
      continue;
    }
    accepted++;
    assert_null(error);
    g_autoptr(GBytes) first = document_write_memory(document);
    gsize size;
    const char *data = g_bytes_get_data(first, &size);
    g_autoptr(Document) again = document_read_memory(data, size, "again", small_catalog, &error);
    if (again == NULL)
      fail_msg("round %u: what was accepted cannot be read back: %s", round, error->message);
    g_autoptr(GBytes) second = document_write_memory(again);
    assert_true(g_bytes_equal(first, second) && document_equal(document, again));
  }
  print_message("seed %u: %u of %u accepted\n", seed, accepted, rounds);
  assert_true(accepted > rounds / 50 && accepted < rounds); /* both paths were walked */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_mutations),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
