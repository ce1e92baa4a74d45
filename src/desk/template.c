/* SPDX-License-Identifier: MIT */
#include "desk/template.h"

#include "base/language.h"
#include <string.h>

#define MARK "translatable=\"yes\""

/* The five entities XML has of its own; our files use no others. New string. */
static char *
unescape(const char *text, gsize size)
{
  static const struct {
    const char *entity;
    char letter;
  } entities[] = {{"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}, {"&apos;", '\''}};
  GString *plain = g_string_new(NULL);

  for (gsize i = 0; i < size;) {
    gsize step = 1;
    char letter = text[i];
    for (guint e = 0; letter == '&' && e < G_N_ELEMENTS(entities); e++)
      if (strncmp(text + i, entities[e].entity, strlen(entities[e].entity)) == 0) {
        letter = entities[e].letter;
        step = strlen(entities[e].entity);
        break;
      }
    g_string_append_c(plain, letter);
    i += step;
  }
  return g_string_free(plain, FALSE);
}

char *
template_translate(const char *xml, gsize size)
{
  GString *out = g_string_sized_new(size);
  const char *at = xml, *end = xml + size;

  for (;;) {
    const char *mark = g_strstr_len(at, end - at, MARK);
    const char *open = mark != NULL ? memchr(mark, '>', (gsize)(end - mark)) : NULL;
    const char *close = open != NULL ? memchr(open, '<', (gsize)(end - open)) : NULL;
    if (close == NULL)
      break;
    g_string_append_len(out, at, open + 1 - at);
    g_autofree char *text = unescape(open + 1, (gsize)(close - open - 1));
    const char *translation = language_text(text);
    g_autofree char *escaped = g_markup_escape_text(translation, -1);
    g_string_append(out, escaped);
    at = close;
  }
  g_string_append_len(out, at, end - at);
  return g_string_free(out, FALSE);
}

/* The resource as GtkBuilder is to read it. */
static GBytes *
load(const char *name)
{
  g_autofree char *path = g_strconcat("/org/doorsheet/Doorsheet/ui/", name, NULL);
  g_autoptr(GError) error = NULL;
  GBytes *bytes = g_resources_lookup_data(path, G_RESOURCE_LOOKUP_FLAGS_NONE, &error);

  if (bytes == NULL)
    g_error("%s: %s", path, error->message); /* a fault of the build */
  if (strcmp(language_now(), language_code(0)) == 0)
    return bytes;
  gsize size;
  const char *xml = g_bytes_get_data(bytes, &size);
  char *translated = template_translate(xml, size);
  g_bytes_unref(bytes);
  return g_bytes_new_take(translated, strlen(translated));
}

void
template_set(GtkWidgetClass *widget_class, const char *name)
{
  g_autoptr(GBytes) xml = load(name);
  gtk_widget_class_set_template(widget_class, xml);
}

GtkBuilder *
template_builder_new(const char *name)
{
  g_autoptr(GBytes) xml = load(name);
  gsize size;
  const char *text = g_bytes_get_data(xml, &size);
  return gtk_builder_new_from_string(text, (gssize)size);
}
