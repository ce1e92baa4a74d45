/* SPDX-License-Identifier: MIT */
#include "base/language.h"

const char *
language_text(const char *text)
{
  return *text ? g_dgettext("doorsheet", text) : text;
}
