/* SPDX-License-Identifier: MIT */
#include "command/json.h"

#include "base/quantity.h"
#include "base/text.h"
#include <math.h>

void
json_number(GString *out, double value)
{
  if (!isfinite(value)) {
    g_string_append(out, "null");
    return;
  }
  g_autofree char *text = number_format(value);
  g_string_append(out, text);
}

void
json_next(GString *out)
{
  const char last = out->len > 0 ? out->str[out->len - 1] : '\0';
  if (last != '[' && last != '{')
    g_string_append_c(out, ',');
}

void
json_key(GString *out, const char *key)
{
  json_next(out);
  text_append_json(out, key);
  g_string_append_c(out, ':');
}

void
json_pair_text(GString *out, const char *key, const char *text)
{
  json_key(out, key);
  if (text == NULL)
    g_string_append(out, "null");
  else
    text_append_json(out, text);
}

void
json_pair_number(GString *out, const char *key, double value)
{
  json_key(out, key);
  json_number(out, value);
}

void
json_pair_bool(GString *out, const char *key, bool value)
{
  json_key(out, key);
  g_string_append(out, value ? "true" : "false");
}
